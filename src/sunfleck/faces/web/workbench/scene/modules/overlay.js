// What is put over the things: a cut with its picture, lines of equal value, points where an animal can be.
import { THREE } from "nicegui-scene";
import { plain, sheer } from "./themes.js";

export const AXES = ["x", "y", "z"];
const POINT = 5; // [px]

/** A round dot: points are squares otherwise. */
function dot() {
  const side = 16;
  const data = new Uint8Array(4 * side * side).fill(255);
  for (let k = 0; k < side * side; k++)
    data[4 * k + 3] = Math.hypot((k % side) - 7.5, Math.floor(k / side) - 7.5) < 7.5 ? 255 : 0;
  const texture = new THREE.DataTexture(data, side, side);
  texture.needsUpdate = true;
  return texture;
}

export class Overlay {
  constructor() {
    this.group = new THREE.Group();
    this.texture = null;
    this.lines = new THREE.Group();
    this.group.add(this.lines);
    this.plane = new THREE.Mesh(
      new THREE.BufferGeometry(),
      new THREE.MeshBasicMaterial({ transparent: true, side: THREE.DoubleSide, depthWrite: false }),
    );
    this.plane.geometry.setAttribute("position", new THREE.BufferAttribute(new Float32Array(12), 3));
    this.plane.geometry.setAttribute("uv", new THREE.BufferAttribute(new Float32Array([0, 0, 1, 0, 1, 1, 0, 1]), 2));
    this.plane.geometry.setIndex([0, 1, 2, 0, 2, 3]);
    this.plane.visible = false;
    this.plane.frustumCulled = false;
    this.plane.renderOrder = 1;
    this.group.add(this.plane);
    this.rim = new THREE.LineLoop(
      new THREE.BufferGeometry().setAttribute("position", this.plane.geometry.attributes.position),
      new THREE.LineBasicMaterial({ transparent: true, opacity: 0.6, depthWrite: false }),
    );
    this.rim.frustumCulled = false;
    this.group.add(this.rim);
    this.cloud = null;
    this.section = null;
    this.labels = [];
    this.clip = new THREE.Plane();
  }

  theme(theme) {
    sheer(this.rim.material.color, theme.ink);
  }

  /** Show this paint's cut, lines and points, and no others. */
  paint({ section, lines, cloud }) {
    this.#section(section);
    this.#lines(lines);
    this.#cloud(cloud);
  }

  /** Move the cut while it is dragged; its picture follows with the next paint. [m] */
  moveSection(place) {
    if (!this.section) return;
    this.section.place = place;
    const axis = AXES.indexOf(this.section.axis);
    const { position } = this.plane.geometry.attributes;
    for (let k = 0; k < 4; k++) position.array[3 * k + axis] = place;
    position.needsUpdate = true;
  }

  /** Middles of the four sides of the cut. */
  grips() {
    const { array } = this.plane.geometry.attributes.position;
    const corner = (k) => new THREE.Vector3().fromArray(array, 3 * (k % 4));
    return [0, 1, 2, 3].map((k) => corner(k).add(corner(k + 1)).multiplyScalar(0.5));
  }

  /** Before a frame: lines lie a little nearer than what they lie on; what is cut away is on the viewer's side. */
  look(camera) {
    const nearer = 0.998;
    this.lines.position.copy(camera.position).multiplyScalar(1 - nearer);
    this.lines.scale.setScalar(nearer);
    if (!this.section?.cut) return null;
    const axis = AXES.indexOf(this.section.axis);
    const towards = camera.position.getComponent(axis) > this.section.place ? -1 : 1;
    this.clip.normal.set(0, 0, 0).setComponent(axis, towards);
    this.clip.constant = -towards * this.section.place + 1e-4;
    return this.clip;
  }

  #section(sent) {
    this.section = sent ? { axis: sent.axis, place: sent.place, cut: sent.cut } : null;
    this.plane.visible = this.rim.visible = Boolean(sent);
    if (!sent) return;
    const axis = AXES.indexOf(sent.axis);
    const [first, second] = [0, 1, 2].filter((each) => each !== axis);
    const { position } = this.plane.geometry.attributes;
    [[0, 0], [1, 0], [1, 1], [0, 1]].forEach(([u, v], k) => {
      position.array[3 * k + axis] = sent.place;
      position.array[3 * k + first] = [sent.low, sent.high][u][0];
      position.array[3 * k + second] = [sent.low, sent.high][v][1];
    });
    position.needsUpdate = true;
    const [height, width] = sent.picture.shape;
    const same = this.texture && this.texture.image.width === width && this.texture.image.height === height;
    if (!same) {
      this.texture?.dispose();
      this.texture = new THREE.DataTexture(new Uint8Array(4 * width * height), width, height);
      this.texture.magFilter = this.texture.minFilter = THREE.LinearFilter;
      this.plane.material.map = this.texture;
      this.plane.material.needsUpdate = true;
    }
    this.texture.image.data.set(sent.picture.array);
    this.texture.needsUpdate = true;
  }

  #lines(sent) {
    for (const line of [...this.lines.children]) {
      line.removeFromParent();
      line.geometry.dispose();
      line.material.dispose();
    }
    this.labels = [];
    for (const { points, words, colour } of sent) {
      const geometry = new THREE.BufferGeometry();
      geometry.setAttribute("position", new THREE.BufferAttribute(points.array, 3));
      const line = new THREE.Line(geometry, new THREE.LineBasicMaterial());
      sheer(line.material.color, colour);
      line.renderOrder = 2;
      this.lines.add(line);
      if (words) this.labels.push({ words, at: new THREE.Vector3().fromArray(points.array, 3 * (points.shape[0] >> 1)) });
    }
  }

  #cloud(sent) {
    if (this.cloud) {
      this.cloud.removeFromParent();
      this.cloud.geometry.dispose();
      this.cloud.material.dispose();
      this.cloud = null;
    }
    if (!sent) return;
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.BufferAttribute(sent.points.array, 3));
    const colours = plain(sent.colours.array, new Float32Array(sent.colours.array.length));
    geometry.setAttribute("color", new THREE.BufferAttribute(colours, 3));
    this.dot ??= dot();
    const material = new THREE.PointsMaterial({ size: POINT, sizeAttenuation: false, vertexColors: true, map: this.dot, alphaTest: 0.5 });
    this.cloud = new THREE.Points(geometry, material);
    this.group.add(this.cloud);
  }

  dispose() {
    this.#lines([]);
    this.#cloud(null);
    this.texture?.dispose();
    this.dot?.dispose();
    for (const part of [this.plane, this.rim]) {
      part.geometry.dispose();
      part.material.dispose();
    }
  }
}
