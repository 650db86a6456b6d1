import assert from "node:assert/strict";
import test from "node:test";
import {
  baseOf,
  byBoard,
  laterAgain,
  left,
  mergedQuietly,
  nextOf,
  OWN,
  refusalOf,
  taken,
  troubled,
} from "../../../yieldopt/web/static/figures/deciding.js";

const ID = "11111111-1111-4111-8111-111111111111",
  OTHER = "22222222-2222-4222-8222-222222222222";
const measured = {cells: {board: "B1"}, defects: [], edges: []};
const op = (n, more = {}) => ({n, key: ID, board: ID, base: null, ...measured, ...more});
const photo = n => ({n, key: ID, board: ID, photo: new Blob(["x"])});
const tick = n => ({n, key: ID, tick: {plan: "p", board: "W1", cut: 1}});
const board = (id, more = {}) => ({id, ...measured, version: "v", ...more});
const news = more => ({
  boards: [],
  gone: [],
  cursor: "c",
  more: false,
  left: 0,
  total: 0,
  holds_tag: "",
  ...more,
});

test("changes go in order, photos only once nothing else waits", () => {
  assert.equal(nextOf([]), undefined);
  assert.equal(nextOf([photo(1), op(2), tick(3)])?.n, 2);
  assert.equal(nextOf([photo(1), tick(3)])?.n, 3);
  assert.equal(nextOf([photo(1)])?.n, 1);
});

test("behind a change that the rack did not take nothing of that board is sent", () => {
  const trouble = {status: 409};
  assert.equal(nextOf([op(1, {trouble}), op(2), photo(3)]), undefined);
  assert.equal(nextOf([op(1, {trouble}), op(2, {board: OTHER})])?.n, 2);
  assert.equal(nextOf([op(1, {trouble}), tick(2)])?.n, 2);
});

test("silence, pairing, haste and faults of the rack say nothing about the change", () => {
  assert.ok([0, 401, 408, 429, 500, 503, 507].every(laterAgain));
  assert.ok(![200, 400, 404, 409, 422].some(laterAgain));
  const said = status => refusalOf({status, ok: false, body: {error: "why"}});
  assert.deepEqual([0, 401, 429, 507].map(said), [null, null, "why", "why"]);
  assert.equal(refusalOf({status: 200, ok: true, body: {}}), null);
});

test("a correction begun before this phone's own changes arrived is one of what they made", () => {
  const there = board(ID, {version: "c", own: [null, "a", "b", "c"]});
  assert.equal(baseOf(there, "a"), "c");
  assert.equal(baseOf(there, null), "c", "one begun while the board was only here");
  assert.equal(baseOf(there, "x"), "x", "begun from another phone's");
  assert.equal(baseOf({...there, version: "d"}, "a"), "a", "somebody else came after");
  assert.equal(baseOf(undefined, null), null);
});

test("a board taken by the rack is the rack's, with its own versions in a row", () => {
  const told = board(ID, {version: "b", cells: {board: "B1", place: "rack"}});
  const first = taken(board(ID, {version: undefined}), op(1), {...told, version: "a"}, false);
  assert.deepEqual(first.own, [null, "a"]);
  const second = taken(first, op(2, {base: "a"}), told, false);
  assert.deepEqual(second.own, [null, "a", "b"]);
  assert.equal(second.cells.place, "rack");
  const other = taken(second, op(3, {base: "x"}), {...told, version: "y"}, false);
  assert.deepEqual(other.own, ["x", "y"]);
  let long = first;
  for (let n = 0; n < 20; n++) {
    const base = long.version ?? null;
    long = taken(long, op(n, {base}), {...told, version: `v${n}`}, false);
  }
  assert.equal(long.own?.length, OWN);
  assert.deepEqual(taken(second, photo(4), {...told, version: "z"}, false).own, second.own);
});

test("what was measured here meanwhile is not overwritten by the rack's answer", () => {
  const here = board(ID, {version: "a", cells: {board: "B1", width: "6"}});
  const told = board(ID, {version: "b", cells: {board: "B1", width: "7"}});
  const after = taken(here, op(1, {base: "a"}), told, true);
  assert.equal(after.cells.width, "6");
  assert.equal(after.version, "b");
});

test("boards that a whole reading did not meet have left the rack; what waits stays", () => {
  const boards = [
    board(ID, {reading: "r"}),
    board(OTHER, {reading: "before"}),
    board("only here", {version: undefined}),
    board("waits", {reading: "before"}),
  ];
  const waiting = new Set(["waits", "gone but waits"]);
  const gone = ["gone", "gone but waits"];
  assert.deepEqual([...left(news({gone}), boards, "r", waiting)].sort(), [OTHER, "gone"].sort());
  assert.deepEqual([...left(news({gone}), boards, undefined, waiting)], ["gone"]);
  assert.deepEqual([...left(news({gone, more: true}), boards, "r", waiting)], ["gone"]);
});

test("holds are told by board", () => {
  const held = byBoard([{job: "chair", who: "Ada", boards: [ID, OTHER]}]);
  assert.deepEqual(held, {
    [ID]: {job: "chair", who: "Ada"},
    [OTHER]: {job: "chair", who: "Ada"},
  });
});

test("a disputed change is asked about with what this phone has by now", () => {
  const trouble = {status: 409, theirs: board(ID)};
  const later = op(3, {cells: {board: "B1", width: "9"}});
  const refused = {...tick(2), trouble: {status: 409}};
  const {boards, others} = troubled([op(1, {trouble}), refused, later]);
  assert.deepEqual([boards.length, others.length], [1, 1]);
  assert.equal(boards[0].cells.width, "9");
  assert.equal(boards[0].n, 1);
});

test("without a question only what changed in different places, and only on the rack", () => {
  const was = {cells: {width: "7"}, defects: [], edges: []};
  const theirs = board(ID, {state: "on rack", cells: {width: "7", place: "here"}});
  const mine = op(1, {was, cells: {width: "6"}, trouble: {status: 409, theirs}});
  assert.deepEqual(mergedQuietly(mine)?.cells, {width: "6", place: "here"});
  assert.equal(mergedQuietly({...mine, was: null}), null);
  const cutUp = {...mine, trouble: {status: 409, theirs: {...theirs, state: "cut up"}}};
  assert.equal(mergedQuietly(cutUp), null);
  const another = {...mine, trouble: {status: 409, theirs: {...theirs, id: OTHER}}};
  assert.equal(mergedQuietly(another), null, "a board of the same name is another board");
  const clash = {...theirs, cells: {width: "5"}};
  assert.equal(mergedQuietly({...mine, trouble: {status: 409, theirs: clash}}), null);
});
