// Where labels stand that give way to each other.
import assert from "node:assert/strict";
import { test } from "node:test";
import type { Box, Point } from "../src/view/beside";
import { over, settle } from "../src/view/settle";

const free = { w: 1000, h: 600 };

test("a label whose place is free stays there", () => {
  assert.deepEqual(settle({ x: 10, y: 20, w: 40, h: 20 }, [{ x: 60, y: 20, w: 40, h: 20 }], free, 100, null), [0, 0]);
});

test("one whose place is taken goes no farther than it must, and stays there while it can", () => {
  const taken: Box[] = [{ x: 0, y: 0, w: 40, h: 20 }];
  const off = settle({ x: 0, y: 0, w: 40, h: 20 }, taken, free, 100, null)!;
  assert.equal(Math.hypot(...off), 24); // above or below: 20 high, 2 between, in steps of 4
  assert.deepEqual(settle({ x: 3, y: 1, w: 40, h: 20 }, taken, free, 100, [0, -28]), [0, -28]);
});

test("one for which there is no room so near stands nowhere", () => {
  const wall: Box = { x: 0, y: 0, w: 300, h: 300 };
  assert.equal(settle({ x: 0, y: 0, w: 20, h: 20 }, [wall], free, 100, null), null);
  assert.notEqual(settle({ x: 0, y: 0, w: 20, h: 20 }, [wall], free, 200, null), null);
});

test("of any labels none is over another, and each is in the free part", () => {
  let seed = 11;
  const random = (): number => (seed = (seed * 48271) % 2147483647) / 2147483647; // Park and Miller (1988)
  for (let round = 0; round < 300; round++) {
    const put: Box[] = [];
    for (let i = 0; i < 24; i++) {
      const wish = { x: (random() - 0.5) * 300, y: (random() - 0.5) * 200, w: 12 + 120 * random(), h: 14 + 12 * random() };
      const off: Point | null = settle(wish, put, free, 150, random() < 0.3 ? [30 * random(), -20] : null);
      if (!off) continue;
      assert.ok(Math.hypot(...off) <= 150);
      const box = { ...wish, x: wish.x + off[0], y: wish.y + off[1] };
      assert.ok(Math.abs(box.x) + box.w / 2 <= 500 && Math.abs(box.y) + box.h / 2 <= 300);
      assert.ok(!put.some((other) => over(box, other)));
      put.push(box);
    }
    assert.ok(put.length > 8);
  }
});
