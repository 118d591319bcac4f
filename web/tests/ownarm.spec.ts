// An arm of one's own: a table pasted from a spreadsheet is drawn, its wrong cell is marked, and the arm is jogged and found again.
import { expect } from "@playwright/test";
import { readFile } from "node:fs/promises";
import { ask, open, ready, state, test } from "./bench";

const table = `joint	a_mm	alpha_deg	d_mm	theta_deg	lower_deg	upper_deg
J1	45	-90	310	0	-165	165
J2	370	0	0	-90	-80	120
J3	30	-90	0	0	-130	75
J4	0	90	395	0	-180	180
J5	0	-90	0	0	-115	115
J6	0	0	85	0	-350	350`;

test("a pasted table is an arm that is jogged, and kept on this device", async ({ page }) => {
  await open(page);
  await page.evaluate(() => (location.hash = "#/own-arm"));
  const cell = (row: number, column: number) => page.locator(`#own-arm-table tr >> nth=${row}`).locator("input").nth(column);
  await expect(page.locator("#own-arm-status")).toHaveText("0 joints of 6 so far");
  await expect(page.locator("#own-arm-problems li")).toHaveCount(0); // nothing is wrong with what is not begun
  // What a tape measure tells, by the example, is an arm, too; then the table of the other way, which nothing was typed in.
  await page.locator("#own-arm .option", { has: page.locator('input[value="measures"]') }).click();
  await page.locator("#own-arm-example").click();
  await expect(page.locator("#own-arm-sliders li")).toHaveCount(6);
  await expect(page.locator("#own-arm-take")).toBeEnabled();
  await page.locator("#own-arm .option", { has: page.locator('input[value="dh"]') }).click();
  await cell(0, 0).focus();
  await page.evaluate((text) => {
    const data = new DataTransfer();
    data.setData("text/plain", text);
    document.activeElement!.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
  }, table);
  await expect(page.locator("#own-arm-sliders li")).toHaveCount(6);
  const over = await page.locator("#own-arm-picture text").evaluateAll((all) => {
    const boxes = all.map((e) => e.getBoundingClientRect());
    return boxes.flatMap((a, i) => boxes.slice(i + 1).flatMap((b, j) => (a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 3 && b.top < a.bottom - 3 ? [`${all[i]!.textContent} over ${all[i + j + 1]!.textContent}`] : [])));
  });
  expect(over).toEqual([]);
  await cell(4, 3).fill("four");
  await expect(cell(4, 3)).toHaveAttribute("aria-invalid", "true");
  await expect(page.locator("#own-arm-sliders li")).toHaveCount(3);
  await expect(page.locator("#own-arm-take")).toBeDisabled();
  await page.locator("#own-arm-name").fill("Siskin");
  await cell(4, 3).fill("395");
  // A slider turns its joint in the drawing, and what is saved is the arm's file.
  await expect(page.locator("#own-arm-sliders li")).toHaveCount(6);
  const drawn = await page.locator("#own-arm-picture").innerHTML();
  await page.locator("#own-arm-sliders input").nth(1).press("ArrowRight");
  await expect.poll(() => page.locator("#own-arm-picture").innerHTML()).not.toBe(drawn);
  const [file] = await Promise.all([page.waitForEvent("download"), page.locator("#own-arm-save").click()]);
  expect(await readFile(await file.path(), "utf8")).toMatch(/^name: Siskin\n[^]*\n *- \{?name: J6/);
  await page.locator("#own-arm-take").click();
  await expect(page.locator("#own-arm")).toBeHidden();
  await expect(page.locator("#arm option:checked")).toHaveText("Siskin (own)");
  // By hand: 45 + 395 + 85 ahead, 310 + 370 + 30 up.
  await page.waitForFunction(() => Math.abs((window as any).handrule.state.tcp.position_mm[0] - 525) < 1e-3);
  expect((await state(page)).tcp.position_mm[2]).toBeCloseTo(710, 3);
  await page.evaluate(() => sessionStorage.clear()); // another bench
  await page.reload();
  await ready(page);
  await expect(page.locator("#arm option").last()).toHaveText("Siskin (own)");
});

test("an arm whose joint 3 shows another zero is found out by five poses, and the mended arm is taken", async ({ page }) => {
  await open(page, "/#/arm/wren");
  const poses = page.locator("#real-arm-table");
  const cell = (row: number, column: number) => poses.locator("tr").nth(row).locator("input").nth(column);
  await page.evaluate(() => (location.hash = "#/real-arm"));
  await expect(cell(5, 0)).toHaveValue(/\d/);
  const asked: number[][] = [];
  for (let row = 1; row <= 5; row++) asked.push(await Promise.all([0, 1, 2, 3, 4, 5].map(async (column) => Number(await cell(row, column).inputValue()))));
  await page.locator("#real-arm-close").click();
  const shown: number[][] = [];
  for (const pose of asked) {
    const joints_deg = pose.map((deg, i) => deg + (i === 2 ? 4 : 0));
    await ask(page, { type: "restart", joints_deg });
    await page.waitForFunction((want) => (window as any).handrule.state.joints_deg.every((deg: number, i: number) => Math.abs(deg - want[i]!) < 1e-6), joints_deg);
    shown.push((await state(page)).tcp.position_mm);
  }
  await page.evaluate(() => (location.hash = "#/real-arm"));
  for (const [i, place] of shown.entries()) for (const [k, mm] of place.entries()) await cell(i + 1, 6 + k).fill(mm.toFixed(2));
  await expect(page.locator("#real-arm-found li").first()).toContainText("J3");
  await page.locator("#real-arm-take").click();
  await expect(page.locator("#arm option:checked")).toContainText("(own)");
  await page.evaluate(() => (location.hash = "#/real-arm"));
  await expect(page.locator("#real-arm-which")).toContainText("Wren");
});
