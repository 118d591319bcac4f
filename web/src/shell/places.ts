import { byId } from "../basics/dom";

/**
 * The way to the parts of the page on a phone, where they lie below one another. A folded panel is opened. The part in
 * sight is marked.
 */
export function watchPlaces(): void {
  const buttons = [...byId("places").querySelectorAll("button")];
  const partOf = (button: HTMLElement): HTMLElement => byId(button.dataset["place"]!);
  let gone: { to: HTMLElement; at: number } | null = null; // where a press has led, until the learner scrolls on

  const mark = (): void => {
    scheduled = 0;
    if (!onPhone()) return;
    if (gone && Math.abs(window.scrollY - gone.at) > 2) gone = null;
    const top = byId("view").getBoundingClientRect().bottom;
    const bottom = byId("places").getBoundingClientRect().top;
    const shown = (part: HTMLElement): number => {
      const box = part.getBoundingClientRect();
      return Math.min(box.bottom, bottom) - Math.max(box.top, top);
    };
    const here = gone?.to ?? buttons.reduce((best, button) => (shown(partOf(button)) > shown(partOf(best)) ? button : best));
    for (const button of buttons) {
      if (button === here) button.setAttribute("aria-current", "location");
      else button.removeAttribute("aria-current");
    }
  };
  let scheduled = 0;
  const soon = (): void => void (scheduled ||= requestAnimationFrame(mark));

  for (const button of buttons) {
    button.addEventListener("click", () => {
      const part = partOf(button);
      if (part instanceof HTMLDetailsElement) part.open = true;
      bring(part);
      gone = { to: button, at: window.scrollY };
      soon();
    });
  }
  window.addEventListener("scroll", soon, { passive: true });
  const observer = new ResizeObserver(soon);
  observer.observe(document.body);
  for (const button of buttons) observer.observe(partOf(button));
}

/** Brings a part of the page into sight: on a phone right below the picture, elsewhere as little as needed. */
export function bring(part: HTMLElement): void {
  if (!onPhone()) part.scrollIntoView({ block: "nearest" });
  else if (part.id === "strip") window.scrollTo(0, 0); // it stands there, at the head of the page
  else part.scrollIntoView({ block: "start" });
}

/**
 * Scrolls as little as needed to have news in sight, at once, so that whoever prefers reduced motion sees none. What is
 * returned scrolls its column back, unless somebody has scrolled it since.
 */
export function reveal(news: HTMLElement): () => void {
  const column = news.closest(".column")!;
  const before = column.scrollTop;
  news.scrollIntoView({ block: "nearest", behavior: "instant" });
  const there = column.scrollTop;
  return () => {
    if (column.scrollTop === there) column.scrollTop = before;
  };
}

/** As the style sheets have it. */
export const onPhone = (): boolean => window.matchMedia("(max-width: 48rem)").matches;
