// Keeps the files of the learner's own meshes on this device, beside the arm file that is kept. "Not me" forgets them (basics/remember.ts).
import { embedded, KEPT_FILES } from "../basics/remember";

const STORE = "files";
const KEY = "own-arm";

/** Keeps these files instead of those before. Where nothing can be kept they last as long as the page. */
export async function keep(files: ReadonlyMap<string, Blob>): Promise<void> {
  await ask("readwrite", (store) => store.put(files, KEY));
}

export async function keptFiles(): Promise<ReadonlyMap<string, Blob>> {
  const found = await ask("readonly", (store) => store.get(KEY));
  return found instanceof Map ? (found as Map<string, Blob>) : new Map<string, Blob>();
}

async function ask(mode: IDBTransactionMode, what: (store: IDBObjectStore) => IDBRequest): Promise<unknown> {
  if (embedded) return null;
  try {
    const opening = indexedDB.open(KEPT_FILES, 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore(STORE);
    const base = (await answer(opening)) as IDBDatabase;
    base.onversionchange = () => base.close();
    try {
      return await answer(what(base.transaction(STORE, mode).objectStore(STORE)));
    } finally {
      base.close();
    }
  } catch {
    return null; // nothing is kept here
  }
}

const answer = (request: IDBRequest): Promise<unknown> =>
  new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(new Error("nothing is kept here"));
  });
