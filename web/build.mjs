// Bundles the page's TypeScript into static/dist/page.js and the parts that are loaded when they are wanted, its styles
// into static/dist/style.css, the notices of all parts of others into static/dist/notices.txt, and compresses all of it once here so that the server never has to.
import { execFileSync } from "node:child_process";
import { build } from "esbuild";
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";

const here = dirname(fileURLToPath(import.meta.url));
const entry = join(here, "src", "main.ts");
const out = join(here, "..", "static", "dist");

if (!existsSync(entry)) {
  console.error("build: web/src/main.ts is missing; it is where the page starts, and there is nothing to bundle without it");
  process.exit(1);
}

const go = process.env.GO ?? "go";
const goRoot = execFileSync(go, ["env", "GOROOT"], { encoding: "utf8" }).trim();
// Go's own script that runs its WebAssembly. It must be of the version that compiles it.
const goExec = { name: "go-exec", setup: (b) => b.onResolve({ filter: /^go-exec$/ }, () => ({ path: join(goRoot, "lib", "wasm", "wasm_exec.js") })) };
const settings = {
  bundle: true,
  minify: true,
  format: "esm",
  target: "es2022",
  sourcemap: false,
  legalComments: "none", // They are in notices.txt, whole.
  metafile: true,
  logLevel: "warning",
};

// The windows that style sheets name, as @media (--desk); scripts read the same file.
const windows = JSON.parse(readFileSync(join(here, "src", "basics", "media.json"), "utf8"));
const named = {
  name: "named-windows",
  setup: (b) =>
    b.onLoad({ filter: /[\\/]src[\\/].*\.css$/ }, ({ path }) => ({
      contents: readFileSync(path, "utf8").replace(/\((--\w+)\)(?=[^{};]*\{)/g, (_, name) => windows[name] ?? `(${name})`),
      loader: "css",
    })),
};

// What three.js takes along and the page has no use for: shaders of materials and lights that it has none of, each known by the first line of its source (a
// material that needed one would not be drawn), and headsets. Where another edition of three.js has them otherwise, this build says so.
const spare = ["DISTANCE", "LAMBERT", "MATCAP", "NORMAL", "PHONG", "TOON"].map((name) => [new RegExp(`= "#define ${name}\\\\n(?:[^"\\\\]|\\\\.)*"`, "g"), '= ""', 2]);
const noHeadset = "Object.assign( new EventDispatcher(), { enabled: false, isPresenting: false, getEnvironmentBlendMode() {}, setAnimationLoop() {}, dispose() {} } )";
const lighterThree = {
  name: "lighter-three",
  setup: (b) =>
    b.onLoad({ filter: /[\\/]three[\\/]build[\\/]three\.module\.js$/ }, ({ path }) => {
      let contents = readFileSync(path, "utf8");
      for (const [source, instead, times] of [...spare, [/new WebXRManager\( _this, _gl \)/g, noHeadset, 1]]) {
        if (contents.match(source)?.length !== times) throw new Error(`three.js has not got ${times} of ${source}: see what it is called in this edition`);
        contents = contents.replace(source, instead);
      }
      return { contents, loader: "js" };
    }),
};

rmSync(out, { recursive: true, force: true });
mkdirSync(out, { recursive: true });
const { metafile } = await build({
  ...settings,
  entryPoints: { page: entry, style: join(here, "src", "style.css"), class: join(here, "src", "class", "class.css"), ownarm: join(here, "src", "ownarm", "ownarm.css"), uplot: join(here, "node_modules", "uplot", "dist", "uPlot.min.css") },
  outdir: out,
  plugins: [named, lighterThree],
  chunkNames: "[name]-[hash]",
  splitting: true,
});
// What only a site without a server has (see package site), what reads URDF files, and what reads an arm's meshes, with as much of three.js as that takes.
await build({
  ...settings,
  entryPoints: { worker: join(here, "src", "link", "worker.ts"), offline: join(here, "src", "link", "offline-worker.ts"), importer: join(here, "src", "ownarm", "importer.ts"), meshes: join(here, "src", "meshes", "worker.ts"), entry: join(here, "src", "start", "entry.ts") },
  outdir: out,
  plugins: [goExec],
});

// The texts of parts of the page that few need, which come with their scripts, and those of the help, which come with the first of it that is wanted. The
// form of an entry is that of package words.
const parts = { class: /^(class\.(?!problem\.)|help\.class)/, arms: /^(own-arm|real-arm|mesh|help\.meshes)(\.|$)/, help: /^help\.(?!class|meshes)/, plot: /^plot\./, platform: /^platform\./, controller: /^controller\./, player: /^player\./, share: /^share\.(opens|stays)\./, rules: /^assessment\.(points|tries|tries\.differ|late|minutes|extra|drawn|motion|any-time|begun|ask-for|field\..*)$/ };
// The keys of the texts that scripts say and that come with no part: the server puts them into the page. A script says a text whose key stands in it, or
// like which a key begins there (`way.${…}`).
const catalogues = join(here, "..", "words");
const scripts = readdirSync(out).filter((name) => name.endsWith(".js")).map((name) => readFileSync(join(out, name), "utf8")).join("\n");
const beginnings = new Set(Array.from(scripts.matchAll(/["'`]([a-z][\w-]*(?:\.[\w-]+)*\.)(?=["'`]|\$\{)/g), ([, beginning]) => beginning));
const spoken = new Set(Array.from(scripts.matchAll(/["'`]([a-z][\w-]*(?:\.[\w-]+)*)["'`]/g), ([, key]) => key));
const said = Object.keys(JSON.parse(readFileSync(join(catalogues, "en.json"), "utf8"))).filter(
  (key) => !key.startsWith("class.") && !Object.values(parts).some((ofPart) => ofPart.test(key)) && (spoken.has(key) || [...beginnings].some((beginning) => key.startsWith(beginning))),
);
writeFileSync(join(out, "said.json"), JSON.stringify(said));
for (const file of readdirSync(catalogues).filter((name) => name.endsWith(".json"))) {
  const all = Object.entries(JSON.parse(readFileSync(join(catalogues, file), "utf8")));
  for (const [part, keys] of Object.entries(parts)) {
    const some = all.filter(([key]) => keys.test(key)).map(([key, entry]) => [key, typeof entry === "string" ? entry : { by: "count", ...entry }]);
    writeFileSync(join(out, `${part}-${file}`), JSON.stringify(Object.fromEntries(some)));
  }
}

// What the words of the trade mean.
for (const file of readdirSync(join(catalogues, "glossary"))) {
  writeFileSync(join(out, `glossary-${file}`), JSON.stringify(JSON.parse(readFileSync(join(catalogues, "glossary", file), "utf8"))));
}

// The folders of the packages that something was taken from.
const packages = new Set(
  Object.keys(metafile.inputs).flatMap((file) => /^(.*node_modules\/(?:@[^/]+\/)?[^/]+)\//.exec(file)?.slice(1) ?? []),
);
const notices = execFileSync(go, ["run", "./internal/notices", ...[...packages].map((dir) => join(process.cwd(), dir))], {
  cwd: join(here, ".."),
  maxBuffer: 16 << 20,
});
writeFileSync(join(out, "notices.txt"), notices);

const kb = (bytes) => (bytes.length / 1000).toFixed(1) + " KB";
for (const file of readdirSync(out)) {
  const plain = readFileSync(join(out, file));
  const gzip = gzipSync(plain, { level: 9 });
  const brotli = brotliCompressSync(plain, {
    params: {
      [constants.BROTLI_PARAM_MODE]: constants.BROTLI_MODE_TEXT,
      [constants.BROTLI_PARAM_QUALITY]: 11,
      [constants.BROTLI_PARAM_SIZE_HINT]: plain.length,
    },
  });
  writeFileSync(join(out, file + ".gz"), gzip);
  writeFileSync(join(out, file + ".br"), brotli);
  console.log(`${file} ${kb(plain)}, gzip ${kb(gzip)}, brotli ${kb(brotli)}`);
}
