import assert from "node:assert/strict";
import test from "node:test";
import {merge, put} from "../../../yieldopt/web/static/figures/merging.js";

const version = (cells, defects = [], edges = []) => ({cells, defects, edges});
const was = version({width: "7", remarks: "old"});
const mine = version({width: "6", remarks: "old"}, [{kind: "knot", x: "1"}]);
const theirs = version({width: "7", place: "rack 2"}, [], [{x: "0", near: "-1", far: "6"}]);

test("what only one side changed is taken from that side", () => {
  const {merged, clashes} = merge(was, mine, theirs);
  assert.deepEqual(clashes, []);
  assert.deepEqual(merged, {
    cells: {width: "6", place: "rack 2"},
    defects: mine.defects,
    edges: theirs.edges,
  });
});

test("what both changed to different things is asked about, to the same is not", () => {
  const both = {...theirs, cells: {width: "5"}};
  assert.deepEqual(merge(was, mine, both).clashes, ["cells.width"]);
  assert.equal(merge(was, mine, both).merged.cells.width, "6");
  assert.deepEqual(merge(was, mine, {...theirs, cells: {width: "6"}}).clashes, []);
});

test("without what both began from every difference is asked about", () => {
  const {clashes} = merge(null, mine, theirs);
  const all = ["cells.place", "cells.remarks", "cells.width", "defects", "edges"];
  assert.deepEqual(clashes.sort(), all);
});

test("the order of columns and empty ones make no difference", () => {
  const a = version({}, [{kind: "knot", x: "1", note: ""}]);
  const b = version({}, [{x: "1", kind: "knot"}]);
  assert.deepEqual(merge(null, a, b).clashes, []);
});

test("merging is the same whichever side one stands on, but where they clash", () => {
  const cells = ["1", "2", undefined];
  for (const o of cells) {
    for (const a of cells) {
      for (const b of cells) {
        const [x, y, z] = [o, a, b].map(w => version(w ? {width: w} : {}));
        const one = merge(x, y, z),
          other = merge(x, z, y);
        assert.deepEqual(one.clashes, other.clashes);
        if (!one.clashes.length) assert.deepEqual(one.merged.cells, other.merged.cells);
        else assert.ok(a !== b && a !== o && b !== o);
      }
    }
  }
});

test("a part that the other side lacks is taken away", () => {
  const into = version({width: "6"});
  put(into, "cells.width", version({}));
  assert.deepEqual(into.cells, {});
});
