// The service worker of a site without a server: it puts away all files of its version, and answers with them and no others. The site's
// writer puts the version and the list of files before this script.
import { fetchProgram } from "./download";

interface Client {
  readonly id: string;
}

interface WaitingEvent extends Event {
  waitUntil(done: Promise<unknown>): void;
}

interface Scope {
  readonly registration: { readonly scope: string };
  readonly clients: { claim(): Promise<void>; matchAll(of: { includeUncontrolled: boolean }): Promise<Client[]> };
  skipWaiting(): Promise<void>;
  addEventListener(type: "install" | "activate" | "message" | "fetch", hear: (event: never) => void): void;
}

declare const SITE_VERSION: string;
declare const SITE_FILES: string[];
declare const SITE_LATER: string[];

const self = globalThis as unknown as Scope;
const mine = `handrule ${self.registration.scope} `; // Another site may lie beside this one.
const name = mine + SITE_VERSION;

async function putAway(): Promise<void> {
  const store = await caches.open(name);
  await Promise.all(
    SITE_FILES.map(async (file) => {
      const at = new URL(file, self.registration.scope);
      // A page's address stays the same from version to version; a browser may have an older one.
      const answer = file.endsWith(".wasm") ? await fetchProgram(at) : await fetch(at, /\.(html|webmanifest)$/.test(file) ? { cache: "reload" } : {});
      if (!answer.ok) throw new Error(`${file}: ${answer.status}`);
      // While a newer site is being copied to its host, some of its files are there and others not yet.
      if (file.endsWith(".html") && !(await answer.clone().text()).includes(`${SITE_VERSION}/`)) throw new Error(`${file} is of another version`);
      await store.put(at, answer);
    }),
  );
}

/** Puts away what few need, one file after the other, once the page is there and all else is kept. What does not come is kept when it is first used, or the next time. */
async function putAwayTheRest(): Promise<void> {
  const store = await caches.open(name);
  for (const file of SITE_LATER) {
    const at = new URL(file, self.registration.scope);
    if (await store.match(at.href)) continue;
    const answer = await (file.endsWith(".wasm") ? fetchProgram(at) : fetch(at));
    if (answer.ok) await store.put(at, answer);
  }
}

async function dropOthers(): Promise<void> {
  const others = (await caches.keys()).filter((other) => other.startsWith(mine) && other !== name);
  await Promise.all(others.map((other) => caches.delete(other)));
  await self.clients.claim();
}

async function answered(request: Request): Promise<Response> {
  const url = new URL(request.url);
  if (url.pathname.endsWith("/")) url.pathname += "index.html";
  url.search = url.hash = "";
  if (!url.href.startsWith(self.registration.scope)) return fetch(request);
  const store = await caches.open(name);
  const kept = await store.match(url.href);
  if (kept) return kept;
  const answer = await fetch(request);
  // An arm's meshes are kept when they are first drawn, and what few need when it is first used.
  if (answer.ok && (/\/arms\//.test(url.pathname) || SITE_LATER.some((file) => url.pathname.endsWith(file)))) await store.put(url.href, answer.clone());
  return answer;
}

self.addEventListener("install", (event: WaitingEvent) => event.waitUntil(putAway()));
self.addEventListener("activate", (event: WaitingEvent) => event.waitUntil(dropOthers()));
self.addEventListener("message", (event: WaitingEvent & { data: unknown }) => {
  if (event.data === "put-away-the-rest") event.waitUntil(putAwayTheRest().catch(() => {}));
  if (event.data !== "take-over") return;
  event.waitUntil(self.clients.matchAll({ includeUncontrolled: true }).then((pages) => (pages.length <= 1 ? self.skipWaiting() : undefined)));
});
self.addEventListener("fetch", (event: WaitingEvent & { request: Request; respondWith(answer: Promise<Response>): void }) => {
  if (event.request.method === "GET" && new URL(event.request.url).origin === new URL(self.registration.scope).origin) event.respondWith(answered(event.request));
});
