// What a record must look like before it is kept or shown: whatever comes from a file, from the
// rack, or from this phone's own memory. What a record is stands here too, for the whole page.

/** @typedef {Record<string, string>} Words texts as typed, by column */
/**
 * @typedef {object} Flaw a mark, its figures as typed
 * @property {string} kind
 * @property {string} [face]
 * @property {string} x
 * @property {string} y
 * @property {string} length
 * @property {string} width
 */
/** @typedef {{x: string, near?: string, far: string}} Edge how wide a board is at one place */
/** @typedef {{name: string, digest: string}} Photo one that the rack has */
/**
 * What is measured of a board.
 * @typedef {object} Version
 * @property {Words} cells
 * @property {Flaw[]} defects
 * @property {Edge[]} edges
 */
/**
 * @typedef {object} Known what else is known of a board
 * @property {string} id
 * @property {string} [version] the rack's name for what it has; none while the board is only here
 * @property {(string | null)[]} [own] the last versions in a row that were this phone's own
 * @property {Photo[]} [photos]
 * @property {string} [state] `on rack`, or what became of it
 * @property {string} [reading] the reading of the whole rack that met it last
 */
/** @typedef {Version & Known} Board */
/**
 * @typedef {object} Trouble why the rack did not take a change
 * @property {number} status
 * @property {string} [error]
 * @property {unknown} [detail]
 * @property {Board | null} [theirs] the rack's board that stands against it
 */
/**
 * @typedef {object} Tick what was done at the bench; one of `cut`, `piece`, `found`, `take_back`
 * @property {string} plan the plan's digest
 * @property {number} [plan_number] its place among the plans that are served
 * @property {string} board
 * @property {number} [cut]
 * @property {string} [piece]
 * @property {string} [was]
 * @property {string} [state]
 * @property {Flaw} [found]
 * @property {string} [take_back] key of the tick by which it was noted
 */
/**
 * @typedef {object} Sending
 * @property {number} n place in the order of changes
 * @property {string} key the rack takes one key once
 * @property {boolean} [sent] it may have reached the rack
 * @property {Trouble | null} [trouble]
 */
/** @typedef {{base: string | null, was?: Version | null, after?: number | null}} From */
/**
 * @typedef {{board: string, photo?: undefined, tick?: undefined}} OfBoard
 * @typedef {Sending & Version & From & OfBoard} BoardOp
 */
/** @typedef {Sending & {board: string, photo: Blob, name?: string, tick?: undefined}} PhotoOp */
/** @typedef {Sending & {tick: Tick, board?: undefined, photo?: undefined}} TickOp */
/** @typedef {BoardOp | PhotoOp | TickOp} Op a change on its way to the rack */
/** @typedef {{name: string, board: string, blob: Blob}} Picture a photo's bytes */
/**
 * @typedef {{job: string, who: string, planning?: boolean, since?: string, until?: number}} Holder
 */
/** @typedef {Holder & {boards: string[]}} Hold */
/**
 * @typedef {object} News a page of what changed in the rack
 * @property {Board[]} boards
 * @property {string[]} gone
 * @property {string} cursor where to go on from
 * @property {boolean} more
 * @property {boolean} [anew] it begins from the first board
 * @property {number} left
 * @property {number} total
 * @property {Hold[] | null} [holds]
 * @property {string} holds_tag
 */

const ID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;

/** @type {(v: unknown) => v is Record<string, any>} */
const plain = v => typeof v === "object" && v !== null && !Array.isArray(v);
/** @type {(v: unknown) => v is string} */
const text = v => typeof v === "string";
/** @type {(v: unknown, is: (v: any) => boolean) => boolean} */
const maybe = (v, is) => v === undefined || v === null || is(v);
/** @type {(v: unknown, is: (v: any) => boolean) => boolean} */
const list = (v, is) => Array.isArray(v) && v.every(is);
/** @type {(v: unknown) => v is Words} */
const words = v => plain(v) && Object.values(v).every(text);
/** @type {(v: unknown) => boolean} */
const id = v => text(v) && ID.test(v);
/** @type {(v: Record<string, unknown>) => boolean} */
const measured = v => words(v.cells) && list(v.defects, words) && list(v.edges, words);
/** @type {(v: unknown) => boolean} */
const photo = p => plain(p) && text(p.name) && text(p.digest);
/** @type {(v: unknown) => boolean} */
const versionOrNone = v => v === null || text(v);

/** @type {(b: unknown) => b is Board} */
export const board = b =>
  plain(b) &&
  id(b.id) &&
  measured(b) &&
  maybe(b.version, text) &&
  maybe(b.photos, v => list(v, photo)) &&
  maybe(b.own, v => list(v, versionOrNone));

/** @type {(v: unknown) => boolean} */
const tick = t =>
  plain(t) &&
  text(t.plan) &&
  text(t.board) &&
  /^\d{1,4}$/.test(t.plan_number) &&
  maybe(t.found, words);

/** @type {(v: unknown) => boolean} */
const trouble = t => plain(t) && Number.isInteger(t.status) && maybe(t.theirs, board);

/** @type {(o: Record<string, any>) => boolean} */
const ofBoard = o => {
  if (!id(o.board)) return false;
  if (o.photo !== undefined) return o.photo instanceof Blob && maybe(o.name, text);
  return measured(o) && maybe(o.base, text);
};

/** @type {(o: unknown) => o is Op} */
export const op = o =>
  plain(o) &&
  id(o.key) &&
  maybe(o.trouble, trouble) &&
  (o.tick !== undefined ? tick(o.tick) : ofBoard(o));

/** @type {(p: unknown) => p is Picture} */
const picture = p => plain(p) && text(p.name) && p.blob instanceof Blob;
/** @type {(v: unknown) => boolean} */
const hold = h => plain(h) && text(h.job) && text(h.who) && list(h.boards, text);

/** @type {(n: unknown) => n is News} */
export const news = n =>
  plain(n) &&
  list(n.boards, board) &&
  list(n.gone, text) &&
  text(n.cursor) &&
  typeof n.more === "boolean" &&
  Number.isInteger(n.left) &&
  Number.isInteger(n.total) &&
  maybe(n.holds, v => list(v, hold)) &&
  text(n.holds_tag);

/**
 * By store: what is read there and does not fit is set aside.
 * @type {Record<string, (v: unknown) => boolean>}
 */
export const RECORDS = {boards: board, ops: op, pictures: picture};

/**
 * Whether a remembered answer is of the kind of what stands in for it: another is as good as none.
 * @param {unknown} v
 * @param {unknown} otherwise
 */
export function like(v, otherwise) {
  if (otherwise === undefined || otherwise === null) return true;
  return (
    typeof v === typeof otherwise && v !== null && Array.isArray(v) === Array.isArray(otherwise)
  );
}
