// The elements round the picture: canvas, layers for words and marks, and what a screen reader is told.
import { STYLE } from "./style.js";

let count = 0;

const element = (tag, className, properties = {}) => Object.assign(document.createElement(tag), { className, ...properties });

/**
 * Fill the root: all that is ours is in a frame inside it.
 * @param {HTMLElement} root
 * @param {import("./lengths.js").Words} words
 */
export function furnish(root, words) {
  const id = `sf-keys-${++count}`;
  const canvas = element("canvas", "", { tabIndex: 0 });
  canvas.setAttribute("role", "application");
  canvas.setAttribute("aria-label", words.say("scene"));
  canvas.setAttribute("aria-describedby", id);
  const wordLayer = element("div", "sf-words");
  wordLayer.setAttribute("aria-hidden", "true");
  const markLayer = element("div", "sf-marks");
  const live = element("div", "sf-aside");
  live.setAttribute("aria-live", "polite");
  const missing = element("p", "sf-none", { textContent: words.say("no-3d"), hidden: true });
  // The root's own class and style belong to the page, which may set them anew.
  const frame = element("div", "sf-view");
  root.replaceChildren(frame);
  frame.replaceChildren(
    element("style", "", { textContent: STYLE }),
    canvas,
    wordLayer,
    markLayer,
    element("div", "sf-ring"),
    element("p", "sf-hint", { textContent: words.say("tap") }),
    element("p", "sf-aside", { id, textContent: words.say("keys") }),
    live,
    missing,
  );
  return { frame, canvas, wordLayer, markLayer, live, missing };
}
