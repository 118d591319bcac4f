import assert from "node:assert/strict";
import { test } from "node:test";
import { around, standOff } from "../src/view/standoff";
import { fromLine } from "../src/view/beside";

const rods = [{ line: [[-20, 0], [20, 0]] as const, radius: 10 }];
const free = { w: 1000, h: 800 };

test("where nothing is hidden it stays at its place", () => {
  assert.deepEqual(standOff(rods, [], [], free, null, 0), { cost: -0.7, off: [0, 0], place: 0 });
});

test("it moves off what had better be seen, no farther than it must", () => {
  const dots = [-20, -10, 0, 10, 20].map((x) => ({ at: [x, 0] as const, radius: 4, weight: 5 }));
  const { off } = standOff(rods, dots, [], free, null, 0);
  const line = [[-20 + off[0], off[1]], [20 + off[0], off[1]]] as const;
  for (const dot of dots) assert.ok(fromLine(dot.at, line) >= 14);
  assert.ok(Math.hypot(...off) < 90);
});

test("it keeps within the picture, and off labels", () => {
  const labels = [{ x: 0, y: 0, w: 60, h: 20 }];
  const { off } = standOff(rods, [], labels, free, null, 0);
  const box = around({ line: [[-20 + off[0], off[1]], [20 + off[0], off[1]]], radius: 10 });
  assert.ok(Math.abs(box.x) >= (box.w + 60) / 2 || Math.abs(box.y) >= (box.h + 20) / 2);
  const narrow = { w: 70, h: 800 };
  const inside = standOff(rods, [], labels, narrow, null, 0);
  assert.ok(Math.abs(inside.off[0]) <= 5 + 1e-9 && Math.abs(inside.off[1]) > 15);
});

test("a place once taken is kept unless another is clearly better", () => {
  const dots = [{ at: [0, 0] as const, radius: 4, weight: 5 }];
  const first = standOff(rods, dots, [], free, null, 0);
  assert.equal(standOff(rods, dots, [], free, null, first.place).place, first.place);
});
