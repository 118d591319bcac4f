import { tab } from "../basics/remember";
import type { View } from "../view/view";

/** What scrolls, besides the page itself. */
const scrollers = [".column-left", ".column-right", ".columns", "#lesson-read"];

/** The page is about to be loaded again: keeps where one looks from, how far things are scrolled, what has the focus and whether keys are used. */
export function leave(view: View): void {
  const scrolled = scrollers.map((selector) => document.querySelector(selector)?.scrollTop ?? 0);
  tab.left = JSON.stringify({ camera: view.kept, page: window.scrollY, scrolled, focus: document.activeElement?.id ?? "", keys: "keys" in document.documentElement.dataset });
}

/** Whether keys were used when the page was left. */
export const leftByKeys = (): boolean => tab.left !== "" && JSON.parse(tab.left).keys;

/** Comes back to what the page was left at, once; without effect where it was not left so. */
export function comeBack(view: View): void {
  const left = tab.left;
  if (left === "") return;
  tab.left = "";
  const { camera, page, scrolled, focus } = JSON.parse(left);
  view.comeBack(camera);
  if (focus !== "") document.getElementById(focus)?.focus({ preventScroll: true });
  scrollers.forEach((selector, i) => document.querySelector(selector)?.scrollTo(0, scrolled[i]));
  window.scrollTo(0, page);
}
