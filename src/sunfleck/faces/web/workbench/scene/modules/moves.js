// Moving: a thing carried or raised, the point a lamp is aimed at, the cut. What is under way can be put back.
import { THREE } from "nicegui-scene";
import { clean, roomFor, snapped } from "./grid.js";
import { AXES } from "./overlay.js";

const EDGE_ON = 0.12; // below this sine a plane is seen too flat to be pointed at
const SETTLED = 260; // after the last key of a row [ms]
// Things with an extent from their place on: to walls on the far side the length is that of their end.
const EXTENDED = ["block", "hide", "tube", "bar", "wood"];

export class Moves {
  /** @param {import("./view.js").View} view */
  constructor(view) {
    this.view = view;
    this.now = null;
    this.lengths = this.lengthsShown = null;
  }

  /** Whether something is being moved. */
  get busy() {
    return this.now !== null;
  }

  /** Begin: `carry` and `raise` an item, `aim` it, or move the `section`. */
  start(kind, grabbed, x, y, key = null) {
    this.settle();
    const item = this.view.items.byKey.get(key) ?? null;
    const origin = item ? item.offset.clone() : null;
    this.now = { kind, key, item, origin, grabbed: grabbed.clone(), raw: new THREE.Vector3(), x, y, way: [0, 0, 0] };
    if (kind === "aim") this.now.from = item.aim.clone();
    if (kind === "section") this.now.from = this.now.place = this.view.overlay.section.place;
  }

  /** The pointer is here now. */
  to(x, y, alt) {
    const { now } = this;
    if (now.kind === "section") this.#sweep(x, y);
    else {
      const upright = now.kind === "raise" || alt;
      now.raw.add(upright ? this.#lift(x, y) : this.#slide(x, y));
      this.#apply();
    }
    [now.x, now.y] = [x, y];
  }

  /** Let go here, and tell the page. */
  drop() {
    const { now, view } = this;
    if (!now) return;
    clearTimeout(this.settling);
    this.now = null;
    this.lengths = null;
    const seq = view.lane.end();
    if (now.kind === "aim") view.emit("aimed", { seq, key: now.key, point: clean(now.item.aim.toArray()), done: true });
    else if (now.kind === "section")
      view.emit("section", { seq, axis: view.overlay.section.axis, place: view.overlay.section.place, done: true });
    else if (now.way.some(Boolean)) view.emit("dropped", { key: now.key, delta: now.way });
    if (now.item) view.say(view.words.place(now.kind === "aim" ? "aimed" : "moved", now.item.sent.name, this.#place(now)));
    view.invalidate();
  }

  /** Put it back as if nothing had been. */
  cancel() {
    const { now, view } = this;
    if (!now) return;
    clearTimeout(this.settling);
    this.now = null;
    this.lengths = null;
    if (now.kind === "aim") now.item.aim.copy(now.from);
    else if (now.kind === "section") view.overlay.moveSection(now.from);
    else now.item.offset.copy(now.origin);
    // The page has followed the drag: what it shows is put back by one more step.
    if (now.kind === "aim") view.lane.offer("aimed", { key: now.key, point: clean(now.from.toArray()), done: false });
    else if (now.kind === "section")
      view.lane.offer("section", { axis: view.overlay.section.axis, place: now.from, done: false });
    else view.lane.offer("dragging", { key: now.key, delta: [0, 0, 0] });
    view.say(view.words.say("cancelled"));
    view.invalidate();
  }

  /** The page has drawn a new scene meanwhile: go on with the thing as it is now. */
  again(key) {
    const { now, view } = this;
    now.item = view.items.byKey.get(key);
    if (!now.item) {
      clearTimeout(this.settling);
      this.now = null;
      this.lengths = null;
      return;
    }
    if (now.kind === "aim") now.from = now.item.aim.clone();
    else now.origin = now.item.offset.clone();
    this.#apply();
  }

  /** One or several steps by a key; keys in a row are one move. */
  nudge(key, steps, aiming) {
    const { view } = this;
    const item = view.items.byKey.get(key);
    const kind = aiming ? "aim" : "nudge";
    if (this.now && (this.now.kind !== kind || this.now.key !== key)) this.settle();
    if (!this.now) {
      this.start(kind, item.anchor, 0, 0, key);
      this.now.byKey = true;
    }
    const step = view.step || 0.01;
    this.now.raw.add(new THREE.Vector3(...steps).multiplyScalar(step));
    this.#apply();
    clearTimeout(this.settling);
    this.settling = setTimeout(() => this.settle(), SETTLED);
  }

  /** A row of keys is over. */
  settle() {
    if (this.now) this.drop();
  }

  #apply() {
    const { now, view } = this;
    const aiming = now.kind === "aim";
    const base = aiming ? now.from : now.item.anchor.clone().add(now.origin);
    const box = now.item.bounds.clone().translate(now.origin ?? new THREE.Vector3());
    now.way = clean(
      [0, 1, 2].map((axis) => {
        const at = base.getComponent(axis);
        const size = view.size[axis];
        const room = aiming ? [-at, size - at] : roomFor(box.min.getComponent(axis), box.max.getComponent(axis), size);
        const way = now.raw.getComponent(axis);
        // A key goes a whole step from where a thing is; a hand goes to the grid.
        if (now.byKey) return Math.min(room[1], Math.max(room[0], way));
        return snapped(way, at, view.step, room);
      }),
    );
    const way = new THREE.Vector3(...now.way);
    if (aiming) now.item.aim.copy(now.from).add(way);
    else now.item.offset.copy(now.origin).add(way);
    if (aiming) view.lane.offer("aimed", { key: now.key, point: clean(now.item.aim.toArray()), done: false });
    else view.lane.offer("dragging", { key: now.key, delta: now.way });
    this.lengths = this.#lengths(now);
    view.follow();
  }

  /** How far the pointer has gone in the level plane through what was grabbed, or across the view where that is edge-on. */
  #slide(x, y) {
    const { now, view } = this;
    const through = now.grabbed.clone().add(now.raw);
    const level = new THREE.Plane(new THREE.Vector3(0, 0, 1), -through.z);
    const rays = [view.rayAt(now.x, now.y), view.rayAt(x, y)];
    let plane = level;
    if (rays.some((ray) => Math.abs(ray.direction.z) < EDGE_ON)) {
      const facing = view.orbit.camera.getWorldDirection(new THREE.Vector3()).setZ(0).normalize();
      plane = new THREE.Plane(facing, -facing.dot(through));
    }
    const [a, b] = rays.map((ray) => ray.intersectPlane(plane, new THREE.Vector3()));
    return a && b ? b.sub(a).setZ(0) : new THREE.Vector3();
  }

  /** How far up the pointer has gone. */
  #lift(x, y) {
    const { now, view } = this;
    const at = now.grabbed.clone().add(now.raw);
    return new THREE.Vector3(0, 0, this.#alongAxis(at, 2, x - now.x, y - now.y));
  }

  #sweep(x, y) {
    const { now, view } = this;
    const { axis, place } = view.overlay.section;
    const which = AXES.indexOf(axis);
    now.raw.x += this.#alongAxis(now.grabbed, which, x - now.x, y - now.y);
    const next = snapped(now.raw.x, now.from, view.step, [-now.from, view.size[which] - now.from]) + now.from;
    if (next === place) return;
    now.place = clean([next])[0];
    view.overlay.moveSection(now.place);
    view.lane.offer("section", { axis, place: view.overlay.section.place, done: false });
    view.follow();
  }

  /** Metres along an axis for pixels on the screen; where the axis points at the viewer, up is on. */
  #alongAxis(at, axis, dx, dy) {
    const { view } = this;
    const small = 0.01;
    const ahead = at.clone();
    ahead.setComponent(axis, ahead.getComponent(axis) + small);
    const [a, b] = [view.screenOf(at), view.screenOf(ahead)];
    const [ux, uy] = [(b.x - a.x) / small, (b.y - a.y) / small];
    const length = Math.hypot(ux, uy);
    const metres = view.orbit.metresAPixel(at, view.height);
    if (length * metres < 0.25) return -dy * metres;
    return (dx * ux + dy * uy) / length ** 2;
  }

  #place(now) {
    if (now.kind === "aim") return now.item.aim.toArray();
    return now.item.anchor.clone().add(now.item.offset).toArray();
  }

  /** Show the lengths of what is moved, or none: with the frame, so that words do not make one of their own. */
  showLengths() {
    const { lengths, view } = this;
    if (lengths === this.lengthsShown) return;
    this.lengthsShown = lengths;
    view.handles.measure(lengths);
    const labels = (lengths ?? []).map(({ start, end, metres }) => ({
      words: view.words.length(metres),
      at: start.clone().lerp(end, 0.5),
    }));
    view.labels.set("length", labels);
  }

  /** Lengths to the nearest walls: where each begins and ends. */
  #lengths(now) {
    const at = new THREE.Vector3(...this.#place(now));
    const box = now.item.shownBounds();
    const extended = now.kind !== "aim" && EXTENDED.includes(now.item.sent.look);
    const moved = now.way.map((each) => Math.abs(each) > 1e-9);
    return [0, 1, 2]
      .filter((axis) => moved[axis] || axis < 2)
      .map((axis) => {
        const size = this.view.size[axis];
        const low = at.getComponent(axis);
        const high = extended ? Math.max(low, box.max.getComponent(axis)) : low;
        const toHigh = Math.abs(size - high) < Math.abs(low);
        const [start, end] = [at.clone(), at.clone()];
        start.setComponent(axis, toHigh ? high : low);
        end.setComponent(axis, toHigh ? size : 0);
        return { start, end, metres: start.distanceTo(end) };
      })
      .filter(({ metres }) => metres > 1e-4);
  }
}
