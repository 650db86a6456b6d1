// Every board this phone knows, and where each one is: only here, or in the rack. Questions come first.
import {button, el} from "./dom.js";
import {all, change, wait} from "./store.js";
import {answer, tell} from "./sync.js";
const line = c => `${c.quarters ?? ""} ${c.species ?? ""}, ${c.length ?? "?"} by ${c.width ?? "?"}`;
function versions(op) {
  const t = op.trouble.theirs, rows = [...new Set([...Object.keys(op.cells), ...Object.keys(t.cells)])].filter(k => op.cells[k] !== t.cells[k]);
  const marks = v => v.map(d => `${d.kind} ${d.face} at ${d.x}, ${d.y}, ${d.length} by ${d.width}`).join("; ") || "none";
  return el("table", {}, el("tr", {}, el("th", {scope: "col"}, ""), el("th", {scope: "col"}, "this phone"), el("th", {scope: "col"}, "the rack")),
    rows.map(k => el("tr", {}, el("th", {scope: "row"}, k.replaceAll("_", " ")), el("td", {}, op.cells[k] ?? "–"), el("td", {}, t.cells[k] ?? "–"))),
    marks(op.defects) !== marks(t.defects) && el("tr", {}, el("th", {scope: "row"}, "marks"), el("td", {}, marks(op.defects)), el("td", {}, marks(t.defects))));
}
function question(op) {
  const name = op.cells?.board ?? op.tick?.piece ?? op.tick?.cut ?? "", t = op.trouble;
  const drop = () => change(["ops"], s => wait(s.ops.delete(op.n))).then(tell);
  if (op.tick || op.photo) return el("li", {class: "say"}, el("p", {}, `${op.tick ? `The tick at ${op.tick.board} (${name})` : "A photo"} was not taken: ${t.error}.`), button("Drop it", drop));
  if (!t.theirs) return el("li", {class: "say"}, el("p", {}, `The rack did not take ${name}: ${t.error ?? JSON.stringify(t.detail)}`), el("a", {class: "key", href: `#/log/${op.board}`}, "Mend it"), button("Drop it", () => answer(op, "theirs")));
  const other = t.theirs.id !== op.board;
  const rename = el("input", {value: `${name} b`, "aria-label": "New name"});
  return el("li", {class: "say"}, el("p", {}, other ? `There is a ${name} on the rack already.` : `${name} was changed elsewhere too.`), versions(op), el("div", {class: "row"},
    other ? [rename, button("Give mine this name", () => answer(op, "mine", {...op.cells, board: rename.value}))] : button("Take this phone's", () => answer(op, "mine")), button(other ? "Same board: drop mine" : "Take the rack's", () => answer(op, "theirs"))));
}
export async function rackRoom(room) {
  const boards = await all("boards"), ops = await all("ops"), waiting = new Set(ops.filter(o => o.board).map(o => o.board));
  const here = b => waiting.has(b.id) || !b.version;
  boards.sort((a, b) => here(b) - here(a));
  const asked = ops.filter(o => o.trouble);
  room.replaceChildren(el("h1", {}, "Rack"), asked.length ? el("ul", {class: "list"}, asked.map(question)) : "",
    el("ul", {class: "list"}, boards.map(b => el("li", {"data-board": b.id}, el("div", {class: "row"}, el("span", {class: "wide"}, el("strong", {}, b.cells.board), ` ${line(b.cells)}`, el("br"), el("span", {class: here(b) ? "phone" : "inrack"}, here(b) ? (b.version ? "correction only on this phone" : "only on this phone") : "in the rack")), el("a", {class: "key", href: `#/log/${b.id}`, "aria-label": `Correct ${b.cells.board}`}, "Correct"))))), boards.length ? "" : el("p", {}, "No boards yet."));
}

