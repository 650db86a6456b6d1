// Boards in order, where each one is, and those that are searched for.
import {inches} from "./lengths.js";

/** @import {Board, Holder} from "./valid.js" */
/**
 * @typedef {{text: string, species: string, quarters: string, least: string, place: string}} Wanted
 */

export const IN_ORDER = new Intl.Collator("en", {numeric: true}).compare;

/** By name, `B9` before `B10`. */
export const byName = (/** @type {Board} */ a, /** @type {Board} */ b) =>
  IN_ORDER(a.cells.board ?? "", b.cells.board ?? "");

/**
 * Where a board is and who holds it: a kind, and words for a person.
 * @param {Board} b
 * @param {Set<string | undefined>} waiting boards with changes on their way to the rack
 * @param {Holder | null} [hold]
 */
export function standing(b, waiting, hold) {
  if (!b.version) return ["phone", "only on this phone"];
  if (waiting.has(b.id)) return ["phone", "correction only on this phone"];
  if (hold) {
    return ["held", `${hold.planning ? "looked at for" : "held for"} ${hold.job} by ${hold.who}`];
  }
  return ["inrack", "in the rack"];
}

/**
 * The boards that bear every word looked for, and are of the species, thickness, place and least
 * length.
 * @param {Board[]} boards
 * @param {Wanted} wanted empty texts for what does not matter
 */
export function found(boards, wanted) {
  const words = wanted.text.toLowerCase().split(/\s+/).filter(Boolean),
    least = inches(wanted.least);
  return boards.filter(b => {
    const c = b.cells;
    if (wanted.species && c.species !== wanted.species) return false;
    if (wanted.quarters && c.quarters !== wanted.quarters) return false;
    if (wanted.place && c.place !== wanted.place) return false;
    if (least && (inches(c.length) ?? 0) < least) return false;
    const text = [c.board, c.species, c.quarters, c.place, c.dealer, c.remarks].join(" ");
    return words.every(w => text.toLowerCase().includes(w));
  });
}
