// A page and the program that answers it, which may be a newer one.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Hearing } from "../src/link/hearing";
import { WIRE_VERSION } from "../src/wire";

Object.assign(globalThis, { document: { documentElement: { dataset: { program: "old" } } } });

/** What a page does when a bench of that program says its welcome. */
function welcomedBy(program: string, wire: number = WIRE_VERSION): string[] {
  const does: string[] = [];
  const events = { reply: () => does.push("goes on"), outdated: () => does.push("loads itself anew"), state: () => undefined };
  new Hearing(events as any, () => does.push("is welcome")).take(JSON.stringify({ type: "welcome", bench: "b", wire, program }));
  return does;
}

test("a page of another program than the one that answers loads itself anew, once and not for ever", () => {
  assert.deepEqual(welcomedBy("old"), ["is welcome", "goes on"]);
  assert.deepEqual(welcomedBy("new"), ["loads itself anew"]);
  assert.deepEqual(welcomedBy("new"), ["is welcome", "goes on"]); // it was of no use
  assert.deepEqual(welcomedBy("newer"), ["loads itself anew"]);
  assert.deepEqual(welcomedBy("old"), ["is welcome", "goes on"]);
  assert.deepEqual(welcomedBy("newer"), ["loads itself anew"]); // at a later update again
});

test("so does one that speaks another version of the messages", () => {
  assert.deepEqual(welcomedBy("old"), ["is welcome", "goes on"]);
  assert.deepEqual(welcomedBy("old", WIRE_VERSION + 1), ["loads itself anew"]);
});
