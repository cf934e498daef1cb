// The things in the box: built from their arrays once, coloured, moved, marked.
import { THREE } from "nicegui-scene";
import { lit, painted, plain, sheer } from "./themes.js";

const TICK = 0.25; // of the side of what is marked, and at most [m]
const LONGEST_TICK = 0.045;

const vector = ([x, y, z]) => new THREE.Vector3(x, y, z);

/** Lines from pairs of points, (k, 2, 3). */
export function linesOf(points, material) {
  const geometry = new THREE.BufferGeometry();
  geometry.setAttribute("position", new THREE.BufferAttribute(points, 3));
  return new THREE.LineSegments(geometry, material);
}

/** A surface whose colours are set later. */
export function surfaceOf(mesh, material) {
  const geometry = new THREE.BufferGeometry();
  geometry.setAttribute("position", new THREE.BufferAttribute(mesh.positions.array, 3));
  geometry.setAttribute("color", new THREE.BufferAttribute(new Float32Array(mesh.positions.array.length), 3));
  geometry.setIndex(new THREE.BufferAttribute(mesh.indices.array, 1));
  return new THREE.Mesh(geometry, material);
}

/** Arrays of its own: views of all that was sent would keep that for as long as the item stays. */
function owned(sent) {
  if (Array.isArray(sent)) return sent.map(owned);
  if (sent === null || typeof sent !== "object") return sent;
  if (sent.array) return { array: sent.array.slice(), shape: sent.shape };
  return Object.fromEntries(Object.entries(sent).map(([key, each]) => [key, owned(each)]));
}

/** One thing: a surface, what glows of it, thin lines. */
export class Item {
  /**
   * @param {object} sent as unpacked
   * @param {Record<string, THREE.Material>} materials shared by all
   */
  constructor(sent, materials) {
    this.sent = sent;
    this.group = new THREE.Group();
    const { look, mesh, glow, wires } = sent;
    const material = look === "crown" ? materials.crown : look === "leaves" ? materials.leaves : materials.body;
    this.body = surfaceOf(mesh, material);
    this.body.userData.key = sent.key;
    this.group.add(this.body);
    this.natural = lit(mesh.tints.array, mesh.normals.array, new Float32Array(mesh.positions.array.length));
    this.colour(null);
    if (glow) {
      const shining = surfaceOf(glow, materials.glow);
      plain(glow.tints.array, shining.geometry.attributes.color.array);
      shining.userData.key = sent.key;
      this.group.add(shining);
    }
    if (wires.shape[0]) this.group.add(linesOf(wires.array, look === "leaves" ? materials.stems : materials.wires));
    this.bounds = new THREE.Box3().setFromObject(this.body);
    this.anchor = vector(sent.anchor);
    this.aim = sent.aim ? vector(sent.aim) : null;
  }

  /** Colours that mean a value, one a corner or one a ring; null for those of the material. */
  colour(sent) {
    const attribute = this.body.geometry.attributes.color;
    if (sent === null) attribute.array.set(this.natural);
    else {
      const ring = sent.shape[0] * 3 === attribute.array.length ? null : this.sent.ring?.array;
      painted(sent.array, ring, this.sent.mesh.normals.array, attribute.array);
    }
    attribute.needsUpdate = true;
  }

  /** How far it is shown from where the scene has it. [m] */
  get offset() {
    return this.group.position;
  }

  /** Its bounding box where it is shown. */
  shownBounds() {
    return this.bounds.clone().translate(this.offset);
  }

  dispose() {
    this.group.removeFromParent();
    this.group.traverse((part) => part.geometry?.dispose());
  }
}

/** All of them. */
export class Items {
  constructor(theme) {
    this.group = new THREE.Group();
    this.ghosts = new THREE.Group();
    this.byKey = new Map();
    const solid = { vertexColors: true, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 };
    this.materials = {
      body: new THREE.MeshBasicMaterial(solid),
      leaves: new THREE.MeshBasicMaterial({ ...solid, side: THREE.DoubleSide }),
      crown: new THREE.MeshBasicMaterial({ ...solid, transparent: true, opacity: 0.55, depthWrite: false }),
      glow: new THREE.MeshBasicMaterial({ ...solid, side: THREE.DoubleSide }),
      wires: new THREE.LineBasicMaterial({ transparent: true, opacity: 0.55, depthWrite: false }),
      stems: new THREE.LineBasicMaterial(),
      ghost: new THREE.MeshBasicMaterial({ transparent: true, opacity: 0.22, depthWrite: false }),
      ghostLines: new THREE.LineBasicMaterial({ transparent: true, opacity: 0.7, depthWrite: false }),
    };
    this.theme(theme);
  }

  theme(theme) {
    for (const name of ["body", "leaves", "crown"]) this.materials[name].color.setScalar(theme.dim);
    sheer(this.materials.wires.color, theme.ink);
    sheer(this.materials.ghost.color, theme.ghost);
    sheer(this.materials.ghostLines.color, theme.ghost);
    sheer(this.materials.stems.color, "#5c6446");
  }

  /** Cut away what lies beyond a plane; null for nothing. A branch that is cut shows no hole. */
  clip(plane) {
    for (const material of Object.values(this.materials)) material.clippingPlanes = plane ? [plane] : null;
    const side = plane ? THREE.DoubleSide : THREE.FrontSide;
    if (this.materials.body.side === side) return;
    this.materials.body.side = side;
    this.materials.body.needsUpdate = true;
  }

  /** Draw these, and build only what is new or has changed. */
  show(sent) {
    const wanted = new Map(sent.map((each) => [each.key, each]));
    for (const [key, item] of this.byKey) {
      if (wanted.get(key)?.hash === item.sent.hash) continue;
      item.dispose();
      this.byKey.delete(key);
    }
    const inOrder = new Map();
    for (const [key, each] of wanted) {
      const item = this.byKey.get(key) ?? new Item(owned(each), this.materials);
      item.offset.set(0, 0, 0);
      if (item.sent.aim) item.aim.set(...item.sent.aim);
      this.group.add(item.group);
      inOrder.set(key, item);
    }
    this.byKey = inOrder;
  }

  /** Paint these in colours, and no others. */
  paint(colours) {
    for (const [key, item] of this.byKey) {
      const sent = colours[key];
      // Of another state of the item: it is painted when its own paint comes.
      const fits = sent && (sent.shape[0] === item.sent.mesh.positions.shape[0] || sent.shape[0] === item.sent.along?.shape[0]);
      if (fits) item.colour(sent);
      else if (item.wasPainted) item.colour(null);
      item.wasPainted = fits;
    }
  }

  /** Show faintly what another scene has that this has not. */
  before(sent) {
    for (const part of [...this.ghosts.children]) {
      part.removeFromParent();
      part.geometry.dispose();
    }
    for (const each of sent ?? []) {
      if (this.byKey.get(each.key)?.sent.hash === each.hash) continue;
      this.ghosts.add(surfaceOf(each.mesh, this.materials.ghost));
      if (each.wires.shape[0]) this.ghosts.add(linesOf(each.wires.array, this.materials.ghostLines));
    }
  }

  dispose() {
    for (const item of this.byKey.values()) item.dispose();
    this.before(null);
    for (const material of Object.values(this.materials)) material.dispose();
  }
}

/** Ticks at the corners of a box, as a printer marks where to trim. */
export class CornerTicks {
  constructor(colour, opacity) {
    this.material = new THREE.LineBasicMaterial({ transparent: true, opacity, depthWrite: false });
    this.colour(colour);
    this.lines = linesOf(new Float32Array(8 * 3 * 2 * 3), this.material);
    this.lines.frustumCulled = false;
    this.lines.visible = false;
  }

  colour(colour) {
    sheer(this.material.color, colour);
  }

  /** Round this box, or nothing. */
  around(box) {
    this.lines.visible = Boolean(box);
    if (!box) return;
    const grown = box.clone().expandByScalar(0.012);
    const size = grown.getSize(new THREE.Vector3()).toArray();
    const ends = [grown.min.toArray(), grown.max.toArray()];
    const { array } = this.lines.geometry.attributes.position;
    let at = 0;
    for (let corner = 0; corner < 8; corner++) {
      const start = [0, 1, 2].map((axis) => ends[(corner >> axis) & 1][axis]);
      for (let axis = 0; axis < 3; axis++) {
        const end = [...start];
        const long = Math.min(LONGEST_TICK, TICK * size[axis]);
        end[axis] += (corner >> axis) & 1 ? -long : long;
        array.set([...start, ...end], at);
        at += 6;
      }
    }
    this.lines.geometry.attributes.position.needsUpdate = true;
  }

  dispose() {
    this.lines.removeFromParent();
    this.lines.geometry.dispose();
    this.material.dispose();
  }
}
