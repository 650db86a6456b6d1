// The table of wishes: pieces that stay where the eye has put them; and the boards to be left
// alone.
import {cell} from "./rows.js";

/** @typedef {import("./merging.js").Table} Table */

/** Whether there is a wish for a piece. @param {Table} pins @param {string} piece */
export const wished = (pins, piece) => pins.rows.some(row => cell(pins, row, "piece") === piece);

/**
 * The table with wishes, in place of those for the same pieces.
 * @param {Table} pins
 * @param {Record<string, string>[]} wishes their cells by column
 */
export function withWishes(pins, wishes) {
  const columns = [...new Set([...pins.columns, ...wishes.flatMap(w => Object.keys(w))])];
  const names = new Set(wishes.map(w => w.piece));
  const rows = pins.rows
    .filter(row => !names.has(cell(pins, row, "piece")))
    .map(old => columns.map((_, n) => old[n] ?? ""));
  return {columns, rows: [...rows, ...wishes.map(w => columns.map(c => w[c] ?? ""))]};
}

/** Its rows without the wishes for these pieces. @param {Table} pins @param {string[]} pieces */
export const without = (pins, pieces) =>
  pins.rows.filter(row => !pieces.includes(cell(pins, row, "piece")));

/** Whether a board is left alone. @param {Table} leave @param {string} board */
export const isLeft = (leave, board) => leave.rows.some(row => row[0] === board);

/**
 * The list with a board, or without it where it was there.
 * @param {Table} leave
 * @param {string} board
 */
export const leftOrNot = (leave, board) => ({
  rows: isLeft(leave, board)
    ? leave.rows.filter(row => row[0] !== board)
    : [...leave.rows, [board]],
});
