import type { Box, Point } from "./beside";

// Labels give way to each other: the more important one stands where it wants to, the next beside it, and one for which there is no
// room near its place is left out. All is in px.

/** How far apart two labels stand at least. */
const GAP_PX = 2;
const STEP_PX = 4;
const WAYS = 16;
/** Where it can be looked for, nearest first; straight beside and above before askew. */
const turns = Array.from({ length: WAYS }, (_, i) => (2 * Math.PI * i) / WAYS).sort((a, b) => skew(a) - skew(b));

/** How far an angle is from the nearest of right, above, left and below. */
function skew(angle: number): number {
  const quarter = Math.PI / 2;
  return Math.abs(angle - Math.round(angle / quarter) * quarter);
}

/** Whether two boxes lie over each other, or too near. */
export function over(a: Box, b: Box, gap = GAP_PX): boolean {
  return Math.abs(a.x - b.x) < (a.w + b.w) / 2 + gap && Math.abs(a.y - b.y) < (a.h + b.h) / 2 + gap;
}

/** Whether any of a box is in the free part around the middle. */
export const inSight = (box: Box, free: { w: number; h: number }): boolean => Math.abs(box.x) - box.w / 2 < free.w / 2 && Math.abs(box.y) - box.h / 2 < free.h / 2;

/**
 * By how much a label has to be moved to cover nothing of what is taken: not at all where it wants to be is free, else as it was
 * moved before where that still does, else as little as can be. Null where there is no such place so near, or none within the free
 * part around the middle.
 */
export function settle(wish: Box, taken: readonly Box[], free: { w: number; h: number }, farthest: number, before: Point | null): Point | null {
  const within = (x: number, y: number): boolean => Math.abs(wish.x + x) + wish.w / 2 <= free.w / 2 && Math.abs(wish.y + y) + wish.h / 2 <= free.h / 2;
  const at = { ...wish };
  const does = (x: number, y: number): boolean => {
    if (!within(x, y)) return false;
    at.x = wish.x + x;
    at.y = wish.y + y;
    return !taken.some((t) => over(at, t));
  };
  if (does(0, 0)) return [0, 0];
  if (before && does(before[0], before[1])) return before;
  for (let out = STEP_PX; out <= farthest; out += STEP_PX) {
    for (const turn of turns) {
      const [x, y] = [out * Math.cos(turn), out * Math.sin(turn)];
      if (does(x, y)) return [x, y];
    }
  }
  return null;
}
