// Defects by hand: drawn on a board, moved, made another kind, taken out; each is a row of the
// table of defects. By keyboard in a panel of figures.
import {button, choice, el, onDrawing, show} from "../shared/dom.js";
import {onTape, typed} from "../state/ground.js";
import {cell, rowsOf, withCells, withoutRow, withRow} from "../state/rows.js";
import {boxer} from "../view/boards.js";

/** @typedef {import("../view/boards.js").Wood} Wood */
/** @typedef {import("../view/boards.js").Spot} Spot */

const PLACE = ["x", "y", "length", "width"];
// Drawn smaller than this in pixels it was a slip of the hand.
const SLIP = 4;

/**
 * @param {{job: import("../state/job.js").Job, panel: HTMLElement, say: (text: string) => void,
 *   redraw: () => void}} about
 */
export function flawHand({job, panel, say, redraw}) {
  let drawing = false;
  let kind = "knot";
  /** @type {{board: string, n: number} | null} */
  let chosen = null;
  const switchKey = button("Draw a defect", () => {
    drawing = !drawing;
    switchKey.setAttribute("aria-pressed", String(drawing));
    document.body.classList.toggle("drawing-flaws", drawing);
  });
  switchKey.setAttribute("aria-pressed", "false");

  const table = () => job.tables.defects;
  /** The row of a board's n-th defect. @param {string} board @param {number} n */
  const rowOf = (board, n) => rowsOf(table(), board)[n];

  /** @param {Spot} s @returns {Record<string, string>} */
  const cells = s => ({
    x: typed(s.x, job.units),
    y: typed(s.y, job.units),
    length: typed(Math.max(s.length, least()), job.units),
    width: typed(Math.max(s.width, least()), job.units),
  });
  const least = () => (job.units === "in" ? 1 / 8 : 3);

  /** @param {Wood} wood @param {Spot} spot @param {"A" | "B"} face */
  function add(wood, spot, face) {
    const n = rowsOf(table(), wood.name).length;
    job.edit("defects", withRow(table(), {board: wood.name, kind, face, ...cells(spot)}));
    chosen = {board: wood.name, n};
    drawPanel();
  }

  /** @param {Record<string, string>} change */
  function edit(change) {
    if (!chosen) return;
    job.edit("defects", withCells(table(), rowOf(chosen.board, chosen.n), change));
    drawPanel();
  }

  /**
   * @param {SVGSVGElement} svg
   * @param {Wood} wood
   * @param {number} points
   * @param {"A" | "B"} face
   */
  function on(svg, wood, points, face) {
    svg.addEventListener("pointerdown", e => {
      const target = /** @type {SVGElement} */ (e.target);
      const n = Number(target.dataset.flaw ?? -1);
      if (n >= 0 && job.settled) return begin(e, svg, wood, points, face, n);
      if (drawing) begin(e, svg, wood, points, face, -1);
    });
    for (const flaw of svg.querySelectorAll("[data-flaw]")) {
      const n = Number(/** @type {SVGElement} */ (flaw).dataset.flaw);
      const f = wood.flaws[n];
      flaw.setAttribute("tabindex", "0");
      flaw.setAttribute("role", "button");
      flaw.setAttribute("aria-label", `${f.kind} on ${wood.name}, face ${f.face}`);
      flaw.addEventListener("keydown", e => {
        const {key} = /** @type {KeyboardEvent} */ (e);
        if (key !== "Enter" && key !== " ") return;
        e.preventDefault();
        choose(wood.name, n);
        panel.querySelector("select")?.focus();
      });
    }
  }

  /** @param {string} board @param {number} n */
  function choose(board, n) {
    chosen = {board, n};
    drawPanel();
  }

  /**
   * Draw a new one, or move the n-th.
   * @param {PointerEvent} e
   * @param {SVGSVGElement} svg
   * @param {Wood} wood
   * @param {number} points
   * @param {"A" | "B"} face
   * @param {number} n
   */
  function begin(e, svg, wood, points, face, n) {
    e.preventDefault();
    const place = (/** @type {PointerEvent} */ m) => {
      const p = onDrawing(svg, m);
      const within = (/** @type {number} */ v, /** @type {number} */ a, /** @type {number} */ b) =>
        Math.min(Math.max(v, a), b);
      return [
        within(p.x / points, 0, wood.length),
        within(wood.high - p.y / points, wood.low, wood.high),
      ];
    };
    const [x0, y0] = place(e);
    const was = n >= 0 ? wood.flaws[n] : null;
    /** @type {Spot} */
    let spot = was ?? {x: x0, y: y0, length: 0, width: 0};
    const ghost = boxer(wood, points)(spot, {class: "flaw on-A ghosted"});
    svg.append(ghost);
    const move = (/** @type {PointerEvent} */ m) => {
      const [x, y] = place(m);
      spot = was
        ? {...was, x: onTape(was.x + x - x0, job.units), y: onTape(was.y + y - y0, job.units)}
        : {
            x: onTape(Math.min(x, x0), job.units),
            y: onTape(Math.min(y, y0), job.units),
            length: onTape(Math.abs(x - x0), job.units),
            width: onTape(Math.abs(y - y0), job.units),
          };
      const next = boxer(wood, points)(spot, {});
      for (const k of ["x", "y", "width", "height"]) {
        ghost.setAttribute(k, next.getAttribute(k) ?? "0");
      }
    };
    const end = () => {
      removeEventListener("pointermove", move);
      ghost.remove();
      if (was) {
        chosen = {board: wood.name, n};
        if (spot.x !== was.x || spot.y !== was.y) edit({x: cells(spot).x, y: cells(spot).y});
        else drawPanel();
      } else if (spot.length * points > SLIP || spot.width * points > SLIP) {
        add(wood, spot, face);
      }
    };
    svg.setPointerCapture?.(e.pointerId);
    addEventListener("pointermove", move);
    addEventListener("pointerup", end, {once: true});
  }

  function drawPanel() {
    const at = chosen ? rowOf(chosen.board, chosen.n) : undefined;
    if (!chosen || at === undefined) return show(panel);
    const row = table().rows[at];
    const value = (/** @type {string} */ c) => cell(table(), row, c);
    show(
      panel,
      el("h3", {}, `Defect on ${chosen.board}`),
      choice("Kind", job.kinds, value("kind"), k => ((kind = k), edit({kind: k}))),
      choice("Face", ["A", "B", "both"], value("face"), f => edit({face: f})),
      PLACE.map(c =>
        el(
          "label",
          {},
          c,
          el("input", {value: value(c), size: 8, onchange: e => edit({[c]: e.target.value})}),
        ),
      ),
      button("Take it out", () => {
        job.edit("defects", withoutRow(table(), at));
        chosen = null;
        drawPanel();
      }),
      button("Done", () => ((chosen = null), drawPanel())),
    );
  }

  return {
    on,
    keys: () => [
      switchKey,
      choice("Kind", job.kinds, kind, k => (kind = k)),
      button("Enter one by figures", () => {
        const wood = job.boards?.[0];
        if (!wood) return say("There is no board yet.");
        const name = prompt_(job);
        add(job.boards?.find(b => b.name === name) ?? wood, middle(wood), "A");
        panel.querySelector("select")?.focus();
      }),
    ],
    drawn: drawPanel,
    redraw,
  };
}

/** @param {Wood} wood @returns {Spot} */
const middle = wood => ({x: wood.length / 2, y: (wood.low + wood.high) / 2, length: 1, width: 1});

/**
 * The board whose figure has the focus, else the first.
 * @param {import("../state/job.js").Job} job
 */
function prompt_(job) {
  const figure = document.activeElement?.closest("figure");
  return figure?.querySelector("figcaption b")?.textContent ?? job.boards?.[0]?.name;
}
