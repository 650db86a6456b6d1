// Tables by their columns: cells read and written by name, rows that are about one board.

/** @typedef {import("./merging.js").Table} Table */

/** @param {Table} table @param {string[]} row @param {string} column */
export const cell = (table, row, column) => row[table.columns.indexOf(column)] ?? "";

/**
 * The table with cells of one row changed; columns that it lacks are added.
 * @param {Table} table
 * @param {number} at
 * @param {Record<string, string>} cells
 */
export function withCells(table, at, cells) {
  const columns = [...new Set([...table.columns, ...Object.keys(cells)])];
  const rows = table.rows.map((row, r) =>
    columns.map((c, n) => (r === at && c in cells ? cells[c] : (row[n] ?? ""))),
  );
  return {columns, rows};
}

/** The table with one row more. @param {Table} table @param {Record<string, string>} cells */
export const withRow = (table, cells) =>
  withCells({...table, rows: [...table.rows, []]}, table.rows.length, cells);

/** The table without a row. @param {Table} table @param {number} at */
export const withoutRow = (table, at) => ({rows: table.rows.filter((_, r) => r !== at)});

/**
 * Places of the rows about this board, in their order.
 * @param {Table} table
 * @param {string} board
 */
export function rowsOf(table, board) {
  const n = table.columns.indexOf("board");
  return table.rows.flatMap((row, r) => (row[n]?.trim() === board ? [r] : []));
}
