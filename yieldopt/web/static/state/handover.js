// Boards, photos and ticks as a file, from a phone that reaches no rack to one that does. The same
// changes under the same keys: taken in here and sent from the other phone too, they stay one. What
// is damaged in a file is set aside, whole; the rest is taken in.
import * as valid from "../figures/valid.js";
import {tell} from "./reach.js";
import {all, change, wait} from "./store.js";
import {sync} from "./sync.js";

/** @import {Board, Op} from "../figures/valid.js" */
/** @import {Aside, Open} from "./store.js" */
/** @typedef {{boards: Board[], ops: Op[]}} Good */

export const FORMAT = "yieldopt-handover/1";
const CUT_OFF = "this is not a file of boards from a phone, or it was cut off",
  ANOTHER = "this is not a file of boards from a phone";

/**
 * @param {Blob} blob
 * @returns {Promise<string>} an address that holds it
 */
const base64 = blob =>
  new Promise(yes => {
    const r = new FileReader();
    r.onload = () => yes(String(r.result));
    r.readAsDataURL(blob);
  });

/** @param {Record<string, any>} o a change whose photo is text */
function unpacked(o) {
  const bytes = atob(o.photo.slice(o.photo.indexOf(",") + 1));
  const photo = Uint8Array.from(bytes, c => c.charCodeAt(0));
  return {...o, photo: new Blob([photo], {type: "image/jpeg"})};
}

/**
 * The same with every photo as text.
 * @param {unknown} v
 * @returns {Promise<unknown>}
 */
async function packed(v) {
  if (v instanceof Blob) return base64(v);
  if (Array.isArray(v)) return Promise.all(v.map(packed));
  if (typeof v !== "object" || v === null) return v;
  const fields = Object.entries(v).map(async ([k, x]) => [k, await packed(x)]);
  return Object.fromEntries(await Promise.all(fields));
}

/** Everything that is only on this phone, with what was set aside as damaged. */
export async function handOver() {
  const ops = await all("ops"),
    ids = new Set(ops.map(o => o.board));
  const boards = (await all("boards")).filter(b => ids.has(b.id)),
    aside = await packed(await all("aside"));
  const text = JSON.stringify({format: FORMAT, boards, ops: await packed(ops), aside});
  return new Blob([text], {type: "application/json"});
}

/** @param {any} raw a change as it came; one that can't be unpacked is judged as it is */
function opened(raw) {
  try {
    return typeof raw?.photo === "string" ? unpacked(raw) : raw;
  } catch {
    return raw;
  }
}

/**
 * @param {unknown} v
 * @returns {unknown[]}
 */
const listed = v => (Array.isArray(v) ? v : v === undefined ? [] : [v]);

/**
 * What can be taken in, and what is damaged.
 * @param {Record<string, unknown>} body
 * @returns {[Good, Aside[]]}
 */
function sorted(body) {
  /** @type {Good} */
  const good = {boards: [], ops: []};
  /** @type {Aside[]} */
  const bad = [];
  const spoilt = (/** @type {string} */ store, /** @type {unknown} */ value) =>
    bad.push({store, key: null, value, when: new Date().toISOString()});
  for (const raw of listed(body.boards)) {
    if (valid.board(raw)) good.boards.push(raw);
    else spoilt("boards", raw);
  }
  for (const raw of listed(body.ops)) {
    const o = opened(raw);
    if (valid.op(o)) good.ops.push(o);
    else spoilt("ops", raw);
  }
  return [good, bad];
}

/**
 * @param {Open} s
 * @param {Good} good
 */
async function put(s, {boards, ops}) {
  const known = new Set((await wait(s.ops.getAll())).map(o => o?.key));
  for (const b of boards) if (!(await wait(s.boards.get(b.id)))) await wait(s.boards.put(b));
  for (const o of ops) {
    if (o.photo && o.name) {
      await wait(s.pictures.put({name: o.name, board: o.board, blob: o.photo}));
    }
  }
  // The place in the order is this phone's own.
  for (const {n: _, ...o} of ops) {
    if (!known.has(o.key)) await wait(s.ops.add({...o, sent: true, trouble: null}));
  }
}

/** @param {string} text */
function read(text) {
  let body;
  try {
    body = JSON.parse(text);
  } catch {
    throw new Error(CUT_OFF);
  }
  if (body?.format !== FORMAT) throw new Error(ANOTHER);
  return body;
}

/**
 * Take in a file. How many were taken in, and how many set aside.
 * @param {string} text
 */
export async function takeIn(text) {
  const body = read(text),
    [good, bad] = sorted(body),
    aside = [...bad, ...(Array.isArray(body.aside) ? body.aside : [])];
  await change(["boards", "ops", "pictures", "aside"], async s => {
    await put(s, good);
    for (const a of aside) await wait(s.aside.add(a));
  });
  tell();
  sync();
  const of = good.ops.filter(o => !o.tick && !o.photo);
  return {
    boards: new Set(of.map(o => o.board)).size,
    ticks: good.ops.filter(o => o.tick).length,
    photos: good.ops.filter(o => o.photo).length,
    aside: aside.length,
  };
}
