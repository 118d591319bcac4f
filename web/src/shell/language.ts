import { byId } from "../basics/dom";
import { remember } from "../basics/remember";
import { ownBench } from "../link/link";

const YEAR_S = 365 * 24 * 3600;

/** The chooser of the page's language. The server speaks it too, so the page is asked for again, once leave has kept what is to stay. */
export function watchLanguage(leave: () => void): void {
  const select = byId<HTMLSelectElement>("language");
  select.value = document.documentElement.lang; // A browser may have kept another choice over a reload.
  select.addEventListener("change", () => {
    leave();
    const url = new URL(location.href);
    url.searchParams.delete("lang");
    if (ownBench() !== "") {
      remember("language", select.value);
      url.pathname = new URL(`${document.documentElement.dataset["pages"] ?? ""}${select.value}.html`, url).pathname;
      location.assign(url);
      return;
    }
    document.cookie = `handrule-language=${select.value}; path=${new URL(".", url).pathname}; max-age=${YEAR_S}; samesite=lax`;
    if (url.href === location.href) location.reload();
    else location.replace(url);
  });
}
