// Two programs wrote into one table: what each changed since both read it, put together where they
// did not meet.

/**
 * @typedef {{columns: string[], rows: string[][], digest: string, elsewhere: string | null}} Table
 */

/**
 * The table with the changes of both, or null where both changed a cell differently, or rows or
 *   columns moved on both sides.
 * @param {Table} base what both began with
 * @param {Table} mine
 * @param {Table} theirs
 * @returns {Table | null}
 */
export function merged(base, mine, theirs) {
  if (same(mine, base)) return theirs;
  if (same(theirs, base) || same(theirs, mine)) return {...mine, digest: theirs.digest};
  if (!alike(base.columns, mine.columns) || !alike(base.columns, theirs.columns)) return null;
  if (base.rows.length !== mine.rows.length || base.rows.length !== theirs.rows.length) return null;
  const rows = base.rows.map((row, r) =>
    row.map((was, c) => cell(was, mine.rows[r][c] ?? "", theirs.rows[r][c] ?? "")),
  );
  const whole = /** @type {string[][]} */ (rows);
  return rows.some(row => row.includes(null)) ? null : {...theirs, rows: whole};
}

/**
 * The text of a cell that both may have changed; null where they differ about it.
 * @param {string} was
 * @param {string} mine
 * @param {string} theirs
 */
function cell(was, mine, theirs) {
  if (mine === was || mine === theirs) return theirs;
  return theirs === was ? mine : null;
}

/** @param {string[]} a @param {string[]} b */
const alike = (a, b) => a.length === b.length && a.every((x, i) => x === b[i]);

/** Whether two tables say the same. @param {Table} a @param {Table} b */
export const same = (a, b) =>
  alike(a.columns, b.columns) &&
  a.rows.length === b.rows.length &&
  a.rows.every((row, r) => alike(row, b.rows[r]));
