// A plan as the bench shows it, and a tick put on it.

/** @import {Flaw, Tick} from "./valid.js" */
/** @typedef {{pending?: boolean}} Pending only on this phone so far */
/**
 * @typedef {object} Spot where a cut's line lies on its sheet, in points
 * @property {number} page
 * @property {number} left
 * @property {number} top
 * @property {number} width
 * @property {number} height
 * @property {boolean} [end] in an end view
 */
/**
 * @typedef {object} CutMade one cut, with its words as they stand on the sheet
 * @property {number} order
 * @property {string} state `planned` or `done`
 * @property {string} what
 * @property {string} saw
 * @property {string} at the figure
 * @property {string} beside what is said beside it
 * @property {string} origin
 * @property {string} [blank]
 * @property {string} [along]
 * @property {string} [waste]
 * @property {string} words
 * @property {Spot[]} spots where its line lies on the sheet, in points
 */
/** @typedef {CutMade & Pending} Cut */
/** @typedef {{piece: string, blank: string, state: string} & Pending} Piece */
/** @typedef {Flaw & {id: string, by?: string} & Pending} Found */
/**
 * @typedef {object} Strip a row of the drawing
 * @property {number} page
 * @property {number} upper
 * @property {number} lower the stretch of the page it takes, points
 * @property {number} left
 * @property {number} top
 * @property {number} width where the wood lies on the page, points
 * @property {number} points to an inch
 * @property {number} start inches from the datum end at its left
 * @property {number} high inches from the near edge at its top
 */
/**
 * @typedef {object} PlanBoard
 * @property {string} board
 * @property {string} stem name of its sheet's file
 * @property {string} quarters
 * @property {string} species
 * @property {Cut[]} cuts
 * @property {Piece[]} pieces
 * @property {Found[]} found
 * @property {[number, number][]} pages width and height of each page of its sheet, points
 * @property {Strip[]} strips
 */
/**
 * @typedef {object} Plan
 * @property {string} plan digest
 * @property {string} job
 * @property {number} revision
 * @property {PlanBoard[]} boards
 */

/**
 * Put one tick on a plan, in place.
 * @param {Plan} plan
 * @param {Tick} tick
 * @param {string} key names it
 * @param {boolean} pending
 */
export function put(plan, tick, key, pending) {
  const board = plan.boards.find(b => b.board === tick.board);
  if (!board) return;
  if (tick.found) {
    board.found = board.found.filter(d => d.id !== key);
    board.found.push({...tick.found, id: key, pending});
  } else if (tick.take_back) board.found = board.found.filter(d => d.id !== tick.take_back);
  else {
    const thing = tick.cut
      ? board.cuts.find(c => c.order === tick.cut)
      : board.pieces.find(p => p.piece === tick.piece);
    if (thing) Object.assign(thing, {state: tick.state, pending});
  }
}
