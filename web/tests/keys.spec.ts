// The page by keys alone: what is pressed is what is announced, and what is told of a key is where it leads.
import { expect, type Page } from "@playwright/test";
import { frame, heard, jogButton, open, settled, stands, state, test } from "./bench";

const next = (page: Page) => page.locator("#next");
const told = (page: Page) => page.locator(".leads");

test.beforeEach(async ({ page }) => {
  await page.setViewportSize({ width: 1366, height: 768 });
});

test("an arrow key takes the focus along: Enter and Space go the way that is announced", async ({ page }) => {
  await open(page, "/?lang=en");
  await frame(page, "base");
  const z = async (): Promise<number> => (await state(page)).tcp.position_mm[2];
  await page.keyboard.press("3");
  await expect(jogButton(page, 2, 1)).toBeFocused();
  const from = await z();
  await stands(page, () => page.keyboard.press("ArrowDown"));
  await expect(next(page)).toContainText("Next step: 10 mm straight along −Z");
  await expect(jogButton(page, 2, -1)).toBeFocused();
  await expect(jogButton(page, 2, -1)).toHaveClass(/aimed/);
  await stands(page, () => page.keyboard.press("Enter"));
  await stands(page, () => page.keyboard.press("Space"));
  expect(await z()).toBeCloseTo(from - 30, 6);
  // The pair that was chosen before it goes its own way; what is announced is still that of the pair in hand.
  await page.keyboard.press("1");
  await stands(page, () => page.keyboard.press("ArrowLeft"));
  await expect(jogButton(page, 0, 1)).toBeFocused();
  await expect(next(page)).toContainText("Next step: 10 mm straight along +X");
  // A button of the page is not left.
  await page.locator("#keys-open").focus();
  await stands(page, () => page.keyboard.press("ArrowDown"));
  await expect(page.locator("#keys-open")).toBeFocused();
});

test("a tap in a way that has no room says why, also while jogs are held", async ({ page }) => {
  await open(page, "/?lang=en");
  await frame(page, "base");
  await page.locator("input[name=manner][value=hold]").check({ force: true });
  await expect(jogButton(page, 1, 1)).toHaveClass(/no-room/);
  const tap = (axis: number, sign: 1 | -1): Promise<void> =>
    jogButton(page, axis, sign).evaluate((button) => {
      (button as HTMLElement).focus();
      for (const type of ["keydown", "keyup"]) button.dispatchEvent(new KeyboardEvent(type, { key: "Enter", code: "Enter", bubbles: true, cancelable: true }));
    });
  await tap(1, 1);
  await expect(page.locator("#problem")).toHaveText("Free travel from here: 0.0 mm, until wrist singularity.");
  await tap(0, 1);
  await expect(page.locator("#problem")).toContainText("Keep ↑ or ↓ down");
});

test("the badge F stands where F leads: to an answer that is missing, then to what takes it", async ({ page }) => {
  await open(page, "/?lang=en#/lessons/where-the-numbers-start/1");
  const field = page.locator("#task-number");
  const answer = page.locator("#task-answer");
  await expect(field).toBeVisible();
  await page.keyboard.press("Shift");
  await page.keyboard.press("m");
  await expect(page.locator("#term")).toBeVisible();
  await page.keyboard.press("Escape");
  await expect(told(page)).toHaveText(/X in the base frame/);
  await page.keyboard.press("f");
  await expect(field).toBeFocused();
  await expect(told(page)).toHaveCount(0); // one is there
  await page.keyboard.type("12");
  await expect(told(page)).toHaveId("task-answer");
  await page.locator("#lesson-read").focus();
  await expect(told(page)).toHaveId("task-answer");
  await page.keyboard.press("f");
  await expect(answer).toBeFocused();
  // A number goes into its field, and moves nothing.
  await page.keyboard.type("-3");
  await expect(field).toBeFocused();
  await expect(field).toHaveValue("-3");
  await page.keyboard.press("Enter");
  await expect(page.locator("#task-verdict")).toHaveAttribute("data-tone", "wrong");
  // That one was judged: another is missing.
  await answer.focus();
  await expect(told(page)).toHaveText(/X in the base frame/);
  await page.keyboard.press("f");
  await expect(field).toBeFocused();
  await page.keyboard.type("320");
  await expect(field).toHaveValue("320");
  await page.keyboard.press("Enter");
  await expect(page.locator("#task-verdict")).toHaveAttribute("data-tone", "right");
  await expect(told(page)).toHaveId("lesson-next");
  await page.keyboard.press("f");
  await expect(page.locator("#lesson-next")).toBeFocused();
  // Nothing is to be written there any more: the digits are the jog buttons' again.
  await page.keyboard.press("3");
  await expect(jogButton(page, 2, 1)).toBeFocused();
});

test("M goes once around all words in sight, from the one that tells of it, with one explanation at a time", async ({ page }) => {
  await page.addInitScript(() => localStorage.setItem("handrule-drawer", "")); // or the column of the lesson is scrolled
  await open(page, "/?lang=en#/lessons/where-the-numbers-start/1");
  await expect(page.locator("#task-number")).toBeVisible();
  await page.locator("#lesson-next").focus();
  await page.keyboard.press("Tab");
  const keyed = page.locator(".term.keyed");
  await expect(keyed).toHaveCount(1);
  const nameOf = (e: Element): string => `${e.closest("[id]")!.id} ${e.textContent}`;
  const first = await keyed.evaluate(nameOf);
  /** The word that is explained, and where it stands. */
  const explained = async (): Promise<string> => {
    await expect(page.locator(".help:popover-open")).toHaveCount(1);
    const holder = page.locator("[aria-describedby=term]");
    return ((await holder.evaluate((e) => e.matches(".term"))) ? holder : holder.locator(".term")).evaluate(nameOf);
  };
  const seen: string[] = [];
  for (await page.keyboard.press("m"); seen.length < 50 && !seen.includes(await explained()); await page.keyboard.press("m")) seen.push(await explained());
  expect(seen[0]).toBe(first);
  expect(await explained()).toBe(first); // once around
  expect(seen).toEqual(expect.arrayContaining(["lesson-text base frame", "lesson-text axis", "lesson-text tool centre point", "task-question base frame"]));
});

test("Esc puts the reason of a stop away; F and Tab lead through what helps there", async ({ page }) => {
  await open(page, "/?lang=en");
  await frame(page, "base");
  await page.keyboard.press("2");
  await page.keyboard.press("ArrowUp");
  const card = page.locator("#stops");
  await expect(card).toContainText("wrist singularity");
  await expect(told(page)).toHaveId("advised");
  await page.keyboard.press("f");
  await expect(page.locator("#advised")).toBeFocused();
  await page.keyboard.press("Tab");
  await expect(page.locator("#stops-close")).toBeFocused();
  await page.keyboard.press("Escape");
  await expect(card).toBeHidden();
  await expect(jogButton(page, 1, 1)).toBeFocused();
  await expect(jogButton(page, 1, 1)).toHaveClass(/aimed/);
});

test("what was refused is offered once more until something else was jogged than what helps", async ({ page }) => {
  await open(page, "/?lang=en");
  const again = page.locator("#again");
  await frame(page, "base");
  await jogButton(page, 1, 1).click();
  await expect(again).toHaveText("Try Y + once more");
  await frame(page, "joint");
  await stands(page, () => jogButton(page, 4, 1).click());
  await expect(again).toHaveText("Try Y + once more");
  await stands(page, () => jogButton(page, 0, 1).click());
  await expect(again).toHaveText("again");
});

test("what was refused is past, on the card and the button, once another frame or manner is chosen", async ({ page }) => {
  await open(page, "/?lang=en");
  const again = page.locator("#again");
  const card = page.locator("#stops");
  const refuse = async (): Promise<void> => {
    await frame(page, "base");
    await jogButton(page, 1, 1).click();
    await expect(again).toHaveText("Try Y + once more");
    await expect(card).toBeVisible();
  };
  await refuse();
  await frame(page, "tool");
  await expect(again).toHaveText("again");
  await expect(card).toBeHidden();
  await refuse();
  await page.keyboard.press("h");
  await expect(again).toHaveText("again");
  await expect(card).toBeHidden();
  await page.keyboard.press("h");
  await refuse();
  await page.keyboard.press("]");
  await expect(again).toHaveText("again");
  await expect(card).toBeHidden();
});

test("who keeps a button down in steps is told once that a press makes one step", async ({ page }) => {
  await page.clock.install();
  await open(page, "/?lang=en");
  const told = page.locator("#problem");
  await jogButton(page, 0, 1).hover();
  await page.mouse.down();
  await page.clock.runFor(700);
  await expect(told).toHaveText("One step a press. For more choose “while held”.");
  await page.mouse.up();
  await expect(page.locator(".joint-angle").first()).toHaveText("5.00°");
  await expect(told).toBeVisible();
});

test("a drawer opened by its key stands at its top, and its ring covers nothing of what is in it", async ({ page }) => {
  await open(page, "/?lang=en");
  for (const key of ["s", "v", "d", "x", "q", "n"]) {
    await page.keyboard.press(key);
    const head = page.locator("summary:focus");
    await expect(head).toBeInViewport({ ratio: 1 });
    const ring = await head.evaluate((e) => {
      const { outlineOffset, outlineWidth } = getComputedStyle(e);
      return parseFloat(outlineOffset) + parseFloat(outlineWidth);
    });
    expect(ring).toBeLessThanOrEqual(0);
  }
});

test("while held nothing is called the next step, and no key of steps is told; what a refused jog leaves at 0.00° has no bar", async ({ page }) => {
  await open(page, "/?lang=en");
  await frame(page, "base");
  const ghost = () => page.evaluate(() => (window as any).handrule.view.ghost.label.text);
  await page.keyboard.press("1");
  await expect(page.locator(".step-keys")).toBeVisible();
  expect(await ghost()).toBe("next step");
  await page.keyboard.press("h");
  await expect(page.locator(".step-keys")).toBeHidden();
  expect(await ghost()).toBe("this way");
  await page.keyboard.press("h");
  await page.keyboard.press("2"); // which the straight wrist refuses
  await expect(next(page)).toContainText("would stop after 0.0 mm");
  await expect(page.locator(".joint.works")).toHaveCount(0);
});

for (const language of ["en", "es"]) test(`what shows the answer is in two lines at most, and stays where it is when it was pressed: ${language}`, async ({ page }) => {
  await open(page, `/?lang=${language}#/lessons/joints-one-at-a-time/3`);
  await page.locator("#task-question input").nth(1).check({ force: true }); // X −
  await page.locator("#task-answer").click();
  const show = page.locator("#task-show");
  await expect(show).toBeVisible();
  const before = await show.boundingBox();
  await stands(page, () => show.click());
  await expect(page.locator("#task-again")).toBeVisible();
  expect(await show.boundingBox()).toEqual(before);
  for (const id of ["task-show", "task-again"]) {
    const lines = await page.locator(`#${id}`).evaluate((button) => {
      const all = document.createRange();
      all.selectNodeContents(button);
      return new Set([...all.getClientRects()].map((r) => Math.round(r.top))).size;
    });
    expect(lines).toBeLessThanOrEqual(2);
  }
});

test("Enter chooses what has the focus, and only “Answer” hands it in; up and down go from row to row", async ({ page }) => {
  await open(page, "/?lang=en#/lessons/joints-one-at-a-time/3");
  const choices = page.locator("#task-question input[name=task-choice]");
  await choices.first().focus();
  await page.keyboard.press("Enter");
  await expect(choices.first()).toBeChecked();
  await expect(choices.first()).toBeFocused();
  await expect(page.locator("#task-answer")).toHaveClass(/ready/);
  await page.keyboard.press("Enter");
  await expect(page.locator("#task-answer")).toHaveClass(/ready/); // it was not judged
  for (const [key, value] of [["ArrowDown", "z +"], ["ArrowRight", "z -"], ["ArrowUp", "x -"], ["ArrowRight", "y +"], ["ArrowUp", "y +"]] as const) {
    await page.keyboard.press(key);
    await expect(page.locator(`#task-question input[value="${value}"]`)).toBeChecked();
    await expect(page.locator(`#task-question input[value="${value}"]`)).toBeFocused();
  }
  await page.keyboard.press("f");
  await expect(page.locator("#task-answer")).toBeFocused();
  await page.keyboard.press("Enter");
  await expect(page.locator("#task-verdict")).toHaveAttribute("data-tone", /./);
  await expect(page.locator("#task-outcome")).not.toContainText("no answer");
});

test("of several boxes each is ticked by Enter before they are handed in; after a wrong try F is told again", async ({ page }) => {
  await open(page, "/?lang=en#/lessons/joints-one-at-a-time/6");
  const boxes = page.locator("#task-question input");
  await expect(boxes).toHaveCount(3);
  await page.keyboard.press("f");
  await page.keyboard.press("Enter");
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await expect(boxes.nth(0)).toBeChecked();
  await expect(boxes.nth(1)).toBeChecked();
  await expect(page.locator("#task-answer")).toHaveClass(/ready/);
  await page.keyboard.press("f");
  await page.keyboard.press("Enter");
  await expect(page.locator("#task-verdict")).toHaveAttribute("data-tone", "wrong");
  const question = "Which jogs leave the tip of the pen in its place?";
  await expect(told(page)).toHaveText(question);
  await boxes.nth(1).focus();
  await expect(told(page)).toHaveText(question);
  await page.keyboard.press("Enter");
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await expect(told(page)).toHaveId("task-answer");
});

test("keys lead through the list of lessons, Enter begins the one they came to, and F leads out of it", async ({ page }) => {
  await open(page, "/?lang=en#/lessons/joints-one-at-a-time/2");
  const list = page.locator("#lesson-choice");
  const opened = (): Promise<string> => page.evaluate(() => (window as any).handrule.setup.lesson);
  const second = (await list.locator("option").nth(2).getAttribute("value"))!;
  await expect(page.locator("#lesson-text")).not.toBeEmpty();
  await list.focus();
  await page.keyboard.press("ArrowDown");
  await expect(list).toHaveValue(second);
  await heard(page);
  expect(await opened()).toBe("joints-one-at-a-time");
  await page.keyboard.press("Tab");
  await expect(list).toHaveValue("joints-one-at-a-time"); // none was begun
  await list.focus();
  await page.keyboard.press("f");
  await expect(list).not.toBeFocused();
  await expect(list).toHaveValue("joints-one-at-a-time");
  await list.focus();
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("Enter");
  await expect(page.locator("#lesson-stage")).toBeFocused();
  await expect.poll(opened).toBe(second);
  await expect(list).toHaveValue(second);
});

test("Enter on the direction that is chosen lets the arm answer", async ({ page }) => {
  await open(page, "/?lang=en");
  await frame(page, "base");
  await page.keyboard.press("a");
  await expect(page.locator("#predict")).toBeVisible();
  await page.keyboard.press("1");
  await page.keyboard.press("Enter");
  const up = page.locator("#predict-arrow button").nth(4);
  await expect(up).toBeVisible();
  await up.focus();
  await page.keyboard.press("Enter");
  await expect(up).toHaveAttribute("aria-pressed", "true");
  await expect(page.locator("#predict-question")).toBeVisible();
  await stands(page, () => page.keyboard.press("Enter"));
  await expect(page.locator("#predict-question")).toBeHidden();
});

for (const language of ["en", "es"]) {
  test(`${language}: why the arm stopped covers nothing of what is measured`, async ({ page }) => {
    await page.setViewportSize({ width: 1366, height: 768 });
    await open(page, `/?lang=${language}`);
    await expect(page.locator("body")).toHaveAttribute("data-drawer", "measure");
    await frame(page, "base");
    await jogButton(page, 1, 1).click();
    const box = async (of: string) => (await page.locator(of).boundingBox())!;
    await expect(page.locator("#stops .trouble")).toBeVisible();
    const [card, near, hand] = [await box("#stops"), await box("#near"), await box("#hand-says")];
    expect(card.x).toBeGreaterThanOrEqual(near.x + near.width);
    expect(hand.x).toBeGreaterThanOrEqual(card.x + card.width);
    await page.locator("#stops-close").click();
    const after = await box("#near"); // which has not moved for it
    for (const side of ["x", "y", "width", "height"] as const) expect(after[side]).toBeCloseTo(near[side], 0);
  });
}

test("the page of lessons has a key, which is told; its heading, a lesson's and the way on after a right answer are seen to have the focus", async ({ page }) => {
  await open(page, "/?lang=en");
  const ring = (of: string) => expect.poll(() => page.locator(of).evaluate((e) => document.activeElement === e && getComputedStyle(e).outlineStyle !== "none" && parseFloat(getComputedStyle(e).outlineWidth) > 0)).toBe(true);
  await page.keyboard.press("1");
  await expect(page.locator(".lessons-key")).toBeVisible();
  await page.keyboard.press("Shift+L");
  await expect(page.locator("#lessons")).toBeVisible();
  await expect(page.locator("#lessons-close kbd")).toHaveText("Esc");
  await ring("#lessons-title");
  await page.keyboard.press("f");
  await page.keyboard.press("Enter");
  await expect(page.locator("#lesson-stage")).not.toBeEmpty();
  await ring("#lesson-stage");
  await page.keyboard.press("Shift+L");
  await expect(page.locator("#lessons-title")).toBeFocused();
  await page.keyboard.press("Tab");
  await expect(page.locator("#lessons-leave")).toBeFocused();
  await page.keyboard.press("Enter");
  await expect(page.locator("#lesson-place")).toBeHidden();
});

test("after a right answer by keys the focus is where the way goes on, and Enter that is kept down does not take it", async ({ page }) => {
  await open(page, "/?lang=en#/lessons/where-the-numbers-start/1");
  await page.keyboard.press("f");
  await expect(page.locator("#task-number")).toBeFocused();
  await page.keyboard.type("320");
  await page.keyboard.press("Enter");
  await expect(page.locator("#lesson-next")).toBeFocused();
  await page.keyboard.down("Enter");
  await expect(page.locator("#lesson-steps [aria-current=step]")).toHaveText("2");
  await page.keyboard.down("Enter");
  await page.keyboard.up("Enter");
  await expect(page.locator("#lesson-steps [aria-current=step]")).toHaveText("2");
});

test("a press that is too short while held names the key that leads back to steps, until a drawer is opened", async ({ page }) => {
  await open(page, "/?lang=en");
  await page.keyboard.press("1");
  const keys = page.locator(".manner-key");
  await expect(keys.nth(0)).toBeHidden();
  await expect(keys.nth(1)).toBeVisible();
  await page.keyboard.press("h");
  await expect(keys.nth(0)).toBeVisible();
  await expect(keys.nth(1)).toBeHidden();
  await jogButton(page, 0, 1).evaluate((button) => (button as HTMLElement).click()); // as a screen reader presses
  const problem = page.locator("#problem");
  await expect(problem).toHaveText("Keep ↑ or ↓ down to move (← or → for the pair chosen before). H: back to steps.");
  await page.keyboard.press("v");
  await expect(problem).toBeHidden();
});

test("predict first names the key that ends it", async ({ page }) => {
  await open(page, "/?lang=en");
  await page.keyboard.press("a");
  await expect(page.locator(".predict-key")).toHaveText("A: off");
  await expect(page.locator(".predict-key")).toBeVisible();
  await page.keyboard.press("a");
  await expect(page.locator("#predict")).toBeHidden();
});

test("the key M stands in a margin, where no letter is, or nowhere", async ({ page }) => {
  for (const address of ["#/arm/wren", "#/lessons", "#/lessons/joints-one-at-a-time/2"]) {
    await open(page, `/?lang=en${address}`);
    for (const drawer of ["s", "v", "d", "x", "q", "n"]) {
      await page.keyboard.press(drawer);
      if (address === "#/lessons") await expect(page.locator("#lessons")).toBeVisible();
      const covered = await page.evaluate(() => {
        const term = document.querySelector(".term.keyed");
        const line = term?.getClientRects()[0];
        if (!term || !line) return ""; // it is put away with its drawer
        const left = term.closest(".lesson-text, p, dd")!.getBoundingClientRect().left;
        const [x, y] = [left - 5, (line.top + line.bottom) / 2];
        const at = document.caretRangeFromPoint(x, y);
        const letter = at?.startContainer instanceof Text && [0, 1].some((by) => {
          const range = document.createRange();
          const start = Math.min(at.startOffset + by, (at.startContainer as Text).length) - 1;
          if (start < 0) return false;
          range.setStart(at.startContainer, start);
          range.setEnd(at.startContainer, start + 1);
          const box = range.getBoundingClientRect();
          return box.left < x && x < box.right && box.top < y && y < box.bottom;
        });
        return letter ? `${term.textContent} at ${x}, ${y}` : "";
      });
      expect(covered, `${address} ${drawer}`).toBe("");
    }
  }
});

test("what a word or a control means covers none of the numbers", async ({ page }) => {
  await page.addInitScript(() => localStorage.setItem("handrule-drawer", ""));
  await open(page, "/?lang=en");
  const apart = async (of: string) => {
    const [words, numbers] = [(await page.locator(of).boundingBox())!, (await page.locator("#readout").boundingBox())!];
    const clear = words.y >= numbers.y + numbers.height || words.y + words.height <= numbers.y || words.x >= numbers.x + numbers.width || words.x + words.width <= numbers.x;
    expect(clear, JSON.stringify({ words, numbers })).toBe(true);
  };
  await page.locator("#readout .term").first().click();
  await expect(page.locator("#term")).toBeVisible();
  await apart("#term");
  await page.keyboard.press("Escape");
  await page.keyboard.press("s");
  await page.keyboard.press("Tab");
  await expect(page.locator("#arm")).toBeFocused();
  await expect(page.locator("#help")).toBeVisible();
  await apart("#help");
});

test("in the lists beside the jog buttons a number chooses a pair, and changes neither step nor speed", async ({ page }) => {
  await open(page, "/?lang=en");
  for (const list of ["#increment", "#speed"]) {
    const before = await page.locator(list).inputValue();
    await page.locator(list).focus();
    await page.keyboard.press("2");
    await expect(page.locator(".jog.aimed").first()).toHaveAttribute("data-axis", "1");
    await expect(page.locator(list)).toHaveValue(before);
    await page.keyboard.press("Escape");
  }
});

test("once Esc closes a drawer that has the focus, also where a direction is in hand", async ({ page }) => {
  await open(page, "/?lang=en");
  await page.keyboard.press("2");
  await expect(page.locator(".jog.aimed")).not.toHaveCount(0);
  await page.keyboard.press("s");
  await expect(page.locator("body")).toHaveAttribute("data-drawer", "setup");
  await page.locator("#tool").focus();
  await page.keyboard.press("Escape");
  await expect(page.locator("body")).not.toHaveAttribute("data-drawer", /./);
});

test("that the free travel is being worked out is told until it is there, also where the arm stands and nothing else is told", async ({ page }) => {
  await page.addInitScript(() => {
    const Plain = window.WebSocket;
    window.WebSocket = class extends Plain {
      constructor(...of: ConstructorParameters<typeof WebSocket>) {
        super(...of);
        this.addEventListener("message", ({ data }) => {
          if (typeof data === "string" && data.includes('"type":"room"')) (window as any).lastRoom = data;
        });
      }
    };
  });
  await open(page, "/?lang=en");
  await page.waitForFunction(() => (window as any).lastRoom);
  await settled(page);
  const room = JSON.parse(await page.evaluate(() => (window as any).lastRoom));
  const tell = (older: number) => page.evaluate((data) => (window as any).benchSocket.dispatchEvent(new MessageEvent("message", { data })), JSON.stringify({ ...room, tick: room.tick - older }));
  const strip = page.locator("#strip");
  await tell(60);
  await expect(strip).toHaveAttribute("data-room-age", /worked out/);
  await tell(0);
  await expect(strip).not.toHaveAttribute("data-room-age", /./);
});
