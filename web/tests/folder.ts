// A server of its own for a spec, with an instructor's folder.
import { spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect } from "@playwright/test";

export interface Served {
  dir: string;
  key: string; // the file that results are signed with
  address: string;
  author: string; // the address for the one who writes the files
  save: (name: string, text: string) => void;
  stop: () => void;
}

/** Serves a folder of these files on a port so far above the one of the tests. */
export async function serveFolder(above: number, files: Record<string, string>): Promise<Served> {
  const port = Number(process.env["PORT"] ?? 18080) + above;
  const address = `http://127.0.0.1:${port}/`;
  const dir = mkdtempSync(join(tmpdir(), "handrule-own-"));
  const key = join(dir, "key.pem");
  const save = (name: string, text: string): void => writeFileSync(join(dir, name), text);
  for (const [name, text] of Object.entries(files)) save(name, text);
  const server = spawn("../bin/handrule", ["serve", "--listen", `127.0.0.1:${port}`, "--key", key, "--new-key", dir], { stdio: ["ignore", "pipe", "ignore"] });
  const author = await new Promise<string>((told) => {
    let said = "";
    server.stdout!.on("data", (text) => {
      const link = /http:\S+author=\w+/.exec((said += text))?.[0];
      if (link) told(link);
    });
  });
  await expect.poll(async () => (await fetch(address).catch(() => null))?.ok).toBe(true);
  const stop = (): void => {
    server.kill();
    rmSync(dir, { recursive: true });
  };
  return { dir, key, address, author, save, stop };
}
