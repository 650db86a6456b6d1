// What is typed and not chalked yet. It is written down at every change, so that it survives
// another room, a reload and a flat battery; writes follow one another, and only the latest is
// made.
import {change, fact, keep, wait} from "./store.js";

const NEW = "new";
/** @param {string | undefined} id */
const name = id => `draft ${id ?? NEW}`;
/** @type {Map<string, any>} */
const waiting = new Map();

/**
 * The draft of a new board (no `id`) or of a correction, or null.
 * @param {string} [id]
 * @returns {any}
 */
export const draftOf = id => waiting.get(name(id)) ?? fact(name(id), null);

/**
 * Keep a copy of `draft`.
 * @param {string | undefined} id
 * @param {unknown} draft
 */
export async function keepDraft(id, draft) {
  const key = name(id),
    running = waiting.has(key);
  waiting.set(key, structuredClone(draft));
  if (running) return;
  while (waiting.has(key)) {
    const latest = waiting.get(key);
    await keep(key, latest);
    if (waiting.get(key) === latest) waiting.delete(key);
  }
}

/** @param {string} [id] */
export async function dropDraft(id) {
  waiting.delete(name(id));
  await change(["facts"], s => wait(s.facts.delete(name(id))));
}
