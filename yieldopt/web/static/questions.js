// What the rack did not simply take: two versions of a board, a name that is taken, a refusal.
import {button, el, link} from "./dom.js";
import {merge, put} from "./merging.js";
import {all, change, wait} from "./store.js";
import {answer, tell} from "./sync.js";

const WORDS = {defects: "marks", edges: "outline"};
const word = k => WORDS[k] ?? k.slice("cells.".length).replaceAll("_", " ");
const ROWS = {
  defects: d => `${d.kind} ${d.face || "both"} at ${d.x}, ${d.y}, ${d.length} by ${d.width}`,
  edges: e => `${e.x}: ${e.near || "0"} to ${e.far}`,
};

/** What part `k` of a version says, for a person. */
function said(k, version) {
  if (ROWS[k]) return (version[k] ?? []).map(ROWS[k]).join("; ") || "none";
  return version.cells[k.slice("cells.".length)] ?? "–";
}

/**
 * Where two versions differ in different places, both changes are kept without a question.
 * @returns {Promise<void>} once every such change is on its way
 */
export async function mergeQuietly() {
  for (const op of inTrouble(await all("ops"))) {
    const {theirs} = op.trouble;
    if (!op.was || theirs?.id !== op.board || theirs.state !== "on rack") continue;
    const {merged, clashes} = merge(op.was, op, theirs);
    if (!clashes.length) await answer(op, "mine", merged);
  }
}

/** The questions that are open, each with keys to answer it. */
export const questions = ops => inTrouble(ops).map(question);

/** Changes that the rack did not take, each with what this phone has of the board by now. */
const inTrouble = ops =>
  ops
    .filter(o => o.trouble)
    .map(op => {
      const {cells, defects, edges} =
        ops.filter(o => op.cells && o.board === op.board && o.cells).at(-1) ?? op;
      return {...op, cells, defects, edges};
    });

function question(op) {
  if (op.tick || op.photo) return refusedTick(op);
  if (!op.trouble.theirs) return refused(op);
  return op.trouble.theirs.id !== op.board ? sameName(op) : changedElsewhere(op);
}

function refusedTick(op) {
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

function refused(op) {
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

function sameName(op) {
  const name = op.cells.board,
    rename = el("input", {value: `${name} b`, "aria-label": "New name"});
  const mine = () => answer(op, "mine", {...op, cells: {...op.cells, board: rename.value}});
  const {clashes} = merge(null, op, op.trouble.theirs);
  return el(
    "li",
    {class: "say"},
    el("p", {}, `There is a ${name} on the rack already.`),
    table(op, clashes, () => null),
    el(
      "div",
      {class: "row"},
      rename,
      button("Give mine this name", mine),
      button("Same board: drop mine", () => answer(op, "theirs")),
    ),
  );
}

function changedElsewhere(op) {
  const {merged, clashes} = merge(op.was ?? null, op, op.trouble.theirs);
  const box = el("li", {class: "say"}),
    marked = new Map(clashes.map(k => [k, "mine"]));
  const keep = () => {
    const version = {...merged, cells: {...merged.cells}};
    for (const [k, side] of marked) put(version, k, side === "mine" ? op : op.trouble.theirs);
    return answer(op, "mine", version);
  };
  const all = side => () => {
    for (const k of clashes) marked.set(k, side);
    return keep();
  };
  const draw = () =>
    box.replaceChildren(
      el("p", {}, `${op.cells.board} was changed elsewhere too. Which holds? Tap it.`),
      table(op, clashes, (k, side) => ({
        pressed: marked.get(k) === side,
        pick: () => {
          marked.set(k, side);
          draw();
        },
      })),
      el(
        "div",
        {class: "row"},
        button("Keep what is marked", keep, {class: "main"}),
        button("Take this phone's", all("mine")),
        button("Take the rack's", all("theirs")),
      ),
    );
  draw();
  return box;
}

/** Both sides of what differs; `key` says whether a side is marked and what marks it, or null. */
function table(op, clashes, key) {
  const side = (k, which, version) => {
    const {pressed, pick} = key(k, which) ?? {},
      text = said(k, version);
    return el("td", {}, pick ? button(text, pick, {"aria-pressed": String(pressed)}) : text);
  };
  return el(
    "table",
    {},
    el(
      "tr",
      {},
      ["", "this phone", "the rack"].map(t => el("th", {scope: "col"}, t)),
    ),
    clashes.map(k =>
      el(
        "tr",
        {},
        el("th", {scope: "row"}, word(k)),
        side(k, "mine", op),
        side(k, "theirs", op.trouble.theirs),
      ),
    ),
  );
}
