// Words when wanted: on hover, on focus and on a long press, as WCAG 2.2, 1.4.13 asks.
import { expect } from "@playwright/test";
import { jogButton, open, test } from "./bench";

test("a number explains itself on hover; Esc puts the words away, the pointer may go onto them; they can be switched off", async ({ page }) => {
  await page.clock.install();
  await open(page);
  const words = page.locator("#help");
  await page.locator('#where [data-help="position.Z"]').hover();
  await expect(words).toBeVisible();
  await expect(words).toContainText("origin along Z");

  await words.hover();
  await page.clock.fastForward(700); // longer than the words stay when the pointer has left them
  await expect(words).toBeVisible();
  await page.keyboard.press("Escape"); // without moving the pointer
  await expect(words).toBeHidden();

  await page.locator('#where [data-help="position.X"]').hover();
  await expect(words).toContainText("origin along X");
  await page.locator("#view").hover();
  await expect(words).toBeHidden();

  await page.locator("#keys-open").click();
  await page.locator("#help-use").uncheck();
  await page.keyboard.press("Escape");
  await page.locator('#where [data-help="position.Z"]').hover();
  await page.clock.fastForward(1000); // longer than the pointer must rest
  await expect(words).toBeHidden();
});

test("the words of what stands in the strip cover nothing below it", async ({ page }) => {
  await page.setViewportSize({ width: 1366, height: 768 });
  await page.clock.install();
  await open(page);
  const option = page.locator(".option:has([name=frame][value=base])");
  await option.hover();
  await page.clock.fastForward(1000); // longer than the pointer must rest
  await expect(page.locator("#help")).toBeVisible();
  const [words, of] = [(await page.locator("#help").boundingBox())!, (await option.boundingBox())!];
  expect(words.y + words.height).toBeLessThanOrEqual(of.y);
});

test("words go when what they explain is pressed, by a key too, and cover nothing else that can be pressed", async ({ page }) => {
  await page.setViewportSize({ width: 1366, height: 768 });
  await page.clock.install();
  await open(page, "/#/lessons/joints-one-at-a-time/1");
  const words = page.locator("#help");
  await jogButton(page, 0, 1).click();
  for (const id of ["#again", "#undo", "#share"]) {
    const of = page.locator(id);
    await expect(of).toBeEnabled();
    await of.hover();
    await page.clock.fastForward(1000); // longer than the pointer must rest
    await expect(words).toBeVisible();
    const covered = await page.evaluate((id) => {
      const box = document.getElementById("help")!.getBoundingClientRect();
      return [...document.querySelectorAll<HTMLElement>("#strip button, #strip .option, #strip select, .lesson-foot button")].filter((e) => e.checkVisibility() && `#${e.id}` !== id).filter((e) => ((o) => o.left < box.right && box.left < o.right && o.top < box.bottom && box.top < o.bottom)(e.getBoundingClientRect())).map((e) => e.id || e.textContent);
    }, id);
    expect(covered, id).toEqual([]);
  }
  await page.locator("#view").hover();
  await page.keyboard.press("Tab");
  const again = page.locator("#again");
  await again.focus();
  await page.clock.fastForward(1000);
  await expect(words).toBeVisible();
  await page.keyboard.press("Enter");
  await expect(words).toBeHidden();
});

test("what a press brings under a pointer that rests does not explain itself until it is pointed at", async ({ page }) => {
  await page.setViewportSize({ width: 1366, height: 768 });
  await page.clock.install();
  await open(page);
  await page.locator("#predict-switch").click();
  const answer = page.locator("#predict-answer");
  const button = jogButton(page, 0, 1);
  await button.click();
  await expect(answer).toBeVisible();
  const box = (await answer.boundingBox())!;
  await page.keyboard.press("Escape");
  await expect(answer).toBeHidden();
  // There the jog's button is pressed where the answer's button comes.
  const under = (await button.boundingBox())!;
  const at = { x: (Math.max(box.x, under.x) + Math.min(box.x + box.width, under.x + under.width)) / 2, y: (Math.max(box.y, under.y) + Math.min(box.y + box.height, under.y + under.height)) / 2 };
  await page.mouse.click(at.x, at.y);
  await expect(answer).toBeVisible();
  expect(await page.evaluate(({ x, y }) => document.elementFromPoint(x, y)?.closest("[data-help]")?.id, at)).toBe("predict-answer");
  await page.clock.fastForward(1000); // longer than the pointer must rest
  await expect(page.locator("#help")).toBeHidden();
  await page.locator("#view").hover();
  await page.mouse.move(at.x, at.y);
  await expect(page.locator("#help")).toContainText("the angle between your arrow and the true direction");
});

test("a panel's numbers are one stop of the Tab key, and arrows go along them", async ({ page }) => {
  await open(page);
  const words = page.locator("#help");
  await page.locator("#joints > summary").focus();
  await page.keyboard.press("Tab");
  await expect(page.locator('[data-help="joint.name"]').first()).toBeFocused();
  await expect(words).toContainText("counted from the base");
  await expect(page.locator('[data-help="joint.name"]').first()).toHaveAttribute("aria-describedby", "help");
  await page.keyboard.press("ArrowRight");
  await expect(page.locator('[data-help="joint.track"]').first()).toBeFocused();
  await expect(words).toContainText("between its limits");
  await page.keyboard.press("Tab");
  await expect(page.locator("#near > summary")).toBeFocused();
  await expect(words).toBeHidden();
});

test.describe("on a touch screen", () => {
  test.use({ hasTouch: true, viewport: { width: 390, height: 844 } });
  test("a long press explains a control and does not press it", async ({ page }) => {
    await open(page);
    const option = page.locator('[data-help="frame.base"]');
    await option.scrollIntoViewIfNeeded();
    const box = (await option.boundingBox())!;
    const touch = await page.context().newCDPSession(page);
    const touchPoints = [{ x: box.x + box.width / 2, y: box.y + box.height / 2 }];
    await touch.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints });
    await expect(page.locator("#help")).toContainText("fixed to the arm’s base");
    await touch.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
    await expect(page.locator("#strip")).toHaveAttribute("data-frame", "joint");
    await option.tap();
    await expect(page.locator("#strip")).toHaveAttribute("data-frame", "base");
    await expect(page.locator("#help")).toBeHidden();
  });
});
