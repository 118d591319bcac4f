// Prints what a site's bench keeps its worker busy for at a time, run by Node: a frame that is due meanwhile comes so much later. Each piece of work is the
// least of several runs, which are alike piece by piece, so that other programs on the machine count for little. Usage: node site-slices.mjs FOLDER [RUNS]
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";

const [folder, runs = "10"] = process.argv.slice(2);
const { version } = JSON.parse(readFileSync(join(folder, "site.json"), "utf8"));
const read = (name) => readFileSync(join(folder, version, name));
globalThis.told = globalThis.begun = () => {};
await import(join(execFileSync(process.env["GO"] ?? "go", ["env", "GOROOT"], { encoding: "utf8" }).trim(), "lib", "wasm", "wasm_exec.js"));
const go = new Go();
const { instance } = await WebAssembly.instantiate(read("bench.wasm"), go.importObject);
void go.run(instance);
const { bench } = globalThis;
const ask = (request) => bench.ask(JSON.stringify(request));

const timed = (all, work) => {
  const began = performance.now();
  work();
  all.push(performance.now() - began);
};
const later = (ms) => new Promise((done) => setTimeout(done, ms));

/** A jog and two ways to another place, by each arm; the room to move is told in between. */
async function run(arm) {
  const [asked, frames, pieces] = [[], [], []];
  const think = () => {
    while (bench.asks()) timed(pieces, () => bench.think());
  };
  bench.begin(read("catalog.json").toString(), "en");
  bench.connect("slices", "slices", "slices", null, null);
  ask({ type: "scene", arm, cell: "glazing-bench", tool: "", joints_deg: [-20, 10, 10, 0, 70, 0] });
  ask({ type: "frame", frame: "base", task: "" });
  think();
  timed(asked, () => ask({ type: "ways", do: "numbers", numbers: [350, 80, 200, 180, 0, 0] }));
  think();
  for (const sign of [1, -1]) {
    timed(asked, () => ask({ type: "step", direction: { frame: "base", axis: 2, sign } }));
    while (bench.moves()) {
      await later(16);
      timed(frames, () => bench.frame(0));
    }
    think();
  }
  return { asked, frames, pieces };
}

const ms = (x) => `${x.toFixed(2)} ms`;
const done = { wren: [], plover: [], curlew: [] };
for (let i = 0; i < Number(runs); i++) for (const [arm, all] of Object.entries(done)) all.push(await run(arm));
for (const [arm, all] of Object.entries(done)) {
  const least = (what) => all[0][what].map((_, i) => Math.min(...all.map((run) => run[what][i] ?? Infinity)));
  const pieces = least("pieces").sort((a, b) => a - b);
  console.log(`${arm}: ${pieces.length} pieces of thinking, half of them within ${ms(pieces[pieces.length >> 1])}, the longest ${ms(pieces.at(-1))}; a press ${ms(Math.max(...least("asked").slice(1)))}; a frame ${ms(Math.min(...all.flatMap((run) => run.frames)))}`);
}
process.exit(0); // the bench would go on
