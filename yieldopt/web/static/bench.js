// The bench: the plans, a plan's boards, a board's cuts one at a time. What is kept on the phone shows
// at once; what the rack says comes after.
import {button, count, el, link, show} from "./dom.js";
import {Cutting} from "./cutting.js";
import {handOff} from "./hand.js";
import {replanning} from "./replan.js";
import {stillGood} from "./stillgood.js";
import {fact, keep} from "./store.js";
import {ask} from "./sync.js";
import {fetchPlan, planHere} from "./ticks.js";

/** The room. Gives back how to show it anew. */
export function benchRoom(room, number, stem) {
  return number === undefined ? plansRoom(room) : planRoom(room, number, stem);
}

async function plansRoom(room) {
  const draw = plans =>
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
  const load = async () => draw(await fact("bench", []));
  await load();
  ask("/api/bench").then(async offer => {
    if (offer.ok) await keep("bench", offer.body);
    if (room.isConnected) await load();
  });
  return load;
}

/**
 * Named with the plan it belongs to: without signal, a sheet kept of an older plan must not pass for one
 * of this plan.
 */
export const sheetOf = (number, plan, board, page) =>
  `/api/bench/${number}/sheets/${encodeURIComponent(board.stem)}/${page}.svg?plan=${plan.plan}`;

/** Every sheet of the plan is fetched once while there is signal; the service worker keeps them. */
async function keepSheets(number, plan) {
  const name = `sheets ${number}`;
  if (!navigator.serviceWorker?.controller || (await fact(name, "")) === plan.plan) return;
  for (const b of plan.boards) {
    for (let i = 0; i < b.pages.length; i++) {
      const r = await fetch(sheetOf(number, plan, b, i)).catch(() => null);
      if (!r?.ok) return;
    }
  }
  await keep(name, plan.plan);
}

async function planRoom(room, number, stem) {
  const cutting = stem && new Cutting(room, number, stem, () => draw());
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

const made = things => things.filter(t => t.state === "done").length;

function boards(room, number, plan, load) {
  const line = b =>
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
