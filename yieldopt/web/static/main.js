// Rooms by address after the #, the line that says where the boards are, and a try at the rack whenever that may help.
import {all} from "./store.js";
import {onChange, state, sync} from "./sync.js";
import {measure} from "./measure.js";
import {rackRoom} from "./rack.js";
import {countRoom} from "./count.js";
import {benchRoom} from "./bench.js";
import {kept, look, phoneRoom} from "./phone.js";
const room = document.getElementById("room"), standing = document.getElementById("standing");
const ROOMS = {log: measure, rack: rackRoom, count: countRoom, bench: benchRoom, phone: phoneRoom};
function place() { const [name, ...rest] = location.hash.replace(/^#\/?/, "").split("/").filter(Boolean).map(decodeURIComponent); return name?.startsWith("pair=") ? ["phone"] : [name in ROOMS ? name : "log", ...rest]; }
async function go() {
  const [name, ...rest] = place();
  for (const a of document.querySelectorAll("nav a")) if (a.hash === `#/${name}`) a.setAttribute("aria-current", "page"); else a.removeAttribute("aria-current");
  if (name === "phone") await phoneRoom(room); else await ROOMS[name](room, ...rest);
  document.title = `${room.querySelector("h1")?.textContent ?? "Rack"} – rack and bench`;
}
async function say() {
  const ops = await all("ops"), asked = ops.filter(o => o.trouble).length, boards = new Set(ops.filter(o => o.board).map(o => o.board)).size, ticks = ops.filter(o => o.tick).length;
  const parts = [boards && `${boards} ${boards === 1 ? "board" : "boards"} only on this phone`, ticks && `${ticks} ${ticks === 1 ? "tick" : "ticks"} only on this phone`, asked && `${asked} need your answer`, !ops.length && "Everything is in the rack", !state.paired ? "not paired" : state.reach === false && "rack out of reach"];
  standing.textContent = `${parts.filter(Boolean).join("; ")}.`;
}
onChange(say);
// Nothing moves under a finger that is down, nor under a name that is being typed.
let down = false;
addEventListener("pointerdown", () => { down = true; }, true);
for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => { setTimeout(() => { down = false; }, 50); }, true);
function redraw() { if (place()[0] !== "rack" || room.contains(document.activeElement?.closest("input"))) return; if (down) setTimeout(redraw, 100); else rackRoom(room); }
onChange(redraw);
addEventListener("hashchange", () => { go(); scrollTo(0, 0); room.focus(); });
addEventListener("online", () => sync());
document.addEventListener("visibilitychange", () => { if (!document.hidden) sync(); });
setInterval(sync, 20000);
navigator.storage?.persist?.();
// Refused where the phone does not trust the certificate, or keeps nothing (a private window): "This phone" says so.
if ("serviceWorker" in navigator) navigator.serviceWorker.register("/sw.js").then(() => {}, () => { state.unkept = true; document.getElementById("kept")?.replaceChildren(kept()); });
await look(); await go(); await say(); await sync();
if (!state.paired && place()[0] !== "phone") location.hash = "#/phone";
