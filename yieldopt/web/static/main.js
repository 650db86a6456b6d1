// Rooms by address after the #, the line that says where the boards are, and a try at the rack
// whenever that may help.
import {benchRoom} from "./room/bench.js";
import {countRoom} from "./room/count.js";
import {measure} from "./room/measure.js";
import {kept, look, phoneRoom} from "./room/phone.js";
import {mergeQuietly} from "./room/questions.js";
import {rackRoom} from "./room/rack.js";
import {onChange, state} from "./state/reach.js";
import {all} from "./state/store.js";
import {sync} from "./state/sync.js";
import {count, el} from "./view/dom.js";
import {handOff, watchHand} from "./view/hand.js";

/** @typedef {() => unknown} Refresh shows a room anew */

const EVERY = 20000;
/** @type {Record<string, (room: HTMLElement, ...rest: string[]) => Promise<Refresh | void>>} */
const ROOMS = {
  log: measure,
  rack: rackRoom,
  count: countRoom,
  bench: benchRoom,
  phone: room => phoneRoom(room),
};
const main = byId("room"),
  standing = byId("standing");
/** @type {HTMLElement | null} the room one is in */
let here = null;
/** @type {Refresh | null} */
let refresh = null;
/** @type {Map<string, number>} how far down each address was scrolled */
const scrolled = new Map();

/** @param {string} id */
function byId(id) {
  const e = document.getElementById(id);
  if (!e) throw new Error(`the page has no ${id}`);
  return e;
}

function place() {
  const [name, ...rest] = location.hash
    .replace(/^#\/?/, "")
    .split("/")
    .filter(Boolean)
    .map(decodeURIComponent);
  if (name?.startsWith("pair=")) return ["phone"];
  return [name in ROOMS ? name : "log", ...rest];
}

// Each visit has an element of its own: an answer that comes late is put where nobody looks any
// more.
async function go() {
  const [name, ...rest] = place(),
    mine = el("div", {class: `room in-${name}`});
  /** @type {NodeListOf<HTMLAnchorElement>} */
  const doors = document.querySelectorAll("nav a");
  for (const a of doors) {
    if (a.hash === `#/${name}`) a.setAttribute("aria-current", "page");
    else a.removeAttribute("aria-current");
  }
  here = mine;
  refresh = null;
  main.replaceChildren(mine);
  const again = await ROOMS[name](mine, ...rest);
  if (here !== mine) return;
  refresh = again ?? null;
  document.title = `${mine.querySelector("h1")?.textContent ?? "Rack"} – rack and bench`;
}

/**
 * @param {number} n
 * @param {string} what
 */
const waits = (n, what) => n > 0 && `${count(n, what)} only on this phone`;

/** The line at the top. */
async function say() {
  const ops = await all("ops"),
    asked = ops.filter(o => o.trouble).length;
  const boards = new Set(ops.filter(o => o.board && !o.photo).map(o => o.board)).size;
  const ticks = ops.filter(o => o.tick).length,
    photos = ops.filter(o => o.photo).length;
  const {coming, sending, refusal, hurt} = state;
  const percent = sending && Math.floor((100 * sending.have) / sending.size);
  const parts = [
    waits(boards, "board"),
    waits(ticks, "tick"),
    waits(photos, "photo"),
    sending && `sending a photo, ${percent} %`,
    asked > 0 && `${asked} need your answer`,
    coming && `${coming.have.toLocaleString("en")} of ${count(coming.total, "board")} have come`,
    !ops.length && !coming && "Everything is in the rack",
    !state.paired ? "not paired" : state.reach === false && "rack out of reach",
    refusal,
    hurt > 0 && `${count(hurt, "damaged record")} set aside`,
  ];
  standing.textContent = `${parts.filter(Boolean).join("; ")}.`;
}

// Nothing moves under a finger that is down, nor under a name that is being typed.
watchHand();
let due = false;
function redraw() {
  if (due || !refresh) return;
  due = true;
  setTimeout(async () => {
    await handOff();
    due = false;
    const typing = main.querySelector("input:not([type=checkbox]):focus, select:focus");
    if (!typing) await refresh?.();
  }, 100);
}

onChange(say);
onChange(mergeQuietly);
onChange(redraw);
addEventListener("hashchange", async e => {
  if (e.oldURL) scrolled.set(new URL(e.oldURL).hash, scrollY);
  await go();
  scrollTo(0, scrolled.get(location.hash) ?? 0);
  main.focus({preventScroll: true});
});
addEventListener("online", () => sync());
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) sync();
});
setInterval(sync, EVERY);
navigator.storage?.persist?.();
// Refused where the phone does not trust the certificate, or keeps nothing (a private window):
// "This phone" says so.
if ("serviceWorker" in navigator) {
  navigator.serviceWorker.register("/sw.js").catch(() => {
    state.unkept = true;
    document.getElementById("kept")?.replaceChildren(kept());
  });
}
await look();
await go();
await say();
await sync();
if (!state.paired && place()[0] !== "phone") location.hash = "#/phone";
