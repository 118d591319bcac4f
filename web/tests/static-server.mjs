// A web host without any Go behind it, for tests: sends the files of a folder, below a path, packed where they lie there packed, but for a folder "plain". From
// a folder "held" it sends half of a program, and the rest once the folder's "go-on" is asked for. It prints what it sends, and how.
//   node static-server.mjs FOLDER PORT [/path/below/which]
import { createReadStream, existsSync, statSync } from "node:fs";
import { createServer } from "node:http";
import { extname, join, normalize } from "node:path";

const [folder, port, below = "/"] = process.argv.slice(2);
const types = {
  ".html": "text/html; charset=utf-8", ".js": "text/javascript", ".css": "text/css", ".json": "application/json", ".svg": "image/svg+xml",
  ".wasm": "application/wasm", ".txt": "text/plain; charset=utf-8", ".webmanifest": "application/manifest+json", ".png": "image/png",
};
const ways = [["br", ".br"], ["gzip", ".gz"]];

let goOn = [];
let holds = true;

createServer((request, response) => {
  const path = decodeURIComponent(new URL(request.url, "http://host").pathname);
  const name = normalize(path).replace(/\/$/, "/index.html").slice(below.length);
  const file = join(folder, name);
  if (path.endsWith("/held/go-on")) {
    holds = false;
    for (const rest of goOn) rest();
    goOn = [];
    response.writeHead(204).end();
    return;
  }
  if (!path.startsWith(below) || name.startsWith("..") || !existsSync(file) || !statSync(file).isFile()) {
    response.writeHead(404).end();
    return;
  }
  const takes = String(request.headers["accept-encoding"] ?? "");
  const way = path.includes("/plain/") ? undefined : ways.find(([coding, ending]) => takes.includes(coding) && existsSync(file + ending));
  const head = { "content-type": types[extname(file)] ?? "application/octet-stream", "cache-control": "no-cache" };
  if (way) head["content-encoding"] = way[0];
  response.writeHead(200, head);
  console.log(path, way?.[0] ?? "plain");
  const sent = file + (way?.[1] ?? "");
  if (holds && path.includes("/held/") && file.endsWith(".wasm")) {
    const half = Math.floor(statSync(sent).size / 2);
    createReadStream(sent, { end: half - 1 }).pipe(response, { end: false });
    goOn.push(() => createReadStream(sent, { start: half }).pipe(response));
    return;
  }
  createReadStream(sent).pipe(response);
}).listen(Number(port), "127.0.0.1", () => console.log("listens"));
