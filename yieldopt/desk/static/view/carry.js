// A piece, or its whole blank, carried over the boards by hand or by keys: where it may be put down
// it is green, elsewhere the rule is named.
import {drawn} from "../shared/dom.js";
import {onTape, whyNot} from "../state/ground.js";

/** Steps by arrow keys, on the tape: one mark, and with Shift a good deal more. */
const STEPS = /** @type {Record<string, [number, number]>} */ ({in: [1 / 16, 2], mm: [1, 50]});

/** @typedef {import("./boards.js").Wood} Wood */
/**
 * @typedef {{piece: string, pieces: string[], length: number, width: number,
 *   grounds: import("../state/ground.js").Ground[]}} Grounds
 */
/** @typedef {{board: string, x: number, y: number}} At */

/**
 * Carry a piece until it is put down or let go.
 * @param {{frame: HTMLElement, boards: Map<string, {svg: SVGSVGElement, wood: Wood}>,
 *   points: number, units: string, start: At, grounds: Grounds, put: (at: At) => void,
 *   say: (text: string, barred: boolean) => void, ended: () => void}} about
 * @returns {() => void} lets it go
 */
export function carry(about) {
  const {boards, points, units, grounds} = about;
  const by = new Map(grounds.grounds.map(g => [g.board, g]));
  const ghost = drawn("rect", {
    class: "ghost",
    width: grounds.length * points,
    height: grounds.width * points,
  });
  let at = about.start;
  /** @type {string | null} */
  let reason = null;
  let said = "";
  /** @type {PointerEvent | null} */
  let hand = null;

  function draw() {
    const there = boards.get(at.board);
    if (!there) return;
    if (ghost.parentNode !== there.svg) there.svg.append(ghost);
    const [x, y] = [at.x * points, (there.wood.high - at.y - grounds.width) * points];
    ghost.setAttribute("transform", `translate(${x} ${y})`);
    const ground = by.get(at.board);
    reason = ground ? whyNot(ground, at.x, at.y) : "this board is left alone";
    ghost.classList.toggle("barred", reason !== null);
    const words = reason ?? `may lie here, on ${at.board}: put it down`;
    if (words !== said) about.say((said = words), reason !== null);
  }

  /** @param {number} x @param {number} y */
  function move(x, y, board = at.board) {
    at = {board, x: onTape(x, units), y: onTape(y, units)};
    draw();
  }

  /** Drawn once a frame, wherever the hand has come by then. @param {PointerEvent} e */
  function over(e) {
    if (!hand) requestAnimationFrame(follow);
    hand = e;
  }

  /** The middle of what is carried is under the finger. */
  function follow() {
    const e = hand;
    hand = null;
    if (!e) return;
    const svg = svgAt(e.clientY);
    if (!svg) return;
    const [name, {wood, box}] = svg;
    const scale = (wood.length * points + 4) / box.width / points;
    const x = (e.clientX - box.left) * scale - 2 / points - grounds.length / 2;
    const y = wood.high - ((e.clientY - box.top) * scale - 2 / points) - grounds.width / 2;
    // Held to the edges, so that a hand needn't be exact.
    const ground = by.get(name);
    const spans = ground?.spans ?? [];
    const within = (
      /** @type {number} */ v,
      /** @type {number} */ low,
      /** @type {number} */ high,
    ) => (high < low ? v : Math.min(Math.max(v, low), high));
    move(
      ground && spans.length ? within(x, spans[0][0], ground.end) : x,
      ground && spans.length ? within(y, spans[0][1], spans[0][2]) : y,
      name,
    );
  }

  /** @type {Map<string, {wood: Wood, box: DOMRect}> | null} */
  let boxes = null;
  const moved = () => (boxes = null);

  /**
   * The board at this height of the window: measured once, and again when the page was scrolled.
   * @param {number} y
   */
  function svgAt(y) {
    boxes ??= new Map(
      [...boards].map(([n, {svg, wood}]) => [n, {wood, box: svg.getBoundingClientRect()}]),
    );
    return [...boxes].find(([, {box}]) => y >= box.top - 8 && y <= box.bottom + 8);
  }

  function down() {
    if (reason !== null) return about.say((said = `not here: ${reason}`), true);
    end();
    about.put(at);
  }

  /** @param {KeyboardEvent} e */
  function keys(e) {
    const [one, many] = STEPS[units];
    const step = e.shiftKey ? many : one;
    const names = [...boards.keys()];
    const next = (/** @type {number} */ n) =>
      names[(names.indexOf(at.board) + n + names.length) % names.length];
    const shown = (/** @type {string} */ board) => {
      move(at.x, at.y, board);
      boards.get(board)?.svg.scrollIntoView({block: "nearest"});
    };
    /** @type {Record<string, () => void>} */
    const moves = {
      ArrowLeft: () => move(at.x - step, at.y),
      ArrowRight: () => move(at.x + step, at.y),
      ArrowUp: () => move(at.x, at.y + step),
      ArrowDown: () => move(at.x, at.y - step),
      PageDown: () => shown(next(1)),
      PageUp: () => shown(next(-1)),
      Enter: down,
      Escape: end,
    };
    if (!moves[e.key]) return;
    e.preventDefault();
    e.stopPropagation();
    moves[e.key]();
  }

  function end() {
    ghost.remove();
    removeEventListener("keydown", keys, true);
    removeEventListener("scroll", moved, true);
    removeEventListener("resize", moved);
    about.frame.removeEventListener("pointermove", over);
    about.frame.removeEventListener("pointerup", up);
    about.frame.classList.remove("carrying");
    about.ended();
  }

  const up = (/** @type {PointerEvent} */ e) => {
    hand = e;
    follow();
    down();
  };
  addEventListener("keydown", keys, true);
  addEventListener("scroll", moved, true);
  addEventListener("resize", moved);
  about.frame.addEventListener("pointermove", over);
  about.frame.addEventListener("pointerup", up);
  about.frame.classList.add("carrying");
  draw();
  return end;
}
