import { type PerspectiveCamera, Vector3 } from "three";
import type { Label } from "./labels";

// Where a label can stand in the picture. All is in px from the middle of what the camera looks at, Y up.

export type Point = readonly [number, number];
export type Line = readonly [Point, Point];

/** A label's middle and size. */
export interface Box {
  x: number;
  y: number;
  w: number;
  h: number;
}

const GAP_PX = 6;
const FARTHEST_PX = 400;
const STEP_PX = 6;
const OUTSIDE_PX = 1000; // worse than any place within

/** What the camera sees, measured in px. */
export class Picture {
  constructor(
    private readonly camera: PerspectiveCamera,
    private readonly perPx: number,
  ) {}

  seen(p: Vector3): Point {
    const at = p.clone().applyMatrix4(this.camera.matrixWorldInverse);
    return [at.x / -at.z / this.perPx, at.y / -at.z / this.perPx];
  }

  /** The place of the world that is seen there, so far from the camera. */
  placeOf([x, y]: Point, depth: number): Vector3 {
    return new Vector3(x * this.perPx * depth, y * this.perPx * depth, -depth).applyMatrix4(this.camera.matrixWorld);
  }

  /** A label's size, once it has been fitted. */
  size(label: Label): { w: number; h: number } {
    return { w: label.object.scale.x / this.perPx, h: label.object.scale.y / this.perPx };
  }

  /** What a label covers that stands at a place. */
  box(at: Vector3, label: Label): Box {
    const [x, y] = this.seen(at);
    const { w, h } = this.size(label);
    const { center } = label.object;
    return { x: x + (0.5 - center.x) * w, y: y + (0.5 - center.y) * h, w, h };
  }
}

/**
 * The nearest place beside a point where a label covers no line and no other label and is within the free part around the
 * middle, as far as that can be; a side once taken is kept if it can be.
 */
export function besides(
  at: Point,
  size: { w: number; h: number },
  lines: readonly Line[],
  taken: readonly Box[],
  free: { w: number; h: number },
  side: number,
): { box: Box; side: number } {
  let best = { cost: Infinity, side: 0, box: { x: at[0], y: at[1], ...size } };
  for (let way = 0; way < WAYS; way++) {
    const turn = (2 * Math.PI * way) / WAYS;
    for (let out = 0; out < FARTHEST_PX; out += STEP_PX) {
      const [right, up] = [out * Math.cos(turn), out * Math.sin(turn)];
      const gap = Math.hypot(Math.max(0, Math.abs(right) - size.w / 2), Math.max(0, Math.abs(up) - size.h / 2));
      const box = { x: at[0] + right, y: at[1] + up, ...size };
      const inside = Math.abs(box.x) + size.w / 2 <= free.w / 2 && Math.abs(box.y) + size.h / 2 <= free.h / 2;
      const cost = gap - (way === side ? 2 * STEP_PX : 0) + (inside ? 0 : OUTSIDE_PX);
      if (cost >= best.cost) continue;
      if (taken.some((t) => overlap(box, t)) || lines.some((l) => crosses(l, box))) continue;
      best = { cost, side: way, box };
      break;
    }
  }
  return best;
}

const WAYS = 12;

function overlap(a: Box, b: Box): boolean {
  return Math.abs(a.x - b.x) < (a.w + b.w) / 2 + 2 && Math.abs(a.y - b.y) < (a.h + b.h) / 2 + 2;
}

/** Whether a line goes through a box or its margin: what is left of it when cut at the four sides (Liang and Barsky, 1984). */
function crosses([from, to]: Line, box: Box): boolean {
  let [begin, end] = [0, 1];
  for (const [k, half] of [[0, box.w / 2 + GAP_PX], [1, box.h / 2 + GAP_PX]] as const) {
    const middle = k === 0 ? box.x : box.y;
    const way = to[k] - from[k];
    const [low, high] = [middle - half - from[k], middle + half - from[k]];
    if (Math.abs(way) < 1e-9) {
      if (low > 0 || high < 0) return false;
      continue;
    }
    begin = Math.max(begin, Math.min(low / way, high / way));
    end = Math.min(end, Math.max(low / way, high / way));
  }
  return begin < end;
}
