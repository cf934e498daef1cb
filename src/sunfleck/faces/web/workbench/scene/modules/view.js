// The picture: what is shown, what is chosen, and when it is drawn. It knows no framework and sends plain objects.
import { THREE } from "nicegui-scene";
import { Orbit } from "./camera.js";
import { Gestures } from "./gestures.js";
import { Handles } from "./handles.js";
import { CornerTicks, Items } from "./items.js";
import { pressed } from "./keys.js";
import { Labels } from "./labels.js";
import { Lane } from "./lane.js";
import { Words } from "./lengths.js";
import { Marks } from "./marks.js";
import { take } from "./messages.js";
import { Moves } from "./moves.js";
import { Overlay } from "./overlay.js";
import { Pace } from "./pace.js";
import { furnish } from "./page.js";
import { Picker } from "./picking.js";
import { Shell } from "./shell.js";
import { sheer, themeNow } from "./themes.js";

export class View {
  /**
   * @param {HTMLElement} root
   * @param {{lengths: object, words: object, emit: (name: string, what: object) => void}} page
   */
  constructor(root, { lengths, words, emit }) {
    this.root = root;
    this.emit = emit;
    this.words = new Words(lengths, words);
    this.ending = new AbortController();
    this.signal = this.ending.signal;
    Object.assign(this, furnish(root, this.words));
    this.size = [1, 1, 1];
    this.step = 0.01;
    this.selected = null;
    this.hovered = null;
    this.aiming = false;
    this.probing = false;
    this.frames = 0;
    this.hidden = new Set();
    try {
      this.renderer = new THREE.WebGLRenderer({ canvas: this.canvas, antialias: false, alpha: false });
    } catch {
      this.missing.hidden = false;
      return;
    }
    // Colours are what they are: see themes.js.
    this.renderer.outputColorSpace = THREE.LinearSRGBColorSpace;
    this.renderer.localClippingEnabled = true;
    this.pace = new Pace((ratio) => this.draw(ratio), this.renderer.getContext(), () => this.lane.underWay > 0);
    this.orbit = new Orbit(() => this.invalidate());
    const theme = themeNow();
    this.items = new Items(theme);
    this.shell = new Shell(theme);
    this.overlay = new Overlay();
    this.ticks = new CornerTicks(theme.accent, 0.95);
    this.hoverTicks = new CornerTicks(theme.ink, 0.45);
    // A plan with a problem gets no light: what is dragged is drawn all the same.
    this.lane = new Lane(emit, () => this.invalidate());
    this.moves = new Moves(this);
    this.handles = new Handles(this);
    this.picker = new Picker(this);
    this.labels = new Labels(this.wordLayer);
    this.marks = new Marks(this.markLayer, this.words, (id) => emit("mark", { id }));
    this.world = new THREE.Scene();
    const { items, shell, overlay, ticks, hoverTicks, handles } = this;
    this.world.add(shell.group, items.group, items.ghosts, overlay.group, ticks.lines, hoverTicks.lines, handles.group);
    this.gestures = new Gestures(this);
    const on = (name, handler) => this.canvas.addEventListener(name, handler, { signal: this.signal });
    on("keydown", (event) => pressed(this, event));
    on("blur", () => this.moves.busy && !this.gestures.doing && this.moves.settle());
    on("webglcontextlost", (event) => event.preventDefault());
    on("webglcontextrestored", () => this.invalidate());
    this.watchers = [new ResizeObserver(() => this.#resize()), new MutationObserver(() => this.theme())];
    this.watchers[0].observe(this.frame);
    this.watchers[1].observe(document.body, { attributeFilter: ["class"] });
    this.theme();
  }

  /** Take a message of the page. */
  receive(message) {
    if (!this.renderer) return;
    take(this, message);
    this.invalidate();
  }

  /** Draw a scene; camera and selection stay. */
  show(scene) {
    const first = !this.scene;
    const resized = !first && String(scene.size) !== String(this.size);
    this.scene = scene;
    this.size = scene.size;
    // What is under way goes on from where the new scene has it.
    const held = this.moves.now?.item?.sent.key;
    this.shell.show(scene);
    this.items.show(scene.items);
    if (held) this.moves.again(held);
    if (!this.items.byKey.has(this.selected)) this.selected = null;
    this.hide(this.hidden);
    this.#bounds();
    if (first) this.orbit.frame("corner", false);
    else if (resized) this.orbit.frame(this.orbit.framed ?? "corner");
    this.scene.items = null;
  }

  /** Put colours over it. */
  paint(seq, paint) {
    this.items.paint(paint.colours);
    this.overlay.paint(paint);
    this.labels.set("iso", this.overlay.labels);
    if (this.moves.now?.kind === "section") this.overlay.moveSection(this.moves.now.place);
    this.lane.answered(seq);
  }

  /** Choose an item. */
  select(key) {
    if (key !== this.selected) this.moves.settle();
    this.selected = this.items.byKey.has(key) ? key : null;
    this.aiming = false;
    this.#tell();
    this.invalidate();
  }

  /** Choose an item as the user did, and say so. */
  pick(key, additive = false) {
    this.select(key);
    this.emit("picked", { key: this.selected, additive });
  }

  /** The next item, or the one before. */
  goOn(way) {
    const keys = [...this.items.byKey.keys()].filter((key) => !this.hidden.has(key));
    if (!keys.length) return;
    const at = keys.indexOf(this.selected);
    this.pick(keys[at < 0 ? (way > 0 ? 0 : keys.length - 1) : (at + way + keys.length) % keys.length]);
  }

  selectedItem() {
    return this.items.byKey.get(this.selected) ?? null;
  }

  /** Leave these out. */
  hide(keys) {
    this.hidden = new Set(keys);
    this.shell.hide(this.hidden);
    for (const [key, item] of this.items.byKey) item.group.visible = !this.hidden.has(key);
  }

  /** Turn to a standard view. */
  look(name) {
    this.orbit.frame(name);
  }

  /** What the page does. */
  command(name) {
    this.moves.settle();
    this.emit("command", { name, key: this.selected });
  }

  /** Arrows now move the point a lamp is aimed at, or again the lamp. */
  aimByKeys() {
    const item = this.selectedItem();
    if (!item?.aim) return;
    this.moves.settle();
    this.aiming = !this.aiming;
    if (this.aiming) this.say(this.words.say("aiming", { name: item.sent.name }));
    else this.#tell();
  }

  /** Put back what is under way; else choose nothing. */
  letGo() {
    if (this.moves.busy) this.gestures.cancel();
    else if (this.aiming) this.aimByKeys();
    else if (this.selected) this.pick(null);
  }

  /** Whether a plain click asks for a value. */
  probe(on) {
    this.probing = on;
    this.canvas.style.cursor = on ? "crosshair" : "";
  }

  /** What is under the pointer. */
  hover(key, handle = null) {
    const cursors = { raise: "ns-resize", aim: "move", section: "grab" };
    const ready = key && key === this.selected && this.selectedItem()?.sent.movable;
    this.canvas.style.cursor = this.probing ? "crosshair" : handle ? cursors[handle.kind] : ready ? "move" : key ? "pointer" : "";
    if (key === this.hovered) return;
    this.hovered = key;
    this.invalidate();
  }

  /** Tell who does not see it. */
  say(words) {
    this.live.textContent = words;
  }

  /** A place of the box on the canvas. [px] */
  screenOf(point) {
    const at = point.clone().project(this.orbit.camera);
    return { x: ((at.x + 1) / 2) * this.width, y: ((1 - at.y) / 2) * this.height, behind: at.z > 1 };
  }

  /** The ray of a place of the canvas. */
  rayAt(x, y) {
    const caster = new THREE.Raycaster();
    caster.setFromCamera(new THREE.Vector2((2 * x) / this.width - 1, 1 - (2 * y) / this.height), this.orbit.camera);
    return caster.ray;
  }

  /** Colours of the page have changed. */
  theme() {
    const theme = themeNow();
    for (const name of ["ground", "ink", "faint", "accent", "paper"]) this.frame.style.setProperty(`--sf-${name}`, theme[name]);
    for (const part of [this.items, this.shell, this.overlay, this.handles]) part.theme(theme);
    this.ticks.colour(theme.accent);
    this.hoverTicks.colour(theme.ink);
    this.renderer.setClearColor(sheer(new THREE.Color(), theme.ground));
    this.invalidate();
  }

  /** Draw before the next repaint of the window. */
  invalidate() {
    this.pace.wish();
  }

  /** Draw what follows the hand: where a frame is dear, with the colours that are on their way, so that these are not kept waiting. */
  follow() {
    if (this.lane.underWay && this.pace.dear) return;
    this.invalidate();
  }

  /** Draw now. */
  draw(ratio = this.renderer.getPixelRatio()) {
    const { camera } = this.orbit;
    if (!this.width || !this.scene) return;
    if (ratio !== this.renderer.getPixelRatio()) this.renderer.setPixelRatio(ratio);
    const chosen = this.selectedItem();
    const pointed = this.hovered === this.selected ? null : this.items.byKey.get(this.hovered);
    this.moves.showLengths();
    this.ticks.around(chosen?.shownBounds() ?? null);
    this.hoverTicks.around(pointed?.shownBounds() ?? null);
    this.shell.look(camera);
    this.handles.look();
    this.items.clip(this.overlay.look(camera));
    const named = [chosen, pointed].filter((item) => item && !this.moves.busy);
    this.labels.set(
      "name",
      named.map((item) => {
        const box = item.shownBounds();
        return { words: item.sent.name, at: box.getCenter(new THREE.Vector3()), box };
      }),
    );
    this.renderer.render(this.world, camera);
    const screenOf = (point) => this.screenOf(point);
    this.labels.place(screenOf);
    this.marks.place(screenOf, new THREE.Vector3());
    this.frames += 1;
  }

  /** Let go of everything: what the page took from the browser it gives back. */
  dispose() {
    this.ending.abort();
    if (!this.renderer) return;
    this.pace.end();
    this.orbit.stop();
    this.lane.end();
    clearTimeout(this.moves.settling);
    for (const watcher of this.watchers) watcher.disconnect();
    for (const part of [this.items, this.shell, this.overlay, this.handles, this.ticks, this.hoverTicks]) part.dispose();
    this.renderer.dispose();
    this.renderer.forceContextLoss();
    this.root.replaceChildren();
  }

  #tell() {
    const item = this.selectedItem();
    if (!item) return this.say(this.words.say("nothing"));
    if (!item.sent.movable) return this.say(this.words.say("fixed", { name: item.sent.name }));
    this.say(this.words.place("selected", item.sent.name, item.anchor.clone().add(item.offset).toArray()));
  }

  #bounds() {
    const all = new THREE.Box3(new THREE.Vector3(), new THREE.Vector3(...this.size));
    for (const item of this.items.byKey.values()) all.union(item.bounds);
    this.orbit.around(all.min.toArray(), all.max.toArray());
  }

  #resize() {
    const { clientWidth, clientHeight } = this.frame;
    if (!clientWidth || !clientHeight) return;
    [this.width, this.height] = [clientWidth, clientHeight];
    this.renderer.setSize(clientWidth, clientHeight, false);
    this.orbit.resize(clientWidth, clientHeight);
    this.draw();
  }
}
