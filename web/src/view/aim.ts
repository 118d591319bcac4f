import { Group, Object3D, Quaternion, Vector3 } from "three";
import type { ArmMessage, Direction, Frame, Place } from "../wire";
import { Mark, straightArrow, turningArrow } from "./arrows";
import { units } from "./axes";
import type { Hub } from "./hubs";
import { besides, type Box, WAYS, type Line, type Picture } from "./beside";
import { Label } from "./labels";
import { carriedShape, skeletonOf } from "./merged";
import type { Palette } from "./palette";
import { moveTo, turnFromZ } from "./place";
import { Stroke } from "./stroke";

/**
 * The direction in hand: a large straight arrow at the TCP, an arrow around the TCP's axis, or an arrow around the
 * joint's axis, with the name of the direction. In the joint frame each joint also shows a small arrow in its plus sense.
 */
export class Aim {
  readonly object = new Group();
  readonly label = new Label("", { px: 19, colour: "#fff", plate: "#000", weight: 800 });
  private readonly atTCP = new Group();
  private readonly straight = new Mark();
  private readonly turning = new Mark();
  private readonly turningAxis = new Stroke(1, { width: 2.5, behind: 0.5 });
  private readonly joints: JointAim[] = [];
  private senses: Mark | null = null; // in which each joint turns to plus, all as one
  private palette: Palette | null = null;
  private size = 1;
  private ringRadius = 1;
  private frame: Frame = "base";
  private direction: Direction | null = null;
  private name = ""; // of the direction

  constructor() {
    this.atTCP.add(this.straight.object, this.turning.object, this.turningAxis.object);
    this.object.add(this.atTCP, this.label.object);
  }

  get labels(): Label[] {
    return [this.label];
  }

  /** Joint arrows hang on the link before their joint: the axis moves with it, and the arrow must not turn. */
  setArm(arm: ArmMessage, hubs: Hub[], links: Object3D[]): void {
    const r = arm.reach_mm;
    this.size = r * 0.245;
    this.ringRadius = r * 0.15;
    this.straight.setShape(straightArrow(this.size, r * 0.0078));
    this.turning.setShape(turningArrow(this.ringRadius, r * 0.0065, ringSweep));
    for (const joint of this.joints) joint.dispose();
    this.joints.length = 0;
    this.forgetSenses();
    hubs.forEach((hub, i) => {
      const joint = new JointAim(hub, r);
      links[i]!.add(joint.object);
      this.joints.push(joint);
    });
    const shapes = hubs.map((hub, by) => ({ shape: turningArrow(ringOf(hub, r), r * 0.004, 0.62 * Math.PI).applyQuaternion(turnFromZ(hub.axis)), by }));
    this.senses = new Mark(carriedShape(shapes, ["position", "normal"]), skeletonOf(this.joints.map((joint) => joint.sense)));
    for (const { shape } of shapes) shape.dispose();
    this.object.add(this.senses.object);
    if (this.palette) this.setPalette(this.palette);
  }

  setPalette(p: Palette): void {
    this.palette = p;
    for (const joint of this.joints) joint.setPalette(p);
    this.senses?.setColour(p.joint, 0.9, 0.4);
    this.show(this.frame, this.direction);
  }

  setFrame(frame: Frame): void {
    this.show(frame, this.direction);
  }

  setDirection(direction: Direction | null, name: string): void {
    this.name = name;
    this.show(this.frame, direction);
  }

  private show(frame: Frame, direction: Direction | null): void {
    this.frame = frame;
    this.direction = direction;
    const p = this.palette;
    if (!p) return;
    const d = direction;
    const inJoints = d?.frame === "joint";
    if (this.senses) this.senses.object.visible = frame === "joint";
    this.joints.forEach((joint, i) => joint.show(frame === "joint", inJoints && d.axis === i ? d.sign : 0));
    this.straight.object.visible = !!d && !inJoints && d.axis < 3;
    this.turning.object.visible = this.turningAxis.object.visible = !!d && !inJoints && d.axis >= 3;
    this.label.object.visible = !!d;
    if (!d) return;
    const colour = inJoints ? p.joint : p.axes[d.axis % 3]!;
    this.label.set(this.name, { colour: p.paper, plate: colour });
    if (inJoints) return;
    const along = units[d.axis % 3]!.clone().multiplyScalar(d.sign);
    for (const mark of [this.straight, this.turning]) {
      mark.object.quaternion.copy(turnFromZ(along));
      mark.setColour(colour, 1, 0.6);
    }
    this.turningAxis.setColour(colour);
    this.turningAxis.through([along.clone().multiplyScalar(-this.size * 0.9), along.clone().multiplyScalar(this.size * 0.9)]);
  }

  /** Puts the arrows where the active frame's axes are, and the label at the end of the one shown. */
  place(axes: Place): void {
    moveTo(this.atTCP, axes);
    const d = this.direction;
    if (!d) return;
    const at = this.label.object.position;
    if (d.frame === "joint") {
      this.joints[d.axis]?.labelPoint(at);
      this.object.worldToLocal(at);
      return;
    }
    if (d.axis < 3) at.copy(units[d.axis]!).multiplyScalar(d.sign * this.size * 1.03);
    else at.copy(headOf(this.ringRadius)).applyQuaternion(this.turning.object.quaternion);
    at.applyQuaternion(scratch.fromArray(axes.q)).add(new Vector3().fromArray(axes.p));
  }

  /** Puts the label beside the arrow's head, best above it, within the free part of the picture and off what is taken. */
  arrange(picture: Picture, taken: readonly Box[], free: { w: number; h: number }): void {
    const d = this.direction;
    if (!d) return;
    const head = picture.seen(this.label.object.getWorldPosition(new Vector3()));
    const size = picture.size(this.label);
    const arrow: Line[] = d.frame !== "joint" && d.axis < 3 ? [[picture.seen(this.atTCP.getWorldPosition(new Vector3())), head]] : [];
    const keep = { x: head[0], y: head[1], w: size.h * 0.5, h: size.h * 0.5 }; // the head stays visible
    const { box } = besides(head, size, arrow, [...taken, keep], free, ABOVE);
    picture.stand(this.label, head, box);
  }

  dispose(): void {
    for (const part of [this.straight, this.turning, this.turningAxis, this.label, ...this.joints]) part.dispose();
    this.forgetSenses();
  }

  private forgetSenses(): void {
    this.senses?.object.removeFromParent();
    this.senses?.dispose();
    this.senses = null;
  }
}

/** The turning senses of one joint. */
class JointAim {
  readonly object = new Group();
  readonly sense = new Object3D(); // carries the joint's arrow of the senses
  private readonly aimed = new Mark();
  private readonly axis = new Stroke(1, { width: 2.5, behind: 0.5, dash: 0 });
  private readonly tip: Vector3;
  private readonly ringRadius: number;

  constructor(
    private readonly hub: Hub,
    reach: number,
  ) {
    const radius = ringOf(hub, reach);
    this.object.position.copy(hub.centre);
    this.aimed.setShape(turningArrow(radius * 1.08, reach * 0.008, ringSweep));
    const half = Math.max(hub.half, hub.radius) + reach * 0.16;
    this.ringRadius = radius * 1.08;
    this.tip = hub.axis.clone().multiplyScalar(half);
    this.axis.through([this.tip.clone().negate(), this.tip]);
    this.object.add(this.sense, this.aimed.object, this.axis.object);
  }

  show(inJointFrame: boolean, sign: number): void {
    this.sense.scale.setScalar(inJointFrame && sign === 0 ? 1 : 0);
    this.sense.updateWorldMatrix(false, false);
    this.aimed.object.visible = this.axis.object.visible = sign !== 0;
    if (sign === 0) return;
    this.aimed.object.quaternion.copy(turnFromZ(this.hub.axis.clone().multiplyScalar(sign)));
  }

  setPalette(p: Palette): void {
    this.aimed.setColour(p.joint, 1, 0.5);
    this.axis.setColour(p.joint);
  }

  /** Where the arrow's head is, in the world. */
  labelPoint(out: Vector3): void {
    out.copy(headOf(this.ringRadius)).applyQuaternion(this.aimed.object.quaternion);
    this.object.localToWorld(out);
  }

  dispose(): void {
    for (const part of [this.aimed, this.axis]) part.dispose();
    this.object.removeFromParent();
  }
}

/** The radius of a ring around a hub. */
const ringOf = (hub: Hub, reach: number): number => hub.radius * 1.32 + reach * 0.01;

/** Straight up, of the ways in which a label is moved off its place. */
const ABOVE = WAYS / 4;
const ringSweep = 1.62 * Math.PI;

/** A little outside the head of a turning arrow around +Z. */
function headOf(radius: number): Vector3 {
  return new Vector3(Math.cos(ringSweep), Math.sin(ringSweep), 0).multiplyScalar(radius * 1.16);
}

const scratch = new Quaternion();
