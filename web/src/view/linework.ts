// The scene as lines, to be drawn on paper: the arm's links and tool, what stands around it, and the coordinate walk with its numbers. What is behind something
// is not seen. All is in px from the top left corner of a picture.
import { Matrix4, type PerspectiveCamera, Vector3 } from "three";
import type { ArmMessage, Capsule, CellMessage, ThingView, ToolView } from "../wire";
import type { Arm } from "./arm";
import { letters, units } from "./axes";
import { Picture } from "./beside";
import type { Hub } from "./hubs";
import type { Label } from "./labels";
import { palettes } from "./palette";
import { matrixOf } from "./place";
import type { Walk } from "./walk";

export type Spot = readonly [x: number, y: number];

/** A body's outline, or that of a thing: filled shapes, whose common edge is drawn, and lines upon them. */
export interface Shape {
  what: "link" | "tool" | "thing";
  outlines: Spot[][];
  lines: Spot[][];
}

/** A dimension line with its number. */
export interface Dimension {
  from: Spot;
  to: Spot;
  axis: number; // 0 to 2; 3 for the height of the origin
  text: string;
  at: Spot; // the middle of the text
  size: { w: number; h: number }; // what it takes
}

export interface Linework {
  width: number;
  height: number;
  shapes: Shape[]; // those behind before those in front
  joints: Spot[];
  dimensions: Dimension[];
  axes: { to: Spot; letter: string; at: Spot }[]; // of the frame that is read in, from its origin
  origin: Spot;
  tip: Spot;
  colours: readonly string[]; // of X, Y and Z on paper
}

interface From {
  width: number;
  height: number;
  camera: PerspectiveCamera;
  arm: Arm;
  message: ArmMessage;
  hubs: readonly Hub[];
  tool: ToolView | undefined;
  cell: CellMessage | null;
  walk: Walk;
  read: Matrix4; // the frame that is read in, in the world
}

/** A part of the scene that is convex, or nearly so: its points with a radius, and the planes of its faces where it has some. */
interface Solid {
  shape: Shape;
  points: { p: Vector3; r: number }[];
  planes: { at: Vector3; out: Vector3 }[];
}

export function lineworkOf(from: From): Linework {
  const { width, height, camera, arm, message, hubs, tool, cell, walk, read } = from;
  const perPx = (2 * Math.tan((camera.fov * Math.PI) / 360)) / height;
  const picture = new Picture(camera, perPx);
  const spot = (p: Vector3): Spot => {
    const [x, y] = picture.seen(p);
    return [width / 2 + x, height / 2 - y];
  };
  const paper: Paper = { spot, pxPerMm: (p) => picture.pxPerMm(p), eye: camera.position };
  const solids: Solid[] = (cell?.things ?? []).map((thing) => solidOf(thing, paper)).filter((s) => s !== null);
  arm.links.forEach((link, i) => {
    const body = message.body.filter((c) => c.link === i);
    if (body.length > 0) solids.push(bodyOf("link", body, link.matrixWorld, paper));
  });
  if (tool && tool.body.length > 0) solids.push(bodyOf("tool", tool.body, arm.flange.matrixWorld, paper));

  const textOf = (label: Label): Pick<Dimension, "text" | "at" | "size"> => {
    const { x, y, w, h } = picture.boxOf(label);
    return { text: label.text, at: [width / 2 + x, height / 2 - y], size: { w, h } };
  };
  const lines = walk.lines;
  const origin = new Vector3().applyMatrix4(read);
  const length = message.reach_mm * 0.16;
  return {
    width,
    height,
    shapes: inOrder(solids, camera.position).map((s) => s.shape),
    joints: hubs.map((hub, i) => spot(hub.centre.clone().applyMatrix4(arm.links[i]!.matrixWorld))),
    dimensions: lines.map(([a, b], axis) => ({ from: spot(a), to: spot(b), axis, ...textOf(walk.labels[axis]!) })),
    axes: units.map((unit, i) => {
      const end = (part: number): Spot => spot(unit.clone().multiplyScalar(length * part).applyMatrix4(read));
      return { to: end(1), letter: letters[i]!, at: end(1.16) };
    }),
    origin: spot(origin),
    tip: spot(lines[2]![1]),
    colours: palettes.light.axes,
  };
}

/** How places are seen. */
interface Paper {
  spot: (p: Vector3) => Spot;
  pxPerMm: (p: Vector3) => number;
  eye: Vector3;
}

/** Capsules that one link carries. */
function bodyOf(what: "link" | "tool", body: readonly Capsule[], place: Matrix4, paper: Paper): Solid {
  const points: Solid["points"] = [];
  const outlines = body.map((c) => {
    const [a, b] = [c.from_mm, c.to_mm].map((p) => new Vector3(...p).applyMatrix4(place)) as [Vector3, Vector3];
    points.push({ p: a, r: c.radius_mm }, { p: b, r: c.radius_mm });
    return hull([...circle(a, c.radius_mm, paper), ...circle(b, c.radius_mm, paper)]);
  });
  return { shape: { what, outlines, lines: [] }, points, planes: [] };
}

/** A ball as it is seen. */
function circle(middle: Vector3, radius: number, { spot, pxPerMm }: Paper): Spot[] {
  const [x, y] = spot(middle);
  const r = radius * pxPerMm(middle);
  return Array.from({ length: 40 }, (_, i): Spot => [x + r * Math.cos((i * Math.PI) / 20), y + r * Math.sin((i * Math.PI) / 20)]);
}

/** A thing of the cell; null for the floor or a wall. */
function solidOf(thing: ThingView, paper: Paper): Solid | null {
  const place = matrixOf(thing.place);
  const [a, b, c] = thing.size_mm;
  const at = (x: number, y: number, z: number): Vector3 => new Vector3(x, y, z).applyMatrix4(place);
  if (thing.shape === "sphere") {
    const middle = at(0, 0, 0);
    return { shape: { what: "thing", outlines: [hull(circle(middle, a, paper))], lines: [] }, points: [{ p: middle, r: a }], planes: [] };
  }
  // The rims of its two ends, one above the other.
  const rim: [number, number][] =
    thing.shape === "box"
      ? [[a / 2, b / 2], [-a / 2, b / 2], [-a / 2, -b / 2], [a / 2, -b / 2]]
      : thing.shape === "cylinder"
        ? Array.from({ length: 36 }, (_, i): [number, number] => [a * Math.cos((i * Math.PI) / 18), a * Math.sin((i * Math.PI) / 18)])
        : [];
  if (rim.length === 0) return null;
  const ends = [-c / 2, c / 2].map((z) => rim.map(([x, y]) => at(x, y, z)));
  const faces = [[...ends[0]!].reverse(), ends[1]!, ...rim.map((_, i) => { const k = (i + 1) % rim.length; return [ends[0]![i]!, ends[0]![k]!, ends[1]![k]!, ends[1]![i]!]; })];
  const planes = faces.map((face) => ({ at: face[0]!, out: face[1]!.clone().sub(face[0]!).cross(face[2]!.clone().sub(face[0]!)).normalize() }));
  const seen = faces.filter((_, i) => planes[i]!.out.dot(paper.eye.clone().sub(planes[i]!.at)) > 0);
  const sharp = thing.shape === "box" ? seen : seen.filter((face) => face.length === rim.length); // the side of a cylinder has no edges
  const points = ends.flat();
  return {
    shape: { what: "thing", outlines: [hull(points.map(paper.spot))], lines: sharp.map((face) => [...face, face[0]!].map(paper.spot)) },
    points: points.map((p) => ({ p, r: 0 })),
    planes,
  };
}

/** What is behind before what is in front of it, as one sees it from a point. */
function inOrder(solids: Solid[], eye: Vector3): Solid[] {
  const left = [...solids];
  const ordered: Solid[] = [];
  while (left.length > 0) {
    const next = left.find((one) => left.every((other) => one === other || hides(one, other, eye) <= 0)) ?? left[0]!; // things that hide each other have no order
    left.splice(left.indexOf(next), 1);
    ordered.push(next);
  }
  return ordered;
}

/** Above 0 where one may hide the other, below 0 where the other may hide it. */
function hides(one: Solid, other: Solid, eye: Vector3): number {
  return asideOf(other, one, eye) || -asideOf(one, other, eye) || depth(other, eye) - depth(one, eye);
}

/** Whether a face parts it from another one: 1 where that one is on the eye's side of it, -1 where it is not, 0 where none does. */
function asideOf({ planes }: Solid, other: Solid, eye: Vector3): number {
  const SLACK = 1; // mm, for what stands on another
  for (const { at, out } of planes) {
    if (other.points.some(({ p, r }) => out.dot(p.clone().sub(at)) < r - SLACK)) continue;
    return out.dot(eye.clone().sub(at)) > 0 ? 1 : -1;
  }
  return 0;
}

const depth = ({ points }: Solid, eye: Vector3): number => points.reduce((sum, { p }) => sum + p.distanceTo(eye), 0) / points.length;

/** The points around all others, one after the other. */
export function hull(points: readonly Spot[]): Spot[] {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const half = (along: readonly Spot[]): Spot[] => {
    const out: Spot[] = [];
    for (const p of along) {
      while (out.length > 1 && turn(out.at(-2)!, out.at(-1)!, p) <= 0) out.pop();
      out.push(p);
    }
    return out.slice(0, -1);
  };
  return [...half(sorted), ...half([...sorted].reverse())];
}

const turn = (a: Spot, b: Spot, c: Spot): number => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
