// Marks on a board as a finger puts, moves and sizes them, in inches: `x` from the datum end, `y`
// from the near edge. Figures that are typed may be finer.
import {fraction, inches} from "./lengths.js";
import {THROUGH} from "./trade.js";

/** @import {Flaw} from "./valid.js" */
/** @typedef {{x: number, y: number}} Place */
/** @typedef {Place & {length: number, width: number}} Area */
/** @typedef {{length: number, low: number, high: number}} Extent of a board */

/** Marks are put, moved and sized by quarter inches. */
export const STEP = 0.25;
// Written to the sixteenth, and a tap marks an inch.
const FINEST = 16,
  TAPPED = 1;

const snap = (/** @type {number} */ v) => Math.round(v / STEP) * STEP;

/**
 * @param {number} v
 * @param {number} low
 * @param {number} high
 */
const between = (v, low, high) => Math.min(Math.max(v, low), high);

/**
 * Where a mark lies; a figure that is no length counts as nothing.
 * @param {Flaw} f
 * @returns {Area}
 */
export const areaOf = f => ({
  x: inches(f.x) ?? 0,
  y: inches(f.y) ?? 0,
  length: inches(f.length) ?? 0,
  width: inches(f.width) ?? 0,
});

/**
 * The same on the wood: no larger than the board, no smaller than a step, nowhere beyond an edge.
 * @param {Area} a
 * @param {Extent} board
 * @returns {Area}
 */
export function onWood(a, {length, low, high}) {
  const l = between(a.length, STEP, length),
    w = between(a.width, STEP, high - low);
  return {length: l, width: w, x: between(a.x, 0, length - l), y: between(a.y, low, high - w)};
}

/**
 * As it is typed, on the wood.
 * @param {Area} a
 * @param {Extent} board
 */
export function typed(a, board) {
  const {x, y, length, width} = onWood(a, board),
    text = (/** @type {number} */ v) => fraction(v, FINEST);
  return {x: text(x), y: text(y), length: text(length), width: text(width)};
}

/**
 * What a tap marks: an inch round the finger.
 * @param {Place} p
 * @returns {Area}
 */
export const tapped = p => ({
  x: snap(p.x - TAPPED / 2),
  y: snap(p.y - TAPPED / 2),
  length: TAPPED,
  width: TAPPED,
});

/**
 * What a drag from one place to another marks.
 * @param {Place} from
 * @param {Place} to
 * @returns {Area}
 */
export const spanned = (from, to) => ({
  x: snap(Math.min(from.x, to.x)),
  y: snap(Math.min(from.y, to.y)),
  length: snap(Math.abs(to.x - from.x)),
  width: snap(Math.abs(to.y - from.y)),
});

/**
 * @param {Area} was
 * @param {number} dx
 * @param {number} dy
 * @returns {Area}
 */
export const moved = (was, dx, dy) => ({...was, x: snap(was.x + dx), y: snap(was.y + dy)});

/**
 * @param {Area} was
 * @param {number} dx
 * @param {number} dy
 * @returns {Area}
 */
export const sized = (was, dx, dy) => ({
  ...was,
  length: snap(was.length + dx),
  width: snap(was.width + dy),
});

/**
 * One step of a key: from where the mark is, however fine that was typed.
 * @param {Area} was
 * @param {[number, number]} way along the board and across it
 * @param {boolean} sizing
 * @returns {Area}
 */
export function stepped(was, [along, aside], sizing) {
  const [dx, dy] = [along * STEP, aside * STEP];
  return sizing
    ? {...was, length: was.length + dx, width: was.width + dy}
    : {...was, x: was.x + dx, y: was.y + dy};
}

/**
 * Whether a mark shows on a face: it is logged on it or on both, or goes through the board.
 * @param {Flaw} f
 * @param {string} face
 */
export const seenOn = (f, face) =>
  !f.face || f.face === "both" || f.face === face || THROUGH.includes(f.kind);

/** In words, for who can't see the drawing. */
export const words = (/** @type {Flaw} */ f) =>
  `${f.kind}, ${f.x} from the datum end, ${f.y} from the near edge, ${f.length} long, ` +
  `${f.width} wide`;
