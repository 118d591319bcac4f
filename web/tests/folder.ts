// A server of its own for a spec, with an instructor's folder.
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect } from "@playwright/test";

export interface Served {
  dir: string;
  key: string; // the file that results are signed with
  address: string;
  instructor: string; // the private link
  author: string; // the address for the one who writes the files
  save: (name: string, text: string) => void;
  /** Kills the server as a power failure does. What is returned starts it again. */
  fail: () => Promise<() => Promise<unknown>>;
  stop: () => Promise<void>;
}

/** Serves a folder of these files on a port so far above the one of the tests. What is to last is kept in a folder if that is said. */
export async function serveFolder(above: number, files: Record<string, string>, lasts = false): Promise<Served> {
  const port = Number(process.env["PORT"] ?? 18080) + above;
  const address = `http://127.0.0.1:${port}/`;
  const dir = mkdtempSync(join(tmpdir(), "handrule-own-"));
  const settings = mkdtempSync(join(tmpdir(), "handrule-settings-"));
  const key = join(settings, "key.pem");
  const save = (name: string, text: string): void => writeFileSync(join(dir, name), text);
  for (const [name, text] of Object.entries(files)) save(name, text);
  let server: ChildProcess;
  /** Starts the server, and returns what it says. */
  const start = async (...more: string[]): Promise<string> => {
    server = spawn("../bin/handrule", ["serve", "--listen", `127.0.0.1:${port}`, "--key", key, ...more, "--data", lasts ? join(settings, "data") : "none", dir], {
      stdio: ["ignore", "pipe", "ignore"],
      env: { ...process.env, XDG_CONFIG_HOME: settings }, // with an instructor's link of its own
    });
    let said = "";
    await new Promise<void>((told) => server.stdout!.on("data", (text) => /http:\S+author=\w+/.test((said += text)) && told()));
    await expect.poll(async () => (await fetch(address).catch(() => null))?.ok).toBe(true);
    return said;
  };
  const said = await start("--new-key");
  const author = /http:\S+author=\w+/.exec(said)![0];
  const instructor = /http:\S+\/teach\/\w+/.exec(said)?.[0] ?? "";
  const end = async (how: NodeJS.Signals): Promise<void> => {
    const over = once(server, "exit");
    if (server.kill(how)) await over; // else it has ended already
  };
  const fail = async (): Promise<() => Promise<unknown>> => {
    await end("SIGKILL");
    return start;
  };
  const stop = async (): Promise<void> => {
    await end("SIGTERM");
    for (const folder of [dir, settings]) rmSync(folder, { recursive: true });
  };
  return { dir, key, address, instructor, author, save, fail, stop };
}
