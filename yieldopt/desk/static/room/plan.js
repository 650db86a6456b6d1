// Plan the job and watch: money, bound and layouts as they come; then the whole job in one picture, to point at.
import {button, count, drawn, el, show} from "../shared/dom.js";
import {ask} from "../state/net.js";
import {boardDrawing, patterns, scaleFor} from "../view/boards.js";
import {carry} from "../view/carry.js";
import {typed} from "../state/ground.js";
import {looks} from "../view/looks.js";

const LOOK_EVERY = 250;
const SECONDS = "yieldopt-seconds";

/** @param {HTMLElement} room @param {import("../state/job.js").Job} job @param {(text: string) => void} say */
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
  const seconds = el("input", {type: "number", min: 1, max: 3600, step: 1, value: localStorage.getItem(SECONDS) ?? "20", id: "seconds"});
  const keys = el("div", {class: "keys"});
  const money = el("div", {class: "money"});
  const picture = el("div", {class: "boards"});
  const beside = el("div", {class: "beside"});

  async function begin() {
    try {
      localStorage.setItem(SECONDS, seconds.value);
      const {clash} = await job.keep();
      if (Object.keys(clash).length) return say("Another program wrote into the tables: settle that first, at the tables.");
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
      running ? button("That will do", () => ask("POST", "/api/plan/stop").catch(e => say(e.message))) : button(looked ? "Plan again" : "Plan", begin, {class: "main"}),
      looked && !running ? el("a", {class: "key", href: "#/print"}, "Print") : null,
    );
    const now = run.standings[run.standings.length - 1];
    const plan = looked?.plan;
    const cost = running ? now?.cost : plan?.cost;
    const bound = running ? now?.bound : plan?.bound;
    show(
      money,
      running ? el("p", {class: "doing", role: "status"}, now ? `${now.doing}, ${now.seconds.toFixed(0)} s` : "getting ready") : null,
      figure("Net cost", cost === null || cost === undefined ? "–" : cost.toFixed(2)),
      figure("At least", bound === null || bound === undefined ? "not known yet" : bound.toFixed(2)),
      cost && bound !== null && bound !== undefined ? figure("Open between", `${((100 * (cost - bound)) / cost).toFixed(1)} %`) : null,
      plan && !running && before !== null && !plan.missing.length ? figure("Against the plan before", signed(plan.cost - before)) : null,
      plan && !running ? figure("Yield", `${(100 * plan.yielded).toFixed(0)} %`) : null,
      plan ? figure("Boards cut", String(plan.sheets.length)) : null,
      curve(run.standings),
    );
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
      plan.missing.length ? el("div", {class: "say", role: "alert"}, el("h3", {}, "Without a place"), el("ul", {}, plan.missing.map(m => el("li", {}, `${m.qty} x ${m.part}: ${m.why}`)))) : null,
      one ? el("div", {class: "one"}, el("h3", {}, one.piece), el("p", {}, `${one.size}, ${one.thickness} thick, on ${one.board}, blank ${one.blank}${one.layers > 1 ? `, layer ${one.layer} of ${one.layers}` : ""}${one.set ? `, set ${one.set}` : ""}`), el("div", {class: "keys"}, wishKeys(one))) : null,
      el("h3", {}, count(pieces.length, "piece")),
      el(
        "ul",
        {class: "parts"},
        [...parts].map(([part, of]) =>
          el("li", {}, button(`${of.length} x ${part}`, () => pick(of[0].piece), {class: one?.part === part ? "quiet chosen" : "quiet"}), el("span", {class: "tint", style: `background:${look_(part).tint}`})),
        ),
      ),
    );
  }

  /** A piece that lies well is kept there: a row in the table of wishes, by which the next plan goes. */
  function wishKeys(piece) {
    const pins = job.tables.pins;
    const at = pins.columns.indexOf("piece");
    const there = pins.rows.some(row => row[at] === piece.piece);
    const carryKey = button(carrying ? "Let it go" : "Carry it elsewhere", () => (carrying ? carrying() : begin_(piece)));
    if (there) return [carryKey, button("Let it move again", () => {
        job.edit("pins", {rows: pins.rows.filter(row => row[at] !== piece.piece)});
        drawBeside();
      })];
    return [carryKey, button("Keep it where it lies", () => wish(piece.wish))];
  }

  /** A row in the table of wishes, in place of one for the same piece. */
  function wish(row) {
    const pins = job.tables.pins;
    const columns = [...new Set([...pins.columns, ...Object.keys(row)])];
    const at = columns.indexOf("piece");
    const rows = pins.rows.map(old => columns.map((_, n) => (n < pins.columns.length ? old[n] : "")));
    job.edit("pins", {columns, rows: [...rows.filter(old => old[at] !== row.piece), columns.map(c => row[c] ?? "")]});
    drawBeside();
  }

  /** Carried over the boards; put down, it is a wish, and the next plan goes round it. */
  async function begin_(piece) {
    try {
      const grounds = await ask("GET", `/api/places?piece=${encodeURIComponent(piece.piece)}`);
      const boards = new Map([...picture.querySelectorAll("svg.board")].map(svg => [svg.dataset.board, {svg, wood: woodOf(svg.dataset.board)}]));
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
          const {layer} = piece.wish;
          wish({piece: piece.piece, board, x: typed(x, job.units), y: typed(y, job.units), ...(layer ? {layer} : {})});
          told.textContent = `${piece.piece} is wished for on ${board}: plan again, and the rest goes round it.`;
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
    if (chosen) picture.querySelector(`[data-piece="${CSS.escape(chosen)}"]`)?.scrollIntoView({block: "nearest"});
  }

  function drawPicture() {
    const plan = looked?.plan;
    if (!plan) return show(picture, el("p", {class: "what"}, "Press Plan: the first layouts show within seconds, and get better while you look."));
    tints = looks(plan.sheets.flatMap(s => s.pieces.map(p => p.part)));
    const parts = [...tints.keys()];
    const woods = new Map(looked.boards.map(b => [b.name, b]));
    carrying?.();
    points = scaleFor(plan.sheets.map(s => woods.get(s.board)), Math.min(1400, picture.clientWidth || 900));
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
        return el("figure", {}, el("figcaption", {}, el("b", {}, wood.name), ` ${wood.species} ${wood.quarters}${wood.place ? `, ${wood.place}` : ""}`), drawing);
      }),
    );
  }

  show(room, patterns(), keys, told, el("div", {class: "two"}, picture, el("aside", {}, money, beside)));
  look();
  return () => {
    over = true;
    carrying?.();
    clearTimeout(timer);
  };
}

const signed = money => `${money < 0 ? "−" : "+"} ${Math.abs(money).toFixed(2)}`;

const figure = (word, value) => el("p", {class: "figure"}, el("span", {}, word), el("b", {}, value));

/** Cost above, bound below, over the seconds. */
function curve(standings) {
  const costs = standings.filter(s => s.cost !== null);
  if (costs.length < 2) return null;
  const [w, h] = [260, 90];
  const end = Math.max(...standings.map(s => s.seconds), 1e-6);
  const figures = standings.flatMap(s => [s.cost, s.bound]).filter(f => f !== null);
  const [low, high] = [Math.min(...figures), Math.max(...figures)];
  const point = (s, f) => `${((s.seconds / end) * w).toFixed(1)},${(h - 4 - ((f - low) / Math.max(1e-9, high - low)) * (h - 8)).toFixed(1)}`;
  const line = key => standings.filter(s => s[key] !== null).map(s => point(s, s[key])).join(" ");
  return drawn(
    "svg",
    {viewBox: `0 0 ${w} ${h}`, class: "curve", role: "img", "aria-label": `net cost from ${costs[0].cost.toFixed(2)} to ${costs[costs.length - 1].cost.toFixed(2)}`},
    drawn("polyline", {points: line("cost"), class: "cost"}),
    drawn("polyline", {points: line("bound"), class: "bound"}),
  );
}
