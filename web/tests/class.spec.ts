// A class through a whole hour, with the real server: one instructor, three learners of whom two have phones.
import { type Browser, expect, type Page } from "@playwright/test";
import { axe } from "./axe";
import { chooseLesson, settled, sizes, test, withoutPixels } from "./bench";
import { serveFolder, type Served } from "./folder";
import { faults } from "./layout";
import { armInPicture } from "./projected";

test.describe.configure({ mode: "serial" });

const lesson = `title: One question
arm: wren
start_deg: [0, 0, 0, 0, 90, 0]
stages:
  - {title: Choice, text: Think., choose: {question: Which?, options: [{text: This one, right: true}, {text: That one}]}}
`;

const assessment = `title: One that counts
arm: wren
start_deg: [0, 0, 0, 0, 90, 0]
assessment: {minutes_allowed: 5, ask_for: [name]}
stages:
  - {title: Choice, text: Think., points: 2, choose: {question: Which?, options: [{text: This one, right: true}, {text: That one}]}}
  - {title: Another, text: Think again., points: 1, choose: {question: Which?, options: [{text: This one, right: true}, {text: That one}]}}
`;

const ownArm = `name: Siskin
mount_height_mm: 300
joints:
  - {name: J1, at_mm: [0, 0, 0], axis: [0, 0, 1], limits_deg: [-160, 160], speed_deg_s: 120}
  - {name: J2, at_mm: [60, 0, 40], axis: [0, 1, 0], limits_deg: [-80, 100], speed_deg_s: 120}
  - {name: J3, at_mm: [60, 0, 340], axis: [0, 1, 0], limits_deg: [-120, 70], speed_deg_s: 120}
  - {name: J4, at_mm: [200, 0, 360], axis: [1, 0, 0], limits_deg: [-170, 170], speed_deg_s: 200}
  - {name: J5, at_mm: [380, 0, 360], axis: [0, 1, 0], limits_deg: [-110, 110], speed_deg_s: 200}
  - {name: J6, at_mm: [440, 0, 360], axis: [1, 0, 0], limits_deg: [-340, 340], speed_deg_s: 300}
flange: {at_mm: [470, 0, 360], rotation_deg: [0, 90, 0]}
`;

let served: Served;
test.beforeAll(async () => {
  served = await serveFolder(4, { "quick.yaml": lesson, "counts.yaml": assessment }, true);
});
test.afterAll(() => served?.stop());

/** A browser of somebody's own. */
async function somebody(browser: Browser, phone: boolean, address: string, language = "en"): Promise<Page> {
  const context = await browser.newContext({ viewport: phone ? { width: 390, height: 844 } : { width: 1366, height: 768 }, locale: language, hasTouch: phone });
  const page = await context.newPage();
  await withoutPixels(page);
  await page.addInitScript(() => localStorage.setItem("handrule-guide", "seen"));
  await page.goto(address);
  await page.waitForFunction(() => (window as any).handrule?.state);
  return page;
}

const joints = (page: Page): Promise<number[]> => page.evaluate(() => (window as any).handrule.state.joints_deg);
const follows = (page: Page): Promise<unknown> => page.waitForFunction(() => document.documentElement.classList.contains("following"));
const asked = (page: Page) => page.locator("#class-answer");
/** The page as it has settled has nothing that keeps somebody out. */
async function seen(page: Page): Promise<void> {
  await settled(page);
  expect(await axe(page)).toEqual([]);
}

const choose = (page: Page, word: string) => asked(page).getByText(word, { exact: true }).click();
const send = (page: Page) => page.locator("#class-answer button[type=submit]");

test("an hour: open, join by code, follow, ask twice, hand over, lesson, board, results", async ({ browser }) => {
  const instructor = await somebody(browser, false, served.instructor);
  expect(instructor.url()).not.toContain("teach"); // The secret has left the address.
  const desk = instructor.locator("#class-desk");
  await expect(desk).toBeVisible();
  await instructor.locator("#class-open-title").fill("Robotics 1");
  await desk.getByRole("button", { name: "Open a class" }).click();
  await expect(instructor.locator("#class-opened")).toBeVisible();
  const code = (await instructor.locator("#class-code-shown").innerText()).replace(/\s/g, "");
  expect(code).toMatch(/^[A-Z]{6}$/);
  await instructor.locator("#class-door-open").click();
  await expect(instructor.locator("#class-qr svg")).toBeVisible();
  await seen(instructor);
  await instructor.keyboard.press("Escape");

  // By the address of the QR code, two presses: the link, and this button. By the code, typed carelessly.
  const ana = await somebody(browser, true, `${served.address}#/class/${code}`);
  await ana.locator("#class-name-typed").fill("Ana");
  await expect(ana.locator("#class-kept")).toContainText("90 days");
  await seen(ana);
  await ana.getByRole("button", { name: "Join", exact: true }).click();
  await follows(ana);
  const ben = await somebody(browser, false, `${served.address}#/class`);
  await ben.locator("#class-code-typed").fill(` ${code.toLowerCase().slice(0, 3)} ${code.slice(3)}`);
  await ben.keyboard.press("Enter");
  await ben.locator("#class-name-typed").fill("<b>Ben</b>");
  await ben.keyboard.press("Enter");
  await follows(ben);
  const eva = await somebody(browser, true, `${served.address}#/class/${code}`, "es");
  await eva.locator("#class-name-typed").fill("Eva");
  await eva.getByRole("button", { name: "Entrar", exact: true }).click();
  await follows(eva);
  await expect(instructor.locator("#class-who")).toContainText("3 of 3");
  expect(new URL(ana.url()).hash).toBe("");

  // Follow: the arm in front is driven, and is seen by all; nothing is jogged there. Then from here on one's own.
  await instructor.keyboard.press("b");
  await expect(instructor.locator("#strip")).toHaveAttribute("data-frame", "base");
  const before = await joints(instructor);
  await instructor.keyboard.press("2");
  await instructor.keyboard.press("ArrowUp");
  await expect.poll(async () => (await joints(instructor))[0]).not.toBe(before[0]);
  await instructor.waitForFunction(() => !(window as any).handrule.state.moving);
  const there = await joints(instructor);
  for (const learner of [ana, ben, eva]) await expect.poll(() => joints(learner)).toEqual(there);
  await seen(ben);
  await ben.locator("#class-follows").getByRole("button", { name: "Try from here" }).click();
  await expect(ben.locator("#class-follows")).toBeHidden();
  await expect.poll(async () => (await joints(ben)).map((deg) => deg.toFixed(3))).toEqual(there.map((deg) => deg.toFixed(3)));

  // Ask, of the jog that is aimed at. The answers are given by the form, and by keys on the ball.
  await instructor.keyboard.press("2");
  await instructor.locator("#class-ask-now").click();
  await expect(asked(ana)).toBeVisible();
  await follows(ben); // for the question is about the arm in front
  await seen(ana);
  await choose(ana, "right");
  await send(ana).click();
  await expect(ana.locator("#class-given")).toContainText("has arrived");
  await ben.keyboard.press("ArrowLeft");
  await ben.keyboard.press("Enter");
  await expect(instructor.locator("#class-given")).toContainText("2 of 3");

  // The server is killed in the middle of it. Everything is there again by itself: the class, its arm, the question, the answers so far.
  const start = await served.fail();
  const down = (page: Page) => expect(page.locator("#class-bar.class-down"));
  for (const page of [instructor, ana, ben, eva]) await down(page).toBeVisible();
  await start();
  for (const page of [instructor, ana, ben, eva]) await down(page).toHaveCount(0);
  await expect(instructor.locator("#class-who")).toContainText("3 of 3");
  await expect(instructor.locator("#class-given")).toContainText("2 of 3");
  for (const learner of [ana, ben, eva]) {
    await follows(learner);
    await expect.poll(() => joints(learner)).toEqual(there);
  }
  await expect(send(ana)).toHaveText("Sent");
  await expect(send(ben)).toHaveText("Sent");
  await expect(send(eva)).toBeDisabled();
  await choose(eva, "derecha");
  await send(eva).click();
  await expect(instructor.locator("#class-given")).toContainText("3 of 3");
  expect(await ben.locator(".class-table").count()).toBe(0); // nothing is told before it is shown
  await instructor.getByRole("button", { name: "Show the answers" }).click();
  await expect(ben.locator(".class-table")).toBeVisible();
  await seen(ben);
  await instructor.getByRole("button", { name: "Ask again" }).click();
  await expect(asked(ana)).toBeVisible();
  for (const [page, word] of [[ana, "left"], [eva, "izquierda"]] as const) {
    await choose(page, word);
    await send(page).click();
  }
  await expect(instructor.locator("#class-given")).toContainText("2 of 3");
  await instructor.getByRole("button", { name: "Show the answers" }).click();
  await instructor.getByRole("button", { name: "Tell which is right" }).click();
  await expect(instructor.locator(".class-table thead th")).toHaveCount(3); // both rounds beside each other
  await expect(ana.locator(".class-mine")).toHaveText("Your answer was right.");
  await seen(instructor);
  await instructor.getByRole("button", { name: "Let the arm answer" }).click();
  await expect.poll(async () => (await joints(instructor))[0]).not.toBe(there[0]);
  await instructor.getByRole("button", { name: "Put it away" }).click();
  await expect(ben.locator("#class-question")).toBeHidden();
  await expect(ben.locator("#class-follows")).toBeHidden(); // back at the arm of their own
  await expect(ana.locator("#class-follows")).toBeVisible();

  // Hand over: the learner's arm is the one in front, and is driven as ever; the instructor takes it back at once.
  await ana.getByRole("button", { name: "Raise hand" }).click();
  await instructor.locator("#class-board-open").click();
  const row = (name: string) => instructor.locator("#class-rows tr", { hasText: name });
  await expect(row("Ana")).toContainText("hand up");
  await expect(row("<b>Ben</b>")).toBeVisible(); // what is typed is text
  await seen(instructor);
  await row("Ana").getByRole("button", { name: /Hand over/ }).click();
  await expect(ana.locator("#class-who")).toContainText("You drive");
  await expect(ana.locator("#class-follows")).toBeHidden();
  await instructor.locator("#class-board-close").click();
  await follows(instructor);
  await instructor.locator("#class-acts").getByRole("button", { name: "Take the arm back" }).click();
  await follows(ana);

  // A hint to one; everybody to a lesson, whose page opens by itself.
  await instructor.locator("#class-board-open").click();
  await row("Ben").getByRole("button", { name: /^Hint/ }).click();
  await instructor.locator("#class-hint-text").fill("Look at joint 5.");
  await instructor.locator("#class-to-one .main").click();
  await expect(ben.locator("#class-news")).toContainText("Look at joint 5.");
  await instructor.locator("#class-board-close").click();
  await chooseLesson(instructor, "One question");
  await expect(instructor.locator("#lesson-place")).toBeVisible();
  await instructor.locator("#class-send").click();
  for (const learner of [ana, ben, eva]) await expect(learner.locator("#lesson-place")).toBeVisible();
  await instructor.locator("#class-board-open").click();
  await expect(row("Ben")).toContainText("One question");

  // A lesson that ends in the class hands its result in by itself.
  await ana.locator("#lesson-task").getByText("This one").click();
  await ana.locator("#task-answer").click();
  await expect(ana.locator("#class-news")).toContainText("has arrived");
  await expect(row("Ana").locator("td").nth(6)).toHaveText("1");
  await instructor.locator("#class-board-hide").click();
  await expect(row("Ben")).toHaveCount(0);
  await expect(instructor.locator("#class-rows tr")).toHaveCount(3);
  await instructor.locator("#class-board-close").click();

  // Who comes back on the same device is there at once; "not me" forgets the place.
  await ben.reload();
  await expect(ben.locator("#class-who")).toContainText("<b>Ben</b>");
  await ben.evaluate(() => document.querySelector<HTMLElement>("[data-forget]")!.click());
  await ben.locator("#forget-all").click();
  await ben.waitForFunction(() => (window as any).handrule?.state);
  await expect(ben.locator("#class-bar")).toBeHidden();
  await expect(instructor.locator("#class-who")).toContainText("2 of 3");

  // A learner's page has nothing of the instructor's.
  await ana.evaluate(() => (location.hash = "#/class/board"));
  await expect(ana.locator("#problem")).toContainText("board");
  await leaveAll(instructor, ana, ben, eva);
});

/** An instructor who has opened a class, and its code. */
async function aClass(browser: Browser, title: string, language = "en"): Promise<{ instructor: Page; code: string }> {
  const instructor = await somebody(browser, false, served.instructor, language);
  await instructor.locator("#class-open-title").fill(title);
  await instructor.locator("#class-open button[type=submit]").click();
  await expect(instructor.locator("#class-opened")).toBeVisible();
  return { instructor, code: (await instructor.locator("#class-code-shown").innerText()).replace(/\s/g, "") };
}

/** A learner who has joined. */
async function joins(browser: Browser, code: string, name: string, phone: boolean, language = "en"): Promise<Page> {
  const learner = await somebody(browser, phone, `${served.address}#/class/${code}`, language);
  await learner.locator("#class-name-typed").fill(name);
  await learner.keyboard.press("Enter");
  await follows(learner);
  return learner;
}

/** The class is ended, so that the instructor's next page opens another. */
const leaveAll = async (...pages: [Page, ...Page[]]): Promise<void> => {
  await pages[0].evaluate(() => (location.hash = "#/class"));
  await pages[0].locator("#class-close").click();
  await pages[0].locator("#class-sure-yes").click();
  await expect(pages[0].locator("#class-open-title")).toBeVisible();
  for (const page of pages) await page.context().close();
};

test("projected, three groups of answers are in sight beside what is done next, and the arm is as high as ever", async ({ browser }) => {
  const { instructor, code } = await aClass(browser, "Robotics 4");
  await instructor.keyboard.press("t");
  await expect(instructor.locator("#strip")).toHaveAttribute("data-frame", "tool");
  await instructor.keyboard.press("1");
  const learners = [await joins(browser, code, "Ana", false), await joins(browser, code, "Ben", false), await joins(browser, code, "Eva", false)] as const;
  await instructor.locator("#class-ask-now").click();
  for (const [i, learner] of learners.entries()) {
    await asked(learner).locator("label").nth(i).click();
    await send(learner).click();
    await expect(learner.locator("#class-given")).toContainText("has arrived");
  }
  await instructor.evaluate(() => void (Element.prototype.requestFullscreen = () => Promise.reject(new Error("refused"))));
  await instructor.keyboard.press("p");
  for (const press of ["Show the answers", "Tell which is right"]) {
    await instructor.getByRole("button", { name: press }).click();
    const rows = instructor.locator(".class-table tbody tr:not(.class-means)");
    await expect(rows).toHaveCount(3);
    for (const [width, height] of [[1920, 1080], [1280, 720], [1024, 768]] as const) {
      await instructor.setViewportSize({ width, height });
      await settled(instructor);
      const ends = await instructor.locator(".class-table tbody tr").last().evaluate((e) => e.getBoundingClientRect().bottom);
      const lead = await instructor.locator("#class-lead").evaluate((e) => e.getBoundingClientRect().top);
      expect(ends, `${press}, ${width}×${height}`).toBeLessThanOrEqual(lead + 1);
      const { part, out } = await armInPicture(instructor);
      expect(part, `${press}, ${width}×${height}`).toBeGreaterThanOrEqual(0.6);
      expect(out, `${press}, ${width}×${height}`).toBe(0);
    }
  }
  await instructor.keyboard.press("p");
  await instructor.setViewportSize({ width: 1366, height: 768 });
  await instructor.getByRole("button", { name: "Put it away" }).click();
  await leaveAll(instructor, ...learners);
});

test("an assessment that is handed in in a class arrives there, once, and its file is the learner's", async ({ browser }) => {
  const { instructor, code } = await aClass(browser, "Robotics 2");
  const ana = await joins(browser, code, "Ana", true);
  await chooseLesson(instructor, "One that counts");
  await expect(instructor.locator("#assessment-rules")).toBeVisible();
  await instructor.evaluate(() => (location.hash = "#/class"));
  await instructor.locator("#class-send").click();
  await expect(ana.locator("#assessment-rules")).toBeVisible();
  await ana.locator("#assessment-begin").click();
  // From the stages' numbers, below the picture, to the way on, above the foot of the page.
  const edge = (part: string, side: "top" | "bottom"): Promise<number> => ana.locator(part).evaluate((e, side) => e.getBoundingClientRect()[side], side);
  await expect.poll(async () => (await edge("#lesson-steps", "top")) >= (await edge("#view", "bottom")) - 1).toBe(true);
  expect(await edge("#lesson-foot", "bottom")).toBeLessThanOrEqual((await edge("#drawers", "top")) + 1);
  // The time left comes a moment later: its line moves what is below it, and not the page.
  await expect(ana.locator("#assessment-left")).toBeVisible();
  expect(await ana.evaluate(async () => {
    const [line, at] = [document.getElementById("assessment-left")!, scrollY];
    const moved: number[] = [];
    for (const hidden of [true, false]) {
      line.hidden = hidden;
      await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
      moved.push(scrollY - at);
    }
    return moved;
  })).toEqual([0, 0]);
  await ana.locator("#lesson-task").getByText("This one").click();
  await ana.locator("#task-answer").click();
  await expect(ana.locator("#task-verdict")).toHaveAttribute("data-tone", "right");
  await ana.locator(".step").last().click();
  await expect(ana.locator("#result-note")).toContainText("One task is still open");
  await seen(ana);
  await ana.locator("#result-name").fill("Ana");
  await ana.locator("#result-hand-in").click();
  await expect(ana.locator("#class-news")).not.toContainText("has arrived"); // Handing in is for good, and is asked twice.
  const [file] = await Promise.all([ana.waitForEvent("download"), ana.locator("#result-hand-in").click()]);
  expect(file.suggestedFilename()).toContain("ana");
  await expect(ana.locator("#assessment-state")).toHaveText("Handed in: 2 of 3 points.");
  await expect(ana.locator("#class-news")).toContainText("has arrived");
  await instructor.evaluate(() => (location.hash = "#/class/board"));
  const row = instructor.locator("#class-rows tr", { hasText: "Ana" });
  await expect(row.locator("td").nth(6)).toHaveText("1");
  const table = await instructor.evaluate(async (code) => (await fetch(`class/${code}/results.csv?bom=0`)).text(), code);
  expect(table.trim().split("\n")).toHaveLength(2); // its head, and one line
  expect(table).toContain("One that counts");
  await ana.reload();
  await expect(ana.locator("#assessment-state")).toHaveText("Handed in: 2 of 3 points.");
  await expect(row.locator("td").nth(6)).toHaveText("1");
  await leaveAll(instructor, ana);
});

test("an instructor's own arm in front is followed, tried from there and handed over; who leaves comes back", async ({ browser }) => {
  const { instructor, code } = await aClass(browser, "Own arms");
  const ana = await joins(browser, code, "Ana", false);
  const ben = await joins(browser, code, "Ben", true);
  await instructor.evaluate(() => (location.hash = "#/own-arm"));
  await expect(instructor.locator("#own-arm-table input").first()).toBeVisible();
  await instructor.locator("#own-arm-file").setInputFiles({ name: "siskin.yaml", mimeType: "text/yaml", buffer: Buffer.from(ownArm) });
  await expect(instructor.locator("#arm option:checked")).toHaveText("Siskin (own)");
  await instructor.keyboard.press("2");
  await instructor.keyboard.press("ArrowUp");
  await expect.poll(async () => (await joints(instructor)).some((deg) => Math.abs(deg) > 1)).toBe(true);
  await instructor.waitForFunction(() => !(window as any).handrule.state.moving);
  const there = await joints(instructor);
  const tcp = (page: Page): Promise<number[]> => page.evaluate(() => (window as any).handrule.state.tcp.position_mm.map((mm: number) => Number(mm.toFixed(3))));
  const tip = await tcp(instructor);
  for (const learner of [ana, ben]) {
    await expect.poll(() => joints(learner)).toEqual(there);
    await expect.poll(() => tcp(learner)).toEqual(tip);
  }
  await seen(ben);

  // Try from here: the learner's own arm is that arm, and jogs.
  await ana.locator("#class-follows").getByRole("button", { name: "Try from here" }).click();
  await expect(ana.locator("#class-follows")).toBeHidden();
  await expect.poll(async () => (await joints(ana)).map((deg) => deg.toFixed(3))).toEqual(there.map((deg) => deg.toFixed(3)));
  await expect.poll(() => tcp(ana)).toEqual(tip);
  await ana.keyboard.press("2");
  await ana.keyboard.press("ArrowUp");
  await expect.poll(() => tcp(ana)).not.toEqual(tip);
  expect(await joints(ben)).toEqual(there);

  // Handed over: the learner drives the arm in front from where it stood, and all see that.
  await instructor.evaluate(() => (location.hash = "#/class/board"));
  await instructor.locator("#class-rows tr", { hasText: "Ben" }).getByRole("button", { name: /Hand over/ }).click();
  await expect(ben.locator("#class-who")).toContainText("You drive");
  await expect.poll(() => tcp(ben)).toEqual(tip);
  await instructor.locator("#class-board-close").click();
  await follows(instructor);
  await ana.locator("#class-arms").getByText("The arm in front", { exact: true }).click();
  await ben.locator('.jog[data-sign="1"]').first().tap();
  await expect.poll(() => tcp(ben)).not.toEqual(tip);
  await ben.waitForFunction(() => !(window as any).handrule.state.moving);
  const driven = await joints(ben);
  for (const page of [ana, instructor]) await expect.poll(() => joints(page)).toEqual(driven);
  await instructor.locator("#class-acts").getByRole("button", { name: "Take the arm back" }).click();
  await expect(ben.locator("#class-who")).not.toContainText("You drive");

  // Who leaves has their own arm, and no place in the class but by joining again, which brings the same one back.
  await ana.locator("#class-more").click();
  await ana.locator("#class-menu").getByRole("button", { name: "Leave the class", exact: true }).click();
  await expect(ana.locator("#class-bar")).toBeHidden();
  await expect(instructor.locator("#class-who")).toContainText("1 of 2");
  await ana.goto(`${served.address}#/class/${code}`);
  await expect(ana.locator("#class-who")).toContainText("Ana");
  await expect(instructor.locator("#class-who")).toContainText("2 of 2");
  await leaveAll(instructor, ana, ben);
});

test("joining, answering on the ball and the board are done by keys alone, and a screen reader is told what they are", async ({ browser }) => {
  const { instructor, code } = await aClass(browser, "By keys");
  const ana = await somebody(browser, false, `${served.address}#/class`);
  const joining = ana.locator("#class-join");
  await expect(ana.locator("#class-code-typed")).toBeFocused();
  await expect(joining).toMatchAriaSnapshot(`
    - dialog "Join a class":
      - heading "Join a class" [level=2]
      - textbox "Code of the class"
      - button "Go on"
  `);
  await ana.keyboard.type("BADBAD"); // which is no code of any class
  await ana.keyboard.press("Enter");
  await expect(joining.getByRole("alert")).not.toBeEmpty();
  await ana.locator("#class-code-typed").selectText();
  await ana.keyboard.type(code);
  await ana.keyboard.press("Enter");
  await expect(ana.locator("#class-name-typed")).toBeFocused();
  await expect(joining.getByRole("textbox", { name: "Your name" })).toBeFocused();
  await ana.keyboard.type("Ana");
  await ana.keyboard.press("Enter");
  await follows(ana);

  // Asked by keys: the instructor tabs to what asks.
  await instructor.keyboard.press("b");
  await expect(instructor.locator("#strip")).toHaveAttribute("data-frame", "base");
  await instructor.keyboard.press("2");
  await instructor.locator("#class-ask-now").focus();
  await instructor.keyboard.press("Enter");
  const question = ana.locator("#class-question");
  await expect(question).toBeFocused();
  await expect(question).toMatchAriaSnapshot(`
    - region "Question 1":
      - heading "Question 1" [level=2]
      - paragraph
  `);
  await ana.keyboard.press("ArrowUp");
  await ana.keyboard.press("Enter");
  await expect(ana.locator("#class-said")).toContainText("has arrived"); // a live region
  await expect(instructor.locator("#class-given")).toContainText("1 of 1");

  // The board: opened, its table read, a look taken, a hint sent and the board closed, with Tab, Enter and Escape.
  const press = async (page: Page, name: RegExp | string): Promise<void> => {
    for (let tabs = 0; tabs < 80; tabs++) {
      if (await page.evaluate((source) => new RegExp(source).test(document.activeElement?.getAttribute("aria-label") ?? document.activeElement?.textContent?.trim() ?? ""), name instanceof RegExp ? name.source : `^${name}$`)) {
        await page.keyboard.press("Enter");
        return;
      }
      await page.keyboard.press("Tab");
    }
    throw new Error(`no Tab leads to ${name}`);
  };
  await press(instructor, "The board");
  const board = instructor.locator("#class-board");
  await expect(board).toBeVisible();
  await expect(board).toMatchAriaSnapshot(`
    - dialog "The class at a glance":
      - heading "The class at a glance" [level=2]
      - region "The class at a glance":
        - table:
          - rowgroup:
            - row:
              - columnheader "Name"
          - rowgroup:
            - row /Ana/:
              - rowheader "Ana"
  `);
  await press(instructor, /^Hint/);
  await expect(instructor.locator("#class-hint-text")).toBeFocused();
  await instructor.keyboard.type("Think of the frame.");
  await press(instructor, "Send");
  await expect(ana.locator("#class-news")).toContainText("Think of the frame.");
  await expect(instructor.locator("#class-to-one")).toBeHidden();
  await instructor.keyboard.press("Escape");
  await expect(board).toBeHidden();
  await leaveAll(instructor, ana);
});

for (const [l, language] of (["en", "es"] as const).entries()) {
  test(`${language}: the way in, the desk, a question, its answers, the board and the report at every size, light and dark`, async ({ browser }) => {
    const wrong: string[] = [];
    let looks = l;
    /** Nothing of a page keeps somebody out, is cut off or over another. Every other size is looked at in the other scheme; in a thorough run all are in both. */
    const look = async (page: Page, what: string, part = "body"): Promise<void> => {
      const before = page.viewportSize()!;
      for (const [width, height] of sizes) {
        looks++;
        for (const colorScheme of process.env["THOROUGH"] ? (["light", "dark"] as const) : ([looks % 2 ? "light" : "dark"] as const)) {
          await page.emulateMedia({ colorScheme });
          await page.setViewportSize({ width, height });
          if (part) await settled(page);
          const found = [...(await axe(page)), ...(part ? await faults(page, part) : [])];
          wrong.push(...found.map((fault) => `${what}, ${width}×${height}, ${colorScheme}: ${fault}`));
        }
      }
      await page.setViewportSize(before);
    };
    const { instructor, code } = await aClass(browser, "Robotics", language);
    await look(instructor, "desk");
    const ana = await somebody(browser, true, `${served.address}#/class/${code}`, language);
    await expect(ana.locator("#class-name-typed")).toBeVisible();
    await look(ana, "join", "#class-join");
    await ana.locator("#class-name-typed").fill("Ana");
    await ana.keyboard.press("Enter");
    await follows(ana);
    const ben = await joins(browser, code, "Ben", false, language);
    await instructor.keyboard.press("b");
    await expect(instructor.locator("#strip")).toHaveAttribute("data-frame", "base");
    await instructor.keyboard.press("2");
    await instructor.locator("#class-ask-now").click();
    await expect(asked(ana)).toBeVisible();
    await look(ana, "question");
    await asked(ana).locator("label").first().click();
    await send(ana).click();
    await asked(ben).locator("label").nth(2).click();
    await send(ben).click();
    await expect(instructor.locator("#class-given")).toContainText("2");
    await instructor.locator("#class-lead button.main").click();
    await expect(instructor.locator(".class-table")).toBeVisible();
    await instructor.locator("#class-lead button.main").click();
    await expect(instructor.locator(".class-why")).toBeVisible();
    await expect(ana.locator(".class-why")).toBeVisible();
    // Why it is so comes before the groups, which may be many.
    expect(await instructor.evaluate(() => !!(document.querySelector(".class-why")!.compareDocumentPosition(document.querySelector(".class-table")!) & Node.DOCUMENT_POSITION_FOLLOWING))).toBe(true);
    await look(instructor, "told, in front");
    await look(ana, "told");
    await instructor.locator("#class-lead button").last().click();
    await instructor.evaluate(() => (location.hash = "#/class/board"));
    await expect(instructor.locator("#class-rows tr")).toHaveCount(2);
    await look(instructor, "board", "#class-board");
    const report = await instructor.context().newPage();
    await report.goto(`${served.address}class/${code}/report?names=1`);
    await report.setViewportSize({ width: 1366, height: 768 });
    await look(report, "report", "");
    await report.close();
    await instructor.locator("#class-board-close").click();
    await leaveAll(instructor, ana, ben);
    expect(wrong).toEqual([]);
  });
}

test("a newcomer who has to wait is told so, and comes in; a new name keeps the number", async ({ browser }) => {
  const instructor = await somebody(browser, false, served.instructor);
  await instructor.locator("#class-open-number").check();
  await instructor.locator("#class-desk").getByRole("button", { name: "Open a class" }).click();
  await expect(instructor.locator("#class-opened")).toBeVisible();
  const code = (await instructor.locator("#class-code-shown").innerText()).replace(/\s/g, "");
  const ana = await somebody(browser, true, served.address);
  // Where others at the address have guessed, the server says this first, and the rest later.
  const held: (string | Buffer)[] = [];
  let letIn = (): void => {};
  await ana.routeWebSocket(/\/class\?/, (page) => {
    let holds = true;
    page.connectToServer().onMessage((message) => (holds ? void held.push(message) : page.send(message)));
    page.send(JSON.stringify({ type: "class-wait", seconds: 5 }));
    letIn = () => {
      holds = false;
      for (const message of held) page.send(message);
    };
  });
  await ana.reload(); // so that its connections are these
  await ana.waitForFunction(() => (window as any).handrule?.state);
  await ana.goto(`${served.address}#/class/${code}`);
  await expect(ana.locator("#class-join-problem")).toContainText("Yours is looked at in 5 s");
  letIn();
  await ana.locator("#class-name-typed").fill("Ana");
  await expect(ana.locator("#class-join-problem")).toBeEmpty();
  await ana.locator("#class-number input").fill("77");
  await ana.getByRole("button", { name: "Join", exact: true }).click();
  await follows(ana);
  await ana.locator("#class-more").click();
  await ana.locator("#class-menu input").fill("Anna");
  await ana.keyboard.press("Enter");
  await expect(ana.locator("#class-who")).toContainText("You are Anna");
  const kept = await instructor.evaluate(async (code) => (await fetch(`class/${code}/export`)).json(), code);
  expect(Object.values(kept.learners)).toMatchObject([{ name: "Anna", number: "77" }]);
  await Promise.all([instructor, ana].map((page) => page.context().close()));
});
