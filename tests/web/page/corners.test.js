import assert from "node:assert/strict";
import test from "node:test";
import {
  goRound,
  ownCorners,
  projective,
  readFit,
  through,
  writeFit,
} from "../../../yieldopt/web/static/figures/corners.js";
import {near, vectors} from "./vectors.js";

test("a spot of the board lies on the photo where numpy puts it", () => {
  for (const {own, seen, spot, there} of vectors("corners")) {
    const map = projective(own, seen);
    assert.ok(map);
    const [x, y] = through(map, spot[0], spot[1]);
    assert.ok(near(x, there[0]) && near(y, there[1]), `${x}, ${y}`);
    own.forEach((p, i) => {
      const [u, v] = through(map, p[0], p[1]);
      assert.ok(near(u, seen[i][0]) && near(v, seen[i][1]));
    });
    assert.ok(goRound(seen));
    assert.ok(!goRound([seen[0], seen[2], seen[1], seen[3]]), "crossed");
  }
});

test("corners that are no quadrangle have no map and go round nothing", () => {
  const line = [0, 1, 2, 3].map(n => [n / 4, n / 4]);
  const square = [
    [0, 0],
    [1, 0],
    [1, 1],
    [0, 1],
  ];
  assert.equal(projective(line, square), null);
  assert.ok(!goRound(line));
});

test("a fit is written and read back, and nothing else is one", () => {
  const corners = [
    [0, 0.0625],
    [1, 0],
    [0.9999, 1],
    [0.1234, 0.5],
  ];
  const text = writeFit("face-a.jpg", corners);
  assert.deepEqual(readFit(text), {name: "face-a.jpg", corners});
  assert.equal(
    writeFit("a", [
      [-1, 2],
      [0, 0],
      [0, 0],
      [0, 0],
    ]),
    "a 0 1 0 0 0 0 0 0",
  );
  for (const none of [undefined, "", "a", "a 1 2 3", `${text} 1`, "a 0 0 0 0 0 0 0 2"]) {
    assert.equal(readFit(none), null, none);
  }
});

test("a board that tapers has its corners elsewhere than its rectangle", () => {
  const edges = [
    {x: "0", near: "0", far: "8"},
    {x: "48", near: "2", far: "6"},
  ];
  const board = {cells: {length: "48"}, defects: [], edges};
  assert.deepEqual(ownCorners(board, 0, 8), [
    [0, 0],
    [1, 0],
    [0.75, 1],
    [0.25, 1],
  ]);
});
