// Where the browser cannot draw in 3D the page says so, and jogs all the same.
import { expect, test } from "@playwright/test";

test("without WebGL there is a clear text, and the arm is jogged by numbers", async ({ page }) => {
  const errors: string[] = [];
  page.on("pageerror", (error) => errors.push(error.message));
  await page.addInitScript(() => {
    const plain = HTMLCanvasElement.prototype.getContext;
    HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, kind: string, ...rest: any[]) {
      return kind.startsWith("webgl") ? null : (plain as any).call(this, kind, ...rest);
    } as typeof plain;
  });
  await page.goto("/");
  await expect(page.locator("#unavailable")).toBeVisible();
  await expect(page.locator("#unavailable")).toContainText("WebGL");
  const angle = page.locator(".joint-angle").nth(4);
  await expect(angle).toHaveText("0.00°");
  await page.locator('.jog[data-axis="4"][data-sign="1"]').click();
  await expect(angle).toHaveText("5.00°");
  await page.locator("#view").hover({ position: { x: 400, y: 200 } });
  await page.mouse.down();
  await page.mouse.up();
  await page.locator("[data-look=above]").click();
  expect(errors).toEqual([]);
});
