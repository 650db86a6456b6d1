// What the rack did not simply take: two versions of a board, a name that is taken, a refusal.
import {mergedQuietly, troubled} from "../figures/deciding.js";
import {merge, put} from "../figures/merging.js";
import {tell} from "../state/reach.js";
import {answer} from "../state/saving.js";
import {all, change, wait} from "../state/store.js";
import {button, el, link} from "../view/dom.js";

/** @import {Disputed, Refused} from "../figures/deciding.js" */
/** @import {Board, Edge, Flaw, Op, Version} from "../figures/valid.js" */
/** @typedef {"mine" | "theirs"} Side */
/**
 * @typedef {{pressed: boolean, pick: () => void}} Key whether a side is marked, and what marks it
 */

/** @type {Record<string, string>} */
const WORDS = {defects: "marks", edges: "outline"};
const word = (/** @type {string} */ k) => WORDS[k] ?? k.slice("cells.".length).replaceAll("_", " ");
const flaw = (/** @type {Flaw} */ d) =>
  `${d.kind} ${d.face || "both"} at ${d.x}, ${d.y}, ${d.length} by ${d.width}`;
const edge = (/** @type {Edge} */ e) => `${e.x}: ${e.near || "0"} to ${e.far}`;

/**
 * What part `k` of a version says, for a person.
 * @param {string} k
 * @param {Version} version
 */
function said(k, version) {
  if (k === "defects") return (version.defects ?? []).map(flaw).join("; ") || "none";
  if (k === "edges") return (version.edges ?? []).map(edge).join("; ") || "none";
  return version.cells[k.slice("cells.".length)] ?? "–";
}

/** Where two versions differ in different places, both changes are kept without a question. */
export async function mergeQuietly() {
  for (const op of troubled(await all("ops")).boards) {
    const merged = mergedQuietly(op);
    if (merged) await answer(op, "mine", merged);
  }
}

/**
 * The questions that are open, each with keys to answer it.
 * @param {Op[]} ops
 */
export function questions(ops) {
  const {boards, others} = troubled(ops);
  return [...boards.map(question), ...others.map(refused)];
}

/** @param {Disputed} op */
function question(op) {
  const {theirs} = op.trouble;
  if (!theirs) return notTaken(op);
  return theirs.id === op.board ? changedElsewhere(op, theirs) : sameName(op, theirs);
}

/** @param {Refused} op */
function refused(op) {
  const {tick, trouble} = op,
    what = tick?.piece ?? (tick?.cut ? `cut ${tick.cut}` : "a defect");
  const drop = () => change(["ops"], s => wait(s.ops.delete(op.n))).then(tell);
  const of = tick ? `The tick at ${tick.board} (${what})` : "A photo";
  return el(
    "li",
    {class: "say"},
    el("p", {}, `${of} was not taken: ${trouble.error}.`),
    button("Drop it", drop),
  );
}

/** @param {Disputed} op */
function notTaken(op) {
  const why = op.trouble.error ?? JSON.stringify(op.trouble.detail);
  return el(
    "li",
    {class: "say"},
    el("p", {}, `The rack did not take ${op.cells.board}: ${why}`),
    el(
      "div",
      {class: "row"},
      link("Correct it", `#/log/${op.board}`),
      button("Drop it", () => answer(op, "theirs")),
    ),
  );
}

/**
 * @param {Disputed} op
 * @param {Board} theirs
 */
function sameName(op, theirs) {
  const name = op.cells.board,
    rename = el("input", {value: `${name} b`, "aria-label": "New name"});
  const mine = () => answer(op, "mine", {...op, cells: {...op.cells, board: rename.value}});
  const {clashes} = merge(null, op, theirs);
  return el(
    "li",
    {class: "say"},
    el("p", {}, `There is a ${name} on the rack already.`),
    table(op, theirs, clashes, () => null),
    el(
      "div",
      {class: "row"},
      rename,
      button("Give mine this name", mine),
      button("Same board: drop mine", () => answer(op, "theirs")),
    ),
  );
}

/**
 * @param {Disputed} op
 * @param {Board} theirs
 */
function changedElsewhere(op, theirs) {
  const {merged, clashes} = merge(op.was ?? null, op, theirs),
    box = el("li", {class: "say"});
  const marked = markedSoFar(op, theirs, clashes);
  const keep = () => {
    const version = {...merged, cells: {...merged.cells}};
    for (const [k, side] of marked) put(version, k, side === "mine" ? op : theirs);
    return answer(op, "mine", version);
  };
  const take = (/** @type {Side} */ side) => () => {
    for (const k of clashes) marked.set(k, side);
    return keep();
  };
  /**
   * @param {string} k
   * @param {Side} side
   */
  const key = (k, side) => ({
    pressed: marked.get(k) === side,
    pick: () => {
      marked.set(k, side);
      draw();
    },
  });
  const draw = () =>
    box.replaceChildren(
      el("p", {}, `${op.cells.board} was changed elsewhere too. Which holds? Tap it.`),
      table(op, theirs, clashes, key),
      el(
        "div",
        {class: "row"},
        button("Keep what is marked", keep, {class: "main"}),
        button("Take this phone's", take("mine")),
        button("Take the rack's", take("theirs")),
      ),
    );
  draw();
  return box;
}

/**
 * What is marked of a question that is open, by the change and the version that it is about: the
 * room may be drawn anew before it is answered.
 * @type {Map<string, Map<string, Side>>}
 */
const open = new Map();

/**
 * @param {Disputed} op
 * @param {Board} theirs
 * @param {string[]} clashes
 * @returns {Map<string, Side>}
 */
function markedSoFar(op, theirs, clashes) {
  const question = JSON.stringify([op.n, theirs.version, clashes]);
  const marked = open.get(question) ?? new Map(clashes.map(k => [k, "mine"]));
  open.set(question, marked);
  return marked;
}

/**
 * Both sides of what differs.
 * @param {Version} mine
 * @param {Version} theirs
 * @param {string[]} clashes
 * @param {(k: string, side: Side) => Key | null} key of one side; null: only to look at
 */
function table(mine, theirs, clashes, key) {
  const side = (/** @type {string} */ k, /** @type {Side} */ which) => {
    const at = key(k, which),
      text = said(k, which === "mine" ? mine : theirs);
    return el("td", {}, at ? button(text, at.pick, {"aria-pressed": String(at.pressed)}) : text);
  };
  const heads = ["", "this phone", "the rack"].map(t => el("th", {scope: "col"}, t));
  const line = (/** @type {string} */ k) =>
    el("tr", {}, el("th", {scope: "row"}, word(k)), side(k, "mine"), side(k, "theirs"));
  return el("table", {}, el("tr", {}, heads), clashes.map(line));
}
