import assert from "node:assert/strict";
import { test } from "node:test";

const site = "https://college.example/arm/";
/** What the host sends; a file that is not there is a 404, and without a host the network is off. */
let host: Record<string, string> | null = {};
/** The pages that are open, and how often this version took over from the one before. */
let pages: object[] = [];
let took = 0;
const stores = new Map<string, Map<string, Response>>();
const hears: Record<string, (event: any) => void> = {};

Object.assign(globalThis, {
  registration: { scope: site },
  clients: { claim: async () => undefined, matchAll: async () => pages },
  skipWaiting: async () => void took++,
  addEventListener: (type: string, hear: (event: any) => void) => (hears[type] = hear),
  self: globalThis,
  SITE_VERSION: "version-2",
  SITE_FILES: ["index.html", "version-2/page.js"],
  SITE_LATER: ["version-2/meshes.js", "version-2/importer.js"],
  fetch: async (at: URL | Request) => {
    if (!host) throw new TypeError("the network is off");
    const text = host[(at instanceof Request ? at.url : at.href).slice(site.length)];
    return new Response(text ?? "", { status: text === undefined ? 404 : 200 });
  },
  caches: {
    open: async (name: string) => {
      const store = stores.get(name) ?? new Map<string, Response>();
      stores.set(name, store);
      return { put: async (at: URL | string, answer: Response) => void store.set(String(at), answer), match: async (at: string) => store.get(at)?.clone() };
    },
    keys: async () => [...stores.keys()],
    delete: async (name: string) => stores.delete(name),
  },
});
await import("../src/link/offline-worker");

async function happens(type: string, more: object = {}): Promise<any> {
  let done: Promise<unknown> = Promise.resolve();
  hears[type]!({ waitUntil: (work: Promise<unknown>) => (done = work), respondWith: (work: Promise<unknown>) => (done = work), ...more });
  return done;
}
const asked = async (file: string): Promise<string> => ((await happens("fetch", { request: new Request(site + file) })) as Response).text();

test("a site that is being copied to its host is not put away: neither a page of another version, nor one whose files are not all there", async () => {
  host = { "index.html": '<script src="version-1/page.js">', "version-2/page.js": "two" };
  await assert.rejects(happens("install"), /index\.html is of another version/);
  host = { "index.html": '<script src="version-3/page.js">', "version-2/page.js": "two" };
  await assert.rejects(happens("install"), /index\.html is of another version/);
  host = { "index.html": '<script src="version-2/page.js">' };
  await assert.rejects(happens("install"), /page\.js: 404/);
});

test("what few need is put away when all else is there, what did not come when it comes, and then it answers with the network off", async () => {
  host = { "index.html": '<script src="version-2/page.js">', "version-2/page.js": "two", "version-2/meshes.js": "meshes" };
  await happens("install");
  host["version-2/other.js"] = "other";
  assert.equal(await asked("version-2/other.js"), "other");
  await happens("message", { data: "put-away-the-rest" });
  host["version-2/importer.js"] = "importer";
  assert.equal(await asked("version-2/importer.js"), "importer");
  host = null;
  assert.equal(await asked("version-2/meshes.js"), "meshes");
  assert.equal(await asked("version-2/importer.js"), "importer");
  await assert.rejects(asked("version-2/other.js"));
  await happens("message", { data: "put-away-the-rest" }); // nothing to be had, and no harm
  stores.clear();
});

test("what was put away answers with the network off and beside a newer site, and other sites' files stay", async () => {
  host = { "index.html": '<script src="version-2/page.js">', "version-2/page.js": "two" };
  await happens("install");
  stores.set(`handrule ${site} version-1`, new Map());
  stores.set("handrule https://college.example/other/ version-1", new Map());
  await happens("activate");
  assert.deepEqual([...stores.keys()].sort(), [`handrule ${site} version-2`, "handrule https://college.example/other/ version-1"].sort());
  host = null;
  assert.match(await asked(""), /version-2/);
  host = { "index.html": '<script src="version-3/page.js">', "version-2/page.js": "three", "version-3/page.js": "three" };
  assert.match(await asked("index.html?embed=1"), /version-2/);
  assert.equal(await asked("version-2/page.js"), "two");
  assert.equal(await asked("version-3/page.js"), "three"); // which it does not have: the host is asked
});

test("it takes over from the version before while the page that asks is the only one, and never by itself", async () => {
  host = { "index.html": '<script src="version-2/page.js">', "version-2/page.js": "two" };
  await happens("install");
  await happens("activate");
  assert.equal(took, 0);
  pages = [{}, {}];
  await happens("message", { data: "take-over" });
  assert.equal(took, 0);
  pages = [{}];
  await happens("message", { data: "take-over" });
  assert.equal(took, 1);
});
