// What lies below the cut at the bench: all cuts, pieces, defects, the whole sheet, each folded.
import {sheetOf} from "../state/sheets.js";
import {tickOff} from "../state/ticks.js";
import {button, count, el, link} from "../view/dom.js";
import {defects} from "./found.js";

/** @import {Cut, Piece} from "../figures/ticked.js" */
/** @import {Kid} from "../view/dom.js" */
/** @import {Cutting} from "./cutting.js" */

/** @param {Cutting} c */
export function below(c) {
  const {cuts, pieces, found} = c.board;
  const made = pieces.filter(p => p.state === "done").length,
    spoiled = pieces.filter(p => p.state === "spoiled").length;
  const lines = (/** @type {Kid[]} */ list, id = "") =>
    el("ul", {class: "list", id: id || null}, list);
  const all = lines(
    cuts.map(cut => cutLine(c, cut)),
    "cuts",
  );
  return [
    fold(c, "cuts", `All cuts in order (${c.done} of ${cuts.length} made)`, all),
    fold(
      c,
      "pieces",
      `Pieces (${made} of ${pieces.length} done)`,
      lines(pieces.map(p => pieceLine(c, p))),
    ),
    fold(c, "found", `Defects found (${found.length})`, defects(c)),
    fold(c, "sheet", "The whole sheet", sheet(c)),
    el("p", {}, link("All boards", `#/bench/${c.number}`)),
    el(
      "p",
      {},
      "Spoiled pieces and found defects are what planning again starts from: " +
        `${count(spoiled, "piece")} spoiled, ${count(found.length, "defect")} found on this board.`,
    ),
  ];
}

/**
 * A part of the page that stays open where it was opened.
 * @param {Cutting} c
 * @param {string} name
 * @param {string} title
 * @param {...Kid} kids
 */
function fold({at}, name, title, ...kids) {
  const remember = (/** @type {Event & {target: HTMLDetailsElement}} */ e) => {
    if (e.target.open) at.open.add(name);
    else at.open.delete(name);
  };
  const how = {open: at.open.has(name), ontoggle: remember};
  return el("details", how, el("summary", {}, title), kids);
}

/** @param {Cutting} c */
const sheet = c =>
  c.board.pages.map((_, i) =>
    el("img", {
      class: "sheet",
      loading: "lazy",
      alt: `Sheet of ${c.board.board}, page ${i + 1}`,
      src: sheetOf(c.number, c.plan, c.board, i),
    }),
  );

/**
 * @param {Cutting} c
 * @param {Cut} cut
 */
function cutLine(c, cut) {
  const made = cut.state === "done" ? " done" : "",
    words = el("span", {class: `wide${made}`}, `${cut.order}. ${cut.words}`);
  const key = button("Show", () => c.look(cut), {"aria-label": `Show cut ${cut.order}`});
  return el("li", {}, el("div", {class: "row"}, words, key));
}

/**
 * @param {Cutting} c
 * @param {Piece} p
 */
function pieceLine(c, p) {
  const tick = async (/** @type {string} */ state) => {
    const now = p.state === state ? "planned" : state;
    await tickOff(c.number, c.plan, c.board.board, {piece: p.piece, was: p.state, state: now});
    await c.again();
  };
  const key = (/** @type {string} */ state) =>
    button(state, () => tick(state), {
      "aria-pressed": String(p.state === state),
      "aria-label": `${p.piece} is ${state}`,
    });
  const waits = p.pending && el("span", {class: "phone"}, " only on this phone");
  const words = el("span", {class: "wide"}, `${p.piece} (blank ${p.blank})`, waits);
  return el("li", {}, el("div", {class: "row"}, words, ["done", "spoiled"].map(key)));
}
