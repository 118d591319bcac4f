// When numbers are written, by when frames come.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Pace } from "../src/shell/pace";

/** Of so many frames that far apart, in how many numbers are written. */
const written = (apart: number, frames: number, moving = true): number => {
  const pace = new Pace();
  return Array.from({ length: frames }, (_, i) => pace.due(i * apart, moving)).filter(Boolean).length;
};

test("with every frame that comes in time", () => assert.equal(written(17, 60), 60));

test("at rest with every frame, however late", () => assert.equal(written(80, 10, false), 10));

test("where frames come late, five to ten times a second", () => {
  for (const apart of [40, 60, 80, 99]) {
    const aSecond = written(apart, 50) / (0.05 * apart);
    assert.ok(aSecond >= 5 && aSecond <= 10.5, `${aSecond} a second with frames ${apart} ms apart`);
  }
  assert.equal(written(150, 10), 10);
});

test("what has come to rest is written at once", () => {
  const pace = new Pace();
  pace.due(0, true);
  assert.equal(pace.due(60, true), false);
  assert.equal(pace.due(90, false), true);
});
