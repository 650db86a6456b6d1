// Planning again from the phone: what is ticked stays, the rest is laid out anew at the rack.
import {button, count, el, show} from "./dom.js";
import {ask} from "./sync.js";

const AGAIN = 1500;
// By plan: the question that is open, and how the last one ended.
const asked = new Map(), ended = new Map();

/** The section of a plan's page; `done` is called when there is a new revision. */
export function replanning(number, plan, done) {
  const out = el("div", {"aria-live": "polite", id: "replan"});
  const spoiled = plan.boards.flatMap(b => b.pieces).filter(p => p.state === "spoiled").length;
  const found = plan.boards.flatMap(b => b.found).length;
  const key = button("Plan again", start);
  const since = [spoiled && count(spoiled, "piece spoiled", "pieces spoiled"),
    found && count(found, "defect found", "defects found")].filter(Boolean).join(", ");

  async function start() {
    key.disabled = true;
    show(out, el("p", {class: "say"}, "Asking the rack …"));
    const body = JSON.stringify({plan: plan.plan});
    follow(await ask(`/api/bench/${number}/replan`, {method: "POST", body}));
  }
  async function follow(r) {
    if (!r.ok) {
      key.disabled = false;
      show(out, el("p", {class: "say"}, `Not planned again: ${r.body.error}.`));
      return;
    }
    asked.set(number, r.body.ask);
    show(out, told(r.body));
    if (r.body.state === "done") {
      key.disabled = false;
      asked.delete(number);
      ended.set(number, r.body);
      if (r.body.revision !== plan.revision) done();
    } else setTimeout(look, AGAIN);
  }
  async function look() {
    if (!out.isConnected) return;
    const r = await ask(`/api/bench/${number}/replan/${asked.get(number)}`);
    // No signal for a moment: the rack goes on planning.
    if (r.status) follow(r);
    else setTimeout(look, AGAIN);
  }
  if (asked.has(number)) look();
  else if (ended.get(number)?.revision === plan.revision) show(out, told(ended.get(number)));
  return el("section", {}, el("h2", {}, "Plan again"),
    el("p", {}, since ? `${since} since this plan. Cuts that are made stay made.`
      : "From what is ticked off. Cuts that are made stay made."), key, out);
}

function told(a) {
  const rows = (list, words) => list?.length ? el("ul", {}, list.map(x => el("li", {}, words(x)))) : null;
  const working = a.state === "done" ? null : el("p", {class: "say"}, "Planning at the rack …");
  return [
    working, a.error && el("p", {class: "say", role: "alert"}, a.error),
    rows(a.said, line => line),
    rows(a.sheets, s => `${s.board}: ${s.how}${lines(" Rub out", s.rub_out)}${lines(" Draw", s.draw)}`),
    rows(a.unplaced, u => `Without a place: ${u.qty} × ${u.part}, ${u.why}`),
  ];
}

const lines = (word, orders) => orders?.length ? `.${word} ${orders.join(", ")}` : "";
