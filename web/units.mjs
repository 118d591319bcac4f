// Runs the tests of units/, which need no browser: bundles them and hands them to Node's test runner.
import { build } from "esbuild";
import { spawnSync } from "node:child_process";
import { tmpdir } from "node:os";
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const folder = join(here, "units");
const out = mkdtempSync(join(tmpdir(), "handrule-units-"));
try {
  const files = readdirSync(folder).filter((file) => file.endsWith(".test.ts"));
  await build({
    entryPoints: files.map((file) => join(folder, file)),
    outdir: out,
    outExtension: { ".js": ".mjs" },
    bundle: true,
    platform: "node",
    format: "esm",
    target: "node20",
    sourcemap: "inline",
    logLevel: "warning",
  });
  const { status } = spawnSync(process.execPath, ["--test", "--enable-source-maps", ...readdirSync(out).map((file) => join(out, file))], { stdio: "inherit" });
  process.exitCode = status ?? 1;
} finally {
  rmSync(out, { recursive: true, force: true });
}
