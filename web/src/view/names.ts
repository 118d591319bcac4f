import { Group, type Object3D, type PerspectiveCamera, Vector3 } from "three";
import type { ArmMessage } from "../wire";
import { dialCentres, type Hub } from "./hubs";
import { Label, scaleOf, type Screen } from "./labels";
import type { Palette } from "./palette";

const NAME_PX = 12.5;

/** The joints' names beside their hubs, where they neither cover the hub nor each other. */
export class JointNames {
  readonly object = new Group();
  labels: Label[] = [];
  private hubs: Hub[] = [];
  private carriers: Object3D[] = [];
  private sides: number[] = [];
  private palette: Palette | null = null;

  /** A hub moves with the link before its joint. */
  setArm(arm: ArmMessage, hubs: Hub[], links: Object3D[]): void {
    this.dispose();
    this.hubs = hubs;
    this.carriers = links.slice(0, 6);
    this.labels = arm.joints.map((j) => new Label(j.name, { px: NAME_PX, colour: "#000", weight: 650 }));
    this.sides = this.labels.map(() => 0);
    this.object.add(...this.labels.map((l) => l.object));
    if (this.palette) this.setPalette(this.palette);
  }

  setPalette(p: Palette): void {
    this.palette = p;
    for (const l of this.labels) l.set(l.text, { colour: p.ink, plate: p.paper });
  }

  /** Leaves out one joint's name, which is said elsewhere; none for -1. */
  hide(joint: number): void {
    this.labels.forEach((l, i) => (l.object.visible = i !== joint));
  }

  /** Puts each name beside its hub, wherever it is freest on the screen. */
  place(camera: PerspectiveCamera, screen: Screen, keepClear: Vector3[]): void {
    const right = new Vector3().setFromMatrixColumn(camera.matrixWorld, 0);
    const up = new Vector3().setFromMatrixColumn(camera.matrixWorld, 1);
    const centres = this.hubs.map((hub, i) => hub.centre.clone().applyMatrix4(this.carriers[i]!.matrixWorld));
    const flat = (p: Vector3): [number, number] => [p.dot(right), p.dot(up)];
    const spots = centres.map(flat);
    const put: [number, number][] = [];
    const clear = keepClear.map(flat);
    const drums = this.hubs.flatMap((hub, i) => {
      const middles = hub.kind === "yoke" ? dialCentres(hub).map((c) => c.applyMatrix4(this.carriers[i]!.matrixWorld)) : [centres[i]!];
      return middles.map((c) => ({ at: flat(c), room: hub.radius * 1.1, of: i }));
    });
    this.labels.forEach((label, i) => {
      const hub = this.hubs[i]!;
      const axis = hub.axis.clone().transformDirection(this.carriers[i]!.matrixWorld);
      const depth = centres[i]!.distanceTo(camera.position);
      const px = depth * screen.perPx * scaleOf(screen, NAME_PX); // mm
      let best = { cost: Infinity, side: 0, place: centres[i]! };
      sides.forEach(([x, y], side) => {
        // How far the hub, a cylinder, reaches that way on the screen.
        const lean = axis.dot(right) * x + axis.dot(up) * y;
        const out = Math.abs(lean) * hub.half + hub.radius * Math.sqrt(Math.max(0, 1 - lean * lean)) + 17 * px;
        const place = centres[i]!.clone().addScaledVector(right, x * out).addScaledVector(up, y * out);
        const at = flat(place);
        let cost = (side === this.sides[i] ? -0.15 : 0) + side * 0.08; // stays, unless another side is clearly better
        for (const other of put) cost += closeness(Math.hypot(at[0] - other[0], at[1] - other[1]), 30 * px) * 3;
        for (const other of clear) cost += closeness(Math.hypot(at[0] - other[0], at[1] - other[1]), 34 * px) * 2;
        for (const drum of drums) if (drum.of !== i) cost += closeness(Math.hypot(at[0] - drum.at[0], at[1] - drum.at[1]), drum.room + 14 * px);
        for (let j = 1; j < spots.length; j++) cost += 0.7 * closeness(distanceToSegment(at, spots[j - 1]!, spots[j]!), this.hubs[j]!.radius + 10 * px);
        if (cost < best.cost) best = { cost, side, place };
      });
      this.sides[i] = best.side;
      label.object.position.copy(best.place);
      put.push(flat(best.place));
    });
  }

  dispose(): void {
    for (const l of this.labels) {
      l.object.removeFromParent();
      l.dispose();
    }
    this.labels = [];
  }
}

/** Right, left, above, below, on the screen, and the corners between. */
const sides: [number, number][] = [[1, 0], [-1, 0], [0, 1], [0, -1], [0.7, 0.7], [-0.7, 0.7], [-0.7, -0.7], [0.7, -0.7]];

/** 0 for a distance of at least the room wanted, up to 1 for none. */
function closeness(distance: number, room: number): number {
  return Math.max(0, 1 - distance / room);
}

function distanceToSegment(p: [number, number], a: [number, number], b: [number, number]): number {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const t = Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / Math.max(dx * dx + dy * dy, 1e-9)));
  return Math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy);
}
