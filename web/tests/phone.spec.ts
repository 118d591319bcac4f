// A page on a phone: what is asked for is in sight, and nothing else moves.
import { expect, type Page } from "@playwright/test";
import { ask, askFrame, jogButton, open, ready, settled, stands, test } from "./bench";
import { faults } from "./layout";

test.use({ viewport: { width: 390, height: 844 }, hasTouch: true });

const step = (page: Page, axis: number, sign: number): Promise<void> => stands(page, () => jogButton(page, axis, sign).tap());

const top = (page: Page, selector: string): Promise<number> => page.locator(selector).first().evaluate((e) => e.getBoundingClientRect().top);
const bottom = (page: Page, selector: string): Promise<number> => page.locator(selector).first().evaluate((e) => e.getBoundingClientRect().bottom);

/** The panels of what is out, from the top down. */
const firstTitle = (page: Page): Promise<number> =>
  page.evaluate(() => Math.min(...[...document.querySelectorAll<HTMLElement>(".panel.out")].filter((p) => p.checkVisibility()).map((p) => p.getBoundingClientRect().top)));

for (const [width, height] of [[390, 844], [320, 568], [430, 932]] as const) {
  test(`${width}×${height}: a tab brings its own part up to the picture, also in a lesson, and is marked while that is in sight`, async ({ page }) => {
    await page.setViewportSize({ width, height });
    for (const inLesson of [false, true]) {
      if (inLesson) await open(page, "/#/lessons/joints-one-at-a-time/4");
      else await open(page);
      for (const name of ["setup", "look", "measure", "compare", "predict", "record"]) {
        const tab = page.locator(`[data-opens=${name}]`);
        await tab.tap();
        await expect(tab).toHaveClass(/here/);
        expect(await page.locator(".drawer.here").count()).toBe(1);
        const under = (await firstTitle(page)) - (await bottom(page, "#view"));
        expect(under, name).toBeGreaterThanOrEqual(-1);
        expect(under, name).toBeLessThan(16);
        const share = page.locator("#share");
        await expect(share).toBeInViewport({ ratio: 1 });
        expect(await share.evaluate((e) => e.contains(document.elementFromPoint(e.getBoundingClientRect().x + 15, e.getBoundingClientRect().y + 15)))).toBe(true);
      }
      await page.evaluate(() => window.scrollTo(0, 0));
      await expect(page.locator(".drawer.here")).toHaveCount(0);
      // Pressed once more it is brought back, and closes only where it is in sight.
      await page.locator("[data-opens=record]").tap();
      await expect(page.locator("[data-opens=record]")).toHaveClass(/here/);
      await page.locator("[data-opens=record]").tap();
      await expect(page.locator(".panel.out")).toHaveCount(0);
      expect(await page.evaluate(() => scrollY)).toBe(0);
    }
  });
}

for (const language of ["en", "es"]) {
  test(`${language}: the way to a link stays at the foot of the picture, and the words about the hand are one line beside it`, async ({ page }) => {
    await page.setViewportSize({ width: 390, height: 844 });
    await open(page, `/?lang=${language}#/arm/wren`);
    await askFrame(page, "base");
    const share = page.locator("#share");
    const fromFoot = async () => Math.round(await page.evaluate(() => innerHeight * 0.5) - (await bottom(page, "#share")));
    const [before, { x }] = [await fromFoot(), (await share.boundingBox())!];
    const says = page.locator("#hand-says");
    for (const [axis, sign] of [[0, 1], [5, 1], [5, -1]] as const) {
      await step(page, axis, sign);
      await expect(says).not.toBeEmpty();
      expect(await says.evaluate((e) => e.getClientRects().length), `${axis} ${sign}`).toBe(1);
    }
    for (const name of ["look", "measure"]) {
      await page.locator(`[data-opens=${name}]`).tap();
      await expect(page.locator(`[data-opens=${name}]`)).toHaveClass(/here/);
      expect([await fromFoot(), (await share.boundingBox())!.x]).toEqual([before, x]);
      const hand = (await says.boundingBox())!;
      expect(hand.x + hand.width).toBeLessThanOrEqual(x);
    }
  });
}

test("what is read over the picture is explained there, and another frame than that of the jog is told", async ({ page }) => {
  await open(page);
  const term = page.locator("#readout .term").first();
  await term.tap();
  await expect(page.locator("#term")).toBeVisible();
  await expect(page.locator("#term strong")).toHaveText(/TCP/);
  await term.tap();
  await expect(page.locator("#term")).toBeHidden();
  await askFrame(page, "tool");
  await step(page, 0, 1);
  await expect(page.locator("#next")).toContainText("The numbers over the picture are in the base frame.");
  expect(await page.locator("#next").evaluate((e) => e.scrollHeight - e.clientHeight)).toBeLessThanOrEqual(0);
  await askFrame(page, "base");
  await step(page, 0, 1);
  await expect(page.locator("#next")).toContainText("Next step");
  await expect(page.locator("#next")).not.toContainText("The numbers over the picture");
});

test("a frame that a lesson does without says so when it is touched", async ({ page }) => {
  await open(page, "/#/lessons/joints-one-at-a-time/1");
  await expect(page.locator("input[name=frame][value=tool]")).toBeDisabled();
  await page.locator("label:has(> input[name=frame][value=tool])").tap({ force: true });
  await expect(page.locator("#problem")).toContainText("does not use that frame");
});

test("why the arm stopped is told over the jog buttons, nothing moves, and what is told of a step is not cut", async ({ page }) => {
  await open(page, "/#/arm/wren?joints=0,0,0,0,0,0");
  await askFrame(page, "base");
  await jogButton(page, 1, 1).tap(); // which is refused
  const why = page.locator("#why");
  await expect(why).toBeVisible();
  const before = await top(page, "#again");
  await why.tap();
  const card = page.locator("#stops");
  await expect(card).toBeInViewport({ ratio: 1 });
  expect(await bottom(page, "#stops")).toBeLessThanOrEqual(await top(page, "#drawers"));
  expect(await page.evaluate(() => scrollY)).toBe(0);
  expect(await top(page, "#again")).toBe(before);
  expect(await top(page, "#stops")).toBeGreaterThan(await bottom(page, "#sentence"));
  await page.locator("#stops-close").tap();
  await expect(card).toBeHidden();
  await why.tap();
  await expect(card).toBeInViewport({ ratio: 1 });
  await page.touchscreen.tap(195, 200); // on the picture
  await expect(card).not.toHaveClass(/asked/);
  await step(page, 2, 1);
  await expect(page.locator(".stop-headline")).not.toHaveText("");
  expect(await top(page, "#stops")).toBeGreaterThan(await top(page, "#drawers"));
  await expect(page.locator("#readout .readout-frame")).toHaveText("TCP, base frame");
  await expect(page.locator("#readout .readout-frame")).toBeInViewport({ ratio: 1 });
});

for (const language of ["en", "es"]) {
  test(`${language}: the guided start is as high from its first words to its last, and the sentence tells of what it asks`, async ({ page }) => {
    await page.goto(`/?lang=${language}`);
    await ready(page);
    const guide = page.locator("#guide");
    await expect(guide).toBeVisible();
    for (const [width, height] of [[390, 844], [320, 693], [430, 932]] as const) {
      await page.setViewportSize({ width, height });
      await settled(page); // the guide is made as high as it will be when the window has changed
      await expect.poll(() => guide.evaluate((e) => e.style.minHeight)).not.toBe("");
      const heights = new Set<number>();
      const measure = async (): Promise<void> => void heights.add(await guide.evaluate((e) => Math.round(e.getBoundingClientRect().height)));
      await measure();
      for (let i = 0; i < 5 && (await page.locator("#guide-skip").isVisible()); i++) {
        await page.locator("#guide-skip").tap();
        await measure();
      }
      expect([...heights], `${width} wide`).toHaveLength(1);
      await page.locator("#guide-close").tap();
      await page.locator("#guide-open").tap();
    }
  });
}

test("in the guided start the next step is the one that is asked for, also after the arm has bent by itself", async ({ page }) => {
  await page.goto("/?lang=en");
  await ready(page);
  await expect(page.locator("#guide")).toBeVisible();
  await page.locator("#guide-skip").tap();
  await page.locator("label", { has: page.locator("input[name=frame][value=base]") }).tap();
  await expect(page.locator("#next")).toContainText("10 mm straight along −Z of the base frame");
  await page.locator("#guide-skip").tap();
  await page.locator("#guide-help").tap();
  const axes = (): Promise<boolean> => page.evaluate(() => (window as any).handrule.view.explained.object.visible);
  expect(await axes()).toBe(false);
  await jogButton(page, 1, 1).tap();
  await expect(page.locator("#guide")).toContainText("so the axes of J4 and J6 lie in one line");
  await expect(page.locator("#why")).toBeHidden(); // it is told there
  await expect.poll(axes).toBe(true); // the line in which those of J4 and J6 lie, of which it speaks
  await page.locator("#guide-help").tap();
  await expect(page.locator("#next")).toContainText("Next step: 10 mm straight along +Y of the base frame");
  await page.locator("#guide-skip").tap();
  await expect.poll(axes).toBe(false);
});

test("the joints' angles are true as soon as joints are jogged again, before anything moves", async ({ page }) => {
  await open(page);
  const angles = (): Promise<string[]> => page.locator(".pair-at").allTextContents();
  const told = async (): Promise<string[]> => (await page.evaluate(() => (window as any).handrule.state.joints_deg as number[])).map((deg) => `${Math.abs(deg) < 0.05 ? "" : deg < 0 ? "−" : ""}${Math.abs(deg).toFixed(1)}°`);
  await expect.poll(angles).toEqual(Array(6).fill("0.0°"));
  await askFrame(page, "base");
  await step(page, 0, 1);
  await askFrame(page, "joint");
  await expect(page.locator("#strip")).toHaveAttribute("data-frame", "joint");
  expect(await angles()).toEqual(await told());
  expect(await angles()).not.toEqual(Array(6).fill("0.0°"));
});

test("the way to a joint at its limit leads to the button away from there, and uncovers it", async ({ page }) => {
  for (const [at, sign] of [[120, -1], [-120, 1]] as const) {
    await open(page, `/#/arm/wren?joints=0,0,0,0,${at},0`);
    await askFrame(page, "joint");
    await jogButton(page, 4, -sign).tap(); // which is refused
    await page.locator("#why").tap();
    await expect(page.locator("#stops")).toHaveClass(/asked/);
    await page.locator("#advised").tap();
    await expect(page.locator("#strip")).toHaveAttribute("data-frame", "joint");
    await expect(page.locator("#stops")).not.toHaveClass(/asked/);
    await expect(jogButton(page, 4, sign)).toHaveClass(/aimed/);
    await step(page, 4, sign);
    expect(Math.abs(await page.evaluate(() => (window as any).handrule.state.joints_deg[4]))).toBeCloseTo(115, 3);
  }
});

test("what was refused is tried once more by a step that is told, and the page shows that jog, also while held and in another frame", async ({ page }) => {
  await open(page, "/#/arm/wren?joints=0,0,0,0,0,0");
  await askFrame(page, "base");
  const again = page.locator("#again");
  await page.locator("label", { has: page.locator("input[name=manner][value=hold]") }).tap();
  await ask(page, { type: "step", direction: { frame: "base", axis: 1, sign: 1 } }); // which is refused
  await expect(again).toHaveText("Try one step: Y +, 10 mm");
  await page.locator("#why").tap();
  await page.locator("#advised").tap();
  await expect(page.locator("#strip")).toHaveAttribute("data-frame", "joint");
  await stands(page, () => ask(page, { type: "play", name: "bend", text: "speed 60\njoint J5 +60" }));
  await expect(page.locator("#strip")).toHaveAttribute("data-frame", "joint");
  const y = (): Promise<number> => page.evaluate(() => (window as any).handrule.state.tcp.position_mm[1]);
  const before = await y();
  await stands(page, () => again.tap());
  await expect(page.locator("#strip")).toHaveAttribute("data-frame", "base");
  await expect(jogButton(page, 1, 1)).toHaveClass(/aimed/);
  expect((await y()) - before).toBeCloseTo(10, 2);
  await expect(again).toHaveText("again");
});

for (const language of ["en", "es"]) {
  test(`${language}: while held it is told to keep a button pressed, and what is said after a short tap covers no number`, async ({ page }) => {
    await page.goto(`/?lang=${language}#/arm/wren`);
    await ready(page);
    await page.locator("label", { has: page.locator("input[name=manner][value=hold]") }).tap();
    await expect(page.locator("#next")).toContainText(language === "en" ? "Keep a button pressed" : "Mantenga pulsado un botón");
    for (const [width, height] of [[390, 844], [320, 568]] as const) {
      await page.setViewportSize({ width, height });
      for (const scrolled of [0, 400]) {
        await jogButton(page, 0, 1).tap();
        await page.evaluate((y) => window.scrollTo(0, y), scrolled);
        const problem = page.locator("#problem");
        await expect(problem).toBeVisible();
        expect(await top(page, "#problem")).toBeGreaterThanOrEqual(await bottom(page, "#readout"));
        expect(await bottom(page, "#problem")).toBeLessThanOrEqual(await bottom(page, "#view"));
        await page.evaluate(() => window.scrollTo(0, 0));
      }
    }
  });
}

test("the tab of what is out leads back to its top, and from there to the jog buttons", async ({ page }) => {
  await open(page);
  const tab = page.locator("[data-opens=measure]");
  await tab.tap();
  await expect(tab).toHaveClass(/here/);
  const y = (): Promise<number> => page.evaluate(() => scrollY);
  const at = await y();
  await page.evaluate((to) => window.scrollTo(0, to), at + 150);
  await expect.poll(y).toBeGreaterThan(at + 100);
  await tab.tap();
  expect(await y()).toBe(at);
  await expect(page.locator(".panel.out").first()).toBeVisible();
  await tab.tap();
  await expect(page.locator(".panel.out")).toHaveCount(0);
  expect(await y()).toBe(0);
});

test("where no pointer hovers the list of keys begins with the finger's part", async ({ page, browser }) => {
  const first = (of: Page): Promise<string> => of.locator(".keys-columns h3").first().innerText();
  await open(page, "/?lang=en#/arm/wren");
  await page.locator("#keys-open").tap();
  expect(await first(page)).toBe("Mouse or finger in the picture");
  const desk = await browser.newPage({ viewport: { width: 1366, height: 768 }, hasTouch: false });
  await desk.goto("/?lang=en#/arm/wren");
  await ready(desk);
  await desk.locator("#keys-open").click();
  expect(await first(desk)).toBe("First of all");
  await desk.close();
});

test.describe("on its side", () => {
  test.use({ viewport: { width: 844, height: 390 }, isMobile: true });

  for (const language of ["en", "es"]) {
    test(`${language}: the picture is as high as the screen, all jog buttons are beside it, and so is a question with its answer`, async ({ page }) => {
      await page.goto(`/?lang=${language}`);
      await ready(page);
      for (const [width, height] of [[844, 390], [667, 375], [932, 430]] as const) {
        await page.setViewportSize({ width, height });
        await settled(page);
        const size = `${width}×${height}`;
        const view = (await page.locator("#view").boundingBox())!;
        expect(view.height, size).toBe(height);
        expect(await faults(page), size).toEqual([]);
        const foot = await top(page, "#drawers");
        for (let axis = 0; axis < 6; axis++)
          for (const sign of [-1, 1]) {
            const button = (await jogButton(page, axis, sign).boundingBox())!;
            expect(button.x, size).toBeGreaterThan(view.width - 1);
            expect(button.y + button.height, size).toBeLessThanOrEqual(foot);
          }
        await expect(page.locator("#guide")).toBeInViewport({ ratio: 1 });
      }
      // The words about the hand and the way to a link leave each other room.
      await page.locator("#guide-close").tap();
      await page.locator("label:has(> input[name=frame][value=base])").tap();
      await page.locator("[data-opens=look]").tap();
      await expect(page.locator("#hand-says")).not.toBeEmpty();
      const [hand, share] = [(await page.locator("#hand-says").boundingBox())!, (await page.locator("#share").boundingBox())!];
      expect(hand.x + hand.width).toBeLessThanOrEqual(share.x);
      await page.goto(`/?lang=${language}#/lessons/straight-lines/1`);
      await expect(page.locator("#lesson-task")).toBeVisible();
      for (const [width, height] of [[844, 390], [932, 430]] as const) {
        await page.setViewportSize({ width, height });
        await settled(page);
        for (const part of ["#lesson-task .ask", "#task-answer"]) await expect(page.locator(part), `${part} at ${width}×${height}`).toBeInViewport({ ratio: 1 });
        expect(await bottom(page, "#task-answer")).toBeLessThanOrEqual(await top(page, "#drawers"));
      }
    });
  }

  test("what is out stands beside the picture, and the button leads to the lesson and back", async ({ page }) => {
    await open(page, "/#/lessons/joints-one-at-a-time/4");
    for (const name of ["look", "measure", "record"]) {
      await page.locator(`[data-opens=${name}]`).tap();
      await expect(page.locator(`[data-opens=${name}]`)).toHaveClass(/here/);
      expect(await firstTitle(page), name).toBeGreaterThanOrEqual(0);
      expect(await firstTitle(page), name).toBeLessThan(16);
    }
    const fro = page.locator("#to-and-fro");
    await fro.tap();
    await expect(fro).toHaveAttribute("data-to", "lesson");
    await expect(jogButton(page, 0, 1)).toBeInViewport({ ratio: 1 });
    await fro.tap();
    await expect(fro).toHaveAttribute("data-to", "strip");
    await expect(page.locator("#lesson-steps")).toBeInViewport({ ratio: 1 });
  });
});

test("without a lesson a button leads from a drawer back to the jog buttons, and covers no tab", async ({ page }) => {
  await open(page);
  const back = page.locator("#to-and-fro");
  await page.evaluate(() => window.scrollTo(0, 0));
  await expect(back).toBeHidden();
  await page.locator("[data-opens=predict]").click();
  await expect(back).toBeVisible();
  await expect(back).toHaveText("Jog buttons");
  const tabs = (await page.locator("#drawers").boundingBox())!;
  const box = (await back.boundingBox())!;
  expect(box.y + box.height).toBeLessThanOrEqual(tabs.y);
  await back.click();
  await expect(page.locator(".jog").last()).toBeInViewport();
  await expect(back).toBeHidden();
});

test("with a finger, help begins with what a finger does, and the keys are folded below", async ({ page }) => {
  await open(page);
  await page.locator("#keys-open").click();
  await expect(page.locator("#keys h3").filter({ visible: true })).toHaveText(["Mouse or finger in the picture"]);
  await expect(page.locator("#keys dl").filter({ visible: true })).toContainText("underlined word");
  const folded = page.locator("#keys-folded");
  await expect(folded.locator("kbd").first()).toBeHidden();
  await folded.locator("summary").click();
  await expect(folded.locator("kbd").first()).toBeVisible();
});
