// What the desk's page works out by itself: what can be taken back, the clipboard, two programs in
// one table, places.
import assert from "node:assert/strict";
import {test} from "node:test";

const at = name =>
  import(new URL(`../../../yieldopt/desk/static/state/${name}.js`, import.meta.url).href);
const {history} = await at("history");
const {copied, pasted} = await at("clip");
const {merged} = await at("merging");
const {each, putIn} = await at("blocks");
const {rowsOf, withCells, withRow, withoutRow} = await at("rows");
const {isLeft, leftOrNot, wished, without, withWishes} = await at("wishes");
const {onTape, typed, whyNot} = await at("ground");

test("what was taken back can be done again, until something else is done", () => {
  const h = history("a");
  h.add("b");
  h.add("c");
  assert.equal(h.undo(), "b");
  assert.equal(h.redo(), "c");
  h.undo();
  h.add("d");
  assert.equal(h.redoable, false);
  assert.equal(h.undo(), "b");
  assert.equal(h.undo(), "a");
  assert.equal(h.undo(), "a");
  assert.equal(h.undoable, false);
});

test("cells come back from the clipboard as they went", () => {
  const some = [
    "",
    "a",
    '7 3/8"',
    "8' 2-1/2\"",
    'said "so"',
    "two\nlines",
    "a\ttab",
    '"',
    '""',
    "3/4",
  ];
  for (const a of some) {
    for (const b of some) {
      if (a === "" && b === "") continue;
      assert.deepEqual(
        pasted(
          copied([
            [a, b],
            [b, a],
          ]),
        ),
        [
          [a, b],
          [b, a],
        ],
        JSON.stringify([a, b]),
      );
    }
  }
});

test("a spreadsheet ends lines its own way, and an inch mark is no quote", () => {
  assert.deepEqual(pasted('side\t24"\r\nshelf\t30"\r\n'), [
    ["side", '24"'],
    ["shelf", '30"'],
  ]);
});

const table = rows => ({columns: ["part", "qty"], rows, digest: "x", elsewhere: null});

test("changes that don't meet are put together", () => {
  const base = table([
    ["side", "2"],
    ["shelf", "3"],
  ]);
  const both = merged(
    base,
    table([
      ["side", "4"],
      ["shelf", "3"],
    ]),
    table([
      ["side", "2"],
      ["rail", "3"],
    ]),
  );
  assert.deepEqual(both?.rows, [
    ["side", "4"],
    ["rail", "3"],
  ]);
});

test("changes of one cell are asked about, and so are rows that moved on both sides", () => {
  const base = table([["side", "2"]]);
  assert.equal(merged(base, table([["side", "4"]]), table([["side", "5"]])), null);
  assert.equal(
    merged(
      base,
      table([
        ["side", "4"],
        ["a", "1"],
      ]),
      table([
        ["side", "2"],
        ["b", "1"],
      ]),
    ),
    null,
  );
  assert.deepEqual(merged(base, table([["side", "4"]]), table([["side", "4"]]))?.rows, [
    ["side", "4"],
  ]);
});

test("whoever changed nothing takes the other's table", () => {
  const base = table([["side", "2"]]);
  const longer = table([
    ["side", "2"],
    ["b", "1"],
  ]);
  assert.equal(merged(base, base, longer), longer);
  assert.deepEqual(merged(base, longer, base)?.rows, longer.rows);
});

test("a place is inside its span and clear of what is barred; what touches is clear", () => {
  const ground = {
    board: "A1",
    why: null,
    end: 50,
    spans: [
      [2, 0, 4],
      [20, 1, 3],
    ],
    barred: [{x0: 10, x1: 14, y0: 1, y1: 2, why: "too near the knot"}],
  };
  assert.equal(whyNot(ground, 2, 0), null);
  assert.equal(whyNot(ground, 1, 0), "beyond the sound length of the board");
  assert.equal(whyNot(ground, 51, 1), "beyond the sound length of the board");
  assert.equal(whyNot(ground, 30, 0.5), "beyond the edge of the board");
  assert.equal(whyNot(ground, 12, 1.5), "too near the knot");
  assert.equal(whyNot(ground, 10, 1.5), null);
  assert.equal(whyNot({...ground, why: "another species"}, 2, 0), "another species");
});

test("lengths as they are typed", () => {
  assert.deepEqual(
    [0, 0.5, 7.4375, 20.26, 3].map(v => typed(v, "in")),
    ["0", "1/2", "7 7/16", "20 1/4", "3"],
  );
  assert.equal(typed(312.4, "mm"), "312");
  assert.equal(onTape(7.04, "in"), 7.0625);
});

test("one cell goes into all that are chosen, a block not over the edge", () => {
  const b = {r0: 1, r1: 2, c0: 1, c1: 1};
  assert.deepEqual(putIn([[" 3 "]], b, 3).changes, [
    [1, 1, "3"],
    [2, 1, "3"],
  ]);
  assert.deepEqual(putIn([["a", "b", "c"]], b, 3).changes, [
    [1, 1, "a"],
    [1, 2, "b"],
  ]);
  assert.deepEqual(
    each(b, (r, c) => `${r}${c}`).map(c => c[2]),
    ["11", "21"],
  );
});

test("rows about a board are found, changed, added and taken out by their columns", () => {
  const flaws = {
    columns: ["board", "kind"],
    rows: [
      ["A", "knot"],
      ["B", "check"],
      ["A", "split"],
    ],
    digest: "",
    elsewhere: null,
  };
  assert.deepEqual(rowsOf(flaws, "A"), [0, 2]);
  const more = withCells(flaws, 2, {kind: "stain", face: "A"});
  assert.deepEqual(more.columns, ["board", "kind", "face"]);
  assert.deepEqual(more.rows[2], ["A", "stain", "A"]);
  assert.deepEqual(more.rows[0], ["A", "knot", ""]);
  assert.deepEqual(withRow(flaws, {board: "C"}).rows[3], ["C", ""]);
  assert.deepEqual(
    withoutRow(flaws, 1).rows.map(r => r[1]),
    ["knot", "split"],
  );
});

test("a wish takes the place of one for the same piece; a board is left, or not any more", () => {
  const pins = {columns: ["piece", "board"], rows: [["a#1", "W1"]], digest: "", elsewhere: null};
  const both = withWishes(pins, [
    {piece: "a#1", board: "W2", layer: "1"},
    {piece: "b#1", board: "W3"},
  ]);
  assert.deepEqual(both.rows, [
    ["a#1", "W2", "1"],
    ["b#1", "W3", ""],
  ]);
  assert.equal(wished({...pins, ...both}, "b#1"), true);
  assert.deepEqual(without({...pins, ...both}, ["a#1"]), [["b#1", "W3", ""]]);
  const leave = {columns: ["board"], rows: [["W1"]], digest: "", elsewhere: null};
  assert.equal(isLeft(leave, "W1"), true);
  assert.deepEqual(leftOrNot(leave, "W1").rows, []);
  assert.deepEqual(leftOrNot(leave, "W2").rows, [["W1"], ["W2"]]);
});
