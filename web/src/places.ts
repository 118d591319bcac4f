import { byId } from "./dom";

/** The way to the parts of the page on a phone, where they lie below one another. A folded panel is opened. */
export function watchPlaces(): void {
  for (const button of byId("places").querySelectorAll("button")) {
    button.addEventListener("click", () => {
      const place = button.dataset["place"]!;
      if (place === "strip") {
        window.scrollTo(0, 0);
        return;
      }
      const part = byId(place);
      if (part instanceof HTMLDetailsElement) part.open = true;
      bring(part);
    });
  }
}

/** Brings a part of the page into sight: on a phone right below the picture, elsewhere as little as needed. */
export function bring(part: HTMLElement): void {
  part.scrollIntoView({ block: onPhone() ? "start" : "nearest" });
}

/** Scrolls as little as needed to have news in sight, at once, so that whoever prefers reduced motion sees none. */
export function reveal(news: HTMLElement): void {
  news.scrollIntoView({ block: "nearest", behavior: "instant" });
}

/** As the style sheets have it. */
export const onPhone = (): boolean => window.matchMedia("(max-width: 48rem)").matches;
