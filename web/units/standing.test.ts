import assert from "node:assert/strict";
import { test } from "node:test";
import { isOver, nextLesson, standingOf, type Standing } from "../src/lesson/standing";

const stage = (task: string, done = false, given_up = false) => ({ task, done, given_up }) as any;

test("stages without a task do not count, and what is given up is not done", () => {
  assert.deepEqual(standingOf({ stages: [stage(""), stage("reach", true), stage("read", false, true), stage("free")] }), { done: 1, givenUp: 1, tasks: 3 });
});

test("next is the first after this one that is not over, then the first of all", () => {
  const lessons = ["a", "b", "c", "d"].map((id) => ({ id, tasks: 2 }));
  const standing = (over: string) => ({ id, tasks }: { id: string; tasks: number }): Standing | null => (over.includes(id) ? { done: 1, givenUp: 1, tasks } : id === "d" ? null : { done: 1, givenUp: 0, tasks });
  assert.equal(nextLesson(lessons, "", standing(""))?.id, "a");
  assert.equal(nextLesson(lessons, "b", standing("b"))?.id, "c");
  assert.equal(nextLesson(lessons, "b", standing("abc"))?.id, "d");
  assert.equal(nextLesson(lessons, "c", standing("cd"))?.id, "a");
  assert.equal(nextLesson(lessons, "c", standing("abcd")), null);
  assert.equal(isOver(null), false);
});
