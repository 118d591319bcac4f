import { byId, tell, write } from "../basics/dom";
import { placeName } from "../basics/words";
import media from "../basics/media.json";

/** On a phone, where the open lesson lies below the jog buttons, one button leads from either to the other; without a lesson, from a drawer that is out to the jog buttons. */
export function watchPlaces(): void {
  const button = byId<HTMLButtonElement>("to-and-fro");
  const strip = byId("strip");
  const atStrip = (): boolean => strip.getBoundingClientRect().bottom > underPicture() + 40;
  let scheduled = 0;
  const mark = (): void => {
    scheduled = 0;
    if (!onPhone()) return;
    const to = atStrip() ? "lesson" : "strip";
    tell(button, "data-to", to);
    button.classList.toggle("away", to === "strip" && "drawer" in document.body.dataset);
    write(button, placeName(to));
  };
  const soon = (): void => void (scheduled ||= requestAnimationFrame(mark));
  button.addEventListener("click", () => {
    const lesson = byId<HTMLDetailsElement>("lesson");
    lesson.open = true;
    const steps = byId("lesson-steps"); // from there on, "Next" is in sight; an assessment that waits has none
    bring(!atStrip() ? strip : steps.checkVisibility() ? steps : lesson);
    soon();
  });
  window.addEventListener("scroll", soon, { passive: true });
  new ResizeObserver(soon).observe(document.body);
  new MutationObserver(soon).observe(document.body, { attributeFilter: ["data-drawer"] });
}

/** Brings a part of the page into sight: on a phone right below the picture, elsewhere as little as needed. */
export function bring(part: HTMLElement): void {
  if (!onPhone()) part.scrollIntoView({ block: "nearest" });
  else if (part.id === "strip") window.scrollTo(0, 0); // it stands there, at the head of the page
  else part.scrollIntoView({ block: "start" });
}

/** Brings a part of the page into sight as soon as the page is laid out, and again when it is laid out anew, until somebody acts. */
export function keepInSight(part: () => HTMLElement): void {
  const acts = ["pointerdown", "keydown", "wheel", "touchstart"] as const;
  const watch = new ResizeObserver(() => bring(part()));
  const end = (): void => {
    watch.disconnect();
    for (const act of acts) window.removeEventListener(act, end);
  };
  requestAnimationFrame(() => {
    bring(part());
    if (!onPhone()) return;
    for (const above of [document.body, byId("strip")]) watch.observe(above);
    for (const act of acts) window.addEventListener(act, end, { passive: true });
  });
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

/** From where what passes by below the picture is seen; on a phone on its side it passes by beside it. */
export const underPicture = (): number => (window.matchMedia(media["--turned"]).matches ? 0 : byId("view").getBoundingClientRect().bottom);

/** As the style sheets have it. */
export const phone = (): MediaQueryList => window.matchMedia(media["--phone"]);
export const onPhone = (): boolean => phone().matches;
