// The bench: the plans, a plan's boards, a board's cuts one at a time. What is kept on the phone
// shows at once; what the rack says comes after.
import {ask} from "../state/reach.js";
import {keepSheets} from "../state/sheets.js";
import {fact, keep} from "../state/store.js";
import {fetchPlan, planHere} from "../state/ticks.js";
import {button, count, el, link, show} from "../view/dom.js";
import {handOff} from "../view/hand.js";
import {Cutting} from "./cutting.js";
import {replanning} from "./replan.js";
import {stillGood} from "./stillgood.js";

/** @import {Plan, PlanBoard} from "../figures/ticked.js" */
/**
 * @typedef {object} Offer a plan that is served
 * @property {number} number
 * @property {string} job
 * @property {number} revision
 * @property {number} cuts
 * @property {number} done
 * @property {string} [error] why it can't be shown
 */

/**
 * The room. Gives back how to show it anew.
 * @param {HTMLElement} room
 * @param {string} [number] the plan
 * @param {string} [stem] a board of it
 */
export function benchRoom(room, number, stem) {
  return number === undefined ? plansRoom(room) : planRoom(room, number, stem);
}

/** @param {HTMLElement} room */
async function plansRoom(room) {
  const draw = (/** @type {Offer[]} */ plans) =>
    show(
      room,
      el("h1", {}, "Bench"),
      plans.length
        ? el(
            "ul",
            {class: "list"},
            plans.map(p =>
              el(
                "li",
                {},
                p.error
                  ? `${p.job}: ${p.error}`
                  : link(
                      `${p.job}, revision ${p.revision}: ${p.done} of ${p.cuts} cuts`,
                      `#/bench/${p.number}`,
                    ),
              ),
            ),
          )
        : el("p", {}, "No plan is served. Start the page with --plan."),
    );
  const load = async () => draw(await fact("bench", /** @type {Offer[]} */ ([])));
  await load();
  ask("/api/bench").then(async offer => {
    if (offer.ok) await keep("bench", offer.body);
    if (room.isConnected) await load();
  });
  return load;
}

/**
 * @param {HTMLElement} room
 * @param {string} number
 * @param {string} [stem]
 */
async function planRoom(room, number, stem) {
  const cutting = stem ? new Cutting(room, number, stem, () => draw()) : null;
  let drawn = "",
    pending = 0,
    asking = false;

  async function draw() {
    const plan = await planHere(number),
      text = JSON.stringify(plan);
    if (text === drawn && !cutting?.touched) return;
    drawn = text;
    await handOff();
    if (!plan) show(room, el("h1", {}, "Bench"), el("p", {}, "Asking the rack for the plan …"));
    else if (cutting) await cutting.draw(plan);
    else boards(room, number, plan, load);
  }
  async function load() {
    if (asking) return;
    asking = true;
    const r = await fetchPlan(number);
    asking = false;
    if (!room.isConnected) return;
    if (!r.ok && !(await planHere(number))) {
      show(
        room,
        el("h1", {}, "Bench"),
        el("p", {class: "say", role: "alert"}, `${r.body.error}.`),
        link("All plans", "#/bench"),
      );
      return;
    }
    if (r.ok) keepSheets(number, r.body);
    await draw();
  }
  // A tick that has arrived is one that waits no more: how the plan stands now is the rack's word.
  async function again() {
    await draw();
    const before = pending,
      plan = await planHere(number);
    pending = JSON.stringify(plan).split('"pending":true').length - 1;
    if (!plan || pending < before) await load();
  }
  await draw();
  load();
  return again;
}

const made = (/** @type {{state: string}[]} */ things) =>
  things.filter(t => t.state === "done").length;

/**
 * @param {HTMLElement} room
 * @param {string} number
 * @param {Plan} plan
 * @param {() => unknown} load
 */
function boards(room, number, plan, load) {
  const line = (/** @type {PlanBoard} */ b) =>
    link(
      `${b.board}: ${made(b.cuts)} of ${b.cuts.length} cuts`,
      `#/bench/${number}/${encodeURIComponent(b.stem)}`,
    );
  const cuts = plan.boards.flatMap(b => b.cuts);
  show(
    room,
    el("h1", {}, plan.job),
    el("p", {}, `Revision ${plan.revision}: ${made(cuts)} of ${count(cuts.length, "cut")} made.`),
    el(
      "ul",
      {class: "list"},
      plan.boards.map(b => el("li", {}, line(b))),
    ),
    replanning(number, plan, load),
    stillGood(number, plan),
    el("p", {}, button("Ask the rack again", load)),
  );
}
