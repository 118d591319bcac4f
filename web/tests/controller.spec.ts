// A game controller moves the arm only while a shoulder button is held. The controller is a stand-in with the standard
// layout of the W3C Gamepad specification: sticks are axes 0 to 3, right and down plus; 4 and 5 are the shoulder buttons, 6 and 7
// the triggers (from memory).
import { expect, type Page } from "@playwright/test";
import { axe } from "./axe";
import { ask, askFrame, bend, heard, held, jogButton, open, sizes, state, test, type V3 } from "./bench";

const [left, right] = [4, 5];

/** Puts a controller where the page looks for one. */
async function plug(page: Page, mapping = "standard"): Promise<void> {
  await page.evaluate((mapping) => {
    const buttons = Array.from({ length: 17 }, () => ({ pressed: false, touched: false, value: 0 }));
    (window as any).pad = { connected: true, mapping, axes: [0, 0, 0, 0], buttons, id: "stand-in", index: 0 };
    navigator.getGamepads = () => [null, (window as any).pad];
  }, mapping);
}

/** Sets a shoulder button and the sticks. */
async function pad(page: Page, shoulder: number, axes: number[]): Promise<void> {
  await page.evaluate(
    ([shoulder, axes]) => {
      const { pad } = window as any;
      for (const b of [4, 5]) pad.buttons[b] = { pressed: b === shoulder, touched: false, value: Number(b === shoulder) };
      pad.axes = axes;
    },
    [shoulder, axes] as const,
  );
}

/** The button that puts the map away. */
const close = (page: Page) => page.locator("#controller-panel .stops-close");

const tcp = async (page: Page): Promise<V3> => (await state(page)).tcp.position_mm;
const rests = (page: Page) => expect.poll(async () => (await state(page)).moving).toBeNull();
const told = (page: Page) => page.locator("#controller-state");

async function ready(page: Page): Promise<void> {
  await open(page);
  await bend(page, [0, 0, 0, 0, 90, 0]);
  await askFrame(page, "base");
  await ask(page, { type: "speed", mm_s: 20, deg_s: 15 });
  await jogButton(page, 0, 1).hover();
  await page.waitForFunction(() => (window as any).handrule.view.hand.measured());
  await page.locator("#controller").click();
}

test("nothing moves unless a shoulder button is held; half a stick is half the speed; letting go stops", held, async ({ page }) => {
  await ready(page);
  await expect(told(page)).toContainText("No controller");
  await plug(page);
  await expect(told(page)).toContainText("Hold a shoulder button");
  const from = await tcp(page);

  await pad(page, -1, [0, -1, 0, 0]);
  await expect(jogButton(page, 0, 1)).toHaveClass(/aimed/); // its ghost is shown
  await heard(page);
  expect(await tcp(page)).toEqual(from);

  // Within the dead zone, with the button.
  await pad(page, left, [0.1, -0.15, 0.1, 0.1]);
  await heard(page);
  expect(await tcp(page)).toEqual(from);

  await pad(page, left, [0.1, 1, 0, 0]);
  await expect.poll(async () => (await state(page)).tcp_speed_mm_s).toBeCloseTo(20, 3);
  await pad(page, left, [0.1, 0.2 + 0.75 / 2, 0, 0]);
  await expect.poll(async () => (await state(page)).tcp_speed_mm_s).toBeCloseTo(10, 3);
  await pad(page, -1, [0.1, 0.6, 0, 0]);
  await rests(page);
  const there = await tcp(page);
  expect(from[0] - there[0]).toBeGreaterThan(3);
  expect(Math.hypot(there[1] - from[1], there[2] - from[2])).toBeLessThan(1e-6);

  // The right shoulder button turns, with the TCP where it is.
  const before = await state(page);
  await pad(page, right, [0, 0, -1, 0]);
  await expect.poll(async () => (await state(page)).joints_deg[5] - before.joints_deg[5]).toBeLessThan(-3); // pen down: about Z + is J6 -
  await pad(page, -1, [0, 0, 0, 0]);
  await rests(page);
  expect(await tcp(page)).toEqual(before.tcp.position_mm.map((x: number) => expect.closeTo(x, 6)));
});

test("a controller that is unplugged, and a page without the focus, stop at once", held, async ({ page }) => {
  await ready(page);
  await plug(page);
  const ends = [
    () => page.evaluate(() => {
      navigator.getGamepads = () => [null, null];
      window.dispatchEvent(new Event("gamepaddisconnected"));
    }),
    () => page.evaluate(() => void window.dispatchEvent(new Event("blur"))),
    () => page.keyboard.press("Escape"),
  ];
  for (const end of ends) {
    await plug(page);
    const from = await tcp(page);
    await pad(page, left, [1, 0, 0, 0]);
    await expect.poll(async () => from[1] - (await tcp(page))[1]).toBeGreaterThan(3);
    await end();
    await rests(page);
    const there = await tcp(page);
    await heard(page);
    expect(await tcp(page)).toEqual(there); // although the shoulder button is still held
    await pad(page, -1, [0, 0, 0, 0]);
    await heard(page);
  }
  await plug(page, "");
  await expect(told(page)).toContainText("does not know");
});

test("the map says what each stick does in the active frame, fits, and axe finds nothing", async ({ page }) => {
  await ready(page);
  await plug(page);
  const says = (side: string, push: string) => page.locator(`[data-side=${side}] .pad-${push}`);
  await expect(says("left", "up")).toHaveText("X\u00a0+");
  await expect(says("left", "left")).toHaveText("Y\u00a0+");
  await expect(says("right", "down")).toHaveText("Z\u00a0\u2212");
  await expect(says("right", "left")).toHaveText("");
  await pad(page, right, [0, 0, 0, 0]);
  await expect(says("left", "right")).toHaveText("\u2220\u00a0X\u00a0+");
  await expect(says("right", "left")).toHaveText("\u2220\u00a0Z\u00a0+");
  await askFrame(page, "joint");
  await expect(says("left", "left")).toHaveText("J4\u00a0\u2212");
  await pad(page, left, [0, 0, 0, 0]);
  await expect(says("left", "left")).toHaveText("J1\u00a0+");
  await askFrame(page, "base");
  await pad(page, right, [0, 0, 0, 0]);
  for (const [width, height] of sizes) {
    await page.setViewportSize({ width, height });
    const panel = page.locator("#controller-panel");
    await panel.scrollIntoViewIfNeeded();
    const beyond = await panel.evaluate((p) => [...p.querySelectorAll<HTMLElement>("*")].filter((e) => e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0).map((e) => e.className));
    expect(beyond).toEqual([]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
  }
  expect(await axe(page, "#controller-panel")).toEqual([]);
});

test("the map is put away by its ×, also by keys, and the focus goes back to its button", async ({ page }) => {
  await open(page);
  await page.locator("#controller").click();
  await expect(close(page)).toHaveAccessibleName("Close the map of the controller");
  await close(page).press("Enter");
  await expect(page.locator("#controller-panel")).toBeHidden();
  await expect(page.locator("#controller")).toHaveAttribute("aria-pressed", "false");
  await expect(page.locator("#controller")).toBeFocused();
  await page.locator("#controller").click();
  await close(page).click();
  await expect(page.locator("#controller-panel")).toBeHidden();
});
