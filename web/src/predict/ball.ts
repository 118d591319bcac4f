import { type Ray, Vector3 } from "three";
import { byId, within, write } from "../basics/dom";
import { unbroken } from "../basics/format";
import { bareArrow, drawnArrow, noArrow, predictionNames } from "../basics/words";
import type { Nudge } from "../view/prediction";
import type { View } from "../view/view";

type V3 = [number, number, number];

/** Who asks for a direction, or for the axis of a turn, and what goes with it on the page. */
export interface Asker {
  readonly at: V3; // the middle of the ball, in the base frame
  readonly turn: boolean;
  readonly axes: readonly Vector3[]; // of the frame that is asked about, in the base frame: X +, X −, Y +, Y −, Z +, Z −
  readonly frame: string; // what that frame is called
  readonly bare: boolean; // which axis is which is for the learner to know
  readonly always?: boolean; // else its letters give way to those of the frame that is jogged
  readonly half: HTMLElement; // the radio buttons "near" and "far": towards the viewer or away
  readonly text: HTMLElement; // where the arrow is told in words
  readonly keys?: () => boolean; // whether the arrow keys turn the arrow now; always, where this is missing
  readonly free?: () => boolean; // whether a press beside the dots draws an arrow; always, where this is missing. A drag always does
  drawn: (arrow: Vector3) => void;
}

/** An arrow that is less than this far towards the viewer or away, about 5°, is said to be neither. */
const ACROSS = 0.09;
/** A press this near to a dot means it, and a pointer that has moved less is pressed and not dragged, px: a finger hides what it is on. */
const PRESS_PX = { mouse: 18, touch: 30 };
const STILL_PX = { mouse: 3, touch: 10 };
const by = (event: PointerEvent): "mouse" | "touch" => (event.pointerType === "touch" ? "touch" : "mouse");

/**
 * The ball on which a learner says by an arrow which way something will go: drawn by a pointer, or turned by the arrow
 * keys. There is one, which whoever asked last has: predict first, or the task of a lesson.
 *
 * A point on the half that faces the viewer is a direction towards the viewer, on the other half one away. So a place of
 * the flat picture is a direction in space. A drag onto the dot of an axis means that axis, whichever half it is on. Only
 * where a near and a far dot are in one place of the picture does the half that is drawn on decide; the other dot is not
 * shown. The switch of the halves shows how an arrow lies that was drawn. What the learner set it to is where free drags draw.
 * A direction that was chosen by its name or its dot has no half: what is up or down is not said to be towards the viewer or away.
 */
export class Ball {
  private asker: Asker | null = null;
  private asks = false;
  private over = false; // the one who has it will give it back
  private under: { asker: Asker; arrow: Vector3 | null; named: boolean } | null = null; // to whom
  private drawnArrow: Vector3 | null = null;
  private named = false; // it was chosen by its name
  private far = false; // what is drawn freely is on the far half

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
    if (this.over) this.under = { asker, arrow: null, named: false }; // who has to wait
    else this.take(asker);
  }

  /** Asks before whoever has the ball, who has it again afterwards. */
  askOver(asker: Asker): void {
    if (!this.over && this.asker && this.asks) this.under = { asker: this.asker, arrow: this.drawnArrow, named: this.named };
    this.over = true;
    this.take(asker);
  }

  private take(asker: Asker): void {
    this.asker = asker;
    this.asks = true;
    this.drawnArrow = null;
    this.far = false;
    this.view.prediction.ask(asker.at, asker.turn, asker.axes, asker.bare, !!asker.always);
    this.view.bringBall();
    this.tell();
  }

  /**
   * Shows what was said beside what happened; null where there is no such direction. The angle between them is told of an arrow, not of
   * a direction that was chosen by its name. That the arm stays is told where it stays. Whoever still asks goes on asking.
   */
  answer(asker: Asker, said: Vector3 | null, truth: Vector3 | null, { named = false, stays = false } = {}): void {
    if (this.asks && !this.holds(asker)) return;
    this.asker = asker;
    this.asks = false;
    const off = said && truth && !named ? (said.angleTo(truth) * 180) / Math.PI : null;
    this.view.prediction.answer(asker.at, asker.turn, said, truth, predictionNames(off, truth ? "arm" : stays ? "stays" : null));
    this.view.redraw();
  }

  /** Takes the ball away from an asker; where another has it by now, nothing changes. */
  clear(asker: Asker | null): void {
    if (asker && this.under?.asker === asker) this.under = null;
    if (!this.holds(asker)) return;
    this.asker = null;
    this.asks = false;
    this.view.prediction.clear();
    this.view.redraw();
    const { under } = this;
    this.over = false;
    this.under = null;
    if (!under) return;
    this.take(under.asker);
    if (under.arrow) this.set(under.arrow, under.named);
  }

  draw(arrow: Vector3): void {
    this.set(arrow, false);
  }

  /** A direction is chosen by its name. */
  choose(arrow: Vector3): void {
    this.set(arrow, true);
  }

  private set(arrow: Vector3, named: boolean): void {
    if (!this.asks) return;
    this.drawnArrow = arrow;
    this.named = named;
    this.view.prediction.set(arrow);
    this.tell();
    this.asker?.drawn(arrow);
  }

  /** There is no arrow any more. */
  erase(): void {
    if (!this.asks) return;
    this.drawnArrow = null;
    this.view.prediction.set(null);
    this.tell();
  }

  /** Turns the arrow a little; false where none is asked for. */
  nudge(way: Nudge): boolean {
    if (this.asks && this.asker?.keys?.() !== false) this.draw(this.view.prediction.nudged(this.drawnArrow, way));
    return this.asks;
  }

  /** Draws on one half of the ball from now on. An arrow goes to the same place of the picture there. */
  drawOn(half: string): void {
    this.far = half === "far";
    const arrow = this.drawnArrow;
    if (arrow && this.depth(arrow) !== (this.far ? -1 : 1)) this.draw(this.view.prediction.flipped(arrow));
    else this.tell();
  }

  /** The picture was drawn, perhaps from elsewhere. */
  drawn(): void {
    if (this.asks) this.say();
  }

  private tell(): void {
    this.say();
    this.view.prediction.setHalf(this.far);
    this.view.redraw();
  }

  /** Whether a direction has no half: it has a name, chosen by it or by its dot. */
  private plain(arrow: Vector3): boolean {
    return this.named || this.view.prediction.isDot(arrow);
  }

  /** Tells of the arrow, and on which half of the ball it is or would be drawn. */
  private say(): void {
    if (!this.asker) return;
    const arrow = this.drawnArrow;
    const half = ((arrow && this.depth(arrow)) || (this.far ? -1 : 1)) < 0 ? "far" : "near";
    within<HTMLInputElement>(this.asker.half, `[value=${half}]`).checked = true;
    this.asker.half.classList.toggle("unused", !arrow || this.plain(arrow));
    write(this.asker.text, arrow ? unbroken(this.lies(arrow, this.asker)) : noArrow());
  }

  /** How an arrow lies, in words. */
  private lies(arrow: Vector3, { axes, frame, bare }: Asker): string {
    if (bare) return this.plain(arrow) ? "" : bareArrow(this.depth(arrow)); // which was chosen, its button shows
    const angles = axes.map((axis) => (arrow.angleTo(axis) * 180) / Math.PI);
    const angle = Math.min(...angles);
    return drawnArrow(arrow.toArray(), { axis: angles.indexOf(angle), angle, frame, depth: this.plain(arrow) ? null : this.depth(arrow) });
  }

  /** Whether an arrow points towards the viewer, 1, or away, −1, or neither, 0. */
  private depth(arrow: Vector3): number {
    const toward = this.view.prediction.towardViewer(arrow);
    return Math.abs(toward) < ACROSS ? 0 : Math.sign(toward);
  }

  /**
   * A press on the ball chooses the dot that is meant, and drags that begin there draw the arrow, which snaps to an axis unless Shift is
   * held; all others are the camera's.
   */
  private listenInView(host: HTMLElement): void {
    let pointer = -1;
    let from: [number, number] | null = null; // where the pointer is pressed, until it is dragged
    const ray = (event: PointerEvent): Ray => {
      const box = host.getBoundingClientRect();
      return this.view.ray(event.clientX - box.left, event.clientY - box.top);
    };
    const draw = (event: PointerEvent) => {
      const at = ray(event);
      const { prediction } = this.view;
      const arrow = (!event.shiftKey && prediction.caught(at, this.far)) || prediction.toward(at, this.far);
      if (arrow) this.draw(arrow);
    };
    host.addEventListener(
      "pointerdown",
      (event) => {
        if (!this.asks || event.button !== 0 || !this.view.prediction.covers(ray(event))) return;
        event.stopPropagation();
        event.preventDefault();
        pointer = event.pointerId;
        from = [event.clientX, event.clientY];
        host.setPointerCapture(pointer);
        const dot = event.shiftKey ? null : this.view.prediction.pressed(ray(event), this.far, PRESS_PX[by(event)]);
        if (dot) this.draw(dot);
        else if (event.shiftKey || this.asker?.free?.() !== false) draw(event);
      },
      { capture: true },
    );
    host.addEventListener("pointermove", (event) => {
      if (event.pointerId !== pointer) return;
      if (from && Math.hypot(event.clientX - from[0], event.clientY - from[1]) < STILL_PX[by(event)]) return;
      from = null;
      draw(event);
    });
    for (const end of ["pointerup", "pointercancel", "lostpointercapture"] as const) {
      host.addEventListener(end, (event) => {
        if (event.pointerId === pointer) pointer = -1;
      });
    }
  }
}
