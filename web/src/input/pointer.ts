import { byId, hide, write } from "../basics/dom";
import { recall, remember } from "../basics/remember";
import { pointedName } from "../basics/words";
import type { View } from "../view/view";

/** A ring on the 3D view that follows mouse, pen or finger and names what it is on, as one does with a pointer in class. */
export class Pointer {
  private readonly host = byId("view");
  private readonly button = byId<HTMLButtonElement>("pointer-switch");
  private readonly mark = byId("pointer");
  private readonly name = byId("pointer-name");
  private at: { x: number; y: number } | null = null;
  private scheduled = 0;
  private on = false;

  constructor(private readonly view: View) {
    this.button.addEventListener("click", () => this.toggle());
    this.host.addEventListener("pointermove", (event) => this.moveTo(event));
    this.host.addEventListener("pointerdown", (event) => this.moveTo(event));
    this.host.addEventListener("pointerleave", () => this.away());
    this.set(recall("pointer") === "on");
  }

  toggle(): void {
    this.set(!this.on);
    remember("pointer", this.on ? "on" : "off");
  }

  set(on: boolean): void {
    this.on = on;
    this.button.setAttribute("aria-pressed", String(on));
    document.documentElement.classList.toggle("pointing", on);
    if (on) this.show();
    else this.away();
  }

  /** What is under the ring may have changed because the arm or the camera has moved. */
  drawn(): void {
    if (this.on && this.at) this.scheduled ||= requestAnimationFrame(() => this.show());
  }

  private moveTo(event: PointerEvent): void {
    if (!this.on) return;
    const box = this.host.getBoundingClientRect();
    this.at = { x: event.clientX - box.left, y: event.clientY - box.top };
    this.scheduled ||= requestAnimationFrame(() => this.show());
  }

  private away(): void {
    this.at = null;
    hide(this.mark, true);
    this.view.spot(null);
  }

  private show(): void {
    this.scheduled = 0;
    if (!this.at || !this.on) return;
    const { x, y } = this.at;
    const what = this.view.pointAt(x, y);
    this.view.spot(what);
    hide(this.mark, false);
    write(this.name, what ? pointedName(what) : "");
    hide(this.name, !what);
    // The name stands on the side of the ring where there is more room, and covers no panel.
    const { left, right } = this.view.free;
    const leftwards = x - left > right - x;
    this.mark.classList.toggle("leftwards", leftwards);
    this.mark.style.setProperty("--room", `${leftwards ? x - left : right - x}px`);
    this.mark.style.translate = `${x}px ${y}px`;
  }
}
