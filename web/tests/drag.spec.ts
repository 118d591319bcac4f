// The arm comes along with a pointer that drags an axis or a ring: by mouse and by finger, as a hold that ends.
import { expect, type Page } from "@playwright/test";
import { ask, askFrame, bend, drawnWithin, handle, heard, held, jogButton, open, type Place, seen, settled, stands, state, sub, test, type V3 } from "./bench";

/** The pen pointing down, drawn without its pixels, so that a hold is renewed within its lease. */
async function ready(page: Page, frame: string): Promise<void> {
  await open(page);
  await bend(page, [0, 0, 0, 0, 90, 0]);
  await askFrame(page, frame);
  // All that a motion shows has been shown once.
  await jogButton(page, 0, 1).hover();
  await page.waitForFunction(() => (window as any).handrule.view.hand.measured());
  await settled(page);
}

const tcp = async (page: Page): Promise<V3> => (await state(page)).tcp.position_mm;
const waits = (page: Page) =>
  expect.poll(async () => {
    const before = JSON.stringify((await state(page)).joints_deg);
    await drawnWithin(page, 12);
    return JSON.stringify((await state(page)).joints_deg) === before;
  }).toBe(true);

test("an axis at the TCP is dragged: the arm comes, waits under the pointer, comes back, and stays when let go", held, async ({ page }) => {
  await ready(page, "base");
  const from = await tcp(page);
  const grip = await handle(page, 2, 0.7);
  await page.mouse.move(grip.x, grip.y);
  await expect(page.locator("#view")).toHaveClass(/draggable/);
  await page.mouse.down();
  for (const up of [30, -25]) {
    await page.mouse.move(grip.x, grip.y - up, { steps: 4 });
    await expect.poll(async () => Math.sign((await tcp(page))[2] - from[2])).toBe(Math.sign(up));
    await expect.poll(async () => {
      const now = await handle(page, 2, 0.7);
      return Math.hypot(now.x - grip.x, now.y - (grip.y - up));
    }).toBeLessThan(2);
    expect((await state(page)).moving.axis).toBe(2); // held all the while
    await waits(page);
  }
  const there = await tcp(page);
  expect(Math.hypot(there[0] - from[0], there[1] - from[1])).toBeLessThan(1e-6);
  await page.mouse.up();
  await expect(page.locator(".stop-headline")).toHaveText("Released:");
  await page.mouse.move(grip.x, grip.y - 80, { steps: 3 });
  await heard(page);
  expect(await tcp(page)).toEqual(there);
});

test("Escape, a page that loses the focus, and a pointer that is taken away end a drag", held, async ({ page }) => {
  await ready(page, "base");
  const ends = [
    () => page.keyboard.press("Escape"),
    () => page.evaluate(() => void window.dispatchEvent(new Event("blur"))),
    () => page.evaluate(() => void document.getElementById("view")!.dispatchEvent(new PointerEvent("pointercancel", { pointerId: 1, bubbles: true }))),
  ];
  for (const [i, end] of ends.entries()) {
    await settled(page);
    const grip = await handle(page, 2, 0.7);
    const before = await tcp(page);
    const down = i % 2 ? -1 : 1;
    await page.mouse.move(grip.x, grip.y);
    await page.mouse.down();
    await page.mouse.move(grip.x, grip.y + 60 * down, { steps: 3 });
    await expect.poll(async () => Math.abs((await tcp(page))[2] - before[2])).toBeGreaterThan(2);
    await end();
    await expect.poll(async () => (await state(page)).moving).toBeNull();
    const there = await tcp(page);
    await page.mouse.move(grip.x, grip.y - 60 * down, { steps: 3 });
    await heard(page);
    expect(await tcp(page)).toEqual(there);
    await expect(page.locator("#view")).not.toHaveClass(/dragging/);
    await page.mouse.up();
  }
});

test("a ring turns the tool about its axis, with the TCP where it is; what stops the arm is said and ends the drag", held, async ({ page }) => {
  await ready(page, "tool");
  await ask(page, { type: "speed", mm_s: 250, deg_s: 90 });
  await page.evaluate(() => (window as any).handrule.view.lookFrom("above"));
  await settled(page);
  const from = await state(page);
  const grip = await handle(page, 5, 30); // not where the other rings, seen from the edge, meet it
  const places: Place[] = []; // as the ring is seen before it turns with the tool
  for (const turn of [40, 55, 70, 85]) places.push(await handle(page, 5, turn));
  await page.mouse.move(grip.x, grip.y);
  await page.mouse.down();
  for (const { x, y } of places) await page.mouse.move(x, y);
  // The tool's Z points down along J6, which alone turns it.
  const turned = async () => (await state(page)).joints_deg[5] - from.joints_deg[5];
  await expect.poll(turned).toBeGreaterThan(53);
  await waits(page);
  expect(await turned()).toBeLessThan(57);
  expect(Math.hypot(...sub(await tcp(page), from.tcp.position_mm))).toBeLessThan(1e-6);
  await page.mouse.up();

  // J1's ring, from near its limit to it.
  await askFrame(page, "joint");
  await ask(page, { type: "increment", mm: 10, deg: 140 });
  await stands(page, () => ask(page, { type: "step", direction: { frame: "joint", axis: 0, sign: 1 } }));
  await settled(page);
  const ring = await handle(page, 0, 0);
  await page.mouse.move(ring.x, ring.y);
  await page.mouse.down();
  for (let turn = 20; turn <= 100; turn += 20) await page.mouse.move(...Object.values(await handle(page, 0, turn)) as [number, number]);
  await expect(page.locator(".stop-headline")).toContainText("J1");
  expect((await state(page)).joints_deg[0]).toBeCloseTo(170, 6);
  await page.mouse.move(ring.x, ring.y, { steps: 4 });
  await heard(page);
  expect((await state(page)).joints_deg[0]).toBeCloseTo(170, 6);
  await page.mouse.up();
});

test("a finger may miss an axis by 18 px, a mouse turns the view there", held, async ({ page }) => {
  await ready(page, "base");
  const client = await page.context().newCDPSession(page);
  const touch = (type: string, ...touchPoints: Place[]) => client.send("Input.dispatchTouchEvent", { type: type as "touchStart", touchPoints });
  /** Beyond the letter at the end of the axis. */
  const beside = async (): Promise<Place> => ((end) => ({ x: end.x, y: end.y - 18 }))(await handle(page, 2, 1.12));
  const from = await tcp(page);
  const seen = await beside();
  await page.mouse.move(seen.x, seen.y);
  await page.mouse.down();
  await page.mouse.move(seen.x, seen.y - 25, { steps: 4 });
  await page.mouse.up();
  await heard(page);
  expect(await tcp(page)).toEqual(from);
  await page.mouse.move(5, 5);
  await settled(page);

  const { x, y } = await beside();
  await touch("touchStart", { x, y });
  for (let up = 5; up <= 30; up += 5) await touch("touchMove", { x, y: y - up });
  await expect.poll(async () => (await tcp(page))[2] - from[2]).toBeGreaterThan(5);
  await waits(page);
  await settled(page);
  expect(Math.abs((await beside()).y - (y - 30))).toBeLessThan(2);
  await touch("touchEnd");
  await expect.poll(async () => (await state(page)).moving).toBeNull();
});

test("a joint is dragged where it is grabbed: at its dial, and at the link that it moves", held, async ({ page }) => {
  await ready(page, "joint");
  const places = () => page.evaluate(() => {
    const { arm, form, orbitCamera } = (window as any).handrule.view;
    const eye = orbitCamera.camera.position;
    const hub = (i: number) => form.hubs[i].centre.clone().applyMatrix4(arm.links[i].matrixWorld);
    // The dial of J2 that faces the viewer, and the middle of the upper arm.
    const axis = form.hubs[1].axis.clone().transformDirection(arm.links[1].matrixWorld);
    const side = Math.sign(eye.clone().sub(hub(1)).dot(axis));
    const dial = hub(1).addScaledVector(axis, side * form.hubs[1].half * 0.98);
    return { dial: dial.toArray(), link: hub(1).lerp(hub(2), 0.55).toArray() };
  });
  for (const at of ["dial", "link"] as const) {
    const from = (await state(page)).joints_deg;
    const grip = await seen(page, (await places())[at]);
    await page.mouse.move(grip.x, grip.y);
    await expect(page.locator("#view")).toHaveClass(/draggable/);
    await page.mouse.down();
    await page.mouse.move(grip.x + 45, grip.y + 10, { steps: 6 });
    await expect.poll(async () => Math.abs((await state(page)).joints_deg[1] - from[1])).toBeGreaterThan(1);
    await page.mouse.up();
    await waits(page);
    const to = (await state(page)).joints_deg;
    for (const i of [0, 2, 3, 4, 5]) expect(to[i]).toBeCloseTo(from[i], 9);
    await page.mouse.move(5, 5);
    await settled(page);
  }
});
