// Two ways to the same place beside the learner's own, in the table and in the picture.
import { expect, type Page } from "@playwright/test";
import { axe } from "./axe";
import { ask, bend, drawnWithin, open, settled, stands, state, test } from "./bench";

const cell = async (page: Page, way: string, column: string): Promise<number> =>
  Number(await page.locator(`[data-way="${way}"] [data-column="${column}"]`).textContent());

async function step(page: Page, direction: object): Promise<void> {
  await stands(page, () => ask(page, { type: "step", direction: { sign: 1, ...direction } }));
}

test("a remembered place: both ways are compared and played, and the learner's own is counted", async ({ page }) => {
  await page.setViewportSize({ width: 900, height: 640 });
  await open(page);
  await bend(page, [0, 0, 0, 0, 90, 0]);
  await ask(page, { type: "increment", mm: 60, deg: 30 });
  await page.locator("[data-ways=here]").click();
  await expect(page.locator("#ways-goal")).toContainText("Now jog away");
  await step(page, { frame: "base", axis: 1 });
  await step(page, { frame: "base", axis: 2 });
  await page.locator("[data-ways=begin]").click();
  await expect(page.locator("[data-more=straight] .ways-note")).toContainText("60 mm along −Y of the base frame");
  expect(await cell(page, "straight", "jogs")).toBe(2);
  expect(await cell(page, "straight", "path")).toBe(120);
  expect(await cell(page, "joints", "jogs")).toBeGreaterThan(2);
  expect(await cell(page, "joints", "clear")).toBeGreaterThan(0);
  expect(await axe(page, "#ways")).toEqual([]);

  // It is played while the arm stays, and nothing is drawn any more when it is over.
  const before = (await state(page)).tick;
  const replay = () => page.evaluate(() => (window as any).handrule.view.replay.playing !== null);
  await page.locator("[data-play=joints]").click();
  await expect.poll(replay).toBe(true);
  await expect.poll(replay).toBe(false);
  expect((await state(page)).tick).toBe(before);
  await settled(page);
  expect(await drawnWithin(page, 25)).toBe(0);

  await step(page, { frame: "base", axis: 2, sign: -1 });
  await expect(page.locator("[data-more=own] .ways-note")).toContainText("Counted");
  await step(page, { frame: "base", axis: 1, sign: -1 });
  await expect(page.locator("[data-more=own] .ways-note")).toHaveText("Reached.");
  expect(await cell(page, "own", "jogs")).toBe(2);
  expect(await cell(page, "own", "path")).toBe(120);
  expect(await cell(page, "own", "time")).toBeCloseTo(await cell(page, "straight", "time"), 1);
});

test("typed numbers: a way that is stopped says by what and where; reduced motion shows its end at once", async ({ page }) => {
  await page.setViewportSize({ width: 900, height: 640 });
  await page.emulateMedia({ reducedMotion: "reduce" });
  await open(page);
  await page.locator("#ways-type > summary").click();
  const y = page.locator("#ways-numbers input").nth(1);
  await expect(y).toHaveValue("0.00");
  await y.fill("60");
  await page.locator("#ways-numbers button").click();
  await expect(page.locator("[data-more=straight] .ways-note")).toContainText("stops in jog 1: wrist singularity");
  await expect(page.locator("[data-more=straight] .ways-note")).toContainText("60.00 mm away");
  await expect(page.locator("[data-more=joints] .ways-note")).toContainText("J1");
  await page.locator("[data-play=joints]").click();
  await expect.poll(() => page.evaluate(() => (window as any).handrule.view.replay.arm.object.visible)).toBe(true);
  expect(await page.evaluate(() => (window as any).handrule.view.replay.playing)).toBeNull();
  await page.locator("[data-ways=clear]").click();
  await expect(page.locator("#ways-table")).toBeHidden();
});
