// What is wrong with how the page is laid out.
import type { Page } from "@playwright/test";

/** Pairs of controls that lie over each other, and texts that do not fit where they stand, in the page or a part of it, as a dialog. */
export const faults = (page: Page, part = "body"): Promise<string[]> => page.evaluate(faultsHere, part);

/** The same, in the page itself. */
export function faultsHere(part: string): string[] {
  const root = document.querySelector(part)!;
  const name = (e: Element) => e.id || e.textContent!.trim().slice(0, 30) || e.className.toString();
  const seen = (e: Element) => e.checkVisibility() && !e.closest(".unseen, .ahead:not(:focus)");
  const found: string[] = [];
  const controls = [...root.querySelectorAll("button, select, .option > span, summary, .safety, .next")].filter(seen);
  /** Of what folds the words are what is looked at: a lesson's title has buttons beside it. */
  const box = (e: Element): DOMRect => {
    if (e.tagName !== "SUMMARY") return e.getBoundingClientRect();
    const words = document.createRange();
    words.selectNodeContents(e);
    return words.getBoundingClientRect();
  };
  const boxes = controls.map(box);
  controls.forEach((a, i) => {
    // What scrolls away under the picture on a phone, or under the news at the foot of a column or the drawers at the foot of a phone and the link at that of its picture, lies over nothing.
    const sticky = (e: Element) => (e.closest(".news") ? "news" : e.closest(".column") ? "column" : (e.closest(".drawers") || (e.id === "share" && getComputedStyle(e).position === "fixed")) && innerWidth <= 768 ? "foot" : "");
    for (let j = i + 1; j < controls.length; j++) {
      const [p, q, b] = [boxes[i]!, boxes[j]!, controls[j]!];
      if (a.contains(b) || b.contains(a) || sticky(a) !== sticky(b)) continue;
      // Joined buttons share an edge of 2 px.
      if (p.left < q.right - 2.5 && q.left < p.right - 2.5 && p.top < q.bottom - 2.5 && q.top < p.bottom - 2.5) found.push(`${name(a)} over ${name(b)}`);
    }
    if (boxes[i]!.left < -0.5 || boxes[i]!.right > innerWidth + 0.5) found.push(`${name(a)} is outside`);
  });
  const texts = "button, .option > span, .pair-text, .pair-at, .jog .room-line, .reading td, .reading th, .joint-angle, .delta, .joint-speed, .safety, .panel h2, .next, .stop-numbers, .stop-advice";
  for (const e of [...root.querySelectorAll<HTMLElement>(texts)].filter(seen)) {
    if (e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== "inline") found.push(`${name(e)} is cut off`);
  }
  for (const panel of [...root.querySelectorAll<HTMLElement>(".panel-body")].filter(seen)) {
    const edge = panel.getBoundingClientRect().right - parseFloat(getComputedStyle(panel).paddingRight);
    for (const e of [...panel.children].filter(seen)) if (e.getBoundingClientRect().right + Math.min(0, parseFloat(getComputedStyle(e).marginRight)) > edge + 1) found.push(`${name(e)} is wider than its panel`);
  }
  if (document.documentElement.scrollWidth > innerWidth) found.push("the page scrolls sideways");
  return found;
}
