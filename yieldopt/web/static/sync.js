// Changes go to the rack in the order they were made, each under its own key, until the rack has answered. Sent and not answered
// is sent again: the rack knows the key. A change is never altered once it has been sent; a later one waits behind it.
import {all, change, count, fact, keep, wait} from "./store.js";
import {uuid} from "./dom.js";
import {sha256} from "./sha256.js";
import * as valid from "./valid.js";
export const state = {reach: null, paired: true, busy: false, unkept: false, coming: null, refusal: null, sending: null, hurt: 0};
const told = new Set();
// So many of a board's versions in a row that were this phone's own are remembered.
const OWN = 8;
export const onChange = f => told.add(f);
export const tell = () => told.forEach(f => f());
export async function ask(path, options = {}) {
  const stop = new AbortController(), timer = setTimeout(() => stop.abort(), options.patience ?? 15000);
  try {
    const r = await fetch(path, {...options, signal: stop.signal, headers: {"x-yieldopt": "1", ...(options.body && !(options.body instanceof Blob) ? {"content-type": "application/json"} : {}), ...options.headers}});
    if (r.status === 401) state.paired = false;
    state.reach = true;
    // A good answer cut off in its midst is no answer: taking it for one would leave this phone with an old version of the board.
    const body = r.status === 304 || r.status === 204 ? null : !r.ok ? await r.json().catch(() => ({})) : options.as === "blob" ? await r.blob() : await r.json();
    if (!r.ok && body) body.error ??= `the rack has answered with ${r.status}`;
    return {status: r.status, ok: r.ok, body, etag: r.headers.get("etag")};
  } catch { state.reach = false; return {status: 0, ok: false, body: {error: "the rack can't be reached"}}; } finally { clearTimeout(timer); }
}
// `was` is the version that the correction was made from, so that changes made elsewhere meanwhile can be merged with it.
export async function saveBoard(board, was = null) {
  await change(["boards", "ops"], async s => {
    // A correction begun before this phone's own changes had arrived is one of what they made: no question to anybody.
    const there = await wait(s.boards.get(board.id)), from = board.version ?? null;
    const base = there?.own?.includes(from) && there.own.at(-1) === there.version ? there.version : from;
    await wait(s.boards.put({...board, version: base ?? undefined, own: there?.own}));
    const mine = (await wait(s.ops.getAll())).filter(o => o.board === board.id && !o.photo), last = mine.at(-1);
    const {cells, defects, edges} = board;
    if (last && (!last.sent || last.trouble)) await wait(s.ops.put({...last, key: uuid(), trouble: null, sent: false, cells, defects, edges}));
    else await wait(s.ops.add({board: board.id, key: uuid(), base, was, after: last?.n ?? null, cells, defects, edges, sent: false}));
  });
  tell(); sync();
}
export async function saveTick(tick, key = uuid()) { await change(["ops"], s => wait(s.ops.add({tick, key, sent: false}))); tell(); sync(); }
export async function addPhoto(id, name, blob) {
  await change(["ops", "pictures"], async s => { await wait(s.pictures.put({name, board: id, blob})); await wait(s.ops.add({board: id, photo: blob, name, key: uuid(), sent: false})); });
  tell(); sync();
}
const PART = 32768, far = new Map();
// One part of a photo; what has come stays at the rack, and a phone that was cut off goes on from there.
async function sendPart(op) {
  const at = `/api/boards/${op.board}/photos/`;
  if (!far.has(op.n)) {
    const digest = sha256(new Uint8Array(await op.photo.arrayBuffer())), r = await ask(at + digest);
    if (!r.ok) return r;
    far.set(op.n, {digest, have: r.body.have});
  }
  const f = far.get(op.n), size = op.photo.size;
  state.sending = {name: op.name, have: f.have, size};
  const r = await ask(`${at}${f.digest}?name=${encodeURIComponent(op.name ?? "phone.jpg")}&size=${size}&at=${f.have}`, {method: "PUT", body: op.photo.slice(f.have, f.have + PART), patience: 30000});
  if (r.status === 409 && Number.isInteger(r.body.have) && f.have !== r.body.have) { f.have = r.body.have; return {...r, ok: true, body: {board: null}}; }
  if (r.ok) { f.have = r.body.have; if (r.body.board) { far.delete(op.n); return {...r, body: r.body.board}; } return {...r, body: {board: null}}; }
  if (r.status === 400) far.delete(op.n);
  return r;
}
async function send(op) {
  if (!op.sent) op = await change(["ops"], async s => { const now = {...await wait(s.ops.get(op.n)), sent: true}; await wait(s.ops.put(now)); return now; });
  if (op.photo) return sendPart(op);
  if (op.tick) return ask(`/api/bench/${op.tick.plan_number}/ticks`, {method: "POST", body: JSON.stringify({...op.tick, plan_number: undefined, key: op.key})});
  return ask(`/api/boards/${op.board}`, {method: "PUT", body: JSON.stringify({key: op.key, base: op.base, cells: op.cells, defects: op.defects, edges: op.edges})});
}
async function settle(op, r) {
  await change(["boards", "ops"], async s => {
    const now = await wait(s.ops.get(op.n));
    if (!now) return;
    if (r.ok) {
      await wait(s.ops.delete(op.n));
      if (op.tick) return;
      for (const later of (await wait(s.ops.getAll())).filter(o => o.board === op.board && !o.sent && !o.photo)) await wait(s.ops.put({...later, base: r.body.version}));
      const b = await wait(s.boards.get(op.board)), more = (await wait(s.ops.getAll())).some(o => o.board === op.board && !o.photo);
      const own = op.photo ? b?.own : [...(b?.own?.at(-1) === (op.base ?? null) ? b.own : [op.base ?? null]), r.body.version].slice(-OWN);
      await wait(s.boards.put(more ? {...b, version: r.body.version, own} : {...b, ...r.body, own}));
    } else await wait(s.ops.put({...now, trouble: {status: r.status, ...r.body}}));
  });
}
// Boards and ticks in the order they were made, and a photo only while none of them waits.
async function next() {
  const blocked = new Set(), ops = await all("ops");
  for (const op of ops) if (op.trouble && op.board) blocked.add(op.board);
  const free = ops.filter(o => !o.trouble && !(o.board && blocked.has(o.board)));
  return free.find(o => !o.photo) ?? free[0];
}
async function once() {
  for (let op; (op = await next());) {
    const r = await send(op);
    state.sending = null;
    if (r.status === 0 || r.status === 401 || r.status === 408 || r.status === 429 || r.status >= 500) { state.refusal = r.status >= 402 ? r.body.error : null; return false; }
    state.refusal = null;
    if (r.ok && !op.tick && !r.body.version) { tell(); continue; }
    if (r.ok && !op.tick && !valid.board(r.body)) { state.refusal = "the rack's answer can't be read"; return false; }
    await settle(op, r);
    tell();
  }
  return true;
}
const byBoard = holds => Object.fromEntries(holds.flatMap(({boards, ...h}) => boards.map(id => [id, h])));
// One page after the other, each kept with the place to go on from: cut off in the midst, the rest comes later.
async function fetchRack() {
  for (let more = true; more;) {
    const after = await fact("cursor", ""), r = await ask(`/api/rack?after=${encodeURIComponent(after)}&holds=${await fact("holds tag", "")}`, {cache: "no-store"});
    if (!r.ok) { state.refusal = r.status >= 402 ? r.body.error : null; return; }
    const n = r.body;
    if (!valid.news(n)) { state.refusal = "the rack's answer can't be read"; return; }
    await change(["boards", "ops", "facts", "pictures"], async s => {
      const waiting = new Set((await wait(s.ops.getAll())).map(o => o?.board)), drop = new Set(n.gone.filter(id => !waiting.has(id)));
      // A reading from the first board on: what it did not meet by its end has left the rack.
      let reading = await wait(s.facts.get("reading"));
      if (after === "" || n.anew) await wait(s.facts.put(reading = uuid(), "reading"));
      for (const b of n.boards) if (!waiting.has(b.id)) await wait(s.boards.put({...await wait(s.boards.get(b.id)), ...b, reading}));
      if (!n.more && reading) { for (const b of await wait(s.boards.getAll())) if (b.version && b.reading !== reading && !waiting.has(b.id)) drop.add(b.id); await wait(s.facts.delete("reading")); }
      for (const id of drop) await wait(s.boards.delete(id));
      if (drop.size) for (const p of await wait(s.pictures.getAll())) if (drop.has(p?.board)) await wait(s.pictures.delete(p.name));
      if (n.holds) await wait(s.facts.put(byBoard(n.holds), "holds"));
      await wait(s.facts.put(n.holds_tag, "holds tag"));
      await wait(s.facts.put(n.cursor, "cursor"));
    });
    more = n.more;
    state.coming = more ? {have: n.total - n.left, total: n.total} : null;
    state.refusal = null;
    tell();
  }
  for (const what of ["jobs", "bench"]) { const l = await ask(`/api/${what}`); if (l.ok && Array.isArray(l.body)) await keep(what, l.body); }
}
let again = false;
export async function sync() {
  if (state.busy) { again = true; return; }
  state.busy = true;
  try {
    const run = async () => { do { again = false; if (await once()) await fetchRack(); } while (again); };
    if (navigator.locks) await navigator.locks.request("sync", run); else await run();
  } finally { state.busy = false; state.coming = state.sending = null; state.hurt = await count("aside").catch(() => 0); tell(); }
}
// The answer to a conflict or a refusal: "mine" sends this phone's `version` on top of theirs, "theirs" drops the phone's.
export async function answer(op, which, version = op) {
  await change(["boards", "ops"], async s => {
    const theirs = op.trouble.theirs, b = await wait(s.boards.get(op.board)), mine = (await wait(s.ops.getAll())).filter(o => o.board === op.board && !o.photo);
    for (const o of mine) await wait(s.ops.delete(o.n));
    if (which === "theirs") { if (theirs && theirs.id !== op.board) await wait(s.boards.delete(op.board)); if (theirs) await wait(s.boards.put(theirs)); else await wait(s.boards.delete(op.board)); return; }
    const same = theirs && theirs.id === op.board, base = same ? theirs.version : op.base, {cells, defects, edges} = version;
    await wait(s.boards.put({...b, cells, defects, edges, version: base ?? undefined}));
    await wait(s.ops.add({board: op.board, key: uuid(), base, was: same ? theirs : null, cells, defects, edges, sent: false}));
  });
  tell(); sync();
}
