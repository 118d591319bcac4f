import { byId, within } from "../basics/dom";

const root = document.documentElement;

/** The size of the smallest type that is projected, in px: what the style sheet calls 1 rem then. */
export function projectedType(): number {
  return parseFloat(getComputedStyle(root).fontSize);
}

/**
 * The view for a projector: the whole screen, type to be read at the back of the room, no more than a class needs. In its
 * bare form there is nothing but the arm, its axes, the ghost and the numbers.
 */
export class Projector {
  private readonly button = byId<HTMLButtonElement>("projector-switch");
  private readonly folded: HTMLDetailsElement[] = [];

  /** left is called when the browser has ended the full screen, by Esc or otherwise. */
  constructor(
    private readonly changed: (on: boolean) => void,
    left: () => unknown,
  ) {
    this.button.addEventListener("click", () => this.toggle());
    byId("projector-leave").addEventListener("click", () => this.leave());
    document.addEventListener("fullscreenchange", () => {
      if (document.fullscreenElement || !this.on) return;
      left();
      this.set(false);
    });
  }

  get on(): boolean {
    return root.classList.contains("projected");
  }

  toggle(): void {
    this.set(!this.on);
  }

  leave(): void {
    this.set(false);
  }

  /** Hides all but the arm, axes, ghost and numbers, or shows it again. */
  toggleBare(): void {
    if (!this.on) this.set(true);
    root.classList.toggle("bare");
  }

  private set(on: boolean): void {
    if (on === this.on) return;
    root.classList.toggle("projected", on);
    root.classList.remove("bare");
    this.button.setAttribute("aria-pressed", String(on));
    // A lesson's hint has no room in its column then, and stands below the picture.
    (on ? within(document, "main") : byId("task-said")).append(byId("task-hints"));
    this.unfold(on);
    // A browser may refuse; the large type fills the window all the same.
    if (on) root.requestFullscreen?.().catch(() => {});
    else if (document.fullscreenElement) document.exitFullscreen().catch(() => {});
    this.changed(on);
  }

  /** Folded panels hold the numbers too: they are open while projected. */
  private unfold(on: boolean): void {
    if (on) this.folded.push(...document.querySelectorAll<HTMLDetailsElement>("details.panel:not([open])"));
    for (const panel of this.folded) panel.open = on;
    if (!on) this.folded.length = 0;
  }
}
