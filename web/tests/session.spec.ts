// A learner's first session, by clicks and keys, in a real browser through the real server.
import { expect, type Page } from "@playwright/test";
import { decodeFrame } from "../src/wire";
import { chooseLesson, drawnWithin, held, ready, stands, test } from "./bench";

interface Drawn {
  p: [number, number, number];
  q: [number, number, number, number];
}

/** The last message of a type that the bench sent to the page, and as "frame" the last frame. */
function listen(page: Page): Map<string, any> {
  const last = new Map<string, any>();
  page.on("websocket", (socket) =>
    socket.on("framereceived", ({ payload }) => {
      if (typeof payload !== "string") {
        const bytes = new Uint8Array(payload); // of their own, and aligned
        last.set("frame", decodeFrame(bytes.buffer));
        return;
      }
      const message = JSON.parse(payload);
      last.set(message.type, message);
    }),
  );
  return last;
}

async function open(page: Page): Promise<Map<string, any>> {
  const last = listen(page);
  await page.addInitScript(() => localStorage.setItem("handrule-drawer", "measure"));
  await page.goto("/#/arm/wren");
  await ready(page);
  await expect(page.locator(".joint-angle").first()).toHaveText("0.00°");
  return last;
}

async function frame(page: Page, value: string): Promise<void> {
  await page.locator(`input[name=frame][value=${value}]`).check({ force: true });
  await expect(page.locator("#strip")).toHaveAttribute("data-frame", value);
}
const manner = (page: Page, value: string) => page.locator(`input[name=manner][value=${value}]`).check({ force: true });
const jogButton = (page: Page, axis: number, sign: number) => page.locator(`.jog[data-axis="${axis}"][data-sign="${sign}"]`);
const angle = (page: Page, joint: number) => page.locator(".joint-angle").nth(joint);
const position = (page: Page, letter: string) => page.locator(`#where [data-position=${letter}]`);

async function bendJoint5(page: Page): Promise<void> {
  await frame(page, "joint");
  await page.locator("#speed").selectOption({ label: "250 mm/s · 60 °/s" });
  await page.locator("#increment").selectOption({ label: "100 mm · 90°" });
  await jogButton(page, 4, 1).click();
  await expect(angle(page, 4)).toHaveText("90.00°");
}

/** The arm with joint 5 bent, to be jogged in the base frame for as long as a control is held. */
async function openReadyToHold(page: Page): Promise<void> {
  // A small picture: drawing a large one in software may take longer than a hold's lease.
  await page.setViewportSize({ width: 760, height: 560 });
  await open(page);
  await bendJoint5(page);
  await page.locator("#speed").selectOption({ label: "50 mm/s · 15 °/s" });
  await frame(page, "base");
  await manner(page, "hold");
}

test("the first minute: the straight wrist refuses Y, a bent one runs straight to the target", async ({ page }) => {
  const last = await open(page);
  await chooseLesson(page, "The first straight line");
  await expect(page.locator("#lesson")).toBeVisible();
  await page.locator("#lesson-next").click(); // past the prediction

  await frame(page, "base");
  await jogButton(page, 1, 1).click();
  await expect(page.locator(".stop-headline")).toContainText("wrist singularity");
  await expect(page.locator(".stop-numbers")).toContainText("J4 would have to turn 90.0°");
  await expect(page.locator(".stop-advice")).toContainText("bend J5");
  await expect(position(page, "Y")).toHaveText("0.00");
  await page.locator("#lesson-next").click();
  await expect(page.locator("#lesson-target")).toBeVisible();

  await bendJoint5(page);
  await frame(page, "base");
  await jogButton(page, 1, 1).click();
  await expect(position(page, "Y")).toHaveText("100.00");
  await expect(position(page, "X")).toHaveText("320.00");
  await expect(position(page, "Z")).toHaveText("110.00");
  await expect(page.locator("#lesson-target")).toHaveClass(/reached/);

  // The flange is drawn where the server says, to 0.01 mm.
  const flange = last.get("frame").flange as number[];
  const told = { p: flange.slice(0, 3), q: flange.slice(3) };
  const apart = async () => {
    const drawn = (await page.evaluate(() => (window as any).handrule.view.drawnFlange())) as Drawn;
    const same = drawn.q.reduce((sum, x, i) => sum + x * told.q[i]!, 0);
    return Math.max(...drawn.p.map((x, i) => Math.abs(x - told.p[i]!)), 1e6 * (1 - Math.abs(same)));
  };
  await expect.poll(apart).toBeLessThan(0.01);
});

test("a held key moves the arm until it is let go", held, async ({ page }) => {
  await openReadyToHold(page);
  await page.keyboard.press("3"); // Z
  await page.keyboard.down("ArrowUp");
  await expect.poll(async () => Number(await position(page, "Z").textContent())).toBeGreaterThan(120);
  await page.keyboard.up("ArrowUp");
  await expect(page.locator(".stop-headline")).toHaveText("Released:");
  const rest = await position(page, "Z").textContent();
  await page.waitForFunction(() => !(window as any).handrule.state.moving);
  await expect(position(page, "Z")).toHaveText(rest!);
});

test("a page that hangs while a button is held: the arm stops meanwhile, and the page says why", held, async ({ page }) => {
  await openReadyToHold(page); // 50 mm/s
  await jogButton(page, 2, 1).hover();
  await page.mouse.down();
  await expect.poll(async () => Number(await position(page, "Z").textContent())).toBeGreaterThan(112);
  const before = await page.evaluate(() => {
    const { moving, tcp } = (window as any).handrule.state;
    for (const from = performance.now(); performance.now() - from < 700; );
    return { moving, z: tcp.position_mm[2] as number };
  });
  expect(before.moving).toBeTruthy();
  await expect(page.locator(".stop-headline")).toContainText("the page or the connection was too slow to keep the hold");
  await expect(page.locator(".stop-numbers")).toContainText("must hear several times a second");
  await page.mouse.up();
  const { moving, tcp } = await page.evaluate(() => (window as any).handrule.state);
  expect(moving).toBeFalsy();
  // In 700 ms it would have gone 35 mm. The hold's lease and the way to a stop are 12, and the page may have been told late where it was.
  expect(tcp.position_mm[2] - before.z).toBeLessThan(22);
});

test("a held button stops when the page loses focus", held, async ({ page }) => {
  await openReadyToHold(page);
  await jogButton(page, 2, 1).hover();
  await page.mouse.down();
  await expect.poll(async () => Number(await position(page, "Z").textContent())).toBeGreaterThan(112);
  await page.evaluate(() => window.dispatchEvent(new Event("blur")));
  await expect(page.locator(".stop-headline")).toHaveText("Released:");
  await page.mouse.up();
});

test("a reload finds the arm where it was", async ({ page }) => {
  await open(page);
  await bendJoint5(page);
  await page.reload();
  await expect(angle(page, 4)).toHaveText("90.00°");
});

test("inches are the millimetres divided by 25.4, and the orientation is shown in the form one chooses", async ({ page }) => {
  await open(page);
  await expect(position(page, "X")).toHaveText("510.00");
  await page.locator("input[name=unit][value=inch]").check({ force: true });
  await expect(position(page, "X")).toHaveText("20.079"); // 510 / 25.4 = 20.0787

  const turns = page.locator("#where .turn:visible");
  const shows = async (form: string, ...values: string[]) => {
    await page.locator("#form").selectOption(form);
    await expect(turns).toHaveText(values);
  };
  // The flange's Z points forward: a quarter turn about Y.
  await shows("fixed_xyz", "0.00°", "90.00°", "0.00°");
  await expect(page.locator("#unique")).toContainText("Only X minus Z counts");
  await shows("moving_zyx", "0.00°", "90.00°", "0.00°");
  await shows("zyz", "0.00°", "90.00°", "0.00°");
  await expect(page.locator("#unique")).toBeHidden();
  await shows("axis_angle", "0.0000", "1.0000", "0.0000", "90.00°");
  await shows("quaternion", "0.7071", "0.0000", "0.7071", "0.0000");
  await shows("matrix", ...[" 0.000  0.000  1.000", " 0.000  1.000  0.000", "−1.000  0.000  0.000"]);
  await page.reload();
  await expect(turns).toHaveCount(3);
  await expect(page.locator("#form")).toHaveValue("matrix");
});

test("nothing is drawn while nothing changes, and nothing is asked of anybody but the server", async ({ page, baseURL }) => {
  const foreign: string[] = [];
  page.on("request", (request) => {
    const url = new URL(request.url());
    if (!["data:", "blob:"].includes(url.protocol) && url.host !== new URL(baseURL!).host) foreign.push(request.url());
  });
  await open(page);
  await expect.poll(() => drawnWithin(page, 25)).toBe(0);
  expect(foreign).toEqual([]);
});

test("when all three angles leap although the tool turned little, it is said why, until the next jog", async ({ page }) => {
  await open(page);
  await frame(page, "base");
  const turns = page.locator("#where .turn:visible");
  const note = page.locator("#unique");
  await expect(turns).toHaveText(["0.00°", "90.00°", "0.00°"]);
  await expect(note).not.toContainText("All three are new");
  // By hand: Rx(5°) Ry(90°) is Rz(90°) Ry(85°) Rx(90°).
  await stands(page, () => jogButton(page, 3, 1).click());
  await expect(turns).toHaveText(["90.00°", "85.00°", "90.00°"]);
  await expect(note).toHaveText("All three are new, although the tool turned only 5.0°: at 90° about Y they are not unique, and there they leap.");
  await stands(page, () => jogButton(page, 3, 1).click());
  await expect(turns).toHaveText(["90.00°", "80.00°", "90.00°"]);
  await expect(note).toBeHidden();
  // Other numbers for the same turn need no such word.
  await stands(page, () => jogButton(page, 3, -1).click());
  await stands(page, () => jogButton(page, 3, -1).click());
  await page.locator("#form").selectOption("quaternion");
  await stands(page, () => jogButton(page, 3, 1).click());
  await expect(note).toBeHidden();
});

test("a bench that is opened in another tab is left to it, until somebody wants it here", async ({ page, context }) => {
  await page.setViewportSize({ width: 480, height: 400 }); // Both draw.
  await page.goto("/");
  await expect(page.locator("#link")).toBeHidden();
  await page.waitForFunction(() => sessionStorage.getItem("handrule-bench"));
  const bench = await page.evaluate(() => sessionStorage.getItem("handrule-bench"));
  const other = await context.newPage();
  await other.setViewportSize({ width: 480, height: 400 });
  await other.addInitScript((id) => sessionStorage.getItem("handrule-bench") ?? sessionStorage.setItem("handrule-bench", id ?? ""), bench);
  await other.goto("/");
  await expect(page.locator("#link")).toHaveText("This simulator is in use in another tab or window. Here it waits.");
  await expect(other.locator("#link")).toBeHidden();
  await page.locator("#link-again").click(); // It has not taken it back by itself meanwhile.
  await expect(page.locator("#link")).toBeHidden();
  await expect(page.locator("#link-again")).toBeHidden();
  await expect(other.locator("#link-again")).toBeVisible();
});
