// Sticks of the standard layout of the W3C Gamepad specification: axes 0 to 3, right and down plus (from memory).
import assert from "node:assert/strict";
import { test } from "node:test";
import { pulled, stickOf, wayOf } from "../src/input/sticks";

test("a stick within its dead zone is not pushed, and one pushed home goes at full speed", () => {
  assert.deepEqual(stickOf([0.19, -0.19, 0, 0], "left", null), { x: 0.19, y: -0.19, push: null, part: 0 });
  assert.equal(stickOf([0, -0.96, 0, 0], "left", null).push, "up");
  assert.equal(stickOf([0, -0.96, 0, 0], "left", null).part, 1);
  assert.ok(stickOf([0, 0, 0.25, 0], "right", null).part < 0.1);
});

test("it goes one way at a time, and changes over only when it is clearly pushed the other way", () => {
  assert.equal(stickOf([0.6, 0.5, 0, 0], "left", null).push, "right");
  assert.equal(stickOf([0.6, 0.7, 0, 0], "left", "right").push, "right");
  assert.equal(stickOf([0.6, 0.8, 0, 0], "left", "right").push, "down");
});

test("what is no number, or beyond the end, does no harm", () => {
  assert.equal(stickOf([NaN, 7], "left", null).y, 1);
  assert.equal(stickOf([], "right", null).push, null);
  assert.equal(pulled(undefined), 0);
  assert.equal(pulled({ value: 0.1 } as GamepadButton), 0);
});

test("seen from behind the base, the arm goes the way the stick is pushed", () => {
  // X away, Y to the left, Z up (ISO 9787).
  const at = (side: "left" | "right", push: any) => wayOf("base", "", 0, side, push);
  assert.deepEqual([at("left", "up")!.axis, at("left", "up")!.sign], [0, 1]);
  assert.deepEqual([at("left", "right")!.axis, at("left", "right")!.sign], [1, -1]);
  assert.deepEqual([at("right", "up")!.axis, at("right", "up")!.sign], [2, 1]);
  assert.equal(at("right", "left"), null);
});
