// The page at three sizes, light and dark, in two languages: nothing over another, nothing cut off, nothing axe finds.
import { expect, type Page } from "@playwright/test";
import { axe } from "./axe";
import { faults } from "./layout";
import { frame, jogButton, open, settled, sizes, test } from "./bench";

test.describe("each size, language and theme", () => {
  // Its pictures are filled in when somebody wants to look at them: PICTURES=1 npx playwright test looks --reporter=html
  test.use({ pixels: !!process.env["PICTURES"] });
  for (const language of ["en", "es"]) {
    test(`${language}, at each size, light and dark`, async ({ page }, info) => {
      await page.setViewportSize({ width: sizes[0][0], height: sizes[0][1] });
      await open(page, `/?lang=${language}`);
      await frame(page, "base");
      for (const [width, height] of sizes) {
        await page.setViewportSize({ width, height });
        await jogButton(page, 1, 1).click();
        await expect(page.locator(".stop-headline")).toContainText(language === "en" ? "wrist singularity" : "singularidad de muñeca");
        for (const theme of ["light", "dark"]) {
          await expect(page.locator("html")).toHaveAttribute("data-theme", theme);
          await settled(page);
          expect(await faults(page)).toEqual([]);
          if ((sizes.findIndex(([w]) => w === width) + (theme === "dark" ? 1 : 0) + (language === "es" ? 1 : 0)) % 2 === 0) expect(await axe(page)).toEqual([]);
          await info.attach(`${width}-${language}-${theme}`, { body: await page.screenshot(), contentType: "image/png" });
          await page.locator("#theme").click();
        }
        if (width < 1000) {
          // All buttons are in sight above the drawers at the foot, and those lead to the rest.
          const foot = (await page.locator("#drawers").boundingBox())!.y;
          const lowest = await page.locator(".jog").evaluateAll((all) => Math.max(...all.map((e) => e.getBoundingClientRect().bottom)));
          expect(lowest).toBeLessThanOrEqual(foot);
          for (const [name, part] of [["look", "#lookers"], ["record", "#log"], ["measure", "#where"]]) {
            await page.locator(`[data-opens=${name}]`).click();
            await expect(page.locator(part!)).toBeInViewport(); // the first of its panels
          }
          continue;
        }
        // The bar is one row, and the buttons are in sight without scrolling.
        const middles = await page.locator(".bar button:visible, .bar select:visible").evaluateAll((all) => all.map((e) => ((box) => box.top + box.height / 2)(e.getBoundingClientRect())));
        expect(Math.max(...middles) - Math.min(...middles)).toBeLessThan(8);
        await expect(jogButton(page, 5, 1)).toBeInViewport({ ratio: 1 });
      }
      // Between the sizes of a laptop and a phone the picture keeps its room.
      await page.setViewportSize({ width: 900, height: 640 });
      await settled(page);
      expect(await faults(page)).toEqual([]);
      expect((await page.locator("#where").boundingBox())!.x).toBeGreaterThan(550);
    });
  }
});

/** The mean brightness, 0 to 255, of the picture around each of these places of the page. */
async function brightness(page: Page, places: { x: number; y: number }[]): Promise<number[]> {
  const png = (await page.screenshot()).toString("base64");
  return page.evaluate(
    async ([png, places]) => {
      const picture = new Image();
      picture.src = `data:image/png;base64,${png}`;
      await picture.decode();
      const canvas = document.createElement("canvas");
      [canvas.width, canvas.height] = [picture.width, picture.height];
      const context = canvas.getContext("2d")!;
      context.drawImage(picture, 0, 0);
      return places.map(({ x, y }) => {
        const { data } = context.getImageData(x - 1, y - 1, 3, 3);
        const colours = data.filter((_, i) => i % 4 < 3);
        return colours.reduce((sum, value) => sum + value, 0) / colours.length;
      });
    },
    [png, places] as const,
  );
}

test.describe("in pixels", () => {
  test.use({ pixels: true });
  test("the arm stands out from what is behind it, light and dark, and the graphics find no error", async ({ page }) => {
    await page.setViewportSize({ width: 1000, height: 600 });
    await open(page);
    await settled(page);
    // Places of the page at which the arm is, and at which nothing is.
    const [arm, nothing] = await page.evaluate(() => {
      const { view } = (window as any).handrule;
      const host = document.getElementById("view")!;
      const { left, top } = host.getBoundingClientRect();
      const [arm, nothing]: { x: number; y: number }[][] = [[], []];
      for (let y = 4; y < host.clientHeight; y += 6) {
        for (let x = 4; x < host.clientWidth; x += 6) {
          const place = { x: left + x, y: top + y };
          if (document.elementFromPoint(place.x, place.y)?.tagName !== "CANVAS") continue;
          const what = view.pointAt(x, y);
          if (what?.kind === "link") arm!.push(place);
          else if (!what) nothing!.push(place);
        }
      }
      return [arm!, nothing!] as const;
    });
    const mean = (values: number[]): number => values.reduce((a, b) => a + b, 0) / values.length;
    const behind: number[] = [];
    for (const theme of ["light", "dark"]) {
      await expect(page.locator("html")).toHaveAttribute("data-theme", theme);
      await settled(page);
      const values = await brightness(page, [...arm, ...nothing]);
      behind.push(mean(values.slice(arm.length)));
      expect(Math.abs(mean(values.slice(0, arm.length)) - behind.at(-1)!)).toBeGreaterThan(30);
      const error = await page.evaluate(() => (window as any).handrule.view.stage.renderer.getContext().getError());
      expect(error).toBe(0);
      await page.locator("#theme").click();
    }
    expect(behind[0]).toBeGreaterThan(behind[1]! + 100);
  });
});

test("without WebGL the page says so, and the arm still moves by its numbers", async ({ page }) => {
  await page.addInitScript(() => {
    const original = HTMLCanvasElement.prototype.getContext;
    HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, kind: string, ...rest: unknown[]) {
      return kind.startsWith("webgl") ? null : (original as any).call(this, kind, ...rest);
    } as typeof original;
  });
  await open(page);
  await expect(page.locator("#unavailable")).toContainText("has no WebGL 2");
  await jogButton(page, 0, 1).click();
  await expect(page.locator(".joint-angle").first()).toHaveText("5.00°");
});

test("whoever prefers reduced motion sees the camera jump", async ({ page }) => {
  await page.emulateMedia({ reducedMotion: "reduce" });
  await open(page);
  const frames = () => page.evaluate(() => (window as any).handrule.view.frames() as number);
  await page.locator("[data-opens=look]").click();
  await settled(page);
  const before = await frames();
  await page.locator('[data-look="left"]').click();
  await settled(page);
  expect((await frames()) - before).toBeLessThanOrEqual(2);
});

test("the keyboard map names every key, and is alone on paper", async ({ page }) => {
  await open(page);
  await page.keyboard.press("?");
  const map = page.locator("#keys");
  await expect(map).toBeVisible();
  for (const key of ["1", "6", "↑", "↓", "Space", "Esc", "J", "B", "W", "T", "K", "[", "]", "H", "L", "P", "O", "C", "G", "+", "?"]) {
    await expect(map.locator("kbd", { hasText: new RegExp(`^${key.replace(/[[\]?+]/g, "\\$&")}$`) }).first()).toBeVisible();
  }
  await page.emulateMedia({ media: "print" });
  await expect(map).toBeVisible();
  for (const gone of [".bar", "#strip", "#view", "#keys-print"]) await expect(page.locator(gone)).toBeHidden();
});

test("no number shifts, nor touches what is beside it, when a sign or a digit comes", async ({ page }) => {
  await open(page);
  for (const [width, height] of [...sizes, [1024, 768]] as const) {
    await page.setViewportSize({ width, height });
    await settled(page);
    const places = (angle: string, length: string, turn: string) =>
      page.evaluate(
        ([angle, length, turn]) => {
          const write = (selector: string, text: string) => document.querySelectorAll("#joints, #where").forEach((panel) => panel.querySelectorAll(selector).forEach((e) => (e.textContent = text)));
          write(".joint-angle", angle);
          write("[data-position]", length);
          write(".turn", turn);
          const ink = (e: Element) => {
            const range = document.createRange();
            range.selectNodeContents(e);
            return range.getBoundingClientRect();
          };
          const [track, number] = [document.querySelector(".joint-track")!, document.querySelector(".joint-angle")!];
          const boxes = [...document.querySelectorAll(".joint-track, .joint-angle, .joint-next, [data-position], #where .unit, #where .about")].map((e) => {
            const { x, width } = e.getBoundingClientRect();
            return [Math.round(x), Math.round(width)];
          });
          return { boxes, gap: ink(number).left - track.getBoundingClientRect().right };
        },
        [angle, length, turn] as const,
      );
    const short = await places("0.00°", "0.00", "0.00°");
    const long = await places("−355.00°", "−1234.56", "−180.00°");
    expect(long.boxes).toEqual(short.boxes);
    expect(long.gap).toBeGreaterThanOrEqual(4);
    expect((await places("−123.45°", "−123.45", "−12.34°")).boxes, `${width}×${height}`).toEqual(short.boxes);
    expect(await faults(page)).toEqual([]);
  }
});

test("the joints are a gauge, and no panel lies over another however the column is scrolled", async ({ page }) => {
  await page.setViewportSize({ width: 1366, height: 768 });
  await open(page);
  await expect(page.locator(".joint-track").first()).toHaveRole("meter");
  const column = page.locator(".column-left");
  for (const to of [0, 40, 100, 1000]) {
    await column.evaluate((e, y) => e.scrollTo(0, y), to);
    const [joints, near] = [(await page.locator("#joints").boundingBox())!, (await page.locator("#near").boundingBox())!];
    expect(joints.y + joints.height).toBeLessThanOrEqual(near.y);
  }
  // Why the arm stopped is read from end to end.
  await frame(page, "base");
  await jogButton(page, 1, 1).click();
  await expect(page.locator(".stop-headline")).toContainText("wrist singularity");
  await expect(page.locator("#last-stop")).toBeInViewport({ ratio: 0.99 });
});

test("on a phone the amount of a step is read whole", async ({ page }) => {
  for (const language of ["en", "es"]) {
    await page.setViewportSize({ width: 390, height: 844 });
    await open(page, `/?lang=${language}`);
    // The widest that is offered, beside the arrow that the browser draws.
    const room = await page.locator("#increment, #speed").evaluateAll((all) =>
      (all as HTMLSelectElement[]).map((select) => {
        const style = getComputedStyle(select);
        const context = document.createElement("canvas").getContext("2d")!;
        context.letterSpacing = style.letterSpacing;
        context.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
        return select.clientWidth - Math.max(...[...select.options].map((o) => context.measureText(o.text).width)) - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
      }),
    );
    for (const px of room) expect(px).toBeGreaterThanOrEqual(16);
    expect(await faults(page)).toEqual([]);
  }
});
