// The projector view with every pair of its keys, alone and in a lesson: what would hang on a wall in front of a class.
import { expect, type Page } from "@playwright/test";
import { frame, jogButton, labelBoxes, open, settled, test } from "./bench";

const windows = [[1920, 1080], [1280, 720], [1024, 768]] as const;
const lessons = ["", "#/lessons/the-right-hand/2", "#/lessons/straight-lines/5"] as const;

/** A combination: which keys are on, in which window, language and lesson. */
interface Wall {
  keys: string; // of o g c a l
  window: (typeof windows)[number];
  language: string;
  lesson: string;
}

/** Every pair of two keys' states, a window, a language and a lesson is in at least one of these; all are behind THOROUGH=1. */
function walls(): Wall[] {
  const factors = [["", "o"], ["", "g"], ["", "c"], ["", "a"], ["", "l"], ["en", "es"], [...windows], [...lessons]] as const;
  const all: number[][] = factors.reduce<number[][]>((rows, f) => rows.flatMap((row) => f.map((_, i) => [...row, i])), [[]]);
  const made = (row: number[]): Wall => ({
    keys: row.slice(0, 5).map((v, i) => factors[i]![v]).join(""),
    language: factors[5]![row[5]!] as string,
    window: windows[row[6]!]!,
    lesson: lessons[row[7]!]!,
  });
  if (process.env["THOROUGH"]) return all.map(made);
  const left = new Set<string>();
  const pairs = (row: number[]): string[] => row.flatMap((v, i) => row.slice(i + 1).map((u, k) => `${i}=${v} ${i + 1 + k}=${u}`));
  for (const row of all) for (const pair of pairs(row)) left.add(pair);
  const chosen: Wall[] = [];
  while (left.size > 0) {
    let [best, most] = [all[0]!, -1];
    for (const row of all) {
      const news = pairs(row).filter((pair) => left.has(pair)).length;
      if (news > most) [best, most] = [row, news];
    }
    for (const pair of pairs(best)) left.delete(pair);
    chosen.push(made(best));
  }
  return chosen;
}

// A browser's own full screen has one size; the page fills the window all the same.
test.beforeEach(({ page }) => page.addInitScript(() => void (Element.prototype.requestFullscreen = () => Promise.reject(new Error("refused")))));

/** What is wrong with what hangs on the wall. */
async function faults(page: Page): Promise<string[]> {
  const found = await page.evaluate(() => {
    const found: string[] = [];
    const shown = (id: string): DOMRect | null => {
      const e = document.querySelector(id);
      const box = e?.checkVisibility({ visibilityProperty: true }) ? e.getBoundingClientRect() : null;
      return box && box.width > 1 && box.height > 1 ? box : null;
    };
    const ids = ["#joints", "#where", "#stops", "#strip", "#plot", "#lesson", "#projector-leave"];
    const boxes = ids.map((id) => ({ id, box: shown(id) })).filter((b) => b.box !== null) as { id: string; box: DOMRect }[];
    for (const { id, box } of boxes) {
      if (box.left < -1 || box.top < -1 || box.right > innerWidth + 1 || box.bottom > innerHeight + 1) found.push(`${id} is outside: ${[box.left, box.top, box.right, box.bottom].map(Math.round)}`);
      for (const other of boxes) {
        if (id >= other.id) continue;
        const o = other.box;
        if (box.left < o.right - 1 && o.left < box.right - 1 && box.top < o.bottom - 1 && o.top < box.bottom - 1) found.push(`${id} over ${other.id}`);
      }
    }
    const controls = [...document.querySelectorAll("button, .option > span, .ask-choice")].filter((e) => e.checkVisibility({ visibilityProperty: true, opacityProperty: true }) && !e.closest(".unseen"));
    const places = controls.map((e) => e.getBoundingClientRect());
    controls.forEach((a, i) => {
      for (let j = i + 1; j < controls.length; j++) {
        const [p, q] = [places[i]!, places[j]!];
        if (p.width < 1 || q.width < 1 || a.contains(controls[j]!) || controls[j]!.contains(a)) continue;
        if (p.left < q.right - 3 && q.left < p.right - 3 && p.top < q.bottom - 3 && q.top < p.bottom - 3) found.push(`"${a.textContent!.trim()}" over "${controls[j]!.textContent!.trim()}"`);
      }
    });
    for (const e of document.querySelectorAll<HTMLElement>(".reading td, .joint-angle, .last-stop, .next, #task-verdict, .ask legend, .lesson-foot button")) {
      if (!e.checkVisibility({ visibilityProperty: true })) continue;
      if (e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== "inline") found.push(`${e.id || e.className} "${e.textContent!.slice(0, 30)}" is cut off sideways`);
      if (e.matches(".last-stop, .next") && e.scrollHeight > e.clientHeight + 1) found.push(`${e.id || e.className} is cut off below`);
      const panel = e.closest("#joints, #where")?.getBoundingClientRect();
      if (panel && e.getBoundingClientRect().right > panel.right + 1) found.push(`"${e.textContent}" is wider than its panel`);
    }
    // The arm, by the points all over it.
    const { view } = (window as any).handrule;
    const host = document.getElementById("view")!.getBoundingClientRect();
    const ys = view.arm.outline().map((p: any) => ((1 - p.project(view.orbitCamera.camera).y) / 2) * host.height);
    const part = (Math.max(...ys) - Math.min(...ys)) / innerHeight;
    // Beside a lesson's column the width may bound it: a pose that reaches far is lower then.
    const lowest = document.getElementById("lesson")!.checkVisibility() ? 0.57 : 0.6;
    if (part < lowest) found.push(`the arm is ${Math.round(part * 100)} % as high as the picture`);
    const { top, bottom } = view.free;
    if (Math.min(...ys) < top - 2 || Math.max(...ys) > bottom + 2) found.push("the arm is cut off");
    // A class reads the question, the choices and the way on.
    const least = innerHeight * 0.0415 * Math.min(1, (innerWidth * 9) / 16 / innerHeight);
    for (const e of document.querySelectorAll<HTMLElement>("#lesson :is(legend, .ask-choice, #task-verdict, button, .lesson-target p)")) {
      if (e.checkVisibility({ visibilityProperty: true }) && parseFloat(getComputedStyle(e).fontSize) < least) found.push(`"${e.textContent!.slice(0, 20)}" is small: ${getComputedStyle(e).fontSize}`);
    }
    return found;
  });
  const { boxes, tcp } = await labelBoxes(page);
  for (const { text, x, y, w, h } of boxes) {
    if (/^J\d$/.test(text) && Math.abs(x - tcp.x) < w / 2 && Math.abs(y - tcp.y) < h / 2) found.push(`${text} is over the TCP`);
  }
  return found;
}

test("every pair of the projector's keys, in each window, alone and in a lesson", async ({ page }) => {
  test.setTimeout(process.env["THOROUGH"] ? 590_000 : 180_000);
  await page.emulateMedia({ reducedMotion: "reduce" });
  const found: string[] = [];
  let at = "";
  for (const { keys, window, language, lesson } of walls().sort((a, b) => (a.language + a.lesson).localeCompare(b.language + b.lesson))) {
    await page.setViewportSize({ width: window[0], height: window[1] });
    if (at !== `${language} ${lesson}`) {
      await open(page, `/?lang=${language}${lesson || "#/arm/wren?cell=glazing-bench&joints=-20,10,10,0,70,0"}`);
      if (lesson) await expect(page.locator("#lesson")).toBeVisible();
    }
    at = `${language} ${lesson}`;
    await page.keyboard.press("p");
    for (const key of keys) await page.keyboard.press(key);
    await settled(page);
    for (const fault of await faults(page)) found.push(`P${keys.toUpperCase()} ${window.join("×")} ${at}: ${fault}`);
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
