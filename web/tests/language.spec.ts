// The page in another language.
import { expect } from "@playwright/test";
import { frame, jogButton, open, ready, test } from "./bench";

test("Spanish is chosen on the page, spoken by the bench too, and kept", async ({ page }) => {
  await open(page);
  await expect(page.locator("html")).toHaveAttribute("lang", "en");
  await jogButton(page, 0, 1).click();
  await expect(page.locator(".joint-angle").first()).toHaveText("5.00°");

  await page.locator("#language").selectOption("es");
  await expect(page.locator("html")).toHaveAttribute("lang", "es");
  await ready(page);
  await expect(page.locator("#joints h2")).toHaveText("Articulaciones");
  // The arm is where it was, and its numbers have a decimal comma.
  await expect(page.locator(".joint-angle").first()).toHaveText("5,00°");
  await frame(page, "base");
  await jogButton(page, 1, 1).click();
  await expect(page.locator(".stop-headline")).toHaveText("Rechazado: singularidad de muñeca");
  await expect(page.locator(".stop-numbers")).toContainText("J5 está a 0,0°");

  await page.reload();
  await ready(page);
  await expect(page.locator("html")).toHaveAttribute("lang", "es");
  await expect(page.locator(".stop-headline")).toHaveText("Rechazado: singularidad de muñeca");
});

test("another language leaves the view, the frame that is read, the panels and how far they are scrolled as they are", async ({ page }) => {
  await page.setViewportSize({ width: 1280, height: 500 }); // so low that the lesson's text scrolls
  await open(page, "/?lang=en");
  await page.locator("#lesson-choice").selectOption("where-the-numbers-start");
  await expect(page.locator("#lesson-text")).not.toBeEmpty();
  await page.locator("#read-in").selectOption("world");
  await page.locator("#near > summary").click();
  await page.locator("#lesson-read").evaluate((e) => e.scrollTo(0, 60));
  const view = () => page.evaluate(() => (window as any).handrule.view.sight);
  await page.waitForFunction(() => ((v) => v.scheduled === 0 && v.orbitCamera.glide === null)((window as any).handrule.view));
  await page.evaluate(() => {
    const { view } = (window as any).handrule;
    view.orbit(35, 12);
    view.zoom(1.3);
  });
  const before = await view();

  await page.locator("#language").selectOption("es");
  await expect(page.locator("html")).toHaveAttribute("lang", "es");
  await ready(page);
  await expect.poll(async () => (await view()).from_mm.map(Math.round)).toEqual(before.from_mm.map(Math.round));
  expect((await view()).at_mm.map(Math.round)).toEqual(before.at_mm.map(Math.round));
  await expect(page.locator("#lesson-text")).toContainText("Vaya desde allí"); // The lesson goes on in the other language.
  await expect(page.locator("#lesson-choice option:checked")).toHaveText("2. Dónde empiezan los números");
  await expect(page.locator("#read-in")).toHaveValue("world");
  await expect(page.locator("#where")).toHaveAttribute("open");
  await expect(page.locator("#near")).not.toHaveAttribute("open");
  await expect.poll(() => page.locator("#lesson-read").evaluate((e) => e.scrollTop)).toBe(60);

  // On a phone the page itself scrolls. Of what was left nothing is taken up twice.
  await page.setViewportSize({ width: 390, height: 844 });
  await page.evaluate(() => window.scrollTo(0, 400));
  await page.locator("#language").selectOption("en");
  await expect(page.locator("html")).toHaveAttribute("lang", "en");
  await ready(page);
  await expect.poll(() => page.evaluate(() => window.scrollY)).toBe(400);
  expect(await page.evaluate(() => sessionStorage.getItem("handrule-left"))).toBe("");
});

test("another language that is chosen by keys leaves the focus on the list, and shows the keys", async ({ page }) => {
  await open(page, "/?lang=en");
  await page.keyboard.press("s");
  await expect(page.locator("body")).toHaveAttribute("data-drawer", "setup");
  const list = page.locator("#language");
  await list.focus();
  await page.keyboard.press("ArrowDown");
  await expect(page.locator("html")).toHaveAttribute("lang", "es");
  await ready(page);
  await expect(page.locator("body")).toHaveAttribute("data-drawer", "setup");
  await expect(list).toBeFocused();
  await expect(page.locator("html")).toHaveAttribute("data-keys", "");
  expect(await list.evaluate((e) => e.matches(":focus-visible"))).toBe(true);
});

test("a link can ask for a language, and another choice then leaves the link", async ({ page }) => {
  await open(page, "/?lang=es");
  await expect(page.locator("html")).toHaveAttribute("lang", "es");
  await page.locator("#language").selectOption("en");
  await expect(page.locator("html")).toHaveAttribute("lang", "en");
  expect(new URL(page.url()).search).toBe("");
});

test.describe("a browser that prefers Spanish", () => {
  test.use({ locale: "es-MX" });
  test("gets it", async ({ page }) => {
    await open(page);
    await expect(page.locator("html")).toHaveAttribute("lang", "es");
  });
});
