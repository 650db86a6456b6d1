// Words and figures of the trade as the package has them, written by `tests/web/page_figures.py`:
// change them in the package, and run it.

/** Kinds of defects to choose from, the sound ones first. */
export const KINDS = [
  "knot",
  "sapwood",
  "stain",
  "streak",
  "bark",
  "check",
  "loose knot",
  "other",
  "pith",
  "split",
  "wane",
  "worm",
];
/** Kinds that go through a board, whichever face they were logged on. */
export const THROUGH = ["pith", "split", "wane"];
/** How a board was sawn. */
export const SAWN = ["flat", "rift", "quarter"];
/** What is known of the stress in it. */
export const STRESS = ["tested", "unknown", "no resaw"];
/** Which of its ends need no trim. */
export const SOUND_ENDS = ["none", "datum", "far", "both"];
export const CUBIC_INCHES_IN_A_BOARD_FOOT = 144;
export const CUBIC_INCHES_IN_A_CUBIC_METRE = 61023.74409473228;
