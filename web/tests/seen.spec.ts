// In every stage of every shipped lesson the tool, the target and the axis that is spoken of can be seen when it opens.
import { expect, type Page } from "@playwright/test";
import { open, test } from "./bench";

const windows = [[1366, 768, false], [390, 844, false], [1920, 1080, true]] as const; // the last one projected
const thorough = !!process.env["THOROUGH"];

/** Opens the stages one after the other, and returns what cannot be seen. Each is answered, so that the axes that it is about are told. */
function unseen(page: Page, every: readonly [step: number, from: number]): Promise<{ looked: number; axes: number; found: string[] }> {
  return page.evaluate(async ([step, from]) => {
    const socket: WebSocket = (window as any).benchSocket;
    const { view } = (window as any).handrule;
    let lesson: any = null;
    let pieces = 0;
    socket.addEventListener("message", ({ data }) => {
      if (typeof data !== "string") return;
      const message = JSON.parse(data);
      if (message.type === "lesson") lesson = message;
      if (message.type === "piece") pieces++;
    });
    const frame = (): Promise<unknown> => new Promise(requestAnimationFrame);
    /** Asks the bench for something, and waits until what it tells of it is drawn. */
    const tell = async (request: object): Promise<void> => {
      const before = pieces;
      socket.send(JSON.stringify(request));
      socket.send(JSON.stringify({ type: "piece", of: "pose", from_mm: [0, 0, 0], at_mm: [0, 0, 0] }));
      while (pieces === before) await frame();
      for (let still = 0; still < 2; still = view.scheduled === 0 ? still + 1 : 0) await frame();
    };
    const host = document.getElementById("view")!;
    const place = (p: any): { x: number; y: number } => {
      const at = p.clone().project(view.orbitCamera.camera);
      return { x: ((at.x + 1) / 2) * host.clientWidth, y: ((1 - at.y) / 2) * host.clientHeight };
    };
    const within = ({ x, y }: { x: number; y: number }): boolean => {
      const { left, right, top, bottom } = view.free;
      return x >= left - 1 && x <= right + 1 && y >= top - 1 && y <= bottom + 1;
    };
    /** How far two segments are from each other at the least, by going along the first in small steps. */
    const apart = (p: any, q: any, a: any, b: any): number => {
      const way = b.clone().sub(a);
      let least = Infinity;
      for (let i = 1; i <= 200; i++) {
        const at = p.clone().lerp(q, i / 200);
        const t = Math.min(1, Math.max(0, at.clone().sub(a).dot(way) / Math.max(1e-9, way.lengthSq())));
        least = Math.min(least, at.distanceTo(a.clone().addScaledVector(way, t)));
      }
      return least;
    };
    /** Whether the arm, without its last link and the tool, stands between a point and the eye: by its bodies as the file has them. */
    const hidden = (p: any): boolean => {
      const eye = view.orbitCamera.camera.position;
      return view.message.body.some((c: any) => {
        if (c.link === 6) return false;
        const end = (mm: number[]): any => p.clone().set(...mm).applyMatrix4(view.arm.links[c.link].matrixWorld);
        return apart(p, p.clone().lerp(eye, Math.min(1, 1500 / p.distanceTo(eye))), end(c.from_mm), end(c.to_mm)) < c.radius_mm - 2;
      });
    };
    const found: string[] = [];
    let [looked, axes, n] = [0, 0, 0];
    const lessons = [...document.querySelectorAll<HTMLOptionElement>("#lesson-choice option")].map((o) => o.value).filter(Boolean);
    for (const id of lessons) {
      await tell({ type: "lesson", id, progress: "", seed: 1, stage: 0 });
      for (let stage = 0; stage < lesson.stages.length; stage++, n++) {
        if (n % step !== from % step) continue;
        await tell({ type: "stage", do: "go", stage });
        looked++;
        const name = `${id} ${stage + 1}`;
        const flange = view.arm.flange.getWorldPosition(view.tcp.object.position.clone());
        const tip = view.tcp.object.getWorldPosition(view.tcp.object.position.clone());
        const tool = [...Array(9).keys()].map((i) => flange.clone().lerp(tip, i / 8));
        const outside = tool.filter((p) => !within(place(p))).length;
        if (outside > 0) found.push(`${name}: ${outside} of 9 points of the tool are outside the picture`);
        const behind = tool.filter(hidden).length;
        if (behind > 4) found.push(`${name}: ${behind} of 9 points of the tool are hidden`);
        if (lesson.task && !lesson.task.reach && !lesson.task.free) {
          const toEye = view.orbitCamera.camera.position.clone().sub(tip);
          await tell({ type: "answer", arrow: null, direction: "x +", joints: [], stop: "nothing", number: -4711, options: [0] });
          for (const { along, joint } of lesson.task?.shown?.axes ?? []) {
            axes++;
            const off = (tip.clone().set(...along).transformDirection(view.base.matrixWorld).angleTo(toEye) * 180) / Math.PI;
            if (Math.min(off, 180 - off) < 15) found.push(`${name}: the axis ${joint || along.map((x: number) => x.toFixed(2)).join()} is seen end-on, at ${off.toFixed(0)}°`);
          }
        }
        if (!lesson.target) continue;
        const ring = view.target.points;
        if (ring.some((p: any) => !within(place(p)))) found.push(`${name}: the target is outside the picture`);
        const covered = ring.filter(hidden).length;
        if (covered > 3) found.push(`${name}: ${covered} of 6 points of the target are hidden`);
      }
    }
    return { looked, axes, found };
  }, every);
}

for (const [w, [width, height, projected]] of windows.entries()) {
  test(`tool and target are seen when a stage opens, ${width}×${height}${projected ? ", projected" : ""}`, async ({ page }) => {
    await page.emulateMedia({ reducedMotion: "reduce" });
    await page.setViewportSize({ width, height });
    await open(page);
    if (projected) await page.keyboard.press("p");
    const { looked, axes, found } = await unseen(page, thorough ? [1, 0] : [3, w]);
    expect(looked).toBeGreaterThan(30);
    expect(axes).toBeGreaterThan(10);
    expect(found).toEqual([]);
  });
}
