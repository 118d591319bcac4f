import { byId } from "../basics/dom";
import { recall, remember } from "../basics/remember";
import { bring, onPhone, underPicture } from "./places";

/** What the page keeps out of sight until it is wanted, by what it is for. */
export type DrawerName = "setup" | "look" | "measure" | "compare" | "predict" | "record" | "class";

/** The drawers: groups of panels of which one at a time is out. The one that was out is out again on the next visit. */
export class Drawers {
  private readonly buttons = [...byId("drawers").querySelectorAll<HTMLButtonElement>("[data-opens]")];
  private from: number | null = null; // how far a phone's page was scrolled when a drawer was opened
  private readonly panels = [...document.querySelectorAll<HTMLElement>("[data-drawer]")].filter((panel) => panel.dataset["drawer"] !== "");

  /** opened hears that one was opened. */
  constructor(private readonly opened: () => void) {
    for (const button of this.buttons) button.addEventListener("click", () => this.toggle(button.dataset["opens"] as DrawerName));
    const kept = recall("drawer");
    this.set(this.buttons.some((b) => b.dataset["opens"] === kept) ? (kept as DrawerName) : null);
    this.watch();
  }

  /** The drawer that is out; null for none. */
  get out(): DrawerName | null {
    return (document.body.dataset["drawer"] as DrawerName | undefined) ?? null;
  }

  /** On a phone what is out is first brought back to its top, and put away from there. */
  toggle(name: DrawerName): void {
    if (this.out === name && (!onPhone() || this.atTop())) this.close();
    else this.open(name);
  }

  /** Opens a drawer, and on a phone brings its first panel into sight. */
  open(name: DrawerName): void {
    this.opened();
    if (!this.inSight()) this.from = window.scrollY;
    this.set(name);
    const [first] = this.shown();
    if (first && onPhone()) bring(first);
  }

  /** Closes what is out; false if nothing is. */
  close(): boolean {
    if (!this.out) return false;
    const back = this.inSight() ? this.from : null;
    this.set(null);
    if (onPhone()) window.scrollTo(0, back ?? 0);
    return true;
  }

  /** Opens the drawer of the key that was pressed; false if it is none of theirs. */
  key(key: string): boolean {
    const button = this.buttons.find((b) => b.dataset["key"]?.toLowerCase() === key);
    if (!button) return false;
    const from = this.panels.some((panel) => panel.contains(document.activeElement));
    this.toggle(button.dataset["opens"] as DrawerName);
    // The Tab key goes on in what has come, from its heading.
    const head = this.panels.find((panel) => panel.dataset["drawer"] === this.out)?.querySelector("summary");
    if (this.out && head) {
      head.focus({ preventScroll: true });
      if (!onPhone()) bring(head);
    } else if (from) button.focus();
    return true;
  }

  /** The panels of what is out, from the top down, as a phone has them in another order. */
  private shown(): HTMLElement[] {
    const top = (panel: HTMLElement): number => panel.getBoundingClientRect().top;
    return this.panels.filter((panel) => panel.dataset["drawer"] === this.out && panel.checkVisibility()).sort((a, b) => top(a) - top(b));
  }

  private atTop(): boolean {
    const [first] = this.shown();
    return !!first && this.inSight() && first.getBoundingClientRect().top >= underPicture() - 8;
  }

  /** Whether what is out has the better part of what is in sight below the picture of a phone. */
  private inSight(): boolean {
    const shown = this.shown();
    if (shown.length === 0) return false;
    const from = underPicture();
    const to = byId("drawers").getBoundingClientRect().top;
    return shown[0]!.getBoundingClientRect().top < (from + to) / 2 && shown.at(-1)!.getBoundingClientRect().bottom > from + 40;
  }

  /** On a phone the tab is marked whose part is in sight. */
  private watch(): void {
    let scheduled = 0;
    const mark = (): void => {
      scheduled = 0;
      const here = onPhone() && this.inSight();
      for (const button of this.buttons) button.classList.toggle("here", here && button.dataset["opens"] === this.out);
    };
    const soon = (): void => void (scheduled ||= requestAnimationFrame(mark));
    window.addEventListener("scroll", soon, { passive: true });
    new ResizeObserver(soon).observe(document.body);
    new MutationObserver(soon).observe(document.body, { attributeFilter: ["data-drawer"] });
  }

  private set(name: DrawerName | null): void {
    if (name) document.body.dataset["drawer"] = name;
    else delete document.body.dataset["drawer"];
    for (const panel of this.panels) panel.classList.toggle("out", panel.dataset["drawer"] === name);
    for (const button of this.buttons) button.setAttribute("aria-expanded", String(button.dataset["opens"] === name));
    remember("drawer", name ?? "");
  }
}
