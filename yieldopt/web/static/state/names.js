// Names for new boards: each phone has a letter of its own, so that two that are out of each
// other's reach don't give two boards one name.
import {following, letterOf} from "../figures/naming.js";
import {all, fact, keep} from "./store.js";

/**
 * Remember which phone this is, once the rack has said so; the letter stays what it was.
 * @param {unknown} number
 */
export async function remember(number) {
  if (typeof number !== "number" || !Number.isInteger(number) || (await fact("letter", ""))) return;
  await keep("letter", letterOf(number));
}

/** A name that no board known here bears. */
export async function freshName() {
  const taken = new Set((await all("boards")).map(b => b.cells.board));
  let name =
    (await fact("name", /** @type {string | null} */ (null))) ?? `${await fact("letter", "B")}1`;
  while (taken.has(name)) name = following(name);
  return name;
}
