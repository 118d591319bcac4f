import assert from "node:assert/strict";
import { beforeEach, mock, test } from "node:test";

Object.assign(globalThis, { window: globalThis });
const { Aim, same } = await import("../src/input/aim");
const x = { frame: "base", task: "", axis: 0, sign: 1 } as const;
const y = { ...x, axis: 1 };

let sent: any[] = [];
const aim = () => new Aim((request: any) => sent.push(request.direction), () => {});

beforeEach(() => {
  sent = [];
  mock.timers.reset();
  mock.timers.enable({ apis: ["setTimeout"] });
});

test("two directions are the same by what they say", () => {
  assert.ok(same(x, { ...x }) && same(null, null));
  assert.ok(!same(x, y) && !same(x, null) && !same(x, { ...x, task: "tile" }));
});

test("what is pointed at is aimed at, a while longer than it is pointed at", () => {
  const a = aim();
  a.over(x);
  assert.deepEqual(sent, [x]);
  a.away();
  assert.ok(same(a.direction, x));
  mock.timers.tick(60_000);
  assert.equal(a.direction, null);
});

test("another frame turns what is aimed at; a joint is no axis", () => {
  const a = aim();
  a.settle(x);
  a.turn("tool", "");
  assert.equal(a.direction?.frame, "tool");
  a.turn("joint", "");
  assert.equal(a.direction, null);
});

test("Escape clears, and says whether there was anything", () => {
  const a = aim();
  assert.equal(a.clear(), false);
  a.settle(y);
  assert.equal(a.clear(), true);
  assert.equal(a.direction, null);
});
