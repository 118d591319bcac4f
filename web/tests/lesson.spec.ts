// Lessons from beginning to end, by clicks and keys through the real server: every kind of task done wrong, then right.
import { execFile } from "node:child_process";
import { readFile, writeFile } from "node:fs/promises";
import { expect, type Page } from "@playwright/test";
import { axe } from "./axe";
import { ask, axisEnd, ballMiddle, drawer, frame, jogButton, open, ready, sizes, stands, state, test, type V3, titleOf } from "./bench";
import { palettes } from "../src/view/palette";

/** Opens a lesson at one of its stages, counted from 1. */
async function lesson(page: Page, id: string, stage = 1): Promise<void> {
  await page.setViewportSize({ width: 1000, height: 700 });
  await open(page);
  await choose(page, id);
  await go(page, stage);
}

async function choose(page: Page, id: string): Promise<void> {
  const choice = page.locator("#lesson-choice");
  await choice.selectOption(id);
  await expect(page.locator("#lesson summary h2").first()).toHaveText(titleOf((await choice.locator(`option[value="${id}"]`).textContent())!));
}

async function go(page: Page, stage: number): Promise<void> {
  await page.locator(".step").nth(stage - 1).click();
  await expect(page.locator(".step").nth(stage - 1)).toHaveAttribute("aria-current", "step");
}

const verdict = (page: Page) => page.locator("#task-verdict");
const pick = (page: Page, value: string) => page.locator(`#lesson-task input[value="${value}"]`).check();
const answer = (page: Page) => page.locator("#task-answer").click();

/** One step; the amount is that of the bench. */
async function step(page: Page, axis: number, sign: number): Promise<void> {
  await stands(page, () => jogButton(page, axis, sign).click());
}

test("choose and predict: wrong with a hint, then right, then the arm shows it", async ({ page }) => {
  await lesson(page, "the-right-hand");
  await answer(page);
  await expect(verdict(page)).toContainText("no answer yet");
  await pick(page, "0");
  await expect(verdict(page)).toBeHidden(); // now there is one
  await answer(page);
  await expect(verdict(page)).toHaveAttribute("data-tone", "wrong");
  await expect(verdict(page)).toContainText("That would be so if you stood on the arm's right side.");
  await pick(page, "1");
  await answer(page);
  await expect(verdict(page)).toHaveAttribute("data-tone", "right");
  await expect(page.locator(".step").first()).toHaveClass(/done/);
  await expect(page.locator("#lesson-task input").first()).toBeDisabled();

  await page.locator("#lesson-next").click();
  await expect(page.locator("#lesson-stage")).toBeFocused();
  await expect(page.locator("#lesson-stage")).toContainText("Point, then press");
  const before = (await state(page)).tcp.position_mm;
  await frame(page, "base");
  await expect(page.locator("#next")).toContainText("Answer first");
  await expect(jogButton(page, 1, -1)).toHaveAttribute("aria-disabled", "true");
  await jogButton(page, 1, -1).click({ force: true });
  await expect(page.locator("#problem")).toContainText("Answer first");
  await expect(jogButton(page, 1, -1).locator(".room")).toBeEmpty();
  expect((await state(page)).tcp.position_mm).toEqual(before);

  // On the ball a dot of the far half means its axis, which is the choice of its name.
  const end = await axisEnd(page, [1, 0, 0]);
  expect(end.toward).toBeLessThan(-0.25);
  await page.mouse.click(end.x + 2, end.y - 2);
  await expect(page.locator("#lesson-task input[value='x +']")).toBeChecked();
  await expect(page.locator(".ask-arrow")).toBeHidden();
  await expect(page.locator("input[name=task-half][value=far]")).toBeChecked();
  // A letter is part of its knob, and a press that misses all of them changes nothing.
  const letter = await page.evaluate(() => {
    const { view } = (window as any).handrule;
    const { left, top, width, height } = document.getElementById("view")!.getBoundingClientRect();
    for (let y = 0; y < height; y += 3) for (let x = 0; x < width; x += 3) if (view.prediction.lettersAt(view.ray(x, y))[2]) return { x: left + x + 2, y: top + y + 2 };
    return null;
  });
  await page.mouse.click(letter!.x, letter!.y);
  await expect(page.locator("#lesson-task input[value='y +']")).toBeChecked();
  const at = await ballMiddle(page);
  await page.mouse.click(at.x, at.y);
  await expect(page.locator("#lesson-task input[value='y +']")).toBeChecked();
  await expect(page.locator(".ask-arrow")).toBeHidden();
  // Drawn to the left: its numbers and the angle told are of one arrow.
  await page.mouse.move(at.x, at.y);
  await page.mouse.down();
  await page.mouse.move(at.x - 30, at.y, { steps: 4 });
  await page.mouse.up();
  await expect(page.locator("#lesson-task input[value=arrow]")).toBeChecked();
  await page.locator("input[name=task-half][value=far]").check({ force: true });
  await expect(page.locator("#lesson-task input[value=arrow]")).toBeChecked();
  const drawn = page.locator(".ask .note");
  await expect(drawn).toContainText("away from you");
  const [x, y, z] = (await drawn.textContent())!.replace(/−/g, "-").match(/[+-]?\d\.\d\d/g)!.map(Number) as V3;
  const off = (Math.acos(z / Math.hypot(x, y, z)) * 180) / Math.PI;
  expect(off).toBeGreaterThan(35);
  await answer(page);
  await expect(verdict(page)).toContainText("° from the true direction");
  expect(Math.abs(Number(/([\d.]+)° from the/.exec((await verdict(page).textContent())!)![1]) - off)).toBeLessThan(1);

  // An arrow to the front, by the sliders: at right angles to where the tip goes.
  for (const name of ["from X towards Y", "up towards Z"]) await page.getByRole("slider", { name }).fill("0");
  await answer(page);
  await expect(verdict(page)).toContainText("an arrow along +X. 90° from the true direction (up to 30° counts).");
  await expect(page.locator("#task-hints")).toContainText("Minus is the other way.");
  await pick(page, "z +");
  await answer(page);
  // First what is to be learnt, then the numbers.
  await expect(page.locator("#task-outcome")).toHaveText("Correct: +Z of the base frame.");
  await expect(verdict(page)).toHaveText(/The tool's Z points out of the tool, which is down here\. So its minus is up\.\s*In the whole jog the TCP goes by X\s0\.0, Y\s0\.0, Z\s\+40\.0\smm in the base frame\. Tries: 3\.\s*$/);
  const inPicture = await page.evaluate(() => (window as any).handrule.view.prediction.answers.map((l: { text: string }) => l.text));
  expect(inPicture).toEqual(["you", "the arm"]); // It was chosen by its name.
  await page.locator("#task-show").click();
  await expect.poll(async () => (await state(page)).tcp.position_mm[2]).toBeCloseTo(before[2] + 40, 6);
});

test("from the keyboard: the key of what is next is seen, the focus is seen whole, and a direction that was chosen by its name stays chosen", async ({ page }) => {
  await lesson(page, "joints-one-at-a-time", 3);
  await page.setViewportSize({ width: 1366, height: 768 });
  await page.locator("#lesson-read").click();
  const mark = (of: string) => page.evaluate((of) => getComputedStyle(document.querySelector(of)!, "::after").content.includes("F"), of);
  expect(await mark("#task-question legend")).toBe(false);
  await page.keyboard.press("+"); // from the first key on
  await expect.poll(() => mark("#task-question legend")).toBe(true);
  await page.keyboard.press("f");
  const first = page.locator("#lesson-task input").first();
  await expect(first).toBeFocused();
  await expect.poll(() => mark("#task-question legend")).toBe(false);
  expect(await mark("#task-answer")).toBe(false); // there is none to be taken yet
  // The outline lies within all that would cut it off.
  const cut = await first.evaluate((input) => {
    const choice = input.closest<HTMLElement>(".ask-choice")!;
    const { outlineWidth, outlineOffset } = getComputedStyle(choice);
    const out = parseFloat(outlineWidth) + parseFloat(outlineOffset);
    const left = choice.getBoundingClientRect().left - out;
    for (let e: HTMLElement | null = choice.parentElement; e; e = e.parentElement) if (getComputedStyle(e).overflowX !== "visible" && e.getBoundingClientRect().left > left) return e.id || e.className;
    return out > 0 ? "" : "no outline";
  });
  expect(cut).toBe("");
  await page.keyboard.press(" ");
  await expect.poll(() => mark("#task-answer")).toBe(true);
  await page.keyboard.press("f");
  await page.keyboard.press("Enter");
  await expect(verdict(page)).toHaveAttribute("data-tone", "wrong");
  await page.keyboard.press("ArrowRight");
  await expect(first).toBeChecked();
  await expect(page.locator("#task-answer")).toBeFocused();
  // What an arrow needs leaves room for what was said of the answer before.
  await pick(page, "arrow");
  await page.getByRole("slider", { name: "up towards Z" }).fill("25");
  await expect(page.locator(".ask .note")).toContainText("As a direction in the base frame");
  for (const said of ["#task-verdict", "#task-hint"]) await expect(page.locator(said)).toBeInViewport({ ratio: 1 });
});

test("a field stays where it is when the keys lead to it, and says how what is written there is handed in", async ({ page }) => {
  await lesson(page, "where-the-numbers-start", 1);
  await page.setViewportSize({ width: 1366, height: 768 });
  await page.locator("#lesson-read").click();
  const field = page.locator("#task-number");
  const before = await field.boundingBox();
  const mark = () => page.evaluate(() => getComputedStyle(document.querySelector("#task-answer")!, "::after").content);
  await page.keyboard.press("f");
  await expect(field).toBeFocused();
  expect(await field.boundingBox()).toEqual(before);
  expect(await mark()).toContain("Enter");
  await page.keyboard.press("f");
  await expect(field).toHaveValue("f");
  await page.keyboard.press("Enter");
  await expect(verdict(page)).toContainText("“f” is not a number. Write one such as 12.5.");
  expect(await field.boundingBox()).toEqual(before);
  // What a hint names has its button beside it.
  await field.fill("1");
  await field.press("Enter");
  await page.getByRole("button", { name: "Show: coordinate walk" }).click();
  await expect(page.locator("#walk")).toHaveAttribute("aria-pressed", "true");
  expect(await field.boundingBox()).toEqual(before);
  // The stage after it begins with nothing aimed at.
  await page.locator(".jog").first().focus();
  await page.keyboard.press("1");
  await page.waitForFunction(() => (window as any).handrule.view.ghostMessage?.direction);
  await go(page, 2);
  await page.waitForFunction(() => !(window as any).handrule.view.ghostMessage?.direction);
});

test("of boxes to tick the key leads to the first", async ({ page }) => {
  await lesson(page, "joints-one-at-a-time", 6);
  await pick(page, "2");
  await page.locator("#lesson-read").click();
  await page.keyboard.press("f");
  await expect(page.locator("#lesson-task input").first()).toBeFocused();
});

test("the sheet of a lesson has no scroll bar of its own, and the stage's title stays where there is room", async ({ page }) => {
  await lesson(page, "joints-one-at-a-time", 2);
  for (const [width, height] of [[1366, 768], [1280, 720], [1920, 1080]] as const) {
    await page.setViewportSize({ width, height });
    for (const of of [".column-right", "#lesson-task"]) expect(await page.locator(of).evaluate((e) => e.scrollHeight - e.clientHeight), `${of} ${width}`).toBeLessThanOrEqual(0);
  }
  await ask(page, { type: "increment", mm: 10, deg: 30 });
  await step(page, 0, 1);
  await expect(verdict(page)).toHaveAttribute("data-tone", "right");
  await expect(page.locator("#lesson-stage")).toBeVisible();
  await go(page, 3);
  await page.setViewportSize({ width: 1280, height: 720 });
  await page.keyboard.press("p");
  await page.locator(".ask-choice").first().click();
  await answer(page);
  await expect(verdict(page)).toHaveAttribute("data-tone", "wrong");
  await expect(page.locator("#lesson-stage")).toBeVisible();
});

test("a direction that was chosen by its name is right or not, and not so many degrees off", async ({ page }) => {
  await lesson(page, "joints-one-at-a-time", 4); // The tip goes down, and some 20° to the front.
  await pick(page, "x -");
  await answer(page);
  await expect(verdict(page)).toHaveText(/^\s*Not correct: X\s−\. The TCP goes on a circle about the axis of J2, \d+\smm from it\. It starts/);
  await pick(page, "z -");
  await answer(page);
  await expect(verdict(page)).toHaveText(/^\s*Correct: −Z of the base frame\.[^]*Tries: 2\.\s*$/);
});

test("which joints and what stops: wrong, then right; given up, and told", async ({ page }) => {
  await lesson(page, "straight-lines");
  await pick(page, "none");
  await answer(page);
  await expect(verdict(page)).toContainText("Not correct: none. In this jog 3 joints turn");
  await pick(page, "1");
  await answer(page);
  // What is right is not said to be wrong, and once another answer is being given it is told to be of the last.
  await expect(verdict(page)).toHaveAttribute("data-tone", "part");
  await expect(verdict(page)).toHaveText(/^\s*J2 is right\. 2 more joints turn by more than 0\.2°\. Tries: 2\.\s*$/);
  await pick(page, "2");
  await expect(verdict(page)).toHaveText(/^\s*Last try: J2 is right\./);
  await expect(verdict(page)).toHaveClass(/old/);
  for (const joint of ["1", "2", "4"]) await pick(page, joint);
  await answer(page);
  await expect(verdict(page)).toContainText("Correct: J2, J3, J5.");

  await choose(page, "limits-and-room");
  await go(page, 2);
  await page.locator("#task-stop").selectOption("contact");
  await answer(page);
  await expect(verdict(page)).toContainText("Not correct: contact.");
  // The picture shows the line that the jog turns about, and a cross where it ends; once it is told, the joint's axis and the cross.
  const lines = () => page.evaluate(() => (({ object, axes, thin }: any) => [object.visible, axes.geometry.instanceCount, thin.geometry.instanceCount])((window as any).handrule.view.explained));
  expect(await lines()).toEqual([true, 1, 3]);
  await page.locator("#task-give-up").click();
  await expect(page.locator("#task-give-up")).toHaveText("Press once more to give up");
  await page.locator("#task-give-up").click();
  await expect(verdict(page)).toContainText("Given up. The answer: J5 at its limit.");
  expect(await lines()).toEqual([true, 1, 3]);
  await expect(page.locator(".step").nth(1)).toHaveClass(/given-up/);
  await expect(page.locator("#task-answer")).toBeHidden();
});

test("read: wrong, then right, with a comma for the point; the question stays where the stage began", async ({ page }) => {
  await lesson(page, "where-the-numbers-start", 2);
  await page.locator("#increment").selectOption({ label: "10 mm · 5°" });
  await step(page, 0, 1);
  await expect(page.locator("#task-moved")).toBeVisible();
  await page.locator("#task-number").fill("12,60f");
  await page.locator("#task-number").press("Enter");
  await expect(verdict(page)).toContainText("“12,60f” is not a number.");
  await page.locator("#task-number").fill("320");
  await page.locator("#task-number").press("Enter");
  await expect(verdict(page)).toContainText("Not correct: 320 in.");
  await expect(page.locator("#task-hints")).toContainText("Divide the millimetres by 25.4.");
  await page.locator("#task-number").fill("12.55"); // 320 mm · cos 5°: read where the arm stands now
  await page.locator("#task-number").press("Enter");
  await expect(verdict(page)).toContainText("That is read where the arm has moved to. The question is about where the stage began: press “Begin this stage again”.");
  await expect(page.locator("#task-moved")).toBeHidden(); // it says the same
  await page.locator("#task-again").click();
  await expect(page.locator("#task-moved")).toBeHidden();
  await page.locator("#task-number").fill("12,6"); // 320 mm / 25.4 = 12.598 in
  await page.locator("#task-number").press("Enter");
  await expect(verdict(page)).toContainText("320.00 mm / 25.4 = 12.598 in. Tries: 3."); // to the digits of the tolerance, 0.01 in

  // A turn about Z: 180° less 15°, told with its sign to the digits of its tolerance, 0.5°.
  await choose(page, "turning-about-the-tip");
  await go(page, 6);
  await page.locator("#task-number").fill("165,2");
  await answer(page);
  await expect(page.locator("#task-outcome")).toHaveText("Correct: +165.0°.");
  await expect(page.locator("#task-numbers")).toHaveText("Difference: 0.2°. Before the jog it is 180.0°, after it 165.0°.");
});

test("the path of an answer has the colour of the axis that it runs along, and no axis' where it runs along none", async ({ page }) => {
  await lesson(page, "the-right-hand");
  const path = () =>
    page.evaluate(() => {
      const { path } = (window as any).handrule.view.explained;
      return path.geometry.instanceCount > 0 && `#${path.uniforms.colour.value.getHexString()}`;
    });
  const { axes, joint } = palettes.light;
  for (const [stage, way, colour] of [
    [2, "z +", axes[2]],
    [3, "x -", axes[0]],
    [4, "y -", joint],
  ] as const) {
    await go(page, stage);
    await pick(page, way);
    await answer(page);
    await expect(verdict(page)).toContainText("Correct");
    await expect.poll(path).toBe(colour);
  }
});

test("of an option that is only marked the picture shows what the lesson says of it, and again when one comes back", async ({ page }) => {
  await lesson(page, "teaching-a-frame");
  const shown = () => page.evaluate(() => (({ object, axes, thin, path }: any) => object.visible && [axes, thin, path].map(({ geometry }) => geometry.instanceCount))((window as any).handrule.view.explained));
  expect(await shown()).toBe(false);
  await pick(page, "0");
  await answer(page);
  await expect.poll(shown).toEqual([0, 1, 0]); // the line through the two points
  await pick(page, "2");
  await answer(page);
  await expect.poll(shown).toEqual([0, 2, 0]); // and the third
  await go(page, 2);
  await expect.poll(shown).toBe(false);
  await go(page, 1);
  await expect.poll(shown).toEqual([0, 2, 0]);
  await page.reload();
  await expect.poll(shown).toEqual([0, 2, 0]);
});

test("free and reach: what happens is ticked off; a try is lost by its rules and begun again; what is not allowed is off", async ({ page }) => {
  await lesson(page, "joints-one-at-a-time", 2);
  await expect(page.locator("input[name=frame][value=base]")).toBeDisabled();
  await expect(page.locator("#lesson-allow")).toContainText("joints");
  await page.keyboard.press("b");
  await expect(page.locator("#problem")).toContainText("does not use that frame");
  await expect(page.locator("#lesson-off")).toHaveText("30.0° to go");
  await expect(page.locator(".task-rules")).toContainText("At most 8 jogs; 0 made.");
  for (let i = 0; i < 8; i++) await step(page, 1, i % 2 ? 1 : -1);
  await expect(verdict(page)).toContainText("jog 8 of 8");
  await expect(page.locator("#next")).toContainText("This try is over");
  await page.locator("#task-again").click();
  await expect(page.locator(".task-rules")).toContainText("0 made");
  await expect(verdict(page)).toBeHidden();
  await ask(page, { type: "increment", mm: 10, deg: 10 });
  for (let i = 0; i < 3; i++) await step(page, 0, 1);
  await expect(page.locator("#lesson-target")).toHaveClass(/reached/);
  await expect(verdict(page)).toContainText("Done. Tries: 2.");
  // How it was done is told, and what comes after is no part of it.
  await step(page, 0, 1);
  await expect(page.locator("#lesson-off")).toHaveText("Reached with 3 jogs");
  await expect(page.locator(".task-rules")).toHaveText("At most 8 jogs.");

  await choose(page, "first-straight-line");
  await go(page, 2);
  await expect(page.locator("input[name=frame][value=base]")).toBeEnabled();
  await frame(page, "base");
  await step(page, 0, -1); // which it does not refuse
  await expect(page.locator(".notices-list > li")).toContainText("(not yet)");
  await expect(page.locator("#task-again")).toBeVisible();
  await page.locator("#restart").click();
  await jogButton(page, 1, 1).click();
  await expect(page.locator(".notices-list > .happened")).toContainText("(done)");
  await expect(verdict(page)).toContainText("Done.");
});

test("progress is kept in the browser, and what was not sealed by the server is not taken back", async ({ page }) => {
  await page.setViewportSize({ width: 1000, height: 700 });
  await open(page);
  await choose(page, "assessment");
  await page.locator("#assessment-begin").click();
  await go(page, 3);
  const text = await page.locator("#lesson-text").textContent();
  await page.locator("#task-number").fill("1000");
  await answer(page);
  await expect(verdict(page)).toContainText("Not correct: 1000 in.");

  // Another bench, as after the server was started anew: the lesson goes on by itself, with the same numbers.
  await page.evaluate(() => sessionStorage.removeItem("handrule-bench"));
  await page.reload();
  await expect(page.locator("#lesson-text")).toHaveText(text!);
  await expect(page.locator("#lesson-stage")).toContainText("3. A reading");
  const kept = () => page.evaluate(() => localStorage.getItem("handrule-progress-assessment"));
  const before = await kept();
  await expect(page.locator("#assessment-worth")).toContainText("One try is left.");
  await page.locator("#task-number").fill("1001");
  await answer(page);
  await expect(verdict(page)).toContainText("No try is left.");
  await expect.poll(kept).not.toBe(before); // or what is changed below would be kept anew

  await page.evaluate(() => {
    const token = localStorage.getItem("handrule-progress-assessment")!;
    localStorage.setItem("handrule-progress-assessment", token.slice(0, 40) + (token[40] === "A" ? "B" : "A") + token.slice(41));
    sessionStorage.removeItem("handrule-bench");
  });
  await page.reload();
  await expect(page.locator("#problem")).toHaveText(/^The progress kept in this browser .* starts afresh\.$/);
  await page.locator("#assessment-begin").click();
  await expect(page.locator("#lesson-stage")).toHaveText("3. A reading"); // which the address names
  await expect(page.locator("#lesson-steps .done, #lesson-steps .given-up")).toHaveCount(0);
  await page.locator(".lesson-about-open").click();
  await expect(page.locator("#lesson-seed")).toBeHidden(); // The server deals.
});

/** What `handrule results` says of a file, with the key that the tests' server signs with. */
function results(file: string): Promise<{ code: number; csv: string }> {
  return new Promise((done) =>
    execFile("../bin/handrule", ["results", "--key", "test-results/key/results.pem", file], (error, csv) => done({ code: error ? Number(error.code) : 0, csv })),
  );
}

test("a result is saved, verified and tabulated; an edited one is found out", async ({ page }, info) => {
  await lesson(page, "the-right-hand");
  await go(page, 7);
  await expect(page.locator("#result-note")).toContainText("6 tasks are still open");
  const answers = ["1", "z +", "x -", "y -", "y -", "0"];
  for (const [i, value] of answers.entries()) {
    await go(page, i + 1);
    await pick(page, value);
    await answer(page);
    await expect(verdict(page)).toBeVisible();
  }
  await expect(verdict(page)).toHaveAttribute("data-tone", "wrong");
  await page.locator("#task-give-up").dblclick();
  await page.locator("#lesson-next").click();
  await expect(page.locator("#result-rows > tr").last()).toContainText("given up");
  await page.locator("#result-name").fill("Ada Lovelace");
  const [download] = await Promise.all([page.waitForEvent("download"), page.locator("#result-form [type=submit]").click()]);
  expect(download.suggestedFilename()).toMatch(/^the-right-hand-ada-lovelace-[0-9a-z]+\.json$/);
  const file = info.outputPath("saved.json");
  await download.saveAs(file);

  const good = await results(file);
  expect(good.code).toBe(0);
  expect(good.csv).toMatch(/saved\.json,yes,Ada Lovelace,,,The right hand,[^,]*,5,6,1,,,yes,0,6,5,1,6,/); // score, points, files, begun, note, vouched, seed, tasks, done, given up, tries

  const edited = info.outputPath("edited.json");
  await writeFile(edited, (await readFile(file, "utf8")).replace('"done": false', '"done": true'));
  const bad = await results(edited);
  expect(bad.code).toBe(1);
  expect(bad.csv).toContain("the file was edited");
  expect(bad.csv).not.toContain("Ada");

  // On paper the result stands alone, with all its columns.
  await page.emulateMedia({ media: "print" });
  await expect(page.locator(".result-table .on-paper").first()).toBeVisible();
  await expect(page.locator("#result-head")).toContainText(/^Ada Lovelace, [A-Z][a-z]+ \d+, \d{4}\. /); // as the page's language writes a day
  // It is a certificate, which says what it is not.
  await expect(page.locator("#certificate-who")).toContainText("Ada Lovelace has worked through the lesson “The right hand”");
  await expect(page.locator("#certificate-signed")).toContainText("no licence to operate a real arm");
  for (const other of [".strip", ".view", "#where", "#joints", ".lesson-steps"]) await expect(page.locator(other)).toBeHidden();
});

test("a lesson ends with what it was about and leads to the next", async ({ page }) => {
  await lesson(page, "the-right-hand", 1);
  await pick(page, "1");
  await answer(page);
  await page.locator(".step").last().click();
  await expect(page.locator("#summary-about")).toHaveText("What this lesson is about:");
  await expect(page.locator("#summary-aims > li")).toHaveCount(3);
  await expect(page.locator("#summary-took")).toContainText("One try");
  const next = page.locator("#summary-go");
  await expect(next).not.toHaveClass(/onward/);
  // Finished, it says what one can do now, and the way onward is the one that is meant.
  for (const [i, value] of ["z +", "x -", "y -", "y -", "1"].entries()) {
    await go(page, i + 2);
    await pick(page, value);
    await answer(page);
    await expect(verdict(page)).toHaveAttribute("data-tone", "right");
  }
  await page.locator(".step").last().click();
  await expect(page.locator("#summary-about")).toHaveText("What you can do now:");
  await expect(page.locator("#summary-aims > li")).toHaveCount(3);
  await expect(next).toHaveClass(/onward/);
  await expect(next).toHaveText(/^Next lesson: /);
  const title = (await next.textContent())!.replace("Next lesson: ", "");
  await next.click();
  await expect(page.locator("#lesson summary h2").first()).toHaveText(title);
  // Where no other is left, all are next.
  await page.evaluate(() => {
    for (const { value } of document.querySelectorAll<HTMLOptionElement>("#lesson-choice option")) localStorage.setItem(`handrule-standing-${value}`, "99 0");
  });
  await page.locator(".step").last().click();
  await expect(next).toHaveText("All lessons");
  await next.click();
  await expect(page.locator("#lessons")).toBeVisible();
});

test("a lesson fits every size, and axe finds nothing in its forms", async ({ page }) => {
  await lesson(page, "the-right-hand", 2);
  await pick(page, "arrow");
  await answer(page);
  await expect(verdict(page)).toBeVisible();
  for (const [width, height] of sizes) {
    await page.setViewportSize({ width, height });
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
    await page.locator("#task-answer").scrollIntoViewIfNeeded();
    await expect(page.locator("#task-answer")).toBeInViewport({ ratio: 0.98 }); // half a pixel may be off
  }
  const serious = () => axe(page, "#lesson-place");
  expect(await serious()).toEqual([]);
  await go(page, 6);
  expect(await serious()).toEqual([]);
  await choose(page, "where-the-numbers-start");
  expect(await serious()).toEqual([]);
  await choose(page, "first-straight-line");
  expect(await serious()).toEqual([]);
});

/** What a press in the middle of an element would meet. */
const meets = (page: Page, selector: string) =>
  page.locator(selector).evaluate((e) => {
    const { left, right, top, bottom } = e.getBoundingClientRect();
    const there = document.elementFromPoint((left + right) / 2, (top + bottom) / 2);
    return e === there || e.contains(there);
  });

for (const [width, height] of [[1366, 768], [390, 844], [1024, 768]] as const) {
  test(`${width}×${height}: the whole question is seen at once, the verdict comes into sight, and nothing that is pressed moves`, async ({ page }) => {
    await lesson(page, "the-right-hand", 2);
    await page.setViewportSize({ width, height });
    await page.locator("#lesson-steps").evaluate((e) => e.scrollIntoView({ block: "start" })); // as the page does it
    const scrolling = await page.evaluate(() =>
      [...document.querySelectorAll("#lesson, #lesson *")].filter((e) => ["auto", "scroll"].includes(getComputedStyle(e).overflowY) && e.scrollHeight > e.clientHeight + 1).map((e) => e.id || e.className),
    );
    expect(scrolling.filter((name) => name !== "lesson-read")).toEqual([]); // The text gives way to the task.

    await pick(page, "x +");
    await page.locator(".ask").evaluate((e) => e.scrollIntoView({ block: "nearest" }));
    for (const part of [".ask legend", ".ask-ways", "#task-answer", "#lesson-next"]) {
      await expect(page.locator(part)).toBeInViewport({ ratio: 0.99 }); // a part of a pixel may be off
      expect(await meets(page, part), part).toBe(true);
    }
    const places = () => page.locator("#task-answer, #lesson-back, #lesson-next").evaluateAll((all) => all.map((e) => e.getBoundingClientRect()).map((box) => [Math.round(box.x), Math.round(box.y)]));
    const choices = () => page.locator(".ask-choice").evaluateAll((all) => all.map((e) => Math.round(e.getBoundingClientRect().top - document.getElementById("task-answer")!.getBoundingClientRect().top)));
    const [before, chosen] = [await places(), await choices()];
    await answer(page);
    await expect(verdict(page)).toHaveAttribute("data-tone", "wrong");
    await expect(verdict(page)).toBeInViewport({ ratio: 0.99 });
    expect(await meets(page, "#task-verdict")).toBe(true);
    expect(await places()).toEqual(before);
    expect(await choices()).toEqual(chosen);
    await pick(page, "arrow");
    expect(await choices()).toEqual(chosen);
    // What gives up is not where the answer is pressed.
    await expect(page.locator("#task-give-up")).toBeVisible();
    for (const button of ["#task-answer", "#lesson-next"]) expect(await meets(page, button), button).toBe(true);

    await pick(page, "z +");
    await answer(page);
    await expect(verdict(page)).toHaveAttribute("data-tone", "right");
    await expect(verdict(page)).toBeInViewport({ ratio: 0.99 });
    expect(await places()).toEqual(before);
  });
}

test("in a lesson the numbers are in sight over the picture, and say of what they are", async ({ page }) => {
  await lesson(page, "joints-one-at-a-time", 2);
  await drawer(page, "measure");
  const readout = page.locator("#readout");
  for (const [width, height] of [[1366, 768], [1920, 1080], [1024, 768]] as const) {
    await page.setViewportSize({ width, height });
    for (const letter of ["X", "Y", "Z"]) {
      const number = readout.locator(`[data-position=${letter}]`);
      await expect(number).toBeInViewport({ ratio: 1 });
      await expect(number).toHaveText((await page.locator(`#where [data-position=${letter}]`).textContent())!);
    }
    await expect(readout.locator(".turn").nth(2)).toBeInViewport({ ratio: 1 });
    for (const part of ["#joints", "#lesson"]) {
      const [a, b] = [(await readout.boundingBox())!, (await page.locator(part).boundingBox())!];
      expect(a.x >= b.x + b.width || b.x >= a.x + a.width || a.y >= b.y + b.height || b.y >= a.y + a.height, `${part} at ${width}`).toBe(true);
    }
  }
  await expect(readout).toContainText("TCP, base frame");
  // Beside the plot there is less room.
  await page.setViewportSize({ width: 1366, height: 768 });
  await page.locator("#plot-switch").click();
  for (const part of ["#plot", "#lesson"]) {
    const [a, b] = [(await readout.boundingBox())!, (await page.locator(part).boundingBox())!];
    expect(a.x >= b.x + b.width || b.x >= a.x + a.width || a.y >= b.y + b.height || b.y >= a.y + a.height, `${part} beside the plot`).toBe(true);
  }
  await page.locator("#plot-close").click();
  await page.evaluate(() => (document.body.dataset["hides"] = "readout"));
  await expect(readout).toBeHidden();
  await page.evaluate(() => (document.body.dataset["hides"] = ""));
  await page.locator("#lesson-choice").selectOption("");
  await drawer(page, "measure"); // which shows the same
  await expect(readout).toBeHidden();
});

test("on a phone a task that is driven is followed at the jog buttons, and a lesson is left where it was chosen", async ({ page }) => {
  await lesson(page, "joints-one-at-a-time", 2);
  const seen = page.locator("#lesson-glance");
  await expect(page.locator("#glance-next")).toBeHidden(); // until it is done
  await expect(seen).toBeHidden(); // the task itself is in sight
  await page.setViewportSize({ width: 390, height: 844 });
  await page.evaluate(() => window.scrollTo(0, 0));
  await expect(seen).toHaveText("30.0° to go. Turn J1 to 30°, within 0.5°. 0 of 8 jogs.");
  await expect(seen).toBeInViewport({ ratio: 0.99 });
  await expect(jogButton(page, 5, 1)).toBeInViewport({ ratio: 0.99 });
  expect(await meets(page, "#lesson-glance")).toBe(true);
  await step(page, 0, 1);
  await expect(seen).toHaveText("25.0° to go. Turn J1 to 30°, within 0.5°. 1 of 8 jogs.");
  // While it is driven the numbers are in sight, beside the task.
  await ask(page, { type: "speed", mm_s: 1, deg_s: 1 });
  await ask(page, { type: "increment", mm: 10, deg: 90 });
  await ask(page, { type: "step", direction: { frame: "joint", axis: 0, sign: 1 } });
  await page.waitForFunction(() => (window as any).handrule.state.moving);
  await page.evaluate(() => (document.querySelector<HTMLElement>(".over-view")!.style.pointerEvents = "auto")); // so that what lies over them is met
  for (const letter of ["X", "Y", "Z"]) {
    await expect(page.locator(`#readout [data-position=${letter}]`)).toBeInViewport({ ratio: 1 });
    expect(await meets(page, `#readout [data-position=${letter}]`)).toBe(true);
  }
  await expect(seen).toBeInViewport({ ratio: 0.99 });
  expect((await state(page)).moving).not.toBeNull();
  await ask(page, { type: "release" });
  await ask(page, { type: "speed", mm_s: 250, deg_s: 90 });
  await ask(page, { type: "increment", mm: 10, deg: 5 });
  await expect.poll(async () => (await state(page)).moving).toBeNull();

  await go(page, 1);
  await expect(seen).toHaveText("0 of 6 done. Next: Turn J1");
  await step(page, 0, 1);
  await expect(seen).toHaveText("1 of 6 done. Next: Turn J2");
  await go(page, 3);
  await expect(seen).toHaveText(""); // a question is answered where it stands

  const out = page.locator('#lesson-choice option[value=""]');
  await expect(out).toHaveText("Leave the lesson");
  await page.locator("#lesson-choice").selectOption("");
  await expect(page.locator("#lesson")).toBeHidden();
  await expect(out).toHaveText("choose a lesson");
});

test("the steps of a lesson are one row, the result among them", async ({ page }) => {
  await open(page, "/?lang=es");
  for (const [id, steps] of [["the-right-hand", 7], ["where-the-numbers-start", 8]] as const) {
    await choose(page, id);
    await expect(page.locator(".step")).toHaveCount(steps);
    for (const [width, height] of [...sizes, [1024, 768]] as const) {
      await page.setViewportSize({ width, height });
      const rows = await page.locator(".step").evaluateAll((all) => {
        for (const e of all.slice(0, -1)) e.classList.add("done"); // which makes them wider
        return [new Set(all.map((e) => Math.round(e.getBoundingClientRect().top))).size, Math.min(...all.map((e) => e.clientWidth)), all[0]!.closest("ol")!.scrollWidth - all[0]!.closest("ol")!.clientWidth];
      });
      expect(rows[0]).toBe(1);
      expect(rows[1]).toBeGreaterThanOrEqual(22); // 24 px with its edges, WCAG 2.2, 2.5.8
      expect(rows[2]).toBe(0);
    }
  }
});

test("a lesson begins with no drawer out and no coordinate walk, and goes on as it is when the page is loaded again", async ({ page }) => {
  await open(page);
  await expect(page.locator("body")).toHaveAttribute("data-drawer", "measure");
  await page.keyboard.press("c");
  await expect(page.locator("#walk")).toHaveAttribute("aria-pressed", "true");
  await page.locator("#lesson-choice").selectOption("first-straight-line");
  await expect(page.locator("body")).toHaveClass(/in-lesson/);
  await expect(page.locator("body")).not.toHaveAttribute("data-drawer");
  await expect(page.locator("#walk")).toHaveAttribute("aria-pressed", "false");

  await drawer(page, "look");
  await page.reload();
  await ready(page);
  await expect(page.locator("body")).toHaveClass(/in-lesson/);
  await expect(page.locator("body")).toHaveAttribute("data-drawer", "look");
});

test("leaving a lesson, by its key, gives back how the arm was jogged before", async ({ page }) => {
  await open(page, "/?lang=en");
  await frame(page, "base");
  await page.locator("#increment").selectOption({ label: "50 mm · 15°" });
  await page.locator("#speed").selectOption({ label: "10 mm/s · 5 °/s" });
  await page.locator("input[name=manner][value=hold]").check({ force: true });
  await choose(page, "joints-one-at-a-time");
  await expect(page.locator("#strip")).toHaveAttribute("data-frame", "joint");
  await page.locator("#speed").selectOption({ label: "50 mm/s · 15 °/s" });
  await page.locator("#increment").selectOption({ label: "1 mm · 1°" }); // which jogs in steps
  await expect(page.locator("input[name=manner][value=step]")).toBeChecked();
  await page.keyboard.press("Escape");
  await page.locator("#lesson-stage").focus();
  await page.keyboard.press("1");
  await expect(page.locator(".leave-key")).toHaveText("Shift X");
  await expect(page.locator(".leave-key")).toBeVisible();
  await page.keyboard.press("Shift+X");
  await expect(page.locator("#lesson-place")).toBeHidden();
  await expect(page.locator("#strip")).toHaveAttribute("data-frame", "base");
  await expect(page.locator("#increment option:checked")).toHaveText("50 mm · 15°");
  await expect(page.locator("#speed option:checked")).toHaveText("10 mm/s · 5 °/s");
  await expect(page.locator("input[name=manner][value=hold]")).toBeChecked();
});

for (const [width, height] of sizes) {
  test(`a stage that is come back to begins with its heading, and its fields show what is right: ${width}×${height}`, async ({ page }) => {
    await page.setViewportSize({ width, height });
    await open(page, "/?lang=en#/lessons/joints-one-at-a-time/3");
    await pick(page, "x -");
    await answer(page);
    await expect(page.locator("#task-outcome")).toHaveText("Correct: −X of the base frame.");
    const comeBack = async () => {
      await page.locator("#lesson-next").click();
      await expect(page.locator("#task-outcome")).toBeEmpty();
      await page.locator("#lesson-back").click();
      await expect(page.locator("#task-outcome")).toHaveText(/^Correct/);
    };
    await comeBack();
    await expect(page.locator("#lesson-stage")).toBeInViewport({ ratio: 1 });
    const right = page.locator("#task-question input[value='x -']");
    await expect(right).toBeChecked();
    await expect(right).toBeDisabled();
    await expect(right).toBeInViewport({ ratio: 1 });

    await page.goto("#/lessons/where-the-numbers-start/1");
    await page.locator("#task-number").fill("319.5");
    await answer(page);
    await comeBack();
    await expect(page.locator("#task-number")).toHaveValue("320");
    await expect(page.locator("#task-number")).toBeDisabled();
    await expect(page.locator("#lesson-stage")).toBeInViewport({ ratio: 1 });
  });
}

test("on a phone a task that is driven names the tab that leads to the jog buttons, until it is done", async ({ page }) => {
  await page.setViewportSize({ width: 390, height: 844 });
  for (const [language, words, tab] of [["en", "To jog: tab “↑ Jog buttons”.", "Jog buttons"], ["es", "Para mover: pestaña «↑ Botones».", "Botones"]]) {
    await open(page, `/?lang=${language}#/lessons/joints-one-at-a-time/1`);
    await expect(page.locator(".to-jog")).toHaveText(words!);
    await expect(page.locator(".to-jog")).toBeInViewport({ ratio: 1 });
    await expect(page.locator("#to-and-fro")).toHaveText(tab!);
    await go(page, 2);
    await expect(page.locator(".to-jog")).toBeVisible();
  }
  await page.setViewportSize({ width: 1366, height: 768 });
  await expect(page.locator(".to-jog")).toBeHidden();
});

test("the list of lessons has their numbers, and a tick where all tasks are done", async ({ page }) => {
  await open(page);
  const first = page.locator("#lesson-choice option").nth(1);
  await expect(first).toHaveText(/^1\. .*[^✓]$/);
  const id = await first.getAttribute("value");
  await page.evaluate((id) => localStorage.setItem(`handrule-standing-${id}`, "99 0"), id);
  await page.reload();
  await ready(page);
  await expect(first).toHaveText(/^1\. .* ✓$/);
  await expect(page.locator("#lesson-choice option").nth(2)).toHaveText(/^2\. .*[^✓]$/);
});
