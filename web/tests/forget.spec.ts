// "Forget my name and progress": what a shared computer keeps of somebody is gone afterwards.
import { expect, type Page } from "@playwright/test";
import { ready, test } from "./bench";

/** All that the browser keeps for the page: its storages, databases, caches and cookies. */
const kept = (page: Page): Promise<Record<string, string>> =>
  page.evaluate(async () => {
    const all: Record<string, string> = {};
    for (const [where, storage] of [["local", localStorage], ["session", sessionStorage]] as const) for (const key of Object.keys(storage)) all[`${where} ${key}`] = storage.getItem(key)!;
    for (const { name } of await indexedDB.databases()) all[`database ${name}`] = "";
    for (const name of await caches.keys()) all[`cache ${name}`] = "";
    for (const cookie of document.cookie.split("; ").filter(Boolean)) all[`cookie ${cookie.split("=")[0]}`] = cookie.split("=")[1]!;
    return all;
  });

test("it forgets name, progress, address, seat in a class, language and choices, and the next one begins as on a first visit", async ({ page }) => {
  await page.goto("/");
  await ready(page);
  await expect(page.locator("#guide")).toBeVisible();
  const first = await kept(page);
  // Somebody uses it: another language and theme, a lesson with progress, inches, a name.
  await page.locator("#guide-close").click();
  await page.locator("#theme").click();
  await page.locator("[data-opens=setup]").click();
  await page.locator("#language").selectOption("es");
  await expect(page.locator("html")).toHaveAttribute("lang", "es");
  await ready(page);
  await page.locator("input[name=unit][value=inch]").check({ force: true });
  await page.goto("/#/lessons/joints-one-at-a-time");
  await expect(page.locator("#lesson-place")).toBeVisible();
  await expect.poll(async () => Object.keys(await kept(page)).some((key) => key.includes("progress"))).toBe(true);
  // A name, and a seat in a class as src/class/seat.ts keeps it.
  await page.evaluate(() => Object.assign(localStorage, { "handrule-learner": "Ada Example", "handrule-class": "AB12CD", "handrule-class-token-AB12CD": "of-this-learner" }));
  const { bench } = await page.evaluate(() => ({ bench: sessionStorage.getItem("handrule-bench") }));
  const used = Object.keys(await kept(page));
  expect(used).toEqual(expect.arrayContaining(["cookie handrule-language", "local handrule-class", "local handrule-class-token-AB12CD"]));
  await page.locator("[data-opens=setup]").click();
  await page.locator("#setup [data-forget]").click();
  await expect(page.locator("#forget")).toBeVisible();
  // It can be left, and then nothing is forgotten.
  await page.locator("#forget form button").click();
  expect(Object.keys(await kept(page))).toEqual(expect.arrayContaining(used));
  await page.locator("#setup [data-forget]").click();
  await page.locator("#forget-all").click();
  await page.waitForFunction((before) => sessionStorage.getItem("handrule-bench") !== before && (window as any).handrule?.state, bench);
  await expect(page.locator("html")).toHaveAttribute("lang", "en");
  await expect(page.locator("#guide")).toBeVisible();
  expect(new URL(page.url()).hash).toBe("");
  const after = await kept(page);
  expect(Object.keys(after).sort()).toEqual(Object.keys(first).sort());
  for (const [key, value] of Object.entries(after)) if (key !== "session handrule-bench") expect(value, key).toBe(first[key]);
  await expect(page.locator("#lesson-place")).toBeHidden();
});
