// A continuous jog from press to release, with a clock that the test turns.
import assert from "node:assert/strict";
import { beforeEach, mock, test } from "node:test";

const heard = new Map<string, () => void>();
const asked: (() => void)[] = []; // for the next frame
Object.assign(globalThis, {
  window: Object.assign(globalThis, { addEventListener: (name: string, hear: () => void) => heard.set(name, hear) }),
  document: { addEventListener: () => {}, hidden: false },
  requestAnimationFrame: (call: () => void) => asked.push(call),
  cancelAnimationFrame: () => asked.splice(0),
});
const { Hold, TAP_MS } = await import("../src/input/holds");
const { whenIdle } = await import("../src/basics/idle");

const up = { frame: "base", task: "", axis: 2, sign: 1 } as const;
const left = { ...up, axis: 1 };
let sent: any[] = [];
let taps = 0;
let ended = 0;

function hold() {
  sent = [];
  [taps, ended] = [0, 0];
  const h = new Hold((request) => sent.push(request), () => ended++, () => taps++);
  h.setLease(225);
  return h;
}

beforeEach(() => {
  mock.timers.reset();
  mock.timers.enable({ apis: ["setTimeout", "setInterval", "Date"] });
});

test("a tap moves nothing, asks for nothing, and says so", () => {
  const h = hold();
  h.hold([up], "pointer 1");
  mock.timers.tick(TAP_MS - 1);
  h.end("pointer 1");
  mock.timers.tick(1000);
  assert.deepEqual(sent, []);
  assert.equal(taps, 1);
});

test("a hold is renewed at least three times a lease until it is let go, and not after", () => {
  const h = hold();
  h.hold([up], "pointer 1");
  mock.timers.tick(TAP_MS);
  assert.equal(sent.length, 1);
  assert.deepEqual(sent[0].directions, [up]);
  mock.timers.tick(225);
  assert.ok(sent.length >= 4, `${sent.length} requests in a lease`);
  assert.equal(new Set(sent.map((r) => r.press)).size, 1);
  h.end("pointer 1");
  assert.equal(sent.at(-1).type, "release");
  const { length } = sent;
  mock.timers.tick(1000);
  assert.equal(sent.length, length);
  assert.deepEqual([taps, ended], [0, 1]);
});

test("what is held together goes along the sum, as a new press each time", () => {
  const h = hold();
  h.hold([up], "a");
  mock.timers.tick(TAP_MS);
  h.hold([left], "b"); // beside a hold it begins at once
  assert.deepEqual(sent.at(-1).directions, [up, left]);
  h.end("a");
  assert.deepEqual(sent.at(-1).directions, [left]);
  const presses = sent.map((r) => r.press);
  assert.deepEqual(presses, [...presses].sort((x, y) => x - y));
  assert.equal(new Set(presses).size, 3);
});

test("another frame ends what was held; so does a hold with a bound", () => {
  const h = hold();
  h.begin([up], "a");
  h.begin([{ ...up, frame: "tool" }], "b");
  assert.deepEqual(sent.at(-1).directions, [{ ...up, frame: "tool" }]);
  h.begin([up], "drag", { bound: 12 });
  assert.equal(sent.at(-1).bound, 12);
  assert.equal(h.steer("b", {}), false);
  assert.equal(h.steer("drag", { bound: 20 }), true);
});

test("the arm has stopped by itself: only a new press starts another; an earlier motion's end is none", () => {
  const h = hold();
  h.begin([up], "a");
  h.stopped({ reason: "done" } as any);
  mock.timers.tick(80);
  assert.equal(sent.length, 2);
  h.stopped({ reason: "limit" } as any);
  mock.timers.tick(1000);
  assert.equal(sent.length, 2);
});

test("the page loses the focus: all is let go, and what may yet be a tap too", () => {
  const h = hold();
  h.hold([up], "a");
  heard.get("blur")!();
  mock.timers.tick(1000);
  assert.deepEqual(sent, []);
  h.begin([up], "a");
  heard.get("blur")!();
  assert.equal(sent.at(-1).type, "release");
});

test("before a long frame it is renewed ahead", (t) => {
  const h = hold();
  let now = 0;
  t.mock.method(performance, "now", () => now);
  h.begin([up], "a");
  now = 10;
  h.renewAhead();
  assert.equal(sent.length, 1);
  now = 60;
  h.renewAhead();
  assert.equal(sent.length, 2);
});

test("frames of 200 ms, in which no timer comes, outlast no lease, whenever the bench told something before them", (t) => {
  const LEASE = 225;
  for (let before = 0; before <= 30; before++) {
    const h = hold(); // no timer ticks from here on
    let now = 1000;
    t.mock.method(performance, "now", () => now);
    let renewed = now;
    const look = (): void => {
      assert.ok(now - renewed < LEASE, `${now - renewed} ms after the last renewal, ${before} ms between what was told and the frame`);
      if (sent.length > 0) renewed = now;
      sent.length = 0;
    };
    h.begin([up], "a");
    look();
    for (let frame = 0; frame < 20; frame++) {
      h.renewAhead(); // something is told
      look();
      now += before;
      for (const call of asked.splice(0)) call();
      look();
      now += 200;
    }
    h.end();
    assert.equal(asked.length, 0, "frames are asked for when nothing is held");
  }
});

test("what can be done later waits until nothing is held", () => {
  const h = hold();
  h.begin([up], "key");
  let done = false;
  whenIdle(() => (done = true));
  const later = () => Array.from({ length: 6 }, () => mock.timers.tick(300)); // what a timer sets starts with the next
  later();
  assert.equal(done, false);
  h.end();
  later();
  assert.equal(done, true);
});
