// What the sticks of a game controller do. The numbers of sticks and buttons are those of the standard layout of the W3C
// Gamepad specification ("standard gamepad", section "Remapping"; from memory).
import type { Direction, Frame } from "../wire";

export type Side = "left" | "right";
export type Push = "up" | "down" | "left" | "right";

/** Three directions are in hand at a time: straight ones (or J1 to J3) with the left shoulder, turns (J4 to J6) with the right. */
export type Trio = 0 | 1;

export const shoulders: Record<Side, number> = { left: 4, right: 5 };
export const triggers: Record<Side, number> = { left: 6, right: 7 };
const axes: Record<Side, [x: number, y: number]> = { left: [0, 1], right: [2, 3] };

// Seen from behind the base, with X away, Y to the left and Z up: a stick goes, or tips the tool, the way it is pushed.
const straightWays: [axis: number, plus: [Side, Push], minus: [Side, Push]][] = [
  [0, ["left", "up"], ["left", "down"]],
  [1, ["left", "left"], ["left", "right"]],
  [2, ["right", "up"], ["right", "down"]],
];
const turnWays: typeof straightWays = [
  [3, ["left", "right"], ["left", "left"]],
  [4, ["left", "up"], ["left", "down"]],
  [5, ["right", "left"], ["right", "right"]],
];
const jointWays: typeof straightWays = [
  [0, ["left", "left"], ["left", "right"]],
  [1, ["left", "up"], ["left", "down"]],
  [2, ["right", "up"], ["right", "down"]],
];

/** What a stick does when it is pushed that way; null for nothing. */
export function wayOf(frame: Frame, task: string, trio: Trio, side: Side, push: Push): Direction | null {
  const ways = trio === 1 ? turnWays : frame === "joint" ? jointWays : straightWays;
  for (const [axis, plus, minus] of ways) {
    for (const [[s, p], sign] of [[plus, 1], [minus, -1]] as const) if (s === side && p === push) return { frame, task, axis, sign };
  }
  return null;
}

const dead = 0.2; // of a stick's travel: a stick that is let go does not come back to its middle exactly,
const full = 0.95; // and one that is pushed home does not quite get to its end
const clearly = 1.3; // times as far a stick must be pushed to the other axis before it changes over

/** How a stick is pushed: where it is, which way, and how far beyond the dead zone, 0 to 1. */
export interface Stick {
  x: number;
  y: number;
  push: Push | null;
  part: number;
}

/** Reads a stick. It goes one way at a time, the one it is pushed farther; before says which way it went until now. */
export function stickOf(values: readonly number[], side: Side, before: Push | null): Stick {
  const [x, y] = axes[side].map((i) => sound(values[i])) as [number, number];
  const was = before === "left" || before === "right" ? "x" : before ? "y" : "";
  const [ax, ay] = [Math.abs(x) * (was === "x" ? clearly : 1), Math.abs(y) * (was === "y" ? clearly : 1)];
  const along = ax >= ay ? x : y;
  if (Math.abs(along) <= dead) return { x, y, push: null, part: 0 };
  const push: Push = ax >= ay ? (x > 0 ? "right" : "left") : y > 0 ? "down" : "up";
  return { x, y, push, part: Math.min(1, (Math.abs(along) - dead) / (full - dead)) };
}

/** How far a trigger is pulled, 0 to 1. */
export const pulled = (button: GamepadButton | undefined): number => {
  const value = sound(button?.value);
  return value > dead ? value : 0;
};

function sound(value: number | undefined): number {
  return Number.isFinite(value) ? Math.min(1, Math.max(-1, value!)) : 0;
}
