// Two versions of a board that grew apart from one: what only one side changed is taken from that
// side, and what both changed to different things is asked about.

/** The parts of a board that are merged each as a whole: its cells one by one, its marks, its outline. */
export function parts(version) {
  const out = new Map(
    Object.entries(version.cells ?? {})
      .filter(([, v]) => v)
      .map(([k, v]) => [`cells.${k}`, v]),
  );
  out.set("defects", canon(version.defects ?? []));
  out.set("edges", canon(version.edges ?? []));
  return out;
}

// One text for one list of rows, however the columns are ordered and whichever are left empty.
const canon = rows =>
  JSON.stringify(
    rows.map(r =>
      Object.fromEntries(
        Object.entries(r)
          .filter(([, v]) => v !== "" && v !== null && v !== undefined)
          .sort(),
      ),
    ),
  );

/**
 * @param {Object | null} was the version both began from; null where it is not known
 * @param {Object} mine
 * @param {Object} theirs
 * @returns {{merged: Object, clashes: string[]}} `merged` has this phone's side where they clash
 */
export function merge(was, mine, theirs) {
  const before = was && parts(was),
    here = parts(mine),
    there = parts(theirs),
    clashes = [];
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

/** Take part `k` of a version. */
export function put(into, k, from) {
  if (!k.startsWith("cells.")) into[k] = from[k];
  else if (from.cells[k.slice(6)]) into.cells[k.slice(6)] = from.cells[k.slice(6)];
  else delete into.cells[k.slice(6)];
}
