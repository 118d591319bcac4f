import { tab } from "../basics/remember";
import type { Request } from "../wire";
import { Hearing } from "./hearing";
import type { Link, LinkEvents } from "./link";

/** What the worker is told at first. After that it is told requests, each a text as on a socket. */
export interface Begin {
  /** The bench that this tab had last, and what it is called if it begins anew. */
  bench: string;
  anew: string;
  language: string;
  program: string;
  kept: Kept | null;
}

/** A bench at rest. */
export interface Kept {
  state: string; // base 64
  log: string;
  /** The lesson that is open, "" for none. */
  lesson: string;
}

/** What the worker says besides what the bench tells, which comes as on a socket: texts and bytes. */
export type Aside = { loading: number } | { kept: Kept } | { failed: string };

const FIRST_WAIT_S = 1;
const LONGEST_WAIT_S = 30;

/** The connection to a bench in a worker of this page. What is kept of the bench lies in the tab's storage. */
export class WorkerLink implements Link {
  private worker: Worker | null = null;
  private hearing: Hearing | null = null;
  private wait = FIRST_WAIT_S;
  private timer = 0;
  private answers = false;

  constructor(
    private readonly events: LinkEvents,
    private readonly folder: string,
  ) {
    window.addEventListener("online", () => this.tryNow());
    this.begin();
  }

  get up(): boolean {
    return this.answers;
  }

  get fresh(): boolean {
    return this.hearing?.fresh ?? false;
  }

  send(request: Request): void {
    if (this.answers) this.worker?.postMessage(JSON.stringify(request));
  }

  /** Nobody but this page has its bench. */
  again(): void {}

  tryNow(): void {
    if (this.worker) return;
    window.clearTimeout(this.timer);
    this.begin();
  }

  private begin(): void {
    const worker = new Worker(new URL(`${this.folder}worker.js`, document.baseURI), { type: "module" });
    const hearing = new Hearing(this.events, () => (this.wait = FIRST_WAIT_S));
    this.worker = worker;
    this.hearing = hearing;
    worker.onmessage = ({ data }: MessageEvent<string | ArrayBuffer | Aside>) => {
      if (typeof data === "string" || data instanceof ArrayBuffer) {
        if (!this.answers) {
          this.answers = true;
          this.events.up();
        }
        hearing.take(data);
      } else if ("loading" in data) this.events.loading(data.loading);
      else if ("kept" in data) tab.kept = JSON.stringify(data.kept);
      else this.fail(worker, data.failed);
    };
    worker.onerror = ({ message }) => this.fail(worker, message ?? "");
    const begin: Begin = {
      bench: tab.bench,
      anew: crypto.randomUUID?.() ?? String(Math.random()),
      language: document.documentElement.lang,
      program: document.documentElement.dataset["program"] ?? "",
      kept: tab.kept === "" ? null : (JSON.parse(tab.kept) as Kept),
    };
    worker.postMessage(begin);
  }

  /** The worker has ended: another one goes on where the arm stood last. */
  private fail(worker: Worker, why: string): void {
    if (this.worker !== worker) return;
    console.error(why);
    worker.terminate();
    this.worker = null;
    this.answers = false;
    this.events.down(this.wait, "");
    this.timer = window.setTimeout(() => this.begin(), this.wait * 1000);
    this.wait = Math.min(this.wait * 2, LONGEST_WAIT_S);
  }
}
