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

  /** How far a place is in front of the camera. */
  depth(p: Vector3): number {
    return -p.clone().applyMatrix4(this.camera.matrixWorldInverse).z;
  }

  /** How large a millimetre is seen at a place. */
  pxPerMm(p: Vector3): number {
    return 1 / (this.depth(p) * this.perPx);
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
    return { x: x + (0.5 - center.x + label.off.x) * w, y: y + (0.5 - center.y + label.off.y) * h, w, h };
  }

  /** What a label covers. */
  boxOf(label: Label): Box {
    return this.box(label.object.getWorldPosition(new Vector3()), label);
  }

  /** Lets a label whose place is seen at a point cover a box. */
  stand(label: Label, at: Point, { x, y, w, h }: Box): void {
    label.object.center.set(0.5 - (x - at[0]) / w, 0.5 - (y - at[1]) / h);
  }

  /** Moves a label into the free part of the picture, and off what is taken above or below; what it covers then. */
  keepIn(label: Label, taken: readonly Box[], free: Size): Box {
    const at = this.seen(label.object.getWorldPosition(new Vector3()));
    const box = clamped(this.boxOf(label), free);
    const under = taken.find((t) => overlap(box, t));
    if (under) {
      const [below, above] = [-1, 1].map((way) => clamped({ ...box, y: under.y + way * ((under.h + box.h) / 2 + 3) }, free));
      const next = Math.abs(below!.y - box.y) < Math.abs(above!.y - box.y) ? [below!, above!] : [above!, below!];
      box.y = (next.find((b) => !taken.some((t) => overlap(b, t))) ?? box).y;
    }
    this.stand(label, at, box);
    return box;
  }
}

interface Size {
  w: number;
  h: number;
}

/** Whether a box is in the free part around the middle. */
export function inside(box: Box, free: Size): boolean {
  return Math.abs(box.x) + box.w / 2 <= free.w / 2 && Math.abs(box.y) + box.h / 2 <= free.h / 2;
}

function clamped(box: Box, free: Size): Box {
  const within = (at: number, size: number, room: number): number => {
    const most = Math.max(0, (room - size) / 2 - 2);
    return Math.min(most, Math.max(-most, at));
  };
  return { ...box, x: within(box.x, box.w, free.w), y: within(box.y, box.h, free.h) };
}

/** A place that was taken for a label, to be kept if it can be. */
export interface Kept {
  part: number; // of the line, from its beginning
  way: number;
}

/**
 * The place nearest the middle of a line where a label touches that line, and covers no other line and no other label and
 * is within the free part; null where there is none. Where the line goes on at both sides of it, it may lie on the line.
 */
export function atLine(
  own: Line,
  size: Size,
  lines: readonly Line[],
  taken: readonly Box[],
  free: Size,
  kept: Kept | null,
): { box: Box; kept: Kept } | null {
  const [from, to] = own;
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const length = Math.hypot(dx, dy);
  // How much of the line a label that lies on it hides.
  const hides = length < 1 ? Infinity : Math.min((size.w * length) / Math.max(Math.abs(dx), 1e-9), (size.h * length) / Math.max(Math.abs(dy), 1e-9));
  let best: { cost: number; box: Box; kept: Kept } | null = null;
  for (const part of PARTS) {
    const at: Point = [from[0] + part * dx, from[1] + part * dy];
    const onIt = Math.min(part, 1 - part) * length > hides * 0.75;
    for (let way = onIt ? -1 : 0; way < WAYS; way++) {
      const turn = (2 * Math.PI * way) / WAYS;
      let out = way < 0 ? 0 : TOUCH_PX;
      const box = { x: at[0], y: at[1], ...size };
      if (way >= 0) {
        for (; out < size.w; out += 2) {
          [box.x, box.y] = [at[0] + out * Math.cos(turn), at[1] + out * Math.sin(turn)];
          if (!crosses(own, box, TOUCH_PX)) break;
        }
      }
      const same = kept?.part === part && kept.way === way;
      const cost = out + Math.abs(part - 0.5) * length - (same ? 2 * STEP_PX : 0);
      if (cost >= (best?.cost ?? Infinity) || !inside(box, free)) continue;
      if (taken.some((t) => overlap(box, t)) || lines.some((l) => l !== own && crosses(l, box))) continue;
      best = { cost, box, kept: { part, way } };
    }
  }
  return best;
}

const PARTS = [0.5, 0.35, 0.65, 0.2, 0.8];
const TOUCH_PX = 3;

/** How far a point is from a line. */
export function fromLine(p: Point, [a, b]: Line): number {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const t = Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / Math.max(dx * dx + dy * dy, 1e-9)));
  return Math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy);
}

/** The place on a box's edge nearest to a point outside. */
export function edgeTowards(box: Box, [x, y]: Point): Point {
  const within = (at: number, middle: number, size: number): number => Math.min(middle + size / 2, Math.max(middle - size / 2, at));
  return [within(x, box.x, box.w), within(y, box.y, box.h)];
}

/** How much of a box another covers, with a margin, 0 to 1. */
export function coveredBy(box: Box, other: Box, margin = 0): number {
  const across = (a: number, b: number, sizes: number): number => Math.max(0, sizes / 2 + margin - Math.abs(a - b));
  const [w, h] = [across(box.x, other.x, box.w + other.w), across(box.y, other.y, box.h + other.h)];
  return (Math.min(w, box.w) * Math.min(h, box.h)) / (box.w * box.h);
}

/**
 * The nearest place beside a point where a label covers no line and no other label and is within the free part around the
 * middle, as far as that can be; a side once taken is kept if it can be. Not every place may suit.
 */
export function besides(
  at: Point,
  size: Size,
  lines: readonly Line[],
  taken: readonly Box[],
  free: Size,
  side: number,
  suits: (box: Box) => boolean = () => true,
): { box: Box; side: number } {
  let best = { cost: Infinity, side: 0, box: { x: at[0], y: at[1], ...size } };
  for (let way = 0; way < WAYS; way++) {
    const turn = (2 * Math.PI * way) / WAYS;
    for (let out = 0; out < FARTHEST_PX; out += STEP_PX) {
      const [right, up] = [out * Math.cos(turn), out * Math.sin(turn)];
      const gap = Math.hypot(Math.max(0, Math.abs(right) - size.w / 2), Math.max(0, Math.abs(up) - size.h / 2));
      const box = { x: at[0] + right, y: at[1] + up, ...size };
      const within = inside(box, free);
      const cost = gap - (way === side ? 2 * STEP_PX : 0) + (within ? 0 : OUTSIDE_PX);
      if (cost >= best.cost) continue;
      if (taken.some((t) => overlap(box, t)) || lines.some((l) => crosses(l, box)) || !suits(box)) continue;
      best = { cost, side: way, box };
      if (within) break; // farther out is no better
    }
  }
  return best;
}

/** In how many ways round a point a place is looked for. */
export const WAYS = 12;

function overlap(a: Box, b: Box): boolean {
  return Math.abs(a.x - b.x) < (a.w + b.w) / 2 + 2 && Math.abs(a.y - b.y) < (a.h + b.h) / 2 + 2;
}

/** Whether a line goes through a box or its margin: what is left of it when cut at the four sides (Liang and Barsky, 1984). */
function crosses([from, to]: Line, box: Box, margin = GAP_PX): boolean {
  let [begin, end] = [0, 1];
  for (const [k, half] of [[0, box.w / 2 + margin], [1, box.h / 2 + margin]] as const) {
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
