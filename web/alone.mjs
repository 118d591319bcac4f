// Compiles the programs that pages run to WebAssembly, the bench of a page of its own and what reads URDF files, and packs them into static/alone, from where the
// binary takes them. Packing takes half a minute each; it is done only when the program has changed.
import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";

const root = join(dirname(fileURLToPath(import.meta.url)), "..");
const out = join(root, "static", "alone");
const programs = { bench: "./cmd/handrule-alone", import: "./cmd/handrule-import" };

// Functions are not written into their callers, which makes the packed program a tenth smaller, but where that would cost speed.
const fast = ["handrule/kinematics/...", "handrule/scenarios/mesh", "gonum.org/v1/gonum/spatial/...", "gonum.org/v1/gonum/num/...", "math"];
const flags = ["-trimpath", "-buildvcs=false", "-ldflags=-s -w", "-gcflags=all=-l", ...fast.map((name) => `-gcflags=${name}=`)];
if (process.argv[2] === "flags") {
  console.log(JSON.stringify(flags)); // for the test that compares its motion
  process.exit(0);
}

const env = { ...process.env, GOOS: "js", GOARCH: "wasm" };
const go = process.env.GO ?? "go";

/**
 * The catalogues of words without what a program does not say. The page has its own: a text is kept where the sources of the program name its key, or what keys like it begin with.
 * The explanations of words of the trade are the page's too.
 */
function spareWords(name, main) {
  const sources = execFileSync(go, ["list", "-deps", "-f", "{{if not .Standard}}{{$dir := .Dir}}{{range .GoFiles}}{{$dir}}/{{.}}\n{{end}}{{end}}", main], { cwd: root, encoding: "utf8", env });
  const said = new Set();
  for (const file of sources.split("\n").filter((name) => name.startsWith(root))) for (const [, text] of readFileSync(file, "utf8").matchAll(/"((?:[^"\\\n]|\\.)+)"/g)) said.add(text);
  const beginnings = [...said].filter((text) => text.length > 1 && text.endsWith("."));
  const spare = join(root, "bin", "words", name);
  rmSync(spare, { recursive: true, force: true });
  mkdirSync(join(spare, "glossary"), { recursive: true });
  const replaced = {};
  for (const name of readdirSync(join(root, "words")).filter((name) => name.endsWith(".json"))) {
    const all = Object.entries(JSON.parse(readFileSync(join(root, "words", name), "utf8")));
    const kept = all.filter(([key]) => said.has(key) || beginnings.some((beginning) => key.startsWith(beginning)));
    for (const [file, text] of [[name, JSON.stringify(Object.fromEntries(kept))], [join("glossary", name), "{}"]]) {
      writeFileSync(join(spare, file), text);
      replaced[join(root, "words", file)] = join(spare, file);
    }
  }
  const overlay = join(spare, "overlay.json");
  writeFileSync(overlay, JSON.stringify({ Replace: replaced }));
  return overlay;
}

if (process.argv[2] === "words") {
  console.log(spareWords("bench", programs.bench)); // for the test that nothing is missing
  process.exit(0);
}
mkdirSync(out, { recursive: true });
for (const [name, main] of Object.entries(programs)) {
  const made = join(root, "bin", `${name}.wasm`);
  const file = (ending) => join(out, `${name}.wasm${ending}`);
  execFileSync(go, ["build", ...flags, "-overlay", spareWords(name, main), "-o", made, main], { cwd: root, stdio: "inherit", env });
  const plain = readFileSync(made);
  const digest = createHash("sha256").update(plain).digest("hex");
  if (existsSync(file(".br")) && existsSync(file(".gz")) && existsSync(file(".sha256")) && readFileSync(file(".sha256"), "utf8") === digest) continue;
  const brotli = brotliCompressSync(plain, {
    params: { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_LGWIN]: 24, [constants.BROTLI_PARAM_SIZE_HINT]: plain.length },
  });
  const gzip = gzipSync(plain, { level: 9 });
  writeFileSync(file(".br"), brotli);
  writeFileSync(file(".gz"), gzip);
  writeFileSync(file(".sha256"), digest);
  const mb = (bytes) => (bytes.length / 1e6).toFixed(2) + " MB";
  console.log(`${name}.wasm ${mb(plain)}, gzip ${mb(gzip)}, brotli ${mb(brotli)}`);
}
