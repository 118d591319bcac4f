// The labels of the picture: none over another, none over the tip, from wherever one looks.
import { expect, type Page } from "@playwright/test";
import { ask, askFrame, labelBoxes, open, settled, stands, test } from "./bench";

/** Looks from many sides and distances, and returns what lies over what; and how many labels were seen, and how many were left out. */
function looksAround(page: Page, turns: number): Promise<{ over: string[]; seen: number; left: number }> {
  return page.evaluate((turns) => {
    const { view } = (window as any).handrule;
    const host = document.getElementById("view")!;
    const camera = view.orbitCamera.camera;
    const shown = (o: any): boolean => !o || (o.visible && shown(o.parent));
    const found = { over: [] as string[], seen: 0, left: 0 };
    const look = (where: string): void => {
      view.draw(performance.now() + 1e5);
      view.draw(performance.now() + 2e5);
      const perPx = (2 * Math.tan((camera.fov * Math.PI) / 360)) / host.clientHeight;
      const at = (object: any) => object.getWorldPosition(object.position.clone()).project(camera);
      const px = (p: any) => ({ x: ((p.x + 1) / 2) * host.clientWidth, y: ((1 - p.y) / 2) * host.clientHeight });
      // Beside the walk a narrow picture has no other words on purpose.
      const aside = view.walkAlone ? [view.aim.label, view.ghost.label, ...view.activeAxes.labels, ...view.cell.labels, ...view.names.labels] : [];
      for (const l of aside) if (!l.crowded && l.text !== "" && shown(l.object)) found.over.push(`${where}: ${l.text} beside the walk`);
      const all = view.labels().filter((l: any) => l.text !== "" && shown(l.object) && !aside.includes(l));
      const boxes = all.filter((l: any) => !l.crowded).map((l: any) => {
        const { x, y } = px(at(l.object));
        const [w, h] = [l.object.scale.x / perPx, l.object.scale.y / perPx];
        return { text: l.text, x: x + (0.5 - l.object.center.x + l.off.x) * w, y: y - (0.5 - l.object.center.y + l.off.y) * h, w, h };
      });
      const { left, right, top, bottom } = view.free;
      const here = boxes.filter((b: any) => b.x + b.w / 2 > left && b.x - b.w / 2 < right && b.y + b.h / 2 > top && b.y - b.h / 2 < bottom);
      found.left += all.length - boxes.length;
      found.seen += here.length;
      const tip = { text: "the tip", ...px(at(view.tcp.object)), w: 14, h: 14 };
      [tip, ...here].forEach((a: any, i, list: any[]) => {
        for (const b of list.slice(i + 1)) {
          if (Math.abs(a.x - b.x) < (a.w + b.w) / 2 - 0.5 && Math.abs(a.y - b.y) < (a.h + b.h) / 2 - 0.5) found.over.push(`${where}: ${a.text} and ${b.text}`);
        }
      });
    };
    for (const zoom of [1, 0.35, 5, 2.2]) {
      view.lookFrom("corner");
      view.draw(performance.now() + 1e5);
      view.zoom(zoom);
      for (let i = 0; i < turns; i++) {
        look(`zoom ${zoom}, turn ${i}`);
        view.orbit(360 / turns + 3, i % 2 ? 34 : -23);
      }
    }
    return found;
  }, turns);
}

const thorough = !!process.env["THOROUGH"];
const turns = thorough ? 60 : 4;

for (const [width, height] of [[1366, 768], [390, 844]] as const) {
  test(`${width}×${height}: in every frame, with the walk, a turn, a hand and a prediction, no label is over another`, async ({ page }) => {
    await page.setViewportSize({ width, height });
    await open(page, "/#/arm/wren?cell=glazing-bench&joints=-20,0,30,0,60,0");
    const poses = [[-20, 0, 30, 0, 60, 0], [70, 20, 20, 90, -60, 120], ...(thorough ? [[0, 0, 0, 0, 0, 0], [0, 35, 33, 0, 60, 0]] : [])];
    for (const [i, joints_deg] of poses.entries()) {
      await ask(page, { type: "scene", arm: i === 1 ? "plover" : "wren", cell: "glazing-bench", tool: "", joints_deg });
      for (const frame of ["joint", "base", "task", "tool"]) {
        const task = frame === "task" ? "tile" : "";
        await askFrame(page, frame, task);
        await ask(page, { type: "aim", direction: { frame, task, axis: frame === "joint" ? i : (i + 2) % 6, sign: 1 } });
        if (i === 0) await page.keyboard.press("c");
        await page.keyboard.press("r");
        await settled(page);
        const found = await looksAround(page, turns);
        expect(found.over, `${frame}, pose ${i}`).toEqual([]);
        const alone = await page.evaluate(() => (window as any).handrule.view.walkAlone as boolean);
        expect(alone && width > 500).toBe(false);
        expect(found.seen).toBeGreaterThan(turns * 4 * (alone ? 3 : 5));
        expect(found.left / (found.left + found.seen), `${frame}, pose ${i}: too many are left out`).toBeLessThan(0.35);
      }
    }
  });
}

test("in a lesson, with a target, an explained answer and the ball, no label is over another", async ({ page }) => {
  for (const [stage, width, height] of [["first-straight-line/3", 1366, 768], ["the-right-hand/4", 1366, 768], ["the-right-hand/3", 390, 844]] as const) {
    await page.setViewportSize({ width, height });
    await open(page, `/#/lessons/${stage}`);
    await page.waitForFunction(() => (window as any).handrule.state && document.getElementById("lesson-place")!.checkVisibility());
    if (stage === "the-right-hand/4") {
      await ask(page, { type: "answer", arrow: null, direction: "y -", joints: [], stop: "", number: null, options: [] });
      await expect(page.locator("#task-verdict")).toHaveAttribute("data-tone", "right");
    }
    if (stage === "the-right-hand/3") await page.waitForFunction(() => (window as any).handrule.view.prediction.object.visible);
    await settled(page);
    const found = await looksAround(page, turns);
    expect(found.over, stage).toEqual([]);
    expect(found.seen, stage).toBeGreaterThan(turns * 4);
  }
});

for (const [layout, width, height] of [["desk", 1366, 768], ["phone", 390, 844], ["phone on its side", 844, 390], ["projector", 1280, 720]] as const) {
  test(`${layout}: a turn about the tip says beside the tip that it stays`, async ({ page }) => {
    await page.setViewportSize({ width, height });
    await open(page, "/#/arm/wren?cell=glazing-bench&joints=-20,0,30,0,60,0");
    await askFrame(page, "base");
    if (layout === "projector") await page.keyboard.press("p");
    for (const axis of [3, 4, 5]) {
      await stands(page, () => ask(page, { type: "step", direction: { frame: "base", task: "", axis, sign: 1 } }));
      await settled(page);
      const { boxes, tcp, free } = await labelBoxes(page);
      const told = boxes.find((box) => /tip moved 0\.00\smm/.test(box.text))!;
      expect(told, `axis ${axis}`).toBeDefined();
      // Where one looks: at the tip, in the picture, and not over the mark itself.
      expect(Math.hypot(Math.max(0, Math.abs(told.x - tcp.x) - told.w / 2), Math.max(0, Math.abs(told.y - tcp.y) - told.h / 2))).toBeLessThan(layout === "projector" ? 110 : 60);
      expect(Math.abs(told.x - tcp.x) < told.w / 2 && Math.abs(told.y - tcp.y) < told.h / 2).toBe(false);
      expect(told.x - told.w / 2).toBeGreaterThanOrEqual(free.left - 1);
      expect(told.x + told.w / 2).toBeLessThanOrEqual(free.right + 1);
    }
  });
}

for (const [width, height] of [[1366, 768], [390, 844]] as const) {
  test(`${width}×${height}: around what is said of a contact no names stand`, async ({ page }) => {
    await page.setViewportSize({ width, height });
    // The pen at the tile's stand; the wrist there.
    for (const [joints, frame, axis, sign] of [["0,40,28,0,22,0", "base", 2, -1], ["0,95,-60,0,0,0", "joint", 1, 1]] as const) {
      await open(page, `/#/arm/wren?cell=glazing-bench&joints=${joints}`);
      await askFrame(page, frame);
      await ask(page, { type: "increment", mm: 50, deg: 10 });
      await stands(page, () => ask(page, { type: "step", direction: { frame, task: "", axis, sign } }));
      await settled(page);
      const { boxes } = await labelBoxes(page);
      const told = boxes.find((box) => box.text.startsWith("touches"))!;
      expect(told, joints).toBeDefined();
      for (const box of boxes.filter(({ text }) => /^(J\d|tile)$/.test(text))) {
        const [across, along] = [Math.abs(box.x - told.x) - (box.w + told.w) / 2, Math.abs(box.y - told.y) - (box.h + told.h) / 2];
        expect(Math.max(across, along), `${box.text}, ${joints}`).toBeGreaterThan(15);
      }
    }
  });
}

/** Looks at the names of the joints from many sides: those that are nearer to another joint than to their own, and how many are drawn. */
function namesAround(page: Page, turns: number): Promise<{ astray: string[]; drawn: number; all: number }> {
  return page.evaluate((turns) => {
    const { view } = (window as any).handrule;
    const host = document.getElementById("view")!;
    const camera = view.orbitCamera.camera;
    const found = { astray: [] as string[], drawn: 0, all: 0 };
    const px = (p: any): [number, number] => [((p.x + 1) / 2) * host.clientWidth, ((1 - p.y) / 2) * host.clientHeight];
    view.lookFrom("corner");
    for (let turn = 0; turn < turns; turn++) {
      view.draw(performance.now() + 1e5);
      view.draw(performance.now() + 2e5);
      const perPx = (2 * Math.tan((camera.fov * Math.PI) / 360)) / host.clientHeight;
      const joints = view.form.hubs.map((hub: any, i: number) => px(hub.centre.clone().applyMatrix4(view.arm.links[i].matrixWorld).project(camera)));
      view.names.labels.forEach((label: any, i: number) => {
        found.all++;
        if (label.crowded || !label.object.visible) return;
        found.drawn++;
        const depth = -label.object.getWorldPosition(label.object.position.clone()).applyMatrix4(camera.matrixWorldInverse).z;
        const [w, h] = [label.object.scale.x / perPx, label.object.scale.y / perPx];
        if (!(depth > 0)) return;
        const [x, y] = px(label.object.getWorldPosition(label.object.position.clone()).project(camera));
        const to = ([jx, jy]: [number, number]) => Math.hypot(Math.max(0, Math.abs(jx - x) - w / 2), Math.max(0, Math.abs(jy - y) - h / 2));
        joints.forEach((joint: [number, number], j: number) => {
          if (j !== i && to(joint) < to(joints[i]) - 1) found.astray.push(`turn ${turn}: ${label.text} is ${to(joints[i]).toFixed(0)} px from its joint, ${to(joint).toFixed(0)} px from J${j + 1}`);
        });
      });
      view.orbit(360 / turns + 7, turn % 2 ? 41 : -29);
    }
    return found;
  }, turns);
}

for (const [width, height] of [[1366, 768], [390, 844]] as const) {
  test(`${width}×${height}: a joint's name is nearer to its own joint than to any other, in many poses and from many sides`, async ({ page }) => {
    await page.setViewportSize({ width, height });
    await open(page, "/#/arm/wren?cell=glazing-bench");
    const poses = [[0, 0, 0, 0, 90, 0], [0, 0, 0, 0, 0, 0], [-20, 0, 30, 0, 60, 0], [70, 20, 20, 90, -60, 120], [-120, 60, -60, 45, 100, 10], [30, -60, 60, -150, 20, 300]];
    let [drawn, all] = [0, 0];
    for (const arm of ["wren", "plover", "curlew"]) {
      for (const joints_deg of poses) {
        await ask(page, { type: "scene", arm, cell: "", tool: "", joints_deg });
        await settled(page);
        const found = await namesAround(page, thorough ? 60 : 12);
        expect(found.astray, `${arm} ${joints_deg}`).toEqual([]);
        drawn += found.drawn;
        all += found.all;
      }
    }
    expect(drawn / all, "too few are drawn").toBeGreaterThan(0.7);
  });
}
