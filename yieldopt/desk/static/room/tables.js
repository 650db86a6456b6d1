// The parts list and the job's other tables, each a grid.
import {button, choice, el, show} from "../shared/dom.js";
import {keepingFocus} from "../view/focus.js";
import {grid} from "../view/grid.js";

/** What each table is called here, and what it is for. */
/** @type {Record<string, [string, string]>} */
export const TABLES = {
  parts: ["Parts", "What is to be made: finished sizes, length along the grain."],
  boards: ["Boards", "What there is: each board as measured."],
  defects: [
    "Defects",
    "The smallest rectangle round each defect: from the datum end, from the near edge.",
  ],
  edges: [
    "Edges",
    "Outlines of boards that are no rectangles: both edges at a distance from the datum end.",
  ],
  pins: ["Wishes", "Pieces that must lie where the eye has put them."],
  prices: ["Prices", "What dealers ask."],
};

const KINDS = ["book", "slip", "run", "board"];

/**
 * @param {HTMLElement} room
 * @param {import("../state/job.js").Job} job
 * @param {string} stem
 * @returns {() => void} what ends it
 */
export function tableRoom(room, job, stem) {
  const said = el("p", {class: "cell-said", role: "status"});
  const table = () => job.tables[stem];
  const here = () => job.mistakes.filter(m => m.table === stem);
  const sheet = grid({
    word: TABLES[stem][0],
    table,
    edit: change => job.edit(stem, change),
    undo: () => job.undo(),
    redo: () => job.redo(),
    wrong: (row, column) =>
      here()
        .filter(m => m.row === row && m.column === column)
        .map(m => m.text),
    rowWrong: row =>
      here()
        .filter(m => m.row === row && !table().columns.includes(m.column ?? ""))
        .map(m => m.text),
    needed: job.known[stem].needed,
    choices: column => choices(job, stem, column),
    say: text => (said.textContent = text),
  });
  const list = el("ul", {class: "mistakes"});
  const keys = el("div", {class: "keys"});
  const others = el(
    "nav",
    {class: "tabs", "aria-label": "Tables"},
    Object.entries(TABLES).map(([s, [word]]) =>
      el("a", {href: `#/table/${s}`, "aria-current": s === stem ? "page" : null}, word),
    ),
  );

  const draw = () => keepingFocus(room, drawAll);

  function drawAll() {
    sheet.refresh();
    const wrong = here();
    show(
      list,
      wrong
        .slice(0, 12)
        .map(m =>
          el(
            "li",
            {},
            m.row === null
              ? m.text
              : button(
                  m.text,
                  () => sheet.go(m.row ?? 0, Math.max(0, table().columns.indexOf(m.column ?? ""))),
                  {class: "quiet"},
                ),
          ),
        ),
      wrong.length > 12 ? el("li", {}, `and ${wrong.length - 12} more`) : null,
      wrong.length ? null : job.remarks.map(r => el("li", {class: "remark"}, r)),
    );
    const unused = [...job.known[stem].needed, ...job.known[stem].optional].filter(
      c => !table().columns.includes(c),
    );
    show(
      keys,
      button("Take back", () => job.undo(), {disabled: !job.past.undoable}),
      button("Do again", () => job.redo(), {disabled: !job.past.redoable}),
      button("Row out", remove),
      unused.length ? choice("Add a column", asked(unused), "", c => c && add(c)) : null,
      stem === "parts" ? choice("Match the rows", asked(KINDS), "", k => k && match(k)) : null,
    );
  }

  function remove() {
    const {from, to} = sheet.rows();
    job.edit(stem, {rows: table().rows.filter((_, r) => r < from || r > to)});
  }

  /** @param {string} column */
  function add(column) {
    const {columns, rows} = table();
    job.edit(stem, {columns: [...columns, column], rows: rows.map(row => [...row, ""])});
  }

  /** The chosen rows become one matching group. @param {string} kind */
  function match(kind) {
    const {from, to} = sheet.rows();
    let {columns, rows} = table();
    for (const c of ["match", "match_kind"]) {
      if (!columns.includes(c)) {
        columns = [...columns, c];
        rows = rows.map(row => [...row, ""]);
      }
    }
    const [name, how] = [columns.indexOf("match"), columns.indexOf("match_kind")];
    const taken = new Set(rows.map(row => row[name]));
    let n = 1;
    while (taken.has(`group ${n}`)) n++;
    rows = rows.map((row, r) =>
      r < from || r > to
        ? row
        : row.map((v, c) => (c === name ? `group ${n}` : c === how ? kind : v)),
    );
    job.edit(stem, {columns, rows});
  }

  const elsewhere = table().elsewhere;
  show(
    room,
    others,
    el("p", {class: "what"}, TABLES[stem][1]),
    elsewhere
      ? el(
          "p",
          {class: "say"},
          `This table is in ${elsewhere}: write it there, and the desk reads it.`,
        )
      : [keys, sheet.root, said, list],
  );
  job.watchers.add(draw);
  draw();
  return () => job.watchers.delete(draw);
}

/** Words to choose from, none of them at first. @param {string[]} words */
const asked = words =>
  [["", "…"], ...words.map(w => [w, w])].map(([v, t]) => /** @type {[string, string]} */ ([v, t]));

/**
 * What a cell may hold, of what is there already.
 * @param {import("../state/job.js").Job} job
 * @param {string} stem
 * @param {string} column
 */
function choices(job, stem, column) {
  const of = (/** @type {string} */ s, /** @type {string} */ c) => {
    const t = job.tables[s];
    const n = t.columns.indexOf(c);
    return n < 0 ? [] : t.rows.map(row => row[n]);
  };
  /** @type {Record<string, string[]>} */
  const known = {
    species: [...of("boards", "species"), ...of("parts", "species")],
    quarters: of("boards", "quarters"),
    board: of("boards", "board"),
    from: of("boards", "board"),
    match_kind: KINDS,
    sawn: ["flat", "rift", "quarter"],
    stress: ["tested", "unknown", "no resaw"],
    sound_ends: ["datum", "far", "both", "none"],
    face: ["A", "B", "both"],
  };
  return [...new Set(known[column] ?? of(stem, column))].filter(Boolean).slice(0, 200);
}
