// What is wrong with what hangs on the wall in the projector view, by geometry.
import type { Page } from "@playwright/test";
import { labelBoxes } from "./bench";

/**
 * Panels and controls over each other or outside; texts that are cut off or covered; the arm smaller than it could be, or under a panel;
 * labels over each other, over the TCP, over a panel, outside, or larger than they need be; type that the back row does not read.
 * lowest is how high the arm is at the least, a part of the picture.
 */
export async function faults(page: Page, lowest = 0.6): Promise<string[]> {
  const labels = await labelBoxes(page);
  return page.evaluate(({ labels: { boxes, tcp, free }, lowest }) => {
    const found: string[] = [];
    const say = (e: Element): string => `${e.id || e.className.toString() || e.tagName} "${e.textContent!.trim().replace(/\s+/g, " ").slice(0, 30)}"`;
    const shows = (e: Element): boolean => e.checkVisibility({ visibilityProperty: true, opacityProperty: true }) && !e.closest(".unseen, .ahead:not(:focus)");
    interface Rect { left: number; right: number; top: number; bottom: number }
    const over = (p: Rect, q: Rect, by = 1): boolean => p.left < q.right - by && q.left < p.right - by && p.top < q.bottom - by && q.top < p.bottom - by;
    const host = document.getElementById("view")!.getBoundingClientRect();

    const ids = ["#joints", "#where", "#stops", "#strip", "#plot", "#lesson", "#class-question", "#projector-leave", "#hand-says"];
    const panels = ids.map((id) => ({ id, e: document.querySelector(id) })).filter(({ e }) => e && shows(e) && e.getBoundingClientRect().width > 1 && e.textContent!.trim() !== "").map(({ id, e }) => ({ id, box: e!.getBoundingClientRect() }));
    for (const { id, box } of panels) {
      if (box.left < -1 || box.top < -1 || box.right > innerWidth + 1 || box.bottom > innerHeight + 1) found.push(`${id} is outside: ${[box.left, box.top, box.right, box.bottom].map(Math.round)}`);
      for (const other of panels) if (id < other.id && over(box, other.box)) found.push(`${id} over ${other.id}`);
    }

    const controls = [...document.querySelectorAll("button, select, .option > span, .ask-choice")].filter(shows);
    const places = controls.map((e) => e.getBoundingClientRect());
    controls.forEach((a, i) => {
      for (let j = i + 1; j < controls.length; j++) {
        const [p, q] = [places[i]!, places[j]!];
        if (p.width < 1 || q.width < 1 || a.contains(controls[j]!) || controls[j]!.contains(a)) continue;
        if (over(p, q, 3)) found.push(`${say(a)} over ${say(controls[j]!)}`);
      }
    });

    // Every line of every text: within the page, within all that would cut it off, and under nothing. What is read besides a question may scroll.
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const least = innerHeight * 0.0415 * Math.min(1, (innerWidth * 9) / 16 / innerHeight);
    while (walker.nextNode()) {
      const node = walker.currentNode;
      const parent = node.parentElement!;
      if (!node.textContent!.trim() || parent.closest("script, style, noscript, option, .unseen, .lesson-read, [aria-hidden=true].pointer") || !shows(parent)) continue;
      const px = parseFloat(getComputedStyle(parent).fontSize);
      if (px < least) found.push(`${say(parent)} is small: ${px.toFixed(1)} px`);
      const range = document.createRange();
      range.selectNodeContents(node);
      for (const line of range.getClientRects()) {
        if (line.width < 1) continue;
        if (line.left < -1 || line.right > innerWidth + 1 || line.top < -1 || line.bottom > innerHeight + 3) found.push(`${say(parent)} leaves the page`);
        for (let e: Element | null = parent; e && e !== document.body; e = e.parentElement) {
          const style = getComputedStyle(e);
          if (style.overflowX === "visible" && style.overflowY === "visible") continue;
          const box = e.getBoundingClientRect();
          const slack = 0.25 * px; // a line's box is higher than its letters
          if (line.left < box.left - 1 || line.right > box.right + 1 || line.top < box.top - slack || line.bottom > box.bottom + slack) found.push(`${say(parent)} is cut off by ${say(e)}`);
        }
        const at = document.elementFromPoint((line.left + line.right) / 2, (line.top + line.bottom) / 2);
        const clicked = parent.closest("label, button");
        if (at && !at.contains(parent) && !parent.contains(at) && !clicked?.contains(at) && getComputedStyle(parent).pointerEvents !== "none") found.push(`${say(parent)} is under ${say(at)}`);
      }
    }
    for (const e of document.querySelectorAll<HTMLElement>(".reading td, .joint-angle")) {
      const panel = e.closest("#joints, #where")?.getBoundingClientRect();
      if (panel && shows(e) && e.getBoundingClientRect().right > panel.right + 1) found.push(`${say(e)} is wider than its panel`);
    }

    // The arm, by the points all over it.
    const { view } = (window as any).handrule;
    // With the axes at the TCP of what is jogged, which are to be seen as well.
    const ofAxes = (): number[] => (view.activeAxes.object.visible ? view.activeAxes.tips.map((p: any) => host.top + ((1 - p.clone().project(view.orbitCamera.camera).y) / 2) * host.height) : []);
    const points = view.arm.outline().map((p: any) => p.project(view.orbitCamera.camera)).map((p: any) => ({ x: host.left + ((p.x + 1) / 2) * host.width, y: host.top + ((1 - p.y) / 2) * host.height }));
    const ys = [...points.map((p: any) => p.y), ...ofAxes()];
    const part = (Math.max(...ys) - Math.min(...ys)) / innerHeight;
    if (part < lowest - (ofAxes().length > 0 ? 0.02 : 0)) found.push(`the arm is ${(part * 100).toFixed(1)} % as high as the picture`);
    for (const { id, box } of panels) {
      const under = points.filter((p: any) => p.x > box.left + 2 && p.x < box.right - 2 && p.y > box.top + 2 && p.y < box.bottom - 2).length;
      if (under > 0 && id !== "#projector-leave" && id !== "#hand-says") found.push(`${under} of ${points.length} points of the arm are under ${id}`);
    }
    const outside = points.filter((p: any) => p.x < host.left - 2 || p.x > host.right + 2 || p.y < host.top - 2 || p.y > host.bottom + 2).length;
    if (outside > 0) found.push(`${outside} of ${points.length} points of the arm are outside the picture`);

    // Labels.
    const box = ({ x, y, w, h }: { x: number; y: number; w: number; h: number }): Rect => ({ left: host.left + x - w / 2, right: host.left + x + w / 2, top: host.top + y - h / 2, bottom: host.top + y + h / 2 });
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
    boxes.forEach((b, i) => {
      const own = box(b);
      if (Math.abs(b.x - tcp.x) < b.w / 2 && Math.abs(b.y - tcp.y) < b.h / 2) found.push(`${b.text} is over the TCP`);
      for (const other of boxes.slice(i + 1)) if (over(own, box(other), 2)) found.push(`${b.text} over ${other.text}`);
      if (b.x < free.left || b.x > free.right || b.y < free.top || b.y > free.bottom) return; // of what is not in sight
      if (/^J\d$/.test(b.text)) {
        if (b.h > 1.5 * rem * 1.02) found.push(`${b.text} is larger than it need be: ${(b.h / 1.5).toFixed(1)} px`);
        for (const panel of panels) if (over(own, panel.box, 2)) found.push(`${b.text} is over ${panel.id}`);
        if (own.left < host.left - 1 || own.right > host.right + 1 || own.top < host.top - 1 || own.bottom > host.bottom + 1) found.push(`${b.text} is cut off`);
      }
    });
    return found;
  }, { labels, lowest });
}

/** How high the arm is with the axes at its TCP, a part of the window's height, and how many of the points all over it are outside the part of the picture that is free. */
export function armInPicture(page: Page): Promise<{ part: number; out: number; axes: boolean }> {
  return page.evaluate(() => {
    const { view } = (window as any).handrule;
    const { clientWidth: width, clientHeight: height } = document.getElementById("view")!;
    const { left, right, top, bottom } = view.free;
    const axes = view.activeAxes.object.visible ? view.activeAxes.tips.map((p: any) => ((1 - p.clone().project(view.orbitCamera.camera).y) / 2) * height) : [];
    const points = view.arm.outline().map((p: any) => p.project(view.orbitCamera.camera)).map((p: any) => ({ x: ((p.x + 1) / 2) * width, y: ((1 - p.y) / 2) * height }));
    const ys = [...points.map((p: any) => p.y), ...axes];
    const out = points.filter((p: any) => p.x < left - 2 || p.x > right + 2 || p.y < top - 2 || p.y > bottom + 2).length;
    return { part: (Math.max(...ys) - Math.min(...ys)) / innerHeight, out, axes: axes.length > 0 };
  });
}
