// The view for a projector, and the pointer that names things.
import { expect, type Page } from "@playwright/test";
import { axe } from "./axe";
import { bend, frame, jogButton, labelBoxes, open, settled, test } from "./bench";

/** Under how many minutes of arc a digit is seen: the picture is 1.5 m high, 10 m away, a digit 0.72 of its font size. */
const minutes = (px: number, height: number): number => (Math.atan((0.72 * (px / height) * 1.5) / 10) * 180 * 60) / Math.PI;

/** The smallest type of everything that can be seen, in px, with what it says. */
function smallest(page: Page): Promise<{ px: number; text: string }> {
  return page.evaluate(() => {
    let least = { px: Infinity, text: "" };
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      const text = walker.currentNode.textContent!.trim();
      const parent = walker.currentNode.parentElement!;
      if (!text || parent.closest(".unseen, select, script, noscript") || !parent.checkVisibility({ opacityProperty: true, visibilityProperty: true })) continue;
      const px = parseFloat(getComputedStyle(parent).fontSize);
      if (px < least.px) least = { px, text };
    }
    return least;
  });
}

async function project(page: Page): Promise<void> {
  await page.keyboard.press("p");
  await expect(page.locator("html")).toHaveClass(/projected/);
}

/** A page whose browser refuses the full screen, so that its size can be set. */
async function inAWindow(page: Page): Promise<void> {
  await page.evaluate(() => (document.documentElement.requestFullscreen = () => Promise.reject(new Error())));
}

for (const [width, height] of [[1920, 1080], [1366, 768]] as const) {
  // ISO 9241-303, from memory: 16 minutes of arc at the least, 20 to 22 for easy reading.
  test(`${width}×${height}: everything is read from 10 m, numbers with ease`, async ({ page }) => {
    await page.setViewportSize({ width, height });
    await open(page);
    await frame(page, "base");
    await jogButton(page, 1, 1).click(); // stopped by the straight wrist, which is said too
    await expect(page.locator(".stop-headline")).toContainText("wrist singularity");
    await project(page);
    const least = await smallest(page);
    expect(minutes(least.px, height), least.text).toBeGreaterThanOrEqual(16);
    for (const number of await page.locator(".joint-angle, #where [data-position]").all()) {
      const px = await number.evaluate((e) => parseFloat(getComputedStyle(e).fontSize));
      expect(minutes(px, height)).toBeGreaterThanOrEqual(20);
    }
    // Nothing lies over anything else, and nothing is outside.
    const boxes = await page.evaluate(() =>
      ["#joints", "#where", "#stops", "#strip", "#projector-leave"].map((id) => {
        const { left, right, top, bottom } = document.querySelector(id)!.getBoundingClientRect();
        return { id, left, right, top, bottom };
      }),
    );
    for (const a of boxes) {
      expect(a.left >= 0 && a.right <= width && a.top >= 0 && a.bottom <= height, `${a.id} is outside`).toBe(true);
      for (const b of boxes) {
        if (a.id < b.id) expect(a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top, `${a.id} and ${b.id}`).toBe(true);
      }
    }
    const overflowing = await page.evaluate(() =>
      [...document.querySelectorAll(".joint-angle, .reading td, .next, .sentence, .pair")].filter((e) => e.checkVisibility() && e.scrollWidth > e.clientWidth + 1).map((e) => e.textContent),
    );
    expect(overflowing).toEqual([]);
    // Why it stopped does not hide the arm.
    expect((await page.locator("#view").boundingBox())!.height).toBeLessThanOrEqual((await page.locator("#stops").boundingBox())!.y + 1);
    expect(await axe(page)).toEqual([]);
  });
}

test("one key leaves the arm and its numbers alone, the same brings the rest back, and keys still jog", async ({ page }) => {
  await page.setViewportSize({ width: 1920, height: 1080 });
  await page.clock.install();
  await open(page);
  await page.keyboard.press("5");
  await page.keyboard.press("o");
  for (const gone of ["#strip", ".bar", ".safety", "#stops"]) await expect(page.locator(gone)).toBeHidden();
  await expect(page.locator("#view canvas")).toBeVisible();
  await expect(page.locator(".joint-angle").nth(4)).toBeVisible();
  // A resting pointer brings no words over the picture.
  await page.locator(".joint-angle").nth(4).hover();
  await page.clock.fastForward(1000);
  await expect(page.locator("#help")).toBeHidden();
  await expect(page.locator("#projector-leave")).toBeVisible();
  await page.keyboard.press("o");
  await expect(page.locator("#strip")).toBeVisible();
  await page.keyboard.press("5");
  await page.keyboard.press("ArrowUp");
  await expect(page.locator(".joint-angle").nth(4)).toHaveText("5.00°");
  await page.locator("#projector-leave").click();
  await expect(page.locator(".bar")).toBeVisible();
});

test("a stop says what to do and leaves the picture as large as it was, and the numbers say what frame they are in", async ({ page }) => {
  await page.setViewportSize({ width: 1366, height: 768 });
  await open(page);
  await frame(page, "base");
  await project(page);
  await expect(page.locator("#where .reading-frame")).toHaveText("TCP, base frame");
  const height = () => page.locator("#view").evaluate((e) => e.clientHeight);
  const before = await height();
  await jogButton(page, 1, 1).click();
  await expect(page.locator(".stop-headline")).toContainText("wrist singularity");
  const advice = page.locator(".stop-advice");
  await expect(advice).toContainText("bend J5 away");
  await expect(advice).toBeVisible();
  const [said, row] = [(await advice.boundingBox())!, (await page.locator("#stops").boundingBox())!];
  expect(said.y + said.height).toBeLessThanOrEqual(row.y + row.height);
  expect(await height()).toBe(before);
});

test("the frame is chosen by a click, and the frames are in one line", async ({ page }) => {
  await open(page);
  await page.locator("#cell").selectOption("glazing-bench");
  await expect(page.locator("#task-frames")).toBeVisible();
  await inAWindow(page);
  await project(page);
  for (const [width, height] of [[1920, 1080], [1366, 768]] as const) {
    await page.setViewportSize({ width, height });
    for (const value of ["base", "world", "tool", "task", "joint"]) {
      await page.locator(`label:has([name=frame][value=${value}])`).click();
      await expect(page.locator("#strip")).toHaveAttribute("data-frame", value);
      const choices = page.locator("#sentence :is(.option, select):visible");
      const { y, height: h } = (await choices.first().boundingBox())!;
      for (const one of await choices.all()) expect((await one.boundingBox())!.y, `${value}: ${await one.innerText()}`).toBeLessThan(y + h);
    }
  }
});

test("Esc first ends what is aimed at, and then leaves", async ({ page }) => {
  await open(page);
  await frame(page, "base");
  await page.keyboard.press("1");
  // As where the browser refuses the full screen, whose own Esc leaves at once.
  await inAWindow(page);
  await project(page);
  await page.keyboard.press("Escape");
  await expect(page.locator(".jog.aimed")).toHaveCount(0);
  await expect(page.locator("html")).toHaveClass(/projected/);
  await page.keyboard.press("Escape");
  await expect(page.locator("html")).not.toHaveClass(/projected/);
});

test("labels cover neither each other nor the TCP, and are in the free part of the picture", async ({ page }) => {
  await page.emulateMedia({ reducedMotion: "reduce" });
  await page.setViewportSize({ width: 1366, height: 768 });
  await open(page);
  await frame(page, "base");
  for (const projected of [false, true]) {
    if (projected) await project(page);
    for (const look of ["behind", "front", "left", "right", "above"]) {
      await page.evaluate((at) => (window as any).handrule.view.lookFrom(at), look);
      await jogButton(page, 1, 1).hover({ force: true });
      await expect(page.locator(".jog.aimed")).toHaveCount(1);
      await page.waitForFunction(() => ((v) => v.scheduled === 0 && v.orbitCamera.glide === null && v.direction)((window as any).handrule.view));
      const { boxes, tcp, free } = await labelBoxes(page);
      const aimed = boxes.find((b) => b.text === "Y +")!;
      for (const b of boxes) {
        const where = `${b.text} from ${look}${projected ? ", projected" : ""}`;
        if (b !== aimed) expect(Math.abs(b.x - aimed.x) < (b.w + aimed.w) / 2 - 1 && Math.abs(b.y - aimed.y) < (b.h + aimed.h) / 2 - 1, `${where} and Y +`).toBe(false);
        if (!/^(J\d|Y \+)$/.test(b.text)) continue;
        expect(Math.abs(b.x - tcp.x) < b.w / 2 && Math.abs(b.y - tcp.y) < b.h / 2, `${where} on the TCP`).toBe(false);
        expect(b.x - b.w / 2 >= free.left - 1 && b.x + b.w / 2 <= free.right + 1 && b.y - b.h / 2 >= free.top - 1 && b.y + b.h / 2 <= free.bottom + 1, `${where} is cut`).toBe(true);
      }
    }
  }
});

test("every joint has its name in a crowded pose, and which finger is which is told", async ({ page }) => {
  await page.emulateMedia({ reducedMotion: "reduce" });
  await page.setViewportSize({ width: 1366, height: 768 });
  await open(page);
  await bend(page, [25, -30, -110, 15, 100, 40]);
  await frame(page, "base");
  await project(page);
  for (const look of ["behind", "front", "left", "above"]) {
    await page.evaluate((at) => (window as any).handrule.view.lookFrom(at), look);
    await page.waitForFunction(() => ((v) => v.scheduled === 0 && v.orbitCamera.glide === null && v.orbitCamera.follow === null)((window as any).handrule.view));
    const { boxes } = await labelBoxes(page);
    const names = boxes.filter((b) => /^J\d$/.test(b.text));
    expect(names.map((b) => b.text).sort()).toEqual(["J1", "J2", "J3", "J4", "J5", "J6"]);
    for (const a of names) {
      for (const b of names) if (a.text < b.text) expect(Math.abs(a.x - b.x) < (a.w + b.w) / 2 - 1 && Math.abs(a.y - b.y) < (a.h + b.h) / 2 - 1, `${a.text} and ${b.text} from ${look}`).toBe(false);
    }
  }
  const says = page.locator("#hand-says");
  await expect(says).toHaveText("Right hand: thumb Z, index X, middle finger Y");
  await expect(says).toBeVisible();
  const [told, leave] = [(await says.boundingBox())!, (await page.locator("#projector-leave").boundingBox())!];
  expect(told.x + told.width <= leave.x || told.y + told.height <= leave.y).toBe(true);
  await page.keyboard.press("o");
  await expect(says).toBeHidden();
});

test("a folded panel's numbers are shown while projected, and it is folded again after", async ({ page }) => {
  await open(page);
  await page.locator("#joints > summary").click();
  await expect(page.locator(".joint-angle").first()).toBeHidden();
  await project(page);
  await expect(page.locator(".joint-angle").first()).toBeVisible();
  await page.keyboard.press("p");
  await expect(page.locator(".joint-angle").first()).toBeHidden();
});

test("the pointer names joints, links, an axis, the TCP and the floor", async ({ page }) => {
  await page.setViewportSize({ width: 1366, height: 768 });
  await open(page);
  await page.keyboard.press("l");
  await expect(page.locator("#pointer-switch")).toHaveAttribute("aria-pressed", "true");
  await page.waitForFunction(() => ((view) => view.frames() > 0 && view.scheduled === 0)((window as any).handrule.view));
  // Where each thing can be pointed at.
  const places = await page.evaluate(() => {
    const { view } = (window as any).handrule;
    const host = document.getElementById("view")!;
    const found: Record<string, { what: any; x: number; y: number }> = {};
    for (let y = 4; y < host.clientHeight; y += 10) {
      for (let x = 4; x < host.clientWidth; x += 10) {
        const what = view.pointAt(x, y);
        if (what) found[JSON.stringify(what)] ??= { what, x, y };
      }
    }
    return Object.values(found);
  });
  const kinds = (kind: string) => places.filter((p) => p.what.kind === kind);
  expect(kinds("joint").map((p) => p.what.index).sort()).toEqual([0, 1, 2, 3, 4, 5]);
  expect(kinds("link").length).toBeGreaterThanOrEqual(4);
  expect(kinds("axis").filter((p) => p.what.frame === "base").map((p) => p.what.letter).sort()).toEqual(["X", "Y", "Z"]);
  expect(kinds("tcp")).toHaveLength(1);
  expect(kinds("floor")).toHaveLength(1);

  const canvas = (await page.locator("#view").boundingBox())!;
  const name = page.locator("#pointer-name");
  const point = (at: { x: number; y: number }) => page.mouse.move(canvas.x + at.x, canvas.y + at.y);
  await point(kinds("joint").find((p) => p.what.index === 2)!);
  await expect(name).toContainText("J3, a joint");
  await point(kinds("tcp")[0]!);
  await expect(name).toContainText("tool centre point");
  await page.keyboard.press("l");
  await expect(page.locator("#pointer")).toBeHidden();
});

test("the ring's middle is where the mouse is, and its name covers no panel, projected too", async ({ page }) => {
  await open(page);
  await page.keyboard.press("l");
  for (const projected of [false, true]) {
    if (projected) await project(page);
    await settled(page);
    for (const [x, y] of [[683, 300], [600, 220], [760, 380]] as const) {
      await page.mouse.move(x, y);
      const middle = () =>
        page.locator(".pointer-ring").evaluate((ring) => {
          const { left, right, top, bottom } = ring.getBoundingClientRect();
          return [Math.round((left + right) / 2), Math.round((top + bottom) / 2)];
        });
      await expect.poll(middle).toEqual([x, y]);
      const name = await page.locator("#pointer-name").boundingBox();
      if (!name) continue; // on nothing that has one
      for (const panel of ["#joints", "#where"]) {
        const box = (await page.locator(panel).boundingBox())!;
        expect(name.x >= box.x + box.width || name.x + name.width <= box.x, `${panel} at ${x}, ${y}`).toBe(true);
      }
    }
  }
});
