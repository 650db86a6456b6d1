// Cells as a spreadsheet puts them on the clipboard: tabs between cells, a line a row, quotes round
// what holds either.

/** @param {string[][]} cells */
export const copied = cells =>
  cells
    .map(row => row.map(c => (/[\t\n\r"]/.test(c) ? `"${c.replaceAll('"', '""')}"` : c)).join("\t"))
    .join("\n");

/**
 * The cells of a text that was copied out of a spreadsheet.
 * @param {string} text
 * @returns {string[][]}
 */
export function pasted(text) {
  /** @type {string[][]} */
  const rows = [[]];
  for (const [, cell, end] of text.matchAll(CELL)) {
    rows[rows.length - 1].push(cell.startsWith('"') && QUOTED.test(cell) ? plain(cell) : cell);
    if (end === "") break;
    if (end !== "\t") rows.push([]);
  }
  // The last line ends with a line break in most programs.
  if (rows.length > 1 && rows[rows.length - 1].join("") === "") rows.pop();
  return rows;
}

// A cell, in quotes where they have their partner (the inch mark of a length has none), and what
// ends it.
const CELL = /("(?:[^"]|"")*"(?=[\t\r\n]|$)|[^\t\r\n]*)(\t|\r\n|\r|\n|$)/gy;
const QUOTED = /^"(?:[^"]|"")*"$/;
const plain = (/** @type {string} */ cell) => cell.slice(1, -1).replaceAll('""', '"');
