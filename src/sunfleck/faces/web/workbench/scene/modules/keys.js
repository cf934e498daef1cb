// The picture by keys alone. Tab is not among them: it leaves.
import { VIEW_NAMES } from "./camera.js";

const TURN = Math.PI / 24;
const NEARER = 0.88;
const MOVES = {
  ArrowLeft: [-1, 0, 0],
  ArrowRight: [1, 0, 0],
  ArrowUp: [0, 1, 0],
  ArrowDown: [0, -1, 0],
  PageUp: [0, 0, 1],
  PageDown: [0, 0, -1],
};
const TURNS = { ArrowLeft: [-TURN, 0], ArrowRight: [TURN, 0], ArrowUp: [0, TURN], ArrowDown: [0, -TURN] };
const COMMANDS = { d: "duplicate", z: "undo", y: "redo", Z: "redo" };

/**
 * Do what a key asks for.
 * @param {import("./view.js").View} view
 * @param {KeyboardEvent} event
 */
export function pressed(view, event) {
  if (event.altKey) return;
  const held = event.ctrlKey || event.metaKey;
  if (held ? withControl(view, event) : plainKey(view, event)) {
    event.preventDefault();
    event.stopPropagation();
  }
}

function withControl(view, event) {
  const turn = TURNS[event.key];
  if (turn) view.orbit.turn(...turn);
  const command = COMMANDS[event.key];
  if (command) view.command(command);
  return Boolean(turn || command);
}

function plainKey(view, event) {
  const { key } = event;
  const named = VIEW_NAMES[Number(key) - 1];
  if (MOVES[key]) return nudged(view, MOVES[key], event.shiftKey ? 10 : 1);
  if (named && key.length === 1) view.look(named);
  else if (key === "+" || key === "=") view.orbit.zoom(NEARER);
  else if (key === "-") view.orbit.zoom(1 / NEARER);
  else if (key === "," || key === ".") view.goOn(key === "." ? 1 : -1);
  else if (key === "Delete") view.command("delete");
  else if (key === "a" || key === "A") view.aimByKeys();
  else if (key === "Escape") view.letGo();
  else return false;
  return true;
}

function nudged(view, way, times) {
  const item = view.selectedItem();
  // Without anything chosen the arrows belong to the page.
  if (!item?.sent.movable) return false;
  view.moves.nudge(
    item.sent.key,
    way.map((each) => each * times),
    view.aiming && Boolean(item.aim),
  );
  return true;
}
