import assert from "node:assert/strict";
import { test } from "node:test";
import { FirstSteps } from "../src/start/firststeps";

const jog = (frame: string, axis: number, travel: number, reason = "done") => ({ direction: { frame, task: "", axis, sign: 1 }, travel, reason, trouble: reason !== "done" }) as any;

test("five things in their order, each done by what the arm has done", () => {
  const steps = new FirstSteps();
  assert.equal(steps.stopped(jog("base", 2, 10)), false); // not yet asked
  assert.equal(steps.stopped(jog("joint", 0, 0.1, "done")), false); // a slip
  assert.equal(steps.stopped(jog("joint", 3, 5)), true);
  assert.equal(steps.stopped(jog("base", 4, 5)), false); // a turn is not straight
  assert.equal(steps.stopped(jog("tool", 2, 10)), true);
  assert.equal(steps.stopped(jog("base", 1, 0, "limit")), false);
  assert.equal(steps.stopped(jog("base", 1, 0, "singularity")), true);
  assert.equal(steps.stopped(jog("joint", 4, 60)), false); // bending it is on the way
  assert.equal(steps.stopped(jog("base", 0, 10)), false); // not what was refused
  assert.equal(steps.stopped(jog("base", 1, 10)), true);
  assert.equal(steps.next, "turn");
  assert.equal(steps.stopped(jog("base", 5, 5)), true);
  assert.equal(steps.next, null);
  steps.restart();
  assert.equal(steps.next, "joint");
});

test("each can be skipped", () => {
  const steps = new FirstSteps();
  for (const task of ["joint", "straight", "refused", "again", "turn"]) {
    assert.equal(steps.next, task);
    steps.skip();
  }
  assert.equal(steps.next, null);
  assert.equal(steps.stopped(jog("base", 5, 5)), false);
});
