// A drawing of an arm that is being written, turned by hand. It draws what the bench says: where the arm meets each axis, and which way is plus.
import type { OwnArmMessage } from "../wire";

type Point = [number, number, number];

const half = 300; // of the picture, in its own units
const svg = "http://www.w3.org/2000/svg";
/** Two words are apart by this much, in one way or the other, and where else one may stand, nearest first. */
const ROOM = { x: 29, y: 19 };
const ASIDE = [[0, 0], [0, 20], [0, -20], [30, 0], [-30, 0], [30, 20], [30, -20], [-30, 20], [-30, -20], [0, 40], [0, -40], [60, 0], [-60, 0]] as const;

export class Picture {
  private yaw = -0.9;
  private pitch = 0.42;
  private drawn: OwnArmMessage | null = null;
  private chosen = -1; // the joint that is pointed at
  private size = { of: 0, far: 0 }; // how far this arm has reached from the middle of the picture

  constructor(private readonly root: SVGSVGElement) {
    let from: { x: number; y: number } | null = null;
    root.addEventListener("pointerdown", (e) => {
      from = { x: e.clientX, y: e.clientY };
      root.setPointerCapture(e.pointerId);
    });
    root.addEventListener("pointermove", (e) => {
      if (!from) return;
      this.turn((e.clientX - from.x) * 0.008, (e.clientY - from.y) * 0.008);
      from = { x: e.clientX, y: e.clientY };
    });
    for (const end of ["pointerup", "pointercancel"] as const) root.addEventListener(end, () => (from = null));
    root.addEventListener("keydown", (e) => {
      const by = { ArrowLeft: [-0.12, 0], ArrowRight: [0.12, 0], ArrowUp: [0, -0.12], ArrowDown: [0, 0.12] }[e.key];
      if (!by) return;
      e.preventDefault();
      this.turn(by[0]!, by[1]!);
    });
  }

  set(message: OwnArmMessage): void {
    this.drawn = message;
    this.draw();
  }

  choose(joint: number): void {
    if (this.chosen === joint) return;
    this.chosen = joint;
    this.draw();
  }

  private turn(yaw: number, pitch: number): void {
    this.yaw -= yaw;
    this.pitch = Math.max(-0.2, Math.min(1.5, this.pitch + pitch));
    this.draw();
  }

  private draw(): void {
    const m = this.drawn;
    if (!m) return;
    const way = m.way_mm as Point[];
    let long = 0;
    for (let i = 1; i < way.length; i++) long += length(minus(way[i]!, way[i - 1]!));
    long = Math.max(long, 100);
    const foot = way[0] ?? [0, 0, 0];
    const middle: Point = [foot[0], foot[1], foot[2] + long * 0.3];
    // As large as it can be, and no larger again while its sliders move.
    if (Math.abs(this.size.of - long) > 1e-6 * long) this.size = { of: long, far: long * 0.4 };
    this.size.far = Math.max(this.size.far, ...way.map((p) => length(minus(p, middle))));
    const scale = (half * 0.88) / this.size.far;
    const [cy, sy, cp, sp] = [Math.cos(this.yaw), Math.sin(this.yaw), Math.cos(this.pitch), Math.sin(this.pitch)];
    const at = (p: Point): [number, number] => {
      const [x, y, z] = minus(p, middle);
      const [across, away] = [-sy * x + cy * y, cy * x + sy * y];
      return [across * scale, -(z * cp + -away * sp) * scale];
    };
    const parts: SVGElement[] = [];
    const line = (points: Point[], look: string): void => void parts.push(shape("polyline", { points: points.map((p) => at(p).map((x) => x.toFixed(1)).join(",")).join(" "), class: look }));
    const taken: [number, number][] = []; // where words stand, which give way to those before them
    const text = (p: Point, word: string, look: string): void => {
      const [wantedX, wantedY] = at(p);
      const [x, y] = ASIDE.map(([dx, dy]): [number, number] => [wantedX + dx, wantedY + dy]).find(([x, y]) => taken.every(([a, b]) => Math.abs(x - a) > ROOM.x || Math.abs(y - b) > ROOM.y)) ?? [wantedX, wantedY];
      taken.push([x, y]);
      const label = shape("text", { x: x.toFixed(1), y: y.toFixed(1), class: look });
      label.textContent = word;
      parts.push(label);
    };
    line(ring(foot, [0, 0, 1], long * 0.2, 0, 1), "own-floor");
    const frame = (origin: Point, axes: [Point, Point, Point], size: number): void => {
      for (const [i, letter] of ["X", "Y", "Z"].entries()) {
        line([origin, plus(origin, axes[i]!, size)], `own-axis own-${letter}`);
        text(plus(origin, axes[i]!, size * 1.18), letter, `own-letter own-${letter}`);
      }
    };
    frame([0, 0, 0], [[1, 0, 0], [0, 1, 0], [0, 0, 1]], long * 0.17);
    line(way, "own-way");
    for (const [i, joint] of m.joints.entries()) {
      const [p, axis] = [joint.at_mm as Point, joint.axis as Point];
      const look = i === this.chosen ? " own-chosen" : "";
      line([plus(p, axis, -long * 0.09), plus(p, axis, long * 0.09)], `own-turns${look}`);
      const arc = ring(plus(p, axis, long * 0.06), axis, long * 0.05, 0.05, 0.7);
      line(arc, `own-plus${look}`);
      const tip = arc.at(-1)!;
      const before = arc.at(-4)!;
      const back = unit(minus(before, tip));
      const out = unit(minus(tip, plus(p, axis, long * 0.06)));
      line([plus(plus(tip, back, long * 0.022), out, long * 0.015), tip, plus(plus(tip, back, long * 0.022), out, -long * 0.015)], `own-plus${look}`);
      const [x, y] = at(p);
      parts.push(shape("circle", { cx: x.toFixed(1), cy: y.toFixed(1), r: "7", class: `own-joint${look}` }));
      text(plus(plus(p, axis, long * 0.06), out, long * 0.03), joint.name, `own-name${look}`);
    }
    if (m.end) frame(m.end.p as Point, axesOf(m.end.q), long * 0.08);
    this.root.replaceChildren(...parts);
  }
}

function shape(tag: string, attributes: Record<string, string>): SVGElement {
  const element = document.createElementNS(svg, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  return element;
}

/** Points of a part of a circle about an axis, by the right-hand rule. */
function ring(centre: Point, axis: Point, radius: number, from: number, to: number): Point[] {
  const other: Point = Math.abs(axis[0]) > 0.7 ? [0, 1, 0] : [1, 0, 0];
  const u = unit(cross(axis, other));
  const v = cross(axis, u);
  return Array.from({ length: 33 }, (_, i) => {
    const a = 2 * Math.PI * (from + ((to - from) * i) / 32);
    return plus(plus(centre, u, radius * Math.cos(a)), v, radius * Math.sin(a));
  });
}

const minus = (a: Point, b: Point): Point => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const plus = (a: Point, b: Point, times: number): Point => [a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2]];
const cross = (a: Point, b: Point): Point => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const length = (a: Point): number => Math.hypot(...a);
const unit = (a: Point): Point => {
  const n = length(a) || 1;
  return [a[0] / n, a[1] / n, a[2] / n];
};

/** The axes of a frame from its quaternion x, y, z, w. */
function axesOf([x, y, z, w]: readonly [number, number, number, number]): [Point, Point, Point] {
  return [
    [1 - 2 * (y * y + z * z), 2 * (x * y + z * w), 2 * (x * z - y * w)],
    [2 * (x * y - z * w), 1 - 2 * (x * x + z * z), 2 * (y * z + x * w)],
    [2 * (x * z + y * w), 2 * (y * z - x * w), 1 - 2 * (x * x + y * y)],
  ];
}
