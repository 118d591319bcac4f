// What Go's own script for WebAssembly, lib/wasm/wasm_exec.js of its installation, gives to the worker.
declare module "go-exec";

declare class Go {
  readonly importObject: WebAssembly.Imports;
  /** Resolves when the program has ended. */
  run(instance: WebAssembly.Instance): Promise<void>;
}
