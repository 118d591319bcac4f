// What several specs do with the page.
import { expect, type Page } from "@playwright/test";

export const sizes = [[1920, 1080], [1366, 768], [390, 844]] as const;

/** Opens the page and waits until the bench has told it where the arm is. */
export async function open(page: Page, path = "/"): Promise<void> {
  await page.goto(path);
  await ready(page);
}

export async function ready(page: Page): Promise<void> {
  await page.waitForFunction(() => (window as any).handrule?.state);
  await expect(page.locator("#link")).toBeHidden();
}

export async function frame(page: Page, value: string): Promise<void> {
  await page.locator(`input[name=frame][value=${value}]`).check({ force: true });
  await expect(page.locator("#strip")).toHaveAttribute("data-frame", value);
}

export const jogButton = (page: Page, axis: number, sign: number) => page.locator(`.jog[data-axis="${axis}"][data-sign="${sign}"]`);
