// Bundles the page's TypeScript into static/dist/page.js, and compresses it once here so that the server never has to.
import { build } from "esbuild";
import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";

const here = dirname(fileURLToPath(import.meta.url));
const entry = join(here, "src", "main.ts");
const out = join(here, "..", "static", "dist", "page.js");

if (!existsSync(entry)) {
  console.error("build: web/src/main.ts is missing; it is where the page starts, and there is nothing to bundle without it");
  process.exit(1);
}

mkdirSync(dirname(out), { recursive: true });
await build({
  entryPoints: [entry],
  outfile: out,
  bundle: true,
  minify: true,
  format: "esm",
  target: "es2022",
  sourcemap: false,
  legalComments: "eof",
  logLevel: "warning",
});

const page = readFileSync(out);
const gzip = gzipSync(page, { level: 9 });
const brotli = brotliCompressSync(page, {
  params: {
    [constants.BROTLI_PARAM_MODE]: constants.BROTLI_MODE_TEXT,
    [constants.BROTLI_PARAM_QUALITY]: 11,
    [constants.BROTLI_PARAM_SIZE_HINT]: page.length,
  },
});
writeFileSync(out + ".gz", gzip);
writeFileSync(out + ".br", brotli);

const kb = (bytes) => (bytes.length / 1000).toFixed(1) + " KB";
console.log(`page.js ${kb(page)}, gzip ${kb(gzip)}, brotli ${kb(brotli)}`);
