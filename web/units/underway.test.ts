import assert from "node:assert/strict";
import { test } from "node:test";
import { type Fences, Underway } from "../src/view/underway";

/** Graphics that are done with what the test says. */
function graphics() {
  const done = new Set<unknown>();
  const kept = new Set<unknown>();
  const gl = {
    SYNC_GPU_COMMANDS_COMPLETE: 0x9117,
    SYNC_STATUS: 0x9114,
    UNSIGNALED: 0x9118,
    flush: () => {},
    fenceSync: () => {
      const fence = {};
      kept.add(fence);
      return fence as WebGLSync;
    },
    getSyncParameter: (fence: WebGLSync) => (done.has(fence) ? 0x9119 : 0x9118),
    deleteSync: (fence: WebGLSync | null) => void kept.delete(fence),
  } satisfies Fences;
  return { gl, kept, finish: () => done.add([...kept].find((fence) => !done.has(fence))) };
}

test("pictures are underway until they are drawn, and how long that took is told once", () => {
  const { gl, kept, finish } = graphics();
  const underway = new Underway<string>(gl);
  underway.add(0, "a");
  underway.add(10, "b");
  assert.deepEqual(underway.drawn(16), []);
  assert.equal(underway.count, 2);
  finish();
  assert.deepEqual(underway.drawn(32), [{ ms: 32, kind: "a" }]);
  assert.deepEqual(underway.drawn(48), []);
  finish();
  assert.deepEqual(underway.drawn(64), [{ ms: 54, kind: "b" }]);
  assert.equal(underway.count, 0);
  assert.equal(kept.size, 0, "no fence is kept");
});

test("graphics that tell nothing, as when they are lost, keep nobody waiting", () => {
  const { gl } = graphics();
  const underway = new Underway<string>({ ...gl, fenceSync: () => null as unknown as WebGLSync });
  underway.add(0, "a");
  assert.equal(underway.drawn(16).length, 1);
  const lost = new Underway<string>({ ...gl, getSyncParameter: () => null });
  lost.add(0, "a");
  assert.equal(lost.drawn(16).length, 1);
});
