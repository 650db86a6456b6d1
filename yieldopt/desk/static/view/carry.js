// A piece carried over the boards by hand or by keys: where it may be put down it is green,
// elsewhere the rule is named.
import {drawn} from "../shared/dom.js";
import {onTape, whyNot} from "../state/ground.js";

/** Steps by arrow keys, on the tape: one mark, and with Shift a good deal more. */
const STEPS = {in: [1 / 16, 2], mm: [1, 50]};

/**
 * Carry a piece until it is put down or let go.
 * @param {{frame: HTMLElement, boards: Map<string, {svg: SVGElement, wood: any}>, points: number,
 *   units: string, piece: any,
 *   board: string, grounds: any, put: (board: string, x: number, y: number) => void, say: (text:
 *   string, barred: boolean) => void,
 *   ended: () => void}} about
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
  let at = {board: about.board, x: about.piece.x, y: about.piece.y};
  let reason = null;

  function draw() {
    const {svg, wood} = boards.get(at.board);
    if (ghost.parentNode !== svg) svg.append(ghost);
    ghost.setAttribute("x", String(at.x * points));
    ghost.setAttribute("y", String((wood.high - at.y - grounds.width) * points));
    const ground = by.get(at.board);
    reason = ground ? whyNot(ground, at.x, at.y) : "this board is left alone";
    ghost.classList.toggle("barred", reason !== null);
    about.say(reason ?? `may lie here, on ${at.board}: put it down`, reason !== null);
  }

  function move(x, y, board = at.board) {
    at = {board, x: onTape(x, units), y: onTape(y, units)};
    draw();
  }

  /** Moved across by the other hand's measure: the piece's middle is under the finger. */
  function over(e) {
    for (const [name, {svg, wood}] of boards) {
      const box = svg.getBoundingClientRect();
      if (e.clientY < box.top - 8 || e.clientY > box.bottom + 8) continue;
      const scale = svg.viewBox.baseVal.width / box.width / points;
      const x = (e.clientX - box.left) * scale - 2 / points - grounds.length / 2;
      const y = wood.high - ((e.clientY - box.top) * scale - 2 / points) - grounds.width / 2;
      // Held to the edges, so that a hand needn't be exact.
      const spans = by.get(name)?.spans ?? [];
      const within = (v, low, high) => (high < low ? v : Math.min(Math.max(v, low), high));
      move(
        spans.length ? within(x, spans[0][0], by.get(name).end) : x,
        spans.length ? within(y, spans[0][1], spans[0][2]) : y,
        name,
      );
      return;
    }
  }

  function down() {
    if (reason !== null) return about.say(`not here: ${reason}`, true);
    end();
    about.put(at.board, at.x, at.y);
  }

  function keys(e) {
    const [one, many] = STEPS[units];
    const step = e.shiftKey ? many : one;
    const names = [...boards.keys()];
    const next = n => names[(names.indexOf(at.board) + n + names.length) % names.length];
    const moves = {
      ArrowLeft: () => move(at.x - step, at.y),
      ArrowRight: () => move(at.x + step, at.y),
      ArrowUp: () => move(at.x, at.y + step),
      ArrowDown: () => move(at.x, at.y - step),
      PageDown: () => move(at.x, at.y, next(1)),
      PageUp: () => move(at.x, at.y, next(-1)),
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
    about.frame.removeEventListener("pointermove", over);
    about.frame.removeEventListener("pointerup", up);
    about.frame.classList.remove("carrying");
    about.ended();
  }

  const up = e => (over(e), down());
  addEventListener("keydown", keys, true);
  about.frame.addEventListener("pointermove", over);
  about.frame.addEventListener("pointerup", up);
  about.frame.classList.add("carrying");
  draw();
  return end;
}
