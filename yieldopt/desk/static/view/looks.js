// How parts and sets are told apart: a tint for each, and a pattern for those who can't tell the
// tints.

const TINTS = [
  "#cfe3d4",
  "#f3d9b1",
  "#cfdcec",
  "#ecd0d8",
  "#e3e0b4",
  "#d9cfe8",
  "#bfe0e0",
  "#ead9c8",
  "#d5e6b5",
  "#f0c9b4",
];
const PATTERNS = ["", "rise", "fall", "level", "dots", "cross"];

/**
 * Looks by name, the same for the same names.
 * @param {string[]} names
 * @returns {Map<string, {tint: string, pattern: string}>}
 */
export function looks(names) {
  const out = new Map();
  [...new Set(names)].sort().forEach((name, n) => {
    out.set(name, {
      tint: TINTS[n % TINTS.length],
      pattern: PATTERNS[Math.floor(n / TINTS.length) % PATTERNS.length],
    });
  });
  return out;
}

/** Ink that can be read on every tint. */
export const INK = "#1d1a16";
