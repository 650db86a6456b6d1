// Figures that hardly any board has, most often a slip on the keypad (965 for 96 5/8): asked about
// before they are kept, never refused.
import {fraction, inches} from "./lengths.js";
import {extent, nominal} from "./wood.js";

// NHLA's standard lengths run from 4 to 16 ft; the rest is common practice, without a source.
const LONGEST = 240,
  SHORTEST = 6,
  WIDEST = 36,
  NARROWEST = 1;
// A measured thickness this far off its nominal one is another class.
const OFF = 0.3;

const said = v => `${fraction(v, 64)} in${v >= 24 ? ` (${fraction(v / 12, 2)} ft)` : ""}`;

/**
 * What to ask about, in words, and which figure it is.
 * @returns {{field: string, words: string}[]}
 */
export function oddities(board) {
  const c = board.cells,
    found = [],
    {low, high} = extent(board);
  const length = inches(c.length),
    width = board.edges.length ? high - low : inches(c.width);
  const thick = inches(c.thickness),
    class_ = nominal(c.quarters);
  const ask = (field, words) => found.push({field, words});
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
