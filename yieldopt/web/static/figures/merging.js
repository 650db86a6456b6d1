// Two versions of a board that grew apart from one: what only one side changed is taken from that
// side, and what both changed to different things is asked about.

/** @import {Version} from "./valid.js" */

const CELL = "cells.";

/**
 * The parts of a board that are merged each as a whole: its cells one by one, its marks, its
 * outline.
 * @param {Partial<Version>} version
 * @returns {Map<string, string>} one text for each
 */
export function parts(version) {
  const cells = Object.entries(version.cells ?? {}).filter(([, v]) => v);
  return new Map([
    ...cells.map(([k, v]) => /** @type {[string, string]} */ ([CELL + k, v])),
    ["defects", canon(version.defects ?? [])],
    ["edges", canon(version.edges ?? [])],
  ]);
}

/**
 * One text for one list of rows, however the columns are ordered and whichever are left empty.
 * @param {Record<string, string | undefined>[]} rows
 */
function canon(rows) {
  const full = (/** @type {Record<string, string | undefined>} */ r) =>
    Object.entries(r)
      .filter(([, v]) => v !== "" && v !== null && v !== undefined)
      .sort();
  return JSON.stringify(rows.map(r => Object.fromEntries(full(r))));
}

/**
 * @param {Version | null} was the version both began from; null where it is not known
 * @param {Version} mine
 * @param {Version} theirs
 * @returns {{merged: Version, clashes: string[]}} `merged` has this phone's side where they clash
 */
export function merge(was, mine, theirs) {
  const before = was && parts(was),
    here = parts(mine),
    there = parts(theirs);
  /** @type {string[]} */
  const clashes = [];
  /** @type {Version} */
  const merged = {cells: {}, defects: theirs.defects, edges: theirs.edges};
  for (const k of new Set([...here.keys(), ...there.keys()])) {
    const a = here.get(k),
      b = there.get(k),
      o = before?.get(k);
    const kept = before && a === o ? theirs : mine;
    if (a !== b && kept === mine && !(before && b === o)) clashes.push(k);
    put(merged, k, a === b ? theirs : kept);
  }
  return {merged, clashes};
}

/**
 * Take part `k` of a version.
 * @param {Version} into
 * @param {string} k
 * @param {Version} from
 */
export function put(into, k, from) {
  const name = k.slice(CELL.length);
  if (k === "defects") into.defects = from.defects;
  else if (k === "edges") into.edges = from.edges;
  else if (from.cells[name]) into.cells[name] = from.cells[name];
  else delete into.cells[name];
}
