// What is ticked off at the bench, as this phone knows it: the plan as the rack had it last, with
// the ticks that are still on their way. A tick shows at once, however slow the signal is.
import {put} from "../figures/ticked.js";
import {uuid} from "./identity.js";
import {ask, tell} from "./reach.js";
import {saveTick} from "./saving.js";
import {all, change, fact, keep, wait} from "./store.js";
import {sync} from "./sync.js";

/** @import {Plan} from "../figures/ticked.js" */
/** @import {Op, Tick} from "../figures/valid.js" */
/** @import {Answer} from "./reach.js" */
/** @typedef {Omit<Tick, "plan" | "plan_number" | "board">} Done what was done there */

// Milliseconds: the first time a plan is asked for, the machine draws all its sheets.
const PATIENCE = 60000;
const kept = (/** @type {string} */ number) => `bench ${number}`;
const planOf = (/** @type {string} */ number) =>
  fact(kept(number), /** @type {Plan | null} */ (null));

/**
 * The plan as kept here with what waits put on it, or null; cuts, pieces and defects may be
 * `pending`.
 * @param {string} number
 */
export async function planHere(number) {
  const plan = await planOf(number);
  if (!plan) return null;
  const waiting = (await all("ops")).filter(o => !o.trouble);
  putAll(number, plan, waiting, true);
  return plan;
}

/**
 * Put the ticks on the plan that are of it.
 * @param {string} number
 * @param {Plan} plan
 * @param {Pick<Op, "tick" | "key">[]} ops
 * @param {boolean} pending
 */
function putAll(number, plan, ops, pending) {
  for (const {tick, key} of ops) {
    const mine = tick?.plan === plan.plan && String(tick.plan_number) === String(number);
    if (mine) put(plan, tick, key, pending);
  }
}

/**
 * Ticks made since the page was opened, in order.
 * @type {{tick: Tick, key: string}[]}
 */
const made = [];

/**
 * Ask the rack how the plan stands, and keep its answer. A tick may arrive there while the answer
 * is on its way: the answer may be older than the tick, which is then put on it.
 * @param {string} number
 * @returns {Promise<Answer>}
 */
export async function fetchPlan(number) {
  const before = await all("ops"),
    since = made.length;
  const r = await ask(`/api/bench/${number}`, {patience: PATIENCE});
  if (!r.ok) return r;
  const refused = new Set((await all("ops")).filter(o => o.trouble).map(o => o.key));
  const ticks = [...before, ...made.slice(since)].filter(o => !refused.has(o.key));
  putAll(number, r.body, ticks, false);
  await keep(kept(number), r.body);
  return r;
}

/**
 * Tick off at once: kept on this phone, shown, and sent when the rack can be reached.
 * @param {string} number
 * @param {Plan} plan
 * @param {string} board
 * @param {Done} what
 */
export async function tickOff(number, plan, board, what) {
  const tick = {plan_number: Number(number), plan: plan.plan, board, ...what},
    key = uuid();
  made.push({tick, key});
  await putHere(number, tick, key);
  await saveTick(tick, key);
}

/**
 * @param {string} number
 * @param {Tick} tick
 * @param {string} key
 */
async function putHere(number, tick, key) {
  const there = await planOf(number);
  if (!there) return;
  put(there, tick, key, false);
  await keep(kept(number), there);
}

/**
 * Take a noted defect back: one that has not left this phone is simply dropped.
 * @param {string} number
 * @param {Plan} plan
 * @param {string} board
 * @param {string} id
 */
export async function takeBack(number, plan, board, id) {
  const dropped = await change(["ops"], async s => {
    /** @type {Op[]} */
    const ops = await wait(s.ops.getAll()),
      op = ops.find(o => o.key === id && !o.sent);
    if (op) await wait(s.ops.delete(op.n));
    return Boolean(op);
  });
  if (!dropped) {
    await tickOff(number, plan, board, {take_back: id});
    return;
  }
  await putHere(number, {plan: plan.plan, board, take_back: id}, id);
  tell();
  sync();
}
