import { type Ray, Vector3 } from "three";
import { byId, write } from "./dom";
import { drawnArrow, noArrow, predictionNames } from "./words";
import type { Nudge } from "./view/prediction";
import type { View } from "./view/view";

type V3 = [number, number, number];

/** Who asks for a direction, or for the axis of a turn, and what goes with it on the page. */
export interface Asker {
  readonly at: V3; // the middle of the ball, in the base frame
  readonly turn: boolean;
  readonly axes: readonly Vector3[]; // of the frame that is asked about, in the base frame: X +, X −, Y +, Y −, Z +, Z −
  readonly frame: string; // what that frame is called
  readonly flip: HTMLButtonElement; // to draw on the far half of the ball
  readonly text: HTMLElement; // where the arrow is told in numbers
  drawn: (arrow: Vector3) => void;
}

/**
 * The ball on which a learner says by an arrow which way something will go: drawn by a pointer, or turned by the arrow
 * keys. There is one, which whoever asked last has: predict first, or the task of a lesson.
 */
export class Ball {
  private asker: Asker | null = null;
  private asks = false;
  private drawnArrow: Vector3 | null = null;
  private far = false;

  constructor(private readonly view: View) {
    this.listenInView(byId("view"));
  }

  /** The arrow that an asker was given; null for none yet. */
  arrowFor(asker: Asker): Vector3 | null {
    return this.holds(asker) ? this.drawnArrow : null;
  }

  holds(asker: Asker | null): boolean {
    return asker !== null && this.asker === asker;
  }

  ask(asker: Asker): void {
    this.asker = asker;
    this.asks = true;
    this.drawnArrow = null;
    this.far = false;
    this.view.prediction.ask(asker.at, asker.turn, asker.axes);
    this.tell();
  }

  /**
   * Shows what was said beside what happened; null where there is no such direction. The angle between them is told of an arrow, not of
   * a direction that was chosen by its name. Whoever still asks goes on asking.
   */
  answer(asker: Asker, said: Vector3 | null, truth: Vector3 | null, named = false): void {
    if (this.asks && !this.holds(asker)) return;
    this.asker = asker;
    this.asks = false;
    const off = said && truth && !named ? (said.angleTo(truth) * 180) / Math.PI : null;
    this.view.prediction.answer(asker.at, asker.turn, said, truth, predictionNames(off));
    this.view.redraw();
  }

  /** Takes the ball away from an asker; where another has it by now, nothing changes. */
  clear(asker: Asker | null): void {
    if (!this.holds(asker)) return;
    this.asker = null;
    this.asks = false;
    this.view.prediction.clear();
    this.view.redraw();
  }

  draw(arrow: Vector3): void {
    if (!this.asks) return;
    this.drawnArrow = arrow;
    this.far = this.view.prediction.towardViewer(arrow) < -1e-9;
    this.view.prediction.set(arrow);
    this.tell();
    this.asker?.drawn(arrow);
  }

  /** Turns the arrow a little; false where none is asked for. */
  nudge(way: Nudge): boolean {
    if (this.asks) this.draw(this.view.prediction.nudged(this.drawnArrow, way));
    return this.asks;
  }

  /** The same place of the picture on the other half of the ball; before there is an arrow, the next is drawn there. */
  turnRound(): void {
    this.far = !this.far;
    if (this.drawnArrow) this.draw(this.view.prediction.flipped(this.drawnArrow));
    else this.tell();
  }

  private tell(): void {
    if (!this.asker) return;
    this.asker.flip.setAttribute("aria-pressed", String(this.far));
    write(this.asker.text, this.drawnArrow ? this.lies(this.drawnArrow, this.asker) : noArrow());
    this.view.prediction.setHalf(this.far);
    this.view.redraw();
  }

  /** How an arrow lies, in words and numbers. */
  private lies(arrow: Vector3, { axes, frame }: Asker): string {
    const angles = axes.map((axis) => (arrow.angleTo(axis) * 180) / Math.PI);
    const angle = Math.min(...angles);
    return drawnArrow(arrow.toArray(), { axis: angles.indexOf(angle), angle, frame, toward: this.view.prediction.towardViewer(arrow) });
  }

  /** Drags that begin on the ball draw the arrow, which snaps to an axis unless Shift is held; all others are the camera's. */
  private listenInView(host: HTMLElement): void {
    let pointer = -1;
    const ray = (event: PointerEvent): Ray => {
      const box = host.getBoundingClientRect();
      return this.view.ray(event.clientX - box.left, event.clientY - box.top);
    };
    const draw = (event: PointerEvent) => {
      const keep = this.far;
      const arrow = this.view.prediction.toward(ray(event), keep);
      if (!arrow) return;
      this.draw((!event.shiftKey && this.view.prediction.caught(arrow, keep)) || arrow);
      this.far = keep; // At the ball's edge both halves meet.
      this.tell();
    };
    host.addEventListener(
      "pointerdown",
      (event) => {
        if (!this.asks || event.button !== 0 || !this.view.prediction.covers(ray(event))) return;
        event.stopPropagation();
        event.preventDefault();
        pointer = event.pointerId;
        host.setPointerCapture(pointer);
        draw(event);
      },
      { capture: true },
    );
    host.addEventListener("pointermove", (event) => {
      if (event.pointerId === pointer) draw(event);
    });
    for (const end of ["pointerup", "pointercancel", "lostpointercapture"] as const) {
      host.addEventListener(end, (event) => {
        if (event.pointerId === pointer) pointer = -1;
      });
    }
  }
}
