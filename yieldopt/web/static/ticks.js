// What is ticked off at the bench, as this phone knows it: the plan as the rack had it last, with the
// ticks that are still on their way. A tick shows at once, however slow the signal is.
import {uuid} from "./dom.js";
import {all, change, fact, keep, wait} from "./store.js";
import {ask, saveTick, sync, tell} from "./sync.js";

// Milliseconds: the first time a plan is asked for, the machine draws all its sheets.
const PATIENCE = 60000;
const kept = number => `bench ${number}`;

/** The plan as kept here with what waits put on it, or null; cuts, pieces and defects may be `pending`. */
export async function planHere(number) {
  const plan = await fact(kept(number), null);
  if (!plan) return null;
  for (const op of await waitingFor(number, plan)) put(plan, op.tick, op.key, true);
  return plan;
}

async function waitingFor(number, plan) {
  const mine = o =>
    o.tick && String(o.tick.plan_number) === String(number) && o.tick.plan === plan.plan;
  return (await all("ops")).filter(o => mine(o) && !o.trouble);
}

// Ticks made since the page was opened, in order.
const made = [];

/**
 * Ask the rack how the plan stands, and keep its answer. A tick may arrive there while the answer is on
 * its way: the answer may be older than the tick, which is then put on it.
 */
export async function fetchPlan(number) {
  const before = await all("ops"),
    since = made.length;
  const r = await ask(`/api/bench/${number}`, {patience: PATIENCE});
  if (!r.ok) return r;
  const refused = new Set((await all("ops")).filter(o => o.trouble).map(o => o.key));
  for (const {tick, key} of [...before, ...made.slice(since)]) {
    const mine = tick && !refused.has(key) && String(tick.plan_number) === String(number);
    if (mine && tick.plan === r.body.plan) put(r.body, tick, key, false);
  }
  await keep(kept(number), r.body);
  return r;
}

/** Put one tick on a plan; `key` names it. */
function put(plan, tick, key, pending) {
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

/** Tick off at once: kept on this phone, shown, and sent when the rack can be reached. */
export async function tickOff(number, plan, board, what) {
  const tick = {plan_number: Number(number), plan: plan.plan, board, ...what},
    key = uuid();
  made.push({tick, key});
  await putHere(number, tick, key);
  await saveTick(tick, key);
}

async function putHere(number, tick, key) {
  const there = await fact(kept(number), null);
  if (!there) return;
  put(there, tick, key, false);
  await keep(kept(number), there);
}

/** Take a noted defect back: one that has not left this phone is simply dropped. */
export async function takeBack(number, plan, board, id) {
  const dropped = await change(["ops"], async s => {
    const op = (await wait(s.ops.getAll())).find(o => o.key === id && !o.sent);
    if (op) await wait(s.ops.delete(op.n));
    return Boolean(op);
  });
  if (!dropped) {
    await tickOff(number, plan, board, {take_back: id});
    return;
  }
  await putHere(number, {board, take_back: id}, id);
  tell();
  sync();
}
