// Plan the job and watch: money, bound and layouts as they come; then the whole job in one picture,
// to point at, and to plan round.
import {button, el, show} from "../shared/dom.js";
import {ask} from "../state/net.js";
import {leave, take, tried} from "../state/trial.js";
import {answerView} from "../view/answer.js";
import {boardDrawing, boardFigure, patterns, scaleFor} from "../view/boards.js";
import {keepingFocus} from "../view/focus.js";
import {looks} from "../view/looks.js";
import {moneyView} from "../view/money.js";
import {onWidth} from "../view/width.js";
import {planSide} from "./planside.js";
import {wishing} from "./wishing.js";

const LOOK_EVERY = 250;
const SECONDS = "yieldopt-seconds";

/** @typedef {import("../view/boards.js").Wood} Wood */
/**
 * @typedef {{boards: Wood[], plan: {revision: number, cost: number, bound: number | null,
 *   gap: number | null, yielded: number, sheets: import("../view/boards.js").Sheet[],
 *   missing: {part: string, qty: number, why: string}[]}}} Looked
 */

/**
 * @param {HTMLElement} room
 * @param {import("../state/job.js").Job} job
 * @param {(text: string) => void} say
 */
export function planRoom(room, job, say) {
  /** @type {Looked | null} */
  let looked = null;
  /** @type {any} */
  let run = {state: "none", standings: [], sketches: 0, run: 0, error: null};
  let drawn = "";
  /** @type {string | null} */
  let chosen = null;
  let over = false;
  let photo = false;
  let byGroup = false;
  /** @type {any} */
  let answer = null;
  let working = false;
  // What the plan cost before it was made again.
  /** @type {number | null} */
  let before = null;
  let timer = 0;
  const seconds = el("input", {
    type: "number",
    min: 1,
    max: 3600,
    step: 1,
    value: localStorage.getItem(SECONDS) ?? "20",
    id: "seconds",
  });
  const keys = el("div", {class: "keys"});
  const money = el("div", {class: "money"});
  const picture = el("div", {class: "boards"});
  const beside = el("div", {class: "beside"});
  const told = el("p", {class: "carried", role: "status"});
  const above = el("div", {class: "above"});
  const wishes = wishing({
    job,
    picture,
    say,
    looked: () => looked,
    points: () => points,
    tell: (text, barred = false) => {
      told.textContent = text;
      told.classList.toggle("bad", barred);
    },
    changed: () => drawBeside(),
  });
  let points = 1;

  async function begin(anew = false) {
    try {
      localStorage.setItem(SECONDS, seconds.value);
      const {clash} = await job.keep();
      if (Object.keys(clash).length) {
        return say("Another program wrote into the tables: settle that first, at the tables.");
      }
      await ask("POST", "/api/plan", {seconds: Number(seconds.value), anew});
      drawn = "";
      answer = null;
      wishes.forget();
      before = looked?.plan.missing.length ? null : (looked?.plan.cost ?? null);
      look();
    } catch (/** @type {any} */ error) {
      if (error.body?.begun) return askAnew(error.message);
      say(error.message);
    }
  }

  /** Boards are cut: from nothing only where that is meant. @param {string} why */
  function askAnew(why) {
    /** @type {HTMLDialogElement} */
    const box = el(
      "dialog",
      {"aria-label": "Boards are cut"},
      el("p", {}, why),
      button("To Surprises", () => ((location.hash = "#/surprises"), box.remove()), {
        class: "main",
      }),
      button("Leave it", () => box.remove()),
      button("Plan it all from nothing", () => (box.remove(), begin(true))),
    );
    document.body.append(box);
    box.showModal();
  }

  /** From the plan at hand, with the wishes as they stand; nothing is written. */
  async function planRound() {
    working = true;
    drawSide();
    try {
      answer = await tried(job.tables, [], () => over);
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
    working = false;
    if (over) return;
    drawAnswer();
    drawSide();
    if (answer) above.scrollIntoView({block: "start"});
  }

  async function takeIt() {
    try {
      const {clash} = await job.keep();
      if (Object.keys(clash).length) {
        return say("Another program wrote into the tables: settle that first, at the tables.");
      }
      await take(answer.trial);
      wishes.forget();
      answer = null;
      drawn = "";
      look();
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
  }

  /** The wishes since the plan at hand are taken back with it. */
  async function leaveIt() {
    answer = null;
    if (wishes.made) wishes.takeBack();
    await leave().catch(error => say(error.message));
    drawAnswer();
    drawSide();
  }

  const drawAnswer = () =>
    show(
      above,
      answer ? answerView(answer, {room: room.clientWidth, take: takeIt, leave: leaveIt}) : null,
    );

  async function look() {
    clearTimeout(timer);
    try {
      run = await ask("GET", "/api/run");
      const key = `${run.run} ${run.sketches}`;
      if (key !== drawn) {
        looked = await ask("GET", "/api/plan");
        drawn = key;
        drawPicture();
      }
      if (run.error) say(run.error);
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
    if (over) return;
    drawAnswer();
    drawSide();
    if (run.state === "running") timer = setTimeout(look, LOOK_EVERY);
  }

  const drawSide = () => keepingFocus(room, drawSides);

  function drawSides() {
    const running = run.state === "running";
    const photos = looked?.boards.some(b => b.photos.A);
    show(
      keys,
      el("label", {for: "seconds"}, "Seconds ", seconds),
      running
        ? button("That will do", () => ask("POST", "/api/plan/stop").catch(e => say(e.message)))
        : button(looked ? "Plan again" : "Plan", () => begin(), {class: looked ? "" : "main"}),
      looked && !running
        ? button(working ? "Planning round it…" : "Plan round it", planRound, {
            class: "main",
            disabled: working,
          })
        : null,
      looked
        ? tick("by group", byGroup, on => ((byGroup = on), drawPicture(), drawBeside()))
        : null,
      photos ? tick("over the photos", photo, on => ((photo = on), drawPicture())) : null,
      looked && !running ? el("a", {class: "key", href: "#/print"}, "Print") : null,
    );
    const plan = looked?.plan ?? null;
    show(money, moneyView({running, standings: run.standings, plan, before}));
    drawBeside();
  }

  /** @param {string} word @param {boolean} on @param {(on: boolean) => void} then */
  const tick = (word, on, then) =>
    el(
      "label",
      {class: "tick"},
      el("input", {type: "checkbox", checked: on, onchange: e => then(e.target.checked)}),
      ` ${word}`,
    );

  /** @type {Map<string, {tint: string, pattern: string}>} */
  let tints = new Map();
  const nameOf = (/** @type {{part: string, set: string | null}} */ p) =>
    byGroup ? (p.set ?? p.part) : p.part;
  const lookOf = (/** @type {string} */ name) => tints.get(name) ?? {tint: "#e3c592", pattern: ""};

  const drawBeside = () => keepingFocus(beside, drawBesides);

  function drawBesides() {
    show(beside, planSide({looked, chosen, lookOf, nameOf, pick, keys: wishes.keys}));
  }

  /** @param {string} piece */
  function pick(piece) {
    if (wishes.picked(piece)) return;
    chosen = chosen === piece ? null : piece;
    drawPicture();
    drawBeside();
    if (chosen) {
      picture
        .querySelector(`[data-piece="${CSS.escape(chosen)}"]`)
        ?.scrollIntoView({block: "nearest"});
    }
  }

  function drawPicture() {
    const plan = looked?.plan;
    if (!looked || !plan) {
      const words =
        "Press Plan: the first layouts show within seconds, and get better while you look.";
      return show(picture, el("p", {class: "what"}, words));
    }
    wishes.letGo();
    const pieces = plan.sheets.flatMap(s => s.pieces);
    tints = looks(pieces.map(nameOf));
    const names = [...tints.keys()];
    const woods = new Map(looked.boards.map(b => [b.name, b]));
    const cut = plan.sheets.flatMap(s => woods.get(s.board) ?? []);
    points = scaleFor(cut, Math.min(1400, picture.clientWidth || 900));
    const part = chosen && pieces.find(p => p.piece === chosen)?.part;
    show(
      picture,
      plan.sheets.map(s => {
        const wood = /** @type {Wood} */ (woods.get(s.board));
        const words = [`${wood.species} ${wood.quarters}`, wood.place].filter(Boolean).join(", ");
        return boardFigure(
          wood,
          [words, wishes.boardKeys(s)],
          boardDrawing(wood, s, points, {
            photo,
            look: p => lookOf(nameOf(p)),
            label: p => String(names.indexOf(nameOf(p)) + 1),
            pick: p => pick(p.piece),
            chosen: p => (chosen !== null && p.names.includes(chosen)) || p.part === part,
          }),
        );
      }),
    );
  }

  show(
    room,
    patterns(),
    keys,
    told,
    above,
    el("div", {class: "two"}, picture, el("aside", {}, money, beside)),
  );
  look();
  const still = onWidth(room, drawPicture);
  return () => {
    over = true;
    still();
    wishes.letGo();
    clearTimeout(timer);
  };
}
