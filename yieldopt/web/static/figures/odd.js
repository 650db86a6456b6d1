// Figures that hardly any board has, most often a slip on the keypad (965 for 96 5/8): asked about
// before they are kept, never refused.
import {fraction, inches} from "./lengths.js";
import {extent, nominal} from "./wood.js";

/** @import {Version} from "./valid.js" */
/** @typedef {{field: string, words: string}} Oddity */

// NHLA's standard lengths run from 4 to 16 ft; the rest is common practice, without a source.
const LONGEST = 240,
  SHORTEST = 6,
  WIDEST = 36,
  NARROWEST = 1;
// A measured thickness this far off its nominal one is another class.
const OFF = 0.3;

const said = (/** @type {number} */ v) =>
  `${fraction(v, 64)} in${v >= 24 ? ` (${fraction(v / 12, 2)} ft)` : ""}`;

/**
 * What to ask about, in words, and which figure it is.
 * @param {Version} board
 * @returns {Oddity[]}
 */
export function oddities(board) {
  /** @type {Oddity[]} */
  const found = [];
  const c = board.cells,
    {low, high} = extent(board);
  const length = inches(c.length) ?? 0,
    width = board.edges.length ? high - low : (inches(c.width) ?? 0);
  const thick = inches(c.thickness),
    class_ = nominal(c.quarters);
  const ask = (/** @type {string} */ field, /** @type {string} */ words) =>
    found.push({field, words});
  if (length > LONGEST) ask("length", `${said(length)} long?`);
  if (length < SHORTEST) ask("length", `Only ${said(length)} long?`);
  if (width > WIDEST) ask("width", `${said(width)} wide?`);
  if (width < NARROWEST) ask("width", `Only ${said(width)} wide?`);
  if (width <= WIDEST && width > length) ask("width", `Wider (${said(width)}) than long?`);
  if (thick && class_ && Math.abs(thick - class_) > OFF * class_) {
    ask("thickness", `${said(thick)} thick, though it is ${c.quarters}?`);
  }
  return found;
}
