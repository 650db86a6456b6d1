// This phone: pairing, hands and light, and boards handed over as a file.
import {button, el} from "./dom.js";
import {handOver, takeIn} from "./handover.js";
import {fact, keep} from "./store.js";
import {ask, state, sync} from "./sync.js";
export async function look() { const f = await fact("look", {}); for (const k of ["hand", "light"]) if (f[k]) document.documentElement.dataset[k] = f[k]; else delete document.documentElement.dataset[k]; return f; }
async function save() {
  const a = el("a", {href: URL.createObjectURL(await handOver()), download: "boards-from-phone.json"});
  a.click(); setTimeout(() => URL.revokeObjectURL(a.href), 60000);
}
async function taken(file) {
  const n = await takeIn(await file.text());
  return `Taken in.${n.aside ? ` ${n.aside} damaged ${n.aside === 1 ? "record was" : "records were"} set aside; a file handed over has ${n.aside === 1 ? "it" : "them"} whole.` : ""}`;
}
// What this phone keeps of the page itself, in words.
export const kept = () => !isSecureContext ? "This page is open without HTTPS: it logs and keeps boards without signal as long as it stays open, but loading it again needs the shop's network. What was logged is kept all the same." : state.unkept ? "This phone does not trust the certificate of this page (or is in a private window), so it keeps no copy of the page: it logs and keeps boards without signal as long as it stays open, but loading it again needs the shop's network. How to trust the certificate stands in the how-to." : navigator.serviceWorker?.controller ? "This page opens without signal." : "This page will open without signal once it has loaded a second time.";
export async function phoneRoom(room, said = "") {
  const f = await look();
  const code = el("input", {id: "code", autocomplete: "off", autocapitalize: "characters", value: new URLSearchParams(location.hash.slice(1)).get("pair") ?? ""}), name = el("input", {id: "phone-name", value: "phone", maxlength: 40});
  const pair = async () => { const r = await ask("/api/pair", {method: "POST", body: JSON.stringify({code: code.value, name: name.value})}); if (r.ok) { state.paired = true; location.hash = "#/log"; sync(); } else phoneRoom(room, r.body.error ?? "not paired"); };
  const who = await ask("/api/who"); if (who.ok) state.paired = who.body.paired;
  const pick = (k, v, word) => button(word, async () => { await keep("look", {...await fact("look", {}), [k]: v}); await phoneRoom(room); }, {"aria-pressed": String((f[k] ?? "") === v)});
  room.replaceChildren(...[el("h1", {}, "This phone"), said && el("p", {class: "say", role: "alert"}, said), el("p", {id: "kept"}, kept()),
    state.paired ? el("p", {}, who.ok ? `Paired as: ${who.body.name}.` : "") : el("section", {}, el("h2", {}, "Pair with the rack"), el("label", {}, "Code in the terminal", code), el("label", {}, "Name of this phone", name), button("Pair", pair, {class: "main"})),
    el("h2", {}, "Hand and light"), el("div", {class: "row"}, pick("hand", "", "Right hand"), pick("hand", "left", "Left hand")), el("div", {class: "row"}, pick("light", "", "As the phone"), pick("light", "light", "Light"), pick("light", "dark", "Dark")),
    el("h2", {}, "Boards as a file"), el("div", {class: "row"}, button("Hand over what is only here", save)), el("label", {}, "Take in a file from another phone", el("input", {type: "file", id: "take-in", accept: "application/json", onchange: async e => { try { await phoneRoom(room, await taken(e.target.files[0])); } catch (x) { await phoneRoom(room, String(x.message)); } }}))].filter(Boolean));
}
