import { type BufferGeometry, Group, SphereGeometry, Vector3 } from "three";
import type { State } from "../link/state";
import type { ArmMessage, Ghost as GhostMessage } from "../wire";
import { Mark } from "./arrows";
import { type ArmForm, cornersOf } from "./form";
import { BlockedSign } from "./blocked";
import { Label } from "./labels";
import { GlassArm } from "./glass";
import type { Palette } from "./palette";
import { matrixOf } from "./place";
import { Stroke } from "./stroke";

/** Where the next step would end: the arm as tinted glass, a dashed line for the TCP's path, and a mark at its end, which says so. */
export class Ghost {
  readonly object = new Group();
  readonly label = new Label("", { px: 12, colour: "#000", weight: 650 });
  private readonly arm = new GlassArm();
  private readonly path = new Stroke(400, { width: 3, behind: 1 });
  private readonly end = new Mark(undefined, null, true);
  readonly blocked = new BlockedSign();
  private boxes: Vector3[][] = [];
  private clear = 1; // mm; a link that moves so far has a ghost of full strength
  private message: GhostMessage | null = null;

  constructor() {
    this.end.object.add(this.label.object);
    this.object.add(this.arm.object, this.path.object, this.end.object, this.blocked.object);
    this.object.visible = false;
  }

  get labels(): Label[] {
    return [this.label];
  }

  setArm(arm: ArmMessage, form: ArmForm): void {
    const reach = arm.reach_mm;
    this.arm.setArm(arm, form);
    this.boxes = form.links.map(({ shell, fittings }) => cornersOf([shell, fittings]));
    this.clear = reach * 0.06;
    this.path.setDash(reach * 0.011);
    this.end.setShape(new SphereGeometry(reach * 0.011, 24, 16));
    this.blocked.setSize(reach);
    this.set(null, null);
  }

  /** What it is called. */
  set says(text: string) {
    this.label.set(text);
  }

  setTool(shape: BufferGeometry | null): void {
    this.arm.setTool(shape);
  }

  /** Makes what a first next step would show. */
  prepare(): void {
    this.arm.prepare();
  }

  setPalette(p: Palette): void {
    this.arm.setColour(p.ghost);
    this.path.setColour(p.ghost);
    this.end.setColour(p.ghost, 1, 0.5);
    this.blocked.setPalette(p);
    this.label.set(this.label.text, { colour: p.ghost, plate: p.paper });
  }

  /** Shows the message over the arm's state; hides when nothing is aimed at. */
  set(message: GhostMessage | null, state: State | null): void {
    this.message = message;
    this.object.visible = !!message?.direction;
    if (!message?.direction) return;
    this.arm.pose(message.links);
    if (state) this.compare(state);
    const points = message.path_mm.map((p) => new Vector3().fromArray(p));
    this.path.through(thinned(points, 400));
    const end = new Vector3().fromArray(message.tcp_place.p);
    this.end.object.position.copy(end);
    this.end.object.visible = !message.stop;
    this.blocked.object.visible = !!message.stop;
    if (message.stop) this.blocked.place(end, wayAtEnd(points));
    // In a turn about the tip its name stands at the flange, so that the tip is seen to stay.
    const still = points.every((p) => p.distanceTo(end) < 0.1 * this.clear);
    const corners = this.boxes.at(-1) ?? [];
    this.label.object.position.set(0, 0, 0);
    if (!still || corners.length === 0) return;
    for (const corner of corners) this.label.object.position.addScaledVector(corner, 1 / corners.length);
    this.label.object.position.applyMatrix4(matrixOf(message.links.at(-1)!)).sub(end);
  }

  /** A link that would not move has no ghost, and one that would hardly move has a faint one. */
  compare(state: State): void {
    const { message } = this;
    if (!message?.direction) return;
    this.arm.links.forEach((_, i) => {
      const [from, to] = [matrixOf(state.links[i]!), matrixOf(message.links[i]!)];
      let most = 0;
      for (const p of this.boxes[i]!) most = Math.max(most, p.clone().applyMatrix4(from).distanceTo(p.clone().applyMatrix4(to)));
      this.arm.setShown(i, most > 1e-3);
      this.arm.setStrength(i, Math.min(1, 0.25 + most / this.clear));
    });
  }

  /** Corners of boxes around its links, in the world, so that the camera can keep them in the picture; none where nothing is aimed at. */
  corners(): Vector3[] {
    const { message } = this;
    if (!message?.direction || !this.object.visible) return [];
    const links = this.boxes.flatMap((box, i) => box.map((p) => p.clone().applyMatrix4(matrixOf(message.links[i]!))));
    const points = [...links, new Vector3().fromArray(message.tcp_place.p)];
    this.object.updateWorldMatrix(true, false);
    return points.map((p) => p.applyMatrix4(this.object.matrixWorld));
  }

  dispose(): void {
    for (const part of [this.arm, this.path, this.end, this.blocked, this.label]) part.dispose();
  }
}

/** The way the path goes at its end; null where it has no length. */
function wayAtEnd(points: Vector3[]): Vector3 | null {
  for (let i = points.length - 1; i > 0; i--) {
    const way = points[i]!.clone().sub(points[i - 1]!);
    if (way.length() > 1e-6) return way.normalize();
  }
  return null;
}

function thinned(points: Vector3[], most: number): Vector3[] {
  if (points.length <= most) return points;
  return Array.from({ length: most }, (_, i) => points[Math.round((i * (points.length - 1)) / (most - 1))]!);
}
