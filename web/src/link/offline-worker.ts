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
      await store.put(at, answer);
    }),
  );
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
  const kept = url.href.startsWith(self.registration.scope) ? await (await caches.open(name)).match(url.href) : undefined;
  return kept ?? fetch(request);
}

self.addEventListener("install", (event: WaitingEvent) => event.waitUntil(putAway()));
self.addEventListener("activate", (event: WaitingEvent) => event.waitUntil(dropOthers()));
self.addEventListener("message", (event: WaitingEvent & { data: unknown }) => {
  if (event.data !== "take-over") return;
  event.waitUntil(self.clients.matchAll({ includeUncontrolled: true }).then((pages) => (pages.length <= 1 ? self.skipWaiting() : undefined)));
});
self.addEventListener("fetch", (event: WaitingEvent & { request: Request; respondWith(answer: Promise<Response>): void }) => {
  if (event.request.method === "GET" && new URL(event.request.url).origin === new URL(self.registration.scope).origin) event.respondWith(answered(event.request));
});
