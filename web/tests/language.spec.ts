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
  // The arm is where it was, and its numbers have a decimal point.
  await expect(page.locator(".joint-angle").first()).toHaveText("5.00°");
  await frame(page, "base");
  await jogButton(page, 1, 1).click();
  await expect(page.locator(".stop-headline")).toHaveText("Detenido: singularidad de muñeca");
  await expect(page.locator(".stop-numbers")).toContainText("J5 está a 0.0°");

  await page.reload();
  await ready(page);
  await expect(page.locator("html")).toHaveAttribute("lang", "es");
  await expect(page.locator(".stop-headline")).toHaveText("Detenido: singularidad de muñeca");
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
