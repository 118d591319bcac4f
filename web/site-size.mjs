// Prints what the first visit of a site loads, packed as a host packs it (brotli), and what of it is put away for later. Usage: node site-size.mjs FOLDER
import { existsSync, readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { brotliCompressSync } from "node:zlib";

const folder = process.argv[2];
const { version } = JSON.parse(readFileSync(join(folder, "site.json"), "utf8"));
const sent = (name) => {
  const file = join(folder, name);
  return existsSync(`${file}.br`) ? readFileSync(`${file}.br`).length : brotliCompressSync(readFileSync(file)).length;
};
// The page's chunks that are imported at once, and the others when they are wanted, are told apart by the page itself.
const page = readFileSync(join(folder, version, "page.js"), "utf8");
const chunks = readdirSync(join(folder, version)).filter((name) => name.endsWith(".js") && new RegExp(`from"\\./${name}"|import"\\./${name}"`).test(page));
const first = ["index.html", "handrule.webmanifest", ...["entry.js", "page.js", "style.css", "icon.svg", "worker.js", "catalog.json", "bench.wasm", ...chunks].map((name) => `${version}/${name}`)];
let all = 0;
for (const name of first) {
  const bytes = sent(name);
  all += bytes;
  console.log(`${(bytes / 1000).toFixed(1).padStart(8)} KB  ${name.replace(`${version}/`, "")}`);
}
console.log(`${(all / 1e6).toFixed(2).padStart(8)} MB  in all`);
const offline = readFileSync(join(folder, "offline.js"), "utf8");
console.log("after that, in the background:");
for (const name of JSON.parse(/const SITE_LATER = (.*);/.exec(offline)[1])) console.log(`${(sent(name) / 1000).toFixed(1).padStart(8)} KB  ${name.replace(`${version}/`, "")}`);
