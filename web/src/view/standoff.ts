import { type Box, coveredBy, fromLine, inside, type Line, type Point } from "./beside";

// Where a thing that stands for a place is put beside it, so that it hides least of what is there. All is in px.

/** A stretch of something, with its half thickness. */
export interface Rod {
  line: Line;
  radius: number;
}

/** What had better not be hidden: points of so large a radius, and how much each counts. */
export interface Dot {
  at: Point;
  radius: number;
  weight: number;
}

const WAYS = 16;
const STEPS = 9;
const STEP = 0.2; // of the size of what is moved
const LETTER = 6; // a label counts as much as so many dots
const STAYS = 0.7; // another place has to be better by so much

/**
 * How far something made of rods is moved off its place: the nearest of the places around it that hide least. A way along
 * the preferred line is as good as a somewhat nearer place.
 */
export function standOff(
  rods: readonly Rod[],
  dots: readonly Dot[],
  labels: readonly Box[],
  free: { w: number; h: number },
  line: Point | null,
  kept: number,
): { off: Point; place: number } {
  const edges = rods.map(around).flatMap((b) => [[b.x - b.w / 2, b.y - b.h / 2], [b.x + b.w / 2, b.y + b.h / 2]] as Point[]);
  const size = Math.max(...[0, 1].map((k) => Math.max(...edges.map((e) => e[k]!)) - Math.min(...edges.map((e) => e[k]!))));
  const ways: Point[] = Array.from({ length: WAYS }, (_, i) => [Math.cos((2 * Math.PI * i) / WAYS), Math.sin((2 * Math.PI * i) / WAYS)]);
  if (line) ways.push(line, [-line[0], -line[1]]);
  let best: { cost: number; off: Point; place: number } = { cost: Infinity, off: [0, 0], place: 0 };
  for (let place = 0; place <= ways.length * STEPS; place++) {
    const way = (place - 1) % ways.length;
    const step = place === 0 ? 0 : 1 + Math.floor((place - 1) / ways.length);
    const far = step * STEP * size;
    const off: Point = step === 0 ? [0, 0] : [ways[way]![0] * far, ways[way]![1] * far];
    let cost = 0.6 * step - (place === kept ? STAYS : 0) - (way >= WAYS ? 0.4 : 0);
    if (cost >= best.cost) continue;
    const moved = rods.map((r): Rod => ({ line: r.line.map(([x, y]): Point => [x + off[0], y + off[1]]) as [Point, Point], radius: r.radius }));
    for (const dot of dots) if (moved.some((r) => fromLine(dot.at, r.line) < r.radius + dot.radius)) cost += dot.weight;
    const boxes = moved.map(around);
    for (const label of labels) if (boxes.some((b) => coveredBy(label, b, 2) > 0)) cost += LETTER;
    for (const box of boxes) if (!inside(box, free)) cost += 3;
    if (cost < best.cost) best = { cost, off, place };
  }
  return best;
}

/** The box around a rod. */
export function around({ line: [from, to], radius }: Rod): Box {
  return {
    x: (from[0] + to[0]) / 2,
    y: (from[1] + to[1]) / 2,
    w: Math.abs(to[0] - from[0]) + 2 * radius,
    h: Math.abs(to[1] - from[1]) + 2 * radius,
  };
}
