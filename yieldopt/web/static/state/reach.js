// The rack over the network: how it stands between the two, and a question to it.

/**
 * @typedef {object} Answer
 * @property {number} status 0: none came
 * @property {boolean} ok
 * @property {any} body what was sent, read; with `error` in words where it is none
 * @property {string | null} [etag]
 */
/** @typedef {{as?: "blob", patience?: number}} How a photo is wanted; milliseconds to wait */

// Milliseconds.
const PATIENCE = 15000;
const OUT_OF_REACH = "the rack can't be reached";

/** How things stand between this phone and the rack. */
export const state = {
  /** @type {boolean | null} whether the last question was answered */
  reach: null,
  paired: true,
  busy: false,
  // This phone keeps no copy of the page.
  unkept: false,
  /** @type {{have: number, total: number} | null} boards on their way from the rack */
  coming: null,
  /** @type {string | null} why the rack can do nothing now */
  refusal: null,
  /** @type {{name?: string, have: number, size: number} | null} the photo on its way to the rack */
  sending: null,
  // Damaged records that were set aside.
  hurt: 0,
};

/** @type {Set<() => unknown>} */
const told = new Set();

/** @param {() => unknown} f called at every change */
export const onChange = f => told.add(f);
export const tell = () => told.forEach(f => f());

/** @param {RequestInit} options */
function headersOf(options) {
  const json = options.body && !(options.body instanceof Blob);
  return {"x-yieldopt": "1", ...(json && {"content-type": "application/json"})};
}

/**
 * A good answer that was cut off in its midst is none: taking it for one would leave this phone
 * with an old version of the board. Of a refusal the status is enough.
 * @param {Response} r
 * @param {How} how
 */
async function bodyOf(r, how) {
  if (r.status === 304 || r.status === 204) return null;
  if (r.ok) return how.as === "blob" ? r.blob() : r.json();
  const body = await r.json().catch(() => ({}));
  body.error ??= `the rack has answered with ${r.status}`;
  return body;
}

/**
 * @param {string} path
 * @param {RequestInit & How} options
 * @returns {Promise<Answer>}
 */
export async function ask(path, options = {}) {
  const stop = new AbortController(),
    timer = setTimeout(() => stop.abort(), options.patience ?? PATIENCE);
  try {
    const r = await fetch(path, {...options, signal: stop.signal, headers: headersOf(options)});
    if (r.status === 401) state.paired = false;
    state.reach = true;
    const body = await bodyOf(r, options);
    return {status: r.status, ok: r.ok, body, etag: r.headers.get("etag")};
  } catch {
    state.reach = false;
    return {status: 0, ok: false, body: {error: OUT_OF_REACH}};
  } finally {
    clearTimeout(timer);
  }
}
