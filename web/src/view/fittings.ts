import {
  BoxGeometry,
  BufferAttribute,
  type BufferGeometry,
  CircleGeometry,
  type Color,
  LatheGeometry,
  Matrix4,
  Vector2,
  Vector3,
} from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";
import { capSize, type Foot, type Hub, yokeParts } from "./hubs";
import { armColours } from "./palette";

/** The turned and engraved parts at a joint: what stays with the inner link, and what goes round with the outer one. */
export interface Fittings {
  inner: BufferGeometry[];
  outer: BufferGeometry[];
}

/** Rings, dials and index marks of a hub; the marks of both sides meet. */
export function hubFittings(hub: Hub): Fittings {
  return hub.kind === "yoke" ? yokeFittings(hub) : collarFittings(hub);
}

/** The flange: a plate with a ring of holes, its face in the flange's X-Y plane. */
export function flangePlate(radius: number, frame: Matrix4): BufferGeometry[] {
  const thick = radius * 0.24;
  const parts = [
    turned([[0, -thick], [radius * 0.96, -thick], [radius, -thick * 0.8], [radius, -thick * 0.25], [radius * 0.94, 0], [radius * 0.36, 0], [radius * 0.32, -thick * 0.3], [0, -thick * 0.3]], armColours.slip),
  ];
  for (let i = 0; i < 6; i++) {
    const hole = new CircleGeometry(radius * 0.09, 16).toNonIndexed();
    const a = (i * Math.PI) / 3 + Math.PI / 6;
    parts.push(painted(hole, armColours.steel).applyMatrix4(new Matrix4().makeTranslation(radius * 0.66 * Math.cos(a), radius * 0.66 * Math.sin(a), 0.3)));
  }
  // One mark at the flange's +X, so that a turn of the last joint can be seen.
  parts.push(bar(radius * 0.22, radius * 0.08, 0.8, armColours.ring).applyMatrix4(new Matrix4().makeTranslation(radius * 0.76, 0, 0)));
  return parts.map((p) => p.applyMatrix4(frame));
}

/** A round foot with bolts, where the base stands on its mounting surface. */
export function footPlate(foot: Foot): BufferGeometry[] {
  const [r, h] = [foot.radius * 1.32, foot.radius * 0.2];
  const parts = [turned([[r, 0], [r, h * 0.75], [r * 0.975, h], [0, h]], armColours.slip)];
  for (let i = 0; i < 8; i++) {
    const a = ((i + 0.5) * Math.PI) / 4;
    const bolt = turned([[r * 0.055, 0], [r * 0.055, h * 0.3], [r * 0.03, h * 0.38], [0, h * 0.38]], armColours.steel);
    parts.push(bolt.translate(r * 0.885 * Math.cos(a), r * 0.885 * Math.sin(a), h));
  }
  const { x, y, z } = foot.centre;
  return parts.map((p) => p.translate(x, y, z));
}

function collarFittings(hub: Hub): Fittings {
  const { radius: r, half: h } = hub;
  const gap = h * 0.12;
  const frame = hubFrame(hub.centre, hub.axis.clone().multiplyScalar(hub.toward));
  const inner = [
    turned([[0, -h], [r * 0.9, -h], [r, -h * 0.72], [r, -gap * 1.6], [r * 0.985, -gap], [0, -gap]], armColours.slip),
    turned([[r * 0.97, -gap], [r * 0.97, gap]], armColours.ring),
  ];
  const outer = [
    turned([[0, gap], [r * 0.985, gap], [r, gap * 1.6], [r, h * 0.72], [r * 0.9, h], [0, h]], armColours.slip),
  ];
  for (let i = 0; i < 24; i++) {
    const main = i % 6 === 0;
    const size = main ? 0.5 : 0.22;
    inner.push(sideMark(i * 15, r, -gap * 1.8 - h * size * 0.5, h * size, r * (main ? 0.05 : 0.026), armColours.mark));
  }
  for (let i = 0; i < 4; i++) outer.push(sideMark(i * 90, r, gap * 1.8 + h * 0.25, h * 0.5, r * (i === 0 ? 0.11 : 0.05), i === 0 ? armColours.ring : armColours.mark));
  for (const part of [...inner, ...outer]) part.applyMatrix4(frame);
  for (const cap of hub.caps) {
    const c = cap.radius * capSize;
    const lid = [
      turned([[c, -c * 0.1], [c, c * 0.02], [c * 0.97, c * 0.05]], armColours.ring),
      turned([[c * 0.97, c * 0.05], [c * 0.95, c * 0.1], [c * 0.88, c * 0.13], [0, c * 0.13]], armColours.slip),
    ];
    const lidFrame = hubFrame(cap.centre, cap.out);
    (cap.of === "inner" ? inner : outer).push(...lid.map((p) => p.applyMatrix4(lidFrame)));
  }
  return { inner, outer };
}

function yokeFittings(hub: Hub): Fittings {
  const { radius: r, half } = hub;
  const inner: BufferGeometry[] = [];
  const outer: BufferGeometry[] = [];
  // The dark core shows in the slots between the band and the cheeks.
  inner.push(turned([[r * 0.94, -half * yokeParts.cheekTo], [r * 0.94, half * yokeParts.cheekTo]], armColours.slip).applyMatrix4(hubFrame(hub.centre, hub.axis)));
  for (const side of [1, -1]) {
    const frame = hubFrame(hub.centre, hub.axis.clone().multiplyScalar(side));
    const base = half * yokeParts.cheekTo;
    const top = half * yokeParts.capTo;
    const rim = [
      turned([[r * 0.965, base - r * 0.02], [r * 0.965, base + r * 0.025]], armColours.ring),
      turned([[r * 0.965, base + r * 0.025], [r * 0.9, base + r * 0.025]], armColours.ring),
      turned([[r * 0.93, base], [r * 0.93, top - r * 0.07], [r * 0.87, top], [r * 0.6, top], [r * 0.57, top - r * 0.05]], armColours.slip),
    ];
    for (let i = 0; i < 24; i++) {
      const main = i % 6 === 0;
      rim.push(faceMark(i * 15, r * (main ? 0.735 : 0.8), top, r * (main ? 0.21 : 0.09), r * (main ? 0.04 : 0.02), armColours.mark));
    }
    const dial = [
      turned([[r * 0.57, top - r * 0.05], [r * 0.55, top - r * 0.03], [0, top - r * 0.03]], armColours.steel),
      faceMark(0, r * 0.38, top - r * 0.03, r * 0.34, r * 0.1, armColours.ring),
      turned([[r * 0.17, top - r * 0.03], [r * 0.15, top + r * 0.01], [0, top + r * 0.01]], armColours.slip),
    ];
    for (const part of rim) inner.push(part.applyMatrix4(frame));
    for (const part of dial) outer.push(part.applyMatrix4(frame));
  }
  return { inner, outer };
}

/** A frame at the hub whose Z is the axis, and whose X, where the index marks are, points as far up as it can. */
function hubFrame(centre: Vector3, axis: Vector3): Matrix4 {
  const up = Math.abs(axis.z) > 0.7 ? new Vector3(-1, 0, 0) : new Vector3(0, 0, 1);
  const x = up.addScaledVector(axis, -up.dot(axis)).normalize();
  const y = new Vector3().crossVectors(axis, x);
  return new Matrix4().makeBasis(x, y, axis).setPosition(centre);
}

/** A solid of revolution about Z from [radius, z] points, with crisp edges between its faces. */
export function turned(profile: [number, number][], colour: Color): BufferGeometry {
  const faces: BufferGeometry[] = [];
  for (let i = 1; i < profile.length; i++) {
    const [a, b] = [profile[i - 1]!, profile[i]!];
    const face = new LatheGeometry([new Vector2(a[0], a[1]), new Vector2(b[0], b[1])], 64);
    faces.push(face.toNonIndexed().rotateX(Math.PI / 2));
  }
  return painted(mergeGeometries(faces), colour);
}

/** An index mark on the hub's face, from its middle outwards. */
function faceMark(deg: number, radius: number, z: number, length: number, width: number, colour: Color): BufferGeometry {
  const place = new Matrix4().makeRotationZ((deg * Math.PI) / 180).multiply(new Matrix4().makeTranslation(radius, 0, z));
  return bar(length, width, 0.016 * radius + 0.4, colour).applyMatrix4(place);
}

/** An index mark on the hub's side, along the axis. */
function sideMark(deg: number, radius: number, z: number, length: number, width: number, colour: Color): BufferGeometry {
  const place = new Matrix4().makeRotationZ((deg * Math.PI) / 180).multiply(new Matrix4().makeTranslation(radius, 0, z));
  const box = new BoxGeometry(0.02 * radius + 0.4, width, length).toNonIndexed();
  return painted(box, colour).applyMatrix4(place);
}

function bar(length: number, width: number, height: number, colour: Color): BufferGeometry {
  return painted(new BoxGeometry(length, width, height).toNonIndexed(), colour);
}

/** Gives a shape one colour, as vertex colours, and drops what the arm's materials do not use. */
export function painted(shape: BufferGeometry, colour: Color): BufferGeometry {
  const count = shape.getAttribute("position").count;
  const colours = new Float32Array(3 * count);
  for (let i = 0; i < count; i++) colour.toArray(colours, 3 * i);
  shape.setAttribute("color", new BufferAttribute(colours, 3));
  shape.deleteAttribute("uv");
  return shape;
}
