import assert from "node:assert/strict";
import { test } from "node:test";
import { Quality } from "../src/view/quality";

/** Draws so many frames, one every so many ms, and says what the last one was drawn with. */
function frames(quality: Quality, from: number, count: number, every: number) {
  let drawn = quality.frame(from);
  for (let i = 1; i <= count; i++) drawn = quality.frame(from + i * every);
  return drawn;
}

test("frames in time are drawn whole", () => {
  assert.deepEqual(frames(new Quality(), 0, 1000, 17), { density: 1, shadow: 2048 });
});

test("late frames make the picture coarser, step by step, and the shadow too", () => {
  const quality = new Quality();
  assert.deepEqual(frames(quality, 0, 3, 80), { density: 0.75, shadow: 1024 });
  assert.ok(frames(quality, 1000, 30, 80).shadow <= 512);
});

test("a pause between two motions is no late frame", () => {
  const quality = new Quality();
  for (let i = 0; i < 20; i++) {
    quality.frame(i * 5000);
    quality.rest();
  }
  assert.equal(quality.frame(200_000).density, 1);
});

test("after a long time of frames in time more is tried", () => {
  const quality = new Quality();
  frames(quality, 0, 3, 80);
  quality.rest();
  assert.equal(frames(quality, 1000, 700, 17).density, 1);
});

test("what stands still is drawn whole, however coarse it is while it moves", () => {
  const quality = new Quality();
  frames(quality, 0, 30, 80);
  assert.ok(quality.coarse);
  assert.equal(quality.still.density, 1);
});

test("a frame that is so late that a hold may lapse makes the next coarser by itself", () => {
  assert.deepEqual(frames(new Quality(), 0, 1, 200), { density: 0.75, shadow: 1024 });
  assert.deepEqual(frames(new Quality(), 0, 3, 200), { density: 0.45, shadow: 256 });
});
