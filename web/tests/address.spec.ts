// Addresses: a link opens what it names, and says what it cannot open; the page of lessons has one of its own.
import { expect, type Page } from "@playwright/test";
import { axe } from "./axe";
import { ask, askFrame, frame, heard, jogButton, open, ready, settled, sizes, stands, state, test } from "./bench";

const address = (page: Page): Promise<string> => page.evaluate(() => location.hash);
const setup = (page: Page): Promise<any> => page.evaluate(() => (window as any).handrule.setup);
const sight = (page: Page): Promise<any> => page.evaluate(() => (window as any).handrule.view.sight);
const problem = (page: Page) => page.locator("#problem");
const go = (page: Page, hash: string): Promise<void> => page.evaluate((h) => void (location.hash = h), hash);
const joints = async (page: Page): Promise<number[]> => (await state(page)).joints_deg.map((x: number) => Math.round(x * 1e4) / 1e4 + 0);

const linked = "#/arm/wren?cell=glazing-bench&joints=5,10,10,0,70,-3.25&frame=tool&view=-900,700,900,200,10,300";

for (const [width, height, alone] of [[1366, 768, true], [390, 844, false]] as const) {
  test(`a link opens the arm as it stood, ${width}×${height}, and so does the link that the page gives of it`, async ({ page, context }) => {
    await page.setViewportSize({ width, height });
    await open(page, `/${linked}`);
    await page.waitForFunction(() => (window as any).handrule.setup.frame === "tool");
    const shows = async () => {
      expect(await joints(page)).toEqual([5, 10, 10, 0, 70, -3.25]);
      expect(await setup(page)).toMatchObject({ arm: "wren", cell: "glazing-bench", frame: "tool" });
      await settled(page);
      const { from_mm, at_mm } = await sight(page);
      [...from_mm, ...at_mm].forEach((mm, i) => expect(mm).toBeCloseTo([-900, 700, 900, 200, 10, 300][i]!, 0));
    };
    await shows();

    await page.locator("#share").click();
    const link = page.locator("#share-link");
    await expect(link).toBeInViewport({ ratio: 1 });
    await expect(link).toHaveValue(/#\/arm\/wren\?cell=glazing-bench&tool=\w+&joints=5,10,10,0,70,-3\.25&frame=tool&view=/);
    const given = await link.inputValue();
    await page.keyboard.press("Escape");
    // In the page that is open: another pose first, then the link.
    await askFrame(page, "joint");
    await stands(page, () => jogButton(page, 0, 1).click());
    await go(page, given.slice(given.indexOf("#")));
    await page.waitForFunction(() => (window as any).handrule.setup.frame === "tool");
    await shows();
    if (!alone) return;
    // In a page of its own.
    const other = await context.newPage();
    await other.setViewportSize({ width, height });
    await other.goto(given);
    await ready(other);
    await other.waitForFunction(() => (window as any).handrule.setup.frame === "tool");
    expect(await joints(other)).toEqual([5, 10, 10, 0, 70, -3.25]);
    // With another tool than the arm's first, which is in the link that the page gives, too.
    expect((await setup(other)).tool).toBe("pen");
    await go(other, given.slice(given.indexOf("#")).replace("tool=pen", "tool=brush"));
    await other.waitForFunction(() => (window as any).handrule.setup.tool === "brush");
    await other.locator("#share").click();
    await expect(other.locator("#share-link")).toHaveValue(/&tool=brush&joints=5,10,10,0,70,-3\.25&/);
  });
}

test("the link is copied where the browser lets it be", async ({ page, context }) => {
  await context.grantPermissions(["clipboard-read", "clipboard-write"]);
  await open(page);
  await page.locator("#share").click();
  await expect(page.locator("#share-note")).toHaveText("Copied.");
  expect(await page.evaluate(() => navigator.clipboard.readText())).toBe(await page.locator("#share-link").inputValue());
});

test("a lesson's address opens it at its stage, follows the stages, and goes when it is left", async ({ page }) => {
  await open(page, "/#/lessons/first-straight-line/2");
  await expect(page.locator("#lesson-steps [aria-current=step]")).toHaveText("2");
  await page.locator("#lesson-next").click();
  await expect.poll(() => address(page)).toBe("#/lessons/first-straight-line/3");
  const kept = (): Promise<string | null> => page.evaluate(() => sessionStorage.getItem("handrule-kept")); // of a bench of the page's own
  const before = await kept();
  await go(page, "#/lessons/first-straight-line/1");
  await expect(page.locator("#lesson-steps [aria-current=step]")).toHaveText("1");
  if (before !== null) await expect.poll(kept).not.toBe(before);
  await page.reload();
  await ready(page);
  await expect(page.locator("#lesson-steps [aria-current=step]")).toHaveText("1");
  await page.locator("#lesson-leave").click();
  await expect(page.locator("#lesson-place")).toBeHidden();
  expect(await address(page)).toBe("");
});

test("the result of a lesson has an address, and a link to where one is puts the box of the link away", async ({ page }) => {
  await page.setViewportSize({ width: 390, height: 844 });
  await open(page, "/#/lessons/first-straight-line/result");
  const shown = page.locator("#lesson-steps [aria-current=step]");
  await expect(shown).toHaveText("Result");
  await expect(page.locator("#result-title")).toBeInViewport(); // and not the jog buttons
  await page.locator("#share").click();
  await expect(page.locator("#share-link")).toHaveValue(/#\/lessons\/first-straight-line\/result$/);
  await expect(page.locator("#share-opens")).toHaveText("Whoever opens it sees this page with a result of their own, not yours. The arm's pose is not in it.");
  await expect(page.locator("#share-box .term")).toHaveCount(0); // such a link is no part of an arm
  await expect(page.locator("#share-frame")).toBeHidden();
  await page.locator(".share-frame > summary").click();
  await expect(page.locator("#share-frame")).toHaveValue(/^<iframe .*first-straight-line\/result"/);
  await page.goto(page.url());
  await expect(page.locator("#share-box")).toBeHidden();
  await page.reload();
  await expect(shown).toHaveText("Result");
  await expect(page.locator("#result-title")).toBeInViewport();
  const last = await page.locator("#lesson-steps > li").count() - 1;
  await go(page, `#/lessons/first-straight-line/${last}`); // the stage that the result was come to from, too
  await expect(shown).toHaveText(String(last));
  await page.locator("#lesson-next").click();
  await expect.poll(() => address(page)).toBe("#/lessons/first-straight-line/result");
});

test("in the result each stage's name leads to it", async ({ page }) => {
  await open(page, "/?lang=en#/lessons/first-straight-line/result");
  await page.locator("#result-rows a").nth(1).click();
  await expect(page.locator("#lesson-steps [aria-current=step]")).toHaveText("2");
  await expect(page.locator("#lesson-result")).toBeHidden();
  expect(await address(page)).toBe("#/lessons/first-straight-line/2");
});

test("what is shown and not in the link is told beside it", async ({ page }) => {
  await open(page, "/?lang=en");
  const opens = page.locator("#share-opens");
  await page.locator("#share").click();
  await expect(opens).toContainText("opens this arm");
  await expect(opens).not.toContainText("walk");
  await page.locator("#share").click();
  await page.keyboard.press("c");
  await expect(page.locator("#walk")).toHaveAttribute("aria-pressed", "true");
  await page.locator("#share").click();
  await expect(opens).toContainText("The coordinate walk is not in the link.");
});

test("the list of lessons says to which lesson it leads back, and leads out of it", async ({ page }) => {
  await open(page, "/#/lessons/joints-one-at-a-time/2");
  await expect(page.locator("#lesson-place")).toBeVisible();
  await go(page, "#/lessons");
  await expect(page.locator("#lessons-close > span")).toHaveText("Back to lesson 1");
  await page.locator("#lessons-close").click();
  await expect(page.locator("#lesson-place")).toBeVisible();
  await go(page, "#/lessons");
  await page.locator("#lessons-leave").click();
  await expect(page.locator("#lesson-place")).toBeHidden();
  expect(await address(page)).toBe("");
  await go(page, "#/lessons");
  await expect(page.locator("#lessons-close > span")).toHaveText("Back to the arm");
  await expect(page.locator("#lessons-leave")).toBeHidden();
});

test("the browser's Back leads to the lesson before, and from the first to the arm alone", async ({ page }) => {
  await open(page, "/#/arm/wren");
  await go(page, "");
  const list = page.locator("#lesson-choice");
  await list.selectOption("joints-one-at-a-time");
  await expect.poll(() => address(page)).toBe("#/lessons/joints-one-at-a-time/1");
  await page.locator("#lesson-next").click();
  await expect.poll(() => address(page)).toBe("#/lessons/joints-one-at-a-time/2");
  await list.selectOption("where-the-numbers-start");
  await expect.poll(() => address(page)).toBe("#/lessons/where-the-numbers-start/1");
  await page.goBack();
  await expect(list).toHaveValue("joints-one-at-a-time");
  await expect.poll(() => address(page)).toBe("#/lessons/joints-one-at-a-time/2");
  await page.goBack();
  await expect(page.locator("#lesson-place")).toBeHidden();
  await expect(list).toHaveValue("");
  expect(await address(page)).toBe("");
  await page.goForward();
  await expect(list).toHaveValue("joints-one-at-a-time");
});

test("what cannot be opened is told, and nothing is lost", async ({ page }) => {
  await open(page, `/${linked}`);
  await page.waitForFunction(() => (window as any).handrule.setup.frame === "tool");
  const before = { joints: await joints(page), setup: await setup(page) };
  for (const [hash, said] of [
    ["#/arm/heron", "There is no arm heron here."],
    ["#/arm/wren?cell=attic", "There is no cell attic here."],
    ["#/arm/wren?tool=sieve", "Wren has no tool sieve here."],
    ["#/arm/wren?joints=0,170,0,0,0,0", "J2 cannot stand at 170.0°: on Wren it goes from −80° to 110°."],
    ["#/arm/wren?joints=0,1,2", "Joints are six numbers in degrees with commas between them, not 0,1,2."],
    ["#/arm/wren?cell=glazing-bench&joints=0,100,20,0,0,0", "The arm cannot stand like that"],
    ["#/lessons/no-such", "There is no lesson no-such here."],
    ["#/lessons/first-straight-line/99", "and no stage 99"],
    ["#/elsewhere", "Nothing here is called #/elsewhere."],
  ] as const) {
    await go(page, hash);
    await expect(problem(page)).toContainText("The address cannot be opened.");
    await expect(problem(page), hash).toContainText(said.replace("−", /170/.test(hash) ? "-" : "−"));
    await heard(page);
    expect({ joints: await joints(page), setup: await setup(page) }, hash).toEqual(before);
    expect(await address(page)).toBe("");
  }
});

test("a link whose frame is not there says so, and offers no jogs in it", async ({ page }) => {
  await open(page, "/#/arm/wren?joints=0,0,0,0,45,0&frame=task&task=tray&jogs=task%20tray%20x%20%2B10");
  await expect(problem(page)).toContainText("The address cannot be opened.");
  await expect(problem(page)).toContainText("This cell has no task frame.");
  await heard(page);
  await expect(page.locator("#player")).toBeHidden();
  expect(await address(page)).toBe("");
  expect((await setup(page)).frame).not.toBe("task");
  // A refusal of something else is no matter of the address.
  await go(page, "#/arm/wren?joints=0,0,0,0,60,0&frame=tool");
  await page.waitForFunction(() => (window as any).handrule.setup.frame === "tool");
  await ask(page, { type: "frame", frame: "task", task: "" });
  await expect(problem(page)).not.toBeEmpty();
  await expect(problem(page)).not.toContainText("The address");
});

test("a page that comes by a link that cannot be opened has the bench to jog on, and says so", async ({ page }) => {
  await page.goto("/#/arm/wren?joints=0,170,0,0,0,0");
  await ready(page);
  await expect(problem(page)).toContainText("J2 cannot stand at 170.0°");
  await page.waitForFunction(() => (window as any).handrule.setup.cell === "glazing-bench");
});

test("the page of lessons: from the bar, with how far one is and what is next; the arm is as it was behind it", async ({ page }) => {
  await open(page, `/${linked}`);
  await frame(page, "joint");
  await stands(page, () => jogButton(page, 0, 1).click());
  const before = await joints(page);
  await page.locator("#lessons-open").click();
  const lessons = page.locator("#lessons");
  await expect(lessons).toBeVisible();
  expect(await address(page)).toBe("#/lessons");
  const items = lessons.locator(".lessons-list > li");
  const offered = (await page.locator("#lesson-choice option").count()) - 1;
  await expect(items).toHaveCount(offered);
  await expect(items.first()).toHaveClass("comes-next");
  for (const item of await items.all()) {
    expect(await item.locator("ul > li").count(), await item.innerText()).toBeGreaterThan(0);
    await expect(item.locator(".note")).toHaveText(/^About \d+ minutes\./);
  }
  await page.goBack();
  await expect(lessons).toBeHidden();
  await heard(page);
  expect(await joints(page)).toEqual(before);

  await page.locator("#lessons-open").click();
  await expect(lessons).toBeVisible(); // the address changes first
  await page.keyboard.press("Escape");
  await expect(lessons).toBeHidden();
  await expect.poll(() => address(page)).toBe(""); // it is told once the page of lessons has closed
  expect(await joints(page)).toEqual(before);

  await page.locator("#lessons-open").click();
  await items.first().getByRole("link").click();
  await expect(lessons).toBeHidden();
  await expect(page.locator("#lesson-place")).toBeVisible();
  await page.goBack();
  await expect(lessons).toBeVisible();
  await expect(items.first()).toContainText(/0 of \d+ tasks? done/);
  await expect(items.first().getByRole("link")).toHaveText("Go on");
});

for (const [lang, schemes] of [["en", ["light", "dark", "light"]], ["es", ["dark", "light", "dark"]]] as const) {
  test(`the page of lessons, ${lang}: nothing is cut off, and it can be used by everybody`, async ({ page }) => {
    await page.goto(`/?lang=${lang}#/lessons`);
    await ready(page);
    for (const [i, [width, height]] of sizes.entries()) {
      await page.setViewportSize({ width, height });
      await page.emulateMedia({ colorScheme: schemes[i]! });
      await expect(page.locator("html")).toHaveAttribute("data-theme", schemes[i]!);
      await expect(page.locator("#lessons .lessons-go").first()).toBeInViewport({ ratio: 1 });
      expect(await page.locator("#lessons").evaluate((e) => e.scrollWidth - e.clientWidth)).toBe(0);
      expect(await axe(page, "#lessons"), `${width}×${height}`).toEqual([]);
    }
  });
}
