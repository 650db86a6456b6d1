// Cells as a spreadsheet puts them on the clipboard: tabs between cells, a line a row, quotes round what holds either.

/** @param {string[][]} cells */
export const copied = cells =>
  cells.map(row => row.map(c => (/[\t\n\r"]/.test(c) ? `"${c.replaceAll('"', '""')}"` : c)).join("\t")).join("\n");

/**
 * The cells of a text that was copied out of a spreadsheet.
 * @param {string} text
 * @returns {string[][]}
 */
export function pasted(text) {
  const rows = [[""]];
  let quoted = false;
  for (let i = 0; i < text.length; i++) {
    const c = text[i];
    const row = rows[rows.length - 1];
    const last = row.length - 1;
    if (quoted) {
      if (c !== '"') row[last] += c;
      else if (text[i + 1] === '"') {
        row[last] += c;
        i++;
      } else quoted = false;
    } else if (c === '"' && row[last] === "" && closes(text, i)) quoted = true;
    else if (c === "\t") row.push("");
    else if (c === "\n" || c === "\r") {
      if (c === "\r" && text[i + 1] === "\n") i++;
      rows.push([""]);
    } else row[last] += c;
  }
  // The last line ends with a line break in most programs.
  if (rows.length > 1 && rows[rows.length - 1].join("") === "") rows.pop();
  return rows;
}

/** Whether a quote at the start of a cell has its partner: the inch mark of a length has none. */
function closes(text, i) {
  const end = /^"(?:[^"]|"")*"(?=[\t\r\n]|$)/.exec(text.slice(i));
  return end !== null;
}
