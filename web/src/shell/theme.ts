import { byId } from "../basics/dom";
import { recall, remember } from "../basics/remember";
import type { Theme as Name } from "../view/palette";

/** Light or dark: as the learner has chosen, or else as the system has it. Projected it is light: projectors wash out dark pages. */
export class Theme {
  private readonly button = byId<HTMLButtonElement>("theme");
  private readonly system = window.matchMedia("(prefers-color-scheme: dark)");
  private projected = false;

  constructor(private readonly changed: (theme: Name) => void) {
    this.button.addEventListener("click", () => {
      remember("theme", this.current === "dark" ? "light" : "dark");
      this.apply();
    });
    this.system.addEventListener("change", () => this.apply());
    this.apply();
  }

  setProjected(on: boolean): void {
    this.projected = on;
    this.apply();
  }

  private get current(): Name {
    const kept = recall("theme");
    if (this.projected) return "light";
    return kept === "dark" || kept === "light" ? kept : this.system.matches ? "dark" : "light";
  }

  private apply(): void {
    document.documentElement.dataset["theme"] = this.current;
    this.button.setAttribute("aria-pressed", String(this.current === "dark"));
    this.changed(this.current);
  }
}
