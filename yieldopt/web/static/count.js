// At the dealer's: board feet and money of the boards chosen, and whether they can cover a job.
import {button, el} from "./dom.js";
import {all, fact, keep} from "./store.js";
import {ask} from "./sync.js";
import {cost, feet, missing, wood} from "./needs.js";
export async function countRoom(room) {
  const boards = await all("boards"), waiting = new Set((await all("ops")).map(o => o.board)), jobs = (await fact("jobs", [])).filter(j => !j.error);
  const chosen = new Set((await fact("chosen", boards.map(b => b.id))));
  const out = el("div", {"aria-live": "polite"}), sum = el("div", {"aria-live": "polite"});
  let job = jobs[0];
  const picked = () => boards.filter(b => chosen.has(b.id));
  function total() {
    const mine = picked(), prices = mine.map(cost), known = prices.filter(p => p !== null);
    sum.replaceChildren(el("p", {class: "big", id: "feet"}, `${mine.reduce((s, b) => s + feet(wood(b)), 0).toFixed(2)} board feet`), el("p", {class: "big", id: "money"}, `${known.reduce((s, p) => s + p, 0).toFixed(2)} in money`),
      el("p", {}, `${mine.length} boards, exact measure, worked out on this phone${known.length < prices.length ? `; ${prices.length - known.length} without a price` : ""}.`));
    if (job) { const lacks = missing(job, mine); sum.append(el("h2", {}, `Necessary tests for ${job.name}`), el("p", {}, lacks.length ? "These are missing for certain:" : "Nothing is missing for certain. That does not say it is enough."), el("ul", {id: "lacks"}, lacks.map(l => el("li", {}, l)))); }
  }
  const ids = () => picked().filter(b => b.version && !waiting.has(b.id)).map(b => b.id);
  async function quick() {
    out.replaceChildren(el("p", {}, "Planning for a few seconds…"));
    const sent = ids(), r = await ask(`/api/jobs/${job.number}/enough`, {method: "POST", body: JSON.stringify({boards: sent, wait: 10}), patience: 40000});
    const left = picked().length - sent.length, note = left ? ` ${left} boards are only on this phone and were left out.` : "";
    out.replaceChildren(!r.ok ? el("p", {class: "say"}, `No answer: ${r.body.error}.`) : el("div", {class: "say", id: "quick"}, el("p", {}, r.body.words + note), el("ul", {}, r.body.missing.map(m => el("li", {}, `${m.qty} × ${m.part}: ${m.why}`)), r.body.shopping.map(t => el("li", {}, t)), r.body.held.map(h => el("li", {}, `${h.board} is held for ${h.job}`)))));
  }
  async function dealer() {
    const r = await ask("/api/tally", {method: "POST", body: JSON.stringify({boards: ids()})});
    out.replaceChildren(el("p", {class: "say"}, r.ok ? `As the dealer counts, the ${r.body.boards} boards in the rack: ${r.body.counted} board feet, ${r.body.price_counted.toFixed(2)} in money.` : `Not counted: ${r.body.error}.`));
  }
  const toggle = b => el("li", {}, el("label", {}, el("input", {type: "checkbox", checked: chosen.has(b.id), onchange: async e => { if (e.target.checked) chosen.add(b.id); else chosen.delete(b.id); total(); await keep("chosen", [...chosen]); }}), ` ${b.cells.board} ${b.cells.quarters} ${b.cells.species}, ${feet(wood(b)).toFixed(2)}`));
  const choose = jobs.length > 1 && el("label", {}, "Job", el("select", {onchange: e => { job = jobs[e.target.value]; total(); }}, jobs.map((j, i) => el("option", {value: i}, j.name))));
  room.replaceChildren(...[el("h1", {}, "Count"), choose, sum, el("div", {class: "row"}, job && button("Quick plan", quick, {class: "main"}), button("As the dealer counts", dealer)), out, el("h2", {}, "Boards chosen"), el("ul", {class: "list"}, boards.map(toggle))].filter(Boolean));
  total();
}
