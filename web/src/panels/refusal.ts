import type { Setup, StopMessage } from "../wire";

/**
 * Whether what stopped the arm is past, because the frame or the step was chosen anew since. It is not where its advice leads to a joint and
 * the joints were chosen, nor on the way back from there.
 */
export function isPast(stop: Pick<StopMessage, "direction" | "advised">, before: Setup, now: Setup): boolean {
  const reframed = before.frame !== now.frame || before.task !== now.task;
  const resized = before.increment.mm !== now.increment.mm || before.increment.deg !== now.increment.deg;
  if (!reframed && !resized) return false;
  if (stop.advised !== null && now.frame === "joint") return false;
  const back = stop.advised !== null && before.frame === "joint" && now.frame === stop.direction.frame && now.task === (stop.direction.task ?? "");
  return !(reframed && back);
}
