// A board's outline, board feet and price, as this phone can tell them by itself without signal.
import {inches} from "./lengths.js";

const CUBIC_METRES = 0.000016387064; // in a cubic inch: 25.4 mm, cubed

/** Nominal thickness in inches of `8/4` or `52mm`. */
export function nominal(quarters) {
  const m = /^(\d+)\/4$/.exec(quarters ?? "");
  return m ? Number(m[1]) / 4 : (inches(quarters) ?? 0);
}

/**
 * The edges of a board from end to end, in inches: straight between measured places, level beyond.
 * @returns {number[][]} rows of x, near, far
 */
export function outline(board) {
  const length = inches(board.cells.length) ?? 96;
  const rows = board.edges
    .map(e => [e.x, e.near || "0", e.far].map(v => inches(v) ?? 0))
    .sort((a, z) => a[0] - z[0]);
  if (!rows.length) {
    const width = inches(board.cells.width) ?? 8;
    return [
      [0, 0, width],
      [length, 0, width],
    ];
  }
  return [[0, ...rows[0].slice(1)], ...rows, [length, ...rows.at(-1).slice(1)]];
}

/** Length, the lowest near and the highest far edge, in inches. */
export function extent(board) {
  const rows = outline(board);
  return {
    length: rows.at(-1)[0],
    low: Math.min(...rows.map(r => r[1])),
    high: Math.max(...rows.map(r => r[2])),
  };
}

/** Square inches of the outline. */
function area(board) {
  if (!board.edges.length)
    return (inches(board.cells.length) ?? 0) * (inches(board.cells.width) ?? 0);
  const rows = outline(board).map(([x, near, far]) => [x, far - near]);
  return rows
    .slice(1)
    .reduce((sum, [x, w], i) => sum + ((x - rows[i][0]) * (w + rows[i][1])) / 2, 0);
}

/** Board feet, exact measure. */
export const feet = board => (area(board) * nominal(board.cells.quarters)) / 144;

/** What it costs; null where no price is known. */
export function cost(board) {
  const c = board.cells;
  if (c.cost) return Number(c.cost);
  if (c.price_bf) return feet(board) * Number(c.price_bf);
  const cubic = area(board) * nominal(c.quarters) * CUBIC_METRES;
  return c.price_m3 ? cubic * Number(c.price_m3) : null;
}
