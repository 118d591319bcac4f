import { byId } from "../basics/dom";
import { recall, remember } from "../basics/remember";
import { sayAlso, wanted } from "../basics/say";
import { help } from "../basics/words";

/** How long the pointer rests, or a finger presses, before the words come. */
const REST_MS = 600;
/** The pointer may be this long on its way from a thing to its words. */
const WAY_MS = 250;
const SLOP_PX = 10;
const EDGE_PX = 8;
const FAR_PX = 250;
const NOWHERE = { x: -1, y: -1 };

/**
 * Words when wanted: whatever carries data-help explains itself when the pointer rests on it, when it has the focus, or on
 * a long press. As WCAG 2.2, 1.4.13 asks, Esc puts the words away, the pointer may move onto them, and they stay until it
 * leaves or the focus does.
 */
export class Help {
  private readonly words = byId("help");
  private readonly use = byId<HTMLInputElement>("help-use");
  private of: HTMLElement | null = null;
  private described: Element | null = null;
  private timer = 0;
  private wish = {}; // the last that words be shown, or put away
  private pressed = NOWHERE;
  private done: HTMLElement | null = null; // was pressed: who has done it needs no words for it until the pointer comes again
  private faulty: EventTarget | null = null;
  private press: { x: number; y: number } | null = null;
  private touched = false; // by the last press; a key ends it
  private readonly texts = wanted(() => sayAlso("help").then(() => true)); // where they do not come, nothing is said

  constructor() {
    this.use.checked = recall("help") !== "off";
    this.use.addEventListener("change", () => remember("help", this.use.checked ? "on" : "off"));
    document.addEventListener("pointerover", (event) => this.over(event));
    document.addEventListener("pointerdown", (event) => this.down(event), { capture: true });
    document.addEventListener("click", (event) => this.used(event.target as HTMLElement), { capture: true }); // by a key, too
    document.addEventListener("pointermove", (event) => this.moved(event));
    for (const end of ["pointerup", "pointercancel"]) document.addEventListener(end, () => this.lifted());
    document.addEventListener("focusin", (event) => this.focused(event.target as HTMLElement));
    for (const done of ["focusout", "change"]) document.addEventListener(done, () => this.hide());
    // What is missing in a field the browser says itself, beside it.
    const browserSpeaks = (event: Event): void => {
      this.hide();
      this.faulty = event.target;
      window.setTimeout(() => (this.faulty = null)); // the field has the focus by then
    };
    document.addEventListener("invalid", browserSpeaks, { capture: true });
    document.addEventListener("keydown", (event) => this.key(event), { capture: true });
    document.addEventListener("scroll", () => this.hide(), { capture: true, passive: true });
    for (const panel of document.querySelectorAll<HTMLElement>(".panel")) row(panel);
  }

  private over(event: PointerEvent): void {
    if (event.pointerType === "touch" || event.buttons !== 0) return;
    // Before a class, no words come over the picture unless they are asked for by focus or a long press.
    if (document.documentElement.classList.contains("projected")) return;
    // What a press brings under a pointer that rests was not pointed at.
    if (event.clientX === this.pressed.x && event.clientY === this.pressed.y) return;
    const target = event.target as HTMLElement;
    if (this.words.contains(target)) {
      window.clearTimeout(this.timer);
      return;
    }
    const of = explained(target);
    if (of !== this.done) this.done = null;
    window.clearTimeout(this.timer);
    if (of === this.of || (of && of === this.done)) return;
    // What the focus is on keeps its words until the pointer asks for others.
    if (of) this.timer = window.setTimeout(() => void this.show(of), REST_MS);
    else if (!this.of) this.wish = {};
    else if (!this.of.contains(document.activeElement)) this.timer = window.setTimeout(() => this.hide(), WAY_MS);
  }

  private down(event: PointerEvent): void {
    if (this.words.contains(event.target as Node)) return;
    this.hide();
    this.pressed = { x: event.clientX, y: event.clientY };
    this.touched = event.pointerType === "touch";
    const of = explained(event.target as HTMLElement);
    this.done = of;
    if (event.pointerType !== "touch" || !of || of.closest(".jog")) return;
    this.press = { x: event.clientX, y: event.clientY };
    this.timer = window.setTimeout(() => {
      this.press = null;
      void this.show(of);
      // The finger that asked for words must not also press what it is on.
      const swallow = (click: Event) => {
        click.preventDefault();
        click.stopPropagation();
      };
      document.addEventListener("click", swallow, { capture: true, once: true });
      document.addEventListener("pointerup", () => window.setTimeout(() => document.removeEventListener("click", swallow, { capture: true }), 50), { once: true });
    }, REST_MS);
  }

  private used(target: HTMLElement): void {
    const of = explained(target);
    if (of?.matches(CONTROL)) this.hide();
  }

  private moved(event: PointerEvent): void {
    if (event.clientX !== this.pressed.x || event.clientY !== this.pressed.y) this.pressed = NOWHERE;
    if (this.press && Math.hypot(event.clientX - this.press.x, event.clientY - this.press.y) > SLOP_PX) this.lifted();
  }

  private lifted(): void {
    if (!this.press) return;
    this.press = null;
    window.clearTimeout(this.timer);
  }

  private focused(target: HTMLElement): void {
    const of = explained(target);
    // A field has the focus seen also where a finger chose it, who types next and has no room for words; those come by a long press.
    if (!of || this.touched || target === this.faulty || !target.matches(":focus-visible")) return;
    window.clearTimeout(this.timer);
    this.timer = window.setTimeout(() => void this.show(of), REST_MS);
  }

  private key(event: KeyboardEvent): void {
    this.touched = false;
    if (event.key === "Escape") this.hide();
  }

  private async show(of: HTMLElement): Promise<void> {
    const name = of.dataset["help"];
    if (!name || !this.use.checked || !of.isConnected || this.wordShown) return;
    this.hide();
    const wish = (this.wish = {});
    if (!(await this.texts()) || wish !== this.wish || !of.isConnected || this.wordShown) return;
    this.of = of;
    this.words.textContent = help(name);
    this.words.showPopover();
    this.place(of);
    const focus = document.activeElement;
    if (focus && of.contains(focus)) {
      this.described = focus;
      focus.setAttribute("aria-describedby", this.words.id);
    }
  }

  /** A word of the trade is explained: one explanation at a time. */
  private get wordShown(): boolean {
    return byId("term").matches(":popover-open");
  }

  /** Puts the words away. */
  hide(): void {
    window.clearTimeout(this.timer);
    this.wish = {};
    this.described?.removeAttribute("aria-describedby");
    this.described = null;
    if (!this.of) return;
    this.of = null;
    this.words.hidePopover();
  }

  /**
   * Beside what is explained, within the window, where the words cover least of what can be pressed, and of the numbers, and are near: below it, else above
   * it, else above the strip or beside the panel that it stands in. Farther off than FAR_PX is as bad as one thing covered.
   */
  private place(of: HTMLElement): void {
    const box = of.getBoundingClientRect();
    const around = (of.closest("#strip, #readout, .column, dialog, .share-box") ?? of).getBoundingClientRect();
    const { offsetWidth: width, offsetHeight: height } = this.words;
    const gap = EDGE_PX / 2;
    const numbers = byId("readout").getBoundingClientRect();
    const wishes = [
      { left: box.left, top: box.bottom + gap },
      { left: box.left, top: around.bottom + gap },
      { left: box.left, top: box.top - height - gap },
      { left: box.left, top: around.top - height - gap },
      { left: (window.innerWidth - width) / 2, top: around.top - height - gap }, // between the columns
      { left: byId("lesson").getBoundingClientRect().left - width - gap, top: around.top - height - gap }, // before a lesson, which is wide
      { left: around.right + gap, top: box.top },
      { left: around.right + gap, top: Math.max(box.top, numbers.bottom + gap) },
      { left: around.left - width - gap, top: box.top },
    ].map(({ left, top }) => ({ left: within(left, window.innerWidth - width), top: within(top, window.innerHeight - height) }));
    const others = [...document.querySelectorAll<HTMLElement>(PRESSED)].filter((e) => !e.contains(of) && e.checkVisibility()).map((e) => (e.closest(".option") ?? e).getBoundingClientRect());
    others.push(box, numbers);
    const bad = wishes.map(({ left, top }) => {
      const covered = others.filter((o) => o.width > 0 && o.left < left + width && left < o.right && o.top < top + height && top < o.bottom).length;
      const off = Math.hypot(Math.max(0, left - box.right, box.left - left - width), Math.max(0, top - box.bottom, box.top - top - height));
      return covered + Math.floor(off / FAR_PX);
    });
    const { left, top } = wishes[bad.indexOf(Math.min(...bad))]!;
    this.words.style.left = `${left}px`;
    this.words.style.top = `${top}px`;
  }
}

/** A place of the window at which something has its edges in it. */
const within = (at: number, most: number): number => Math.max(EDGE_PX, Math.min(at, most - EDGE_PX));

function explained(target: HTMLElement): HTMLElement | null {
  return target.closest<HTMLElement>("[data-help]");
}

/** What can be pressed, and what is read while it is. */
const PRESSED = "button:enabled, input:enabled, select:enabled, a[href], summary, #hand-says";
const CONTROL = "button, input, select, a, summary, [role=button]:not(.term)";

/** The numbers and labels of a panel are one stop of the Tab key; arrows left and right go from one to the next. */
function row(panel: HTMLElement): void {
  const all = () => [...panel.querySelectorAll<HTMLElement>("[data-help]")].filter((e) => !e.matches(CONTROL) && !e.querySelector(CONTROL));
  all().forEach((e, i) => (e.tabIndex = i === 0 ? 0 : -1));
  panel.addEventListener("focusin", (event) => {
    const here = event.target as HTMLElement;
    if (!here.dataset["help"] || here.matches(CONTROL)) return;
    for (const e of all()) e.tabIndex = e === here ? 0 : -1;
  });
  panel.addEventListener("keydown", (event) => {
    const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!by || event.altKey) return;
    const items = all().filter((e) => e.offsetParent !== null);
    const next = items[items.indexOf(event.target as HTMLElement) + by];
    if (!items.includes(event.target as HTMLElement) || !next) return;
    event.preventDefault();
    next.focus();
  });
}
