// The bench: one board at a time, its sheet, its cuts in order and its pieces. Ticks wait on the phone while there is no signal.
import {button, el} from "./dom.js";
import {parse} from "./lengths.js";
import {all, fact, keep} from "./store.js";
import {ask, saveTick} from "./sync.js";
const SIZES = {x: "From the datum end", y: "From the near edge", length: "Long", width: "Wide"};
// Named with the plan it belongs to: without signal, a sheet kept of an older plan must not pass for one of this plan.
const sheetOf = (number, plan, board, page) => `/api/bench/${number}/sheets/${encodeURIComponent(board.stem)}/${page}.svg?plan=${plan.plan}`;
// Every sheet of the plan is fetched once while there is signal; the service worker keeps them.
async function keepSheets(number, plan) {
  if (!navigator.serviceWorker?.controller || await fact(`sheets ${number}`, "") === plan.plan) return;
  for (const b of plan.boards) for (let i = 0; i < b.pages.length; i++) { const r = await fetch(sheetOf(number, plan, b, i)).catch(() => null); if (!r?.ok) return; }
  await keep(`sheets ${number}`, plan.plan);
}
const key = t => `${t.board}/${t.cut ?? ""}/${t.piece ?? ""}`;
export async function benchRoom(room, number, stem) {
  if (number === undefined) {
    const offer = await ask("/api/bench");
    if (offer.ok) await keep("bench", offer.body);
    const plans = await fact("bench", []);
    room.replaceChildren(el("h1", {}, "Bench"), plans.length ? el("ul", {class: "list"}, plans.map(p => el("li", {}, p.error ? `${p.job}: ${p.error}` : el("a", {class: "key", href: `#/bench/${p.number}`}, `${p.job}, revision ${p.revision}: ${p.done} of ${p.cuts} cuts`)))) : el("p", {}, "No plan is served. Start the page with --plan."));
    return;
  }
  // Read before the plan is asked for: a tick may arrive in between, and the answer may be older than it.
  const before = await all("ops");
  const r = await ask(`/api/bench/${number}`);
  if (r.ok) { await keep(`bench ${number}`, r.body); keepSheets(number, r.body); }
  const plan = r.ok ? r.body : await fact(`bench ${number}`, null);
  if (!plan) { room.replaceChildren(el("h1", {}, "Bench"), el("p", {class: "say"}, r.body.error)); return; }
  const board = plan.boards.find(b => b.stem === stem);
  if (!board) {
    room.replaceChildren(el("h1", {}, plan.job), el("ul", {class: "list"}, plan.boards.map(b => el("li", {}, el("a", {class: "key", href: `#/bench/${number}/${encodeURIComponent(b.stem)}`}, `${b.board}: ${b.cuts.filter(c => c.state === "done").length} of ${b.cuts.length} cuts`)))), stillGood(number, plan));
    return;
  }
  const waiting = new Map(before.filter(o => o.tick?.plan === plan.plan && !o.trouble && !o.tick.found).map(o => [key(o.tick), o.tick.state]));
  const now = t => waiting.get(key({board: board.board, ...t.id})) ?? t.state;
  const send = async (id, was, state) => { await saveTick({plan_number: number, plan: plan.plan, board: board.board, ...id, was, state}); const y = scrollY; await benchRoom(room, number, stem); scrollTo(0, y); };
  const cut = c => { const id = {cut: c.order}, s = now({id, state: c.state}), done = s === "done"; return el("li", {}, el("div", {class: "row"}, el("span", {class: `wide${done ? " done" : ""}`}, `${c.order}. ${c.words}`), button(done ? "Cut ✓" : "Cut", () => send(id, s, done ? "planned" : "done"), {"aria-pressed": String(done), "aria-label": `Cut ${c.order} is made`}))); };
  const piece = p => { const id = {piece: p.piece}, s = now({id, state: p.state}); return el("li", {}, el("div", {class: "row"}, el("span", {class: "wide"}, `${p.piece} (blank ${p.blank})`), ["done", "spoiled"].map(w => button(w, () => send(id, s, s === w ? "planned" : w), {"aria-pressed": String(s === w), "aria-label": `${p.piece} is ${w}`})))); };
  const found = {kind: "check", face: "both"}, field = (k, w) => el("label", {}, w, el("input", {id: `found-${k}`, oninput: e => { found[k] = e.target.value; }}));
  const line = d => `${d.kind}, face ${d.face ?? "both"}, ${d.x} from the datum end, ${d.y} from the near edge, ${d.length} by ${d.width}`, unsent = before.filter(o => o.tick?.plan === plan.plan && o.tick.board === board.board && o.tick.found && !o.trouble);
  const lacking = el("p", {class: "say", role: "alert", hidden: true}, "");
  async function note() {
    const odd = Object.entries(SIZES).find(([k]) => parse(found[k]) === null || (k.length > 1 && !parse(found[k])));
    if (odd) { lacking.hidden = false; lacking.textContent = `${odd[1]}: a length is wanted, such as 3 1/2.`; document.getElementById(`found-${odd[0]}`).focus(); return; }
    await saveTick({plan_number: number, plan: plan.plan, board: board.board, found: {...found}}); await benchRoom(room, number, stem);
  }
  const kinds = el("label", {}, "Kind", el("select", {onchange: e => { found.kind = e.target.value; }}, document.body.dataset.kinds.split(";").map(k => el("option", {selected: k === "check"}, k))));
  const faces = el("label", {}, "Face", el("select", {onchange: e => { found.face = e.target.value; }}, ["both", "A", "B"].map(k => el("option", {}, k))));
  const images = board.pages.map((_, i) => el("img", {class: "sheet", alt: `Sheet of ${board.board}, page ${i + 1}; the cuts are listed below`, src: sheetOf(number, plan, board, i)}));
  room.replaceChildren(el("h1", {}, `${board.board}, ${board.quarters} ${board.species}`), el("p", {class: "say"}, "The machine maker's instructions, local rules and trained practice come first."), ...images, el("h2", {}, "Cuts in order"), el("ul", {class: "list", id: "cuts"}, board.cuts.map(cut)), el("h2", {}, "Pieces"), el("ul", {class: "list"}, board.pieces.map(piece)),
    el("details", {}, el("summary", {}, `A defect was found (${board.found.length + unsent.length} so far)`), el("ul", {}, board.found.map(d => el("li", {}, line(d))), unsent.map(o => el("li", {}, `${line(o.tick.found)}: only on this phone`))), kinds, faces, Object.entries(SIZES).map(([k, w]) => field(k, w)), lacking, button("Note it", note)),
    el("p", {}, "Spoiled pieces and found defects are what yieldopt replan starts from."));
}
// Is a sheet on paper still good? From its code, read here where the phone can, else on the machine; or from its revision.
function stillGood(number, plan) {
  const say = el("p", {class: "say", role: "status"}, ""), typed = el("input", {inputmode: "numeric", id: "revision"});
  const show = r => { say.textContent = r.ok ? r.body.text : r.status ? r.body.error : `No signal. The plan on this phone is revision ${plan.revision}: a sheet with a lower number may be superseded.`; };
  const askText = text => ask(`/api/bench/${number}/codes`, {method: "POST", body: JSON.stringify({text})}).then(show);
  const picture = async e => {
    const file = e.target.files[0];
    if (!file) return;
    say.textContent = "Looking for the code …";
    if ("BarcodeDetector" in window) {
      const codes = await new BarcodeDetector({formats: ["qr_code"]}).detect(await createImageBitmap(file)).catch(() => []);
      if (codes.length) { await askText(codes[0].rawValue); return; }
    }
    show(await ask(`/api/bench/${number}/photos`, {method: "POST", body: file}));
  };
  return el("details", {}, el("summary", {}, "Is a sheet still good?"), el("label", {}, "Picture of the code on it", el("input", {type: "file", accept: "image/*", capture: "environment", onchange: picture})), el("label", {}, "or its plan revision", typed), button("Ask", () => askText(typed.value)), say);
}
