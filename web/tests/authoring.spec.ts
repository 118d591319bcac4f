// Writing a lesson with the page open: the instructor's folder is served, its files are edited, the page follows.
import { expect, type Page } from "@playwright/test";
import { axe } from "./axe";
import { bend, chooseLesson, jogButton, open, state, test, withoutPixels } from "./bench";
import { serveFolder, type Served } from "./folder";

test.use({ viewport: { width: 1000, height: 700 } });

let served: Served;
let address: string;
let author: string; // the address for the one who writes

test.beforeEach(async () => {
  served = await serveFolder(1, { "draft.yaml": lesson });
  ({ address, author } = served);
});

test.afterEach(() => served.stop());

const lesson = `title: A first draft
arm: wren
start_deg: [0, 0, 0, 0, 90, 0]
stages:
  - title: Look
    text: Look at the pen.
  - title: Drive
    text: Drive to the ring.
    reach: {position_mm: [320, 60, 110], tolerance_mm: 1}
`;

const save = (text: string): void => served.save("draft.yaml", text);

async function openDraft(page: Page): Promise<void> {
  await open(page, author);
  await chooseLesson(page, "A first draft");
  await expect(page.locator("#lesson-text")).toContainText("Look at the pen.");
}

test("a lesson edited while it is open: taken up, then wrong with the last good version usable, then mended; another that has never been right", async ({ page, browser }) => {
  await openDraft(page);
  await page.locator("#lesson-next").click();
  await expect(page.locator("#lesson-stage")).toContainText("Drive");
  await jogButton(page, 0, 1).click();
  await expect.poll(async () => ((now) => now.moving === null && now.joints_deg[0])(await state(page))).toBeCloseTo(5, 6);
  const joints = (await state(page)).joints_deg;

  // A learner is in the same lesson, at a machine of their own and by the address that learners have.
  const learner = await (await browser.newContext()).newPage();
  await withoutPixels(learner);
  await open(learner, address);
  await chooseLesson(learner, "A first draft");

  save(lesson.replace("Drive to the ring.", "Drive straight to the ring."));
  await expect(page.locator("#lesson-text")).toContainText("Drive straight to the ring.");
  await expect(page.locator("#lesson-stage")).toContainText("Drive");
  expect((await state(page)).joints_deg).toEqual(joints);

  save(lesson.replace("position_mm: [320, 60, 110]", "positoin_mm: [320, 60, 110]").replace("arm: wren", "arm: wern"));
  await expect(page.locator("#faults")).toBeVisible();
  await expect(page.locator("#faults-list > li")).toHaveCount(2);
  await expect(page.locator("#faults-list")).toContainText("draft.yaml:2:6");
  await expect(page.locator("#faults-list")).toContainText('did you mean "wren"');
  await expect(page.locator("#faults-list")).toContainText("draft.yaml:9:13");
  await expect(page.locator("#faults-list pre").first()).toContainText("2 | arm: wern");
  await expect(page.locator("#faults-what")).toContainText("last good version");
  await expect(page.locator("#lesson-text")).toContainText("Drive straight to the ring.");
  await expect(learner.locator("#faults")).toBeHidden();
  await expect(learner.locator("#lesson-text")).toContainText("Look at the pen.");
  expect(await learner.content()).not.toContain("wern");
  expect(await axe(page, "#faults")).toEqual([]);
  await page.locator("#lesson-back").click();
  await expect(page.locator("#lesson-text")).toContainText("Look at the pen.");
  await page.locator("#lesson-next").click();

  save(lesson.replace("[320, 60, 110]", "[320, 900, 110]"));
  await expect(page.locator("#faults-list")).toContainText("cannot be passed");
  await expect(page.locator("#faults-list > li")).toHaveCount(1);
  await expect(page.locator("#lesson-text")).toContainText("Drive to the ring.");

  save(lesson.replace("Drive to the ring.", "Mended."));
  await expect(page.locator("#faults")).toBeHidden();
  await expect(page.locator("#lesson-text")).toContainText("Mended.");

  await expect(learner.locator("#lesson-text")).toContainText("Look at the pen.");
  await expect(learner.locator("#faults")).toBeHidden();
  await expect(learner.locator("#lesson-choice option", { hasText: "A first draft" })).toHaveCount(1);

  // One that has never been right is listed, says what is wrong, and opens when it is saved right.
  served.save("new.yaml", "title: New\nstages:\n  - text: <b>bold</b>\n");
  const choice = page.locator("#lesson-choice");
  await expect(choice.locator("option", { hasText: "new (has errors)" })).toHaveCount(1);
  await expect(learner.locator("#lesson-choice option", { hasText: "new" })).toHaveCount(0);
  await chooseLesson(page, "new (has errors)");
  await expect(page.locator("#faults-what")).toContainText("opens once they are corrected");
  await expect(page.locator("#faults-list")).toContainText("arm is missing");
  await expect(page.locator("#faults-list b")).toHaveCount(0); // What a file says is text.
  served.save("new.yaml", "title: New\narm: wren\nstages:\n  - text: '**bold**'\n");
  await expect(page.locator("#lesson-text strong")).toHaveText("bold");
  await expect(page.locator("#faults")).toBeHidden();
  await expect(choice.locator("option:checked")).toHaveText(/^\d+\. New$/);
});

test("a lesson says which language it is in, until it has texts in the page's language, which are taken up at once", async ({ page }) => {
  save(lesson.replace("arm: wren", "arm: wren\nlanguage: en"));
  await open(page, `${address}?lang=es`);
  await chooseLesson(page, "A first draft");
  await expect(page.locator("#lesson-language")).toHaveText("Esta lección está en inglés.");
  await expect(page.locator("#lesson-text")).toHaveAttribute("lang", "en");

  const spanish = "title: Un primer borrador\nstages:\n  - {of: Look, title: Mire, text: Mire el rotulador.}\n";
  served.save("draft.es.yaml", spanish);
  await expect(page.locator("#lesson-text")).toContainText("Mire el rotulador.");
  await expect(page.locator("#lesson-stage")).toContainText("Mire");
  await expect(page.locator("#lesson-choice option:checked")).toHaveText(/^\d+\. Un primer borrador$/);
  await expect(page.locator("#lesson-language")).toBeHidden();

  // What the translation lacks is as in the lesson's file.
  await page.locator("#lesson-next").click();
  await expect(page.locator("#lesson-text")).toContainText("Drive to the ring.");
});

test("pose, target and view are copied from the page, pasted into a lesson, and taken by it", async ({ page, context }) => {
  await context.grantPermissions(["clipboard-read", "clipboard-write"], { origin: address });
  await open(page, address);
  await page.locator("#cell").selectOption({ label: "Glazing bench" });
  await bend(page, [-20, 10, 5, 0, 70, 15]);
  await page.locator("#read-in").selectOption("task tile");
  await page.locator("[data-look=left]").click();
  const sight = (): Promise<any> => page.evaluate(() => (window as any).handrule.view.sight);
  await expect.poll(async () => (await sight()).from_mm[1] > 1000).toBe(true); // It glides there.
  await page.locator("#view").hover();
  await page.mouse.wheel(0, 100); // The viewer's own hand ends it.
  const looks = await sight();

  const copy = async (of: string): Promise<string> => {
    await page.locator("#pieces-text").evaluate((box: HTMLTextAreaElement) => (box.value = ""));
    await page.locator(`[data-piece=${of}]`).click();
    await expect(page.locator("#pieces-text")).not.toHaveValue("");
    await expect(page.locator("#pieces-news")).toHaveText("Copied.");
    const text = await page.evaluate(() => navigator.clipboard.readText());
    expect(await page.locator("#pieces-text").inputValue()).toBe(text);
    return text;
  };
  const pose = await copy("pose");
  const target = await copy("target");
  const seen = await copy("view");
  expect(pose).toBe("start_deg: [-20, 10, 5, 0, 70, 15]\n");
  expect(target).toContain("frame: task tile");
  expect(await axe(page, "#pieces")).toEqual([]);

  const stage = (pieces: string): string => "  - text: Pasted.\n" + pieces.replace(/^/gm, "    ").trimEnd() + "\n";
  save(`title: Pasted\narm: wren\ncell: glazing-bench\nstart_deg: [0, 0, 0, 0, 90, 0]\nstages:\n${stage(target)}${stage(pose + seen)}`);
  await page.locator("[data-look=above]").click();
  await chooseLesson(page, "Pasted");
  await expect(page.locator("#lesson-text")).toContainText("Pasted.");
  await page.locator("#lesson-next").click();
  await expect.poll(async () => (await state(page)).joints_deg.map((x: number) => Math.round(x))).toEqual([-20, 10, 5, 0, 70, 15]);
  await expect.poll(async () => (await sight()).from_mm.map((x: number, i: number) => Math.abs(x - looks.from_mm[i]) < 2)).toEqual([true, true, true]);
  await expect(page.locator("#faults")).toBeHidden();
});
