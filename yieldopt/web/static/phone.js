// This phone: pairing, hands and light, and boards handed over as a file.
import {button, el} from "./dom.js";
import {all, change, fact, keep, wait} from "./store.js";
import {ask, state, sync, tell} from "./sync.js";
export async function look() { const f = await fact("look", {}); for (const k of ["hand", "light"]) if (f[k]) document.documentElement.dataset[k] = f[k]; else delete document.documentElement.dataset[k]; return f; }
const unpacked = address => new Blob([Uint8Array.from(atob(address.slice(address.indexOf(",") + 1)), c => c.charCodeAt(0))], {type: "image/jpeg"});
const base64 = blob => new Promise(yes => { const r = new FileReader(); r.onload = () => yes(r.result); r.readAsDataURL(blob); });
async function handOver() {
  const ops = await all("ops"), boards = await all("boards"), ids = new Set(ops.map(o => o.board));
  const body = {format: "yieldopt-handover/1", boards: boards.filter(b => ids.has(b.id)), ops: await Promise.all(ops.filter(o => !o.tick).map(async o => o.photo ? {...o, photo: await base64(o.photo)} : o))};
  const a = el("a", {href: URL.createObjectURL(new Blob([JSON.stringify(body)], {type: "application/json"})), download: "boards-from-phone.json"});
  a.click(); setTimeout(() => URL.revokeObjectURL(a.href), 60000);
}
// The same changes under the same keys: taken in here and sent from the other phone too, they stay one.
export async function takeIn(text) {
  const body = JSON.parse(text);
  if (body.format !== "yieldopt-handover/1") throw new Error("this is no file of boards from a phone");
  const ops = body.ops.map(o => o.photo ? {...o, photo: unpacked(o.photo)} : o);
  await change(["boards", "ops", "pictures"], async s => {
    const known = new Set((await wait(s.ops.getAll())).map(o => o.key));
    for (const b of body.boards) if (!await wait(s.boards.get(b.id))) await wait(s.boards.put(b));
    for (const o of ops) if (o.photo) await wait(s.pictures.put({name: o.name, board: o.board, blob: o.photo}));
    for (const {n, ...o} of ops) if (!known.has(o.key)) await wait(s.ops.add({...o, sent: true, trouble: null}));
  });
  tell(); sync();
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
    el("h2", {}, "Boards as a file"), el("div", {class: "row"}, button("Hand over what is only here", handOver)), el("label", {}, "Take in a file from another phone", el("input", {type: "file", id: "take-in", accept: "application/json", onchange: async e => { try { await takeIn(await e.target.files[0].text()); await phoneRoom(room, "Taken in."); } catch (x) { await phoneRoom(room, String(x.message)); } }}))].filter(Boolean));
}
