// What is done on this phone, kept as a change on its way to the rack, and the answers to its
// questions.
import {baseOf} from "../figures/deciding.js";
import {uuid} from "./identity.js";
import {tell} from "./reach.js";
import {change, wait} from "./store.js";
import {sync} from "./sync.js";

/** @import {Board, BoardOp, Op, Tick, Version} from "../figures/valid.js" */
/** @import {Open} from "./store.js" */

/** Shown at once, and on its way. */
function sendOff() {
  tell();
  sync();
}

/**
 * The changes of a board that wait, in order; photos are none of them.
 * @param {Open} s
 * @param {string} id
 * @returns {Promise<BoardOp[]>}
 */
async function waitingOf(s, id) {
  /** @type {Op[]} */
  const ops = await wait(s.ops.getAll());
  return /** @type {BoardOp[]} */ (ops.filter(o => o.board === id && !o.photo));
}

/**
 * Keep a board. `was` is what the correction was made from, so that changes made elsewhere
 * meanwhile can be merged with it.
 * @param {Board} board
 * @param {Version | null} was
 */
export async function saveBoard(board, was = null) {
  const {id, cells, defects, edges} = board;
  await change(["boards", "ops"], async s => {
    const there = await wait(s.boards.get(id)),
      base = baseOf(there, board.version ?? null);
    await wait(s.boards.put({...board, version: base ?? undefined, own: there?.own}));
    const last = (await waitingOf(s, id)).at(-1);
    const now = {key: uuid(), sent: false, cells, defects, edges};
    // One that has not left this phone is altered; behind one that has, this one waits.
    if (last && (!last.sent || last.trouble)) {
      await wait(s.ops.put({...last, ...now, trouble: null}));
    } else await wait(s.ops.add({board: id, base, was, after: last?.n ?? null, ...now}));
  });
  sendOff();
}

/**
 * @param {Tick} tick
 * @param {string} key
 */
export async function saveTick(tick, key = uuid()) {
  await change(["ops"], s => wait(s.ops.add({tick, key, sent: false})));
  sendOff();
}

/**
 * @param {string} board
 * @param {string} name
 * @param {Blob} blob
 */
export async function addPhoto(board, name, blob) {
  await change(["ops", "pictures"], async s => {
    await wait(s.pictures.put({name, board, blob}));
    await wait(s.ops.add({board, photo: blob, name, key: uuid(), sent: false}));
  });
  sendOff();
}

/**
 * The answer to a conflict or a refusal: "mine" sends this phone's `version` on top of theirs,
 * "theirs" drops the phone's.
 * @param {BoardOp} op
 * @param {"mine" | "theirs"} which
 * @param {Version} version
 */
export async function answer(op, which, version = op) {
  await change(["boards", "ops"], async s => {
    for (const o of await waitingOf(s, op.board)) await wait(s.ops.delete(o.n));
    const theirs = op.trouble?.theirs ?? null,
      same = theirs?.id === op.board;
    if (which === "theirs") {
      if (!same) await wait(s.boards.delete(op.board));
      if (theirs) await wait(s.boards.put(theirs));
      return;
    }
    const {cells, defects, edges} = version,
      base = same ? theirs?.version : op.base;
    const b = await wait(s.boards.get(op.board));
    await wait(s.boards.put({...b, cells, defects, edges, version: base ?? undefined}));
    const now = {board: op.board, key: uuid(), base, was: same ? theirs : null};
    await wait(s.ops.add({...now, cells, defects, edges, sent: false}));
  });
  sendOff();
}
