// The table of wishes: pieces that stay where the eye has put them.

/** @typedef {import("./merging.js").Table} Table */

/** Whether there is a wish for a piece. @param {Table} pins @param {string} piece */
export const wished = (pins, piece) => {
  const at = pins.columns.indexOf("piece");
  return pins.rows.some(row => row[at] === piece);
};

/**
 * The table with a wish, in place of one for the same piece.
 * @param {Table} pins
 * @param {Record<string, string>} wish its cells by column
 */
export function withWish(pins, wish) {
  const columns = [...new Set([...pins.columns, ...Object.keys(wish)])];
  const rows = without(pins, wish.piece).map(old => columns.map((_, n) => old[n] ?? ""));
  return {columns, rows: [...rows, columns.map(c => wish[c] ?? "")]};
}

/** Its rows without the wish for a piece. @param {Table} pins @param {string} piece */
export const without = (pins, piece) => {
  const at = pins.columns.indexOf("piece");
  return pins.rows.filter(row => row[at] !== piece);
};
