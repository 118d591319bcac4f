import { Group, type Object3D, type PerspectiveCamera, Vector3 } from "three";
import type { ArmMessage } from "../wire";
import type { Hub } from "./hubs";
import { Label } from "./labels";
import type { Palette } from "./palette";

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
    this.labels = arm.joints.map((j) => new Label(j.name, { px: 12.5, colour: "#000", weight: 650 }));
    this.sides = this.labels.map(() => 0);
    this.object.add(...this.labels.map((l) => l.object));
    if (this.palette) this.setPalette(this.palette);
  }

  setPalette(p: Palette): void {
    this.palette = p;
    for (const l of this.labels) l.set(l.text, { colour: p.ink, plate: p.paper });
  }

  /** Puts each name to the right, left, above or below its hub, whichever is freest on the screen. */
  place(camera: PerspectiveCamera, canvasHeight: number): void {
    const right = new Vector3().setFromMatrixColumn(camera.matrixWorld, 0);
    const up = new Vector3().setFromMatrixColumn(camera.matrixWorld, 1);
    const centres = this.hubs.map((hub, i) => hub.centre.clone().applyMatrix4(this.carriers[i]!.matrixWorld));
    const taken: { at: Vector3; room: number }[] = centres.map((c, i) => ({ at: c, room: this.hubs[i]!.radius * 0.8 }));
    this.labels.forEach((label, i) => {
      const hub = this.hubs[i]!;
      const depth = centres[i]!.distanceTo(camera.position);
      const perPx = (2 * depth * Math.tan((camera.fov * Math.PI) / 360)) / canvasHeight;
      const half = 13 * perPx;
      const out = Math.max(hub.radius, hub.half) * 1.12 + 1.6 * half;
      const places = [
        [1, 0.25],
        [-1, 0.25],
        [0, 1],
        [0, -1],
      ].map(([x, y]) => centres[i]!.clone().addScaledVector(right, x! * out).addScaledVector(up, y! * out));
      const cost = places.map((place, side) => {
        let c = side === this.sides[i] ? -0.35 : 0; // stay, unless another side is clearly better
        c += side * 0.12;
        for (const other of taken) {
          const gap = place.clone().sub(other.at);
          const apart = Math.hypot(gap.dot(right), gap.dot(up)) - half * 1.4;
          if (apart < other.room) c += 1 - Math.max(0, apart) / other.room;
        }
        return c;
      });
      const side = cost.indexOf(Math.min(...cost));
      this.sides[i] = side;
      label.object.position.copy(places[side]!);
      taken.push({ at: places[side]!, room: half * 2.2 });
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
