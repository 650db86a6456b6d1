import assert from "node:assert/strict";
import test from "node:test";
import {fraction, inches, parse} from "../../../yieldopt/web/static/figures/lengths.js";
import {near, number, vectors} from "./vectors.js";

test("a length is read as the package reads it", () => {
  for (const v of vectors("lengths")) {
    const got = inches(v.text);
    if (v.inches === null) assert.equal(got, null, v.text);
    else assert.ok(got !== null && near(got, number(v.inches), 1e-4), `${v.text}: ${got}`);
  }
});

test("sixty-fourths of an inch and whole millimetres are exact", () => {
  assert.equal(parse("1/64"), 127);
  assert.equal(parse("1mm"), 320);
  assert.equal(parse("25.4mm"), parse("1"));
});

test("what is shown to the sixteenth is read back as it was", () => {
  for (let n = -400; n < 2000; n++) assert.equal(inches(fraction(n / 16)), n / 16);
  assert.equal(fraction(7.375), "7 3/8");
  assert.equal(fraction(-0.25), "-1/4");
  assert.equal(fraction(7.4), "7 3/8");
});
