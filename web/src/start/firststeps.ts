import type { Direction, StopMessage } from "../wire";

/** The five things that a guided start has one do, in their order. */
export const tasks = ["joint", "straight", "refused", "again", "turn"] as const;
export type Task = (typeof tasks)[number];

/** A jog counts from so many mm or degrees on; less is a slip of the finger. */
const LEAST = 0.5;

/** What is looked at of a jog that has ended. */
type Ended = Pick<StopMessage, "direction" | "reason" | "trouble" | "travel" | "advised">;

const bend = 4; // J5, which the advice names at a wrist singularity and at no other

/**
 * Which of the first steps are done, decided by what the bench says the arm has done. It knows no page. What counts is what the
 * page's sentence about it holds for: any joint, any straight line, any turn, but only a wrist singularity, and only the same jog again.
 */
export class FirstSteps {
  /** Done or skipped. */
  readonly past = new Set<Task>();
  /** Of these, the skipped ones. */
  readonly skipped = new Set<Task>();
  private refused: Direction | null = null; // what is to be made again

  /** What is to be done next; null after the last. */
  get next(): Task | null {
    return tasks.find((task) => !this.past.has(task)) ?? null;
  }

  /** The jog that was refused, and is to be made again; null where there is none. */
  get toBeMadeAgain(): Direction | null {
    return this.refused;
  }

  skip(): void {
    const { next } = this;
    if (next) this.pass(next);
    if (next === "refused" && !this.refused) this.pass("again"); // there is no jog to be made again
  }

  private pass(task: Task): void {
    this.past.add(task);
    this.skipped.add(task);
  }

  restart(): void {
    this.past.clear();
    this.skipped.clear();
    this.refused = null;
  }

  /** A jog has ended; true if that was what was to be done. */
  stopped(stop: Ended): boolean {
    const { next } = this;
    if (this.atTheWrist(stop) || (stop.reason === "singularity" && next === "again")) this.refused = stop.direction; // as the button "again" then has it
    if (!next || !this.is(next, stop)) return false;
    this.past.add(next);
    return true;
  }

  private atTheWrist({ reason, advised }: Ended): boolean {
    return reason === "singularity" && advised === bend;
  }

  private is(task: Task, stop: Ended): boolean {
    const { direction, trouble, travel } = stop;
    const inJoints = direction.frame === "joint";
    const went = !trouble && Math.abs(travel) >= LEAST;
    switch (task) {
      case "joint":
        return inJoints && went;
      case "straight":
        return !inJoints && direction.axis < 3 && went;
      case "refused":
        return this.atTheWrist(stop);
      case "again":
        return went && !!this.refused && same(direction, this.refused);
      case "turn":
        return !inJoints && direction.axis >= 3 && went;
    }
  }
}

const same = (a: Direction, b: Direction): boolean => a.frame === b.frame && (a.task ?? "") === (b.task ?? "") && a.axis === b.axis && a.sign === b.sign;
