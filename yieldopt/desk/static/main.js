// The desk: comes in with its key, reads the job, shows one room at a time.
import {button, count, el, show} from "./shared/dom.js";
import {Job} from "./state/job.js";
import {ask} from "./state/net.js";
import {boardsRoom} from "./room/boards.js";
import {planRoom} from "./room/plan.js";
import {printRoom} from "./room/print.js";
import {tableRoom, TABLES} from "./room/tables.js";

const room = /** @type {HTMLElement} */ (document.getElementById("room"));
const standing = /** @type {HTMLElement} */ (document.getElementById("standing"));
const rooms = /** @type {HTMLElement} */ (document.getElementById("rooms"));
/** @type {Job} */
let job;
let leave = () => {};
let said = "";

const say = text => {
  said = text;
  stand();
};

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

function stand() {
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
    el("span", {class: wrong ? "bad" : "good"}, wrong ? count(wrong, "mistake") : "no mistakes"),
    changed.length
      ? [
          el(
            "span",
            {class: "unsaved"},
            `not saved: ${changed.map(s => TABLES[s][0]).join(", ")} `,
          ),
          button("Save", keep, {class: "main"}),
        ]
      : el("span", {}, "all saved"),
  );
}

async function keep() {
  try {
    const {together, clash} = await job.keep();
    const words = together.length
      ? `Put together with another program's: ${together.map(s => TABLES[s][0]).join(", ")}.`
      : "";
    say(words);
    for (const [stem, theirs] of Object.entries(clash)) settle(stem, theirs);
  } catch (error) {
    say(error.message);
  }
}

/**
 * Another program changed the same cells: which of the two stays is asked, the other can be taken
 * back.
 */
function settle(stem, theirs) {
  const box = el(
    "dialog",
    {"aria-label": "Changed meanwhile"},
    el("p", {}, `${stem}.csv was changed by another program, in cells that you changed too.`),
    button("Keep mine", () => done(true), {class: "main"}),
    button("Take theirs", () => done(false)),
    button("Leave it for now", () => box.remove()),
  );
  function done(mine) {
    box.remove();
    job.settle(stem, theirs, mine);
    if (mine) keep();
  }
  document.body.append(box);
  box.showModal();
}

function route() {
  leave();
  const [, name = "table", stem = "parts"] = location.hash.split("/");
  const links = {
    "#/table/parts": "Tables",
    "#/boards": "Boards",
    "#/plan": "Plan",
    "#/print": "Print",
  };
  show(
    rooms,
    Object.entries(links).map(([href, word]) =>
      el("a", {href, "aria-current": href.split("/")[1] === name ? "page" : null}, word),
    ),
  );
  const open = {boards: boardsRoom, plan: planRoom, print: printRoom}[name];
  leave = open ? open(room, job, say) : tableRoom(room, job, TABLES[stem] ? stem : "parts");
}

addEventListener("keydown", e => {
  if ((e.ctrlKey || e.metaKey) && e.key.toLowerCase() === "s") {
    e.preventDefault();
    keep();
  }
});
addEventListener("beforeunload", e => job?.changed.length && e.preventDefault());
addEventListener("hashchange", route);

try {
  await enter();
  job = new Job(await ask("GET", "/api/job"));
  document.getElementById("job").textContent = job.name || "A job";
  document.title = `${job.name || "A job"} - desk`;
  job.watchers.add(stand);
  stand();
  route();
} catch (error) {
  show(room, el("p", {class: "say", role: "alert"}, error.message));
}
