// A site without a server: a folder of files from a web host that knows nothing of Go, below a path. Checked are what only a site has: its
// start from packed and plain files, what it keeps, the network off, an update, a frame around it, a file.
import { execFileSync, spawn, type ChildProcess } from "node:child_process";
import { cpSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { join } from "node:path";
import { expect, type Page } from "@playwright/test";
import { frame, jogButton, putAway, ready, stands, state, test, withoutPixels, titleOf } from "./bench";
import { arm, choosing, files } from "./tern";

const port = Number(process.env["PORT"] ?? 18080) + 4; // authoring has +1, the course +2, the assessment +3
const here = fileURLToPath(new URL("..", import.meta.url));
const root = join(here, "test-results", "site");
const site = (below: string): string => `http://127.0.0.1:${port}/college/${below}/`;
let host: ChildProcess;
/** What the host has sent. */
const sends: string[] = [];

/** Writes a site into a folder of the host, with a lesson of one's own where there is one. */
function write(name: string, lesson = ""): void {
  const own = join(here, "test-results", `own-${name}`);
  rmSync(own, { recursive: true, force: true });
  mkdirSync(own, { recursive: true });
  if (lesson) writeFileSync(join(own, "own.yaml"), lesson);
  execFileSync(join(here, "..", "bin", "handrule"), ["site", join(root, name), own]);
}

test.describe.configure({ mode: "serial" });

test.beforeAll(async () => {
  rmSync(root, { recursive: true, force: true });
  mkdirSync(root, { recursive: true });
  write("arm");
  host = spawn("node", [join(here, "tests", "static-server.mjs"), root, String(port), "/college/"], { stdio: ["ignore", "pipe", "inherit"] });
  host.stdout!.on("data", (lines) => sends.push(String(lines)));
  await new Promise((resolve) => host.stdout!.once("data", resolve));
});

test.afterAll(() => void host.kill());

/** Fails where the page asks anybody but its host for anything, or says that something is wrong. */
function watch(page: Page): string[] {
  const wrong: string[] = [];
  page.on("request", (request) => {
    if (!/^(http:\/\/127\.0\.0\.1:\d+\/college\/|blob:|data:)/.test(request.url())) wrong.push(request.url());
  });
  page.on("pageerror", (error) => wrong.push(error.message));
  page.on("console", (message) => message.type() === "error" && wrong.push(message.text()));
  return wrong;
}

/** How long the log of the bench is that the tab keeps. */
const keptLog = (page: Page): Promise<number> => page.evaluate(() => (JSON.parse(sessionStorage.getItem("handrule-kept") ?? "{}") as { log?: string }).log?.length ?? 0);

test("below a path the arm is jogged, a lesson opens by its address, and all is found again after a reload", async ({ page }) => {
  const wrong = watch(page);
  await page.goto(`${site("arm")}#/arm/wren?joints=0,0,0,0,90,0`);
  await ready(page);
  await frame(page, "base");
  const before = (await state(page)).tcp.position_mm[2];
  const logBefore = await keptLog(page);
  await stands(page, () => jogButton(page, 2, 1).click());
  expect((await state(page)).tcp.position_mm[2] - before).toBeCloseTo(10, 6);
  await expect(jogButton(page, 2, 1).locator(".room")).toHaveText(/^\d+ mm$/);
  // It is kept with the jog once the log that is kept has grown.
  await expect.poll(() => keptLog(page)).toBeGreaterThan(logBefore);
  await page.reload();
  await ready(page);
  expect((await state(page)).tcp.position_mm[2] - before).toBeCloseTo(10, 6);
  await page.locator("#plot-switch").click(); // which was closed during the jog
  await expect(page.locator("[data-of=frame] .plot-works")).toContainText("of 6 joints turned");
  await page.locator("#plot-close").click();

  await page.goto(`${site("arm")}#/lessons/assessment`);
  await expect(page.locator("#lesson-practice")).toContainText("nobody signs");
  const seed = await page.locator("#lesson-seed").inputValue();
  await page.waitForFunction(() => (JSON.parse(sessionStorage.getItem("handrule-kept") ?? "{}") as { lesson?: string }).lesson === "assessment");
  await page.reload();
  await expect(page.locator("#lesson-practice")).toBeVisible();
  await expect(page.locator("#lesson-seed")).toHaveValue(seed);
  expect(wrong).toEqual([]);
});

test("the first page leads to the language that is preferred, and the chooser to another", async ({ browser }) => {
  const page = await browser.newPage({ locale: "es-MX" });
  await withoutPixels(page);
  await page.goto(`${site("arm")}#/lessons`);
  await expect(page).toHaveURL(`${site("arm")}es.html#/lessons`);
  await page.locator("#lessons-close").click();
  await page.locator("#language").evaluate((select: HTMLSelectElement) => {
    select.value = "en";
    select.dispatchEvent(new Event("change"));
  });
  await expect(page.locator("html")).toHaveAttribute("lang", "en");
  await page.goto(site("arm"));
  await expect(page).toHaveURL(site("arm")); // English was chosen.
  await page.close();
});

test("once it is put away all of it is there with the network off: every lesson, another arm and cell and language, what reads URDF files", async ({ page, context }) => {
  test.slow(); // The reader's program is compiled.
  await page.goto(`${site("arm")}#/arm/wren`);
  await ready(page);
  await putAway(page);
  const client = await context.newCDPSession(page);
  expect((await client.send("Page.getInstallabilityErrors")).installabilityErrors.map((e) => e.errorId)).toEqual([]);
  await context.setOffline(true);
  const wrong = watch(page);
  await page.reload();
  await ready(page);
  const lessons = await page.locator("#lesson-choice option").evaluateAll((options) => options.map((o) => [(o as HTMLOptionElement).value, o.textContent!] as const).filter(([id]) => id !== ""));
  expect(lessons.length).toBeGreaterThan(17);
  for (const [id, title] of lessons) {
    await page.locator("#lesson-choice").selectOption(id);
    await expect(page.locator("#lesson summary h2").first()).toHaveText(titleOf(title));
  }
  await page.evaluate(() => (location.hash = "#/arm/curlew?cell=glazing-bench"));
  await page.waitForFunction(() => (({ setup }) => setup.arm === "curlew" && setup.cell === "glazing-bench")((window as any).handrule));
  await choosing(page, `${site("arm")}#/arm/wren`);
  await page.locator("#own-arm-file").setInputFiles([arm, ...files]);
  await expect(page.locator("#own-arm-notes")).toContainText("meshes that are drawn: 7", { timeout: 120_000 });
  await page.goto(`${site("arm")}es.html#/lessons/two-ways`);
  await expect(page.locator("html")).toHaveAttribute("lang", "es");
  await expect(page.locator("#lesson summary h2").first()).toHaveText("Dos maneras de llegar al mismo lugar");
  expect(wrong).toEqual([]);
});

test("a newer site is taken up whole when it is opened next, and what was done stays", async ({ page, context }) => {
  write("update");
  await page.goto(`${site("update")}#/lessons/the-right-hand`);
  await ready(page);
  await putAway(page);
  await page.locator('#lesson-task input[value="1"]').check();
  await page.locator("#task-answer").click();
  const done = page.locator(".step").first();
  await expect(done).toHaveClass(/done/);
  const version = (of = page): Promise<string | null> => of.locator("html").getAttribute("data-program");
  const first = await version();

  write("update", "title: Own\narm: wren\nstages:\n  - title: One\n    text: Look.\n");
  await page.evaluate(async () => (await navigator.serviceWorker.ready).update());
  await expect.poll(() => page.evaluate(async () => (await navigator.serviceWorker.ready).waiting !== null)).toBe(true);
  expect(await version()).toBe(first);
  // Beside this page another one has its version too.
  const beside = await context.newPage();
  await beside.goto(`${site("update")}#/arm/wren`);
  await ready(beside);
  expect(await version(beside)).toBe(first);
  await beside.close();
  await page.evaluate(() => sessionStorage.clear()); // as in another tab on another day, which has no bench to go on with
  // For a moment a browser may still count the page that was closed; then the next opening takes it up.
  await expect(async () => {
    await page.reload();
    await page.waitForFunction((old) => document.documentElement.dataset["program"] !== old, first, { timeout: 10_000 });
  }).toPass();
  await ready(page);
  await expect(page.locator("#lesson-choice option", { hasText: "Own" })).toHaveCount(1);
  await expect(done).toHaveClass(/done/);
});

test("a host that packs nothing sends the packed program all the same; a frame on another page holds the site", async ({ page }) => {
  cpSync(join(root, "arm"), join(root, "plain"), { recursive: true, filter: (file) => !file.endsWith(".br") && (!file.endsWith(".gz") || file.endsWith("bench.wasm.gz")) });
  mkdirSync(join(root, "frame"), { recursive: true });
  writeFileSync(join(root, "frame", "index.html"), `<!doctype html><title>A college</title><iframe src="../plain/index.html#/arm/wren" width="1200" height="700"></iframe>`);
  const sent = sends.length;
  await page.goto(site("frame"));
  const inside = page.frames().find((f) => f.url().includes("/plain/"))!;
  await inside.waitForFunction(() => (window as any).handrule?.state);
  await inside.locator(".jog").first().click();
  await inside.waitForFunction(() => (window as any).handrule.state.tick > 0);
  expect(sends.slice(sent).join("\n")).toMatch(/\/plain\/.*bench\.wasm\.gz plain/);
});

test("while the program comes a bar tells how much of it is here", async ({ page }) => {
  cpSync(join(root, "arm"), join(root, "held"), { recursive: true });
  await page.goto(`${site("held")}#/arm/wren`);
  const bar = page.locator("#link-come");
  await expect(bar).toBeVisible();
  const come = await bar.evaluate((e: HTMLProgressElement) => e.value / e.max);
  expect(come).toBeGreaterThan(0);
  expect(come).toBeLessThan(1);
  await page.evaluate(() => fetch("go-on"));
  await ready(page);
  await expect(bar).toBeHidden();
});

test("opened as a file it says in a sentence how to open it", async ({ page }) => {
  await page.goto(`file://${join(root, "arm", "index.html")}`);
  await expect(page.locator(".from-file")).toBeVisible();
  await expect(page.locator(".from-file")).toContainText("handrule serve");
  expect(readFileSync(join(root, "arm", "es.html"), "utf8")).toContain("handrule serve");
});
