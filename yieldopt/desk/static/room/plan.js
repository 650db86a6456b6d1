// Plan the job and watch: money, bound and layouts as they come; then the whole job in one picture,
// to point at.
import {button, count, el, show} from "../shared/dom.js";
import {ask} from "../state/net.js";
import {boardDrawing, patterns, scaleFor} from "../view/boards.js";
import {carry} from "../view/carry.js";
import {moneyView} from "../view/money.js";
import {wished, without, withWish} from "../state/wishes.js";
import {typed} from "../state/ground.js";
import {looks} from "../view/looks.js";

const NEXT = "plan again, and the rest makes way.";
const LOOK_EVERY = 250;
const SECONDS = "yieldopt-seconds";

/**
 * @param {HTMLElement} room @param {import("../state/job.js").Job} job @param {(text: string) =>
 * void} say
 */
export function planRoom(room, job, say) {
  let looked = null;
  let run = {state: "none", standings: [], sketches: 0, run: 0, error: null};
  let drawn = "";
  let chosen = null;
  let over = false;
  let carrying = null;
  let points = 1;
  // What the plan cost before it was made again.
  let before = null;
  const told = el("p", {class: "carried", role: "status"});
  const woodOf = name => looked.boards.find(b => b.name === name);
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

  async function begin() {
    try {
      localStorage.setItem(SECONDS, seconds.value);
      const {clash} = await job.keep();
      if (Object.keys(clash).length) {
        return say("Another program wrote into the tables: settle that first, at the tables.");
      }
      await ask("POST", "/api/plan", {seconds: Number(seconds.value)});
      drawn = "";
      before = looked?.plan.missing.length ? null : (looked?.plan.cost ?? null);
      look();
    } catch (error) {
      say(error.message);
    }
  }

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
    } catch (error) {
      say(error.message);
    }
    if (over) return;
    drawSide();
    if (run.state === "running") timer = setTimeout(look, LOOK_EVERY);
  }

  function drawSide() {
    const running = run.state === "running";
    show(
      keys,
      el("label", {for: "seconds"}, "Seconds ", seconds),
      running
        ? button("That will do", () => ask("POST", "/api/plan/stop").catch(e => say(e.message)))
        : button(looked ? "Plan again" : "Plan", begin, {class: "main"}),
      looked && !running ? el("a", {class: "key", href: "#/print"}, "Print") : null,
    );
    const plan = looked?.plan ?? null;
    show(money, moneyView({running, standings: run.standings, plan, before}));
    drawBeside();
  }

  function drawBeside() {
    const plan = looked?.plan;
    if (!plan) return show(beside, el("p", {}, "No plan yet."));
    const pieces = plan.sheets.flatMap(s => s.pieces.map(p => ({...p, board: s.board})));
    const parts = Map.groupBy(pieces, p => p.part);
    const one = chosen && pieces.find(p => p.piece === chosen);
    show(
      beside,
      plan.missing.length
        ? el(
            "div",
            {class: "say", role: "alert"},
            el("h3", {}, "Without a place"),
            el(
              "ul",
              {},
              plan.missing.map(m => el("li", {}, `${m.qty} x ${m.part}: ${m.why}`)),
            ),
          )
        : null,
      one
        ? el(
            "div",
            {class: "one"},
            el("h3", {}, one.piece),
            el("p", {}, aboutPiece(one)),
            el("div", {class: "keys"}, wishKeys(one)),
          )
        : null,
      el("h3", {}, count(pieces.length, "piece")),
      el(
        "ul",
        {class: "parts"},
        [...parts].map(([part, of]) =>
          el(
            "li",
            {},
            button(`${of.length} x ${part}`, () => pick(of[0].piece), {
              class: one?.part === part ? "quiet chosen" : "quiet",
            }),
            el("span", {class: "tint", style: `background:${look_(part).tint}`}),
          ),
        ),
      ),
    );
  }

  /** Keys for a piece: carried elsewhere, or kept where it lies, by which the next plan goes. */
  function wishKeys(piece) {
    const pins = job.tables.pins;
    const carryKey = button(carrying ? "Let it go" : "Carry it elsewhere", () =>
      carrying ? carrying() : takeUp(piece),
    );
    const keep = wished(pins, piece.piece)
      ? button("Let it move again", () => wish({rows: without(pins, piece.piece)}))
      : button("Keep it where it lies", () => wish(withWish(pins, piece.wish)));
    return [carryKey, keep];
  }

  function wish(change) {
    job.edit("pins", change);
    drawBeside();
  }

  /** Carried over the boards; put down, it is a wish, and the next plan goes round it. */
  async function takeUp(piece) {
    try {
      const grounds = await ask("GET", `/api/places?piece=${encodeURIComponent(piece.piece)}`);
      const boards = new Map(
        [...picture.querySelectorAll("svg.board")].map(svg => [
          svg.dataset.board,
          {svg, wood: woodOf(svg.dataset.board)},
        ]),
      );
      carrying = carry({
        frame: picture,
        boards,
        points,
        units: job.units,
        piece,
        board: piece.board,
        grounds,
        say: (text, barred) => {
          told.textContent = text;
          told.classList.toggle("bad", barred);
        },
        ended: () => {
          carrying = null;
          told.textContent = "";
          drawBeside();
        },
        put: (board, x, y) => {
          const at = {board, x: typed(x, job.units), y: typed(y, job.units)};
          wish(withWish(job.tables.pins, {...piece.wish, ...at}));
          told.textContent = `${piece.piece} is wished for on ${board}: ${NEXT}`;
        },
      });
      drawBeside();
    } catch (error) {
      say(error.message);
    }
  }

  let tints = new Map();
  const look_ = part => tints.get(part) ?? {tint: "#e3c592", pattern: ""};

  function pick(piece) {
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
    if (!plan) {
      return show(
        picture,
        el(
          "p",
          {class: "what"},
          "Press Plan: the first layouts show within seconds, and get better while you look.",
        ),
      );
    }
    tints = looks(plan.sheets.flatMap(s => s.pieces.map(p => p.part)));
    const parts = [...tints.keys()];
    const woods = new Map(looked.boards.map(b => [b.name, b]));
    carrying?.();
    points = scaleFor(
      plan.sheets.map(s => woods.get(s.board)),
      Math.min(1400, picture.clientWidth || 900),
    );
    const part = chosen && plan.sheets.flatMap(s => s.pieces).find(p => p.piece === chosen)?.part;
    show(
      picture,
      plan.sheets.map(s => {
        const wood = woods.get(s.board);
        const drawing = boardDrawing(wood, s, points, {
          look: p => look_(p.part),
          label: p => String(parts.indexOf(p.part) + 1),
          pick: p => pick(p.piece),
          chosen: p => p.names.includes(chosen) || p.part === part,
        });
        return el(
          "figure",
          {},
          el(
            "figcaption",
            {},
            el("b", {}, wood.name),
            ` ${wood.species} ${wood.quarters}${wood.place ? `, ${wood.place}` : ""}`,
          ),
          drawing,
        );
      }),
    );
  }

  show(
    room,
    patterns(),
    keys,
    told,
    el("div", {class: "two"}, picture, el("aside", {}, money, beside)),
  );
  look();
  return () => {
    over = true;
    carrying?.();
    clearTimeout(timer);
  };
}

const aboutPiece = p =>
  [
    p.size,
    `${p.thickness} thick`,
    `on ${p.board}`,
    `blank ${p.blank}`,
    ...(p.layers > 1 ? [`layer ${p.layer} of ${p.layers}`] : []),
    ...(p.set ? [`set ${p.set}`] : []),
  ].join(", ");
