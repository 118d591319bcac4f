// Words of the trade explain themselves wherever they stand in a text: by mouse, by touch and from the keyboard.
import { expect, test as plain } from "@playwright/test";
import { axe } from "./axe";
import { frame, jogButton, open, test } from "./bench";
import { Terms } from "../src/basics/terms";

plain("a text has each term once, by its longest form, and in whole words only", () => {
  const terms = new Terms({
    frame: ["frame", "frames"],
    base: ["base frame"],
    axis: ["axis", "axes"],
  });
  const text = "Base frame: its axes. Axis by axis; a reframed base-frame, frames.";
  const found = terms.find(text, new Set());
  expect(found.map(({ name, at, length }) => `${name}: ${text.slice(at, at + length)}`)).toEqual(["base: Base frame", "axis: axes", "frame: frames"]);
  expect(terms.find(text, new Set(["axis", "base"])).map((f) => f.name)).toEqual(["frame"]);
  expect(new Terms({ axis: ["eje"] }).find("viajé, eje", new Set())[0]!.at).toBe(7);
});

test("a press on a word says what it means and which standard says so; Esc and a second press put that away", async ({ page }) => {
  await open(page, "/?lang=en");
  await frame(page, "base");
  await jogButton(page, 1, 1).click(); // The straight wrist refuses it.
  const words = page.locator("#term");
  const term = page.locator(".stop-numbers .term", { hasText: "axes" });
  await expect(page.locator(".stop-numbers")).toContainText("so the axes of J4 and J6 lie in one line"); // The text is as it was.
  await term.click();
  await expect(words).toBeVisible();
  await expect(words).toContainText("A joint turns about its axis");
  await expect(words).toContainText("ISO 8373");
  await expect(term).toHaveAttribute("aria-expanded", "true");
  expect(await axe(page, "#stops", "#term")).toEqual([]);
  await page.keyboard.press("Escape");
  await expect(words).toBeHidden();
  await term.click();
  await term.click();
  await expect(words).toBeHidden();
});

test("from the keyboard one word after another, and they are no stops of the Tab key", async ({ page }) => {
  await open(page, "/?lang=es");
  await page.locator("#lesson-choice").selectOption("first-straight-line");
  await expect(page.locator("#lesson-text .term").first()).toBeVisible();
  const words = page.locator("#term");
  await page.locator("#view").focus();
  await page.keyboard.press("m");
  await expect(words).toBeVisible();
  await expect(words).toContainText("con nuestras palabras");
  const first = await words.textContent();
  await page.keyboard.press("m");
  await expect(words).not.toHaveText(first!);
  await page.keyboard.press("Shift+M");
  await expect(words).toHaveText(first!);
  expect(await page.locator(".term").evaluateAll((all) => all.filter((e) => (e as HTMLElement).tabIndex >= 0).length)).toBe(0);
});

test("in headings and names of fields, too, where a press does nothing else; what is pressed as a whole has words of its own", async ({ page }) => {
  await open(page, "/?lang=en");
  const words = page.locator("#term");
  // In a panel's title it does not fold the panel, before a list it does not open it.
  await page.locator("[data-opens=measure]").click();
  const folded = page.locator("#joints");
  const openBefore = await folded.evaluate((e: HTMLDetailsElement) => e.open);
  await folded.locator("summary .term").click();
  await expect(words).toContainText("ISO");
  expect(await folded.evaluate((e: HTMLDetailsElement) => e.open)).toBe(openBefore);
  await expect(folded.locator("summary")).toHaveAttribute("aria-describedby", "term");
  await page.keyboard.press("Escape");
  await page.locator('label[data-help="set-distance"] .term').click();
  await expect(words).toBeVisible();
  await expect(page.locator("#set-distance")).not.toBeFocused();
  await page.keyboard.press("Escape");
  for (const name of ["legend", "h3", "th", "#reading-caption"]) expect(await page.locator(`${name} .term, ${name}:has(.term)`).count(), name).toBeGreaterThan(0);
  // A text of a row of boxes stays one box.
  const torn = await page.locator(".term").evaluateAll((all) => all.filter((e) => /flex|grid/.test(getComputedStyle(e.parentElement!).display)).map((e) => e.parentElement!.outerHTML.slice(0, 120)));
  expect(torn).toEqual([]);
});

for (const language of ["en", "es"]) {
  test(`${language}: whatever is pressed and has a word of the trade for a name explains itself`, async ({ page }) => {
    await open(page, `/?lang=${language}`);
    const forms = JSON.parse((await page.locator("#glossary").textContent())!) as Record<string, string[]>;
    const named = await page.locator("button, label:has([type=radio], [type=checkbox])").evaluateAll((all) =>
      all.filter((e) => !e.closest("[data-help], [title], #lesson-task")).map((e) => (e as HTMLElement).textContent!.replace(/\s+/g, " ").trim()),
    );
    const terms = new Terms(forms);
    // The switch of the explanations says in its own words what it does.
    expect(named.filter((text) => terms.find(text, new Set()).length > 0)).toEqual([]);
  });
}

test("a text in another language than the page is read in its own, and explained in the page's", async ({ page }) => {
  await open(page, "/?lang=es");
  await page.evaluate(() => {
    const text = document.createElement("p");
    text.lang = "en";
    text.id = "other";
    text.textContent = "Jog along Z of the base frame until the tip touches.";
    document.querySelector(".safety")!.before(text);
  });
  const term = page.locator("#other .term", { hasText: "base frame" });
  await expect(term).toBeAttached();
  await term.evaluate((e) => e.click());
  await expect(page.locator("#term strong")).toHaveText("sistema base");
});

test.describe("by touch", () => {
  test.use({ hasTouch: true, viewport: { width: 390, height: 844 } });
  test("a tap explains a word, also in an explanation", async ({ page }) => {
    await open(page, "/?lang=en#/lessons/first-straight-line/1");
    const term = page.locator("#lesson-text .term").first();
    await term.tap();
    await expect(page.locator("#term")).toBeVisible();
    const box = (await page.locator("#term").boundingBox())!;
    expect(box.x).toBeGreaterThanOrEqual(0);
    expect(box.x + box.width).toBeLessThanOrEqual(390);
  });
});
