// Every stage of every shipped lesson in every state: what the learner needs is in sight without scrolling, nothing that is read scrolls,
// nothing lies over anything else, and axe finds nothing.
import { expect, type Page } from "@playwright/test";
import { axe, wcag } from "./axe";
import { open, test } from "./bench";
import { faultsHere } from "./layout";

/** States of a task: as it opens, after a wrong answer, with every hint, given up, and done. */
const states = ["fresh", "wrong", "hints", "given up", "done"] as const;
const walls = [[1920, 1080], [1280, 720], [1024, 768]] as const; // what a projector shows
const languages = ["en", "es"] as const;

/** At a desk, on a phone and on a tablet. */
const windows = [[1366, 768], [390, 844], [1280, 720], [1920, 1080], [768, 1024]] as const;
const schemes = ["light", "dark"] as const;

/**
 * What a walk looks at: all states; each stage in one of them, another at each turn; or half of them. All of every combination with
 * THOROUGH=1. Else every two of stage, state, window, language and scheme meet: each language has five turns, one a window, in light and in
 * dark by turns, and the other language has the other scheme. On a projector a third of the lessons, so that each is seen in both languages,
 * and in two of the three sizes.
 */
type Looks = "all" | { turn: number } | { half: number };
const thorough = !!process.env["THOROUGH"];
/** All lessons, in pieces of some minutes each; else the lessons that are one window's share. */
const pieces = (share: number, shares: number): { name: string; share: [share: number, shares: number] }[] =>
  thorough ? Array.from({ length: 6 }, (_, i) => ({ name: `, piece ${i + 1} of 6`, share: [i, 6] })) : [{ name: "", share: [share, shares] }];

/**
 * Goes through the stages in the page itself, as fast as the bench answers, without drawing the arm, and returns what is not in
 * sight. The answers are given over the page's own socket; what the page shows of them is looked at after each.
 */
async function walk(page: Page, [share, shares]: [share: number, shares: number], looks: Looks): Promise<{ stages: number; looked: number; found: string[] }> {
  await page.evaluate(`window.faultsHere = ${faultsHere}`);
  expect(await axe(page)).toEqual([]); // and is in the page now
  return page.evaluate(
    async ([states, share, shares, looks, wcag]) => {
      const all = looks === "all";
      const turn = typeof looks === "object" && "turn" in looks ? looks.turn : null;
      const socket: WebSocket = (window as any).benchSocket;
      (window as any).handrule.view.lost = true; // nothing is drawn
      let lesson: any = null;
      socket.addEventListener("message", ({ data }) => {
        if (typeof data !== "string") return;
        const message = JSON.parse(data);
        if (message.type === "lesson") lesson = message;
      });
      const found: string[] = [];
      let next = 0;
      /**
       * Asks the bench for something, and waits until it has told all that comes of it. The server leaves out what is more than 100
       * messages a second.
       */
      const tell = async (request: object): Promise<void> => {
        const early = next - performance.now();
        if (early > 0) await new Promise((due) => setTimeout(due, early));
        next = performance.now() + 30;
        await new Promise<void>((done) => {
          const hear = ({ data }: MessageEvent): void => {
            if (typeof data !== "string" || JSON.parse(data).type !== "piece") return;
            socket.removeEventListener("message", hear);
            done();
          };
          socket.addEventListener("message", hear);
          socket.send(JSON.stringify(request));
          socket.send(JSON.stringify({ type: "piece", of: "pose", from_mm: [0, 0, 0], at_mm: [0, 0, 0] }));
        });
      };
      const openLesson = async (id: string): Promise<void> => {
        await tell({ type: "lesson", id: "", progress: "", seed: null });
        await tell({ type: "lesson", id, progress: "", seed: 1, stage: 0 });
        if (lesson.assessment?.state === "waits") {
          if (!document.getElementById("assessment-begin")!.checkVisibility()) found.push(`${id}: there is no way to begin`);
          await tell({ type: "stage", do: "begin", stage: 0 });
        }
      };
      const nothing = { type: "answer", arrow: null, direction: "", joints: [], stop: "", number: null, options: [] };
      const stops = ["nothing", "contact"];
      /** The right answer, from how it is told. */
      const rightOne = (task: any): object => {
        if (task.predict?.ask === "direction") return { ...nothing, direction: /[xyz] [+-]$/.exec(task.right)![0] };
        if (task.predict?.ask === "joints") return { ...nothing, joints: task.right === "none" ? [] : task.right.split(", ").map((j: string) => Number(j[1]) - 1) };
        if (task.predict) return { ...nothing, stop: task.right };
        if (task.read) return { ...nothing, number: Number.parseFloat(task.right.replace("−", "-")) };
        return { ...nothing, options: task.choose.options.flatMap((text: string, i: number) => (`; ${task.right}; `.includes(`; ${text}; `) ? [i] : [])) };
      };
      /** One that is not the right one. */
      const wrongOne = (task: any, right: any, n: number): object => {
        if (task.predict?.ask === "direction") return { ...nothing, direction: task.predict.options.filter((o: string) => o !== right.direction)[n % 5] };
        if (task.predict?.ask === "joints") return { ...nothing, joints: n === 0 ? [] : right.joints.length === 6 ? [0] : [0, 1, 2, 3, 4, 5] };
        if (task.predict) return { ...nothing, stop: [...stops, "limit J2"].filter((s) => s !== right.stop)[n % 2] };
        if (task.read) return { ...nothing, number: [-4711, right.number + 1000][n % 2] };
        const others = task.choose.options.map((_: string, i: number) => i).filter((i: number) => right.options.length !== 1 || i !== right.options[0]);
        return { ...nothing, options: [others[n % others.length]] };
      };
      /** A driven try is lost by a jog and by beginning anew. */
      const loseTry = async (): Promise<void> => {
        const frame = lesson.allow.frames[0] ?? lesson.task.reach.frames[0] ?? "joint";
        await tell({ type: "speed", mm_s: 250, deg_s: 90 });
        await tell({ type: "increment", mm: 1, deg: 1 });
        const { tick } = (window as any).handrule.state;
        await tell({ type: "step", direction: { frame, task: frame === "task" ? document.querySelector<HTMLSelectElement>("#task")!.value : "", axis: frame === "joint" ? 3 : 0, sign: 1 } });
        while (!(({ tick: now, moving }) => now > tick && !moving)((window as any).handrule.state)) await new Promise((r) => requestAnimationFrame(r));
        await tell({ type: "stage", do: "again", stage: 0 });
      };
      const goTo = (stage: number): Promise<void> => tell({ type: "stage", do: "go", stage });
      /** The answers of the stages of a lesson, kept from one walk to the next. */
      const rights: Map<string, Map<number, any>> = ((window as any).rights ??= new Map());
      let right = new Map<number, any>();
      const guess = { direction: "", joints: [9], stop: "", options: [], number: 0 };
      /** Gives the task of a stage up after a try, and keeps its answer; false where there is none to give up. */
      const giveUp = async (stage: number, driven: boolean): Promise<boolean> => {
        await goTo(stage);
        const { task } = lesson;
        if (!task || task.free || (task.reach && !driven) || lesson.assessment) return false; // An assessment does not tell its answers.
        if (task.reach) await loseTry();
        else await tell(wrongOne(task, guess, 0));
        const known = lesson.task.state === "done";
        if (!known) await tell({ type: "stage", do: "give-up", stage: 0 });
        if (!task.reach) right.set(stage, rightOne(lesson.task));
        return !known;
      };
      /** Brings a stage from one state into the next; false where it has none. */
      const bring = async (stage: number, state: string): Promise<boolean> => {
        if (state === "fresh") await goTo(stage);
        const { task } = lesson;
        if (state === "fresh") return true;
        if (!task || task.free || (lesson.assessment && state !== "wrong")) return false;
        if (task.reach && state === "done") return false; // which takes driving
        if (task.reach) await loseTry();
        else if (state === "done") await tell(right.get(stage));
        else for (let n = state === "wrong" ? 0 : 1; n < (state === "wrong" ? 1 : 4); n++) await tell(wrongOne(task, right.get(stage) ?? guess, n));
        return true;
      };
      const projected = document.documentElement.classList.contains("projected");
      const parts = [
        "#lesson-stage", ...(projected ? [] : ["#task-explain", "#lesson-text"]), "#task-question legend, #task-question .ask-title, #task-question .lesson-target, #task-question .ask-line", "#task-question .ask-choice", "#task-question input[type=text], #task-question select",
        "#task-question .notices-list > li", "#task-verdict", "#task-hint", "#task-moved", "#task-answer", "#task-again", "#task-show", "#task-give-up", "#lesson-back", "#lesson-next",
      ];
      /** What is outside the window, scrolled away, or under something else. */
      const hidden = (): string[] => {
        const found: string[] = [];
        for (const part of parts) {
          for (const e of document.querySelectorAll<HTMLElement>(part)) {
            if (!e.checkVisibility({ visibilityProperty: true }) || (e.textContent === "" && e.tagName === "P")) continue;
            const box = e.getBoundingClientRect();
            const name = `${part.split(",")[0]} "${e.textContent!.slice(0, 24)}"`;
            let [top, bottom, left, right] = [0, innerHeight, 0, innerWidth];
            for (let p = e.parentElement; p && p !== document.body; p = p.parentElement) {
              if (["visible", "clip"].includes(getComputedStyle(p).overflowY)) continue;
              const around = p.getBoundingClientRect();
              [top, bottom, left, right] = [Math.max(top, around.top), Math.min(bottom, around.bottom), Math.max(left, around.left), Math.min(right, around.right)];
            }
            if (box.top < top - 1 || box.bottom > bottom + 1 || box.left < left - 1 || box.right > right + 1) {
              found.push(`${name} is cut off: ${Math.round(box.top - top)} px below the upper edge, ${Math.round(bottom - box.bottom)} above the lower`);
              continue;
            }
            for (const y of [box.top + 3, (box.top + box.bottom) / 2, box.bottom - 3]) {
              const hit = document.elementFromPoint((box.left + box.right) / 2, y);
              if (!hit || e.contains(hit) || hit.contains(e)) continue;
              found.push(`${name} is under ${hit.id || hit.className}`);
              break;
            }
          }
        }
        return found;
      };
      /** What has a part that is seen by scrolling it only, of all that holds a text, a task, what came of it or a button. On a projector a long reason scrolls: it is read out. */
      const scrolls = (): string[] =>
        [...document.querySelectorAll<HTMLElement>("#lesson-place, #lesson-place *, main > .task-hints")].flatMap((e) =>
          ["auto", "scroll", "hidden"].includes(getComputedStyle(e).overflowY) && e.scrollHeight > e.clientHeight + 1 && !e.matches(projected ? ".unseen, h2, .lesson-read" : ".unseen, h2") && e.checkVisibility({ visibilityProperty: true }) ? [`${e.id || e.className} scrolls: ${e.scrollHeight - e.clientHeight} px are not seen`] : [],
        );
      /** What the page says that does not go together. */
      const contradictions = (): string[] => {
        const { task } = lesson;
        const found: string[] = [];
        const text = document.getElementById("lesson-task")!.innerText;
        if (task?.tries > 0 && /no answer yet|no hay respuesta/i.test(text)) found.push("there is an answer, and it says there is none");
        const over = task && (task.state === "done" || task.state === "given up");
        if (over && document.getElementById("task-hints")!.checkVisibility() && task.state === "done") found.push("a hint to what is done");
        if (task && !lesson.assessment && task.tries > 0 && !task.free && task.kind !== "reach" && document.getElementById("task-verdict")!.innerText.length < 20) found.push(`the answer is not explained: "${document.getElementById("task-verdict")!.innerText}"`);
        return found;
      };
      const lessons = [...document.querySelectorAll<HTMLOptionElement>("#lesson-choice option")].map((o) => o.value).filter(Boolean);
      let [stages, looked] = [0, 0];
      const view = document.getElementById("view")!;
      for (const [nth, id] of lessons.entries()) {
        if (nth % shares !== share) continue;
        await openLesson(id);
        const count = lesson.stages.length;
        const heights = new Map<number, number>(); // of the picture on a projector, by stage
        /** On a projector the picture is as high in every state, and has three fifths of the window; a class would see it jump. */
        const measure = (stage: number, state: (typeof states)[number]): void => {
          if (!projected) return;
          const height = view.clientHeight;
          const before = heights.get(stage) ?? height;
          heights.set(stage, height);
          if (height !== before) found.push(`${id} ${stage + 1}, ${state}: the picture is ${height} px high, and was ${before}`);
          if (height < 0.6 * innerHeight) found.push(`${id} ${stage + 1}, ${state}: the picture has ${Math.round((100 * height) / innerHeight)} % of the window's height`);
        };
        const look = async (stage: number, state: (typeof states)[number]): Promise<void> => {
          if (typeof looks === "object" && "half" in looks && (stages + stage + states.indexOf(state)) % 2 !== looks.half) return;
          looked++;
          await new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn))); // a lesson that opens is brought into sight with a frame
          const faults = [...hidden(), ...scrolls(), ...contradictions()];
          if (!projected) faults.push(...(window as any).faultsHere("body"));
          if (!projected && (turn === null || (stages + stage + turn) % 5 === 0)) for (const { id, nodes } of (await (window as any).axe.run(document, { runOnly: wcag, resultTypes: ["violations"] })).violations) faults.push(`axe: ${id}: ${nodes.map((n: any) => n.html.slice(0, 200)).join(" ")}`);
          for (const fault of faults) found.push(`${id} ${stage + 1}, ${state}: ${fault}`);
        };
        const known = rights.get(id);
        right = known ?? new Map<number, any>();
        rights.set(id, right);
        if (turn === null || !known) {
          for (let stage = 0; stage < count; stage++) {
            if (!(await giveUp(stage, all)) || turn !== null) continue;
            await look(stage, "given up");
            measure(stage, "given up");
          }
          await openLesson(id); // nothing is given up
        }
        for (let stage = 0; stage < count; stage++) {
          if (turn !== null) {
            const state = states[(stages + stage + turn) % states.length]!;
            if (state === "given up") await giveUp(stage, true);
            else if (state !== "fresh") await goTo(stage);
            if (state !== "given up") await bring(stage, state);
            await look(stage, state); // as it opens where it has no such state
            continue;
          }
          for (const state of ["fresh", "wrong", "hints", "done"] as const) {
            if (!(await bring(stage, state))) continue;
            await look(stage, state);
            measure(stage, state);
          }
        }
        stages += count;
      }
      return { stages, looked, found };
    },
    [states, share, shares, looks, wcag] as const,
  );
}

for (const [w, [width, height]] of walls.entries()) {
  for (const [l, language] of languages.entries()) {
    for (const { name, share } of pieces((w + l) % 3, 3)) {
      test(`in the projector view too, ${width}×${height}, ${language}${name}`, async ({ page }) => {
        await page.addInitScript(() => void (Element.prototype.requestFullscreen = () => Promise.reject(new Error("refused"))));
        await page.setViewportSize({ width, height });
        await open(page, `/?lang=${language}`);
        await page.keyboard.press("p");
        await expect(page.locator("html")).toHaveClass(/projected/);
        const { stages, looked, found } = await walk(page, share, thorough ? "all" : { half: l });
        expect(stages).toBeGreaterThan(thorough ? 10 : 20);
        expect(looked).toBeGreaterThan(stages);
        expect(found).toEqual([]);
      });
    }
  }
}

const inSight = "the task, what came of it and the way on are in sight";

async function inWindow(page: Page, [width, height]: readonly [number, number], colorScheme: (typeof schemes)[number]): Promise<void> {
  await page.setViewportSize({ width, height });
  await page.emulateMedia({ colorScheme });
  await expect(page.locator("html")).toHaveAttribute("data-theme", colorScheme);
}

for (const [l, language] of languages.entries()) {
  if (!thorough) {
    test(`${inSight}, ${language}`, async ({ page }) => {
      await open(page, `/?lang=${language}`);
      for (const [turn, window] of windows.entries()) {
        const scheme = schemes[(turn + l) % 2]!;
        await inWindow(page, window, scheme);
        const { stages, looked, found } = await walk(page, [0, 1], { turn });
        expect(stages).toBeGreaterThan(100);
        expect(looked).toBe(stages);
        expect(found, `${window.join("×")}, ${scheme}`).toEqual([]);
      }
    });
    continue;
  }
  for (const window of windows) {
    for (const scheme of schemes) {
      for (const { name, share } of pieces(0, 1)) {
        test(`${inSight}, ${window.join("×")}, ${language}, ${scheme}${name}`, async ({ page }) => {
          await open(page, `/?lang=${language}`);
          await inWindow(page, window, scheme);
          const { stages, looked, found } = await walk(page, share, "all");
          expect(stages).toBeGreaterThan(10);
          expect(looked).toBeGreaterThan(stages);
          expect(found).toEqual([]);
        });
      }
    }
  }
}
