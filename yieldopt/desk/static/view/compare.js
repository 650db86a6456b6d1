// Two plans beside each other: what the second costs, which boards come and go, which pieces move;
// both drawn.
import {count, el} from "../shared/dom.js";
import {boardDrawing, boardFigure, scaleFor, seen} from "./boards.js";
import {looks} from "./looks.js";

/** @typedef {import("./boards.js").Wood} Wood */
/** @typedef {import("./boards.js").Sheet} Sheet */
/** @typedef {{boards: Wood[], plan: {sheets: Sheet[], cost: number}}} Side */
/**
 * @typedef {{words: string, figures: {what: string, before: string, after: string}[],
 *   new: string[], dropped: string[],
 *   moved: {piece: string, part: string, before: string | null, after: string | null}[],
 *   before: Side, after: Side}} Compared
 */

/**
 * @param {Compared} found
 * @param {{names: [string, string], room: number, told?: boolean}} how what the two are called;
 *   pixels that there are; whether the words have been told already
 */
export function compareView(found, how) {
  const moved = new Set(found.moved.map(m => m.piece));
  const parts = [found.before, found.after].flatMap(side =>
    side.plan.sheets.flatMap(s => s.pieces.map(p => p.part)),
  );
  const tints = looks(parts);
  const changed = changedBoards(found, moved);
  const woods = [found.before, found.after].map(s => new Map(s.boards.map(b => [b.name, b])));
  const drawn = changed.flatMap(n => woods.flatMap(w => w.get(n) ?? []));
  const points = scaleFor(drawn, Math.max(300, how.room / 2 - 12));
  const column = (
    /** @type {Side} */ side,
    /** @type {number} */ n,
    /** @type {string} */ board,
  ) => {
    const wood = woods[n].get(board);
    const sheet = side.plan.sheets.find(s => s.board === board) ?? null;
    if (!wood) return el("div", {}, "");
    return boardFigure(
      wood,
      [sheet ? count(seen(sheet.pieces).length, "place") : "not cut"],
      boardDrawing(wood, sheet, points, {
        look: p => tints.get(p.part) ?? {tint: "#e3c592", pattern: ""},
        chosen: p => p.names.some(name => moved.has(name)),
      }),
    );
  };
  return [
    figuresTable(found, how.names, !how.told),
    movedList(found),
    changed.length
      ? el(
          "div",
          {class: "pairs"},
          el("h3", {}, how.names[0]),
          el("h3", {}, how.names[1]),
          changed.flatMap(b => [column(found.before, 0, b), column(found.after, 1, b)]),
        )
      : el("p", {class: "what"}, "Every board is cut as before."),
  ];
}

/**
 * Boards that aren't cut as before, those with pieces that move first.
 * @param {Compared} found
 * @param {Set<string>} moved
 */
function changedBoards(found, moved) {
  const names = [found.before, found.after].flatMap(side =>
    side.plan.sheets.filter(s => s.pieces.some(p => moved.has(p.piece))).map(s => s.board),
  );
  return [...new Set([...found.new, ...found.dropped, ...names])];
}

/** @param {Compared} found @param {[string, string]} names @param {boolean} words */
const figuresTable = (found, names, words) =>
  el(
    "table",
    {class: "figures"},
    words ? el("caption", {}, found.words) : null,
    el(
      "thead",
      {},
      el(
        "tr",
        {},
        el("td", {}),
        el("th", {scope: "col"}, names[0]),
        el("th", {scope: "col"}, names[1]),
      ),
    ),
    el(
      "tbody",
      {},
      found.figures.map(f =>
        el(
          "tr",
          {class: f.before === f.after ? "" : "differs"},
          el("th", {scope: "row"}, f.what),
          el("td", {}, f.before),
          el("td", {}, f.after),
        ),
      ),
    ),
  );

/** @param {Compared} found */
function movedList(found) {
  if (!found.moved.length) return el("p", {class: "what"}, "No piece moves.");
  const line = (/** @type {Compared["moved"][0]} */ m) =>
    `${m.piece}: ${m.before ?? "no place"} → ${m.after ?? "no place"}`;
  return el(
    "details",
    {open: found.moved.length <= 12},
    el("summary", {}, `${found.moved.length} of the pieces lie elsewhere`),
    el(
      "ul",
      {class: "moved"},
      found.moved.map(m => el("li", {}, line(m))),
    ),
  );
}
