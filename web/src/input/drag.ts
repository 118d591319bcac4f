import { byId } from "../basics/dom";
import type { Hold } from "./holds";
import type { Handle } from "../view/handles";
import type { View } from "../view/view";
import { dragged, draggable } from "../basics/words";
import type { Direction } from "../wire";

const mousePx = 12; // a mouse is so exact,
const fingerPx = 22; // a finger so broad, to each side
const wanders = 3; // px that a pointer may move before it means it

/**
 * The arm comes along with a pointer that drags an axis or a ring in the view. A drag is a hold whose bound is where the
 * pointer is: the arm stops there, comes back when the pointer does, and stops when it is let go or the hold ends otherwise.
 */
export class Drag {
  private readonly host = byId("view");
  private box = new DOMRect();
  private grip: { handle: Handle; pointer: number; x: number; y: number; begun: boolean; over: boolean } | null = null;
  private at: { x: number; y: number } | null = null;
  private within = mousePx;
  private scheduled = 0;

  constructor(
    private readonly view: View,
    private readonly hold: Hold,
    private readonly begins: (direction: Direction) => void,
  ) {
    const { host } = this;
    // Before the canvas takes it for a turn of the view.
    host.addEventListener("pointerdown", (event) => this.down(event), { capture: true });
    host.addEventListener("pointermove", (event) => this.move(event));
    host.addEventListener("pointerleave", () => this.away());
    for (const end of ["pointerup", "pointercancel", "lostpointercapture"] as const) {
      host.addEventListener(end, (event) => this.up(event), { capture: true });
    }
  }

  /** The hold has ended: by the learner, the page or the bench. */
  ended(): void {
    if (!this.grip?.begun || this.grip.over) return;
    this.grip.over = true;
    this.view.letGo();
    this.cursor();
  }

  /** The arm or the camera has moved, and so has what is under the pointer. */
  drawn(): void {
    if (this.at && !this.grip) this.lookSoon();
  }

  private down(event: PointerEvent): void {
    if (this.grip) {
      event.stopPropagation(); // one pointer at a time drags
      return;
    }
    this.within = event.pointerType === "mouse" ? mousePx : fingerPx;
    if (event.pointerType === "touch") this.view.setTouched(true);
    if (event.button !== 0 || event.shiftKey) return;
    const { x, y } = this.place(event);
    const handle = this.view.reachFor({ x, y }, this.within, draggableWords);
    if (!handle) return;
    event.stopPropagation();
    try {
      this.host.setPointerCapture(event.pointerId);
    } catch {
      return; // It has gone meanwhile.
    }
    this.grip = { handle, pointer: event.pointerId, x, y, begun: false, over: false };
    this.cursor();
  }

  private move(event: PointerEvent): void {
    this.at = this.place(event);
    if (!this.grip) {
      if (event.pointerType !== "touch" && event.buttons === 0) this.lookSoon();
      return;
    }
    const { grip } = this;
    if (event.pointerId !== grip.pointer || grip.over) return;
    const { x, y } = this.at;
    if (!grip.begun) {
      if (Math.hypot(x - grip.x, y - grip.y) < wanders) return;
      grip.begun = true;
      this.view.grab(grip.handle, grip.x, grip.y);
      const { direction } = grip.handle;
      const bound = this.pull(x, y);
      this.begins({ ...direction, sign: bound < 0 ? -1 : 1 });
      this.hold.begin([direction], holder, { bound });
    } else {
      if (!this.hold.steer(holder, { bound: this.pull(x, y) })) this.ended();
    }
  }

  private pull(x: number, y: number): number {
    const direction = this.grip!.handle.direction;
    return this.view.pull(x, y, (by) => dragged(direction, by));
  }

  private up(event: PointerEvent): void {
    if (event.pointerId !== this.grip?.pointer) return;
    const { begun, over } = this.grip;
    this.grip = null;
    if (begun && !over) this.hold.end(holder);
    this.view.letGo();
    if (event.pointerType === "touch") this.at = null;
    this.lookSoon();
  }

  private away(): void {
    if (this.grip) return;
    this.at = null;
    this.lookSoon();
  }

  /** Once a frame is enough. */
  private lookSoon(): void {
    this.scheduled ||= requestAnimationFrame(() => {
      this.scheduled = 0;
      if (!this.grip) this.cursor(this.view.reachFor(this.at, this.within, draggableWords));
    });
  }

  private cursor(under: Handle | null = null): void {
    this.host.classList.toggle("draggable", under !== null && !this.grip);
    this.host.classList.toggle("dragging", this.grip !== null && !this.grip.over);
  }

  private place(event: PointerEvent): { x: number; y: number } {
    // Should the page move under a pointer that drags, only the pointer counts.
    if (!this.grip) this.box = this.host.getBoundingClientRect();
    return { x: event.clientX - this.box.left, y: event.clientY - this.box.top };
  }
}

const holder = "drag";
const draggableWords = (handle: Handle): string => draggable(handle.direction);
