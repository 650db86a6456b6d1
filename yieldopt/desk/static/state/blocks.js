// What blocks of cells become: emptied, filled downwards, pasted into.

/** @typedef {[number, number, string]} Change row, column, what it holds then */
/** Its first and last row and column. */
/** @typedef {{r0: number, r1: number, c0: number, c1: number}} Block */

/**
 * Every cell of the block with what it holds then.
 * @param {Block} b
 * @param {(r: number, c: number) => string} what
 * @returns {Change[]}
 */
export function each(b, what) {
  /** @type {Change[]} */
  const changes = [];
  for (let r = b.r0; r <= b.r1; r++) {
    for (let c = b.c0; c <= b.c1; c++) changes.push([r, c, what(r, c)]);
  }
  return changes;
}

/**
 * Cells from the clipboard put in from the block's first cell on; one cell goes into all that are
 * chosen.
 * @param {string[][]} cells
 * @param {Block} b
 * @param {number} wide columns that there are
 * @returns {{changes: Change[], single: boolean}}
 */
export function putIn(cells, b, wide) {
  const single = cells.length === 1 && cells[0].length === 1;
  if (single) return {changes: each(b, () => cells[0][0].trim()), single};
  const changes = cells.flatMap((row, r) =>
    row.flatMap((value, c) =>
      b.c0 + c < wide ? [/** @type {Change} */ ([b.r0 + r, b.c0 + c, value.trim()])] : [],
    ),
  );
  return {changes, single};
}
