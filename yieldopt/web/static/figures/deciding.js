// What syncing decides, from what is kept here and what the rack has answered; sending and keeping
// are done elsewhere.
import {merge} from "./merging.js";

/** @import {Board, BoardOp, Hold, Holder, News, Op, PhotoOp, Trouble, Version} from "./valid.js" */

/** So many of a board's versions in a row that were this phone's own are remembered. */
export const OWN = 8;

/**
 * The change to send next. Boards and ticks in the order they were made, and a photo only while
 * none of them waits; nothing of a board whose last change the rack did not take.
 * @param {Op[]} ops in order
 * @returns {Op | undefined}
 */
export function nextOf(ops) {
  const blocked = new Set(ops.filter(o => o.trouble && o.board).map(o => o.board));
  const free = ops.filter(o => !o.trouble && !(o.board && blocked.has(o.board)));
  return free.find(o => !o.photo) ?? free[0];
}

const TIMED_OUT = 408,
  TOO_MANY = 429,
  UNKNOWN = 401;

/**
 * Whether an answer (0: none came) says nothing about the change itself: it is sent again later.
 * @param {number} status
 */
export const laterAgain = status =>
  status === 0 || [UNKNOWN, TIMED_OUT, TOO_MANY].includes(status) || status >= 500;

/**
 * The words of the rack that it can't do anything now, or null: silence and pairing have words of
 * their own.
 * @param {{status: number, ok: boolean, body: any}} r
 * @returns {string | null}
 */
export const refusalOf = r => (!r.ok && r.status > UNKNOWN ? r.body.error : null);

/**
 * The version that a change is made on top of. A correction begun before this phone's own changes
 * had arrived is one of what they made: no question to anybody.
 * @param {Board | undefined} there the board as it is kept here
 * @param {string | null} from the version that the correction was begun from
 * @returns {string | null}
 */
export function baseOf(there, from) {
  const mine = there?.own?.includes(from) && there.own.at(-1) === there.version;
  return (mine && there?.version) || from;
}

/**
 * The board once the rack has taken a change of it.
 * @param {Board} here
 * @param {BoardOp | PhotoOp} op
 * @param {Board} told the rack's answer
 * @param {boolean} more whether another change of it waits: then what was measured here stands
 * @returns {Board}
 */
export function taken(here, op, told, more) {
  let own = here?.own;
  if (!op.photo) {
    const base = op.base ?? null;
    const before = own?.at(-1) === base ? own : [base];
    own = [.../** @type {(string | null)[]} */ (before), told.version ?? null].slice(-OWN);
  }
  return more ? {...here, version: told.version, own} : {...here, ...told, own};
}

/**
 * Which boards to drop after a page of news: those that the rack says are gone, and at the end of a
 * reading from the first board on, those that it did not meet. What waits to be sent stays.
 * @param {News} news
 * @param {Board[]} boards as kept, with the page's
 * @param {string | undefined} reading the reading that this page ends
 * @param {Set<string | undefined>} waiting boards with changes on their way
 * @returns {Set<string>}
 */
export function left(news, boards, reading, waiting) {
  const drop = new Set(news.gone.filter(id => !waiting.has(id)));
  if (!reading || news.more) return drop;
  for (const b of boards) {
    if (b.version && b.reading !== reading && !waiting.has(b.id)) drop.add(b.id);
  }
  return drop;
}

/**
 * Who holds each board.
 * @param {Hold[]} holds
 * @returns {Record<string, Holder>}
 */
export const byBoard = holds =>
  Object.fromEntries(holds.flatMap(({boards, ...h}) => boards.map(id => [id, h])));

/**
 * @typedef {BoardOp & {trouble: Trouble}} Disputed a change of a board that the rack did not take
 */
/**
 * @typedef {Exclude<Op, BoardOp> & {trouble: Trouble}} Refused a tick or a photo not taken
 */

/**
 * Changes that the rack did not take; those of boards with what this phone has of the board by now.
 * @param {Op[]} ops in order
 */
export function troubled(ops) {
  /** @type {Disputed[]} */
  const boards = [];
  /** @type {Refused[]} */
  const others = [];
  for (const op of ops) {
    const {trouble} = op;
    if (!trouble) continue;
    if (op.tick || op.photo) others.push({...op, trouble});
    else boards.push({...op, ...newestOf(ops, op), trouble});
  }
  return {boards, others};
}

/**
 * What was measured last of the board of a change.
 * @param {Op[]} ops
 * @param {BoardOp} op
 * @returns {Version}
 */
function newestOf(ops, op) {
  let {cells, defects, edges} = op;
  for (const o of ops) {
    if (o.board === op.board && !o.photo) ({cells, defects, edges} = o);
  }
  return {cells, defects, edges};
}

/**
 * What to send without a question where two versions differ in different places, or null.
 * @param {Disputed} op
 * @returns {Version | null}
 */
export function mergedQuietly(op) {
  const {theirs} = op.trouble;
  if (!op.was || theirs?.id !== op.board || theirs.state !== "on rack") return null;
  const {merged, clashes} = merge(op.was, op, theirs);
  return clashes.length ? null : merged;
}
