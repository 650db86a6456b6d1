import assert from "node:assert/strict";
import test from "node:test";
import * as marking from "../../../yieldopt/web/static/figures/marking.js";
import {inOrder, Measured} from "../../../yieldopt/web/static/figures/measured.js";
import {KINDS, THROUGH} from "../../../yieldopt/web/static/figures/trade.js";

const BOARD = {length: 96, low: 0, high: 8};
const fresh = (cells = {}) => {
  const m = new Measured("id", null);
  m.kept = {species: "walnut", quarters: "4/4"};
  m.start(null, "B1");
  Object.assign(m.cells, cells);
  return m;
};
const typing = (m, ...texts) => {
  for (const text of texts) {
    m.type(text);
    m.toNext();
  }
};

test("a mark is never larger than the board, nor beyond an edge", () => {
  const numbers = [-30, -0.3, 0, 0.1, 3, 50, 200];
  for (const x of numbers) {
    for (const y of numbers) {
      for (const length of numbers) {
        for (const width of numbers) {
          const a = marking.onWood({x, y, length, width}, BOARD);
          assert.ok(a.x >= 0 && a.x + a.length <= 96, JSON.stringify(a));
          assert.ok(a.y >= 0 && a.y + a.width <= 8, JSON.stringify(a));
          assert.ok(a.length >= marking.STEP && a.width >= marking.STEP);
        }
      }
    }
  }
});

test("a tap marks an inch round the finger, a drag what it spans, by quarter inches", () => {
  assert.deepEqual(marking.tapped({x: 10.1, y: 3.1}), {x: 9.5, y: 2.5, length: 1, width: 1});
  const [a, b] = [
    {x: 10.1, y: 3},
    {x: 8, y: 5.4},
  ];
  assert.deepEqual(marking.spanned(a, b), marking.spanned(b, a));
  assert.deepEqual(marking.spanned(a, b), {x: 8, y: 3, length: 2, width: 2.5});
  const typed = marking.typed(marking.spanned(a, b), BOARD);
  assert.deepEqual(typed, {x: "8", y: "3", length: "2", width: "2 1/2"});
});

test("a key moves by a quarter inch from where the mark is, a finger to quarter inches", () => {
  const was = {x: 31.3125, y: 2, length: 6, width: 2};
  assert.equal(marking.stepped(was, [1, 0], false).x, 31.5625);
  assert.equal(marking.stepped(was, [0, 1], true).width, 2.25);
  assert.equal(marking.moved(was, 0.25, 0).x, 31.5);
  assert.equal(marking.sized(was, 1.1, 0).length, 7);
});

test("what goes through the board shows on both faces", () => {
  const mark = (kind, face) => ({kind, face, x: "1", y: "1", length: "1", width: "1"});
  for (const kind of KINDS) {
    assert.ok(marking.seenOn(mark(kind, "A"), "A"));
    assert.ok(marking.seenOn(mark(kind, "both"), "B"));
    assert.equal(marking.seenOn(mark(kind, "A"), "B"), THROUGH.includes(kind), kind);
  }
});

test("length, width and round again; with more, thickness and warp", () => {
  const m = fresh();
  typing(m, "96", "7 3/8");
  assert.deepEqual([m.cells.length, m.cells.width, m.field], ["96", "7 3/8", "length"]);
  m.more = true;
  const seen = m.fields.map(() => {
    m.toNext();
    return m.field;
  });
  assert.deepEqual(seen, ["width", "thickness", "bow", "cup", "crook", "twist", "length"]);
});

test("a place of the outline is kept with its last figure, and by Save too", () => {
  const m = fresh({length: "96"});
  m.field = "at";
  typing(m, "24", "8");
  assert.deepEqual(m.board.edges, [{x: "24", near: "0", far: "8"}]);
  assert.equal(m.field, "at");
  m.type("72");
  m.field = "far";
  m.type("6");
  assert.ok(m.ready(false));
  assert.equal(m.board.edges.length, 2);
});

test("half a place of the outline is asked about and never dropped", () => {
  const m = fresh({length: "96", width: "7"});
  m.field = "at";
  m.type("24");
  assert.ok(!m.ready(false));
  assert.match(m.trouble, /How wide is it at 24/);
  assert.equal(m.field, "far");
  assert.equal(m.edge.x, "24");
});

test("what lacks is asked for, what is odd once", () => {
  const m = fresh();
  const said = cells => {
    Object.assign(m.cells, cells);
    m.ready(false);
    return m.trouble;
  };
  assert.match(said({species: ""}), /species/);
  assert.match(said({species: "ash"}), /long/);
  assert.match(said({length: "965"}), /wide/);
  assert.equal(said({width: "7"}), "");
  assert.equal(m.asked[0].field, "length");
  assert.ok(m.ready(true));
});

test("a price goes for the same wood alone", () => {
  const m = fresh({price_bf: "9"});
  m.kept = {species: "walnut", quarters: "4/4", price_bf: "9"};
  m.cells.species = "ash";
  m.price();
  assert.equal(m.cells.price_bf, undefined);
  m.cells.species = "walnut";
  m.price();
  assert.equal(m.cells.price_bf, "9");
  m.cells.price_bf = "8";
  m.cells.quarters = "8/4";
  m.price();
  assert.equal(m.cells.price_bf, "8", "typed for this board");
});

test("a draft is all of it, and there is none before anything is measured", () => {
  const m = fresh();
  assert.equal(m.draft(), null);
  m.field = "at";
  m.type("24");
  const again = new Measured("other", null);
  again.start(structuredClone(m.draft()), "B7");
  assert.equal(again.edge.x, "24");
  assert.equal(again.cells.board, "B1");
  assert.deepEqual(again.draft(), m.draft());
});

test("a correction leaves the board as it is until it is saved", () => {
  const old = {id: "id", cells: {length: "96", width: "7"}, defects: [], edges: []};
  const m = new Measured("new", old);
  m.start(null, "B1");
  m.field = "width";
  m.type("6");
  assert.equal(old.cells.width, "7");
  assert.equal(m.was?.cells.width, "7");
  assert.equal(m.board.cells.width, "6");
});

test("species are offered by how often they were logged", () => {
  assert.deepEqual(inOrder(["ash", "", "oak", "oak"]), ["oak", "ash"]);
});
