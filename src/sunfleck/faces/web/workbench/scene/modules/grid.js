// Where a thing may be put: on the grid, in the box. Plain numbers, three to a place. [m]

const BEYOND = 2; // how far what hangs outside may be moved away [m]
const TINY = 1e-9;

/**
 * How far a thing may go along an axis: no further out than the box, or than it is already; what is wholly outside goes
 * where it likes.
 * @returns {[number, number]}
 */
export function roomFor(low, high, size) {
  if (low >= size - TINY || high <= TINY) return [-BEYOND, BEYOND];
  return [Math.min(0, -low), Math.max(0, size - high)];
}

/** A way along one axis that ends on the grid and in the room there is. */
export function snapped(way, from, step, [least, most]) {
  if (Math.abs(way) < TINY) return 0;
  if (!step) return Math.min(most, Math.max(least, way));
  const to = (place) => place * step - from;
  const found = to(Math.round((from + way) / step));
  if (found > most + TINY) return Math.max(0, to(Math.floor((from + most) / step + 1e-6)));
  if (found < least - TINY) return Math.min(0, to(Math.ceil((from + least) / step - 1e-6)));
  return found;
}

/** Without the dust of binary fractions: plans are written in tenths of a millimetre at most. */
export const clean = (way) => way.map((each) => Number(each.toFixed(6)) + 0);
