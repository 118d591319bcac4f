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
  const boxes = rods.map(around);
  const edges = boxes.flatMap((b) => [[b.x - b.w / 2, b.y - b.h / 2], [b.x + b.w / 2, b.y + b.h / 2]] as Point[]);
  const size = Math.max(...[0, 1].map((k) => Math.max(...edges.map((e) => e[k]!)) - Math.min(...edges.map((e) => e[k]!))));
  const ways: Point[] = Array.from({ length: WAYS }, (_, i) => [Math.cos((2 * Math.PI * i) / WAYS), Math.sin((2 * Math.PI * i) / WAYS)]);
  if (line) ways.push(line, [-line[0], -line[1]]);
  const count = 1 + ways.length * STEPS;
  let best: { cost: number; off: Point; place: number } = { cost: Infinity, off: [0, 0], place: 0 };
  const look = (place: number): void => {
    const way = (place - 1) % ways.length;
    const step = place === 0 ? 0 : 1 + Math.floor((place - 1) / ways.length);
    let cost = 0.6 * step - (place === kept ? STAYS : 0) - (way >= WAYS ? 0.4 : 0);
    if (cost >= best.cost) return;
    const [x, y]: Point = step === 0 ? [0, 0] : [ways[way]![0] * step * STEP * size, ways[way]![1] * step * STEP * size];
    for (const box of boxes) if (!inside({ ...box, x: box.x + x, y: box.y + y }, free)) cost += 3;
    for (const label of labels) {
      if (cost >= best.cost) return;
      const back = { ...label, x: label.x - x, y: label.y - y };
      if (boxes.some((b) => coveredBy(back, b, 2) > 0)) cost += LETTER;
    }
    for (const dot of dots) {
      if (cost >= best.cost) return;
      const back: Point = [dot.at[0] - x, dot.at[1] - y];
      if (rods.some((r) => fromLine(back, r.line) < r.radius + dot.radius)) cost += dot.weight;
    }
    if (cost < best.cost) best = { cost, off: [x, y], place };
  };
  // The place where it is first: most others are soon seen to be no better.
  if (kept < count) look(kept);
  for (let place = 0; place < count; place++) if (place !== kept) look(place);
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
