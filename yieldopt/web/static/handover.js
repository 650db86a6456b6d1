// Boards, photos and ticks as a file, from a phone that reaches no rack to one that does. The same changes under the same keys: taken in
// here and sent from the other phone too, they stay one. What is damaged in a file is set aside, whole; the rest is taken in.
import {all, change, wait} from "./store.js";
import {sync, tell} from "./sync.js";
import * as valid from "./valid.js";
export const FORMAT = "yieldopt-handover/1";
const base64 = blob => new Promise(yes => { const r = new FileReader(); r.onload = () => yes(r.result); r.readAsDataURL(blob); });
function unpacked(o) {
  const bytes = atob(o.photo.slice(o.photo.indexOf(",") + 1));
  return {...o, photo: new Blob([Uint8Array.from(bytes, c => c.charCodeAt(0))], {type: "image/jpeg"})};
}
const packed = async v => v instanceof Blob ? base64(v) : Array.isArray(v) ? Promise.all(v.map(packed)) : v && typeof v === "object" ? Object.fromEntries(await Promise.all(Object.entries(v).map(async ([k, x]) => [k, await packed(x)]))) : v;
// Everything that is only on this phone, with what was set aside as damaged.
export async function handOver() {
  const ops = await all("ops"), ids = new Set(ops.map(o => o.board)), boards = (await all("boards")).filter(b => ids.has(b.id));
  return new Blob([JSON.stringify({format: FORMAT, boards, ops: await packed(ops), aside: await packed(await all("aside"))})], {type: "application/json"});
}
function read(body) {
  const good = {boards: [], ops: []}, bad = [];
  for (const store of ["boards", "ops"]) for (const raw of Array.isArray(body[store]) ? body[store] : [body[store]]) {
    let v = raw;
    try { if (store === "ops" && typeof raw?.photo === "string") v = unpacked(raw); } catch { /* judged below, as it came */ }
    if (valid.RECORDS[store](v)) good[store].push(v); else if (raw !== undefined) bad.push({store, key: null, value: raw, when: new Date().toISOString()});
  }
  return [good, bad, Array.isArray(body.aside) ? body.aside : []];
}
// How many were taken in, and how many set aside: {boards, ticks, photos, aside}.
export async function takeIn(text) {
  let body;
  try { body = JSON.parse(text); } catch { throw new Error("this is not a file of boards from a phone, or it was cut off"); }
  if (body?.format !== FORMAT) throw new Error("this is not a file of boards from a phone");
  const [good, bad, aside] = read(body);
  await change(["boards", "ops", "pictures", "aside"], async s => {
    const known = new Set((await wait(s.ops.getAll())).map(o => o?.key));
    for (const b of good.boards) if (!await wait(s.boards.get(b.id))) await wait(s.boards.put(b));
    for (const o of good.ops) if (o.photo && o.name) await wait(s.pictures.put({name: o.name, board: o.board, blob: o.photo}));
    for (const {n, ...o} of good.ops) if (!known.has(o.key)) await wait(s.ops.add({...o, sent: true, trouble: null}));
    for (const a of [...bad, ...aside]) await wait(s.aside.add(a));
  });
  tell(); sync();
  const ids = new Set(good.ops.filter(o => o.cells).map(o => o.board));
  return {boards: ids.size, ticks: good.ops.filter(o => o.tick).length, photos: good.ops.filter(o => o.photo).length, aside: bad.length + aside.length};
}
