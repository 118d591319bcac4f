// What an instructor takes along: a picture of the scene, a drawing of the coordinate walk, a clip with what is said under it.
import { readFileSync } from "node:fs";
import { expect, type Page } from "@playwright/test";
import { ask, drawer, jogButton, open, settled, stands, test } from "./bench";

test.use({ pixels: true }); // which are looked at

async function saved(page: Page, id: string): Promise<Buffer> {
  const [download] = await Promise.all([page.waitForEvent("download"), page.locator(id).click()]);
  return readFileSync((await download.path())!);
}

/** The pixel in a corner of a picture of 640 × 400, and how many hide all that is behind them. */
const seenIn = (page: Page, png: Buffer): Promise<{ corner: number[]; opaque: number }> =>
  page.evaluate(async (text) => {
    const image = new Image();
    image.src = `data:image/png;base64,${text}`;
    await image.decode();
    const g = Object.assign(document.createElement("canvas"), { width: 640, height: 400 }).getContext("2d")!;
    g.drawImage(image, 0, 0);
    const { data } = g.getImageData(0, 0, 640, 400);
    return { corner: [...data.slice(0, 4)], opaque: data.filter((a, i) => i % 4 === 3 && a === 255).length };
  }, png.toString("base64"));

test("a picture has the size that was asked for, and where nothing stands nothing; the drawing has every number of the walk", async ({ page }) => {
  await open(page, "/#/arm/wren?joints=0,0,0,0,90,0&frame=base");
  await drawer(page, "record");
  await settled(page);
  const before = await page.evaluate(() => { const { width, height } = document.querySelector<HTMLCanvasElement>("#view canvas")!; return [width, height, (window as any).handrule.view.sight]; });
  await page.locator("#picture-width").fill("640");
  await page.locator("#picture-height").fill("400");
  await page.locator("#picture-ground").selectOption("none");
  const png = await saved(page, "#picture-save");
  const chunks = [...png.toString("latin1").matchAll(/(IHDR|IDAT|IEND|tEXt|iTXt|zTXt|eXIf|tIME|iCCP|pHYs|gAMA|sRGB)/g)].map((m) => m[0]);
  expect(new Set(chunks)).toEqual(new Set(["IHDR", "IDAT", "IEND"]));
  expect([png.readUInt32BE(16), png.readUInt32BE(20)]).toEqual([640, 400]);
  const none = await seenIn(page, png);
  expect(none.corner[3]).toBe(0);
  expect(none.opaque).toBeGreaterThan(5000); // the arm hides what is behind it
  await page.locator("#picture-ground").selectOption("white");
  expect(await seenIn(page, await saved(page, "#picture-save"))).toEqual({ corner: [255, 255, 255, 255], opaque: 640 * 400 });
  expect(await page.evaluate(() => { const { width, height } = document.querySelector<HTMLCanvasElement>("#view canvas")!; return [width, height, (window as any).handrule.view.sight]; })).toEqual(before);

  const svg = (await saved(page, "#drawing-save")).toString();
  const numbers = await page.evaluate(async (text) => {
    const drawn = new DOMParser().parseFromString(text, "image/svg+xml");
    return [drawn.querySelector("parsererror")?.textContent ?? "", [...drawn.querySelectorAll(".number")].map((e) => e.textContent), [...drawn.querySelectorAll(".letter")].map((e) => e.textContent)];
  }, svg);
  expect(numbers[0]).toBe("");
  const tcp: number[] = await page.evaluate(() => (window as any).handrule.state.tcp.position_mm);
  for (const [i, letter] of ["X", "Y", "Z"].entries()) expect(numbers[1]).toContainEqual(expect.stringMatching(new RegExp(`^${letter} [−]?${Math.abs(tcp[i]!).toFixed(2)} mm \\[`)));
  expect(numbers[2]).toEqual(["X", "Y", "Z"]);
  expect(svg).not.toMatch(/<image|href|script/);
  await stands(page, () => jogButton(page, 2, 1).click()); // all is as it was
});

interface Clip { duration: number; end: number; still: number; went: number; left: number }

/** What the browser's own player makes of a clip: how long it is, and how far its last picture is from its first and from the one on the page, as the part of the pixels that differ; likewise the one there and the first. */
async function played(page: Page, clip: Buffer, there: number): Promise<Clip> {
  const shown = await page.evaluate(
    () =>
      new Promise<string>((done) => {
        const { view } = (window as any).handrule;
        let frames = view.frames();
        let still = 0; // looks in a row at which nothing is drawn or will be
        view.redraw();
        const look = (): void => {
          still = view.scheduled === 0 && view.settling === 0 && view.frames() === frames ? still + 1 : 0; // The first picture of a slow machine is a coarse one.
          frames = view.frames();
          if (still <= 2) return void requestAnimationFrame(look);
          // What is drawn lasts until the frame is shown: it is brought to the canvas once more. A picture drawn anew may be one that is drawn behind it.
          if (!view.stage.drawsBehind) view.draw(performance.now());
          if (view.stage.drawsBehind) view.stage.show();
          done(view.canvas.toDataURL());
        };
        requestAnimationFrame(look);
      }),
  );
  const player = await page.context().newPage(); // The page itself plays nothing.
  const found = await player.evaluate(
    async ([clip, shown, there]) => {
      const video = document.createElement("video");
      video.muted = true;
      video.src = URL.createObjectURL(new Blob([Uint8Array.from(atob(clip), (c) => c.charCodeAt(0))], { type: "video/webm" }));
      await new Promise((done, fail) => Object.assign(video, { onloadeddata: done, onerror: () => fail(new Error(video.error!.message)) }));
      const pixels = (from: CanvasImageSource): Uint8ClampedArray => {
        const { videoWidth, videoHeight } = video;
        const g = Object.assign(document.createElement("canvas"), { width: videoWidth, height: videoHeight }).getContext("2d", { willReadFrequently: true })!;
        g.drawImage(from, 0, 0, videoWidth, videoHeight);
        return g.getImageData(0, 0, videoWidth, videoHeight).data;
      };
      const at = async (seconds: number): Promise<Uint8ClampedArray> => {
        const sought = new Promise((done) => (video.onseeked = done));
        video.currentTime = seconds;
        await sought;
        // A player tells that it is there a little before its picture can be drawn.
        for (;;) {
          const drawn = pixels(video);
          if (drawn[3] === 255) return drawn;
          await new Promise((next) => requestAnimationFrame(next));
        }
      };
      const differ = (a: Uint8ClampedArray, b: Uint8ClampedArray): number => a.filter((x, i) => Math.abs(x - b[i]!) > 40).length / a.length;
      const image = new Image();
      image.src = shown;
      await image.decode();
      const [last, first, then] = [await at(video.duration), await at(0), await at(there)];
      return { duration: video.duration, end: video.seekable.end(0), still: differ(first, then), went: differ(first, last), left: differ(last, pixels(image)) };
    },
    [clip.toString("base64"), shown, there] as const,
  );
  await player.close();
  return found;
}

test("a clip of a jog file is a whole film, from before the arm moves to where it stands, which a player goes through at will; its captions tell the jogs in time", async ({ page }) => {
  await open(page, "/#/arm/wren?joints=0,0,0,0,90,0&frame=base");
  await drawer(page, "record");
  await settled(page);
  await page.locator("#clip-file").setInputFiles({ name: "down.txt", mimeType: "text/plain", buffer: Buffer.from("base z -40\njoint J1 +30\n") });
  await expect(page.locator("#clip-saves")).toBeVisible({ timeout: 60_000 });
  const clip = await saved(page, "#clip-save");
  expect(clip.readUInt32BE(0)).toBe(0x1a45dfa3); // EBML, as WebM begins (RFC 8794)
  const captions = (await saved(page, "#clip-captions")).toString();
  expect(captions).toMatch(/^WEBVTT\n\n\d\d:\d\d:\d\d\.\d{3} --> [^\n]+\n40 mm along −Z of the base frame\n\n[^\n]+\nJ1, \+30°\n$/);
  const times = [...captions.matchAll(/(\d\d):(\d\d):(\d\d\.\d{3})/g)].map(([, h, m, s]) => Number(h) * 3600 + Number(m) * 60 + Number(s));
  const { duration, end, still, went, left } = await played(page, clip, times[0]!);
  expect(Number.isFinite(duration)).toBe(true);
  expect(end).toBeCloseTo(duration, 3);
  expect(times).toEqual(times.toSorted((a, b) => a - b));
  expect(times.at(-1)).toBeLessThanOrEqual(duration + 0.001);
  expect(still, "until the first jog is told the arm stands").toBeLessThan(0.002);
  expect(went, "then it moves").toBeGreaterThan(0.01);
  expect(left, "and the last picture shows where it stands, be it as fine as the page's or not").toBeLessThan(went / 4);
  // Of what one drives there is a clip too, until one ends it.
  await page.locator("#clip-begin").click();
  await expect(page.locator("#clip-end")).toBeVisible();
  await stands(page, () => jogButton(page, 2, 1).click());
  await expect(page.locator("#log-lines > li").first()).toContainText("10 mm");
  await page.locator("#clip-end").click();
  await expect(page.locator("#pictures-says")).toContainText("clip");
  await expect(page.locator("#clip-begin")).toBeEnabled();
  expect((await saved(page, "#clip-save")).readUInt32BE(0)).toBe(0x1a45dfa3);
  expect((await saved(page, "#clip-captions")).toString()).toMatch(/^WEBVTT\n\n[^\n]+\n10 mm along \+Z of the base frame\n$/);
});

test("a jog file that is refused makes no clip, and it is said why", async ({ page }) => {
  await open(page, "/#/arm/wren");
  await drawer(page, "record");
  await page.locator("#clip-file").setInputFiles({ name: "wrong.txt", mimeType: "text/plain", buffer: Buffer.from("base q -20\n") });
  await expect(page.locator("#pictures-says")).toHaveText(/^No clip was made\. wrong\.txt:1:6: unknown direction "q"[^\n]*$/);
  await expect(page.locator("#clip-saves")).toBeHidden();
  await expect(page.locator("#clip-end")).toBeHidden();
  await expect(page.locator("#clip-play")).toBeEnabled();
  // While the arm is driven no file is played, and none is recorded.
  await ask(page, { type: "play", name: "slow", text: "speed 1\njoint J1 +90\n" });
  await page.waitForFunction(() => (window as any).handrule.state.moving);
  await page.locator("#clip-file").setInputFiles({ name: "right.txt", mimeType: "text/plain", buffer: Buffer.from("base z -20\n") });
  await expect(page.locator("#pictures-says")).toHaveText(/^No clip was made\. (?!wrong)/);
  await expect(page.locator("#clip-play")).toBeEnabled();
});
