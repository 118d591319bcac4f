import type { Direction, Frame, Request } from "../wire";

/** Whether two directions are the same one. */
export function same(a: Direction | null, b: Direction | null): boolean {
  return a === b || (!!a && !!b && a.frame === b.frame && a.task === b.task && a.axis === b.axis && a.sign === b.sign);
}

/** How long a direction is still shown when the pointer has left its button: enough to go over to the next one. */
const LINGERS_MS = 1000;

/**
 * The direction in hand: what the pointer is over, otherwise what was chosen by keys, by touch or by a controller. Its
 * ghost is asked for whenever it changes.
 */
export class Aim {
  direction: Direction | null = null;
  private chosen: Direction | null = null;
  private leaving = 0;

  constructor(
    private readonly send: (request: Request) => void,
    private readonly changed: (direction: Direction | null) => void,
  ) {}

  /** The pointer is over a button. */
  over(direction: Direction): void {
    this.set(direction);
  }

  /** The pointer has left the buttons. */
  away(): void {
    if (this.chosen) this.set(this.chosen);
    else this.linger();
  }

  /** A direction was chosen by what does not point: it stays until another is, or it is cleared. */
  settle(direction: Direction): void {
    this.chosen = direction;
    this.set(direction);
  }

  /** A button was pressed with a pointer, which is what counts from now on. */
  press(direction: Direction): void {
    this.chosen = null;
    this.set(direction);
  }

  /** A direction that was drawn along in the view is over with the drag. */
  drawn(direction: Direction): void {
    this.press(direction);
    this.linger();
  }

  /** Nothing is aimed at; false if nothing was. */
  clear(): boolean {
    const had = this.direction !== null;
    this.chosen = null;
    this.set(null);
    return had;
  }

  /**
   * The active frame changed: the same button now means another direction. What was chosen for a joint is none for a frame's
   * axis, and the other way round.
   */
  turn(frame: Frame, task: string): void {
    if (this.chosen && (this.chosen.frame === "joint") !== (frame === "joint")) {
      const shown = same(this.direction, this.chosen);
      this.chosen = null;
      if (shown) this.show(null);
    }
    const turned = (d: Direction): Direction => ({ ...d, frame, task });
    this.chosen = this.chosen && turned(this.chosen);
    this.show(this.direction && turned(this.direction));
  }

  /** Another arm, or a bench that has come back: nothing is aimed at there. */
  reset(): void {
    window.clearTimeout(this.leaving);
    this.chosen = null;
    this.direction = null;
    this.changed(null);
  }

  private linger(): void {
    window.clearTimeout(this.leaving);
    this.leaving = window.setTimeout(() => this.set(null), LINGERS_MS);
  }

  private set(direction: Direction | null): void {
    window.clearTimeout(this.leaving);
    this.show(direction);
  }

  private show(direction: Direction | null): void {
    if (same(direction, this.direction)) return;
    this.direction = direction;
    this.send({ type: "aim", direction });
    this.changed(direction);
  }
}
