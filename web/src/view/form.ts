import { Box3, BufferAttribute, type BufferGeometry, Matrix4, Vector3 } from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";
import type { ArmMessage, ToolView } from "../wire";
import { cast, type Rod } from "./casting";
import { flangePlate, footPlate, hubFittings, painted } from "./fittings";
import { fillet, type Hub, layOut, rodOf } from "./hubs";
import { armColours } from "./palette";
import { matrixOf } from "./place";

/** A link's shapes at the measured pose, in the base frame. */
export interface LinkForm {
  shell: BufferGeometry | null; // the casting
  fittings: BufferGeometry | null; // turned parts and marks
}

/** The arm's shapes, made once and drawn both as the arm and as its ghost. */
export interface ArmForm {
  links: LinkForm[];
  hubs: Hub[];
  found?: boolean; // some of it comes from files
}

/** The same arm with other shapes for the links that have one. */
export function dressed(form: ArmForm, links: readonly (BufferGeometry | null)[]): ArmForm {
  return { ...form, found: true, links: form.links.map((link, i) => (links[i] ? { shell: null, fittings: links[i] } : link)) };
}

export function formOf(arm: ArmMessage): ArmForm {
  const { rods, hubs, foot } = layOut(arm);
  const fittings: BufferGeometry[][] = Array.from({ length: 7 }, () => []);
  hubs.forEach((hub, i) => {
    const made = hubFittings(hub);
    turnDial(made.outer, hub, arm.joints[i]!.measured_deg);
    fittings[i]!.push(...made.inner);
    fittings[i + 1]!.push(...made.outer);
  });
  if (foot) fittings[0]!.push(...footPlate(foot));
  const plate = hubs[5]!.radius * 0.8;
  fittings[6]!.push(...flangePlate(plate, matrixOf(arm.flange)));
  // Where the flange is off the last axis, the last link is a rod that reaches it.
  const flange = new Vector3().fromArray(arm.flange.p);
  const last = hubs[5]!;
  const off = flange.clone().sub(last.centre);
  off.addScaledVector(last.axis, -off.dot(last.axis));
  if (off.length() > plate * 0.2) rods[6]!.push({ from: last.centre.clone(), to: flange.clone(), radius: plate * 0.6 });
  const links = rods.map((link, i) => ({
    shell: link.length > 0 ? shellOf(link, hubs[i - 1], hubs[i]) : null,
    fittings: fittings[i]!.length > 0 ? mergeGeometries(fittings[i]!) : null,
  }));
  return { links, hubs };
}

/** Turns a dial so that its mark stands at zero where the joint shows zero, for an arm that was measured at another angle. */
function turnDial(parts: BufferGeometry[], hub: Hub, measured: number): void {
  if (measured === 0) return;
  const { x, y, z } = hub.centre;
  const turn = new Matrix4().makeTranslation(x, y, z).multiply(new Matrix4().makeRotationAxis(hub.axis, (measured * Math.PI) / 180)).multiply(new Matrix4().makeTranslation(-x, -y, -z));
  for (const part of parts) part.applyMatrix4(turn);
}

export function disposeForm(form: ArmForm): void {
  for (const link of form.links) {
    link.shell?.dispose();
    link.fittings?.dispose();
  }
}

/** The corners of a box around the shapes. */
export function cornersOf(shapes: (BufferGeometry | null)[]): Vector3[] {
  const box = new Box3();
  for (const shape of shapes) {
    if (shape && !shape.boundingBox) shape.computeBoundingBox();
    if (shape) box.union(shape.boundingBox!);
  }
  if (box.isEmpty()) return [];
  const { min, max } = box;
  return [min.x, max.x].flatMap((x) => [min.y, max.y].flatMap((y) => [min.z, max.z].map((z) => new Vector3(x, y, z))));
}

/** A tool's shape in the flange's frame; null for a bare flange. */
export function toolForm(tool: ToolView): BufferGeometry | null {
  if (tool.body.length === 0) return null;
  const rods = tool.body.map(rodOf);
  const thin = Math.min(...rods.map((r) => r.radius));
  const shape = cast(rods, thin * 0.8, Math.max(thin / 3, longest(rods) / 110));
  return striped(painted(shape, armColours.steel), thin);
}

/** Paints a stripe along a tool's +X side, so that a turn about its own axis can be seen. */
function striped(shape: BufferGeometry, thin: number): BufferGeometry {
  const [points, normals, colours] = ["position", "normal", "color"].map((name) => shape.getAttribute(name)) as [BufferAttribute, BufferAttribute, BufferAttribute];
  for (let i = 0; i < points.count; i++) {
    if (normals.getX(i) > 0.5 && Math.abs(points.getY(i)) < thin * 0.6) armColours.ring.toArray(colours.array, 3 * i);
  }
  return shape;
}

/** A link's casting. The attribute "dip" is how far a point is past the line to which the link was dipped in glaze. */
function shellOf(rods: Rod[], inner: Hub | undefined, outer: Hub | undefined): BufferGeometry {
  const thin = Math.min(...rods.map((r) => r.radius));
  const shell = cast(rods, fillet(rods), Math.max(thin / 8, longest(rods) / 80));
  const main = rods.reduce((a, b) => (a.from.distanceTo(a.to) >= b.from.distanceTo(b.to) ? a : b));
  const way = (outer?.centre ?? main.to).clone().sub(inner?.centre ?? main.from).toArray();
  // Dipped straight in along the main direction in which the link goes on, to a little more than half.
  const axis = way.map(Math.abs).indexOf(Math.max(...way.map(Math.abs))) as 0 | 1 | 2;
  const sign = way[axis] < 0 ? -1 : 1;
  const { array } = shell.getAttribute("position");
  const dip = new Float32Array(array.length / 3);
  for (let i = 0; i < dip.length; i++) dip[i] = sign * array[3 * i + axis]!;
  let [low, high] = [Infinity, -Infinity];
  for (const d of dip) [low, high] = [Math.min(low, d), Math.max(high, d)];
  const line = low + 0.56 * (high - low);
  shell.setAttribute("dip", new BufferAttribute(dip.map((d) => d - line), 1));
  return shell;
}

function longest(rods: Rod[]): number {
  const min = new Vector3(Infinity, Infinity, Infinity);
  const max = min.clone().negate();
  for (const rod of rods) for (const p of [rod.from, rod.to]) (min.min(p), max.max(p));
  return Math.max(...max.sub(min).toArray()) + 2 * Math.max(...rods.map((r) => r.radius));
}
