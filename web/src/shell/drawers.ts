import { byId } from "../basics/dom";
import { recall, remember } from "../basics/remember";
import { bring, onPhone } from "./places";

/** What the page keeps out of sight until it is wanted, by what it is for. */
export type DrawerName = "setup" | "look" | "measure" | "compare" | "predict" | "record" | "class";

/** The drawers: groups of panels of which one at a time is out. The one that was out is out again on the next visit. */
export class Drawers {
  private readonly buttons = [...byId("drawers").querySelectorAll<HTMLButtonElement>("[data-opens]")];
  private readonly panels = [...document.querySelectorAll<HTMLElement>("[data-drawer]")].filter((panel) => panel.dataset["drawer"] !== "");

  constructor() {
    for (const button of this.buttons) button.addEventListener("click", () => this.toggle(button.dataset["opens"] as DrawerName));
    const kept = recall("drawer");
    this.set(this.buttons.some((b) => b.dataset["opens"] === kept) ? (kept as DrawerName) : null);
  }

  /** The drawer that is out; null for none. */
  get out(): DrawerName | null {
    return (document.body.dataset["drawer"] as DrawerName | undefined) ?? null;
  }

  toggle(name: DrawerName): void {
    if (this.out === name) this.close();
    else this.open(name);
  }

  /** Opens a drawer, and on a phone brings it into sight. */
  open(name: DrawerName): void {
    this.set(name);
    const first = this.panels.find((panel) => panel.dataset["drawer"] === name);
    if (first && onPhone()) bring(first);
  }

  /** Closes what is out; false if nothing is. */
  close(): boolean {
    if (!this.out) return false;
    this.set(null);
    if (onPhone()) bring(byId("strip"));
    return true;
  }

  /** Opens the drawer of the key that was pressed; false if it is none of theirs. */
  key(key: string): boolean {
    const button = this.buttons.find((b) => b.dataset["key"]?.toLowerCase() === key);
    if (!button) return false;
    const from = this.panels.some((panel) => panel.contains(document.activeElement));
    this.toggle(button.dataset["opens"] as DrawerName);
    // The Tab key goes on in what has come, from its heading.
    if (this.out) this.panels.find((panel) => panel.dataset["drawer"] === this.out)?.querySelector("summary")?.focus({ preventScroll: true });
    else if (from) button.focus();
    return true;
  }

  private set(name: DrawerName | null): void {
    if (name) document.body.dataset["drawer"] = name;
    else delete document.body.dataset["drawer"];
    for (const panel of this.panels) panel.classList.toggle("out", panel.dataset["drawer"] === name);
    for (const button of this.buttons) button.setAttribute("aria-expanded", String(button.dataset["opens"] === name));
    remember("drawer", name ?? "");
  }
}
