// What is said of a game controller; it comes with the controller's code.
import { signMark } from "../basics/format";
import { say } from "../basics/say";
import { jointName, letterOf, straight } from "../basics/words";
import type { Direction, Frame } from "../wire";

/** The button that puts its map away. */
export const controllerClose = (): string => say("controller.close");

/** What a game controller is doing. */
export const controllerState = (state: "none" | "strange" | "away" | "ready" | "held" | "spent"): string => say(`controller.${state}`);

/** The three directions that a shoulder button puts on the sticks. */
export function controllerTrio(frame: Frame, trio: 0 | 1): string {
  if (frame === "joint") return say("controller.joints", { joints: trio === 0 ? "J1 J2 J3" : "J4 J5 J6" });
  return say(trio === 0 ? "controller.straight" : "controller.turn");
}

/** A direction on the map of a controller, where there is little room: "X +", "∠ X +" for about X, "J1 +". */
export function controllerWay(d: Direction): string {
  const name = d.frame === "joint" ? jointName(d.axis) : (straight(d) ? "" : "\u2220\u00a0") + letterOf(d.axis);
  return `${name}\u00a0${signMark(d.sign)}`;
}
