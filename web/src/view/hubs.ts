import { Vector3 } from "three";
import type { ArmMessage, Capsule } from "../wire";
import { type Rod, solidOf } from "./casting";

/** Where and how big a joint's hub is drawn, at the measured pose in the base frame. */
export interface Hub {
  centre: Vector3;
  axis: Vector3; // unit, as the joint turns
  radius: number;
  half: number; // half its length along the axis
  /**
   * A collar sits between two links one behind the other on the axis, the outer one on the side `toward` (+1 or -1).
   * A yoke is a drum that both links meet from the side.
   */
  kind: "collar" | "yoke";
  toward: number;
  caps: Cap[];
}

/** The open end of a drum that a link has along the axis. */
export interface Cap {
  centre: Vector3;
  out: Vector3; // unit
  radius: number;
  of: "inner" | "outer";
}

/** The rods of every link's casting, and the hubs between them. */
export interface Layout {
  rods: Rod[][]; // of links 0 to 6
  hubs: Hub[];
  foot: Foot | null;
}

/** Where the base stands on the floor. */
export interface Foot {
  centre: Vector3;
  radius: number;
}

/** How a rod meets a joint's axis: positions s along the axis from the joint's point, in mm. */
interface Meeting {
  rod: Rod;
  along: boolean; // runs with the axis, rather than across it
  sloping: boolean; // along, but not parallel
  from: number;
  to: number;
}

/** Finds the hubs from the joints' axes and the bodies, and makes the bodies' rods end at them. */
export function layOut(arm: ArmMessage): Layout {
  const flange = new Vector3().fromArray(arm.flange.p);
  const rods = linkRods(arm);
  const foot = standing(rods[0]!, -arm.mount_height_mm);
  // Hubs are found from the bodies as they are in the file, and add rods of their own.
  const bodies = rods.map((link) => [...link]);
  const hubs = arm.joints.map((joint, i) => {
    const at = new Vector3().fromArray(joint.at_mm);
    const axis = new Vector3().fromArray(joint.axis).normalize();
    const before = meetings(bodies[i]!, at, axis);
    if (i === 5) return lastHub(at, axis, before, rods[5]!, flange, arm.reach_mm);
    return hubBetween(at, axis, before, meetings(bodies[i + 1]!, at, axis), rods[i]!, rods[i + 1]!, arm.reach_mm);
  });
  for (const link of rods) for (const rod of link) rod.waist = waistOf(rod);
  return { rods, hubs, foot };
}

/** Makes the base's rod that touches the floor stand on it with a flat end. */
function standing(base: Rod[], floor: number): Foot | null {
  for (const rod of base) {
    const end = rod.from.z <= rod.to.z ? "from" : "to";
    if (rod[end].z - rod.radius > floor + 1) continue;
    rod[end].z = floor;
    rod[end === "from" ? "flatFrom" : "flatTo"] = true;
    return { centre: rod[end].clone(), radius: rod.radius };
  }
  return null;
}

/** An arm file may leave the bodies out; then a plain rod from joint to joint stands for each link. */
function linkRods(arm: ArmMessage): Rod[][] {
  const rods: Rod[][] = Array.from({ length: 7 }, () => []);
  for (const c of arm.body) rods[c.link]?.push(rodOf(c));
  if (arm.body.length > 0) return rods;
  const radius = arm.reach_mm * 0.06;
  const points = arm.joints.map((j) => new Vector3().fromArray(j.at_mm));
  points.unshift(points[0]!.clone().setZ(-arm.mount_height_mm));
  for (let i = 0; i < 6; i++) {
    const [from, to] = [points[i]!, points[i + 1]!];
    if (from.distanceTo(to) > radius) rods[i]!.push({ from: from.clone(), to: to.clone(), radius: radius * (1 - i * 0.07) });
  }
  return rods;
}

export function rodOf(c: Capsule): Rod {
  return { from: new Vector3().fromArray(c.from_mm), to: new Vector3().fromArray(c.to_mm), radius: c.radius_mm };
}

/** Long rods are a little slimmer in the middle, like a thrown pot's neck; short ones are not. */
function waistOf(rod: Rod): number {
  const slenderness = rod.from.distanceTo(rod.to) / rod.radius;
  return 0.14 * Math.min(1, Math.max(0, (slenderness - 2) / 3));
}

function meetings(rods: Rod[], at: Vector3, axis: Vector3): Meeting[] {
  const found: Meeting[] = [];
  for (const rod of rods) {
    const [a, b] = [rod.from.clone().sub(at), rod.to.clone().sub(at)];
    const [sa, sb] = [a.dot(axis), b.dot(axis)];
    const [offA, offB] = [a.addScaledVector(axis, -sa), b.addScaledVector(axis, -sb)];
    const span = offB.clone().sub(offA);
    const t = Math.min(1, Math.max(0, -offA.dot(span) / Math.max(span.lengthSq(), 1e-9)));
    const distance = offA.addScaledVector(span, t).length();
    const slope = span.length() / Math.max(Math.abs(sb - sa), 1e-9);
    const [along, sloping] = [slope < 1.5, slope > 0.1];
    // A rod beside the axis has nothing to do with the joint.
    if (distance > (along ? 0.6 : 1.1) * rod.radius) continue;
    const s = sa + t * (sb - sa);
    if (along) found.push({ rod, along, sloping, from: Math.min(sa, sb), to: Math.max(sa, sb) });
    else found.push({ rod, along, sloping, from: s - rod.radius, to: s + rod.radius });
  }
  return found;
}

function hubBetween(
  at: Vector3,
  axis: Vector3,
  before: Meeting[],
  after: Meeting[],
  inner: Rod[],
  outer: Rod[],
  reach: number,
): Hub {
  const middle = (m: Meeting[]): number => m.reduce((sum, x) => sum + x.from + x.to, 0) / (2 * m.length);
  if (before.length === 0 || after.length === 0) {
    const m = before.length > 0 ? before : after;
    const radius = m.length > 0 ? Math.max(...m.map((x) => x.rod.radius)) * 1.06 : reach * 0.06;
    const s = m.length > 0 ? middle(m) : 0;
    const hub: Hub = { centre: at.clone().addScaledVector(axis, s), axis, radius, half: radius * 1.1, kind: "yoke", toward: 1, caps: [] };
    widen(hub, inner, outer);
    yokeRods(hub, inner, outer);
    return hub;
  }
  const toward = middle(after) >= middle(before) ? 1 : -1;
  // Of each side, the rod that comes closest to the other side.
  const end = (m: Meeting, sign: number): number => (sign > 0 ? m.to : -m.from);
  const reaches = (m: Meeting, sign: number): number => end(m, sign) + (m.along ? m.rod.radius : 0);
  const near = before.reduce((a, b) => (reaches(b, toward) > reaches(a, toward) ? b : a));
  const far = after.reduce((a, b) => (reaches(b, -toward) > reaches(a, -toward) ? b : a));
  const overlap = Math.min(near.to, far.to) - Math.max(near.from, far.from);
  const big = Math.max(near.rod.radius, far.rod.radius);

  if (!near.along && !far.along && overlap > 0.5 * Math.min(near.to - near.from, far.to - far.from)) {
    const s = (near.from + near.to + far.from + far.to) / 4;
    const hub: Hub = { centre: at.clone().addScaledVector(axis, s), axis, radius: big * 1.05, half: big * 1.16, kind: "yoke", toward: 1, caps: [] };
    widen(hub, inner, outer);
    yokeRods(hub, inner, outer);
    return hub;
  }
  let s = (toward * (end(near, toward) - end(far, -toward))) / 2;
  if (near.along && !far.along) s = toward > 0 ? far.from : far.to;
  if (!near.along && far.along) s = toward > 0 ? near.to : near.from;
  endAt(near, at, axis, s, toward, inner);
  endAt(far, at, axis, s, -toward, outer);
  const caps: Cap[] = [];
  if (!near.along) caps.push(capOf(near, at, axis, -toward, "inner", inner));
  if (!far.along) caps.push(capOf(far, at, axis, toward, "outer", outer));
  // A sloping rod and its stub bulge a little where they meet.
  const size = (m: Meeting): number => (m.along ? m.rod.radius * (m.sloping ? 1.13 : 1.05) : 0);
  const radius = Math.max(size(near), size(far), Math.min(near.rod.radius, far.rod.radius) * 1.05);
  return { centre: at.clone().addScaledVector(axis, s), axis, radius, half: radius * 0.24, kind: "collar", toward, caps };
}

/** The last hub is a collar just behind the flange. */
function lastHub(at: Vector3, axis: Vector3, before: Meeting[], link: Rod[], flange: Vector3, reach: number): Hub {
  const s = flange.clone().sub(at).dot(axis);
  const near = before[before.length - 1];
  const radius = near ? near.rod.radius * 1.04 : reach * 0.045;
  const toward = near && (near.from + near.to) / 2 > s ? -1 : 1;
  const back = s - toward * radius * 0.58;
  if (near) endAt(near, at, axis, back, toward, link);
  return { centre: at.clone().addScaledVector(axis, back), axis, radius, half: radius * 0.24, kind: "collar", toward, caps: [] };
}

/** The cap lies just outside the casting, whose rods bulge a little where they meet. */
function capOf(m: Meeting, at: Vector3, axis: Vector3, sign: number, of: Cap["of"], link: Rod[]): Cap {
  const out = axis.clone().multiplyScalar(sign);
  const { radius } = m.rod;
  const centre = at.clone().addScaledVector(axis, (sign > 0 ? m.to : m.from) - sign * radius * 0.06);
  const solid = solidOf(link, fillet(link));
  for (let tries = 0; tries < 10; tries++) {
    const covered = [centre, ...circle(centre, axis, radius * capSize)].some((p) => solid(p.x, p.y, p.z) < -radius * 0.02);
    if (!covered) break;
    centre.addScaledVector(out, radius * 0.02);
  }
  return { centre, out, radius, of };
}

/** A cap's radius as a part of its drum's. */
export const capSize = 0.8;

/** Makes a rod end flat at s on the axis. One across the axis gets a drum along it that does, and a sloping one a stub. */
function endAt(m: Meeting, at: Vector3, axis: Vector3, s: number, sign: number, link: Rod[]): void {
  const stop = at.clone().addScaledVector(axis, s);
  if (!m.along) {
    const far = at.clone().addScaledVector(axis, sign > 0 ? m.from : m.to);
    link.push({ from: far, to: stop, radius: m.rod.radius, flatFrom: true, flatTo: true });
    return;
  }
  if (m.sloping) {
    const end = at.clone().addScaledVector(axis, sign > 0 ? m.to : m.from);
    link.push({ from: end, to: stop, radius: m.rod.radius, flatTo: true });
    return;
  }
  const fromIsNearer = (m.rod.from.clone().sub(at).dot(axis) - m.rod.to.clone().sub(at).dot(axis)) * sign > 0;
  if (fromIsNearer) {
    m.rod.from = stop;
    m.rod.flatFrom = true;
  } else {
    m.rod.to = stop;
    m.rod.flatTo = true;
  }
}

/** Makes a yoke's drum longer until the dials at its ends are clear of the links' castings. */
function widen(hub: Hub, inner: Rod[], outer: Rod[]): void {
  for (let tries = 0; tries < 12; tries++) {
    const [a, b] = [[...inner], [...outer]];
    yokeRods(hub, a, b);
    const solids = [solidOf(a, fillet(a)), solidOf(b, fillet(b))];
    const clear = rim(hub).every((p) => solids.every((solid) => solid(p.x, p.y, p.z) > 0));
    if (clear) return;
    hub.half *= 1.06;
  }
}

/** Points around the dials, just under their faces. */
function rim(hub: Hub): Vector3[] {
  return dialCentres(hub, 0.97).flatMap((centre) => circle(centre, hub.axis, hub.radius * 0.9));
}

/** The middles of the dials at a yoke's ends, at a part of its half length. */
export function dialCentres(hub: Hub, part = 1): Vector3[] {
  return [1, -1].map((side) => hub.centre.clone().addScaledVector(hub.axis, side * part * hub.half));
}

function circle(centre: Vector3, axis: Vector3, radius: number): Vector3[] {
  const x = new Vector3(1, 0, 0);
  if (Math.abs(axis.x) > 0.7) x.set(0, 1, 0);
  x.cross(axis).normalize();
  const y = new Vector3().crossVectors(axis, x);
  return Array.from({ length: 16 }, (_, i) => {
    const a = (i * Math.PI) / 8;
    return centre.clone().addScaledVector(x, radius * Math.cos(a)).addScaledVector(y, radius * Math.sin(a));
  });
}

/** How softly the rods of a link run into each other, in mm. */
export function fillet(rods: Rod[]): number {
  return Math.min(...rods.map((r) => r.radius)) * 0.4;
}

/** Where the parts of a yoke lie along the axis, in halves of its length from the middle. */
export const yokeParts = { band: 0.46, cheekFrom: 0.52, cheekTo: 0.84, capTo: 1 };

/** The outer link carries a band in the middle of the drum, the inner one a cheek at either side of it. */
function yokeRods(hub: Hub, inner: Rod[], outer: Rod[]): void {
  const point = (part: number): Vector3 => hub.centre.clone().addScaledVector(hub.axis, part * hub.half);
  const disc = (from: number, to: number, size: number): Rod => ({
    from: point(from),
    to: point(to),
    radius: hub.radius * size,
    flatFrom: true,
    flatTo: true,
  });
  outer.push(disc(-yokeParts.band, yokeParts.band, 1));
  inner.push(disc(yokeParts.cheekFrom, yokeParts.cheekTo, 0.98), disc(-yokeParts.cheekTo, -yokeParts.cheekFrom, 0.98));
}
