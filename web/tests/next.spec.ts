// The line that says what comes next or has just happened, and the buttons that say how far each direction is free.
import { expect, type Page } from "@playwright/test";
import { ask, frame, jogButton, open, stands, state, test } from "./bench";

const next = (page: Page) => page.locator("#next");

test("a refused jog says so, why, and leads to the joint that helps", async ({ page }) => {
  for (const [width, height] of [[1366, 768], [390, 844]] as const) {
    await page.setViewportSize({ width, height });
    await open(page);
    await frame(page, "base");
    const left = jogButton(page, 1, 1);
    await expect(left).toHaveClass(/no-room/);
    await expect(left.locator(".room")).toHaveText("singularity");
    await left.click();
    await expect(next(page)).toHaveText("Refused: wrist singularity.");

    if (width < 768) {
      await page.locator("#why").click();
      await expect(page.locator(".stop-advice")).toBeInViewport({ ratio: 1 });
    } else await expect(page.locator("#why")).toBeHidden(); // the panel is in sight
    await expect(page.locator("#advised")).toHaveText("Go to J5");
    await page.locator("#advised").click();
    await expect(page.locator("#strip")).toHaveAttribute("data-frame", "joint");
    await expect(jogButton(page, 4, 1)).toBeFocused();
    await expect(jogButton(page, 4, 1)).toBeInViewport({ ratio: 1 });
    await expect(next(page)).toContainText("Next step: J5, +5°");
  }
  // Once it is bent, there is nothing more to do for it.
  await ask(page, { type: "increment", mm: 10, deg: 45 });
  await stands(page, () => jogButton(page, 4, 1).click());
  await expect(page.locator(".stop-advice")).toHaveText("Straight along +Y of the base frame can be tried again.");
  await expect(page.locator("#advised")).toBeHidden();
});

test("the line tells of the next step again when another direction is in hand; while held there is none; a button says how far it is free", async ({ page }) => {
  await open(page);
  await frame(page, "base");
  // By Pythagoras, from the arm file: the wrist goes straight until the upper arm, 270 mm, and the forearm, √(280² + 30²) mm,
  // are stretched towards a place 300 mm above joint 2, and it starts 280 mm before joint 2.
  const free = Math.sqrt((270 + Math.hypot(280, 30)) ** 2 - 300 ** 2) - 280;
  await expect(jogButton(page, 0, 1).locator(".room")).toHaveText(`${free.toFixed(0)} mm`);
  await expect(page.locator(".pair").nth(3).locator(".pair-text")).toHaveText("turn");
  await expect(page.locator(".pair").nth(3)).toHaveAccessibleName(/turn, tip stays$/);
  await jogButton(page, 1, 1).click();
  await expect(next(page)).toHaveText("Refused: wrist singularity.");
  await jogButton(page, 0, 1).hover();
  await expect(next(page)).toContainText("Next step: 10 mm straight along +X of the base frame. Free travel from here: 183 mm");
  await jogButton(page, 1, 1).hover();
  await expect(next(page)).toContainText("Next step: 10 mm straight along +Y of the base frame would stop after 0.0 mm: wrist singularity");
  await jogButton(page, 0, 1).hover();
  await page.keyboard.press("h");
  await expect(page.locator("input[name=manner][value=hold]")).toBeChecked();
  await expect(next(page)).toHaveText("While held: straight along +X of the base frame. Free travel from here: 183 mm, until the tool is out of reach.");
  await jogButton(page, 1, 1).hover();
  await expect(next(page)).toContainText("While held: straight along +Y of the base frame stops after 0.0 mm: wrist singularity");
});

test("a choice of steps that comes before the answer to the last one counts", async ({ page }) => {
  // Answers that tell of the setup are kept back until they are let through.
  const kept: (() => void)[] = [];
  let keeping = false;
  await page.routeWebSocket(/./, (socket) => {
    const bench = socket.connectToServer();
    bench.onMessage((message) => {
      if (keeping && typeof message === "string" && JSON.parse(message).type === "setup") kept.push(() => socket.send(message));
      else socket.send(message);
    });
  });
  await page.goto("/#/arm/wren");
  await page.waitForFunction(() => (window as any).handrule?.state);
  const chosen = page.locator("#increment");
  const before = Number(await chosen.inputValue());
  keeping = true;
  await page.keyboard.press("]");
  await page.keyboard.press("]");
  await expect.poll(() => kept.length).toBe(2);
  kept[0]!();
  await expect.poll(() => page.evaluate(() => (window as any).handrule.setup.increment.mm)).not.toBe(10);
  await page.keyboard.press("["); // from the second one, not from the first
  await expect(chosen).toHaveValue(String(before + 1));
  await expect.poll(() => kept.length).toBe(3);
  kept[1]!();
  kept[2]!();
  await expect.poll(() => page.evaluate(() => (window as any).handrule.setup.increment.mm)).toBe(25);
  await expect(chosen).toHaveValue(String(before + 1));
  expect((await state(page)).moving).toBeFalsy();
});

test("near a singularity it is said how far a joint swings for a small step, and what is still to be done for the refused way", async ({ page }) => {
  await open(page);
  await frame(page, "base");
  await jogButton(page, 1, 1).click();
  await expect(next(page)).toHaveText("Refused: wrist singularity.");
  // Drawn back along X, the wrist is bent by no more than a few hundredths of a degree: J4 swings by almost a quarter turn.
  await jogButton(page, 0, -1).click();
  await expect(page.locator(".stop-headline")).toHaveText("Moved:");
  await expect(page.locator(".stop-advice")).toHaveText(/^Straight along \+Y of the base frame was refused\. Choose joints and bend J5/);
  await expect(page.locator("#advised")).toBeVisible();
  await jogButton(page, 1, 1).hover();
  await expect(next(page)).toContainText(/^Next step: 10\smm straight along \+Y of the base frame; J[46] turns by [+−]\d\d° for it/);
  await jogButton(page, 1, 1).click();
  await expect(page.locator(".stop-numbers")).toContainText(/For it the joints turned: .*J[46]\s[+−]\d\d\.\d°/);
  await expect(page.locator(".stop-advice")).toBeEmpty(); // that way can be gone now
  expect(Math.abs((await state(page)).joints_deg[3])).toBeGreaterThan(45);
});

test("on a low screen the reason is in sight beside the joints, whose rows lead to their buttons", async ({ page }) => {
  await open(page);
  await frame(page, "base");
  const first = page.locator(".joint").first();
  await expect(first).toBeInViewport({ ratio: 1 });
  await jogButton(page, 1, 1).click();
  await expect(page.locator("#advised")).toBeInViewport();
  await expect(first).toBeInViewport({ ratio: 1 });
  await page.locator(".joint").nth(2).click();
  await expect(page.locator("#strip")).toHaveAttribute("data-frame", "joint");
  await expect(jogButton(page, 2, 1)).toBeFocused();
  await expect(next(page)).toContainText("Next step: J3, +5°");
});

test("what was chosen for a joint is not taken for an axis, and the other way round", async ({ page }) => {
  await open(page);
  await page.keyboard.press("5");
  await expect(next(page)).toContainText("Next step: J5, +5°");
  await frame(page, "base");
  await expect(next(page)).toContainText("Point at a button");
  await page.keyboard.press("2");
  await expect(next(page)).toContainText("along +Y of the base frame");
  await frame(page, "tool");
  await expect(next(page)).toContainText("along +Y of the tool frame");
  await frame(page, "joint");
  await expect(page.locator(".jog.aimed")).toHaveCount(0);
});

test("beside its name stands where each joint is; an angle of the reading that passes 180° is told as it is written", async ({ page }) => {
  await open(page, "/#/arm/wren?joints=0,0,0,0,90,0"); // the tool points down, and about Z it reads 180°
  const at = page.locator(".pair-at");
  await expect(at.first()).toHaveText("0.0°");
  await expect(at.nth(4)).toHaveText("90.0°");
  const numbers = page.locator(".stop-numbers");
  await stands(page, () => jogButton(page, 0, 1).click());
  await expect(at.first()).toHaveText("5.0°");
  await expect(numbers).toContainText("About Z: 185.00° is written −175.00°; angles run from −180° to 180°.");
  await stands(page, () => jogButton(page, 0, 1).click());
  await expect(numbers).not.toContainText("is written");
  await stands(page, () => jogButton(page, 0, -1).click());
  await expect(numbers).not.toContainText("is written");
  await ask(page, { type: "increment", mm: 10, deg: 10 });
  await stands(page, () => jogButton(page, 0, -1).click());
  await expect(numbers).toContainText("About Z: −185.00° is written 175.00°; angles run from −180° to 180°.");
  await frame(page, "base");
  await expect(at.first()).toBeHidden();
});
