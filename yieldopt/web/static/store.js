// What the phone keeps: boards, changes on their way to the rack (in order), ticks, answers remembered. A write is durable when it returns.
// What is read and is not as it must be is set aside, whole, so that one damaged record can't stop the page and none is thrown away.
import {RECORDS, like} from "./valid.js";
let opening;
function open() {
  return opening ??= new Promise((yes, no) => {
    const ask = indexedDB.open("rack", 3);
    ask.onupgradeneeded = e => { const d = ask.result;
      if (e.oldVersion < 1) { d.createObjectStore("boards", {keyPath: "id"}); d.createObjectStore("ops", {keyPath: "n", autoIncrement: true}); d.createObjectStore("facts"); }
      if (e.oldVersion < 2) d.createObjectStore("pictures", {keyPath: "name"});
      if (e.oldVersion < 3) d.createObjectStore("aside", {autoIncrement: true}); };
    // A newer page in another tab must not have to wait for this one.
    ask.onsuccess = () => { ask.result.onversionchange = () => { ask.result.close(); opening = undefined; }; yes(ask.result); }; ask.onerror = () => no(ask.error);
  });
}
export async function change(stores, work) {
  const t = (await open()).transaction(stores, "readwrite", {durability: "strict"});
  const done = new Promise((yes, no) => { t.oncomplete = yes; t.onabort = () => no(t.error); t.onerror = () => no(t.error); });
  done.catch(() => {});
  // All or nothing: what was begun before it failed is not kept either.
  let out; try { out = await work(Object.fromEntries(stores.map(s => [s, t.objectStore(s)]))); } catch (x) { try { t.abort(); } catch { /* it is over already */ } throw x; }
  await done; return out;
}
export const wait = ask => new Promise((yes, no) => { ask.onsuccess = () => yes(ask.result); ask.onerror = () => no(ask.error); });
const read = async (s, what) => wait(what((await open()).transaction(s).objectStore(s)));
const setAside = (s, bad) => change([s, "aside"], async t => { for (const [key, value] of bad) { await wait(t.aside.add({store: s, key, value, when: new Date().toISOString()})); await wait(t[s].delete(key)); } });
const keyOf = (s, v) => v[{boards: "id", ops: "n", pictures: "name"}[s]];
export async function all(s) {
  const found = await read(s, o => o.getAll()), sound = RECORDS[s] ? found.filter(RECORDS[s]) : found;
  if (sound.length < found.length) await setAside(s, found.filter(v => !RECORDS[s](v)).map(v => [keyOf(s, v), v]));
  return sound;
}
export async function get(s, k) {
  const v = await read(s, o => o.get(k));
  if (v === undefined || !RECORDS[s] || RECORDS[s](v)) return v;
  await setAside(s, [[k, v]]);
}
export const count = s => read(s, o => o.count());
export const fact = async (k, otherwise) => { const v = await get("facts", k); return v === undefined || !like(v, otherwise) ? otherwise : v; };
export const keep = (k, v) => change(["facts"], s => wait(s.facts.put(v, k)));
