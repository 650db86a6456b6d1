// This phone: pairing, hands and light, and boards handed over as a file.
import {handOver, takeIn} from "../state/handover.js";
import {remember} from "../state/names.js";
import {ask, state} from "../state/reach.js";
import {fact, keep} from "../state/store.js";
import {sync} from "../state/sync.js";
import {alarm, button, count, el, show} from "../view/dom.js";

/** @import {Typed} from "../view/dom.js" */
/** @typedef {Record<string, string>} Look what was chosen, by what it is of */

const LOOKS = ["hand", "light"];
const UNTIL_SAVED = 60000;

/** The hand and the light that were chosen, put on the page. */
export async function look() {
  const f = await fact("look", /** @type {Look} */ ({})),
    {dataset} = document.documentElement;
  for (const k of LOOKS) {
    if (f[k]) dataset[k] = f[k];
    else delete dataset[k];
  }
  return f;
}

const PLAIN =
  "This page is open without HTTPS: it logs and keeps boards without signal as long as it stays " +
  "open, but loading it again needs the shop's network. What was logged is kept all the same.";
const UNTRUSTED =
  "This phone does not trust the certificate of this page (or is in a private window), so it " +
  "keeps no copy of the page: it logs and keeps boards without signal as long as it stays open, " +
  "but loading it again needs the shop's network. How to trust the certificate stands in the " +
  "how-to.";

/** What this phone keeps of the page itself, in words. */
export function kept() {
  if (!isSecureContext) return PLAIN;
  if (state.unkept) return UNTRUSTED;
  return navigator.serviceWorker?.controller
    ? "This page opens without signal."
    : "This page will open without signal once it has loaded a second time.";
}

async function saveFile() {
  const href = URL.createObjectURL(await handOver());
  el("a", {href, download: "boards-from-phone.json"}).click();
  setTimeout(() => URL.revokeObjectURL(href), UNTIL_SAVED);
}

/** @param {File} file */
async function taken(file) {
  const {aside} = await takeIn(await file.text());
  if (!aside) return "Taken in.";
  return (
    `Taken in. ${count(aside, "damaged record was", "damaged records were")} set aside; ` +
    `a file handed over has ${aside === 1 ? "it" : "them"} whole.`
  );
}

/**
 * The room.
 * @param {HTMLElement} room
 * @param {string} said what came of what was asked
 */
export async function phoneRoom(room, said = "") {
  const f = await look();
  const draw = (/** @type {{name: string} | null} */ who) =>
    show(
      room,
      el("h1", {}, "This phone"),
      alarm(said),
      el("p", {id: "kept"}, kept()),
      state.paired ? el("p", {}, who ? `Paired as: ${who.name}.` : "") : pairing(room),
      looks(room, f),
      files(room),
    );
  const who = await ask("/api/who");
  if (who.ok) {
    state.paired = who.body.paired;
    await remember(who.body.number);
  }
  draw(who.ok ? who.body : null);
}

/** @param {HTMLElement} room */
function pairing(room) {
  const shown = new URLSearchParams(location.hash.slice(1)).get("pair") ?? "";
  const code = el("input", {
    id: "code",
    autocomplete: "off",
    autocapitalize: "characters",
    value: shown,
  });
  const name = el("input", {id: "phone-name", value: "phone", maxlength: 40});
  async function pair() {
    const body = JSON.stringify({code: code.value, name: name.value});
    const r = await ask("/api/pair", {method: "POST", body});
    if (r.ok) {
      state.paired = true;
      const who = await ask("/api/who");
      if (who.ok) await remember(who.body.number);
      location.hash = "#/log";
      sync();
    } else await phoneRoom(room, r.body.error ?? "not paired");
  }
  return el(
    "section",
    {},
    el("h2", {}, "Pair with the rack"),
    el("label", {}, "Code in the terminal", code),
    el("label", {}, "Name of this phone", name),
    button("Pair", pair, {class: "main"}),
  );
}

/**
 * @param {HTMLElement} room
 * @param {Look} f
 */
function looks(room, f) {
  /** @type {(k: string, v: string, word: string) => HTMLElement} */
  const pick = (k, v, word) =>
    button(
      word,
      async () => {
        await keep("look", {...(await look()), [k]: v});
        await phoneRoom(room);
      },
      {"aria-pressed": String((f[k] ?? "") === v)},
    );
  return [
    el("h2", {}, "Hand and light"),
    el("div", {class: "row"}, pick("hand", "", "Right hand"), pick("hand", "left", "Left hand")),
    el(
      "div",
      {class: "row"},
      pick("light", "", "As the phone"),
      pick("light", "light", "Light"),
      pick("light", "dark", "Dark"),
    ),
  ];
}

/** @param {HTMLElement} room */
function files(room) {
  async function take(/** @type {Typed} */ e) {
    const file = e.target.files?.[0];
    if (!file) return;
    const words = await taken(file).catch(x => String(x.message));
    await phoneRoom(room, words);
  }
  return [
    el("h2", {}, "Boards as a file"),
    el("div", {class: "row"}, button("Hand over what is only here", saveFile)),
    el(
      "label",
      {},
      "Take in a file from another phone",
      el("input", {type: "file", id: "take-in", accept: "application/json", onchange: take}),
    ),
  ];
}
