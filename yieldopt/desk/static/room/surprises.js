// The wood has surprised you: tick what is cut, spoil a piece, put a defect where it came up; plan
// again and see what moves before anything is taken.
import {button, choice, el, show} from "../shared/dom.js";
import {ask} from "../state/net.js";
import {leave, take, tried} from "../state/trial.js";
import {answerView} from "../view/answer.js";
import {boardDrawing, boardFigure, patterns, scaleFor} from "../view/boards.js";
import {keepingFocus} from "../view/focus.js";
import {looks} from "../view/looks.js";
import {onWidth} from "../view/width.js";
import {flawHand} from "./flaws.js";

/** @typedef {import("../view/boards.js").Wood} Wood */
/** @typedef {import("../view/boards.js").Sheet} Sheet */

const STATES = [
  ["", "not cut"],
  ["done", "finished"],
  ["spoiled", "spoiled"],
];

/**
 * @param {HTMLElement} room
 * @param {import("../state/job.js").Job} job
 * @param {(text: string) => void} say
 */
export function surprisesRoom(room, job, say) {
  /** @type {import("./plan.js").Looked | null} */
  let looked = null;
  let over = false;
  let working = false;
  /** @type {any} */
  let answer = null;
  /** @type {Map<string, number>} board -> cuts made up to */
  const through = new Map();
  /** @type {Map<string, string>} piece -> what became of it */
  const pieces = new Map();
  const keys = el("div", {class: "keys"});
  const above = el("div", {class: "above"});
  const panel = el("div", {class: "flaw-panel"});
  const frame = el("div", {class: "boards"});
  const hand = flawHand({job, panel, say, redraw: () => draw()});
  const before = new Set(job.tables.defects.rows.map(String));

  const lines = () => [
    ...[...through].filter(([, n]) => n > 0).map(([b, n]) => `board ${b}: cut through ${n}`),
    ...[...pieces].filter(([, s]) => s).map(([p, s]) => `piece ${p}: ${s}`),
  ];
  const cameUp = () => job.tables.defects.rows.filter(row => !before.has(String(row))).length;

  async function planAgain() {
    working = true;
    drawKeys();
    try {
      answer = await tried(job.tables, lines(), () => over);
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
    working = false;
    if (over) return;
    drawKeys();
    drawAnswer();
    if (answer) above.scrollIntoView({block: "start"});
  }

  async function takeIt() {
    try {
      const {clash} = await job.keep();
      if (Object.keys(clash).length) {
        return say("Another program wrote into the tables: settle that first, at the tables.");
      }
      await take(answer.trial);
      answer = null;
      through.clear();
      pieces.clear();
      for (const row of job.tables.defects.rows) before.add(String(row));
      look();
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
  }

  async function leaveIt() {
    answer = null;
    await leave().catch(error => say(error.message));
    drawAnswer();
  }

  const drawAnswer = () =>
    show(
      above,
      answer ? answerView(answer, {room: room.clientWidth, take: takeIt, leave: leaveIt}) : null,
    );

  const drawKeys = () => keepingFocus(keys, drawTheKeys);

  function drawTheKeys() {
    const told = lines().length + cameUp();
    show(
      keys,
      hand.keys(),
      button(working ? "Planning again…" : "Plan again from here", planAgain, {
        class: "main",
        disabled: working || !told,
      }),
      el(
        "p",
        {class: "what", role: "status"},
        told ? `${told} told; nothing is written until you take the answer.` : "Nothing told yet.",
      ),
    );
  }

  async function look() {
    try {
      looked = await ask("GET", "/api/plan");
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
    if (over) return;
    drawAnswer();
    draw();
  }

  const draw = () => keepingFocus(room, drawAll);

  function drawAll() {
    drawKeys();
    if (!looked) return show(frame, el("p", {class: "what"}, "There is no plan yet."));
    const {plan} = looked;
    const now = new Map((job.boards ?? looked.boards).map(b => [b.name, b]));
    const woods = new Map(looked.boards.map(b => [b.name, now.get(b.name) ?? b]));
    const tints = looks(plan.sheets.flatMap(s => s.pieces.map(p => p.part)));
    const cut = plan.sheets.flatMap(s => woods.get(s.board) ?? []);
    const points = scaleFor(cut, Math.min(1100, frame.clientWidth || 900));
    show(
      frame,
      plan.sheets.map(s => {
        const wood = /** @type {Wood} */ (woods.get(s.board));
        const svg = boardDrawing(wood, s, points, {
          lines: true,
          look: p => tints.get(p.part) ?? {tint: "#e3c592", pattern: ""},
          chosen: p => p.names.some(n => pieces.get(n) === "spoiled"),
        });
        hand.on(svg, wood, points, "A");
        return boardFigure(wood, [cutsKey(s)], svg, piecesKeys(s));
      }),
    );
  }

  /** @param {Sheet} s */
  function cutsKey(s) {
    const made = Math.max(0, ...s.cuts.filter(c => c.state === "done").map(c => c.order));
    const options = [["0", made ? "no more than before" : "none"]].concat(
      s.cuts.filter(c => c.order > made).map(c => [String(c.order), `up to ${c.words}`]),
    );
    return choice(
      `Cuts made on ${s.board}`,
      /** @type {[string, string][]} */ (options),
      String(through.get(s.board) ?? 0),
      v => (through.set(s.board, Number(v)), drawKeys()),
    );
  }

  /** @param {Sheet} s */
  const piecesKeys = s =>
    el(
      "details",
      {class: "piece-states"},
      el("summary", {}, `Pieces of ${s.board}`),
      s.pieces.map(p =>
        p.state === "done"
          ? el("p", {}, `${p.piece}: finished `, spoilKey(p.piece))
          : choice(
              p.piece,
              /** @type {[string, string][]} */ (STATES),
              pieces.get(p.piece) ?? "",
              v => (pieces.set(p.piece, v), drawKeys()),
            ),
      ),
    );

  /** @param {string} piece */
  const spoilKey = piece =>
    button("it is spoiled", () => (pieces.set(piece, "spoiled"), draw()), {class: "quiet"});

  show(room, patterns(), keys, above, panel, frame);
  const tell = () => draw();
  job.watchers.add(tell);
  look();
  const still = onWidth(room, draw);
  return () => {
    over = true;
    still();
    job.watchers.delete(tell);
  };
}
