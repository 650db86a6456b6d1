// Names of boards: the next one, and the letter that a phone begins with.

// I and O are left out: they read as figures.
const LETTERS = "BCDEFGHJKLMNPQRSTUVWXYZA";

/**
 * The name after this one: `B9` to `B10`, `W07` to `W08`.
 * @param {string} name
 */
export function following(name) {
  const next = name.replace(
    /(\d+)(\D*)$/,
    (_, n, rest) => String(Number(n) + 1).padStart(n.length, "0") + rest,
  );
  return next === name ? `${name}2` : next;
}

/**
 * The letter of the phone that was the `n`th to be paired, from 0; two of them beyond the alphabet.
 * @param {number} n
 * @returns {string}
 */
export function letterOf(n) {
  const more = Math.floor(n / LETTERS.length);
  return LETTERS[n % LETTERS.length] + (more ? letterOf(more - 1) : "");
}
