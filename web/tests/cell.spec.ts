// The arm in its cell: frames, room, contact, set distance, undo and teaching, by clicks and keys through the real server.
import { readFileSync } from "node:fs";
import { expect, type Page } from "@playwright/test";
import { drawer, frame, held, jogButton as button, open as openPage, stands, state, test } from "./bench";

/** The pen pointing down over the glazing bench, ready for steps of 100 mm. */
async function open(page: Page): Promise<void> {
  await openPage(page);
  await expect(page.locator(".joint-angle").first()).toHaveText("0.00°");
  await page.locator("#cell").selectOption("glazing-bench");
  await page.locator("#increment").selectOption({ label: "100 mm · 90°" });
  await page.locator("#speed").selectOption({ label: "250 mm/s · 60 °/s" });
  await stands(page, () => button(page, 4, 1).click());
  await expect(page.locator(".joint-angle").nth(4)).toHaveText("90.00°");
}

test("the room to move is told, and is where the arm stops; contact counts, the set distance prevents it", async ({ page }) => {
  await open(page);
  await frame(page, "world");
  await button(page, 2, -1).hover();
  await expect(button(page, 2, -1).locator(".room")).toHaveText(/^\d+ mm$/);
  await expect(page.locator("#next")).toContainText("Free travel from here");
  await expect(page.locator("#next")).toContainText("touches");
  const room = parseFloat((await button(page, 2, -1).locator(".room").textContent())!);
  const from = (await state(page)).tcp.position_mm[2];

  for (let i = 0; i < Math.ceil(room / 100); i++) {
    await stands(page, () => button(page, 2, -1).click());
  }
  await expect(page.locator(".stop-headline")).toContainText("touches");
  await expect(page.locator("#crashes")).toContainText("One contact");
  await expect(page.locator("#gap-text")).toContainText("Touching");
  expect(Math.abs(from - (await state(page)).tcp.position_mm[2] - room)).toBeLessThan(1);

  await page.locator("#set-distance").selectOption("10");
  await stands(page, () => button(page, 2, 1).click());
  await stands(page, () => button(page, 2, -1).click());
  await expect(page.locator(".stop-headline")).toContainText("set distance");
  await expect(page.locator("#gap-text")).toContainText("10.0 mm");
  await expect(page.locator("#crashes")).toContainText("One contact");
});

test("undo takes the jogs back along their path, by button and by key", async ({ page }) => {
  await open(page);
  await frame(page, "base");
  await stands(page, () => button(page, 1, 1).click());
  await expect(page.locator("#log-lines > li")).toHaveText([/^100 mm along \+Y of the base frame/, /^J5, \+90°/]);
  await stands(page, () => page.locator("#undo").click());
  await expect(page.locator("#where [data-position=Y]")).toHaveText("0.00");
  await stands(page, () => page.keyboard.press("u"));
  await expect(page.locator(".joint-angle").nth(4)).toHaveText("0.00°");
  await expect(page.locator("#log-lines > li")).toHaveCount(0);
});

test("the log is saved, played again from the same start, and stopped by Escape", async ({ page }) => {
  await open(page);
  await frame(page, "base");
  await stands(page, () => button(page, 1, 1).click());
  const end = (await state(page)).joints_deg;
  const download = page.waitForEvent("download");
  await page.locator("#log-save").click();
  const text = readFileSync(await (await download).path(), "utf8");
  expect(text).toContain("handrule trace --arm wren --cell glazing-bench --start 0,0,0,0,0,0");
  expect(text).toContain("joint J5 +90\n");

  const play = async (text: string) => {
    const choose = page.waitForEvent("filechooser");
    await page.locator("#log-play").click();
    await (await choose).setFiles({ name: "mine.txt", mimeType: "text/plain", buffer: Buffer.from(text) });
  };
  await page.locator("#restart").click();
  await expect(page.locator(".joint-angle").nth(4)).toHaveText("0.00°");
  await play(text);
  await expect(page.locator("#play-state")).toContainText("mine.txt: all 2 jogs done");
  expect((await state(page)).joints_deg).toEqual(end);
  await expect(page.locator("#log-lines > li")).toHaveText([/^100 mm along \+Y of the base frame/, /^J5, \+90°/]);

  await play("joint J1 +5\nbsae y +1\n");
  await expect(page.locator("#play-problem")).toContainText("mine.txt:2:1: unknown word");
  await play("speed 5\nbase y -100\n");
  await expect(page.locator("#play-state")).toContainText("Line 2: base y -100");
  await expect.poll(async () => (await state(page)).moving).not.toBeNull();
  await page.keyboard.press("Escape");
  await expect(page.locator("#play-state")).toContainText("stopped after 0 of 1");
  await expect.poll(async () => (await state(page)).moving).toBeNull();
  await expect(page.locator("#log-lines > li")).toHaveCount(3);
});

test("three points make a task frame, and positions are read in it", async ({ page }) => {
  await open(page);
  const take = (what: string) => page.locator(`[data-teach=${what}]`).click();
  await frame(page, "base");
  await take("origin");
  await take("x");
  await take("xy");
  await page.locator("#teach-name").fill("tray");
  await take("frame");
  await expect(page.locator("#teach-problem")).toContainText("0.00 mm from the origin");
  await stands(page, () => button(page, 1, 1).click());
  await take("x");
  await stands(page, () => button(page, 0, -1).click());
  await take("xy");
  await take("frame");
  await expect(page.locator("input[name=frame][value=task]")).toBeChecked();
  await page.locator("#read-in").selectOption("task tray");
  await expect(page.locator("#where [data-position=X]")).toHaveText("100.00");
  await expect(page.locator("#where [data-position=Y]")).toHaveText("100.00");
  await expect(page.locator("#reading-caption")).toContainText("tray");
  // A link cannot bring it, which is said where one is given; and it is no link that cannot be opened.
  await page.keyboard.press("Shift+S");
  await expect(page.locator("#share-opens")).toContainText("The taught frame stays in this browser: the link opens with the base frame.");
  await expect(page.locator("#share-link")).toHaveValue(/&frame=base&/);
  await page.keyboard.press("Escape");
  await frame(page, "base");
  await page.keyboard.press("Shift+S");
  await expect(page.locator("#share-opens")).not.toContainText("stays");
});

test("two pairs held together go along the sum of their directions", held, async ({ page }) => {
  // A small picture: drawing a large one in software may take longer than a hold's lease.
  await page.setViewportSize({ width: 760, height: 560 });
  await open(page);
  await page.evaluate(() => window.scrollTo(0, 0)); // to the choice of the frame
  await frame(page, "base");
  await page.locator("input[name=manner][value=hold]").check({ force: true });
  const from = (await state(page)).tcp.position_mm;
  await page.keyboard.press("2");
  await page.keyboard.press("1");
  await page.keyboard.down("ArrowRight");
  await page.keyboard.down("ArrowDown");
  await expect.poll(async () => Math.abs((await state(page)).tcp.position_mm[0] - from[0])).toBeGreaterThan(5);
  await page.keyboard.up("ArrowDown");
  await page.keyboard.up("ArrowRight");
  await expect.poll(async () => (await state(page)).moving).toBeNull();
  const to = (await state(page)).tcp.position_mm;
  expect(to[0]).toBeLessThan(from[0] - 5);
  expect(to[1]).toBeGreaterThan(from[1] + 1);
  expect(Math.abs(to[2] - from[2])).toBeLessThan(1e-6);
});

test("the carriage of a rail moves the arm in the world", async ({ page }) => {
  await openPage(page);
  await expect(page.locator(".joint-angle").first()).toHaveText("0.00°");
  await expect(page.locator("#rail")).toBeHidden();
  await page.locator("#cell").selectOption("bench-rail");
  await expect(page.locator("#rail-at")).toHaveValue("400");
  await page.locator("#read-in").selectOption("world");
  await expect(page.locator("#where [data-position=Y]")).toHaveText("400.00");
  await page.locator("#rail-at").fill("900");
  await page.locator("#rail-at").press("Enter");
  await expect(page.locator("#where [data-position=Y]")).toHaveText("900.00");
  await page.locator("#read-in").selectOption("base");
  await expect(page.locator("#where [data-position=Y]")).toHaveText("0.00");
  // Whoever reads in inches puts it in inches.
  await page.locator("input[name=unit][value=inch]").check({ force: true });
  await expect(page.locator("#rail-at")).toHaveValue("35.433");
  await expect(page.locator("#rail .unit")).toHaveText("in");
  await page.locator("#rail-at").fill("10");
  await page.locator("#rail-at").press("Enter");
  await page.locator("#read-in").selectOption("world");
  await expect(page.locator("#where [data-position=Y]")).toHaveText("10.000");
});

test("on the wall the world stays upright", async ({ page }) => {
  await openPage(page);
  await page.locator("#cell").selectOption("wall-mount");
  await expect(page.locator("#cell")).toHaveValue("wall-mount");
  await page.locator("#read-in").selectOption("world");
  await expect(page.locator("#reading-caption")).toContainText("world frame");
  const told = await state(page);
  // The flange is drawn in the world, where the wall holds the arm out level.
  const drawn = await page.evaluate(() => (window as any).handrule.view.drawnFlange().p);
  expect(Math.hypot(drawn[0] - told.flange.position_mm[0], drawn[1] - told.flange.position_mm[1], drawn[2] - told.flange.position_mm[2])).toBeLessThan(0.01);
});

for (const language of ["en", "es"]) {
  test(`${language}: below the list of arms stands what is told of the one that is chosen, and nothing that is pressed moves`, async ({ page }) => {
    await openPage(page, `/?lang=${language}#/arm/wren`);
    await drawer(page, "setup");
    const about = page.locator("#arm-about");
    const tops = () => page.locator("#setup :is(a, select, button)").evaluateAll((all) => all.map((e) => Math.round(e.getBoundingClientRect().top)));
    const before = await tops();
    for (const arm of ["curlew", "plover", "wren"]) {
      await page.locator("#arm").selectOption(arm);
      await expect(about).toContainText((await page.locator(`#arm > option[value=${arm}]`).getAttribute("title"))!);
      expect(await tops(), arm).toEqual(before);
    }
    await expect(about).toHaveText(language === "en" ? /^Tabletop arm/ : /^Brazo de sobremesa/);
  });
}
