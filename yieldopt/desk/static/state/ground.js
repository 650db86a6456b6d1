// Whether a piece may lie with its corner here: looked up in what the desk's server worked out,
// which knows the rules.

/**
 * @typedef {{board: string, why: string | null, end: number, spans: [number, number, number][],
 *   barred: {x0: number, x1: number, y0: number, y1: number, why: string}[]}} Ground
 */

// Places are floats; what only touches is clear.
const HAIR = 1e-6;

/**
 * Why not, in words; null where it may.
 * @param {Ground} ground
 * @param {number} x
 * @param {number} y
 */
export function whyNot(ground, x, y) {
  if (ground.why) return ground.why;
  if (x < ground.spans[0][0] - HAIR || x > ground.end + HAIR) {
    return "beyond the sound length of the board";
  }
  const [, low, high] = ground.spans.findLast(s => s[0] <= x + HAIR) ?? ground.spans[0];
  if (y < low - HAIR || y > high + HAIR) return "beyond the edge of the board";
  const b = ground.barred.find(
    b => x > b.x0 + HAIR && x < b.x1 - HAIR && y > b.y0 + HAIR && y < b.y1 - HAIR,
  );
  return b?.why ?? null;
}

/**
 * A corner on the marks of a tape: sixteenths of an inch, or millimetres. @param {number} v @param
 * {string} units
 */
export const onTape = (v, units) => (units === "in" ? Math.round(v * 16) / 16 : Math.round(v));

/** A length as it is typed: `20 7/16`, `312`. @param {number} v @param {string} units */
export function typed(v, units) {
  const at = onTape(v, units);
  if (units !== "in") return String(at);
  const whole = Math.floor(at);
  let [top, below] = [Math.round((at - whole) * 16), 16];
  if (!top) return String(whole);
  while (top % 2 === 0) [top, below] = [top / 2, below / 2];
  return whole ? `${whole} ${top}/${below}` : `${top}/${below}`;
}
