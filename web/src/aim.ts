import type { Direction, Frame, Request } from "./wire";

function same(a: Direction | null, b: Direction | null): boolean {
  return a === b || (!!a && !!b && a.frame === b.frame && a.task === b.task && a.axis === b.axis && a.sign === b.sign);
}

/**
 * The direction in hand: what the pointer is over, otherwise what last had the focus or was used. Its ghost is asked
 * for whenever it changes.
 */
export class Aim {
  direction: Direction | null = null;
  private settled: Direction | null = null;

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
    this.set(this.settled);
  }

  /** A button was focused or used. */
  settle(direction: Direction): void {
    this.settled = direction;
    this.set(direction);
  }

  /** The active frame changed: the same button now means another direction. */
  turn(frame: Frame, task: string): void {
    const turned = (d: Direction): Direction => ({ ...d, frame, task });
    this.settled = this.settled && turned(this.settled);
    this.set(this.direction && turned(this.direction));
  }

  /** Another arm, or a bench that has come back: nothing is aimed at there. */
  reset(): void {
    this.settled = null;
    this.direction = null;
    this.changed(null);
  }

  private set(direction: Direction | null): void {
    if (same(direction, this.direction)) return;
    this.direction = direction;
    this.send({ type: "aim", direction });
    this.changed(direction);
  }
}
