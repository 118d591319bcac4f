import assert from "node:assert/strict";
import { test } from "node:test";
import { all, type Kind, Quality } from "../src/view/quality";

/** So many pictures of a kind are drawn, each in so many ms; said is what the next that moves is drawn with. */
function pictures(quality: Quality, count: number, ms: number, kind: Kind = "moving") {
  for (let i = 0; i < count; i++) quality.took(ms, kind);
  return quality.moving;
}

const coarsest = { density: 0.45, shadow: 256, smooth: false, behind: true };

test("what is drawn in time is drawn whole", () => {
  assert.deepEqual(pictures(new Quality(), 1000, 17), all);
  assert.deepEqual(all, { density: 1, shadow: 2048, smooth: true, behind: false });
});

test("late pictures are made coarser, step by step, and brought to the canvas when they are done", () => {
  const quality = new Quality();
  assert.deepEqual(pictures(quality, 2, 80), all);
  assert.deepEqual(pictures(quality, 1, 80), { density: 0.75, shadow: 1024, smooth: true, behind: true });
  assert.deepEqual(pictures(quality, 3, 80), { density: 0.75, shadow: 512, smooth: false, behind: true });
  assert.deepEqual(pictures(quality, 300, 80), coarsest);
});

test("one that is so late that a hold may lapse makes the next coarser by itself", () => {
  const quality = new Quality();
  assert.equal(pictures(quality, 1, 200).shadow, 1024);
  assert.deepEqual(pictures(quality, 2, 200), coarsest);
});

test("single late pictures change nothing", () => {
  const quality = new Quality();
  for (let i = 0; i < 50; i++) {
    pictures(quality, 2, 80);
    pictures(quality, 1, 30);
  }
  for (let i = 0; i < 50; i++) {
    pictures(quality, 2, 80);
    quality.rest();
  }
  assert.deepEqual(quality.moving, all);
});

test("where whole pictures at rest take long, the first that moves is coarse already", () => {
  for (const [ms, shadow] of [[40, 2048], [70, 1024], [120, 512], [500, 256]] as const) {
    const quality = new Quality();
    assert.deepEqual(pictures(quality, 2, ms, "whole"), all, "two pictures say nothing yet");
    assert.equal(pictures(quality, 1, ms, "whole").shadow, shadow, `${ms} ms`);
  }
});

test("the first pictures make graphics programs, and a quick machine draws those after them whole", () => {
  const quality = new Quality();
  pictures(quality, 3, 900, "whole");
  assert.ok(quality.coarse);
  pictures(quality, 1, 16, "whole");
  assert.ok(!quality.coarse);
});

test("when something has moved, pictures at rest say nothing any more", () => {
  const quality = new Quality();
  pictures(quality, 1, 17);
  pictures(quality, 9, 500, "whole");
  assert.deepEqual(quality.moving, all);
  pictures(quality, 3, 500);
  pictures(quality, 9, 16, "whole");
  assert.deepEqual(quality.moving, coarsest);
});

test("a picture at rest that is not whole says nothing", () => {
  assert.deepEqual(pictures(new Quality(), 100, 500, "other"), all);
});

test("more is drawn only after rest, after two seconds of quick pictures", () => {
  const quality = new Quality();
  pictures(quality, 1, 200);
  pictures(quality, 119, 16);
  quality.rest();
  assert.ok(quality.coarse);
  pictures(quality, 1, 16);
  assert.ok(quality.coarse, "not in the middle of a motion");
  quality.rest();
  assert.deepEqual(quality.moving, all);
});

test("a level that was too much is tried again ever later", () => {
  const quality = new Quality();
  const motions = (most: number): number => {
    for (let n = 1; n <= most; n++) {
      pictures(quality, 60, 16);
      quality.rest();
      if (!quality.coarse) return n;
    }
    return Infinity;
  };
  pictures(quality, 1, 200);
  const waits: number[] = [];
  for (let i = 0; i < 4; i++) {
    waits.push(motions(100));
    pictures(quality, 1, 200); // more than it can draw
  }
  assert.deepEqual(waits, [2, 4, 8, 16]);
});

test("what stands still is drawn whole, however coarse it is while it moves", () => {
  const quality = new Quality();
  pictures(quality, 30, 80);
  assert.ok(quality.coarse);
  assert.deepEqual(quality.still, { density: 1, shadow: 256, smooth: true, behind: true });
});

test("what is recorded stays as fine as it is, and no coarser than a film should be", () => {
  const quality = new Quality();
  pictures(quality, 30, 80);
  quality.pinned = true;
  const film = { density: 0.75, shadow: 1024, smooth: true, behind: true };
  assert.deepEqual(quality.still, film);
  assert.ok(!quality.coarse);
  pictures(quality, 1000, 16);
  quality.rest();
  assert.deepEqual(quality.moving, film);
  quality.pinned = false;
  assert.deepEqual(quality.moving, coarsest);
});

test("one picture at a time is drawn, and two where they are known to be quick", () => {
  const quality = new Quality();
  assert.equal(quality.ahead, 1);
  pictures(quality, 1, 16);
  assert.equal(quality.ahead, 2);
  pictures(quality, 1, 80);
  assert.equal(quality.ahead, 1);
  pictures(quality, 1, 16);
  assert.equal(quality.ahead, 2);
  pictures(quality, 1, 300);
  pictures(quality, 1, 16);
  assert.equal(quality.ahead, 1, "coarse");
});
