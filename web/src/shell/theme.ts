import { byId } from "../basics/dom";
import { recall, remember } from "../basics/remember";
import type { Theme } from "../view/palette";

/** Light unless the learner has chosen dark: projectors wash out dark pages. */
export function watchTheme(changed: (theme: Theme) => void): void {
  const button = byId<HTMLButtonElement>("theme");
  const apply = (theme: Theme) => {
    document.documentElement.dataset["theme"] = theme;
    button.setAttribute("aria-pressed", String(theme === "dark"));
    changed(theme);
  };
  button.addEventListener("click", () => {
    const theme: Theme = document.documentElement.dataset["theme"] === "dark" ? "light" : "dark";
    remember("theme", theme);
    apply(theme);
  });
  apply(recall("theme") === "dark" ? "dark" : "light");
}
