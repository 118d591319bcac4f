import assert from "node:assert/strict";
import { test } from "node:test";
import { FirstSteps } from "../src/start/firststeps";

const jog = (frame: string, axis: number, travel: number, { reason = "done", sign = 1, advised = null as number | null } = {}) =>
  ({ direction: { frame, task: "", axis, sign }, travel, reason, trouble: reason !== "done", advised }) as any;
const refusal = (frame: string, axis: number, advised: number | null, sign = 1) => jog(frame, axis, 0, { reason: "singularity", advised, sign });
const [elbow, wrist] = [2, 4];

test("five things in their order, each done by what the arm has done", () => {
  const steps = new FirstSteps();
  assert.equal(steps.stopped(jog("base", 2, 10)), false); // not yet asked
  assert.equal(steps.stopped(jog("joint", 0, 0.1)), false); // a slip
  assert.equal(steps.stopped(jog("joint", 3, 5)), true);
  assert.equal(steps.stopped(jog("base", 4, 5)), false); // a turn is not straight
  assert.equal(steps.stopped(jog("tool", 2, 10)), true);
  assert.equal(steps.stopped(jog("base", 1, 0, { reason: "joint limit" })), false);
  assert.equal(steps.stopped(refusal("base", 2, elbow)), false); // bending J5 would not help there
  assert.equal(steps.stopped(refusal("base", 2, null)), false);
  assert.equal(steps.stopped(refusal("base", 1, wrist)), true);
  assert.equal(steps.stopped(jog("joint", 4, 60)), false); // bending it is on the way
  assert.equal(steps.stopped(jog("base", 0, 10)), false); // not what was refused
  assert.equal(steps.stopped(jog("base", 1, 10, { sign: -1 })), false); // nor this
  assert.equal(steps.stopped(jog("tool", 1, 10)), false); // nor this
  assert.equal(steps.stopped(refusal("base", 0, elbow)), false);
  assert.equal(steps.stopped(jog("base", 1, 10)), false); // what was refused last is what the page offers to make again
  assert.equal(steps.stopped(jog("base", 0, 10)), true);
  assert.equal(steps.next, "turn");
  assert.equal(steps.stopped(jog("base", 5, 5)), true);
  assert.equal(steps.next, null);
  steps.restart();
  assert.equal(steps.next, "joint");
});

test("each can be skipped; without a refusal there is nothing to make again", () => {
  const steps = new FirstSteps();
  for (const task of ["joint", "straight", "refused", "turn"]) {
    assert.equal(steps.next, task);
    steps.skip();
  }
  assert.equal(steps.next, null);
  assert.equal(steps.stopped(jog("base", 5, 5)), false);

  const refused = new FirstSteps();
  refused.stopped(refusal("base", 1, wrist)); // before it was asked for
  for (const task of ["joint", "straight", "refused", "again"]) {
    assert.equal(refused.next, task);
    refused.skip();
  }
  assert.equal(refused.next, "turn");
});
