// What the phone keeps: boards, changes on their way to the rack (in order), photos, answers
// remembered. A write is durable when it returns. What is read and is not as it must be is set
// aside, whole, so that one damaged record can't stop the page and none is thrown away.
import {like, RECORDS} from "../figures/valid.js";

/** @import {Board, Op, Picture} from "../figures/valid.js" */
/** @typedef {{store: string, key: IDBValidKey | null, value: unknown, when: string}} Aside */
/** @typedef {{boards: Board, ops: Op, pictures: Picture, aside: Aside}} Records */
/** @typedef {keyof Records | "facts"} Name */
/** @typedef {Record<string, IDBObjectStore>} Open stores, for one change */

const KEYS = {boards: "id", ops: "n", pictures: "name"};

/** @type {Promise<IDBDatabase> | undefined} */
let opening;

/**
 * Stores in the order in which they came.
 * @param {IDBDatabase} db
 * @param {number} before the version that was there
 */
function furnish(db, before) {
  if (before < 1) {
    db.createObjectStore("boards", {keyPath: "id"});
    db.createObjectStore("ops", {keyPath: "n", autoIncrement: true});
    db.createObjectStore("facts");
  }
  if (before < 2) db.createObjectStore("pictures", {keyPath: "name"});
  if (before < 3) db.createObjectStore("aside", {autoIncrement: true});
}

function open() {
  opening ??= new Promise((yes, no) => {
    const ask = indexedDB.open("rack", 3);
    ask.onupgradeneeded = e => furnish(ask.result, e.oldVersion);
    ask.onsuccess = () => {
      // A newer page in another tab must not have to wait for this one.
      ask.result.onversionchange = () => {
        ask.result.close();
        opening = undefined;
      };
      yes(ask.result);
    };
    ask.onerror = () => no(ask.error);
  });
  return opening;
}

/**
 * What a question to a store comes to.
 * @template T
 * @param {IDBRequest<T>} ask
 * @returns {Promise<T>}
 */
export const wait = ask =>
  new Promise((yes, no) => {
    ask.onsuccess = () => yes(ask.result);
    ask.onerror = () => no(ask.error);
  });

/** @param {IDBTransaction} t */
function end(t) {
  const done = new Promise((yes, no) => {
    t.oncomplete = yes;
    t.onabort = () => no(t.error);
    t.onerror = () => no(t.error);
  });
  // Waited for below; one that fails before is told of by what made it fail.
  done.catch(() => {});
  return done;
}

/** @param {IDBTransaction} t */
function undo(t) {
  try {
    t.abort();
  } catch {
    // It is over already.
  }
}

/**
 * All or nothing: what was begun before `work` failed is not kept either.
 * @template T
 * @param {Name[]} stores
 * @param {(s: Open) => T | Promise<T>} work
 * @returns {Promise<T>}
 */
export async function change(stores, work) {
  const t = (await open()).transaction(stores, "readwrite", {durability: "strict"}),
    done = end(t);
  let out;
  try {
    out = await work(Object.fromEntries(stores.map(s => [s, t.objectStore(s)])));
  } catch (x) {
    undo(t);
    throw x;
  }
  await done;
  return out;
}

/**
 * @template T
 * @param {Name} s
 * @param {(o: IDBObjectStore) => IDBRequest<T>} what
 */
const read = async (s, what) => wait(what((await open()).transaction(s).objectStore(s)));

/**
 * @param {Name} s
 * @param {[IDBValidKey, unknown][]} bad
 */
const setAside = (s, bad) =>
  change([s, "aside"], async t => {
    for (const [key, value] of bad) {
      // Another reader may have met it as well.
      if ((await wait(t[s].getKey(key))) === undefined) continue;
      await wait(t.aside.add({store: s, key, value, when: new Date().toISOString()}));
      await wait(t[s].delete(key));
    }
  });

/**
 * Every sound record of a store, in the order of their keys.
 * @template {keyof Records} S
 * @param {S} s
 * @returns {Promise<Records[S][]>}
 */
export async function all(s) {
  const found = await read(s, o => o.getAll()),
    sound = RECORDS[s] ?? (() => true);
  const bad = found.filter(v => !sound(v));
  if (!bad.length) return found;
  const key = KEYS[/** @type {keyof KEYS} */ (s)];
  await setAside(
    s,
    bad.map(v => [v[key], v]),
  );
  return found.filter(v => sound(v));
}

/**
 * @template {keyof Records} S
 * @overload
 * @param {S} s
 * @param {IDBValidKey} k
 * @returns {Promise<Records[S] | undefined>}
 */
/**
 * @overload
 * @param {"facts"} s
 * @param {IDBValidKey} k
 * @returns {Promise<unknown>}
 */
/**
 * @param {Name} s
 * @param {IDBValidKey} k
 */
export async function get(s, k) {
  const v = await read(s, o => o.get(k));
  if (v === undefined || !RECORDS[s] || RECORDS[s](v)) return v;
  await setAside(s, [[k, v]]);
  return undefined;
}

/** @param {Name} s */
export const count = s => read(s, o => o.count());

/**
 * A remembered answer, or what stands in for it.
 * @template T
 * @param {string} k
 * @param {T} otherwise
 * @returns {Promise<T>}
 */
export async function fact(k, otherwise) {
  const v = await get("facts", k);
  return v === undefined || !like(v, otherwise) ? otherwise : /** @type {T} */ (v);
}

/** Remember an answer. */
export const keep = (/** @type {string} */ k, /** @type {unknown} */ v) =>
  change(["facts"], s => wait(s.facts.put(v, k)));
