// Figures that the package has worked out: see page_vectors.py.
import {readFileSync} from "node:fs";

/** @param {string} name */
export const vectors = name =>
  JSON.parse(readFileSync(new URL(`vectors/${name}.json`, import.meta.url), "utf8"));

/** `59/8` or `7` as a number. */
export function number(/** @type {string} */ text) {
  const [top, bottom = "1"] = text.split("/");
  return Number(top) / Number(bottom);
}

/**
 * @param {number} got
 * @param {number} wanted
 */
export const near = (got, wanted, within = 1e-9) =>
  Math.abs(got - wanted) <= within * Math.max(1, Math.abs(wanted));
