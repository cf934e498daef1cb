// Handles, of a size that does not change with distance: a double arrow to raise, a ring to aim, a tab to move the cut.
import { THREE } from "nicegui-scene";
import { linesOf } from "./items.js";
import { sheer } from "./themes.js";

const RAISE = 34; // height of the arrow [px]
const RING = 9; // [px]
const TAB = 8; // [px]
const STEEP = 1.25; // [rad]
// From up in the window to up in the arrow's own axes.
const UPRIGHT = new THREE.Quaternion().setFromAxisAngle(new THREE.Vector3(1, 0, 0), -Math.PI / 2);
const NEAR = { mouse: 14, pen: 16, touch: 26 }; // within this of a handle one has it [px]

const overAll = (material) => Object.assign(material, { depthTest: false, depthWrite: false, transparent: true });

export class Handles {
  /** @param {import("./view.js").View} view */
  constructor(view) {
    this.view = view;
    this.group = new THREE.Group();
    this.fill = overAll(new THREE.MeshBasicMaterial({ side: THREE.DoubleSide }));
    this.line = overAll(new THREE.LineBasicMaterial());
    this.raise = this.#arrow();
    this.ring = this.#ring();
    this.tab = new THREE.Mesh(new THREE.OctahedronGeometry(1), this.fill);
    this.beam = linesOf(new Float32Array(6), this.line);
    this.beam.frustumCulled = false;
    this.lengths = linesOf(new Float32Array(3 * 6 * 3), this.line);
    this.lengths.frustumCulled = false;
    for (const part of [this.raise, this.ring, this.tab, this.beam, this.lengths]) {
      part.renderOrder = 10;
      part.visible = false;
      this.group.add(part);
    }
  }

  theme(theme) {
    sheer(this.fill.color, theme.accent);
    sheer(this.line.color, theme.accent);
  }

  /** Before a frame: which handles there are, where and how large. */
  look() {
    const item = this.view.selectedItem();
    const movable = Boolean(item?.sent.movable && item.group.visible);
    // From straight above there is no up.
    this.raise.visible = movable && this.view.orbit.elevation < STEEP;
    if (this.raise.visible) {
      const box = item.shownBounds();
      const top = box.getCenter(new THREE.Vector3()).setZ(box.max.z);
      this.#put(this.raise, top, RAISE);
      // It stands clear of what it raises, and upright in the window: foreshortened it would be a blot.
      this.raise.position.z += 10 * this.view.orbit.metresAPixel(top, this.view.height);
      this.raise.quaternion.copy(this.view.orbit.camera.quaternion).multiply(UPRIGHT);
    }
    const aim = movable ? item.aim : null;
    this.ring.visible = this.beam.visible = Boolean(aim);
    if (aim) {
      this.#put(this.ring, aim, RING);
      this.ring.quaternion.copy(this.view.orbit.camera.quaternion);
      const start = item.anchor.clone().add(item.offset);
      this.beam.geometry.attributes.position.array.set([...start.toArray(), ...aim.toArray()]);
      this.beam.geometry.attributes.position.needsUpdate = true;
    }
    this.tab.visible = Boolean(this.view.overlay.section);
    if (this.tab.visible) this.#put(this.tab, this.#grip(), TAB);
  }

  /** The handle at this place of the screen: its kind and where it is, or null. */
  at(x, y, pointer) {
    const near = NEAR[pointer] ?? NEAR.mouse;
    const found = [];
    if (this.ring.visible) found.push({ kind: "aim", place: this.ring.position });
    if (this.raise.visible) {
      const tip = new THREE.Vector3(0, 0, this.raise.scale.z).applyQuaternion(this.raise.quaternion).add(this.raise.position);
      found.push({ kind: "raise", place: this.raise.position.clone().lerp(tip, 0.5), tall: true });
    }
    if (this.tab.visible) found.push({ kind: "section", place: this.tab.position });
    return (
      found.find(({ place, tall }) => {
        const at = this.view.screenOf(place);
        return Math.abs(at.x - x) < near && Math.abs(at.y - y) < (tall ? RAISE / 2 + near / 2 : near);
      }) ?? null
    );
  }

  /** Draw lengths as a builder does: a line, and a tick at each end. */
  measure(lengths) {
    const { position } = this.lengths.geometry.attributes;
    position.array.fill(0);
    (lengths ?? []).forEach(({ start, end }, k) => {
      const along = end.clone().sub(start).normalize();
      const tick = (Math.abs(along.z) > 0.5 ? new THREE.Vector3(1, 0, 0) : new THREE.Vector3(0, 0, 1)).multiplyScalar(
        5 * this.view.orbit.metresAPixel(start, this.view.height),
      );
      const ends = [start, end].flatMap((at) => [at.clone().sub(tick), at.clone().add(tick)]);
      position.array.set([start, end, ...ends].flatMap((each) => each.toArray()), 18 * k);
    });
    position.needsUpdate = true;
    this.lengths.visible = Boolean(lengths?.length);
  }

  dispose() {
    this.group.traverse((part) => part.geometry?.dispose());
    this.fill.dispose();
    this.line.dispose();
  }

  /** The side of the cut that is nearest to the viewer, where nothing hides it. */
  #grip() {
    const from = this.view.orbit.camera.position;
    return this.view.overlay.grips().reduce((a, b) => (a.distanceTo(from) <= b.distanceTo(from) ? a : b));
  }

  #put(part, place, pixels) {
    part.position.copy(place);
    part.scale.setScalar(pixels * this.view.orbit.metresAPixel(place, this.view.height));
  }

  #arrow() {
    const group = new THREE.Group();
    const cone = (z, turn) => {
      const made = new THREE.Mesh(new THREE.ConeGeometry(0.16, 0.3, 20), this.fill);
      made.rotation.x = turn;
      made.position.z = z;
      made.renderOrder = 10;
      return made;
    };
    const shaft = new THREE.Mesh(new THREE.CylinderGeometry(0.03, 0.03, 0.7, 8), this.fill);
    shaft.rotation.x = Math.PI / 2;
    shaft.position.z = 0.5;
    shaft.renderOrder = 10;
    group.add(shaft, cone(0.85, Math.PI / 2), cone(0.15, -Math.PI / 2));
    return group;
  }

  #ring() {
    const ring = new THREE.Mesh(new THREE.RingGeometry(0.78, 1, 40), this.fill);
    const dot = new THREE.Mesh(new THREE.CircleGeometry(0.24, 20), this.fill);
    dot.renderOrder = 10;
    ring.add(dot);
    return ring;
  }
}
