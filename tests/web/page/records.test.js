import assert from "node:assert/strict";
import test from "node:test";
import {byName, found, standing} from "../../../yieldopt/web/static/figures/finding.js";
import {following, letterOf} from "../../../yieldopt/web/static/figures/naming.js";
import {sha256} from "../../../yieldopt/web/static/figures/sha256.js";
import {put} from "../../../yieldopt/web/static/figures/ticked.js";
import {board, like, news, op} from "../../../yieldopt/web/static/figures/valid.js";
import {vectors} from "./vectors.js";

const ID = "11111111-1111-4111-8111-111111111111";
const whole = {id: ID, cells: {board: "B1"}, defects: [], edges: []};

test("the digest is the standard's", () => {
  for (const {text, digest} of vectors("digests")) {
    assert.equal(sha256(new TextEncoder().encode(text)), digest);
  }
});

test("each phone has a letter of its own, and none that reads as a figure", () => {
  const letters = Array.from({length: 600}, (_, n) => letterOf(n));
  assert.equal(new Set(letters).size, 600);
  assert.equal(letters[0], "B");
  assert.ok(!letters.join("").match(/[IO]/));
});

test("the name after this one", () => {
  const names = ["B9", "W07", "X", "C12 b"].map(following);
  assert.deepEqual(names, ["B10", "W08", "X2", "C13 b"]);
});

test("a damaged record is none", () => {
  assert.ok(board(whole));
  assert.ok(board({...whole, version: "v", own: [null, "v"], photos: [{name: "a", digest: "b"}]}));
  const damaged = [null, 7, [], {}, {...whole, id: "x"}, {...whole, cells: null}];
  damaged.push({...whole, defects: [{x: 1}]}, {...whole, photos: [{}]}, {...whole, own: [3]});
  for (const bad of damaged) assert.ok(!board(bad), JSON.stringify(bad));
});

test("a change is of a board, a photo or a tick, under a key", () => {
  const change = {key: ID, board: ID, base: null, cells: {}, defects: [], edges: []};
  const tick = {plan: "p", board: "W1", plan_number: 0, cut: 1};
  assert.ok(op(change));
  assert.ok(op({key: ID, board: ID, photo: new Blob(["x"])}));
  assert.ok(op({key: ID, tick}));
  for (const bad of [
    {...change, key: "k"},
    {...change, cells: 7},
    {key: ID, board: ID, photo: "x"},
    {key: ID, tick: {...tick, plan_number: "../1"}},
    {...change, trouble: {status: "409"}},
  ]) {
    assert.ok(!op(bad), JSON.stringify(bad));
  }
});

test("news that can't be read is none", () => {
  const good = {boards: [whole], gone: [], cursor: "c", more: false, left: 0, total: 1};
  assert.ok(news({...good, holds: null, holds_tag: ""}));
  assert.ok(!news(good), "no tag");
  assert.ok(!news({...good, holds_tag: "", boards: [{}]}));
  assert.ok(!news({...good, holds_tag: "", holds: [{job: "a"}]}));
});

test("a remembered answer of another kind is as good as none", () => {
  assert.ok(like("x", ""));
  assert.ok(like({a: 1}, {}));
  assert.ok(!like([], {}));
  assert.ok(!like(null, {}));
  assert.ok(!like(3, ""));
  assert.ok(like(3, null), "anything goes where nothing stands in");
});

test("boards are found by every word, and in the order of their names", () => {
  const boards = [
    {...whole, cells: {board: "B10", species: "walnut", length: "96", place: "wall"}},
    {...whole, cells: {board: "B9", species: "ash", length: "40", place: "wall"}},
  ];
  const names = wanted => {
    const all = {text: "", species: "", quarters: "", least: "", place: "", ...wanted};
    return found([...boards].sort(byName), all).map(b => b.cells.board);
  };
  assert.deepEqual(names({}), ["B9", "B10"]);
  assert.deepEqual(names({text: "WALL wal"}), ["B9", "B10"]);
  assert.deepEqual(names({text: "wall walnut"}), ["B10"]);
  assert.deepEqual(names({least: "8'"}), ["B10"]);
  assert.deepEqual(names({species: "ash", place: "shed"}), []);
});

test("where a board is comes before who holds it", () => {
  const hold = {job: "chair", who: "Ada"};
  assert.equal(standing(whole, new Set(), hold)[0], "phone");
  assert.equal(standing({...whole, version: "v"}, new Set([ID]), hold)[0], "phone");
  assert.deepEqual(standing({...whole, version: "v"}, new Set(), hold), [
    "held",
    "held for chair by Ada",
  ]);
  assert.equal(standing({...whole, version: "v"}, new Set(), null)[0], "inrack");
});

test("a tick is put on the plan once, and taken back", () => {
  const plan = {
    plan: "p",
    boards: [
      {
        board: "W1",
        cuts: [{order: 1, state: "planned"}],
        pieces: [{piece: "a#1", state: "planned"}],
        found: [],
      },
    ],
  };
  const [w1] = plan.boards;
  put(plan, {board: "W1", cut: 1, state: "done"}, "k", true);
  assert.deepEqual(w1.cuts, [{order: 1, state: "done", pending: true}]);
  put(plan, {board: "W1", piece: "a#1", state: "spoiled"}, "k", false);
  assert.equal(w1.pieces[0].state, "spoiled");
  put(plan, {board: "W1", found: {kind: "knot", x: "1"}}, "k", true);
  put(plan, {board: "W1", found: {kind: "knot", x: "1"}}, "k", false);
  assert.deepEqual(w1.found, [{kind: "knot", x: "1", id: "k", pending: false}]);
  put(plan, {board: "W1", take_back: "k"}, "l", false);
  assert.deepEqual(w1.found, []);
  put(plan, {board: "W9", cut: 1, state: "done"}, "k", true);
});
