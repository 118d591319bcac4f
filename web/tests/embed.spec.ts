// The page in a frame of another page, as the docs show it: from a server that lets that page show it, and from a site. What is
// played is driven to its end, frames in one page do not take each other's arm, and nothing is kept.
import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, type Frame, type Page } from "@playwright/test";
import { test } from "./bench";

const port = Number(process.env["PORT"] ?? 18080);
const [at, served, site] = [port + 8, port + 9, port + 10];
const here = fileURLToPath(new URL("..", import.meta.url));
const root = join(here, "test-results", "embed");
const handrule = join(here, "..", "bin", "handrule");
const example = /```html\n([^]*?)```/.exec(readFileSync(join(here, "..", "docs", "at-home.md"), "utf8"))![1]!;
const shown = (address: string, more = ""): string => `<!doctype html><title>A handout</title>${example.replaceAll("https://college.example/arm/", address)}${more}`;
const pages: Record<string, string> = {};
const children: ChildProcess[] = [];
let host: Server;

test.describe.configure({ mode: "serial" });

test.beforeAll(async () => {
  rmSync(root, { recursive: true, force: true });
  mkdirSync(join(root, "own", "jogs"), { recursive: true });
  writeFileSync(join(root, "own", "jogs", "down.txt"), "base z -20\n");
  execFileSync(handrule, ["site", join(root, "site"), join(root, "own")]);
  children.push(
    spawn(handrule, ["serve", "--listen", `127.0.0.1:${served}`, "--key", join(root, "key.pem"), "--new-key", "--data", "none", "--frame-ancestors", `http://127.0.0.1:${at}`, join(root, "own")], { stdio: "ignore" }),
    spawn("node", [join(here, "tests", "static-server.mjs"), join(root, "site"), String(site)], { stdio: "ignore" }),
  );
  for (const one of [served, site]) await expect.poll(async () => (await fetch(`http://127.0.0.1:${one}/`).catch(() => null))?.ok).toBe(true);
  host = createServer((request, response) => void response.writeHead(200, { "content-type": "text/html; charset=utf-8" }).end(pages[request.url!] ?? ""));
  await new Promise<void>((done) => void host.listen(at, "127.0.0.1", done));
});

test.afterAll(() => {
  host.close();
  for (const child of children) child.kill();
});

const inside = async (page: Page, part: string): Promise<Frame> => {
  await expect.poll(() => page.frames().some((f) => f.url().includes(part))).toBe(true);
  const frame = page.frames().find((f) => f.url().includes(part))!;
  // A site's first visit compiles the program. A frame that is not in sight draws no pictures to ask at.
  await frame.waitForFunction(() => (window as any).handrule?.state, null, { timeout: 60_000, polling: 100 });
  return frame;
};
const tcp = (frame: Frame): Promise<number[]> => frame.evaluate(() => (window as any).handrule.state.tcp.position_mm);
const keeps = (frame: Frame): Promise<unknown> =>
  frame.evaluate(async () => [...Object.keys(localStorage), ...Object.keys(sessionStorage), document.cookie, (await navigator.serviceWorker?.getRegistrations())?.length, (await caches.keys()).length]);

for (const [name, port, own] of [["a server", served, "es"], ["a site", site, "es.html"]] as const) {
  test(`the docs' frame of ${name} plays its jogs, beside another with a file and one with a lesson`, async ({ page }) => {
    const address = `http://127.0.0.1:${port}/`;
    const other = (query: string, hash: string): string => `<iframe src="${address}${query}${hash.replaceAll("&", "&amp;")}" width="700" height="500"></iframe>`;
    pages[`/${own}`] = shown(address, other(own === "es" ? "?embed=1&amp;lang=es" : "es.html?embed=1", "#/arm/wren?joints=0,0,0,0,90,0&play=down.txt") + other("?embed=1", "#/lessons/first-straight-line/2"));
    await page.goto(`http://127.0.0.1:${at}/${own}`);
    const [docs, file, lesson] = await Promise.all([inside(page, "jogs="), inside(page, "play=down.txt"), inside(page, "first-straight-line")]);

    const before = await tcp(docs);
    await docs.locator("#player-play").click();
    await expect(docs.locator("#player-says")).toHaveText("All done.");
    const after = await tcp(docs);
    expect(after.map((mm, i) => Math.round((mm - before[i]!) * 1e6) / 1e6 + 0)).toEqual([0, 80, -60]);
    await docs.locator("#player-play").click(); // again from where it began
    await docs.waitForFunction(() => (window as any).handrule.state.moving);
    // What is said of the first time may stand for a moment. The address has the joints to 0.0001 degrees.
    await expect.poll(async () => Math.max(...(await tcp(docs)).map((mm, i) => Math.abs(mm - after[i]!)))).toBeLessThan(0.0005);
    await expect(docs.locator("#player-says")).toHaveText("All done.");

    const high = (await tcp(file))[2]!;
    await file.locator("#player-play").click();
    await expect(file.locator("#player-says")).toHaveText("Terminado.");
    expect((await tcp(file))[2]! - high).toBeCloseTo(-20, 6);

    await expect(lesson.locator("#lesson-steps [aria-current=step]")).toHaveText("2");
    await expect(lesson.locator(".in-frame-kept")).toBeVisible();
    for (const frame of [docs, file, lesson]) {
      await expect(frame.locator("#drawers")).toBeHidden();
      expect(await keeps(frame)).toEqual(["", 0, 0]);
    }
    await lesson.locator("#whole").focus();
    expect(await lesson.locator("#whole").getAttribute("href")).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/(en\.html)?#\/lessons\/first-straight-line\/2$/);
  });
}
