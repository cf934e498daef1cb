// Mouse, pen and fingers: what they take hold of, and what that does.

const STIR = { mouse: 4, pen: 5, touch: 9 }; // within this a press is a click [px]
const TURN = 0.0062; // [rad] a pixel
const WHEEL = 0.0011;

export class Gestures {
  /** @param {import("./view.js").View} view */
  constructor(view) {
    this.view = view;
    this.pointers = new Map();
    this.doing = null;
    this.armed = false;
    const { canvas, signal } = view;
    const on = (target, name, handler, options = {}) => target.addEventListener(name, handler, { signal, ...options });
    on(canvas, "pointerdown", (event) => this.#down(event));
    on(canvas, "pointermove", (event) => this.#move(event));
    on(canvas, "pointerup", (event) => this.#up(event));
    on(canvas, "pointercancel", (event) => this.#lost(event));
    on(canvas, "pointerleave", () => view.hover(null));
    on(canvas, "contextmenu", (event) => event.preventDefault());
    on(canvas, "wheel", (event) => this.#wheel(event), { passive: false });
    // A finger beside the picture lets go of it: one finger scrolls the page again.
    on(document, "pointerdown", (event) => view.frame.contains(event.target) || this.arm(false));
    this.arm(false);
  }

  /** Whether one finger turns and moves here, or scrolls the page. */
  arm(armed) {
    this.armed = armed;
    this.view.canvas.style.touchAction = armed ? "none" : "pan-y";
    this.view.frame.classList.toggle("sf-armed", armed);
  }

  /** End what is under way, as if it had not been. */
  cancel() {
    this.doing = null;
    this.pointers.clear();
    this.view.moves.cancel();
  }

  #at(event) {
    const box = this.view.canvas.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  #down(event) {
    const [x, y] = this.#at(event);
    const { view } = this;
    view.orbit.stop();
    this.pointers.set(event.pointerId, { x, y });
    if (event.pointerType !== "touch" || this.armed) view.canvas.setPointerCapture(event.pointerId);
    if (this.pointers.size === 2) {
      view.moves.cancel();
      this.doing = { what: "pinch", ...this.#spread() };
      return;
    }
    const handle = view.handles.at(x, y, event.pointerType);
    const item = handle ? null : view.picker.item(x, y);
    let what = "turn";
    if (event.button > 0 || event.shiftKey) what = "pan";
    else if (handle) what = handle.kind;
    else if (item && item.key === view.selected && view.selectedItem()?.sent.movable) what = "carry";
    this.doing = { what, x, y, handle, item, began: false, type: event.pointerType };
  }

  #move(event) {
    const [x, y] = this.#at(event);
    const known = this.pointers.get(event.pointerId);
    const { doing, view } = this;
    if (!known || !doing) return this.#hover(event, x, y);
    const [dx, dy] = [x - known.x, y - known.y];
    Object.assign(known, { x, y });
    if (doing.what === "pinch") return this.#pinch();
    if (doing.type === "touch" && !this.armed) return;
    if (!doing.began) {
      if (Math.hypot(x - doing.x, y - doing.y) < (STIR[doing.type] ?? 4)) return;
      this.#begin(doing);
    }
    if (doing.what === "turn") view.orbit.turn(-dx * TURN, dy * TURN);
    else if (doing.what === "pan") view.orbit.pan(dx, dy, view.height);
    else if (view.moves.busy) view.moves.to(x, y, event.altKey);
  }

  #begin(doing) {
    doing.began = true;
    const { view } = this;
    const { what, x, y, handle, item } = doing;
    if (what === "carry") view.moves.start("carry", item.point, x, y, item.key);
    else if (what === "section") view.moves.start("section", handle.place, x, y);
    else if (handle && what !== "pan") view.moves.start(what, handle.place, x, y, view.selected);
  }

  #up(event) {
    this.pointers.delete(event.pointerId);
    const { doing, view } = this;
    if (!doing) return;
    if (doing.what === "pinch") {
      // The finger that stays does nothing more until it is lifted.
      if (!this.pointers.size) this.doing = null;
      return;
    }
    this.doing = null;
    if (view.moves.busy && doing.began) view.moves.drop();
    else if (!doing.began && event.button === 0) this.#clicked(event, doing);
  }

  #lost(event) {
    this.pointers.delete(event.pointerId);
    if (this.doing?.began) this.view.moves.cancel();
    this.doing = null;
  }

  #clicked(event, { x, y, handle, item, type }) {
    const { view } = this;
    if (type === "touch") this.arm(true);
    if (event.shiftKey || view.probing) {
      const found = view.picker.probe(x, y);
      if (found) view.emit("probed", { point: found.point.toArray(), key: found.key });
    } else if (!handle) view.pick(item?.key ?? null, event.ctrlKey || event.metaKey);
  }

  #hover(event, x, y) {
    if (event.pointerType === "touch" || this.looking) return;
    // Once a frame is often enough to look what is under the pointer.
    this.looking = requestAnimationFrame(() => {
      this.looking = 0;
      if (this.doing || this.view.signal.aborted) return;
      const handle = this.view.handles.at(x, y, event.pointerType);
      const key = handle ? null : (this.view.picker.item(x, y)?.key ?? null);
      this.view.hover(key, handle);
    });
  }

  #spread() {
    const [a, b] = [...this.pointers.values()];
    return { apart: Math.hypot(a.x - b.x, a.y - b.y), x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
  }

  #pinch() {
    if (this.pointers.size < 2) return;
    const { doing, view } = this;
    const now = this.#spread();
    if (now.apart > 1 && doing.apart > 1) view.orbit.zoom(doing.apart / now.apart);
    view.orbit.pan(now.x - doing.x, now.y - doing.y, view.height);
    Object.assign(doing, now);
  }

  #wheel(event) {
    event.preventDefault();
    // Lines and pages of wheels that do not count in pixels.
    const pixels = event.deltaY * ([1, 18, 400][event.deltaMode] ?? 1);
    this.view.orbit.zoom(Math.exp(Math.max(-200, Math.min(200, pixels)) * WHEEL * (event.ctrlKey ? 6 : 1)));
  }
}
