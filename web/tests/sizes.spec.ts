// Every drawer at every size, in both languages, light and dark: nothing is cut off, hidden, or over another.
import { expect } from "@playwright/test";
import { axe } from "./axe";
import { faults } from "./layout";
import { ready, settled, test } from "./bench";

const sizes = [[1280, 720], [1366, 768], [1920, 1080], [390, 844], [768, 1024]] as const;
const drawers = ["", "setup", "look", "measure", "compare", "predict", "record"] as const;
const schemes = ["light", "dark"] as const;
const languages = ["en", "es"] as const;

/** Sizes, drawers and schemes of one language: all of them in a thorough run, else so many that every two meet in one language or the other. */
const combinations = (language: number) =>
  sizes.flatMap((size, s) =>
    drawers.flatMap((drawer, d) =>
      schemes.flatMap((scheme, c) => {
        const all = !!process.env["THOROUGH"];
        return all || ((s + d) % 2 === language && (Math.floor(s / 2) + d) % 2 === c) ? [{ size, drawer, scheme }] : [];
      }),
    ),
  );

test("every two of size, drawer, language and scheme meet", () => {
  const met = new Set<string>();
  languages.forEach((language, l) => {
    for (const { size, drawer, scheme } of combinations(l)) {
      const all = [`size ${size[0]}`, `drawer ${drawer}`, `language ${language}`, `scheme ${scheme}`];
      for (const a of all) for (const b of all) met.add(`${a}, ${b}`);
    }
  });
  const values = [sizes.map(([w]) => `size ${w}`), drawers.map((d) => `drawer ${d}`), languages.map((l) => `language ${l}`), schemes.map((s) => `scheme ${s}`)];
  for (const [i, some] of values.entries()) for (const others of values.slice(i + 1)) for (const a of some) for (const b of others) expect(met, `${a} with ${b}`).toContain(`${a}, ${b}`);
});

for (const [l, language] of languages.entries()) {
  test(`${language}: every drawer at every size, light and dark`, async ({ page }) => {
    await page.addInitScript(() => localStorage.setItem("handrule-guide", "seen"));
    await page.goto(`/?lang=${language}`);
    await ready(page);
    for (const { size, drawer, scheme } of combinations(l)) {
      const [width, height] = size;
      await page.setViewportSize({ width, height });
      await page.emulateMedia({ colorScheme: scheme });
      await expect(page.locator("html")).toHaveAttribute("data-theme", scheme);
      const out = () => page.evaluate(() => document.body.dataset["drawer"] ?? "");
      // On a phone a press on the tab of what is out and not in sight brings it up; the next closes it.
      for (let now = await out(); now !== drawer; now = await out()) await page.locator(`[data-opens=${drawer || now}]`).click();
      await settled(page);
      const where = `${width}×${height}, ${drawer || "no drawer"}, ${scheme}`;
      expect(await faults(page), where).toEqual([]);
      // The picture keeps a part that nothing covers, and the tip is in it.
      const free = await page.evaluate(() => (window as any).handrule.view.free);
      expect(free.right - free.left, where).toBeGreaterThan(Math.min(300, width * 0.3));
      expect(free.bottom - free.top, where).toBeGreaterThan(150);
    }
  });
}

/**
 * What is looked at with axe, in one language: in a thorough run everything at every size in both schemes, else so many that every two of size, language and
 * scheme meet, each with another part of the page.
 */
const parts = [...drawers, "lesson"] as const;
const looks = (language: number) =>
  sizes.flatMap((size, s) =>
    parts.flatMap((part, p) =>
      schemes.flatMap((scheme, c) => (!!process.env["THOROUGH"] || ((s + language) % 2 === c && (2 * s + language) % parts.length === p) ? [{ size, part, scheme }] : [])),
    ),
  );

test("for axe every two of size, language and scheme meet, and every part of the page is in one of them", () => {
  const all = languages.flatMap((language, l) => looks(l).map(({ size, part, scheme }) => ({ language, size: size[0], part, scheme })));
  const pairs = (a: "language" | "size" | "scheme", b: "language" | "size" | "scheme") => new Set(all.map((look) => `${look[a]} ${look[b]}`)).size;
  expect([pairs("size", "language"), pairs("size", "scheme"), pairs("language", "scheme")]).toEqual([10, 10, 4]);
  expect(new Set(all.map(({ part }) => part)).size).toBe(parts.length);
});

for (const [l, language] of languages.entries()) {
  test(`${language}: axe finds nothing at any size, light and dark`, async ({ page }) => {
    await page.addInitScript(() => localStorage.setItem("handrule-guide", "seen"));
    await page.goto(`/?lang=${language}`);
    await ready(page);
    const found: string[] = [];
    for (const { size, part, scheme } of looks(l)) {
      const [width, height] = size;
      await page.setViewportSize({ width, height });
      await page.emulateMedia({ colorScheme: scheme });
      await expect(page.locator("html")).toHaveAttribute("data-theme", scheme);
      const lesson = part === "lesson" ? "the-right-hand" : "";
      const choice = page.locator("#lesson-choice");
      if (lesson && (await choice.inputValue()) !== lesson) await page.evaluate((id) => (location.hash = `#/lessons/${id}/1`), lesson); // a phone has no choice before one is open
      else if ((await choice.inputValue()) !== lesson) await choice.selectOption(lesson);
      await expect(choice).toHaveValue(lesson);
      const out = await page.evaluate(() => document.body.dataset["drawer"] ?? "");
      const drawer = lesson ? "" : part;
      if (out !== drawer) await page.locator(`[data-opens=${drawer || out}]`).click();
      await settled(page);
      for (const fault of await axe(page)) found.push(`${width}×${height}, ${part || "no drawer"}, ${scheme}: ${fault}`);
    }
    expect(found).toEqual([]);
  });
}
