// What is under the pointer.
import { THREE } from "nicegui-scene";

export class Picker {
  /** @param {import("./view.js").View} view */
  constructor(view) {
    this.view = view;
    this.caster = new THREE.Raycaster();
  }

  /** The item whose surface is hit first, and where; null for none. Hidden things and walls are looked through. */
  item(x, y) {
    const found = this.#first(x, y);
    if (found) return found;
    // A tube far away is a few pixels wide: what the pointer only just misses is meant too.
    for (const [dx, dy] of [[0, 4], [0, -4], [4, 0], [-4, 0]]) {
      const beside = this.#first(x + dx, y + dy);
      if (beside) return beside;
    }
    return null;
  }

  /** A point to be asked about: on the cut, or on the first surface. */
  probe(x, y) {
    const { view } = this;
    const item = this.#first(x, y);
    const ray = view.rayAt(x, y);
    this.caster.ray.copy(ray);
    const targets = view.overlay.plane.visible ? [view.overlay.plane] : [];
    const cut = this.caster.intersectObjects(targets, false)[0];
    const wall = this.caster.intersectObjects(view.shell.solid(), false)[0];
    const found = [
      item && { point: item.point, key: item.key, distance: item.distance },
      cut && { point: cut.point, key: null, distance: cut.distance },
      wall && { point: wall.point, key: wall.object.userData.key, distance: wall.distance },
    ].filter(Boolean);
    return found.sort((a, b) => a.distance - b.distance)[0] ?? null;
  }

  #first(x, y) {
    const { view } = this;
    this.caster.ray.copy(view.rayAt(x, y));
    const groups = [...view.items.byKey.values()].filter((item) => item.group.visible).map((item) => item.group);
    const surfaces = groups.flatMap((group) => group.children.filter((part) => part.isMesh));
    const clip = view.overlay.section?.cut ? view.overlay.clip : null;
    const hit = this.caster.intersectObjects(surfaces, false).find((each) => !clip || clip.distanceToPoint(each.point) > 0);
    return hit ? { key: hit.object.userData.key, point: hit.point, distance: hit.distance } : null;
  }
}
