// Where one looks from: round a middle, at a distance, never upside down; and the standard views.
import { THREE } from "nicegui-scene";

const FIELD = 26; // narrow, as from across the room: uprights stay upright [deg]
const MARGIN = 1.12;
const QUARTER = Math.PI / 2;
const LOWEST = -0.3;
const TURNING = 320; // [ms]

const VIEWS = {
  front: [-QUARTER, 0.06],
  left: [-2 * QUARTER, 0.06],
  right: [0, 0.06],
  top: [-QUARTER, QUARTER],
  corner: [-QUARTER - 0.5, 0.3],
};
export const VIEW_NAMES = Object.keys(VIEWS);

export class Orbit {
  /** @param {() => void} changed called whenever something is to be drawn anew */
  constructor(changed) {
    this.camera = new THREE.PerspectiveCamera(FIELD, 1, 0.02, 60);
    this.changed = changed;
    this.target = new THREE.Vector3();
    [this.azimuth, this.elevation] = VIEWS.corner;
    this.distance = 4;
    this.corners = [new THREE.Vector3()];
    this.still = window.matchMedia("(prefers-reduced-motion: reduce)");
    this.framed = null;
  }

  /** What has to be in the picture in a standard view: a box, by its low and high corner. [m] */
  around(low, high) {
    this.corners = [];
    for (let k = 0; k < 8; k++)
      this.corners.push(new THREE.Vector3(...[0, 1, 2].map((axis) => ((k >> axis) & 1 ? high : low)[axis])));
  }

  /** Fit the window. */
  resize(width, height) {
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    // Until the user has moved it the picture keeps the whole box.
    if (this.framed) this.frame(this.framed, false);
  }

  /** Turn to a standard view. */
  frame(name, gently = true) {
    const [azimuth, elevation] = VIEWS[name];
    const middle = this.corners[0].clone().add(this.corners[7] ?? this.corners[0]).multiplyScalar(0.5);
    const goal = { azimuth, elevation, target: middle, distance: this.#distanceFor(azimuth, elevation, middle) };
    // The short way round.
    const turn = goal.azimuth - this.azimuth;
    goal.azimuth -= 2 * Math.PI * Math.round(turn / (2 * Math.PI));
    this.framed = name;
    if (!gently || this.still.matches) return this.#set(goal);
    const from = { azimuth: this.azimuth, elevation: this.elevation, target: this.target.clone(), distance: this.distance };
    const start = performance.now();
    const step = (now) => {
      const t = Math.min(1, Math.max(0, now - start) / TURNING);
      const s = t * t * (3 - 2 * t);
      this.#set({
        azimuth: from.azimuth + s * (goal.azimuth - from.azimuth),
        elevation: from.elevation + s * (goal.elevation - from.elevation),
        distance: from.distance + s * (goal.distance - from.distance),
        target: from.target.clone().lerp(goal.target, s),
      });
      this.running = t < 1 ? requestAnimationFrame(step) : 0;
    };
    this.stop();
    this.running = requestAnimationFrame(step);
  }

  /** Turn by angles. [rad] */
  turn(azimuth, elevation) {
    this.#moved();
    this.#set({
      azimuth: this.azimuth + azimuth,
      elevation: Math.min(QUARTER, Math.max(LOWEST, this.elevation + elevation)),
      distance: this.distance,
      target: this.target,
    });
  }

  /** Come nearer (below 1) or go away (above 1). */
  zoom(factor) {
    this.#moved();
    const { azimuth, elevation, target } = this;
    this.#set({ azimuth, elevation, target, distance: Math.min(20, Math.max(0.15, this.distance * factor)) });
  }

  /** Move the middle by pixels. */
  pan(dx, dy, height) {
    this.#moved();
    const metres = (2 * this.distance * Math.tan((FIELD * Math.PI) / 360)) / height;
    const { right, up } = this.#basis(this.azimuth, this.elevation);
    const target = this.target.clone().addScaledVector(right, -dx * metres).addScaledVector(up, dy * metres);
    const { azimuth, elevation, distance } = this;
    this.#set({ azimuth, elevation, distance, target });
  }

  /** How many metres a pixel is at a point. */
  metresAPixel(point, height) {
    const depth = point.clone().sub(this.camera.position).dot(this.#basis(this.azimuth, this.elevation).forward);
    return (2 * Math.max(depth, 0.05) * Math.tan((FIELD * Math.PI) / 360)) / height;
  }

  /** End a turn that is under way. */
  stop() {
    cancelAnimationFrame(this.running);
    this.running = 0;
  }

  #moved() {
    this.stop();
    this.framed = null;
  }

  #basis(azimuth, elevation) {
    const [ca, sa, ce, se] = [Math.cos(azimuth), Math.sin(azimuth), Math.cos(elevation), Math.sin(elevation)];
    const out = new THREE.Vector3(ca * ce, sa * ce, se);
    const right = new THREE.Vector3(-sa, ca, 0);
    const up = new THREE.Vector3(-ca * se, -sa * se, ce);
    return { out, right, up, forward: out.clone().negate() };
  }

  #distanceFor(azimuth, elevation, middle) {
    const { out, right, up } = this.#basis(azimuth, elevation);
    const tall = Math.tan((FIELD * Math.PI) / 360);
    const wide = tall * this.camera.aspect;
    const wanted = this.corners.map((corner) => {
      const from = corner.clone().sub(middle);
      const depth = from.dot(out);
      return Math.max((MARGIN * Math.abs(from.dot(right))) / wide, (MARGIN * Math.abs(from.dot(up))) / tall) + depth;
    });
    return Math.max(0.3, ...wanted);
  }

  #set({ azimuth, elevation, distance, target }) {
    Object.assign(this, { azimuth, elevation, distance });
    this.target.copy(target);
    const { out, right, up } = this.#basis(azimuth, elevation);
    this.camera.position.copy(this.target).addScaledVector(out, distance);
    this.camera.quaternion.setFromRotationMatrix(new THREE.Matrix4().makeBasis(right, up, out));
    this.camera.updateMatrixWorld();
    this.changed();
  }
}
