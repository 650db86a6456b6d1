// The desk: comes in with its key, reads the job, shows one room at a time.
import {button, count, el, show} from "./shared/dom.js";
import {Job} from "./state/job.js";
import {ask, window_} from "./state/net.js";
import {keepingFocus} from "./view/focus.js";
import {boardsRoom} from "./room/boards.js";
import {buyRoom} from "./room/buy.js";
import {compareRoom} from "./room/compare.js";
import {photoRoom} from "./room/photo.js";
import {planRoom} from "./room/plan.js";
import {printRoom} from "./room/print.js";
import {setsRoom} from "./room/sets.js";
import {shelfRoom} from "./room/shelf.js";
import {surprisesRoom} from "./room/surprises.js";
import {tableRoom, TABLES} from "./room/tables.js";

/** @param {string} id */
const byId = id => /** @type {HTMLElement} */ (document.getElementById(id));
const [room, standing, rooms] = [byId("room"), byId("standing"), byId("rooms")];
/** @type {Job | undefined} */
let job;
let leave = () => {};
let said = "";

/** @param {string} text */
const say = text => {
  said = text;
  stand();
};

/** What a table is called. @param {string} stem */
const called = stem => TABLES[stem]?.[0] ?? "Boards left alone";

async function enter() {
  const key = /^#key=(.+)$/.exec(location.hash)?.[1];
  if (key) {
    // Used once: not left in the address or the history.
    history.replaceState(null, "", "/");
    await ask("POST", "/api/pair", {key: decodeURIComponent(key)}).catch(async error => {
      if (!(await ask("GET", "/api/who")).known) throw error;
    });
  }
}

const stand = () => keepingFocus(standing, drawStanding);

function drawStanding() {
  const wrong = job?.mistakes.length ?? 0;
  const changed = job?.changed ?? [];
  show(
    standing,
    said
      ? el(
          "span",
          {class: "told", role: "alert"},
          said,
          " ",
          button("Seen", () => say(""), {class: "quiet"}),
        )
      : null,
    job
      ? el("span", {class: wrong ? "bad" : "good"}, wrong ? count(wrong, "mistake") : "no mistakes")
      : null,
    !job
      ? null
      : changed.length
        ? [
            el("span", {class: "unsaved"}, `not saved: ${changed.map(called).join(", ")} `),
            button("Save", keep, {class: "main"}),
          ]
        : el("span", {}, "all saved"),
  );
}

async function keep() {
  if (!job) return;
  try {
    const {together, clash} = await job.keep();
    const words = together.length
      ? `Put together with another program's: ${together.map(called).join(", ")}.`
      : "";
    say(words);
    for (const [stem, theirs] of Object.entries(clash)) settle(job, stem, theirs);
  } catch (/** @type {any} */ error) {
    say(error.message);
  }
}

/**
 * Another program changed the same cells: which of the two stays is asked, the other can be taken
 * back.
 * @param {Job} mineToo
 * @param {string} stem
 * @param {import("./state/merging.js").Table} theirs
 */
function settle(mineToo, stem, theirs) {
  /** @type {HTMLDialogElement} */
  const box = el(
    "dialog",
    {"aria-label": "Changed meanwhile"},
    el("p", {}, `${called(stem)}: changed by another program, in cells that you changed too.`),
    button("Keep mine", () => done(true), {class: "main"}),
    button("Take theirs", () => done(false)),
    button("Leave it for now", () => box.remove()),
  );
  /** @param {boolean} mine */
  function done(mine) {
    box.remove();
    mineToo.settle(stem, theirs, mine);
    if (mine) keep();
  }
  document.body.append(box);
  box.showModal();
}

/** Rooms by their place in the address, with what leads there; the order is that of the work. */
const LINKS = [
  ["#/table/parts", "Tables"],
  ["#/boards", "Boards"],
  ["#/plan", "Plan"],
  ["#/sets", "Sets"],
  ["#/compare", "Compare"],
  ["#/surprises", "Surprises"],
  ["#/buy", "Buy"],
  ["#/print", "Print"],
  ["#/jobs", "Jobs"],
];

function route() {
  leave();
  const [, name = "table", stem = "parts"] = location.hash.split("/");
  const at = job && name !== "jobs" ? name : "jobs";
  show(
    rooms,
    LINKS.filter(([href]) => job || href === "#/jobs").map(([href, word]) =>
      el("a", {href, "aria-current": href.split("/")[1] === at ? "page" : null}, word),
    ),
  );
  // Each has a place of its own, so that an answer that comes late draws in none but its own.
  const here = el("div");
  show(room, here);
  if (!job || at === "jobs") leave = shelfRoom(here, say);
  else if (at === "photo") leave = photoRoom(here, job, say, decodeURIComponent(stem));
  else {
    const open = OPEN[at];
    leave = open ? open(here, job, say) : tableRoom(here, job, TABLES[stem] ? stem : "parts");
  }
}

/** @typedef {(room: HTMLElement, job: Job, say: (text: string) => void) => () => void} Room */
/** @type {Record<string, Room>} */
const OPEN = {
  boards: boardsRoom,
  plan: planRoom,
  sets: setsRoom,
  compare: compareRoom,
  surprises: surprisesRoom,
  buy: buyRoom,
  print: printRoom,
};

addEventListener("keydown", e => {
  const typing = /^(INPUT|SELECT|TEXTAREA)$/.test(document.activeElement?.tagName ?? "");
  const held = e.ctrlKey || e.metaKey;
  if (held && e.key.toLowerCase() === "s") {
    e.preventDefault();
    keep();
  } else if (held && e.key.toLowerCase() === "z" && !typing && !e.defaultPrevented) {
    e.preventDefault();
    if (e.shiftKey) job?.redo();
    else job?.undo();
  }
});
addEventListener("beforeunload", e => job?.changed.length && e.preventDefault());
async function readJob() {
  try {
    const found = await ask("GET", "/api/job");
    window_.job = String(found.job);
    job = new Job(found);
    byId("job").textContent = job.name || "A job";
    document.title = `${job.name || "A job"} - desk`;
    job.watchers.add(stand);
  } catch (/** @type {any} */ error) {
    if (!error.body?.nothing) throw error;
  }
}

try {
  await enter();
  await readJob();
  stand();
  addEventListener("hashchange", route);
  route();
} catch (/** @type {any} */ error) {
  show(room, el("p", {class: "say", role: "alert"}, error.message));
}
