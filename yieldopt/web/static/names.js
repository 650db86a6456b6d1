// Names for new boards: each phone has a letter of its own, so that two that are out of each other's
// reach don't give two boards one name.
import {all, fact, keep} from "./store.js";

// I and O are left out: they read as figures.
const LETTERS = "BCDEFGHJKLMNPQRSTUVWXYZA";

/** The name after this one: `B9` to `B10`, `W07` to `W08`. */
export function following(name) {
  const next = name.replace(
    /(\d+)(\D*)$/,
    (_, n, rest) => String(Number(n) + 1).padStart(n.length, "0") + rest,
  );
  return next === name ? `${name}2` : next;
}

/** The letter of the phone that was the `n`th to be paired, from 0; two of them beyond the alphabet. */
export function letterOf(n) {
  const more = Math.floor(n / LETTERS.length);
  return LETTERS[n % LETTERS.length] + (more ? letterOf(more - 1) : "");
}

/** Remember which phone this is, once the rack has said so; the letter stays what it was. */
export async function remember(number) {
  if (!Number.isInteger(number) || (await fact("letter", ""))) return;
  await keep("letter", letterOf(number));
}

/** A name that no board known here bears. */
export async function freshName() {
  const taken = new Set((await all("boards")).map(b => b.cells.board));
  let name = (await fact("name", null)) ?? `${await fact("letter", "B")}1`;
  while (taken.has(name)) name = following(name);
  return name;
}
