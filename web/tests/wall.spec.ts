// The projector view with every pair of its keys, alone and in a lesson: what would hang on a wall in front of a class.
import { expect, type Page } from "@playwright/test";
import { ask, frame, heard, jogButton, open, settled, stands, test } from "./bench";
import { armInPicture, faults } from "./projected";

const thorough = !!process.env["THOROUGH"];
const windows = [[1920, 1080], [1280, 720], [1024, 768]] as const;
const free = "#/arm/wren?cell=glazing-bench&joints=-20,10,10,0,70,0";
const places = [free, "#/lessons/the-right-hand/2", "#/lessons/straight-lines/5"] as const;

/** Rows of one choice of each factor, so that every pair of choices of two factors is in at least one; all rows with THOROUGH=1. */
function pairwise(...sizes: number[]): number[][] {
  const all = sizes.reduce<number[][]>((rows, n) => rows.flatMap((row) => Array.from({ length: n }, (_, i) => [...row, i])), [[]]);
  if (thorough) return all;
  const pairs = (row: number[]): string[] => row.flatMap((v, i) => row.slice(i + 1).map((u, k) => `${i}=${v} ${i + 1 + k}=${u}`));
  const left = new Set(all.flatMap(pairs));
  const chosen: number[][] = [];
  while (left.size > 0) {
    let [best, most] = [all[0]!, -1];
    for (const row of all) {
      const news = pairs(row).filter((pair) => left.has(pair)).length;
      if (news > most) [best, most] = [row, news];
    }
    for (const pair of pairs(best)) left.delete(pair);
    chosen.push(best);
  }
  return chosen;
}

// A browser's own full screen has one size; the page fills the window all the same.
test.beforeEach(({ page }) => page.addInitScript(() => void (Element.prototype.requestFullscreen = () => Promise.reject(new Error("refused")))));

test("every pair of the projector's keys, in each window, alone and in a lesson", async ({ page }) => {
  await page.emulateMedia({ reducedMotion: "reduce" });
  const found: string[] = [];
  const rows = pairwise(2, 2, 2, 2, 2, 2, 3, 3).map((row) => ({
    keys: [..."ogcal"].filter((_, i) => row[i] === 1),
    language: ["en", "es"][row[5]!]!,
    window: windows[row[6]!]!,
    place: places[row[7]!]!,
  }));
  let at = "";
  for (const { keys, window, language, place } of rows.sort((a, b) => (a.language + a.place).localeCompare(b.language + b.place))) {
    await page.setViewportSize({ width: window[0], height: window[1] });
    if (at !== `${language} ${place}`) {
      await open(page, `/?lang=${language}${place}`);
      if (place !== free) await expect(page.locator("#lesson")).toBeVisible();
    }
    at = `${language} ${place}`;
    await page.keyboard.press("p");
    for (const key of keys) await page.keyboard.press(key);
    await heard(page);
    for (const fault of await faults(page)) found.push(`P${keys.join("").toUpperCase()} ${window.join("×")} ${at}: ${fault}`);
    for (const key of keys) await page.keyboard.press(key);
    await page.keyboard.press("p");
  }
  expect(found).toEqual([]);
});

test("what stopped the arm is told whole, however long it is", async ({ page }) => {
  for (const [language, [width, height]] of [["en", windows[0]], ["es", windows[1]], ["es", windows[2]]] as const) {
    await page.setViewportSize({ width, height });
    await open(page, `/?lang=${language}`);
    await frame(page, "base");
    await jogButton(page, 1, 1).click();
    await expect(page.locator(".stop-headline")).not.toBeEmpty();
    await page.keyboard.press("p");
    const advice = page.locator(".stop-advice");
    await advice.evaluate((e) => (e.textContent = `${e.textContent} ${e.textContent}`)); // longer than any there is
    await settled(page);
    const whole = await page.locator("#last-stop").evaluate((e) => ({ cut: e.scrollHeight - e.clientHeight, bottom: e.getBoundingClientRect().bottom, strip: document.getElementById("strip")!.getBoundingClientRect().top }));
    expect(whole.cut).toBeLessThanOrEqual(1);
    expect(whole.bottom).toBeLessThanOrEqual(whole.strip + 1);
  }
});

test("a hint takes nothing of the picture, and gives way to what stopped the arm", async ({ page }) => {
  await page.setViewportSize({ width: 1280, height: 720 });
  await open(page, "/#/lessons/first-straight-line/3");
  await page.keyboard.press("p");
  for (const [width, height] of windows) {
    await page.setViewportSize({ width, height });
    const picture = () => page.locator("#view").evaluate((e) => e.clientHeight);
    await frame(page, "joint");
    await stands(page, () => jogButton(page, 5, 1).click());
    await expect(page.locator("#stops .trouble")).toBeHidden();
    const before = await picture();
    await page.locator("#task-again").click();
    await expect(page.locator("#task-hint")).toBeVisible();
    expect(await picture()).toBe(before);
    await frame(page, "base");
    await jogButton(page, 1, 1).click(); // with the wrist straight
    await expect(page.locator("#stops .trouble")).toBeVisible();
    await expect(page.locator("#task-hint")).toBeHidden();
  }
});

test("one key leaves the picture and what there is to answer, and the answer is given there", async ({ page }) => {
  await page.setViewportSize({ width: 1280, height: 720 });
  await open(page, "/#/lessons/the-right-hand/2");
  await expect(page.locator("#task-answer")).toBeVisible();
  await page.keyboard.press("o");
  for (const gone of [".bar", "#strip", "#where", "#joints", "#stops", "#lesson-text", ".safety"]) await expect(page.locator(gone).first()).toBeHidden();
  for (const there of [".ask legend", "#task-answer", "#lesson-next"]) await expect(page.locator(there)).toBeInViewport({ ratio: 0.99 });
  await page.locator(".ask-choice", { has: page.locator('[value="x +"]') }).click();
  await page.locator("#task-answer").click();
  await expect(page.locator("#task-verdict")).toContainText("90° away from your direction");
  await expect(page.locator("#task-verdict")).toBeInViewport({ ratio: 0.99 });
  await page.locator(".ask-choice", { has: page.locator('[value="z +"]') }).click();
  await page.locator("#task-answer").click();
  await expect(page.locator("#task-verdict")).toHaveAttribute("data-tone", "right");
  await expect(page.locator("#task-verdict")).toBeInViewport({ ratio: 0.99 });
  await page.locator("#lesson-next").click();
  await expect(page.locator(".ask legend")).toContainText("+X of the tool frame");
});

test("the arm is at least 60 % of the window's height beside every stage of every lesson, 58 % with axes at its TCP", async ({ page }) => {
  await page.emulateMedia({ reducedMotion: "reduce" });
  await page.setViewportSize({ width: windows[0][0], height: windows[0][1] });
  await open(page);
  await page.keyboard.press("p");
  await page.evaluate(() => {
    (window as any).benchSocket.addEventListener("message", ({ data }: MessageEvent) => {
      const message = typeof data === "string" ? JSON.parse(data) : null;
      if (message?.type === "lesson") (window as any).lesson = message;
    });
  });
  const tell = async (request: object): Promise<void> => {
    await ask(page, request);
    await heard(page);
  };
  const ids = await page.locator("#lesson-choice option").evaluateAll((all) => all.map((o) => (o as HTMLOptionElement).value).filter(Boolean));
  const found: string[] = [];
  let stages = 0;
  for (const id of ids) {
    await tell({ type: "lesson", id, progress: "", seed: 1, stage: 0 });
    if (await page.evaluate(() => (window as any).lesson.assessment?.state === "waits")) await tell({ type: "stage", do: "begin", stage: 0 });
    const count: number = await page.evaluate(() => (window as any).lesson.stages.length);
    for (let stage = 0; stage < count; stage++, stages++) {
      await tell({ type: "stage", do: "go", stage });
      // Each stage in one window, each window with every third stage; all with THOROUGH=1.
      for (const [width, height] of thorough ? windows : [windows[stages % windows.length]!]) {
        await page.setViewportSize({ width, height });
        await settled(page);
        const { part, out, axes } = await armInPicture(page);
        if (part < (axes ? 0.58 : 0.6)) found.push(`${id}/${stage + 1}, ${width}×${height}: ${(100 * part).toFixed(1)} %`);
        if (out > 0) found.push(`${id}/${stage + 1}, ${width}×${height}: ${out} points of the arm are outside`);
      }
    }
  }
  expect(stages).toBeGreaterThan(90);
  expect(found).toEqual([]);
});
