import assert from "node:assert/strict";
import test from "node:test";
import {oddities} from "../../../yieldopt/web/static/figures/odd.js";
import {cost, extent, feet, nominal, outline} from "../../../yieldopt/web/static/figures/wood.js";
import {near, number, vectors} from "./vectors.js";

const board = (cells = {}, edges = []) => ({
  cells: {length: "96", width: "7 3/8", quarters: "4/4", ...cells},
  defects: [],
  edges,
});

test("board feet and money are those of the package", () => {
  for (const v of vectors("boards")) {
    assert.ok(near(feet(v), number(v.feet), 1e-4), `${v.cells.board}: ${feet(v)}`);
    assert.ok(near(cost(v) ?? -1, v.cost, 1e-3), `${v.cells.board}: ${cost(v)}`);
  }
});

test("a board foot is 144 cubic inches of nominal thickness", () => {
  assert.ok(near(feet(board()), (96 * 7.375) / 144));
  assert.ok(near(feet(board({quarters: "8/4"})), (2 * 96 * 7.375) / 144));
  assert.equal(nominal("5/4"), 1.25);
  assert.ok(near(nominal("52mm"), 52 / 25.4, 1e-4));
});

test("edges run straight between measured places, and level beyond", () => {
  const edges = [
    {x: "72", near: "1", far: "6"},
    {x: "24", near: "-1", far: "8"},
  ];
  const rows = outline(board({}, edges));
  assert.deepEqual(rows, [
    [0, -1, 8],
    [24, -1, 8],
    [72, 1, 6],
    [96, 1, 6],
  ]);
  assert.deepEqual(extent(board({}, edges)), {length: 96, low: -1, high: 8});
  // 24 x 9 and 24 x 5, and between them 48 x 7.
  assert.ok(near(feet(board({}, edges)), (216 + 120 + 336) / 144));
});

test("a price of the whole board counts before one a board foot; none is none", () => {
  assert.equal(cost(board({cost: "30", price_bf: "9"})), 30);
  assert.ok(near(cost(board({price_bf: "9"})) ?? 0, (9 * 96 * 7.375) / 144));
  assert.equal(cost(board()), null);
});

test("figures that hardly any board has are asked about", () => {
  const asked = cells => oddities(board(cells)).map(o => o.field);
  assert.deepEqual(asked({}), []);
  assert.deepEqual(asked({length: "965"}), ["length"]);
  assert.deepEqual(asked({length: "5"}), ["length", "width"]);
  assert.deepEqual(asked({width: "73 3/8"}), ["width"]);
  assert.deepEqual(asked({width: "1/2"}), ["width"]);
  assert.deepEqual(asked({thickness: "2"}), ["thickness"]);
  assert.deepEqual(asked({thickness: "1 1/16"}), []);
});
