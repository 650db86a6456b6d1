// Photos' bytes: kept on this phone, or asked of the rack.
import {ask} from "./reach.js";
import {change, get, wait} from "./store.js";

/** @import {Board} from "../figures/valid.js" */

const PATIENCE = 60000; // milliseconds

/**
 * The photo's bytes: kept on this phone, else asked of the rack and kept then; null: neither has
 * it.
 * @param {Board} board
 * @param {string} name
 * @returns {Promise<Blob | null>}
 */
export async function bytes(board, name) {
  const here = await get("pictures", name),
    ref = board.photos?.find(p => p.name === name);
  if (here || !ref) return here?.blob ?? null;
  const r = await ask(`/api/photos/${ref.digest}`, {as: "blob", patience: PATIENCE});
  if (!r.ok) return null;
  await change(["pictures"], s => wait(s.pictures.put({name, board: board.id, blob: r.body})));
  return r.body;
}
