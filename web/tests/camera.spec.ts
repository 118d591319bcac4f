// The camera keeps still while the arm is in the free part of the picture, and draws back where it would leave it.
import { expect, type Page } from "@playwright/test";
import { ask, askFrame, drawer, jogButton, open, settled, stands, test } from "./bench";

async function turn(page: Page, joint: number, deg: number): Promise<void> {
  await askFrame(page, "joint");
  await ask(page, { type: "speed", mm_s: 250, deg_s: 90 });
  await ask(page, { type: "increment", mm: 10, deg: Math.abs(deg) });
  await stands(page, () => ask(page, { type: "step", direction: { frame: "joint", axis: joint, sign: Math.sign(deg) } }));
}

/** How far the camera is, and by how many px the drawn arm and the rings at the TCP stand out of the free part. */
function look(page: Page): Promise<{ distance: number; azimuth: number; from: number[]; out: number }> {
  return page.evaluate(() => {
    const { view } = (window as any).handrule;
    const { camera, shot } = view.orbitCamera;
    const host = document.getElementById("view")!.getBoundingClientRect();
    const above = { bottom: host.top + view.free.top };
    const below = { top: host.top + view.free.bottom };
    let out = 0;
    const check = (p: any) => {
      p.project(camera);
      const y = host.top + ((1 - p.y) / 2) * host.height;
      const x = host.left + ((p.x + 1) / 2) * host.width;
      out = Math.max(out, above.bottom - y, y - below.top, host.left + view.free.left - x, x - (host.left + view.free.right));
    };
    const p = camera.position.clone();
    // Every point of the skin of the arm.
    view.arm.object.traverse((o: any) => {
      const at = o.isMesh && o.geometry.getAttribute("position");
      for (let i = 0; at && i < at.count; i += 7) check(p.fromBufferAttribute(at, i).applyMatrix4(o.matrixWorld));
    });
    for (const { direction, shape } of view.handles.all()) {
      if (direction.frame !== "joint" && shape.kind === "ring") for (let i = 0; i < 24; i++) check(shape.top({ camera, width: 1, height: 1 }).clone().sub(shape.at).applyAxisAngle(shape.axis, (i * Math.PI) / 12).add(shape.at));
    }
    return { distance: shot.distance, azimuth: shot.azimuth, from: camera.position.toArray(), out };
  });
}

test("it never draws nearer by itself, and back only for what would leave the picture", async ({ page }) => {
  await open(page);
  await settled(page);
  const opened = await look(page);
  expect(opened.out).toBeLessThanOrEqual(0);
  // Nothing leaves the picture: nothing moves, whatever the panels say.
  await turn(page, 4, 60);
  await settled(page);
  const moved = (await look(page)).from.map((x, i) => x - opened.from[i]!);
  expect(Math.hypot(...moved)).toBeLessThan(1e-6);
  // Straight up the arm is higher than the picture was.
  await turn(page, 4, -60);
  await turn(page, 2, -90);
  await askFrame(page, "base");
  await jogButton(page, 0, 1).hover();
  await settled(page);
  const far = await look(page);
  expect(far.distance).toBeGreaterThan(opened.distance * 1.02);
  expect(far.out).toBeLessThanOrEqual(1);
  // Back again it stays where it is, also when the page is laid out anew.
  await turn(page, 2, 90);
  await jogButton(page, 1, 1).hover();
  await page.mouse.move(683, 230);
  await settled(page);
  expect((await look(page)).distance).toBeCloseTo(far.distance, 6);
  // Asked for, it comes as near as it can.
  await drawer(page, "look");
  await page.locator("[data-look=right]").click();
  await settled(page);
  expect((await look(page)).distance).toBeLessThan(far.distance);
});

test("with reduced motion it draws back at once", async ({ page }) => {
  await page.emulateMedia({ reducedMotion: "reduce" });
  await open(page);
  await settled(page);
  const opened = await look(page);
  await turn(page, 2, -90);
  const { follow, glide } = await page.evaluate(() => (window as any).handrule.view.orbitCamera);
  expect([follow, glide]).toEqual([null, null]);
  await settled(page);
  expect((await look(page)).distance).toBeGreaterThan(opened.distance);
});

test("one who has chosen a view keeps it", async ({ page }) => {
  await open(page);
  await page.mouse.move(683, 300);
  await page.mouse.wheel(0, -600);
  await settled(page);
  const chosen = await look(page);
  await turn(page, 2, -90);
  await settled(page);
  expect((await look(page)).from).toEqual(chosen.from);
  // Asked for the tip, by its key or its button, it brings that into the middle, near enough to be seen.
  const tip = () =>
    page.evaluate(() => {
      const { view } = (window as any).handrule;
      const p = view.tcp.object.getWorldPosition(view.orbitCamera.camera.position.clone()).project(view.orbitCamera.camera);
      const host = document.getElementById("view")!;
      const { left, right, top, bottom } = view.free;
      return Math.hypot(((p.x + 1) / 2) * host.clientWidth - (left + right) / 2, ((1 - p.y) / 2) * host.clientHeight - (top + bottom) / 2);
    });
  await page.keyboard.press("i");
  await settled(page);
  expect(await tip()).toBeLessThan(30);
  await turn(page, 2, 90);
  await page.mouse.move(683, 300);
  await page.mouse.wheel(0, 300);
  await settled(page);
  expect(await tip()).toBeGreaterThan(60);
  const far = (await look(page)).distance;
  await drawer(page, "look");
  await page.locator("#show-tip").click();
  await settled(page);
  expect(await tip()).toBeLessThan(30);
  expect((await look(page)).distance).toBeLessThan(far);
});

test("a dot stays where the last jog began, and goes with the trail", async ({ page }) => {
  await open(page);
  const dot = () =>
    page.evaluate(() => {
      const { object } = (window as any).handrule.view.trail.dot;
      return object.visible ? object.position.toArray() : null;
    });
  const tip = () => page.evaluate(() => (window as any).handrule.state.tcp_place.p);
  expect(await dot()).toBeNull();
  await turn(page, 4, 60);
  for (const axis of [0, 1]) {
    await askFrame(page, "base");
    const from = await tip();
    await stands(page, () => ask(page, { type: "step", direction: { frame: "base", axis, sign: -1 } }));
    expect(Math.hypot(...(await dot())!.map((x: number, i: number) => x - from[i]))).toBeLessThan(1e-6);
    expect(Math.hypot(...(await tip()).map((x: number, i: number) => x - from[i]))).toBeGreaterThan(5);
  }
  await drawer(page, "look");
  await page.locator("#clear-trail").click();
  expect(await dot()).toBeNull();
});

for (const lang of ["en", "es"]) {
  test(`${lang}: the picture keeps its size whatever the buttons and the next step say`, async ({ page }) => {
    await open(page, `/?lang=${lang}`);
    const heights = new Set<number>();
    const note = async () => heights.add(await page.evaluate(() => document.getElementById("view")!.clientHeight));
    for (const frame of ["joint", "base", "world", "tool"]) {
      await askFrame(page, frame);
      for (const [axis, sign] of [[0, 1], [1, 1], [4, -1]] as const) {
        await jogButton(page, axis, sign).hover();
        await expect(page.locator("#next")).not.toBeEmpty();
        await note();
      }
      // A jog of a joint, and refused ones.
      await jogButton(page, 1, 1).click();
      await expect(page.locator(".stop-headline")).not.toBeEmpty();
      await page.waitForFunction(() => !(window as any).handrule.state.moving);
      await note();
    }
    expect([...heights]).toHaveLength(1);
  });
}

test("the corner leads back to where the page opens", async ({ page }) => {
  await open(page);
  await drawer(page, "look");
  await settled(page);
  await page.keyboard.press("Shift+Digit6");
  await settled(page);
  const opened = await look(page);
  await page.locator("[data-look=left]").click();
  await settled(page);
  expect(Math.abs((await look(page)).azimuth - opened.azimuth)).toBeGreaterThan(0.5);
  await page.keyboard.press("Shift+Digit6");
  await settled(page);
  const back = await look(page);
  expect(Math.abs(Math.sin((back.azimuth - opened.azimuth) / 2))).toBeLessThan(1e-6);
  // As near as then, but for what is fitted into the picture anew.
  expect(Math.hypot(...back.from.map((x, i) => x - opened.from[i]!))).toBeLessThan(0.02 * opened.distance);
});
