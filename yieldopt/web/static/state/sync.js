// Changes go to the rack in the order they were made, each under its own key, until the rack has
// answered. Sent and not answered is sent again: the rack knows the key. A change is never altered
// once it has been sent; a later one waits behind it. Then what is new in the rack is fetched.
import {byBoard, laterAgain, left, nextOf, refusalOf, taken} from "../figures/deciding.js";
import * as valid from "../figures/valid.js";
import {uuid} from "./identity.js";
import {ask, state, tell} from "./reach.js";
import {send} from "./sending.js";
import {all, change, count, fact, keep, wait} from "./store.js";

/** @import {Board, BoardOp, News, Op, PhotoOp, Picture} from "../figures/valid.js" */
/** @import {Answer} from "./reach.js" */
/** @import {Open} from "./store.js" */

const UNREADABLE = "the rack's answer can't be read";

/**
 * Keep what came of a change.
 * @param {Op} op
 * @param {Answer} r
 */
const settle = (op, r) =>
  change(["boards", "ops"], async s => {
    const now = await wait(s.ops.get(op.n));
    if (!now) return;
    if (!r.ok) {
      await wait(s.ops.put({...now, trouble: {status: r.status, ...r.body}}));
      return;
    }
    await wait(s.ops.delete(op.n));
    if (!op.tick) await settleBoard(s, op, r.body);
  });

/**
 * @param {Open} s
 * @param {BoardOp | PhotoOp} op
 * @param {Board} told
 */
async function settleBoard(s, op, told) {
  /** @type {Op[]} */
  const ops = await wait(s.ops.getAll()),
    later = ops.filter(o => o.board === op.board && !o.photo);
  for (const o of later.filter(o => !o.sent)) await wait(s.ops.put({...o, base: told.version}));
  const here = await wait(s.boards.get(op.board));
  await wait(s.boards.put(taken(here, op, told, later.length > 0)));
}

/** Send what waits, one after the other. Gives back whether the rack answers. */
async function sendAll() {
  for (let op; (op = nextOf(await all("ops"))); tell()) {
    const r = await send(op);
    state.sending = null;
    state.refusal = refusalOf(r);
    if (laterAgain(r.status)) return false;
    if (!r.ok) state.refusal = null;
    else if (!op.tick && r.body.version && !valid.board(r.body)) {
      state.refusal = UNREADABLE;
      return false;
    }
    // A part of a photo was taken, and others follow.
    if (r.ok && !op.tick && !r.body.version) continue;
    await settle(op, r);
  }
  return true;
}

/**
 * Keep one page of news.
 * @param {News} news
 * @param {string} after where it was asked to begin
 */
const take = (news, after) =>
  change(["boards", "ops", "facts", "pictures"], async s => {
    /** @type {Set<string | undefined>} */
    const waiting = new Set((await wait(s.ops.getAll())).map(o => o?.board));
    let reading = await wait(s.facts.get("reading"));
    if (after === "" || news.anew) {
      reading = uuid();
      await wait(s.facts.put(reading, "reading"));
    }
    for (const b of news.boards) {
      if (waiting.has(b.id)) continue;
      await wait(s.boards.put({...(await wait(s.boards.get(b.id))), ...b, reading}));
    }
    const ends = reading && !news.more;
    const drop = left(news, ends ? await wait(s.boards.getAll()) : [], reading, waiting);
    if (ends) await wait(s.facts.delete("reading"));
    await forget(s, drop);
    if (news.holds) await wait(s.facts.put(byBoard(news.holds), "holds"));
    await wait(s.facts.put(news.holds_tag, "holds tag"));
    await wait(s.facts.put(news.cursor, "cursor"));
  });

/**
 * @param {Open} s
 * @param {Set<string>} drop
 */
async function forget(s, drop) {
  for (const id of drop) await wait(s.boards.delete(id));
  if (!drop.size) return;
  /** @type {Picture[]} */
  const pictures = await wait(s.pictures.getAll());
  for (const p of pictures) if (drop.has(p?.board)) await wait(s.pictures.delete(p.name));
}

/**
 * One page after the other, each kept with the place to go on from: cut off, the rest comes later.
 */
async function fetchRack() {
  for (let more = true; more; tell()) {
    const after = await fact("cursor", ""),
      tag = await fact("holds tag", "");
    const path = `/api/rack?after=${encodeURIComponent(after)}&holds=${tag}`;
    const r = await ask(path, {cache: "no-store"});
    state.refusal = refusalOf(r);
    if (!r.ok) return;
    /** @type {News} */
    const news = r.body;
    if (!valid.news(news)) {
      state.refusal = UNREADABLE;
      return;
    }
    await take(news, after);
    more = news.more;
    state.coming = more ? {have: news.total - news.left, total: news.total} : null;
  }
  for (const what of ["jobs", "bench"]) {
    const r = await ask(`/api/${what}`);
    if (r.ok && Array.isArray(r.body)) await keep(what, r.body);
  }
}

let again = false;

async function run() {
  do {
    again = false;
    if (await sendAll()) await fetchRack();
  } while (again);
}

/** Send and fetch; while that is under way, once more after it. */
export async function sync() {
  if (state.busy) {
    again = true;
    return;
  }
  state.busy = true;
  try {
    if (navigator.locks) await navigator.locks.request("sync", run);
    else await run();
  } finally {
    state.busy = false;
    state.coming = state.sending = null;
    state.hurt = await count("aside").catch(() => 0);
    tell();
  }
}
