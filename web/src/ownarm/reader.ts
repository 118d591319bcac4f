// Reads an arm from a URDF file and the meshes that were chosen with it, in a worker of its own. So it is done on this device, wherever the bench is: the files go
// nowhere, and the arm never waits for it. The program comes when it is first wanted.
import type { CellProblem } from "../wire";

/** What is asked of the worker. */
export interface Job {
  file: string;
  text: string;
  base: string;
  tip: string;
  forward: string;
  mount_height_mm: number;
  files: ReadonlyMap<string, Blob>; // by their paths beside the file
}

/** What was understood, as cmd/handrule-import tells it. */
export interface Answer {
  arm: string; // an arm file, "" where there is none
  notes: string[];
  problems: CellProblem[];
}

/** What the worker says: how much of its program has come, from 0 to 1; which mesh it reads; at last the answer, or why there is none: the program did not come, or it failed. */
export type Told = { loading: number } | { reading: string } | { answer: Answer } | { absent: true } | { failed: string };

export class Reader {
  private worker: Worker | null = null;

  constructor(private readonly tell: (told: Told) => void) {}

  get reads(): boolean {
    return this.worker !== null;
  }

  /** Reads a file, and leaves the one before if it is not done. */
  read(job: Job): void {
    this.stop();
    const worker = new Worker(new URL("importer.js", import.meta.url), { type: "module" });
    this.worker = worker;
    const hear = (told: Told): void => {
      if (this.worker !== worker) return;
      if ("answer" in told || "absent" in told || "failed" in told) this.stop();
      this.tell(told);
    };
    worker.onmessage = ({ data }: MessageEvent<Told>) => hear(data);
    worker.onerror = ({ message }) => hear(message ? { failed: message } : { absent: true }); // A script that does not come has no message.
    worker.postMessage(job);
  }

  /** Nobody waits for the answer any more. */
  stop(): void {
    this.worker?.terminate();
    this.worker = null;
  }
}
