import { BufferAttribute, BufferGeometry, Color, Group, Matrix4, Mesh, MeshBasicMaterial, MeshStandardMaterial, Quaternion, Vector3 } from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";
import type { Direction, Frame, Place } from "../wire";
import { units } from "./axes";
import type { Box, Picture, Point } from "./beside";
import { type Bone, bonesOf, type Finger, fingers, type Pose, wrist } from "./handbones";
import { biscuit, cuff, dipped, handSkin, nails } from "./handskin";
import type { Hub } from "./hubs";
import { metal } from "./materials";
import { coloured } from "./merged";
import type { Palette } from "./palette";
import { jogHeld, whenIdle } from "../basics/idle";
import { around, type Dot, type Rod, standOff } from "./standoff";
import { Stroke } from "./stroke";

/** Where the hand is held: at the TCP, at the origin of the active frame, or not at all. */
export type HandPlace = "tcp" | "origin" | "none";

const indexLength = 90; // mm, of the hand as it is modelled

/**
 * A right hand that shows the direction in hand: axes by index, middle finger and thumb; a turn by thumb and curl. With
 * no direction in hand it shows the active frame's axes.
 */
export class RightHand {
  readonly object = new Group();
  private readonly held = new Group(); // the hand itself
  /** Goes from the place that the hand stands for to the hand, where that stands beside it. */
  private readonly leader = new Stroke(1, { width: 1.6, behind: 1 });
  private beside = 0; // which of the places around
  /** Called when a hand has been made that is not shown yet. */
  onPrepared: () => void = () => {};
  /** Called when it shows something else: the axes, one turn, or nothing. */
  onShown: (what: { turn: Direction | null } | null) => void = () => {};
  private readonly poses: Partial<Record<Pose, Group>> = {};
  private readonly materials = handMaterials();
  private readonly faint: [MeshStandardMaterial, MeshStandardMaterial][] = [];
  private readonly nearness = new MeshBasicMaterial({ colorWrite: false, transparent: true });
  private readonly nail = new Color();
  private palette: Palette | null = null;
  private preparing = false;
  private where: HandPlace = "tcp";
  private direction: Direction | null = null;
  private frame: Frame = "joint";
  private told = true;
  private leftOut = false;
  private size = 1;

  constructor() {
    this.object.add(this.held, this.leader.object);
  }

  setSize(reach: number): void {
    this.size = reach;
    this.show();
  }

  setPalette(p: Palette): void {
    this.palette = p;
    this.materials.skin.color.set(p.hand);
    this.nail.set(p.nail);
    for (const group of Object.values(this.poses)) this.paintNails(group);
    this.leader.setColour(p.ink);
    // What is drawn through the arm is a copy.
    for (const [material, faint] of this.faint) faint.color.copy(material.color);
    this.show();
  }

  setPlace(where: HandPlace): void {
    this.where = where;
    this.show();
    if (where !== "none") this.prepareSoon();
  }

  /**
   * Making a hand takes a moment. It is made when there is nothing else to do, so that the first press of a jog button
   * does not have to wait for it.
   */
  private prepareSoon(): void {
    const next = (["axes", "curl"] as const).find((pose) => !this.poses[pose]);
    if (!next || this.preparing) return;
    this.preparing = true;
    whenIdle(() => {
      this.preparing = false;
      if (this.poses[next]) return;
      this.poses[next] = this.build(next);
      this.poses[next].visible = false;
      this.show();
      this.onPrepared();
      this.prepareSoon();
    });
  }

  setDirection(direction: Direction | null): void {
    this.direction = direction;
    this.show();
  }

  setFrame(frame: Frame): void {
    this.frame = frame;
    this.show();
  }

  /** Whether it may show the frame's axes, which answer what a learner predicts. */
  setTold(told: boolean): void {
    this.told = told;
    this.show();
  }

  /** Whether it is left out of a picture that has no room for it. */
  setLeftOut(on: boolean): void {
    if (on === this.leftOut) return;
    this.leftOut = on;
    this.show();
  }

  private get pose(): Pose {
    const d = this.direction;
    return !d || (d.frame !== "joint" && d.axis < 3) ? "axes" : "curl";
  }

  private show(): void {
    const any = this.direction !== null || (this.frame !== "joint" && this.told);
    const late = !this.poses[this.pose] && jogHeld(); // It is made, and shown, when the jog is over.
    this.object.visible = any && this.where !== "none" && !late && !this.leftOut;
    this.leader.object.visible = false;
    this.onShown(this.object.visible ? { turn: this.pose === "curl" ? this.direction : null } : null);
    if (!this.object.visible || !this.palette) return;
    const pose = this.pose;
    this.poses[pose] ??= this.build(pose);
    for (const [name, group] of Object.entries(this.poses)) group.visible = name === pose;
    const { axes, joint } = this.palette;
    const d = this.direction;
    // Index, middle finger and thumb wear the colours of X, Y and Z; of a turn the thumb wears its axis's.
    const worn: Partial<Record<Finger, string>> =
      !d || pose === "axes" ? { index: axes[0], middle: axes[1], thumb: axes[2] } : { thumb: d.frame === "joint" ? joint : axes[d.axis % 3]! };
    const pointing = pose === "curl" ? "thumb" : d && (["index", "middle", "thumb"] as const)[d.axis];
    fingers.forEach((finger, i) => {
      const colour = worn[finger];
      this.materials.skin.dips.value[i] = !colour ? -1 : finger === pointing ? dipped.whole : dipped.tip;
      if (colour) {
        const c = new Color(colour);
        this.materials.skin.glazes.value[i]!.set(c.r, c.g, c.b);
      }
    });
  }

  /**
   * Holds the hand: the active axes are at the TCP, the frame itself where its origin is. A joint's turn is shown at
   * the joint, whose hub hangs on a link.
   */
  place(axes: Place, frame: Place, joint: { hub: Hub; link: Matrix4 } | null): void {
    const d = this.direction;
    if (!this.object.visible) return;
    const at = this.where === "origin" ? frame : axes;
    const scale = (this.size * (this.where === "origin" && (d?.frame ?? this.frame) !== "tool" ? 0.26 : 0.19)) / indexLength;
    const q = new Quaternion().fromArray(at.q);
    this.held.position.fromArray(at.p);
    if (d?.frame === "joint") {
      if (!joint) return;
      const axis = joint.hub.axis.clone().multiplyScalar(d.sign).transformDirection(joint.link);
      this.held.position.copy(joint.hub.centre).applyMatrix4(joint.link);
      this.held.quaternion.copy(thumbAlong(axis));
    } else if (!d || d.axis < 3) {
      this.held.quaternion.copy(q);
    } else {
      this.held.quaternion.copy(thumbAlong(units[d.axis % 3]!.clone().multiplyScalar(d.sign).applyQuaternion(q)));
    }
    this.held.scale.setScalar(scale);
    this.held.updateMatrixWorld(true);
  }

  /**
   * Moves it beside its place, straight across the picture, to where it hides least, and says what it covers there. Its
   * thumb stays on the line about which it shows a turn, if it can.
   */
  standOff(picture: Picture, dots: readonly Dot[], labels: readonly Box[], free: { w: number; h: number }): Box[] {
    this.leader.object.visible = false;
    if (!this.object.visible) return [];
    const rods = this.rods(picture);
    const place = this.held.getWorldPosition(new Vector3());
    const from = picture.seen(place);
    const { off, place: chosen } = standOff(rods, dots, labels, free, this.pose === "curl" ? this.thumbLine(picture) : null, this.beside);
    this.beside = chosen;
    const to: Point = [from[0] + off[0], from[1] + off[1]];
    const parent = this.held.parent!;
    const moved = parent.worldToLocal(picture.placeOf(to, picture.depth(place)));
    if (off[0] !== 0 || off[1] !== 0) {
      this.leader.through([this.held.position.clone(), moved]);
      this.leader.object.visible = true;
      this.held.position.copy(moved);
      this.held.updateMatrixWorld(true);
    }
    return rods.map((rod) => {
      const box = around(rod);
      return { ...box, x: box.x + off[0], y: box.y + off[1] };
    });
  }

  /** The hand as rods of the picture. */
  private rods(picture: Picture): Rod[] {
    const { fingers, palm, centre } = bonesOf(this.pose);
    const bones: Bone[] = [...Object.values(fingers).flat(), ...palm, cuffBone];
    const at = (p: Vector3): Vector3 => p.clone().sub(centre).applyMatrix4(this.held.matrixWorld);
    return bones.map(({ from, to, fromRadius, toRadius }) => {
      const radius = Math.max(fromRadius, toRadius) * this.held.scale.x * picture.pxPerMm(at(from));
      return { line: [picture.seen(at(from)), picture.seen(at(to))], radius };
    });
  }

  /** Which way the thumb points in the picture; null where it points at the viewer or away. */
  private thumbLine(picture: Picture): Point | null {
    const [a, b] = [new Vector3(), new Vector3(0, 0, indexLength)].map((p) => picture.seen(p.applyMatrix4(this.held.matrixWorld))) as [Point, Point];
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    return length < 12 ? null : [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
  }

  /**
   * For each finger the middle of each of its pieces from the knuckle on, and of its nail, in the coordinates of the
   * whole picture. They are taken from the skin's own points as they are drawn.
   */
  measured(): Record<Finger, { pieces: [number, number, number][]; nail: [number, number, number] }> | null {
    const group = this.poses[this.pose];
    if (!this.object.visible || !group) return null;
    return measure(group);
  }

  private build(pose: Pose): Group {
    const bones = bonesOf(pose);
    const group = buildHand(pose, this.materials);
    // Drawn once more over what hides it, so that it shows through the arm in whose middle the origin may be: first
    // only how near it is, with all else out of the way, and then what is nearest.
    const parts = [...group.children] as Mesh<BufferGeometry, MeshStandardMaterial>[];
    const near = new Mesh(outlineOf(parts.map((part) => part.geometry)), this.nearness);
    near.renderOrder = 9;
    near.onBeforeRender = (renderer) => renderer.clearDepth();
    group.add(near);
    const skin = parts[0]!; // enough to know the fingers by
    const faint = seenThrough(skin.material);
    this.faint.push([skin.material, faint]);
    const through = new Mesh(skin.geometry, faint);
    through.renderOrder = 10;
    group.add(through);
    this.paintNails(group);
    group.position.copy(bones.centre).negate();
    this.held.add(group);
    return group;
  }

  /** The nails have their colour from the page's; the cuff keeps its own. */
  private paintNails(group: Group): void {
    const { geometry } = group.children[1] as Mesh<BufferGeometry>;
    const [colour, finger] = [geometry.getAttribute("color"), geometry.getAttribute("finger")];
    for (let i = 0; i < finger.count; i++) if (finger.getX(i) >= 0) colour.setXYZ(i, this.nail.r, this.nail.g, this.nail.b);
    colour.needsUpdate = true;
  }

  dispose(): void {
    this.leader.dispose();
    for (const group of Object.values(this.poses)) {
      for (const part of group.children as Mesh<BufferGeometry, MeshStandardMaterial>[]) {
        part.geometry.dispose();
        part.material.dispose();
      }
    }
  }
}

/** What the cuff covers beyond the wrist. */
const cuffBone: Bone = { from: wrist, to: wrist.clone().add(new Vector3(-30, 0, 0)), fromRadius: 27, toRadius: 27 };

function handMaterials() {
  return { skin: biscuit(), rest: metal() };
}

/** The same material, drawn faintly over everything. Its glazes are the same ones, not copies. */
function seenThrough(material: MeshStandardMaterial): MeshStandardMaterial {
  const faint = material.clone();
  faint.onBeforeCompile = material.onBeforeCompile;
  faint.transparent = true;
  faint.opacity = 0.6;
  return faint;
}

/** The hand's meshes: its skin, and its nails with the cuff. */
export function buildHand(pose: Pose, materials = handMaterials()): Group {
  const bones = bonesOf(pose);
  const group = new Group();
  const [nail, sleeve] = [coloured(nails(bones).toNonIndexed(), new Color("#fff")), cuff()];
  sleeve.setAttribute("finger", new BufferAttribute(new Float32Array(sleeve.getAttribute("position").count).fill(-1), 1));
  group.add(new Mesh(handSkin(bones), materials.skin), new Mesh(mergeGeometries([nail, sleeve]), materials.rest));
  return group;
}

/** All shapes in one, for what is only to be in the way. */
function outlineOf(shapes: BufferGeometry[]): BufferGeometry {
  return mergeGeometries(
    shapes.map((shape) => {
      const plain = (shape.index ? shape.toNonIndexed() : shape).getAttribute("position");
      return new BufferGeometry().setAttribute("position", plain);
    }),
  );
}

/** See RightHand.measured. */
export function measure(group: Group): Record<Finger, { pieces: [number, number, number][]; nail: [number, number, number] }> {
  group.updateWorldMatrix(true, true);
  const [skin, nail] = group.children as [Mesh<BufferGeometry>, Mesh<BufferGeometry>];
  const middles = (mesh: Mesh<BufferGeometry>, attribute: string): Map<number, [number, number, number]> => {
    const sums = new Map<number, { sum: Vector3; count: number }>();
    const of = mesh.geometry.getAttribute(attribute);
    const at = mesh.geometry.getAttribute("position");
    const p = new Vector3();
    for (let i = 0; i < at.count; i++) {
      p.fromBufferAttribute(at, i).applyMatrix4(mesh.matrixWorld);
      const one = sums.get(of.getX(i)) ?? { sum: new Vector3(), count: 0 };
      one.sum.add(p);
      one.count++;
      sums.set(of.getX(i), one);
    }
    return new Map([...sums].map(([key, { sum, count }]) => [key, sum.divideScalar(count).toArray()]));
  };
  const pieces = middles(skin, "bone");
  const onNails = middles(nail, "finger");
  return Object.fromEntries(
    fingers.map((name, f) => [
      name,
      { pieces: [0, 1, 2].map((i) => pieces.get(5 * i + f)).filter((p) => p !== undefined), nail: onNails.get(f)! },
    ]),
  ) as ReturnType<typeof measure>;
}

/** The turn that takes the thumb, +Z of the hand, to a direction, with the wrist as low as it goes. */
function thumbAlong(direction: Vector3): Quaternion {
  const z = direction.clone().normalize();
  // The forearm, -X of the hand, hangs down, or comes from the back where the thumb is upright.
  const want = Math.abs(z.z) > 0.9 ? new Vector3(1, 0, 0) : new Vector3(0, 0, 1);
  const x = want.addScaledVector(z, -want.dot(z)).normalize();
  return new Quaternion().setFromRotationMatrix(new Matrix4().makeBasis(x, z.clone().cross(x), z));
}
