// Words in the picture: set in the page's type, at places that move with the box.

import { THREE } from "nicegui-scene";

const BELOW = 13; // [px]

const cornersOf = ({ min, max }) =>
  Array.from({ length: 8 }, (_, k) => new THREE.Vector3(k & 1 ? min.x : max.x, k & 2 ? min.y : max.y, k & 4 ? min.z : max.z));

export class Labels {
  /** @param {HTMLElement} layer */
  constructor(layer) {
    this.layer = layer;
    this.sets = new Map();
  }

  /**
   * Show these words of a kind, and no others of it.
   * @param {string} kind a class of the style
   * @param {{words: string, at: import("three").Vector3, box?: import("three").Box3}[]} labels with a box, below it
   */
  set(kind, labels) {
    const shown = this.sets.get(kind) ?? [];
    while (shown.length > labels.length) shown.pop().element.remove();
    while (shown.length < labels.length) {
      const element = document.createElement("span");
      element.className = `sf-label sf-${kind}`;
      this.layer.append(element);
      shown.push({ element });
    }
    labels.forEach((label, k) => {
      if (shown[k].words !== label.words) shown[k].element.textContent = label.words;
      Object.assign(shown[k], label);
    });
    this.sets.set(kind, shown);
  }

  /** After the camera moved. */
  place(screenOf) {
    for (const labels of this.sets.values())
      for (const { element, at, box } of labels) {
        const { x, y: middle, behind } = screenOf(at);
        const y = box ? Math.max(...cornersOf(box).map((corner) => screenOf(corner).y)) + BELOW : middle;
        element.style.display = behind ? "none" : "";
        element.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px) translate(-50%, -50%)`;
      }
  }
}
