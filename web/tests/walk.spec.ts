// The coordinate walk: what its lines measure is what its labels say, and what its labels say is what is read.
import { expect, type Page } from "@playwright/test";
import { ask, askFrame, bend, drawnWithin, frame, labelBoxes, open, ready, settled, state, sub, test, type V3 } from "./bench";

const MM_PER_INCH = 25.4; // exact since the international yard and pound agreement of 1959 (as format.spec.ts)

interface Walked {
  labels: string[];
  shown: boolean[];
  stations: V3[];
  end: V3;
}

/** The labels, and the ends of the lines as drawn. */
function walked(page: Page): Promise<Walked> {
  return page.evaluate(() => {
    const { view } = (window as any).handrule;
    const { walk, tcp } = view;
    const end = walk.of === "tcp" ? tcp.object.matrixWorld.elements.slice(12, 15) : view.drawnFlange().p;
    return {
      labels: walk.labels.map((l: any) => l.text),
      shown: walk.labels.map((l: any) => l.object.visible && walk.object.visible),
      stations: walk.stations.map((s: any) => s.toArray()),
      end,
    };
  });
}

async function readIn(page: Page, frame: string, task = ""): Promise<void> {
  await ask(page, { type: "read-in", frame, task });
  await page.waitForFunction(([f, t]) => ((s) => s.frame === f && s.task === t)((window as any).handrule.setup.read_in), [frame, task]);
  await page.waitForFunction(() => (window as any).handrule.view.scheduled === 0);
}

const number = (text: string): number => Number(text.replace("\u2212", "-"));

/** In mm and in inch: labels against the readout, and lines against labels. */
async function agrees(page: Page): Promise<void> {
  for (const unit of ["mm", "inch"]) {
    await page.locator(`input[name=unit][value=${unit}]`).check({ force: true });
    await page.waitForFunction(() => (window as any).handrule.view.scheduled === 0);
    const readout = await page.locator("#where [data-position]").allTextContents();
    const { labels, stations, end } = await walked(page);
    const per = unit === "mm" ? 1 : MM_PER_INCH;
    readout.forEach((text, i) => {
      expect(labels[i]).toMatch(new RegExp(`^${"XYZ"[i]} ${text} ${unit === "mm" ? "mm" : "in"} \\[\u2212?[\\d.]+ ${unit === "mm" ? "in" : "mm"}\\]$`));
      const length = Math.hypot(...sub(stations[i + 1]!, stations[i]!)) / per;
      expect(length).toBeCloseTo(Math.abs(number(text)), 2);
      // The other unit in brackets is the same length, as near as its decimals tell.
      const other = number(/\[(\S+)/.exec(labels[i]!)![1]!);
      expect(Math.abs(unit === "mm" ? other * MM_PER_INCH - number(text) : other / MM_PER_INCH - number(text))).toBeLessThan(unit === "mm" ? 0.018 : 0.0008);
    });
    expect(Math.hypot(...sub(stations[3]!, end))).toBeLessThan(1e-3);
  }
}

test("the walk ends at what is read, and its labels are the readout, in every frame and both units", async ({ page }) => {
  await open(page);
  await page.keyboard.press("c");
  await expect(page.locator("#walk")).toHaveAttribute("aria-pressed", "true");
  await ask(page, { type: "cell", id: "glazing-bench" });
  await page.waitForFunction(() => (window as any).handrule.setup.cell === "glazing-bench");
  await bend(page, [25, 10, -20, 15, 50, 40]);
  const task = await page.locator("#read-in option").evaluateAll((all) => all.map((o) => (o as HTMLOptionElement).value).find((v) => v.startsWith("task "))!.slice(5));
  // Which frame is jogged in makes no difference; the tool's moves with the tool.
  await askFrame(page, "tool");
  for (const [frame, name] of [["base", ""], ["world", ""], ["task", task]] as const) {
    await readIn(page, frame, name);
    for (const of of ["tcp", "flange"]) {
      await page.locator(`input[name=whose][value=${of}]`).check({ force: true });
      await agrees(page);
    }
    expect((await walked(page)).shown).toEqual([true, true, true, frame === "base"]);
  }
});

test("its lines are along the axes of the frame that is read in, also on a wall", async ({ page }) => {
  await open(page);
  await page.locator("#walk").click();
  await ask(page, { type: "cell", id: "wall-mount" });
  await page.waitForFunction(() => Math.abs((window as any).handrule.view.base.quaternion.y) > 0.7);
  await bend(page, [25, 10, -20, 15, 50, 40]);
  await readIn(page, "world");
  await agrees(page);
  // The picture's coordinates are the world's.
  const { stations } = await walked(page);
  const { position_mm: read } = (await state(page)).tcp;
  for (let i = 0; i < 3; i++) {
    const leg = sub(stations[i + 1]!, stations[i]!);
    leg.forEach((x, k) => expect(x).toBeCloseTo(k === i ? read[i] : 0, 3));
  }
  await readIn(page, "base");
  await agrees(page);
  await expect(page.locator("#walk-says")).toContainText("Wren’s origin is on J1’s axis at the height of J2, 11.811 in above");
});

test("each label touches its own line, or a leader goes from it to the line's middle", async ({ page }) => {
  await page.emulateMedia({ reducedMotion: "reduce" });
  for (const [width, height] of [[1366, 768], [390, 844]] as const) {
    await page.setViewportSize({ width, height });
    await open(page);
    if ((await page.locator("#walk").getAttribute("aria-pressed")) !== "true") await page.locator("#walk").click();
    await frame(page, "base");
    for (const look of ["behind", "front", "left", "above"]) {
      await page.evaluate((at) => (window as any).handrule.view.lookFrom(at), look);
      await page.waitForFunction(() => ((v) => v.scheduled === 0 && v.orbitCamera.glide === null)((window as any).handrule.view));
      const { boxes } = await labelBoxes(page);
      const { lines, led, labels } = await page.evaluate(() => {
        const { view } = (window as any).handrule;
        const { clientWidth: w, clientHeight: h } = document.getElementById("view")!;
        const seen = (p: any) => ((q) => [((q.x + 1) / 2) * w, ((1 - q.y) / 2) * h])(p.clone().project(view.orbitCamera.camera));
        const ends = view.walk.stations.map(seen);
        const leader = view.walk.leaders.map((l: any) => l.object.visible);
        return { lines: [0, 1, 2].map((i) => [ends[i], ends[i + 1]]), led: leader, labels: view.walk.labels.map((l: any) => l.text) };
      });
      lines.forEach(([from, to]: number[][], i: number) => {
        const box = boxes.find((b) => b.text === labels[i])!;
        // The least distance from the line to the label, in small steps along the line.
        const gap = Math.min(...Array.from({ length: 201 }, (_, k) => {
          const [x, y] = [0, 1].map((c) => from![c]! + ((to![c]! - from![c]!) * k) / 200) as [number, number];
          return Math.hypot(Math.max(0, Math.abs(x - box.x) - box.w / 2), Math.max(0, Math.abs(y - box.y) - box.h / 2));
        }));
        expect(gap < 8 || led[i], `${labels[i]} from ${look} is ${gap} px off`).toBe(true);
      });
    }
  }
});

test("it says where each arm counts from, is kept, and draws nothing while nothing changes", async ({ page }) => {
  await page.setViewportSize({ width: 390, height: 844 });
  await open(page);
  await expect(page.locator("#walk-says")).toBeHidden();
  await page.locator("#walk").click();
  await expect(page.locator("#walk-says")).toContainText("at the height of J2, 300.00 mm above the mounting surface. That surface is at Z \u2212300.00 mm");
  await ask(page, { type: "arm", id: "curlew" });
  await expect(page.locator("#walk-says")).toContainText("Curlew’s origin is on its mounting surface");
  await page.waitForFunction(() => !(window as any).handrule.view.walk.height.object.visible);
  await page.reload();
  await ready(page);
  await expect(page.locator("#walk")).toHaveAttribute("aria-pressed", "true");
  await settled(page);
  expect(await drawnWithin(page, 25)).toBe(0);
});
