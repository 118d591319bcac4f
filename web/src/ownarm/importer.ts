// The worker that reads a URDF file: Go compiled to WebAssembly (cmd/handrule-import), the same code as the command's. It reads one and is ended then, so that its
// memory is free again.
import "go-exec";
import { counted, fetchProgram } from "../link/download";
import type { Answer, Job, Told } from "./reader";

/** What of the worker's global scope is used, and what the Go program uses and sets. */
interface Scope {
  postMessage(told: Told): void;
  onmessage: (event: MessageEvent<Job>) => void;
  begun: () => void;
  importArm(job: string, read: (path: string) => Uint8Array, reading: (path: string) => void): string;
}

/** Reads files at once, which only workers may. */
declare class FileReaderSync {
  readAsArrayBuffer(blob: Blob): ArrayBuffer;
}

const self = globalThis as unknown as Scope;

/** About how large the program is, for the part of it that has come. */
const BYTES = 6e6;

self.onmessage = ({ data }) => void work(data).catch((error: unknown) => self.postMessage({ failed: error instanceof Error ? error.message : String(error) }));

/** Fetches the program; null where it does not come, or not whole. */
async function program(imports: WebAssembly.Imports): Promise<WebAssembly.Instance | null> {
  try {
    const whole = counted(await fetchProgram(new URL("import.wasm", import.meta.url)), (bytes) => self.postMessage({ loading: Math.min(1, bytes / BYTES) }));
    return (await WebAssembly.instantiateStreaming(whole, imports)).instance;
  } catch (error) {
    if (error instanceof WebAssembly.CompileError || error instanceof WebAssembly.LinkError) throw error;
    return null;
  }
}

async function work({ files, ...asked }: Job): Promise<void> {
  const go = new Go();
  const begun = new Promise<void>((resolve) => (self.begun = resolve));
  const instance = await program(go.importObject);
  if (!instance) return self.postMessage({ absent: true });
  void go.run(instance).finally(() => self.postMessage({ failed: "the reader has ended" }));
  await begun;
  const read = (path: string): Uint8Array => new Uint8Array(new FileReaderSync().readAsArrayBuffer(files.get(path)!));
  const answer = self.importArm(JSON.stringify({ ...asked, paths: [...files.keys()] }), read, (path) => self.postMessage({ reading: path }));
  self.postMessage({ answer: JSON.parse(answer) as Answer });
}
