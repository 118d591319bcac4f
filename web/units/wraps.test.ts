import assert from "node:assert/strict";
import { test } from "node:test";
import { Wraps } from "../src/panels/wraps";

/** What is found after readings one after the other, of which the first is that at rest. */
const after = (...readings: number[][]) => {
  const wraps = new Wraps();
  wraps.see(readings[0]!);
  wraps.begin();
  for (const reading of readings.slice(1)) wraps.see(reading);
  return wraps.found;
};

test("an angle that passes 180° is told with what it would have come to, in both directions", () => {
  assert.deepEqual(after([180, 30, 180], [180, 30, -178], [180, 30, -175]), [{ row: 2, whole: 185, written: -175 }]);
  assert.deepEqual(after([-175, 0, 0], [-179, 0, 0], [179, 0, 0], [170, 0, 0]), [{ row: 0, whole: -190, written: 170 }]);
  assert.deepEqual(after([0, 0, 10], [0, 0, 15]), []);
});

test("several at once are told, and one that has come back is not", () => {
  assert.deepEqual(after([170, 0, 175], [-179, 0, -176]).map(({ row, whole }) => [row, whole]), [[0, 181], [2, 184]]);
  assert.deepEqual(after([179, 0, 0], [-179, 0, 0], [179, 0, 0]), []);
});

test("a turn of more than a whole one counts all of it", () => {
  const once = Array.from({ length: 25 }, (_, i) => [0, 0, ((280 + 20 * i) % 360) - 180]); // 100° to 580°
  assert.deepEqual(after(...once), [{ row: 2, whole: 580, written: -140 }]);
});

test("where the angles change their form nothing is said", () => {
  assert.deepEqual(after([0, 85, 0], [0, 89, 0], [180, 86, -180], [180, 80, -180]), []); // past 90° about Y
  const unclear = new Wraps();
  unclear.see([10, 90, 0]);
  unclear.begin();
  unclear.see([-180, 90, 170], true);
  unclear.see([180, 89, 170]);
  assert.deepEqual(unclear.found, []);
  assert.deepEqual(after([1, 0, 0, 0], [-1, 0, 0, 0]), []); // no three angles
});

test("what is read anew, or an arm put elsewhere, is no passing", () => {
  const wraps = new Wraps();
  wraps.see([0, 0, 179]);
  wraps.forget();
  wraps.see([0, 0, -179]);
  assert.deepEqual(wraps.found, []);
});
