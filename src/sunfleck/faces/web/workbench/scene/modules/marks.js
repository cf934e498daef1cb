// Verdicts at their places: a shape for each kind, its word when it is pointed at or has the focus.
//   meets   a full disc
//   short   a bowl that is not filled to its rim
//   over    a peak
//   unknown a broken ring
const SHAPES = {
  meets: '<circle cx="10" cy="10" r="6.2"/>',
  short: '<path d="M3.2 8.6h13.6a6.8 6.8 0 0 1-13.6 0z"/>',
  over: '<path d="M10 3.2 17.2 15.6H2.8z"/>',
  unknown: '<circle class="open" cx="10" cy="10" r="5.8" stroke-dasharray="3.4 2.67"/>',
};

export class Marks {
  /**
   * @param {HTMLElement} layer
   * @param {import("./lengths.js").Words} words
   * @param {(id: string) => void} picked
   */
  constructor(layer, words, picked) {
    this.layer = layer;
    this.words = words;
    this.picked = picked;
    this.shown = [];
  }

  /** Show these, and no others; of them one is in the order of the tab key, arrows go on from it. */
  set(marks) {
    const focused = this.shown.find(({ button }) => button === document.activeElement)?.mark.id;
    for (const { button } of this.shown) button.remove();
    this.shown = marks.map((mark, k) => {
      const button = document.createElement("button");
      button.type = "button";
      button.className = `sf-mark sf-${mark.state}`;
      button.tabIndex = k ? -1 : 0;
      const state = this.words.say(mark.state);
      button.setAttribute("aria-label", `${state}: ${mark.words}`);
      button.innerHTML = `<svg viewBox="0 0 20 20" aria-hidden="true">${SHAPES[mark.state] ?? SHAPES.unknown}</svg><span class="sf-word" aria-hidden="true"></span>`;
      button.lastChild.textContent = `${state} · ${mark.words}`;
      button.addEventListener("click", () => this.picked(mark.id));
      button.addEventListener("keydown", (event) => this.#go(event, k));
      this.layer.append(button);
      return { button, mark };
    });
    this.shown.find(({ mark }) => mark.id === focused)?.button.focus();
  }

  /** After the camera moved. */
  place(screenOf, vector) {
    for (const { button, mark } of this.shown) {
      const { x, y, behind } = screenOf(vector.set(...mark.at));
      button.style.display = behind ? "none" : "";
      button.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px) translate(-50%, -50%)`;
      // A word near the right edge stands on the left of its mark.
      button.classList.toggle("sf-turned", x > this.layer.clientWidth * 0.6);
    }
  }

  #go(event, k) {
    const way = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (!way) return;
    event.preventDefault();
    const next = this.shown[(k + way + this.shown.length) % this.shown.length].button;
    for (const { button } of this.shown) button.tabIndex = button === next ? 0 : -1;
    next.focus();
  }
}
