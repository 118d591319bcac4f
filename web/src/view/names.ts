import { Group, type Object3D, type PerspectiveCamera, Vector3 } from "three";
import type { ArmMessage } from "../wire";
import { besides, type Box, coveredBy, edgeTowards, fromLine, inside, type Line, type Picture } from "./beside";
import { dialCentres, type Hub } from "./hubs";
import { Label, scaleOf, type Screen } from "./labels";
import type { Palette } from "./palette";
import { over } from "./settle";
import { Stroke } from "./stroke";

const NAME_PX = 12.5;
const LEADER_PX = 16;
/** The part of a name's height that has to be seen: its plate is higher than its letters, and these are read without their feet. */
const READ = 0.3;
/** How much of another joint's hub a name may cover. */
const MOST_COVERED = 0.25;

/** The joints' names beside their hubs, where they neither cover the hub nor each other. */
export class JointNames {
  readonly object = new Group();
  labels: Label[] = [];
  private hubs: Hub[] = [];
  private carriers: Object3D[] = [];
  private sides: number[] = [];
  private ways: number[] = [];
  private readonly leaders = new Stroke(6, { width: 1.8, behind: 1 }); // a piece for each name that needs one
  private hidden = -1;
  private palette: Palette | null = null;

  constructor() {
    this.object.add(this.leaders.object);
  }

  /** A hub moves with the link before its joint. */
  setArm(arm: ArmMessage, hubs: Hub[], links: Object3D[]): void {
    this.forget();
    this.hubs = hubs;
    this.carriers = links.slice(0, 6);
    this.labels = arm.joints.map((j) => new Label(j.name, { px: NAME_PX, colour: "#000", weight: 650 }));
    this.sides = this.labels.map(() => 0);
    this.ways = this.labels.map(() => 0);
    this.object.add(...this.labels.map((l) => l.object));
    if (this.palette) this.setPalette(this.palette);
  }

  setPalette(p: Palette): void {
    this.palette = p;
    for (const l of this.labels) l.set(l.text, { colour: p.ink, plate: p.paper });
    this.leaders.setColour(p.ink);
  }

  /** Leaves out one joint's name, which is said elsewhere; none for -1. */
  hide(joint: number): void {
    this.hidden = joint;
  }

  /**
   * Puts each name beside its hub, wherever it is freest within the free part of the picture. A name that would cover
   * what is taken all the same stands at the nearest place that is free, and a leader goes from it to its hub; it is left
   * out where that would be farther than so many px, and where it would be nearer to another joint than to its own. What touches is
   * to be seen: a joint that is there has its name close by or none. Returns what the names cover.
   */
  place(camera: PerspectiveCamera, screen: Screen, picture: Picture, others: readonly Box[], free: { w: number; h: number }, farthest: number, contact: Box | null): Box[] {
    const taken = contact ? [...others, contact] : others;
    const right = new Vector3().setFromMatrixColumn(camera.matrixWorld, 0);
    const up = new Vector3().setFromMatrixColumn(camera.matrixWorld, 1);
    const centres = this.hubs.map((hub, i) => hub.centre.clone().applyMatrix4(this.carriers[i]!.matrixWorld));
    const flat = (p: Vector3): [number, number] => [p.dot(right), p.dot(up)];
    const spots = centres.map(flat);
    const put: Box[] = [];
    const drums = this.hubs.flatMap((hub, i) => {
      const middles = hub.kind === "yoke" ? dialCentres(hub).map((c) => c.applyMatrix4(this.carriers[i]!.matrixWorld)) : [centres[i]!];
      return middles.map((c) => ({ at: flat(c), room: hub.radius * 1.1, of: i }));
    });
    const hubBoxes = centres.map((c, i): Box => {
      const [x, y] = picture.seen(c);
      const across = 2 * this.hubs[i]!.radius * picture.pxPerMm(c);
      return { x, y, w: across, h: across };
    });
    const own = (box: Box, i: number): boolean => hubBoxes.every((hub, j) => j === i || distance(box, hubBoxes[i]!) < distance(box, hub));
    const links = hubBoxes.slice(1).map((b, j): Line => [[hubBoxes[j]!.x, hubBoxes[j]!.y], [b.x, b.y]]);
    this.leaders.clear();
    this.labels.forEach((label, i) => {
      const hub = this.hubs[i]!;
      const axis = hub.axis.clone().transformDirection(this.carriers[i]!.matrixWorld);
      const depth = centres[i]!.distanceTo(camera.position);
      const px = depth * screen.perPx * scaleOf(screen, NAME_PX); // mm
      if (i === this.hidden) {
        label.object.visible = false;
        return;
      }
      const size = picture.size(label);
      let best: { cost: number; side: number; box: Box } | null = null;
      places.forEach(([x, y, farther], side) => {
        // How far the hub, a cylinder, reaches that way on the screen.
        const lean = axis.dot(right) * x + axis.dot(up) * y;
        const out = Math.abs(lean) * hub.half + hub.radius * Math.sqrt(Math.max(0, 1 - lean * lean)) + (17 + farther) * px;
        const place = centres[i]!.clone().addScaledVector(right, x * out).addScaledVector(up, y * out);
        const at = flat(place);
        const [left, above] = picture.seen(place);
        const box = { x: left, y: above, ...size };
        let cost = (side === this.sides[i] ? -0.15 : 0) + side * 0.08; // stays, unless another side is clearly better
        if (!inside(box, free)) cost += 8;
        if (!own(box, i)) cost += 8;
        for (const other of put) cost += 6 * coveredBy(box, other, size.h / 6);
        for (const other of taken) cost += 6 * coveredBy(box, other, size.h / 6);
        for (const drum of drums) if (drum.of !== i) cost += closeness(Math.hypot(at[0] - drum.at[0], at[1] - drum.at[1]), drum.room + 14 * px);
        for (let j = 1; j < spots.length; j++) cost += 0.7 * closeness(fromLine(at, [spots[j - 1]!, spots[j]!]), this.hubs[j]!.radius + 10 * px);
        if (cost < (best?.cost ?? Infinity)) best = { cost, side, box };
      });
      const { side, box } = best!;
      this.sides[i] = side;
      label.object.visible = true;
      const hubAt = picture.seen(centres[i]!);
      let stands = box;
      // Over another hub, or over a link between two, it would be taken for a name of what is there.
      if (!inside(box, free) || !own(box, i) || [...taken, ...put].some((other) => over(box, other)) || hubBoxes.some((hub, j) => j !== i && coveredBy(hub, box) > MOST_COVERED)) {
        const beside = (lines: readonly Line[]) => besides(hubAt, size, lines, [...taken, ...put, ...hubBoxes], free, this.ways[i]!, (place) => own(place, i));
        let near = beside(links);
        if (!inside(near.box, free)) near = beside([]); // rather over a link than cut off
        this.ways[i] = near.side;
        stands = near.box;
      }
      const edge = edgeTowards(stands, hubAt);
      const gap = Math.hypot(edge[0] - hubAt[0], edge[1] - hubAt[1]) - hub.radius * picture.pxPerMm(centres[i]!);
      // Better no name than half a one, one over another, or one that is taken for another's.
      if (gap > (contact && over(hubBoxes[i]!, contact) ? LEADER_PX : farthest) || (!inside({ ...stands, h: stands.h * READ }, free) && inside({ x: hubAt[0], y: hubAt[1], w: 0, h: 0 }, free)) || !own(stands, i) || [...taken, ...put].some((other) => over(stands, other))) {
        label.crowded = true;
        return;
      }
      put.push(stands);
      const hubDepth = picture.depth(centres[i]!);
      label.object.position.copy(picture.placeOf([stands.x, stands.y], hubDepth));
      // A name that is not close by its hub has a leader.
      if (gap < LEADER_PX) return;
      this.leaders.add(centres[i]!, picture.placeOf(edge, hubDepth));
    });
    return put;
  }

  dispose(): void {
    this.forget();
    this.leaders.dispose();
  }

  private forget(): void {
    for (const l of this.labels) {
      l.object.removeFromParent();
      l.dispose();
    }
    this.labels = [];
  }
}

/** Right, left, above, below, on the screen, and the corners between. */
const sides: [number, number][] = [[1, 0], [-1, 0], [0, 1], [0, -1], [0.7, 0.7], [-0.7, 0.7], [-0.7, -0.7], [0.7, -0.7]];
/** The same, and then all of them farther out, px. */
const places = [0, 12].flatMap((farther) => sides.map(([x, y]) => [x, y, farther] as const));

/** How far a box's edge is from the middle of another. */
function distance(box: Box, { x, y }: Box): number {
  const edge = edgeTowards(box, [x, y]);
  return Math.hypot(edge[0] - x, edge[1] - y);
}

/** 0 for a distance of at least the room wanted, up to 1 for none. */
function closeness(distance: number, room: number): number {
  return Math.max(0, 1 - distance / room);
}
