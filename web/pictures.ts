// The pictures of the docs, as the page is now.
import type { Page } from "@playwright/test";
import { ask, bend, drawer, frame, jogButton, settled, stands, state, test } from "./tests/bench";

test.setTimeout(300_000); // the picture is drawn without a graphics card
test.use({ pixels: true, viewport: { width: 1366, height: 768 } });

/** Opens the page as a newcomer finds it, with the first steps put away. */
async function visit(page: Page): Promise<void> {
  await page.addInitScript(() => {
    const Plain = window.WebSocket;
    window.WebSocket = class extends Plain {
      constructor(url: string | URL) {
        super(url);
        (window as any).benchSocket = this;
      }
    };
  });
  await page.goto("/?lang=en");
  await page.waitForFunction(() => (window as any).handrule?.state);
  const close = page.locator("#guide-close");
  if (await close.isVisible()) await close.click();
}

async function picture(page: Page, name: string): Promise<void> {
  await page.waitForFunction(() => !document.body.innerText.includes("Room to move, as of")); // the rooms are of where the arm stands
  await settled(page);
  await page.screenshot({ path: `../docs/${name}.jpg`, type: "jpeg", quality: 82 });
}

const step = (page: Page, axis: number, sign = 1) => stands(page, () => ask(page, { type: "step", direction: { frame: "base", axis, sign } }));

test("bench", async ({ page }) => {
  await visit(page);
  await frame(page, "base");
  await jogButton(page, 1, 1).hover();
  await page.waitForFunction(() => (window as any).handrule.view.ghostMessage !== null);
  await picture(page, "bench");
});

test("predict", async ({ page }) => {
  await visit(page);
  await page.keyboard.press("a");
  await frame(page, "tool");
  await jogButton(page, 2, -1).click();
  await page.locator('#predict-arrow [data-toward="2 plus"]').click();
  await page.locator("#predict-answer").click();
  await page.waitForFunction(() => (window as any).handrule.state.moving === null);
  await picture(page, "predict");
});

test("walk", async ({ page }) => {
  await visit(page);
  await drawer(page, "measure");
  await page.keyboard.press("c");
  await picture(page, "walk");
});

test("ways", async ({ page }) => {
  await visit(page);
  await ask(page, { type: "increment", mm: 60, deg: 30 });
  await drawer(page, "compare");
  await page.locator("[data-ways=here]").click();
  await step(page, 1);
  await step(page, 2);
  await page.locator("[data-ways=begin]").click();
  await page.waitForFunction(() => document.querySelector("[data-more=straight] .ways-note")?.textContent?.includes("60 mm"));
  await page.locator("[data-play=straight]").click();
  await page.waitForFunction(() => (window as any).handrule.view.replay.playing === null);
  await picture(page, "ways");
});
