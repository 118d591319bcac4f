import type { Direction, StopMessage } from "../wire";

/** The five things that a guided start has one do, in their order. */
export const tasks = ["joint", "straight", "refused", "again", "turn"] as const;
export type Task = (typeof tasks)[number];

/** A jog counts from so many mm or degrees on; less is a slip of the finger. */
const LEAST = 0.5;

/** Which of the first steps are done, decided by what the bench says the arm has done. It knows no page. */
export class FirstSteps {
  /** Done or skipped. */
  readonly past = new Set<Task>();
  private refused: Direction | null = null;

  /** What is to be done next; null after the last. */
  get next(): Task | null {
    return tasks.find((task) => !this.past.has(task)) ?? null;
  }

  skip(): void {
    if (this.next) this.past.add(this.next);
  }

  restart(): void {
    this.past.clear();
    this.refused = null;
  }

  /** A jog has ended; true if that was what was to be done. */
  stopped(stop: Pick<StopMessage, "direction" | "reason" | "trouble" | "travel">): boolean {
    const { next } = this;
    if (stop.reason === "singularity") this.refused = stop.direction;
    if (!next || !this.is(next, stop)) return false;
    this.past.add(next);
    return true;
  }

  private is(task: Task, { direction, reason, trouble, travel }: Pick<StopMessage, "direction" | "reason" | "trouble" | "travel">): boolean {
    const inJoints = direction.frame === "joint";
    const went = !trouble && Math.abs(travel) >= LEAST;
    switch (task) {
      case "joint":
        return inJoints && went;
      case "straight":
        return !inJoints && direction.axis < 3 && went;
      case "refused":
        return reason === "singularity";
      case "again":
        return !inJoints && went && direction.axis === (this.refused ?? direction).axis;
      case "turn":
        return !inJoints && direction.axis >= 3 && went;
    }
  }
}
