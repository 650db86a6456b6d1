// Planning again from the phone: what is ticked stays, the rest is laid out anew at the rack.
import {ask} from "../state/reach.js";
import {button, count, el, lines, show} from "../view/dom.js";

/** @import {Plan} from "../figures/ticked.js" */
/** @typedef {{board: string, how: string, rub_out?: number[], draw?: number[]}} Sheet */
/**
 * @typedef {object} Told the rack's answer
 * @property {string} ask
 * @property {string} state
 * @property {number | null} revision
 * @property {string[]} [said]
 * @property {Sheet[]} [sheets]
 * @property {{part: string, qty: number, why: string}[]} [unplaced]
 * @property {string | null} [error]
 */
/** @typedef {{going: boolean, words: string, body?: Told}} Run */

const AGAIN = 1500;
// By plan: how the last question stands, and what shows it. A room may be drawn anew meanwhile.
/** @type {Map<string, Run>} */
const runs = new Map();
/** @type {Map<string, () => void>} */
const shown = new Map();

/**
 * The section of a plan's page; `done` is called when there is a new revision.
 * @param {string} number
 * @param {Plan} plan
 * @param {() => unknown} done
 */
export function replanning(number, plan, done) {
  const out = el("div", {"aria-live": "polite", id: "replan"});
  const key = button("Plan again", () => start(number, plan, done));
  const draw = () => {
    const run = runs.get(number);
    key.disabled = Boolean(run?.going);
    show(out, run ? told(run) : null);
  };
  shown.set(number, draw);
  draw();
  return el("section", {}, el("h2", {}, "Plan again"), el("p", {}, since(plan)), key, out);
}

/** @param {Plan} plan */
function since(plan) {
  const spoiled = plan.boards.flatMap(b => b.pieces).filter(p => p.state === "spoiled").length;
  const found = plan.boards.flatMap(b => b.found).length;
  const words = [
    spoiled && count(spoiled, "piece spoiled", "pieces spoiled"),
    found && count(found, "defect found", "defects found"),
  ].filter(Boolean);
  const from = words.length ? `${words.join(", ")} since this plan` : "From what is ticked off";
  return `${from}. Cuts that are made stay made.`;
}

/**
 * @param {string} number
 * @param {Run} run
 */
function stands(number, run) {
  runs.set(number, run);
  shown.get(number)?.();
}

/**
 * @param {string} number
 * @param {Plan} plan
 * @param {() => unknown} done
 */
async function start(number, plan, done) {
  stands(number, {going: true, words: "Asking the rack …"});
  const body = JSON.stringify({plan: plan.plan});
  let r = await ask(`/api/bench/${number}/replan`, {method: "POST", body});
  let name = r.body?.ask;
  while (r.ok && r.body.state !== "done") {
    name = r.body.ask;
    stands(number, {going: true, words: "Planning at the rack …", body: r.body});
    r = await lookAgain(number, name);
  }
  if (!r.ok) {
    stands(number, {going: false, words: `Not planned again: ${r.body.error}.`});
    return;
  }
  stands(number, {going: false, words: "", body: r.body});
  if (r.body.revision !== plan.revision) await done();
}

/**
 * No signal for a moment: the rack goes on planning, and is asked until it answers.
 * @param {string} number
 * @param {string} name
 */
async function lookAgain(number, name) {
  for (;;) {
    await new Promise(yes => setTimeout(yes, AGAIN));
    const r = await ask(`/api/bench/${number}/replan/${name}`);
    if (r.status) return r;
  }
}

/** @param {Run} run */
function told({words, body}) {
  return [
    words && el("p", {class: "say"}, words),
    body?.error && el("p", {class: "say", role: "alert"}, body.error),
    lines(body?.said, line => line),
    lines(body?.sheets, sheet),
    lines(body?.unplaced, u => `Without a place: ${u.qty} × ${u.part}, ${u.why}`),
  ];
}

/**
 * @param {string} word
 * @param {number[] | undefined} orders of cuts
 */
const cuts = (word, orders) => (orders?.length ? `. ${word} ${orders.join(", ")}` : "");
const sheet = (/** @type {Sheet} */ s) =>
  `${s.board}: ${s.how}${cuts("Rub out", s.rub_out)}${cuts("Draw", s.draw)}`;
