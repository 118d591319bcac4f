// Axe finds nothing on any screen of the page, light and dark: each screen in one of the two in the test command, with THOROUGH=1 in both.
import { expect, type Page } from "@playwright/test";
import { axe } from "./axe";
import { drawer, ready, settled, sizes, test } from "./bench";

const go = (page: Page, hash: string): Promise<void> => page.evaluate((h) => void (location.hash = h), hash);

/** Every screen, in an order in which one comes from one to the next. */
const screens: readonly (readonly [string, (page: Page) => Promise<void>])[] = [
  ["the first steps", async (page) => await expect(page.locator("#guide")).toBeVisible()],
  ["the first steps at their end", async (page) => {
    for (let i = 0; i < 4; i++) await page.locator("#guide-skip").click(); // what was not refused goes with its refusal
    await expect(page.locator("#guide-ends")).toBeVisible();
  }],
  ...["setup", "look", "measure", "compare", "predict", "record"].map((name) => [`the drawer ${name}`, (page: Page) => drawer(page, name)] as const),
  ["the keys", async (page) => {
    await page.locator("#guide-close").click();
    await page.locator("#view").focus();
    await page.keyboard.press("?");
    await expect(page.locator("#keys")).toBeVisible();
  }],
  ["the link", async (page) => {
    await page.keyboard.press("Escape");
    await page.locator("#share").click();
    await expect(page.locator("#share-link")).toBeVisible();
  }],
  ["the lessons", async (page) => {
    await page.keyboard.press("Escape");
    await go(page, "#/lessons");
    await expect(page.locator("#lessons")).toBeVisible();
  }],
  ["a wrong answer", async (page) => {
    await go(page, "#/lessons/the-right-hand/1");
    await page.locator('#lesson-task input[value="0"]').check();
    await page.locator("#task-answer").click();
    await expect(page.locator("#task-verdict")).toBeVisible();
  }],
  ["a lesson's end", async (page) => {
    await page.locator(".step").last().click();
    await expect(page.locator("#summary-aims")).toBeVisible();
  }],
  ["an assessment before it begins", async (page) => {
    await go(page, "#/lessons/assessment");
    await expect(page.locator("#assessment-begin")).toBeVisible();
  }],
  ["the projector, with a question", async (page) => {
    await go(page, "#/lessons/the-right-hand/2");
    await expect(page.locator("#task-answer")).toBeVisible();
    await page.locator("#view").focus();
    await page.keyboard.press("p");
  }],
];

for (const [s, colorScheme] of (["light", "dark"] as const).entries()) {
  test(`${colorScheme}: axe finds nothing on any screen`, async ({ page }) => {
    await page.emulateMedia({ colorScheme, reducedMotion: "reduce" });
    await page.goto("/");
    await ready(page);
    for (const [i, [name, show]] of screens.entries()) {
      const [width, height] = sizes[Math.floor(i / 2) % sizes.length]!;
      await page.setViewportSize({ width, height });
      await show(page);
      if (!process.env["THOROUGH"] && i % 2 !== s) continue;
      await settled(page);
      expect(await axe(page), `${name}, ${width}×${height}`).toEqual([]);
    }
  });
}
