// A lesson that counts, on the page: its rules, its time, its tries, and handing it in at any time.
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, type Page } from "@playwright/test";
import { axe } from "./axe";
import { chooseLesson, open, test } from "./bench";
import { serveFolder, type Served } from "./folder";

test.use({ viewport: { width: 1000, height: 700 } });

let served: Served;

test.beforeEach(async () => {
  served = await serveFolder(3, { "quick.yaml": lesson });
});

test.afterEach(() => served.stop());

const lesson = `title: A quick one
arm: wren
start_deg: [0, 0, 0, 0, 90, 0]
assessment: {minutes_allowed: 2, ask_for: [name, number]}
stages:
  - {title: Height, text: Look at the pen., points: 3, read: {measure: z, tolerance: 0.1}}
  - {title: Choice, text: Think., choose: {question: Which?, options: [{text: This, right: true}, {text: That}]}}
`;

const handrule = (...args: string[]): string => execFileSync("../bin/handrule", args, { encoding: "utf8", cwd: "." });

const serious = (page: Page): Promise<string[]> => axe(page, "#lesson-place");

test("its rules are told, its tries and time count, more time is given by a code, and it is handed in with a task open", async ({ page }, info) => {
  await open(page, served.address);
  await chooseLesson(page, "A quick one");
  const rules = page.locator("#assessment-rules");
  for (const text of ["2 tasks, 4 points in all.", "may be tried 2 times", "counts 50 %", "2 minutes from when you begin", "your name, your number"]) await expect(rules).toContainText(text);
  await expect(page.locator("#lesson-text")).toBeHidden();
  await expect(page.locator("#assessment-left")).toBeHidden();
  await expect(page.getByText("Press “Begin” first. Then the arm may move.")).toBeVisible();
  expect(await serious(page)).toEqual([]);

  await page.locator("#assessment-code-typed").fill("10-ada-AAAAAAAAAA");
  await page.keyboard.press("Enter");
  await expect(page.locator("#problem")).toContainText("no code for more time");
  await page.locator("#assessment-code-typed").fill(handrule("extra-time", "--key", served.key, "--for", "Ada", "--minutes", "30", join(served.dir, "quick.yaml")));
  await page.keyboard.press("Enter");
  await expect(rules).toContainText("32 minutes from when you begin");

  await page.locator("#assessment-begin").click();
  await expect(page.locator("#lesson-text")).toContainText("Look at the pen.");
  await expect(page.locator("#assessment-left")).toHaveText(/^Time left: 3[12]:\d\d$/);
  await expect(page.locator("#lesson-afresh")).toHaveAttribute("hidden"); // It goes on until it is handed in.
  await expect(page.locator("#assessment-worth")).toHaveText("Points: 3; after the first try 1.5. 2 tries are left.");
  await page.locator("#task-number").fill("0");
  await page.locator("#task-answer").click();
  await expect(page.locator("#assessment-worth")).toContainText("One try is left.");
  await page.locator("#task-number").fill("110");
  await page.locator("#task-answer").click();
  await expect(page.locator("#task-verdict")).toHaveAttribute("data-tone", "right");
  expect(await serious(page)).toEqual([]);

  await page.locator(".step").last().click();
  await expect(page.locator("#result-note")).toContainText("One task is still open and counts as not done");
  await expect(page.locator("#result-save")).toBeHidden();
  await expect(page.locator("#result-email")).toBeHidden();
  await page.locator("#result-name").fill("Zoë Ñandú");
  await page.locator("#result-number").fill("7");
  await page.locator("#result-hand-in").click();
  await expect(page.locator("#result-hand-in")).toHaveText("Hand in for good: press once more");
  const [download] = await Promise.all([page.waitForEvent("download"), page.locator("#result-hand-in").click()]);
  expect(download.suggestedFilename()).toMatch(/^quick-zoë-ñandú-[0-9a-z]+\.json$/);
  await expect(page.locator("#assessment-state")).toHaveText("Handed in: 1.5 of 4 points.");
  await expect(page.locator("#assessment-left")).toBeHidden();
  await expect(page.locator("#result-rows")).toContainText("1.5 / 3");
  expect(await serious(page)).toEqual([]);
  const file = info.outputPath("saved.json");
  await download.saveAs(file);
  expect(handrule("results", "--key", served.key, file)).toMatch(/saved\.json,yes,Zoë Ñandú,7,,A quick one,[^,]*,1\.5,4,1,1,,yes,.*,30 for ada,.*,1\.5,0$/m);
  expect(readFileSync(file, "utf8")).toContain('"began"');

  await expect(page.locator("#lesson-afresh")).not.toHaveAttribute("hidden");

  // Now the answers are shown, and nothing is taken any more.
  await page.locator(".step").first().click();
  await expect(page.locator("#task-verdict")).toContainText("110");
  await page.locator(".step").nth(1).click();
  await expect(page.locator("#task-answer")).toBeDisabled();
});

test("when the time is up it is handed in by itself", async ({ page }) => {
  await page.clock.install();
  await open(page, served.address);
  await chooseLesson(page, "A quick one");
  await page.locator("#assessment-begin").click();
  await expect(page.locator("#assessment-left")).toHaveText(/^Time left: [12]:\d\d$/);
  await page.clock.runFor(65_000); // Only the page's clock; the server's goes on as it does.
  await expect(page.locator("#assessment-said")).toHaveText("One minute is left.");
});
