// Whoever reads in inches reads inches: on buttons, in sentences, in the picture, in lessons, in every drawer.
import { expect, type Page } from "@playwright/test";
import { ask, askFrame, drawer, frame, jogButton, labelBoxes, open, settled, stands, test } from "./bench";

/** Where the page says a length in that unit: texts, titles and names, shown or not, but for those that an author wrote. */
function says(page: Page, unit: "mm" | "in"): Promise<string[]> {
  return page.evaluate((unit) => {
    const number = new RegExp(`\\d[\\s\\u00a0\\u202f]?${unit}(?![a-z])`);
    const own = (e: Element) => !e.closest("script, style, .lesson-text, .lesson-hints, #lesson-choice, #arm, #cell, #lessons, #pieces, #keys, #term, [hidden] .stop-numbers");
    const found: string[] = [];
    for (const e of document.querySelectorAll("body *")) {
      if (!own(e)) continue;
      // A number and its unit may be in elements beside each other.
      const text = e.children.length === 0 || e.closest("p, li, label, button, td, th, .readout-part") === e ? e.textContent! : "";
      for (const part of [text, ...["title", "aria-label", "aria-description", "aria-valuetext", "placeholder"].map((name) => e.getAttribute(name) ?? "")]) {
        if (number.test(part)) found.push(`${e.id || e.className || e.tagName}: ${part.trim().slice(0, 120)}`);
      }
    }
    return found;
  }, unit);
}

/** The lengths in the picture; a dimension line has the other unit in brackets. */
const pictured = async (page: Page): Promise<string[]> => (await labelBoxes(page)).boxes.map((box) => box.text.replace(/ \[.*\]$/, "")).filter((text) => /\d (mm|in)\b/.test(text));

async function inches(page: Page, path?: string): Promise<void> {
  await page.addInitScript(() => {
    localStorage.setItem("handrule-unit", "inch");
    // The floor's numbers are drawn on a canvas of their own, in letters of 64 px.
    const told: string[] = ((window as any).floorTexts = []);
    const { fillText } = CanvasRenderingContext2D.prototype;
    CanvasRenderingContext2D.prototype.fillText = function (...given) {
      if (this.font.includes("64px")) told.push(given[0]);
      fillText.apply(this, given);
    };
  });
  await open(page, path);
  await page.waitForFunction(() => (window as any).handrule.setup?.unit === "inch");
}

for (const language of ["en", "es"]) {
  test(`${language}: no millimetre is left on the page, whatever is done`, async ({ page }) => {
    await inches(page, `/?lang=${language}#/arm/wren?cell=glazing-bench&joints=-20,0,30,0,60,0`);
    const none = async (what: string) => {
      await settled(page);
      expect(await says(page, "mm"), what).toEqual([]);
      for (const text of await pictured(page)) expect(text, what).toMatch(/ in\b/);
    };
    await expect(page.locator("#increment option")).toContainText(language === "en" ? ["0.005 in · 0.1°", "0.02 in"] : ["0,005 in · 0,1°", "0,02 in"]);
    await expect(page.locator("#speed")).toContainText(language === "en" ? "9.84 in/s" : "9,84 in/s");
    await none("at first");
    // The floor's grid has lines at round numbers of inches, and numbers that say which.
    const floor = await page.evaluate(() => {
      const { uniforms, numbers } = (window as any).handrule.view.floor;
      return { grid: uniforms.grid.value.toArray() as number[], lines: numbers.numerals.map(({ x, y }: { x: number; y: number }) => x + y) as number[], told: (window as any).floorTexts as string[] };
    });
    expect(floor.grid).toEqual([5 * 25.4, 20 * 25.4]);
    expect(floor.lines.length).toBeGreaterThan(8);
    expect(floor.told.slice(-floor.lines.length).map((text) => Number(text.replace("\u2212", "-")))).toEqual(floor.lines.map((mm) => 5 * Math.round(mm / 127)));
    // Every text of the page, but for those that tell of both units.
    const keys = await page.evaluate(() => Object.entries(JSON.parse(document.getElementById("words")!.textContent!)).filter(([, text]) => /\d ?mm\b(?! \()/.test(JSON.stringify(text))).map(([key]) => key).filter((key) => !key.startsWith("reason.read.in-")));
    expect(keys).toEqual([]);
    if (language === "en") return; // What is done is told by the same words, which are longer in Spanish.
    // Coordinate walk, plot and ways; a step, a turn about the tip, a refusal, the set distance, contact.
    await page.keyboard.press("c");
    await page.keyboard.press("g");
    await page.locator('[data-ways="here"]').click();
    for (const name of ["base", "world", "task", "tool"]) {
      await frame(page, name);
      await expect(jogButton(page, 2, 1).locator(".room")).toHaveText(/ in$|\u221e|[a-z]{4}/);
      await none(`in the ${name} frame`);
    }
    await frame(page, "base");
    await stands(page, () => jogButton(page, 2, 1).click());
    await expect(page.locator("#log-lines > li").first()).toContainText(/ in /);
    await expect(page.locator(".stop-numbers")).toContainText(/\sin\s/);
    await none("after a step");
    await stands(page, () => jogButton(page, 5, 1).click());
    await expect(page.locator(".stop-numbers")).toContainText("(se desvió 0,000 in)");
    expect((await labelBoxes(page)).boxes.map((box) => box.text).join("|")).toMatch(/movió 0,000 in/);
    await none("after a turn about the tip");
    await page.keyboard.press("g"); // The plot lies over the panel.
    await page.locator("#set-distance").selectOption({ index: 3 });
    await ask(page, { type: "increment", mm: 406.4, deg: 5 });
    await ask(page, { type: "step", direction: { frame: "base", task: "", axis: 2, sign: -1 } });
    await expect(page.locator(".stop-numbers")).toContainText("0,5 in");
    await expect(page.locator("#gap-text")).toContainText(/0[.,]50 in/);
    await none("at the set distance");
    await stands(page, () => page.locator("#undo").click());
    await page.locator('[data-teach="origin"]').click();
    await page.locator('[data-teach="x"]').click();
    await page.locator('[data-teach="xy"]').click();
    await page.locator('[data-teach="frame"]').click();
    await expect(page.locator("#teach-problem")).toContainText("0,000 in del origen");
    for (const name of ["setup", "look", "measure", "compare", "predict", "record"]) await drawer(page, name);
    await none("when points are the same");
    // Predict first: what is asked, and what came of it.
    await page.keyboard.press("a");
    await jogButton(page, 0, 1).click();
    await none("while something is asked");
  });
}

test("a length of a lesson's task is told in inches, and what is typed is taken for inches", async ({ page }) => {
  await inches(page, "/#/lessons/not-touching-things");
  await expect(page.locator("#lesson-place")).toBeVisible();
  const steps = page.locator("#lesson-steps button");
  await expect(steps).not.toHaveCount(0);
  const stages = await steps.count();
  for (let i = 0; i < stages - 1; i++) {
    await steps.nth(i).click();
    await expect(steps.nth(i)).toHaveAttribute("aria-current", "step");
    await settled(page);
    // A task that asks for a reading in mm says so; no other task has mm in it.
    const asks = await page.locator(".ask-number").count();
    if (asks === 0) expect(await says(page, "mm")).toEqual([]);
  }
  await open(page, "/#/arm/wren?cell=glazing-bench&joints=-20,0,30,0,60,0");
  await page.locator("#ways-type summary").click();
  const x = page.locator("#ways-numbers input").first();
  await expect(x).not.toHaveValue(""); // its numbers are written once it is open
  const there = Number(await x.inputValue());
  expect(there).toBeCloseTo((await page.evaluate(() => (window as any).handrule.state.tcp.position_mm[0])) / 25.4, 3);
  await page.locator("#ways-numbers button").click();
  await expect(page.locator("#ways-goal")).toContainText(`${there.toFixed(3)} in`);
});

test("the unit that is chosen changes at once what was said before, and the steps that are offered, and back", async ({ page }) => {
  await open(page, "/#/arm/wren?cell=glazing-bench&joints=-20,0,30,0,60,0");
  await askFrame(page, "base");
  await stands(page, () => jogButton(page, 2, 1).click());
  await expect(page.locator(".stop-numbers")).toContainText("10\u00a0mm");
  await stands(page, () => page.locator("#undo").click());
  await expect(page.locator("#redo")).toBeEnabled();
  await page.locator("input[name=unit][value=inch]").check({ force: true });
  await expect(page.locator("#increment option:checked")).toHaveText("0.5 in · 5°");
  await expect(page.locator("#speed option:checked")).toHaveText("2 in/s · 15 °/s");
  await expect(page.locator(".stop-numbers")).not.toContainText("mm");
  await expect(page.locator("#redo")).toBeEnabled(); // what was undone can still be driven anew
  await page.locator("input[name=unit][value=mm]").check({ force: true });
  await expect(page.locator("#increment option:checked")).toHaveText("10 mm · 5°");
  await page.reload();
  await expect(page.locator("#increment option:checked")).toHaveText("10 mm · 5°");
});
