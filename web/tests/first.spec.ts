// The first visit: what is in sight and what is not, the drawers, and the guided start with the real arm.
import { expect, type Locator, type Page } from "@playwright/test";
import { drawnWithin, jogButton, ready, settled, stands, state, test } from "./bench";

/** Opens the page as one who has never been here; null for a guide that has been seen. */
async function visit(page: Page, lang: string, guided: boolean): Promise<void> {
  await page.addInitScript((seen) => seen && localStorage.setItem("handrule-guide", "seen"), !guided);
  await page.goto(`/?lang=${lang}`);
  await ready(page);
  await page.waitForFunction(() => (window as any).handrule.setup?.cell === "glazing-bench");
  await settled(page);
}

test("until the first picture is drawn it is said that it comes", async ({ page }) => {
  await page.addInitScript(() => {
    const graphics = HTMLCanvasElement.prototype.getContext as (this: HTMLCanvasElement, kind: string) => any;
    HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, kind: string) {
      const gl = graphics.call(this, kind);
      if (kind === "webgl2" && gl) Object.defineProperty(gl, "getSyncParameter", { value: () => ((window as any).drawnAtLast ? null : gl.UNSIGNALED), configurable: true });
      return gl;
    } as any;
  });
  await page.goto("/");
  await ready(page);
  const says = page.locator(".view-comes");
  await expect(says).toHaveText("The arm is being drawn.");
  await expect(says).toHaveCSS("opacity", "1");
  await page.evaluate(() => ((window as any).drawnAtLast = true));
  await expect(says).toBeHidden();
  // The picture of where the arm was does not pass for one of where it is put.
  const stale = page.locator("#view.stale");
  await expect(stale).toHaveCount(0);
  await page.evaluate(() => ((window as any).drawnAtLast = false));
  await page.evaluate(() => (location.hash = "#/arm/wren?joints=0,0,0,0,90,0"));
  await expect(stale).toHaveCount(1);
  await expect(says).toHaveCSS("opacity", "1");
  await page.evaluate(() => ((window as any).drawnAtLast = true));
  await expect(stale).toHaveCount(0);
  await expect(says).toBeHidden();
});

interface Counts {
  stops: number; // of the Tab key; a group of radio buttons is one
  words: number; // in sight, without numbers
  picture: number; // part of the window that is picture and nothing covers
  arm: number; // height of the drawn arm, a part of the window's
  outside: string[]; // controls that are not wholly in the window
}

function count(page: Page): Promise<Counts> {
  return page.evaluate(() => {
    const inSight = (e: Element) => e.checkVisibility({ checkVisibilityCSS: true, checkOpacity: true }) && !e.closest(".unseen, .ahead:not(:focus)"); // which is in sight when a key leads to it
    const within = (box: DOMRect) => box.width > 0 && box.bottom > 0 && box.top < innerHeight;
    const stops = [...document.querySelectorAll<HTMLElement>("button, select, input, a[href], summary, [tabindex='0'], textarea")].filter(
      (e) => e.tabIndex >= 0 && !(e as HTMLButtonElement).disabled && within((e.closest(".option") ?? e).getBoundingClientRect()) && inSight(e.closest(".option") ?? e),
    );
    const groups = new Set(stops.map((e) => (e instanceof HTMLInputElement && e.type === "radio" ? e.name : e)));
    // Words as they are read, of a closed select its choice alone.
    const texts: string[] = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const range = document.createRange();
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const parent = node.parentElement!;
      if (parent.closest("script, select, noscript") || !inSight(parent)) continue;
      range.selectNodeContents(node);
      if (within(range.getBoundingClientRect())) texts.push(node.textContent!);
    }
    for (const select of document.querySelectorAll("select")) if (inSight(select) && within(select.getBoundingClientRect())) texts.push(select.selectedOptions[0]?.textContent ?? "");
    const words = texts.join(" ").match(/\p{L}[\p{L}\p{N}’'-]*/gu) ?? [];
    // The picture is where its canvas is on top.
    const step = 8;
    let free = 0;
    for (let y = step / 2; y < innerHeight; y += step) for (let x = step / 2; x < innerWidth; x += step) if (document.elementFromPoint(x, y)?.tagName === "CANVAS") free++;
    const { view } = (window as any).handrule;
    const host = document.getElementById("view")!.getBoundingClientRect();
    const { camera } = view.orbitCamera;
    let [top, bottom] = [Infinity, -Infinity];
    const p = camera.position.clone();
    view.arm.object.traverse((o: any) => {
      const at = o.isMesh && o.geometry.getAttribute("position");
      for (let i = 0; at && i < at.count; i += 5) {
        const y = ((1 - p.fromBufferAttribute(at, i).applyMatrix4(o.matrixWorld).project(camera).y) / 2) * host.height;
        [top, bottom] = [Math.min(top, y), Math.max(bottom, y)];
      }
    });
    const outside = stops
      .map((e) => e.closest(".option") ?? e)
      .filter((e) => ((b) => b.left < -0.5 || b.right > innerWidth + 0.5)(e.getBoundingClientRect()))
      .map((e) => e.id || e.textContent!.trim());
    return { stops: groups.size, words: words.length, picture: (free * step * step) / (innerWidth * innerHeight), arm: (bottom - top) / innerHeight, outside };
  });
}

const sizes = [[1366, 768], [1280, 720], [1920, 1080], [768, 1024], [390, 844]] as const;

for (const [lang, colorScheme] of [["en", "light"], ["es", "dark"]] as const) {
  test(`${lang}, ${colorScheme}: the first screen is the arm, few words and few controls`, async ({ page }) => {
    await page.emulateMedia({ colorScheme });
    await page.setViewportSize({ width: 1366, height: 768 });
    await visit(page, lang, false);
    await expect(page.locator("html")).toHaveAttribute("data-theme", colorScheme);
    for (const [width, height] of sizes) {
      await page.setViewportSize({ width, height });
      await settled(page);
      const found = await count(page);
      expect(found.outside, `${width}×${height}`).toEqual([]);
      expect(found.stops, `${width}×${height}`).toBeLessThanOrEqual(30);
      expect(found.words, `${width}×${height}`).toBeLessThanOrEqual(140);
      await expect(jogButton(page, 5, 1)).toBeInViewport({ ratio: 1 });
      await expect(page.locator("#readout [data-position=Z]")).toBeInViewport({ ratio: 1 });
      if (width < 1000) continue; // a phone has the arm above the buttons
      expect(found.picture, `${width}×${height}`).toBeGreaterThanOrEqual(0.7);
      expect(found.arm, `${width}×${height}`).toBeGreaterThanOrEqual(0.55);
    }
  });
}

test("the arm opens where every direction has room", async ({ page }) => {
  await visit(page, "en", false);
  for (const frame of ["joint", "base", "tool", "world", "task"]) {
    await page.locator(`input[name=frame][value=${frame}]`).check({ force: true });
    await expect(page.locator("#strip")).toHaveAttribute("data-frame", frame);
    await expect(page.locator(".jog .room").first()).not.toBeEmpty();
    await expect(page.locator(".jog.no-room")).toHaveCount(0);
  }
});

test("keys are seen where they lead from their first use on, unless they are switched off", async ({ page }) => {
  await page.setViewportSize({ width: 1366, height: 768 });
  await visit(page, "es", true);
  // The first steps in the longer language are as little to read.
  await expect(page.locator("#guide")).toBeInViewport({ ratio: 1 });
  const found = await count(page);
  expect(found.stops).toBeLessThanOrEqual(30);
  expect(found.words).toBeLessThanOrEqual(140);
  expect(found.picture).toBeGreaterThanOrEqual(0.7);
  const mark = (of: string) => page.evaluate((of) => getComputedStyle(document.querySelector(of)!, "::after").content, of);
  const toldKeys = page.locator(".guide-keys");
  expect(await mark(".jog.wanted")).toBe("none");
  await expect(toldKeys).toBeHidden();
  await expect(page.locator(".option:has([name=frame][value=base]) kbd")).toHaveText("B");
  await expect(page.locator(".option:has([name=frame][value=base]) kbd")).toBeVisible();
  // A modifier alone is none.
  await page.keyboard.press("Shift");
  await expect(toldKeys).toBeHidden();
  await page.keyboard.press("f");
  expect(await mark(".jog.wanted")).toContain("F");
  await expect(toldKeys).toBeVisible();
  // The ring of the focus, and not the mark, is what is seen.
  const wanted = page.locator(".jog.wanted");
  await expect(wanted).toBeFocused();
  await expect(wanted).toHaveCSS("outline-style", "solid");
  await stands(page, () => page.keyboard.press("Enter"));
  const pressed = jogButton(page, 0, 1);
  await expect(pressed).toHaveClass(/aimed/);
  const pressing = await pressed.evaluate((e) => getComputedStyle(e).boxShadow);
  expect(pressing).not.toBe("none");
  await page.keyboard.press("f");
  await expect(page.locator("input[name=frame][value=base]")).toBeFocused();
  await expect(page.locator(".option.wanted > span")).toHaveCSS("outline-style", "solid");
  expect(await mark(".option.wanted > span")).toBe("none"); // it has a key of its own
  await expect(pressed).toHaveCSS("box-shadow", "none"); // what was pressed before presses no more
  await page.locator("#keys-open").click();
  await page.locator("#keys-use").uncheck();
  await page.keyboard.press("Escape");
  await expect(toldKeys).toBeHidden();
});

test("a drawer that is opened by its key has the focus at its heading, and puts an explanation away", async ({ page }) => {
  await visit(page, "en", false);
  await page.keyboard.press("m");
  await page.keyboard.press("d");
  await expect(page.locator("#joints > summary")).toBeFocused();
  await page.keyboard.press("m");
  await expect(page.locator("#term")).toBeVisible();
  await page.keyboard.press("v");
  await expect(page.locator("#look > summary")).toBeFocused();
  await expect(page.locator("#term")).toBeHidden();
  await page.keyboard.press("v");
  await expect(page.locator("[data-opens=look]")).toBeFocused();
});

test("for those who use keys the key of words stands at the first of them, until it has been used", async ({ page }) => {
  await visit(page, "en", false);
  await page.locator("[data-opens=measure]").click();
  await expect(page.locator(".term.keyed")).toHaveCount(0);
  await page.keyboard.press("Tab");
  await expect(page.locator(".term.keyed")).toHaveCount(1);
  await page.keyboard.press("m");
  await expect(page.locator("#term")).toBeVisible();
  await expect(page.locator(".term.keyed")).toHaveCount(0);
});

test("the box with the link says what it opens, and is closed by a button", async ({ page }) => {
  await visit(page, "en", false);
  const box = page.locator("#share-box");
  await page.locator("#share").click();
  await expect(page.locator("#share-opens")).toContainText("opens this arm with these joints");
  await box.locator("button").click();
  await expect(box).toBeHidden();
  await page.goto("/#/lessons/joints-one-at-a-time/2");
  await expect(page.locator("#lesson-stage")).toContainText("2.");
  await page.keyboard.press("Shift+S");
  await expect(page.locator("#share-opens")).toHaveText("It opens stage 2 of this lesson; your answers are not in it.");
});

test("each drawer opens by its button and its key, shows what it is for, and is out again on the next visit", async ({ page }) => {
  await visit(page, "en", false);
  for (const [name, key, holds] of [["setup", "s", "#arm"], ["look", "v", "[data-look=left]"], ["measure", "d", "#joints"], ["compare", "x", "#ways"], ["predict", "q", "#predict-switch"], ["record", "n", "#log-save"]] as const) {
    const button = page.locator(`[data-opens=${name}]`);
    await expect(button.locator("kbd")).toHaveText(key.toUpperCase());
    await button.click();
    await expect(page.locator(holds)).toBeVisible();
    await expect(page.locator("[aria-expanded=true][data-opens]")).toHaveCount(1);
    await page.keyboard.press(key);
    await expect(page.locator(holds)).toBeHidden();
    await page.keyboard.press(key);
    await expect(page.locator(holds)).toBeVisible();
  }
  for (const side of ["left", "right"]) expect(await page.locator(`.column-${side}`).evaluate((e) => e.scrollHeight - e.clientHeight), side).toBeLessThanOrEqual(0); // what records is in sight at once
  await page.reload();
  await ready(page);
  await expect(page.locator("#log-save")).toBeVisible();
  await page.keyboard.press("Escape");
  await expect(page.locator("#log-save")).toBeHidden();
});

test("the system's light or dark is followed until one is chosen, and the projector is light", async ({ page }) => {
  await page.emulateMedia({ colorScheme: "dark" });
  await visit(page, "en", false);
  const html = page.locator("html");
  await expect(html).toHaveAttribute("data-theme", "dark");
  await page.emulateMedia({ colorScheme: "light" });
  await expect(html).toHaveAttribute("data-theme", "light");
  await page.locator("#theme").click();
  await expect(html).toHaveAttribute("data-theme", "dark");
  await page.keyboard.press("p");
  await expect(html).toHaveAttribute("data-theme", "light");
  await page.keyboard.press("p");
  await expect(html).toHaveAttribute("data-theme", "dark");
});

test("undo, redo, and the same jog again", async ({ page }) => {
  await visit(page, "en", false);
  const j1 = async (): Promise<number> => (await state(page)).joints_deg[0];
  const [undo, redo, again] = ["#undo", "#redo", "#again"].map((id) => page.locator(id));
  // What cannot be pressed looks it.
  for (const button of [undo!, redo!, again!]) {
    await expect(button).toBeDisabled();
    await expect(button).toHaveCSS("border-top-style", "dashed");
    await expect(button).toHaveCSS("cursor", "not-allowed");
  }
  const from = await j1();
  await stands(page, () => jogButton(page, 0, 1).click());
  await expect(again!).toHaveCSS("border-top-style", "solid");
  await expect(again!).toHaveCSS("cursor", "pointer");
  expect(await j1()).toBeCloseTo(from + 5, 6);
  await stands(page, () => again!.click());
  expect(await j1()).toBeCloseTo(from + 10, 6);
  await stands(page, () => undo!.click());
  expect(await j1()).toBeCloseTo(from + 5, 6);
  await expect(redo!).toBeEnabled();
  await stands(page, () => redo!.click());
  expect(await j1()).toBeCloseTo(from + 10, 6);
  await expect(redo!).toBeDisabled();
  await stands(page, () => page.keyboard.press("u"));
  await stands(page, () => page.keyboard.press("y"));
  expect(await j1()).toBeCloseTo(from + 10, 6);
  // What has been driven since leads another way.
  await stands(page, () => undo!.click());
  await stands(page, () => jogButton(page, 1, 1).click());
  await expect(redo!).toBeDisabled();
});

test("a jog that is left behind where the arm is put elsewhere was not undone", async ({ page }) => {
  await visit(page, "en", false);
  await stands(page, () => jogButton(page, 0, 1).click());
  const there = (await state(page)).joints_deg;
  await page.locator("[data-opens=setup]").click();
  await page.locator("#restart").click();
  await page.waitForFunction((q) => (window as any).handrule.state.joints_deg[0] !== q, there[0]);
  await settled(page);
  await expect(page.locator("#redo")).toBeDisabled();
  await expect(page.locator("#undo")).toBeEnabled();
});

test("the start pose is undone; undo, redo and again at their edges", async ({ page }) => {
  await visit(page, "en", false);
  const [undo, redo, again] = ["#undo", "#redo", "#again"].map((id) => page.locator(id)) as [Locator, Locator, Locator];
  for (const button of [undo, redo, again]) await expect(button).toBeDisabled();
  await stands(page, () => jogButton(page, 0, 1).click());
  await stands(page, () => jogButton(page, 1, 1).click());
  const there = (await state(page)).joints_deg;
  await page.locator("[data-opens=setup]").click();
  await page.locator("#restart").click();
  await page.waitForFunction((q) => (window as any).handrule.state.joints_deg[0] !== q, there[0]);
  await expect(redo).toBeDisabled();
  await undo.click();
  await page.waitForFunction((q) => (window as any).handrule.state.joints_deg[0] === q, there[0]);
  expect((await state(page)).joints_deg).toEqual(there);
  // It goes on with the jogs before, and they are driven anew.
  await stands(page, () => undo.click());
  await expect(redo).toBeEnabled();
  await stands(page, () => redo.click());
  expect((await state(page)).joints_deg).toEqual(there.map((deg: number) => expect.closeTo(deg, 6)));
  await expect(redo).toBeDisabled();
  // Another jog than the one that was undone leads elsewhere: there is nothing to drive anew.
  await stands(page, () => undo.click());
  await stands(page, () => jogButton(page, 2, -1).click());
  await expect(redo).toBeDisabled();
  // After another tool the way back is the same way of the joints.
  await page.locator("#tool").selectOption({ index: 1 });
  await expect(undo).toBeEnabled();
  await stands(page, () => again.click());
  await stands(page, () => undo.click());
  // In a lesson none of what was driven before it is left.
  await page.evaluate(() => (location.hash = "#/lessons/joints-one-at-a-time"));
  await expect(page.locator("#lesson-place")).toBeVisible();
  for (const button of [undo, redo, again]) await expect(button).toBeDisabled();
});

test.describe("the guided start", () => {
  for (const [width, height] of [[1280, 720], [390, 844]] as const) {
    test(`${width}×${height}: five things, each ticked off by what the arm does, and never in the way again`, async ({ page }) => {
      await page.setViewportSize({ width, height });
      await visit(page, "en", true);
      const guide = page.locator("#guide");
      const past = page.locator("#guide-dots > .past");
      await expect(guide).toBeInViewport({ ratio: 1 });
      const found = await count(page);
      expect(found.stops).toBeLessThanOrEqual(30);
      expect(found.words).toBeLessThanOrEqual(140);
      // It covers nothing of the picture where there is room beside it.
      if (width > 1000) expect(found.picture).toBeGreaterThanOrEqual(0.7);
      if (width > 1000) expect(found.arm).toBeGreaterThanOrEqual(0.55);
      // Each thing is done by what is marked, first the frame and then the button.
      await expect(page.locator(".wanted")).toHaveCount(1);
      await page.locator(".jog.wanted").click();
      await expect(past).toHaveCount(1);
      await page.locator(".option.wanted").click();
      await page.locator(".jog.wanted").click();
      await expect(past).toHaveCount(2);
      // Refused at the zero pose, and why.
      await expect(page.locator("#guide-help")).toHaveClass(/wanted/);
      await page.locator("#guide-help").click();
      await page.waitForFunction(() => (window as any).handrule.state.joints_deg.every((deg: number) => deg === 0));
      await expect(page.locator("#undo")).toBeEnabled(); // it leads back to where the arm stood before it was straightened
      await page.locator(".jog.wanted").click();
      await expect(past).toHaveCount(3);
      await expect(page.locator(".stop-headline")).toContainText("wrist singularity");
      // Bent, and once more with one press.
      await page.locator("#guide-help").click();
      await page.waitForFunction(() => ((s) => s.joints_deg[4] > 59.9 && !s.moving)((window as any).handrule.state));
      await expect(page.locator("#again")).toContainText("Y");
      await expect(page.locator("#again")).toHaveClass(/wanted/);
      await page.locator("#again").click();
      await expect(past).toHaveCount(4);
      // That the tip stays is seen from near, and the view from before comes back with the end.
      const near = (): Promise<boolean> => page.evaluate(() => (window as any).handrule.view.kept.own !== null);
      expect(await near()).toBe(true);
      const tip = (await state(page)).tcp_place.p;
      await stands(page, () => page.locator(".jog.wanted").click());
      await expect(past).toHaveCount(5);
      const off = (await state(page)).tcp_place.p.map((mm: number, i: number) => mm - tip[i]);
      expect(Math.hypot(...off)).toBeLessThan(1e-6);
      await expect(page.locator("#guide-ends")).toBeVisible();
      await page.locator("#guide-free").click();
      await expect(guide).toBeHidden();
      expect(await near()).toBe(false);
      await page.reload();
      await ready(page);
      await expect(guide).toBeHidden();
      await page.locator("#guide-open").click();
      await expect(guide).toBeVisible();
      await expect(past).toHaveCount(0);
    });
  }

  test("a few keys a step lead through it, through a wrong and a right answer of the first lesson, and to a link", async ({ page }) => {
    await visit(page, "en", true);
    const past = page.locator("#guide-dots > .past");
    const { keyboard } = page;
    /** To what is next, by the key for it, and presses it. */
    const onward = async (next: Locator): Promise<void> => {
      await expect(next).toBeEnabled();
      await keyboard.press("f");
      await expect(next).toBeFocused();
      await expect(next).toBeInViewport({ ratio: 1 });
      await keyboard.press("Enter");
    };
    const wanted = page.locator(".jog.wanted");
    // Whoever goes by the Tab key comes upon that key first.
    await keyboard.press("Tab");
    await expect(page.locator("#ahead")).toBeFocused();
    await expect(page.locator("#ahead")).toBeInViewport({ ratio: 1 });
    await keyboard.press("Enter");
    await expect(wanted).toBeFocused();
    await keyboard.press("Enter");
    await expect(past).toHaveCount(1);
    await onward(page.locator("input[name=frame][value=base]"));
    await onward(wanted);
    await expect(past).toHaveCount(2);
    await onward(page.locator("#guide-help"));
    await page.waitForFunction(() => (window as any).handrule.state.joints_deg.every((deg: number) => deg === 0));
    await onward(wanted);
    await expect(past).toHaveCount(3);
    // One advice, and no other beside it.
    await expect(page.locator(".stop-headline")).toContainText("wrist singularity");
    for (const other of [".stop-advice", "#advised"]) await expect(page.locator(other)).toBeHidden();
    await onward(page.locator("#guide-help"));
    await page.waitForFunction(() => ((s) => s.joints_deg[4] > 59.9 && !s.moving)((window as any).handrule.state));
    await onward(page.locator("#again"));
    await expect(past).toHaveCount(4);
    await onward(wanted);
    await expect(past).toHaveCount(5);
    await onward(page.locator("#guide-lessons"));
    await expect(page.locator("#lessons-title")).toBeFocused();
    await onward(page.locator(".comes-next .lessons-go"));
    await expect(page.locator("#lesson-place")).toBeVisible();
    // Its first stage is driven.
    for (const pair of ["1", "2", "3", "4", "5", "6"]) {
      await stands(page, async () => {
        await keyboard.press(pair);
        await keyboard.press("ArrowUp");
      });
    }
    const next = page.locator("#lesson-next");
    await expect(next).toHaveClass(/onward/);
    await onward(next);
    // The second is driven, too; it is gone past. The third is a question.
    await expect(page.locator("#lesson-stage")).toBeFocused();
    await expect(page.locator("#lesson-stage")).toContainText("2.");
    for (let i = 0; i < 6; i++) await stands(page, () => keyboard.press(i === 0 ? "1" : "ArrowUp").then(() => (i === 0 ? keyboard.press("ArrowUp") : undefined)));
    await expect(next).toHaveClass(/onward/);
    await onward(next);
    await expect(page.locator("#lesson-stage")).toBeFocused();
    await expect(page.locator("#lesson-stage")).toContainText("3.");
    const verdict = page.locator("#task-verdict");
    await keyboard.press("f");
    await expect(page.locator("input[name=task-choice]").first()).toBeFocused();
    await keyboard.press("Enter");
    await keyboard.press("f");
    await keyboard.press("Enter");
    await expect(verdict).toHaveAttribute("data-tone", "wrong");
    await keyboard.press("f");
    await keyboard.press("ArrowRight"); // from X + to X −
    await keyboard.press("f");
    await expect(page.locator("#task-answer")).toBeFocused();
    await keyboard.press("Enter");
    await expect(verdict).toHaveAttribute("data-tone", "right");
    await onward(next);
    await expect(page.locator("#lesson-stage")).toContainText("4.");
    await expect(page.locator("#lesson-stage")).toBeFocused();
    await keyboard.press("Shift+S");
    await expect(page.locator("#share-link")).toBeFocused();
    await expect(page.locator("#share-link")).toHaveValue(/#\/lessons\/joints-one-at-a-time\/4/);
  });

  test("closed half-way it is not in the way of the next visit, and is found again", async ({ page }) => {
    await visit(page, "en", true);
    const guide = page.locator("#guide");
    await page.locator(".jog.wanted").click();
    await expect(page.locator("#guide-dots > .past")).toHaveCount(1);
    await page.locator("#guide-close").click();
    await expect(guide).toBeHidden();
    await page.reload();
    await ready(page);
    await settled(page);
    await expect(guide).toBeHidden();
    await expect(page.locator(".wanted")).toHaveCount(0);
    await page.locator("#guide-open").click();
    await expect(guide).toBeInViewport({ ratio: 1 });
    await expect(page.locator(".wanted")).toHaveCount(1);
  });

  test("each thing can be skipped, and the end leads to the lessons", async ({ page }) => {
    await visit(page, "en", true);
    for (const past of [1, 2, 4, 5]) { // what was not refused is not made again
      await page.locator("#guide-skip").click();
      await expect(page.locator("#guide-dots > .past")).toHaveCount(past);
    }
    await page.locator("#guide-lessons").click();
    await expect(page.locator("#lessons")).toBeVisible();
    await expect(page.locator("#guide")).toBeHidden();
    if (process.env["LINK"]) return; // where there are no classes
    await page.keyboard.press("Escape");
    await page.locator("#guide-open").click();
    for (let i = 0; i < 4; i++) await page.locator("#guide-skip").click();
    await page.locator("#guide-class").click();
    await expect(page.locator("#class-code")).toBeVisible();
    await expect(page.locator("#guide")).toBeHidden();
  });
});

test("a tap while jogs are held says to keep the button down, moves nothing and leaves no trace", async ({ page }) => {
  await visit(page, "en", false);
  await page.locator("input[name=manner][value=hold]").check({ force: true });
  const before = (await state(page)).joints_deg;
  await jogButton(page, 2, 1).focus();
  // Down and up at once, however busy the machine is.
  await jogButton(page, 2, 1).evaluate((button) => {
    for (const type of ["keydown", "keyup"]) button.dispatchEvent(new KeyboardEvent(type, { key: "Enter", code: "Enter", bubbles: true, cancelable: true }));
  });
  await expect(page.locator("#problem")).toContainText("down to move"); // by keys
  await drawnWithin(page, 25);
  expect((await state(page)).joints_deg).toEqual(before);
  await page.locator("[data-opens=record]").click();
  await expect(page.locator("#log-empty")).toBeVisible();
});

test("in the page of lessons a key leads to the next lesson, but not with Ctrl, nor where such keys are off", async ({ page }) => {
  await page.goto("/#/lessons");
  await ready(page);
  const next = page.locator(".comes-next .lessons-go");
  await expect(next).toBeVisible();
  await page.keyboard.press("Control+f");
  await expect(next).not.toBeFocused();
  await page.keyboard.press("f");
  await expect(next).toBeFocused();
  await page.evaluate(() => localStorage.setItem("handrule-keys", "off"));
  await page.reload();
  await expect(page.locator("#lessons-title")).toBeFocused();
  await page.keyboard.press("f");
  await expect(page.locator("#lessons-title")).toBeFocused();
});
