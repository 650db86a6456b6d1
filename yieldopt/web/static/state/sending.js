// One change sent to the rack; a photo goes in parts, so that a phone that was cut off goes on from
// there.
import {sha256} from "../figures/sha256.js";
import {ask, state} from "./reach.js";
import {change, wait} from "./store.js";

/** @import {Op, PhotoOp} from "../figures/valid.js" */
/** @import {Answer} from "./reach.js" */
/** @typedef {{digest: string, have: number}} Far */

// Bytes of a part, and milliseconds it may take.
const PART = 32768,
  PATIENCE = 30000;
// The answer's body while a photo is not whole.
const UNFINISHED = {version: undefined};
/**
 * How far each photo has come, by the place of its change.
 * @type {Map<number, Far>}
 */
const far = new Map();

/**
 * A change that is sent once more is the same: from here on it is not altered any more.
 * @param {Op} op
 * @returns {Promise<Op>}
 */
const marked = op =>
  change(["ops"], async s => {
    const now = {...(await wait(s.ops.get(op.n))), sent: true};
    await wait(s.ops.put(now));
    return now;
  });

/**
 * @param {Op} op
 * @returns {Promise<Answer>}
 */
export async function send(op) {
  const now = op.sent ? op : await marked(op);
  if (now.photo) return sendPart(now);
  if (now.tick) {
    const {plan_number, ...tick} = now.tick;
    const body = JSON.stringify({...tick, key: now.key});
    return ask(`/api/bench/${plan_number}/ticks`, {method: "POST", body});
  }
  const {key, base, cells, defects, edges} = now;
  const body = JSON.stringify({key, base, cells, defects, edges});
  return ask(`/api/boards/${now.board}`, {method: "PUT", body});
}

/**
 * The next part of a photo; the answer's body is the board once it is whole, until then without a
 * version.
 * @param {PhotoOp} op
 * @returns {Promise<Answer>}
 */
async function sendPart(op) {
  const begun = far.get(op.n) ?? (await beginning(op));
  if ("status" in begun) return begun;
  const {size} = op.photo,
    name = encodeURIComponent(op.name ?? "phone.jpg");
  state.sending = {name: op.name, have: begun.have, size};
  const at = `${addressOf(op)}${begun.digest}?name=${name}&size=${size}&at=${begun.have}`;
  const body = op.photo.slice(begun.have, begun.have + PART);
  const r = await ask(at, {method: "PUT", body, patience: PATIENCE});
  if (r.status === 400) far.delete(op.n);
  return r.ok ? partTaken(op, begun, r) : otherWanted(begun, r);
}

/**
 * @param {PhotoOp} op
 * @param {Far} begun
 * @param {Answer} r
 */
function partTaken(op, begun, r) {
  begun.have = r.body.have;
  if (r.body.board) far.delete(op.n);
  return {...r, body: r.body.board ?? UNFINISHED};
}

/**
 * Another part is wanted, where the rack has more of it or less than this phone thought.
 * @param {Far} begun
 * @param {Answer} r
 */
function otherWanted(begun, r) {
  const {have} = r.body;
  if (r.status !== 409 || !Number.isInteger(have) || have === begun.have) return r;
  begun.have = have;
  return {...r, ok: true, body: UNFINISHED};
}

const addressOf = (/** @type {PhotoOp} */ op) => `/api/boards/${op.board}/photos/`;

/**
 * How much of a photo the rack has; its refusal where it says none.
 * @param {PhotoOp} op
 * @returns {Promise<Far | Answer>}
 */
async function beginning(op) {
  const digest = sha256(new Uint8Array(await op.photo.arrayBuffer()));
  const r = await ask(addressOf(op) + digest);
  if (!r.ok) return r;
  const begun = {digest, have: r.body.have};
  far.set(op.n, begun);
  return begun;
}
