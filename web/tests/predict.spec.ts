// Predict first: a jog asks, the learner points, the arm answers, by mouse, keys and touch.
import { expect, type Page } from "@playwright/test";
import { axe } from "./axe";
import { ask, askFrame, axisEnd, ballAt, ballMiddle, drawer, frame, handle, heard, jogButton, open, settled, state, sub, test, unit, type V3 } from "./bench";

const text = (page: Page) => page.locator("#predict-text");

/** Ready to predict: the pen points down, and every jog asks first. */
async function ready(page: Page): Promise<void> {
  await open(page, "/#/arm/wren?joints=0,0,0,0,60,0");
  await ask(page, { type: "increment", mm: 20, deg: 10 });
  await page.locator("#predict-switch").click();
  await expect(text(page).filter({ visible: true })).toContainText("draw an arrow on the ball");
}

/** The half of the ball that is drawn on. */
const half = (page: Page, value: "near" | "far") => page.locator(`input[name=predict-half][value=${value}]`);

const toward = (page: Page, way: string) => page.locator(`#predict-arrow [data-toward="${way}"]`);

/** The labels that are shown beside the arrows. */
const told = (page: Page) => page.evaluate(() => (({ object, labels }) => labels.filter((l: any) => object.visible && l.object.visible).map((l: any) => l.text))((window as any).handrule.view.prediction));

/** The arrow as it is told, a unit vector of the base frame. */
const drawn = async (page: Page): Promise<V3> => {
  const numbers = (await page.locator("#predict-drawn").textContent())!.replace(/−/g, "-").match(/[+-]?\d\.\d\d/g)!;
  return unit(numbers.map(Number) as V3);
};

const angle = (a: V3, b: V3): number => (Math.acos(Math.min(1, a[0] * b[0] + a[1] * b[1] + a[2] * b[2])) * 180) / Math.PI;

test("the angle that is told is that between the arrow drawn with the mouse and the way the TCP went", async ({ page }) => {
  await ready(page);
  await frame(page, "tool");
  const from = (await state(page)).tcp.position_mm as V3;
  await jogButton(page, 2, 1).click();
  await expect(text(page)).toContainText("+Z of the tool frame");
  expect((await state(page)).moving).toBeNull();
  await expect(page.locator("#predict-answer")).toBeDisabled();
  await expect(jogButton(page, 2, 1)).toBeHidden();

  const at = await ballMiddle(page);
  await page.mouse.move(at.x + 5, at.y);
  await page.mouse.down();
  await page.mouse.move(at.x + 30, at.y + 25, { steps: 3 });
  await page.mouse.up();
  const near = await drawn(page);
  await expect(page.locator("#predict-drawn")).toContainText("towards you");
  // The same place on the far half of the ball, and back.
  await expect(half(page, "near")).toBeChecked();
  await half(page, "far").check({ force: true });
  await expect(page.locator("#predict-drawn")).toContainText("away from you");
  const far = await drawn(page);
  expect(angle(near, far)).toBeGreaterThan(20);
  await half(page, "near").check({ force: true });
  await expect(page.locator("#predict-drawn")).toContainText("towards you");
  expect(angle(await drawn(page), near)).toBeLessThan(1.5);

  await page.locator("#predict-answer").click();
  await expect(text(page)).toContainText("from the true direction");
  await expect.poll(async () => (await state(page)).moving).toBeNull();
  // In the picture the answer stands beside the arrow.
  await expect.poll(() => page.evaluate(() => (window as any).handrule.view.prediction.answers.map((l: any) => l.text).join(", "))).toMatch(/^you, .*, the arm$/);
  const went = unit(sub((await state(page)).tcp.position_mm, from));
  const told = Number(/(\d+)° from the/.exec((await text(page).textContent())!)![1]);
  expect(Math.abs(told - angle(near, went))).toBeLessThan(1.5);
  await expect(page.locator("#predict-score")).toContainText(`Average difference: ${told}°.`);
});

test("while held, the question says that the arm will make one step", async ({ page }) => {
  await ready(page);
  await frame(page, "joint");
  await jogButton(page, 0, 1).click();
  await expect(text(page)).toHaveText(/or will it stay\?$/);
  await page.locator("#predict-withdraw").click();
  await page.locator("input[name=manner][value=hold]").check({ force: true });
  await jogButton(page, 0, 1).click();
  await expect(text(page)).toHaveText(/or will it stay\? The arm then makes one step of 10°\.$/);
});

test("a direction that is chosen by its name is not said to lie on a half of the ball", async ({ page }) => {
  await ready(page);
  await frame(page, "tool"); // in another frame than that of the dots, they are named
  await jogButton(page, 2, 1).click();
  const halves = page.locator("#predict-half");
  await expect(halves).toBeHidden();
  await toward(page, "2 minus").click();
  await expect(page.locator("#predict-drawn")).toHaveText("Along Z − of the base frame.");
  await expect(halves).toBeHidden();
  const at = await ballMiddle(page);
  await dragTo(page, at.x + 20, at.y + 15);
  await expect(halves).toBeVisible();
  await expect(page.locator("#predict-drawn")).toContainText("towards you");
  await page.locator("#predict-stays").click();
  await expect(halves).toBeHidden();
});

for (const [width, height] of [[1366, 768], [1280, 720], [390, 844]] as const) {
  for (const language of ["en", "es"]) {
    test(`at ${width}×${height} in ${language} the strip is as high with predict first as without, and while it asks`, async ({ page }) => {
      await page.setViewportSize({ width, height });
      await open(page, `/?lang=${language}#/arm/wren?joints=0,0,0,0,60,0`);
      await expect(page.locator("html")).toHaveAttribute("lang", language);
      const tall = async () => Math.round((await page.locator("#strip").boundingBox())!.height);
      for (const name of ["joint", "base"]) {
        await askFrame(page, name);
        const before = await tall();
        await page.locator("#predict-switch").click();
        await expect(text(page).filter({ visible: true })).toHaveText(/\S/);
        expect(await tall()).toBe(before);
        await expect(page.locator("#undo")).toBeVisible();
        // Right and wrong answers are of unlike lengths.
        for (const sign of [1, -1]) {
          await jogButton(page, 2, sign).click();
          await expect(page.locator("#predict-question")).toBeVisible();
          expect(await tall()).toBe(before);
          await toward(page, "0 plus").click();
          await page.locator("#predict-answer").click();
          await expect(page.locator("#predict-question")).toBeHidden();
          await expect.poll(async () => (await state(page)).moving).toBeNull();
          expect(await tall()).toBe(before);
        }
        await page.keyboard.press("h"); // while held more is asked
        await jogButton(page, 2, 1).click();
        await expect(page.locator("#predict-question")).toBeVisible();
        expect(await tall()).toBe(before);
        await page.locator("#predict-withdraw").click();
        await expect(page.locator("#predict-question")).toBeHidden();
        await page.keyboard.press("h");
        await page.locator("#predict-switch").click();
        await expect(text(page)).toBeHidden();
      }
    });
  }
}

test("what was jogged stays in hand when the question has gone, and not what lies under the pointer then", async ({ page }) => {
  await ready(page);
  await frame(page, "joint");
  const jogged = jogButton(page, 4, 1);
  await jogged.click();
  await toward(page, "2 minus").click();
  await page.locator("#predict-answer").click({ position: { x: 15, y: 15 } });
  await expect(page.locator("#predict-question")).toBeHidden();
  const answer = await page.evaluate(() => document.querySelector(".jog:hover")?.className ?? null);
  expect(answer, "a jog button lies there").not.toBeNull();
  await page.mouse.move(...(await under(page)));
  await expect(page.locator(".jog.aimed")).toHaveCount(1);
  await expect(jogged).toHaveClass(/aimed/);
  // Once the pointer has left and comes again, it points.
  await page.locator("#view").hover();
  await jogButton(page, 0, 1).hover();
  await expect(jogButton(page, 0, 1)).toHaveClass(/aimed/);
});

/** A place a little off the middle of the jog button that the pointer is on. */
const under = (page: Page): Promise<[number, number]> =>
  page.evaluate(() => {
    const box = document.querySelector(".jog:hover")!.getBoundingClientRect();
    return [box.left + box.width / 2 + 2, box.top + box.height / 2];
  });

/** Draws by dragging to a place of the picture, from the middle of the ball. */
async function dragTo(page: Page, x: number, y: number): Promise<void> {
  const middle = await ballMiddle(page);
  await page.mouse.move(middle.x, middle.y);
  await page.mouse.down();
  await page.mouse.move(x, y, { steps: 3 });
  await page.mouse.up();
}

test("a drag onto an axis's dot draws along it, whichever half it is on; with Shift it does not; elsewhere it draws on the chosen half", async ({ page }) => {
  await ready(page);
  await frame(page, "tool"); // in another frame than that of the dots, they are named
  await jogButton(page, 2, 1).click();
  const words = page.locator("#predict-drawn");

  // The ball is 50 px wide or more to each side, so 12° are 10 px or more.
  const near = await axisEnd(page, [0, -1, 0]);
  expect(near.toward).toBeGreaterThan(0.25);
  await dragTo(page, near.x + 4, near.y - 4);
  // A dot has a name, and no half: what is right is not said to be towards the viewer.
  await expect(words).toHaveText("Along Y − of the base frame.");
  await expect(page.locator("#predict-half")).toBeHidden();
  await expect(toward(page, "1 minus")).toHaveAttribute("aria-pressed", "true");
  await page.keyboard.down("Shift");
  await dragTo(page, near.x + 4, near.y - 4);
  await page.keyboard.up("Shift");
  await expect(words).toContainText(/^\d+° from Y\s− of the base frame, towards you\. As a direction in the base frame: /);
  await expect(toward(page, "1 minus")).toHaveAttribute("aria-pressed", "false");
  const by = angle(await drawn(page), [0, -1, 0]);
  expect(by).toBeGreaterThan(2);
  expect(Math.abs(by - Number(/^\d+/.exec((await words.textContent())!)![0]))).toBeLessThan(1.5);
  await dragTo(page, near.x - 4, near.y - 30);
  await expect(words).toContainText("° from");

  // The dot of the far half is caught while the near one is drawn on, and what is drawn beside it is near again.
  const far = await axisEnd(page, [0, 1, 0]);
  expect(far.toward).toBeLessThan(-0.25);
  await dragTo(page, far.x + 3, far.y - 3);
  await expect(words).toHaveText("Along Y + of the base frame.");
  await expect(toward(page, "1 plus")).toHaveAttribute("aria-pressed", "true");
  await dragTo(page, far.x + 14, far.y - 24);
  await expect(words).toContainText("° from");
  await expect(words).toContainText("towards you");
  await expect(half(page, "near")).toBeChecked();

  // The other way round, on the far half.
  await half(page, "far").check({ force: true });
  await expect(words).toContainText("away from you");
  await dragTo(page, near.x, near.y);
  await expect(words).toHaveText("Along Y − of the base frame.");
  await dragTo(page, near.x - 4, near.y - 30);
  await expect(words).toContainText("away from you");

  // What is near is a filled dot, what is far a ring.
  const filled = () => page.evaluate(() => (window as any).handrule.view.prediction.dots.map((d: any) => d.marks.map(({ mark }: any) => mark.object.visible)));
  const ends: V3[] = [[1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]];
  for (const [i, end] of ends.entries()) {
    const isNear = (await axisEnd(page, end)).toward >= 0;
    expect((await filled())[i]).toEqual([isNear, !isNear]);
  }

  // An arrow that is chosen by name is told alike.
  await page.locator("#predict-arrow [data-toward='2 plus']").click();
  await expect(words).toContainText("Along Z + of the base frame");

  // On the ball no axis of the arm offers itself to be dragged; without it one does, in the same place.
  const grip = await handle(page, 1, 0.4);
  const over = async () => {
    await page.mouse.move(grip.x + 1, grip.y);
    await page.mouse.move(grip.x, grip.y);
    await settled(page);
  };
  await over();
  await expect(page.locator("#view")).not.toHaveClass(/draggable/);
  await page.keyboard.press("Escape");
  await expect(page.locator("#predict-question")).toBeHidden();
  await over();
  await expect(page.locator("#view")).toHaveClass(/draggable/);
});

test("where a near and a far dot are in one place of the picture, the half that is drawn on decides", async ({ page }) => {
  await ready(page);
  await frame(page, "joint"); // a joint has no letters, so the dots have theirs
  await jogButton(page, 2, 1).click();
  const words = page.locator("#predict-drawn");
  const at = await ballAt(page);
  await page.evaluate((at) => (window as any).handrule.view.lookFromTo({ from_mm: [at[0], at[1] - 900, at[2]], at_mm: at }), at);
  const [near, far] = [await axisEnd(page, [0, -1, 0]), await axisEnd(page, [0, 1, 0])];
  expect(near.toward).toBeGreaterThan(0.99);
  expect(Math.hypot(near.x - far.x, near.y - far.y)).toBeLessThan(5);
  const shown = () => page.evaluate(() => (window as any).handrule.view.prediction.letters.filter((l: any) => l.object.visible).map((l: any) => l.text));
  expect(await shown()).toEqual(["X", "−X", "−Y", "Z", "−Z"]);
  await page.mouse.click(near.x + 2, near.y + 2);
  await expect(words).toHaveText("Along Y − of the base frame, towards you.");
  await half(page, "far").check({ force: true });
  await expect(words).toHaveText("Along Y + of the base frame, away from you.");
  await settled(page);
  expect(await shown()).toEqual(["X", "−X", "Y", "Z", "−Z"]);
  await page.mouse.click(near.x + 2, near.y + 2);
  await expect(words).toHaveText("Along Y + of the base frame, away from you.");
  await half(page, "near").check({ force: true });
  await expect(words).toHaveText("Along Y − of the base frame, towards you.");

  // Seen from the other side, the same arrow points away, and is told so.
  await page.evaluate((at) => (window as any).handrule.view.lookFromTo({ from_mm: [at[0], at[1] + 900, at[2]], at_mm: at }), at);
  await expect(words).toHaveText("Along Y − of the base frame, away from you.");
  await expect(half(page, "far")).toBeChecked();
});

test("while the ball waits one frame alone has letters, and where the base's would answer the ball has none", async ({ page }) => {
  await open(page, "/#/arm/wren?cell=glazing-bench&joints=0,0,0,0,60,0");
  await page.locator("#predict-switch").click();
  await drawer(page, "measure");
  const seen = () =>
    page.evaluate(() => {
      const { view } = (window as any).handrule;
      const { prediction } = view;
      const shown = (o: any): boolean => !o || (o.visible && shown(o.parent));
      const told = (labels: any[]) => labels.some((l: any) => !l.crowded && shown(l.object));
      return {
        ball: told(prediction.letters),
        tip: told(view.activeAxes.labels),
        base: told(view.baseAxes.labels),
        colours: new Set(prediction.dots.map((d: any) => d.marks[0].colours.array.slice(0, 3).join())).size,
      };
    });
  const words = page.locator("#predict-drawn");
  const lettered = { joint: "ball", base: "base", world: "tip", task: "tip", tool: "tip" };
  for (const [inFrame, where] of Object.entries(lettered)) {
    const told = !["base", "world"].includes(inFrame);
    await askFrame(page, inFrame, inFrame === "task" ? "tile" : "");
    await jogButton(page, 2, 1).click();
    const left = await axisEnd(page, [0, 1, 0]);
    await dragTo(page, left.x, left.y);
    await expect(toward(page, "1 plus")).toHaveAttribute("aria-pressed", "true"); // it catches all the same
    await expect(words).toHaveText(told ? "Along Y + of the base frame." : ""); // its button is pressed
    await settled(page);
    expect(await seen(), inFrame).toEqual({ ball: false, tip: false, base: false, [where]: true, colours: where === "ball" ? 3 : 1 });
    await expect(page.locator("#where .legend")).toBeHidden(); // as is what else would tell
    await expect(page.locator(".nearness")).toBeHidden();
    await page.locator("#predict-withdraw").click();
    await expect(page.locator("#where .legend")).toBeVisible();
  }
});

test("a question begins without an arrow, and what was asked otherwise is not told as its answer", async ({ page }) => {
  await ready(page);
  await frame(page, "base");
  await jogButton(page, 2, 1).click();
  await toward(page, "2 plus").click();
  await page.locator("#predict-answer").click();
  await expect(text(page)).toHaveText("Correct: 0° from the true direction (up to 30° counts).");
  await expect.poll(async () => (await state(page)).moving).toBeNull();
  await jogButton(page, 2, -1).click();
  await expect(page.locator("#predict-answer")).toBeDisabled();
  await page.locator("#predict-withdraw").click();
  await heard(page);
  await page.locator("input[name=predict-ask][value=joints]").check({ force: true });
  await expect(text(page).filter({ visible: true })).toContainText("name the joints");
});

test("an answer is gone from the picture when the arm is put back, and stays in the list", async ({ page }) => {
  await ready(page);
  await frame(page, "base");
  await jogButton(page, 1, 1).click();
  await toward(page, "0 plus").click();
  await page.locator("#predict-answer").click();
  await expect(text(page)).toContainText("from the true direction");
  await expect.poll(() => told(page)).toContain("the arm");
  await page.locator("#restart").click();
  await expect(text(page)).toContainText("Press a jog");
  await expect.poll(() => told(page)).toEqual([]);
  await expect(page.locator("#predict-list li")).toHaveCount(1);
});

test("that nothing moves is an answer among the others, and why nothing does is told", async ({ page }) => {
  await page.setViewportSize({ width: 1366, height: 768 });
  await open(page);
  await page.locator("#predict-switch").click();
  await frame(page, "base"); // The wrist is straight: nothing goes along Y.
  const left = toward(page, "1 plus");
  const stays = page.locator("#predict-stays");
  const answer = page.locator("#predict-answer");
  await jogButton(page, 1, 1).click();
  await expect(text(page)).toHaveText("Next jog: straight along +Y of the base frame. Which way will the TCP start to move, or will it stay?");
  await expect(answer).toBeDisabled();
  // One answer takes the place of another.
  await stays.click();
  await expect(stays).toHaveAttribute("aria-pressed", "true");
  await expect(answer).toBeEnabled();
  await left.click();
  await expect(stays).toHaveAttribute("aria-pressed", "false");
  await stays.click();
  await expect(left).toHaveAttribute("aria-pressed", "false");
  expect(await told(page)).toEqual([]);
  await stays.click();
  await expect(answer).toBeDisabled();
  const at = await ballMiddle(page);
  await stays.click();
  await page.mouse.click(at.x - 25, at.y - 25);
  await expect(stays).toHaveAttribute("aria-pressed", "false");

  await left.click();
  await answer.click();
  await expect(text(page)).toHaveText("Not correct. Your arrow is the way it was asked to go, but nothing moves: wrist singularity.");
  await settled(page);
  expect(await told(page)).toEqual(["you", "stays"]);
  await jogButton(page, 1, 1).click();
  await toward(page, "2 minus").click();
  await answer.click();
  await expect(text(page)).toHaveText("Not correct. Nothing moves: wrist singularity.");
  await jogButton(page, 1, 1).click();
  await stays.click();
  await page.keyboard.press("Escape"); // withdraws it
  await expect(page.locator("#predict-question")).toBeHidden();
  await jogButton(page, 1, 1).click();
  await expect(stays).toHaveAttribute("aria-pressed", "false");
  await stays.click();
  await answer.click();
  await expect(text(page)).toHaveText("Correct. Nothing moves: wrist singularity.");
  await settled(page);
  expect(await told(page)).toEqual(["stays"]);

  // So it is with joints.
  await page.locator("input[name=predict-ask][value=joints]").check({ force: true });
  await jogButton(page, 1, 1).click();
  await expect(answer).toBeDisabled();
  await page.locator("#predict-joints [data-joint='0']").click();
  await answer.click();
  await expect(text(page)).toHaveText("Not correct. Nothing moves: wrist singularity.");
  await jogButton(page, 1, 1).click();
  await page.locator("#predict-joints [data-joint='0']").click();
  await stays.click();
  await expect(page.locator("#predict-joints [data-joint='0']")).toHaveAttribute("aria-pressed", "false");
  await answer.click();
  await expect(text(page)).toHaveText("Correct. Nothing moves: wrist singularity.");
  await expect(page.locator("#predict-score")).toContainText("2 of 5 correct");
  expect((await state(page)).joints_deg).toEqual([0, 0, 0, 0, 0, 0]);
});

test("a limit is told as the reason, in the page's language", async ({ page }) => {
  await open(page, "/?lang=es#/arm/wren?joints=0,0,0,0,120,0"); // as far as J5 goes
  await page.locator("#predict-switch").click();
  await jogButton(page, 4, 1).click();
  await page.locator("#predict-stays").click();
  await page.locator("#predict-answer").click();
  await expect(text(page)).toHaveText(/^Bien\. Nada se mueve: J5/);
});

for (const [width, height] of [[1920, 1080], [390, 844]] as const) {
  test(`in the projector view at ${width}×${height} all answers and both halves can be pressed`, async ({ page }) => {
    await page.setViewportSize({ width, height });
    await open(page);
    await frame(page, "base");
    await page.locator("#predict-switch").click();
    await page.keyboard.press("p");
    if (width > 800) for (const what of ["which joints", "which way"]) await page.locator("#predict .option", { hasText: what }).click();
    await jogButton(page, 2, 1).click();
    for (const way of ["forward", "down", "It will not move"]) await page.getByRole("button", { name: way, exact: true }).click();
    await expect(page.locator("#predict-half")).toBeHidden(); // of what has a name
    const at = await ballMiddle(page);
    await dragTo(page, at.x + 12, at.y + 9);
    await page.locator(".halves .option", { hasText: "away from you" }).click();
    await expect(half(page, "far")).toBeChecked();
    await page.locator(".halves .option", { hasText: "towards you" }).click();
    await toward(page, "2 plus").click();
    await page.locator("#predict-answer").click();
    await expect(text(page)).toContainText("from the true direction");
    expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
  });
}

test("from the keyboard: a held jog asks, arrows turn the arrow, Enter lets the arm make one step, and Esc makes none", async ({ page }) => {
  await ready(page);
  await page.locator("input[name=manner][value=hold]").check({ force: true });
  await page.keyboard.press("1");
  await page.keyboard.press("ArrowUp");
  await expect(text(page)).toContainText("J1");
  await page.keyboard.press("Escape");
  await expect(page.locator("#predict-question")).toBeHidden();
  expect((await state(page)).joints_deg[0]).toBe(0);
  await expect(jogButton(page, 0, 1)).toBeFocused();

  await page.keyboard.press("ArrowUp");
  await expect(page.locator("#predict-question")).toBeFocused();
  await page.keyboard.press("ArrowLeft");
  await expect(page.locator("#predict-drawn")).toContainText("across your view");
  await page.keyboard.press("ArrowUp");
  const arrow = await drawn(page);
  await page.keyboard.press("Enter");
  await expect(page.locator("#predict-score")).toContainText("of 1");
  await expect.poll(async () => (await state(page)).joints_deg[0]).toBeCloseTo(10, 6);
  // J1 takes the TCP, in front of the arm, to the left.
  const off = Math.round(angle(arrow, [0, 1, 0]));
  await expect(text(page)).toContainText(/\d° from the/);
  expect(Math.abs(Number(/(\d+)° from the/.exec((await text(page).textContent())!)![1]) - off)).toBeLessThanOrEqual(1);
});

test("which joints will turn, that it stays, and forgetting it all", async ({ page }) => {
  await ready(page);
  await ask(page, { type: "increment", mm: 60, deg: 10 });
  await page.locator("input[name=predict-ask][value=joints]").check({ force: true });
  await frame(page, "base");
  await jogButton(page, 0, 1).click();
  await expect(text(page)).toContainText("Which joints");
  for (const joint of [1, 2, 4]) await page.locator(`#predict-joints [data-joint="${joint}"]`).click();
  expect(await axe(page, "#strip")).toEqual([]);
  await page.locator("#predict-answer").click();
  await expect(text(page)).toHaveText("Correct: J2, J3, J5.");

  await page.locator("input[name=predict-ask][value=way]").check({ force: true });
  await expect.poll(async () => (await state(page)).moving).toBeNull();
  await jogButton(page, 0, 1).click();
  await page.locator("#predict-stays").click();
  await page.locator("#predict-answer").click();
  await expect(text(page)).toHaveText("Not correct: it moves. It goes forward.");
  await expect.poll(async () => (await state(page)).moving).toBeNull();
  await jogButton(page, 5, 1).click();
  await toward(page, "1 minus").click();
  await page.locator("#predict-answer").click();
  await expect(text(page)).toHaveText("Not correct: 90° from the true direction (up to 30° counts). The thumb points up.");
  await page.locator("#predict-score").click();
  await expect(page.locator("#predict-list > li")).toHaveCount(3);
  await page.locator("#predict-forget").click();
  await expect(page.locator("#predict-kept")).toBeHidden();
});

test.describe("by touch, on a phone", () => {
  test.use({ viewport: { width: 390, height: 844 }, hasTouch: true });
  test("a finger on the ball draws, and the question is in sight", async ({ page }) => {
    await open(page);
    await page.locator("#predict-switch").tap();
    await expect(text(page).filter({ visible: true })).toContainText("draw an arrow on the ball");
    await jogButton(page, 2, -1).tap();
    await expect(page.locator("#predict-answer")).toBeInViewport();
    const at = await ballMiddle(page);
    await page.touchscreen.tap(at.x - 20, at.y + 12);
    await expect(page.locator("#predict-drawn")).toContainText("base frame");
    // A tap means the dot it is on, also one of the far half.
    const far = await axisEnd(page, [1, 0, 0]);
    expect(far.toward).toBeLessThan(-0.25);
    await page.touchscreen.tap(far.x, far.y);
    await expect(page.locator("#predict-drawn")).toHaveText("Along X + of the base frame.");
    await page.locator("#predict-answer").tap();
    await expect(page.locator("#predict-score")).toContainText("of 1");
    expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
  });
});

test("in a view that was chosen, the ball is brought into the picture when it is asked at", async ({ page }) => {
  await ready(page);
  const within = () =>
    page.evaluate(() => {
      const { view } = (window as any).handrule;
      const { object } = view.prediction;
      const p = object.getWorldPosition(object.position.clone()).project(view.orbitCamera.camera);
      const { clientWidth, clientHeight } = document.getElementById("view")!;
      const [x, y] = [((p.x + 1) / 2) * clientWidth, ((1 - p.y) / 2) * clientHeight];
      const { left, right, top, bottom } = view.free;
      return x > left && x < right && y > top && y < bottom;
    });
  await page.evaluate(() => (window as any).handrule.view.pan(0, -2000));
  await settled(page);
  await jogButton(page, 1, 1).click();
  await expect(text(page)).toContainText("Next jog");
  await expect.poll(within).toBe(true);
});
