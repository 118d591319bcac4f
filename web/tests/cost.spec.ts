// What a frame costs: draws and triangles are counted; the time that the page's own scripts take, the drawing calls left
// out, is printed and not judged. What the browser makes anew on the page with every frame of a moving arm is counted.
import { expect, type Page } from "@playwright/test";
import { ask, askFrame, ballAt, drawnWithin, heard, jogButton, open, settled, test } from "./bench";

interface Cost {
  draws: number;
  triangles: number;
  ms: number;
}

/** Draws the picture as it is, with the shadows of an arm that moves or without, and says what that costs. */
const cost = (page: Page, moving: boolean): Promise<Cost> =>
  page.evaluate((moving) => {
    const { view } = (window as any).handrule;
    const times: number[] = [];
    for (let i = 0; i < 60; i++) {
      view.armMoved = moving;
      const from = performance.now();
      view.draw(from);
      times.push(performance.now() - from);
    }
    const { calls, triangles } = view.stage.renderer.info.render;
    return { draws: calls, triangles, ms: Math.min(...times) };
  }, moving);

test("however coarse the picture is, what is read in it is drawn as finely as the canvas", async ({ page }) => {
  await open(page);
  await settled(page);
  const drawn = await page.evaluate(() => {
    const { view } = (window as any).handrule;
    const { stage } = view;
    const on: { labels: number; behind: boolean }[] = [];
    const render = stage.renderer.render.bind(stage.renderer);
    stage.renderer.render = (scene: any, camera: any) => {
      let labels = 0;
      scene.traverse((o: any) => (labels += o === view.sheet.object ? o.geometry.instanceCount : 0));
      on.push({ labels, behind: stage.renderer.getRenderTarget() !== null });
      render(scene, camera);
    };
    for (const ms of [200, 200, 200]) view.quality.took(ms, "moving");
    view.armMoved = true;
    view.draw(performance.now());
    stage.show();
    return on;
  });
  expect(drawn.some(({ behind }) => behind)).toBe(true);
  expect(drawn.some(({ labels, behind }) => labels > 0 && !behind)).toBe(true);
  expect(drawn.some(({ labels, behind }) => labels > 0 && behind)).toBe(false);
});

for (const [name, path] of [["alone", "/"], ["in a cell", "/#/arm/wren?cell=glazing-bench&joints=-20,10,10,0,70,0"]] as const) {
  test(`${name}: at most 30 draws a frame, and none at rest`, async ({ page }, info) => {
    await open(page, path);
    await settled(page);
    expect(await drawnWithin(page, 25)).toBe(0);
    const told: string[] = [];
    const check = async (what: string, moving: boolean, most: number): Promise<void> => {
      const found = await cost(page, moving);
      told.push(`${what}: ${found.draws} draws, ${found.triangles} triangles, ${found.ms.toFixed(1)} ms of script`);
      expect(found.draws, what).toBeLessThanOrEqual(most);
    };
    await check("joints, at rest", false, 30);
    await check("joints, moving", true, 30);
    await askFrame(page, "base");
    await settled(page);
    await check("base frame, at rest", false, 30);
    await jogButton(page, 1, 1).hover();
    await page.waitForFunction(() => (window as any).handrule.view.hand.measured());
    await settled(page);
    await check("base frame, with the ghost of a step", false, 30);
    await check("base frame, with the ghost of a step, moving", true, 30);
    info.annotations.push({ type: "cost", description: told.join("; ") });
    console.log(told.map((line) => `  ${name}, ${line}`).join("\n"));
  });
}

test("in a lesson, in predict first and in the first steps: at most 30 draws a frame", async ({ page }) => {
  const told: string[] = [];
  const check = async (what: string): Promise<void> => {
    await settled(page);
    for (const moving of [false, true]) {
      const { draws, triangles } = await cost(page, moving);
      told.push(`${what}${moving ? ", moving" : ""}: ${draws} draws, ${triangles} triangles`);
      expect(draws, told.at(-1)).toBeLessThanOrEqual(30);
    }
  };
  await open(page, "/#/lessons/not-touching-things/4");
  await page.waitForFunction(() => (window as any).handrule.view.target.object.visible);
  await check("a target in a cell");
  await open(page, "/#/lessons/the-right-hand/4");
  await expect(page.locator("#task-question")).toBeVisible();
  await check("a question with the ball");
  await ask(page, { type: "answer", arrow: null, direction: "y -", joints: [], stop: "", number: null, options: [] });
  await expect(page.locator("#task-verdict")).toBeVisible();
  await check("an explained answer");
  await open(page, "/#/arm/wren?cell=glazing-bench&joints=-20,10,10,0,70,0");
  await askFrame(page, "base");
  await page.keyboard.press("a");
  await jogButton(page, 5, 1).click();
  await ballAt(page);
  await check("predict first");
  await page.evaluate(() => localStorage.clear());
  await page.goto("/?lang=en");
  await expect(page.locator("#guide")).toBeVisible();
  await page.waitForFunction(() => (window as any).handrule.setup?.cell === "glazing-bench");
  await check("first steps");
  console.log(told.map((line) => `  ${line}`).join("\n"));
});

/** Of so many frames of the page as it is: how many elements were styled anew and how many boxes laid out anew in each, at most on all but a fifth of the occasions. */
async function remade(page: Page, frames: number): Promise<{ styled: number; laidOut: number; frames: number }> {
  const client = await page.context().newCDPSession(page);
  const events: { name: string; args: any }[] = [];
  client.on("Tracing.dataCollected", ({ value }) => events.push(...(value as typeof events)));
  await client.send("Tracing.start", { transferMode: "ReportEvents", traceConfig: { includedCategories: ["devtools.timeline"] } });
  await page.evaluate((frames) => new Promise<void>((done) => {
    const next = (): void => void (frames-- > 0 ? requestAnimationFrame(next) : done());
    next();
  }), frames);
  const ended = new Promise((done) => client.once("Tracing.tracingComplete", done));
  await client.send("Tracing.end");
  await ended;
  const usual = (counts: number[]): number => counts.sort((a, b) => a - b)[Math.floor(0.8 * counts.length)] ?? 0;
  const styled = events.filter((e) => e.name === "UpdateLayoutTree").map((e) => e.args?.elementCount).filter((n) => n !== undefined);
  const laidOut = events.filter((e) => e.name === "Layout").map((e) => e.args?.beginData?.dirtyObjects).filter((n) => n !== undefined);
  return { styled: usual(styled), laidOut: usual(laidOut), frames: laidOut.length };
}

for (const [name, path] of [["alone", "/"], ["in a lesson", "/#/lessons/joints-one-at-a-time/2"]] as const) {
  test(`${name}: an arm that moves has few elements of the page styled and laid out anew`, async ({ page }) => {
    await open(page, path);
    await ask(page, { type: "speed", mm_s: 2, deg_s: 2 });
    await ask(page, { type: "increment", mm: 10, deg: 90 });
    await heard(page);
    await ask(page, { type: "step", direction: { frame: "joint", task: "", axis: 0, sign: 1 } });
    await page.waitForFunction(() => (window as any).handrule.state.speeds_deg_s[0] > 1.9);
    const found = await remade(page, 20);
    expect(await page.evaluate(() => (window as any).handrule.state.moving), "it moves to the end").not.toBeNull();
    expect(found.frames, "frames with other numbers").toBeGreaterThan(2);
    console.log(`  ${name}: ${found.styled} elements styled, ${found.laidOut} boxes laid out`);
    expect(found.styled).toBeLessThanOrEqual(40); // The page has some 700.
    expect(found.laidOut).toBeLessThanOrEqual(80);
  });
}
