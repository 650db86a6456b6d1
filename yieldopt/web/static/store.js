// What the phone keeps: boards, changes on their way to the rack (in order), ticks, answers remembered. A write is durable when it returns.
let opening;
function open() {
  return opening ??= new Promise((yes, no) => {
    const ask = indexedDB.open("rack", 2);
    ask.onupgradeneeded = e => { const d = ask.result;
      if (e.oldVersion < 1) { d.createObjectStore("boards", {keyPath: "id"}); d.createObjectStore("ops", {keyPath: "n", autoIncrement: true}); d.createObjectStore("facts"); }
      if (e.oldVersion < 2) d.createObjectStore("pictures", {keyPath: "name"}); };
    // A newer page in another tab must not have to wait for this one.
    ask.onsuccess = () => { ask.result.onversionchange = () => { ask.result.close(); opening = undefined; }; yes(ask.result); }; ask.onerror = () => no(ask.error);
  });
}
export async function change(stores, work) {
  const t = (await open()).transaction(stores, "readwrite", {durability: "strict"});
  const done = new Promise((yes, no) => { t.oncomplete = yes; t.onabort = () => no(t.error); t.onerror = () => no(t.error); });
  const out = await work(Object.fromEntries(stores.map(s => [s, t.objectStore(s)])));
  await done; return out;
}
export const wait = ask => new Promise((yes, no) => { ask.onsuccess = () => yes(ask.result); ask.onerror = () => no(ask.error); });
export const all = async s => wait((await open()).transaction(s).objectStore(s).getAll());
export const get = async (s, k) => wait((await open()).transaction(s).objectStore(s).get(k));
export const fact = async (k, otherwise) => (await get("facts", k)) ?? otherwise;
export const keep = (k, v) => change(["facts"], s => wait(s.facts.put(v, k)));
