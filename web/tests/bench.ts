// What several specs do with the page.
import { expect, test as plain, type BrowserContext, type Locator, type Page } from "@playwright/test";
import { withoutGraphics } from "./nographics";

/** By how many ms the bench answers later than it does. With some, a test that does not wait for the answer fails every time. */
const lag = Number(process.env["LAG_MS"] ?? 0);

/** Whether the page is of a site that was visited before, with the network off. */
const offline = process.env["LINK"] === "offline";

/** Waits until a site is put away whole, also what few need of it. A predicate of waitForFunction may not be asynchronous: it is taken for true. */
export const putAway = (page: Page): Promise<void> =>
  expect
    .poll(() =>
      page.evaluate(async () => {
        if (!navigator.serviceWorker.controller) return "no service worker";
        const script = await (await fetch("offline.js")).text();
        const lists = [...script.matchAll(/const SITE_(?:FILES|LATER) = (.*);/g)].flatMap(([, list]) => JSON.parse(list!) as string[]);
        const kept = await Promise.all(lists.map((file) => caches.match(new URL(file, document.baseURI))));
        return lists.length === 0 ? "no list" : lists.filter((_, i) => kept[i] === undefined).join();
      }),
      { timeout: 120_000 },
    )
    .toBe("");

async function visitAndGoOffline(context: BrowserContext): Promise<void> {
  const page = await context.newPage();
  await page.goto("/");
  await putAway(page);
  await page.evaluate(() => localStorage.clear());
  await page.close();
  await context.setOffline(true);
}

/** A test on pages that do all but fill in the pixels, unless it uses pixels. */
export const test = plain.extend<{ pixels: boolean }>({
  pixels: [false, { option: true }],
  context: async ({ context, pixels }, use) => {
    if (lag > 0) {
      await context.addInitScript((ms) => {
        Object.defineProperty(WebSocket.prototype, "onmessage", {
          set(this: WebSocket, hear: (event: MessageEvent) => void) {
            this.addEventListener("message", (event) => setTimeout(() => hear(event), ms));
          },
        });
      }, lag);
    }
    if (!pixels) await withoutPixels(context);
    if (offline) await visitAndGoOffline(context);
    await use(context);
  },
  page: async ({ page }, use) => {
    throughDrawers(page.locator("body"));
    await use(page);
  },
});

/** The pages of it do all but fill in the pixels. */
export const withoutPixels = (of: Page | BrowserContext): Promise<unknown> => of.addInitScript(withoutGraphics);

let wrapped = false;

/** A control that is in a drawer is reached as a learner reaches it: its drawer is opened first, if it is not out. */
function throughDrawers(any: Locator): void {
  if (wrapped) return;
  wrapped = true;
  const locators = Object.getPrototypeOf(any);
  for (const act of ["click", "selectOption", "hover", "fill", "check", "focus", "tap", "press"] as const) {
    const plainly = locators[act];
    locators[act] = async function (this: Locator, ...rest: unknown[]) {
      const open = (e: Element) => {
        const { drawer } = e.closest<HTMLElement>(".panel[data-drawer]")?.dataset ?? {};
        if (drawer && document.body.dataset["drawer"] !== drawer && !document.documentElement.classList.contains("projected")) document.querySelector<HTMLElement>(`[data-opens=${drawer}]`)!.click();
      };
      await this.evaluate(open, null, { timeout: 20_000 }).catch(() => {});
      return plainly.apply(this, rest);
    };
  }
}

/**
 * A test that holds a control for a while. A page that is starved lets go of it, so these are run after the others, one at a
 * time.
 */
export const held = { tag: "@held" };

export const sizes = [[1920, 1080], [1366, 768], [390, 844]] as const;

export type V3 = [number, number, number];

/**
 * Opens the page, keeps its socket so that a test can ask the bench, and waits until the bench has told where the arm is. Unless
 * the path names something else, the arm stands alone with all joints at zero, and the numbers are out.
 */
export async function open(page: Page, path = "/"): Promise<void> {
  await page.addInitScript(() => {
    const Plain = window.WebSocket;
    window.WebSocket = class extends Plain {
      constructor(url: string | URL) {
        super(url);
        (window as any).benchSocket = this;
      }
    };
    // A bench of the page's own hears and tells the same texts, from a worker.
    const PlainWorker = window.Worker;
    window.Worker = class extends PlainWorker {
      constructor(url: string | URL, options?: WorkerOptions) {
        super(url, options);
        if (String(url).endsWith("/worker.js")) (window as any).benchSocket = Object.assign(this, { send: (text: string) => this.postMessage(text) });
      }
    };
    if (localStorage.getItem("handrule-drawer") === null) localStorage.setItem("handrule-drawer", "measure");
  });
  const url = path.includes("#") ? path : `${path}#/arm/wren`;
  if (page.url().endsWith(url)) await page.reload();
  else await page.goto(url);
  await ready(page);
  await answered(page); // what the address names is there
}

/** Opens a drawer of the page, if it is not out. */
export async function drawer(page: Page, name: string): Promise<void> {
  const button = page.locator(`[data-opens=${name}]`);
  if ((await button.getAttribute("aria-expanded")) !== "true") await button.click();
  await expect(button).toHaveAttribute("aria-expanded", "true");
}

export async function ready(page: Page): Promise<void> {
  await page.waitForFunction(() => (window as any).handrule?.state);
  await expect(page.locator("#link")).toBeHidden();
}

export async function frame(page: Page, value: string): Promise<void> {
  await page.locator(`input[name=frame][value=${value}]`).check({ force: true });
  await expect(page.locator("#strip")).toHaveAttribute("data-frame", value);
}

export const jogButton = (page: Page, axis: number, sign: number) => page.locator(`.jog[data-axis="${axis}"][data-sign="${sign}"]`);

/** Chooses a lesson of the list by its title, which stands after its number. */
export const chooseLesson = async (page: Page, title: string): Promise<unknown> =>
  page.locator("#lesson-choice").selectOption(await page.locator("#lesson-choice option", { hasText: title }).getAttribute("value"));

/** A lesson's title, without its number and tick in the list. */
export const titleOf = (offered: string): string => offered.replace(/^\d+\. | ✓$/g, "");

export async function ask(page: Page, request: object): Promise<void> {
  await page.evaluate((r) => (window as any).benchSocket.send(JSON.stringify(r)), request);
}

/** Asks the bench for a frame to jog in, also those that only some cells have. */
export async function askFrame(page: Page, value: string, task = ""): Promise<void> {
  await ask(page, { type: "frame", frame: value, task });
  await page.waitForFunction((v) => (window as any).handrule.setup?.frame === v, value);
}

export const state = (page: Page): Promise<any> => page.evaluate(() => (window as any).handrule.state);

/** Does what moves the arm, and waits until it has moved and stands again. */
export async function stands(page: Page, move: () => Promise<void>): Promise<void> {
  const { tick } = await state(page);
  await move();
  await page.waitForFunction((before) => ((now) => now.tick > before && !now.moving)((window as any).handrule.state), tick);
}

/** Waits until all that has changed is drawn, also what a frame's layout has moved. */
export const settled = (page: Page): Promise<void> =>
  page.evaluate(() =>
    new Promise<void>((done) => {
      let still = 0; // frames in a row
      const look = () => {
        still = (({ scheduled, settling }) => scheduled === 0 && settling === 0)((window as any).handrule.view) ? still + 1 : 0;
        if (still > 2) done();
        else requestAnimationFrame(look);
      };
      look();
    }),
  );

/** Waits until the page has been told all that the bench says to what was asked until now. */
const answered = (page: Page): Promise<void> =>
  page.evaluate(
    (lag) =>
      new Promise<void>((done) => {
        const socket: WebSocket | undefined = (window as any).benchSocket;
        if (!socket) return done(); // An address that differs after the # loads no page, which would keep its socket.
        const hear = ({ data }: MessageEvent): void => {
          if (typeof data !== "string" || JSON.parse(data).type !== "piece") return;
          socket.removeEventListener("message", hear);
          setTimeout(done, lag);
        };
        socket.addEventListener("message", hear);
        socket.send(JSON.stringify({ type: "piece", of: "pose", from_mm: [0, 0, 0], at_mm: [0, 0, 0] }));
      }),
    lag,
  );

/** Waits until the bench has heard all that the page has asked until now, and what it says to that is drawn. */
export async function heard(page: Page): Promise<void> {
  await answered(page);
  await settled(page);
}

/** How many pictures are drawn while the browser shows so many frames. */
export const drawnWithin = (page: Page, frames: number): Promise<number> =>
  page.evaluate(
    (frames) =>
      new Promise<number>((done) => {
        const drawn = (): number => (window as any).handrule.view.frames();
        const before = drawn();
        let count = 0;
        const next = (): void => void (++count > frames ? done(drawn() - before) : requestAnimationFrame(next));
        next();
      }),
    frames,
  );

/** Puts the arm, where it is, into a pose at once, and lets it move fast. */
export async function bend(page: Page, joints_deg: number[]): Promise<void> {
  await askFrame(page, "joint");
  await ask(page, { type: "speed", mm_s: 250, deg_s: 90 });
  await heard(page); // a cell that was asked for before is there
  const { arm, cell, tool } = await page.evaluate(() => (window as any).handrule.setup);
  await ask(page, { type: "scene", arm, cell, tool, joints_deg });
  await page.waitForFunction((joints) => (window as any).handrule.state.joints_deg.every((deg: number, i: number) => Math.abs(deg - joints[i]!) < 1e-6), joints_deg);
}

export const sub = (a: V3, b: V3): V3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const dot = (a: V3, b: V3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: V3, b: V3): V3 => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
export const unit = (a: V3): V3 => a.map((x) => x / Math.hypot(...a)) as V3;
/** A vector turned by a quaternion x, y, z, w. */
export function turned(v: V3, [x, y, z, w]: number[]): V3 {
  const q: V3 = [x!, y!, z!];
  const t = cross(q, v).map((c) => 2 * c) as V3;
  const u = cross(q, t);
  return v.map((c, i) => c + w! * t[i]! + u[i]!) as V3;
}

export interface LabelBox {
  text: string;
  x: number;
  y: number;
  w: number;
  h: number;
}

/** What the shown labels of the picture cover, px from its top left corner: their middle and size. */
export function labelBoxes(page: Page): Promise<{ boxes: LabelBox[]; tcp: { x: number; y: number }; free: Record<"left" | "right" | "top" | "bottom", number> }> {
  return page.evaluate(() => {
    const { view } = (window as any).handrule;
    const { camera } = view.orbitCamera;
    const host = document.getElementById("view")!;
    const perPx = (2 * Math.tan((camera.fov * Math.PI) / 360)) / host.clientHeight;
    const at = (object: any) => {
      const p = object.getWorldPosition(object.position.clone()).project(camera);
      return { x: ((p.x + 1) / 2) * host.clientWidth, y: ((1 - p.y) / 2) * host.clientHeight };
    };
    const shown = (o: any): boolean => !o || (o.visible && shown(o.parent));
    const boxes = view.labels().filter((l: any) => l.text !== "" && !l.crowded && shown(l.object)).map((l: any) => {
      const { x, y } = at(l.object);
      const [w, h] = [l.object.scale.x / perPx, l.object.scale.y / perPx];
      return { text: l.text, x: x + (0.5 - l.object.center.x + l.off.x) * w, y: y - (0.5 - l.object.center.y + l.off.y) * h, w, h };
    });
    return { boxes, tcp: at(view.tcp.object), free: view.free };
  });
}

export interface Place {
  x: number;
  y: number;
}

/** Where on the page a point of the world is seen, px. */
export function seen(page: Page, point: V3): Promise<Place> {
  return page.evaluate((point) => {
    const { camera } = (window as any).handrule.view.orbitCamera;
    const box = document.getElementById("view")!.getBoundingClientRect();
    const at = camera.position.clone().set(...point).project(camera);
    return { x: box.left + ((at.x + 1) / 2) * box.width, y: box.top + ((1 - at.y) / 2) * box.height };
  }, point);
}

/** The middle of the ball, in the world, once it is asked for and the picture is still. */
export async function ballAt(page: Page): Promise<V3> {
  await page.waitForFunction(() => (({ object, glass }) => object.visible && glass.visible)((window as any).handrule.view.prediction));
  await settled(page);
  return page.evaluate(() => {
    const { object } = (window as any).handrule.view.prediction;
    return object.getWorldPosition(object.position.clone()).toArray();
  });
}

/** Where the middle of the ball is on the page. */
export const ballMiddle = async (page: Page): Promise<Place> => seen(page, await ballAt(page));

/** Where an end of the base frame's axes is on the ball in the picture, px, and how far it comes towards the viewer, 1 to −1. */
export async function axisEnd(page: Page, end: V3): Promise<Place & { toward: number }> {
  await ballAt(page);
  const [toward, point] = await page.evaluate((end) => {
    const { prediction } = (window as any).handrule.view;
    const way = prediction.object.position.clone().set(...end);
    return [prediction.towardViewer(way), prediction.ball.localToWorld(way.clone()).toArray()] as const;
  }, end);
  return { toward, ...(await seen(page, point)) };
}

/**
 * Where on the page a point of a handle is drawn: along an axis at that part of its length, or on a ring at that angle
 * from the point that is seen highest. It is worked out from the drawn frame and the camera.
 */
export async function handle(page: Page, axis: number, at: number): Promise<Place> {
  const point = await page.evaluate(
    ([axis, at]) => {
      const { handles, orbitCamera } = (window as any).handrule.view;
      const { shape } = [...handles.all()].find((h: any) => h.direction.axis === axis);
      const sight = { camera: orbitCamera.camera, width: 1, height: 1 };
      const p = shape.top(sight).clone();
      if (shape.kind === "line") p.sub(shape.at).multiplyScalar(at!).add(shape.at);
      else p.sub(shape.at).applyAxisAngle(shape.axis, (at! * Math.PI) / 180).add(shape.at);
      return p.toArray();
    },
    [axis, at],
  );
  return seen(page, point);
}
