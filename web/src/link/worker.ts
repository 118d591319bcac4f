// The worker that a bench of the page's own runs in: Go compiled to WebAssembly (cmd/handrule-alone). It hears requests as texts and posts
// what the bench tells, as a socket would; it lets the arm's ticks run by the clock, and thinks about long questions in between.
import "go-exec";
import type { Aside, Begin } from "./alone";
import { counted, fetchProgram } from "./download";

/** What the Go program offers; see cmd/handrule-alone. */
interface Bench {
  begin(catalog: string, language: string): string | null;
  lacks(lesson: string): boolean;
  read(lesson: string): string | null;
  connect(bench: string, anew: string, program: string, state: Uint8Array | null, log: Uint8Array | null): void;
  ask(request: string): boolean;
  complain(message: string): void;
  frame(late: number): boolean;
  think(): boolean;
  moves(): boolean;
  asks(): boolean;
  keep(): { state: Uint8Array; log: Uint8Array; lesson: string } | null;
}

/** What of the worker's global scope is used, and what the Go program uses. */
interface Scope {
  postMessage(message: unknown, transfer?: Transferable[]): void;
  onmessage: (event: MessageEvent<string | Begin>) => void;
  told: (message: string | Uint8Array<ArrayBuffer>) => void;
  begun: () => void;
  bench: Bench;
}

const self = globalThis as unknown as Scope;

const FRAME_MS = 1000 / 60;
/** The first frame of a motion comes sooner: after two ticks of the arm. */
const FIRST_MS = 8;
/** Thinking goes on for so long before whatever else waits has its turn. */
const SLICE_MS = 4;
/** The bench is written down when it has stood still and nothing was asked for so long. */
const KEEP_AFTER_MS = 40;

/** How large the program is, for the bar that shows how much of it has come. The site's writer knows it. */
const programSize = fetch(new URL("catalog.json", import.meta.url)).then(async (answer) => {
  if (!answer.ok) throw new Error(`catalog.json: ${answer.status}`);
  const text = await answer.text();
  return { text, bytes: (JSON.parse(text) as { program_bytes: number }).program_bytes };
});

const aside = (what: Aside): void => self.postMessage(what);

self.told = (message) => {
  if (typeof message === "string") self.postMessage(message);
  else self.postMessage(message.buffer, [message.buffer]);
};

/** Requests that wait until a lesson is there. */
let waiting: string[] | null = [];

let due = 0; // when the next frame should be told, ms
let ticking: ReturnType<typeof setTimeout> | 0 = 0;
let keeping: ReturnType<typeof setTimeout> | 0 = 0;
const turn = new MessageChannel(); // brings this worker back after all that waits now
let thinks = false;

/** Tells frames as they are due, for as long as the arm moves. */
function frames(): void {
  ticking = 0;
  const now = performance.now();
  if (now >= due) {
    const moves = self.bench.frame(now - due);
    due += FRAME_MS;
    if (due < now) due = now + FRAME_MS; // Frames that were missed are left out.
    if (!moves) {
      keep(); // at once: a page that is loaded anew now finds the arm where it was seen to stand
      return rest();
    }
  }
  ticking = setTimeout(frames, Math.max(0, due - performance.now()));
}

/** Sets going what is needed after anything was done. */
function after(moves: boolean): void {
  if (moves && ticking === 0) {
    due = performance.now() + FIRST_MS;
    ticking = setTimeout(frames, FIRST_MS);
  }
  rest();
}

function rest(): void {
  if (!thinks && self.bench.asks()) {
    thinks = true;
    turn.port2.postMessage(null);
  }
  clearTimeout(keeping);
  keeping = setTimeout(keep, KEEP_AFTER_MS);
}

/** Thinks for a while, but not past the next frame. */
turn.port1.onmessage = () => {
  thinks = false;
  const until = Math.min(performance.now() + SLICE_MS, ticking === 0 ? Infinity : due);
  let more = true;
  do more = self.bench.think();
  while (more && performance.now() < until);
  if (ticking !== 0 && performance.now() >= due) {
    clearTimeout(ticking);
    frames();
  }
  after(self.bench.moves());
};

function keep(): void {
  if (self.bench.moves()) return; // It is kept when the arm stands.
  const kept = self.bench.keep();
  if (kept) aside({ kept: { state: toBase64(kept.state), log: toBase64(kept.log), lesson: kept.lesson } });
}

self.onmessage = ({ data }) => {
  if (typeof data !== "string") void begin(data).catch((error: unknown) => aside({ failed: String(error) }));
  else if (waiting) waiting.push(data);
  else ask(data);
};

function ask(request: string): void {
  const lesson = request.startsWith('{"type":"lesson"') ? (JSON.parse(request) as { id: string }).id : "";
  if (lesson !== "" && self.bench.lacks(lesson)) {
    waiting = [];
    void fetchLesson(lesson)
      .catch((error: unknown) => self.bench.complain(String(error)))
      .then(() => {
        after(self.bench.ask(request));
        const missed = waiting ?? [];
        waiting = null;
        // What moves the arm was asked of an arm that is gone.
        for (const text of missed) if (!/^{"type":"(hold|step)"/.test(text)) ask(text);
      });
    return;
  }
  after(self.bench.ask(request));
}

async function fetchLesson(id: string): Promise<void> {
  const answer = await fetch(new URL(`lessons/${encodeURIComponent(id)}.json`, import.meta.url));
  if (!answer.ok) throw new Error(`lessons/${id}.json: ${answer.status}`);
  const wrong = self.bench.read(await answer.text());
  if (wrong) throw new Error(wrong);
}

/** Fetches the program and begins. */
async function begin({ bench, anew, language, program, kept }: Begin): Promise<void> {
  const go = new Go();
  const begun = new Promise<void>((resolve) => (self.begun = resolve));
  const answer = fetchProgram(new URL("bench.wasm", import.meta.url));
  const catalog = await programSize;
  const whole = counted(await answer, (bytes) => aside({ loading: Math.min(1, bytes / catalog.bytes) }));
  const { instance } = await WebAssembly.instantiateStreaming(whole, go.importObject);
  void go.run(instance).finally(() => aside({ failed: "the bench has ended" }));
  await begun;
  const wrong = self.bench.begin(catalog.text, language);
  if (wrong) throw new Error(wrong);
  let from = kept;
  if (from && from.lesson !== "" && self.bench.lacks(from.lesson)) await fetchLesson(from.lesson).catch(() => (from = null));
  self.bench.connect(bench, anew, program, bytesOf(from?.state), bytesOf(from?.log));
  after(self.bench.moves());
  const early = waiting ?? [];
  waiting = null;
  early.forEach(ask);
}

function toBase64(bytes: Uint8Array): string {
  let text = "";
  for (let i = 0; i < bytes.length; i += 0x8000) text += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
  return btoa(text);
}

const bytesOf = (text: string | undefined): Uint8Array | null => (text === undefined ? null : Uint8Array.from(atob(text), (c) => c.charCodeAt(0)));
