import assert from "node:assert/strict";
import { test } from "node:test";
import { reportOf, timespan } from "../src/platform/report";
import type { StageView } from "../src/wire";

const stage = (task: string, done: boolean, given_up = false): StageView => ({ title: "", task, done, given_up, tries: 1, seconds: 0, jogs: 0, contacts: 0, hints: 0 });

test("a lesson is passed when all tasks are done, completed when some were given up, and scored by those done", () => {
  const { stages: all } = { stages: [stage("reach", true), stage("", false), stage("read", false, true), stage("choose", false)] };
  assert.deepEqual(reportOf({ stages: all, over: false }), { status: "incomplete", score: 33 });
  assert.deepEqual(reportOf({ stages: all.slice(0, 3), over: true }), { status: "completed", score: 50 });
  assert.deepEqual(reportOf({ stages: [stage("reach", true)], over: true }), { status: "passed", score: 100 });
  assert.deepEqual(reportOf({ stages: [], over: false }), { status: "incomplete", score: 0 });
});

test("a time span is written as SCORM 1.2 has it, HHHH:MM:SS.SS", () => {
  assert.equal(timespan(0), "0000:00:00.00");
  assert.equal(timespan(75.128), "0000:01:15.12");
  assert.equal(timespan(3600 * 30 + 59.999), "0030:00:59.99");
});
