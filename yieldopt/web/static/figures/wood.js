// A board's outline, board feet and price, as this phone can tell them by itself without signal.
import {inches} from "./lengths.js";
import {CUBIC_INCHES_IN_A_BOARD_FOOT, CUBIC_INCHES_IN_A_CUBIC_METRE} from "./trade.js";

/** @import {Version} from "./valid.js" */

/**
 * Nominal thickness in inches of `8/4` or `52mm`.
 * @param {string | undefined} quarters
 */
export function nominal(quarters) {
  const m = /^(\d+)\/4$/.exec(quarters ?? "");
  return m ? Number(m[1]) / 4 : (inches(quarters) ?? 0);
}

/**
 * The edges of a board from end to end, in inches: straight between measured places, level beyond.
 * @param {Version} board
 * @returns {[number, number, number][]} rows of x, near, far
 */
export function outline(board) {
  const length = inches(board.cells.length) ?? 96;
  const rows = board.edges
    .map(e => row(inches(e.x), inches(e.near || "0"), inches(e.far)))
    .sort((a, z) => a[0] - z[0]);
  const [first, last] = [rows[0], rows.at(-1)];
  if (!first || !last) {
    const width = inches(board.cells.width) ?? 8;
    return [row(0, 0, width), row(length, 0, width)];
  }
  return [row(0, first[1], first[2]), ...rows, row(length, last[1], last[2])];
}

/**
 * @param {(number | null)[]} figures
 * @returns {[number, number, number]}
 */
const row = (...[x, near, far]) => [x ?? 0, near ?? 0, far ?? 0];

/**
 * Length, the lowest near and the highest far edge, in inches.
 * @param {Version} board
 */
export function extent(board) {
  const rows = outline(board);
  return {
    length: rows[rows.length - 1][0],
    low: Math.min(...rows.map(r => r[1])),
    high: Math.max(...rows.map(r => r[2])),
  };
}

/**
 * Square inches of the outline.
 * @param {Version} board
 */
function area(board) {
  if (!board.edges.length) {
    return (inches(board.cells.length) ?? 0) * (inches(board.cells.width) ?? 0);
  }
  const rows = outline(board).map(([x, near, far]) => [x, far - near]);
  return rows
    .slice(1)
    .reduce((sum, [x, w], i) => sum + ((x - rows[i][0]) * (w + rows[i][1])) / 2, 0);
}

/** Cubic inches of its nominal thickness. */
const volume = (/** @type {Version} */ board) => area(board) * nominal(board.cells.quarters);

/** Board feet, exact measure. */
export const feet = (/** @type {Version} */ board) => volume(board) / CUBIC_INCHES_IN_A_BOARD_FOOT;

/**
 * What it costs; null where no price is known.
 * @param {Version} board
 */
export function cost(board) {
  const c = board.cells;
  if (c.cost) return Number(c.cost);
  if (c.price_bf) return feet(board) * Number(c.price_bf);
  const cubic = volume(board) / CUBIC_INCHES_IN_A_CUBIC_METRE;
  return c.price_m3 ? cubic * Number(c.price_m3) : null;
}
