// The box: walls that turn clear towards the viewer, its edges in ink, doors, vents, and its shadow on the ground.
import { THREE } from "nicegui-scene";
import { linesOf, surfaceOf } from "./items.js";
import { lit, sheer } from "./themes.js";

const FACES = {
  left: [0, -1],
  right: [0, 1],
  front: [1, -1],
  back: [1, 1],
  bottom: [2, -1],
  top: [2, 1],
};
// A wall is solid seen from behind and gone seen from before; in between, as the viewer comes round. [-]
const GONE = 0.1;
const SOLID = -0.04;
const SHADOW = 0.38; // how far it reaches, as a share of the longer side

const smooth = (t) => {
  const s = Math.min(1, Math.max(0, t));
  return s * s * (3 - 2 * s);
};

export class Shell {
  constructor(theme) {
    this.group = new THREE.Group();
    this.walls = new Map();
    this.openings = [];
    this.edges = new THREE.LineBasicMaterial();
    this.shade = null;
    this.hidden = new Set();
    this.colours = theme;
  }

  /** Draw these walls and openings in place of those before. */
  show({ size, walls, openings }) {
    this.#clear();
    this.size = size;
    for (const wall of walls) this.#wall(wall);
    for (const opening of openings) this.#opening(opening);
    const box = new THREE.BoxGeometry(...size);
    const outline = new THREE.EdgesGeometry(box);
    box.dispose();
    this.outline = new THREE.LineSegments(outline, this.edges);
    this.outline.position.set(...size.map((each) => each / 2));
    this.group.add(this.outline);
    this.#shadow(walls.find((wall) => wall.face === "bottom")?.thickness ?? 0);
    this.theme(this.colours);
  }

  theme(theme) {
    this.colours = theme;
    sheer(this.edges.color, theme.ink);
    for (const part of [...this.walls.values(), ...this.openings]) {
      sheer(part.lines.material.color, theme.ink);
      if (part.colour) sheer(part.surface.material.color, part.colour).multiplyScalar(theme.dim);
      else part.surface.material.color.setScalar(theme.dim);
    }
    if (this.shade) this.#shaded(theme);
  }

  /** Leave these walls and openings out. */
  hide(keys) {
    this.hidden = keys;
  }

  /** Before a frame: how clear each wall is from here. */
  look(camera) {
    if (!this.size) return;
    const at = camera.position;
    const clear = {};
    for (const [face, [axis, end]] of Object.entries(FACES)) {
      const middle = new THREE.Vector3(...this.size).multiplyScalar(0.5);
      middle.setComponent(axis, end > 0 ? this.size[axis] : 0);
      const out = (at.getComponent(axis) - middle.getComponent(axis)) * end;
      clear[face] = smooth((out / at.distanceTo(middle) - SOLID) / (GONE - SOLID));
    }
    for (const [face, wall] of this.walls) this.#fade(wall, clear[face], wall.clear ? this.colours.pane : 1, `walls/${face}`);
    for (const opening of this.openings)
      this.#fade(opening, clear[opening.face], opening.clear ? this.colours.pane : 1, opening.key);
    // Its shadow lies under it: from below there is none.
    this.shade.visible = at.z > 0;
  }

  /** Surfaces that a ray can hit: walls that are solid now. */
  solid() {
    return [...this.walls.values()].filter((wall) => wall.surface.visible && !wall.clear && wall.surface.material.opacity > 0.9).map((wall) => wall.surface);
  }

  #fade(part, clear, most, key) {
    const shown = !this.hidden.has(key);
    const opacity = most * (1 - clear);
    if (part.surface) {
      part.surface.visible = shown && opacity > 0.01;
      part.surface.material.opacity = opacity;
      part.surface.material.transparent = opacity < 0.99;
      part.surface.material.depthWrite = opacity >= 0.99;
    }
    part.lines.visible = shown;
    part.lines.material.opacity = part.ink * (1 - 0.72 * clear);
  }

  #wall(sent) {
    const material = new THREE.MeshBasicMaterial({ vertexColors: true, polygonOffset: true, polygonOffsetFactor: 2, polygonOffsetUnits: 2 });
    const surface = surfaceOf(sent.mesh, material);
    lit(sent.mesh.tints.array, sent.mesh.normals.array, surface.geometry.attributes.color.array);
    surface.userData.key = `walls/${sent.face}`;
    const edges = new THREE.EdgesGeometry(surface.geometry, 30);
    const lines = new THREE.LineSegments(edges, new THREE.LineBasicMaterial({ transparent: true, depthWrite: false }));
    this.group.add(surface, lines);
    this.walls.set(sent.face, { surface, lines, clear: sent.clear, face: sent.face, ink: sent.clear ? 0.3 : 0.5 });
  }

  #opening(sent) {
    const lines = linesOf(sent.lines.array, new THREE.LineBasicMaterial({ transparent: true, depthWrite: false }));
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.BufferAttribute(sent.corners.array, 3));
    geometry.setIndex([0, 1, 2, 0, 2, 3]);
    const material = new THREE.MeshBasicMaterial({ side: THREE.DoubleSide });
    const surface = new THREE.Mesh(geometry, material);
    this.group.add(lines, surface);
    // A mesh is many lines: each is drawn fainter.
    const ink = sent.kind === "vent" ? 0.32 : 0.6;
    this.openings.push({ surface, lines, clear: sent.clear, face: sent.face, key: sent.key, colour: sent.colour, ink });
  }

  /** A soft shadow as a grid of opaque colours, darker towards the middle: seen from above only. */
  #shadow(thickness) {
    const [width, depth] = this.size;
    const reach = SHADOW * Math.max(width, depth);
    this.shade = new THREE.Mesh(
      new THREE.PlaneGeometry(width + 2 * reach, depth + 2 * reach, 24, 24),
      new THREE.MeshBasicMaterial({ vertexColors: true, depthWrite: false, depthTest: false }),
    );
    const { position } = this.shade.geometry.attributes;
    this.depths = Float32Array.from({ length: position.count }, (_, k) => {
      const away = [width, depth].map((size, axis) => Math.max(0, Math.abs(position.array[3 * k + axis]) - size / 2 + 0.02));
      return 1 - smooth(Math.hypot(...away) / reach);
    });
    this.shade.geometry.setAttribute("color", new THREE.BufferAttribute(new Float32Array(3 * position.count), 3));
    this.shade.position.set(width / 2, depth / 2, -thickness - 0.004);
    this.shade.renderOrder = -1;
    this.group.add(this.shade);
  }

  #shaded(theme) {
    const ground = sheer(new THREE.Color(), theme.ground).toArray();
    const { color } = this.shade.geometry.attributes;
    this.depths.forEach((depth, k) => {
      for (let c = 0; c < 3; c++) color.array[3 * k + c] = ground[c] * (1 - theme.shadow * depth);
    });
    color.needsUpdate = true;
  }

  #clear() {
    for (const part of [...this.group.children]) {
      part.removeFromParent();
      part.geometry.dispose();
      if (part.material === this.edges) continue;
      part.material.dispose();
    }
    this.walls.clear();
    this.openings = [];
    this.shade = null;
  }

  dispose() {
    this.#clear();
    this.edges.dispose();
  }
}
