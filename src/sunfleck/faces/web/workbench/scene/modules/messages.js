// What the page may ask of the picture: the methods of SceneView in element.py.
import { unpack } from "./bytes.js";

const TAKES = {
  show: (view, { data }) => view.show(unpack(data)),
  paint: (view, { seq, data }) => view.paint(seq, unpack(data)),
  before: (view, { data }) => view.items.before(data ? unpack(data).items : null),
  select: (view, { key }) => view.select(key),
  hide: (view, { keys }) => view.hide(keys),
  marks: (view, { marks }) => view.marks.set(marks),
  snap: (view, { step }) => (view.step = step),
  probe: (view, { on }) => view.probe(on),
  look: (view, { name }) => view.look(name),
};

/**
 * Do what a message says.
 * @param {import("./view.js").View} view
 * @param {{what: string}} message
 */
export function take(view, message) {
  TAKES[message.what]?.(view, message);
}
