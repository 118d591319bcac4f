import { Group, type Object3D, SphereGeometry, TorusGeometry, Vector3 } from "three";
import type { ArmMessage, Direction, Frame } from "../wire";
import { Mark, straightArrow } from "./arrows";
import { units } from "./axes";
import { Grip, isFar, type Line, type Ring, screenPoint, type Sight } from "./grip";
import type { Hub } from "./hubs";
import { Label } from "./labels";
import type { Palette } from "./palette";
import { unseen } from "./pointing";
import { turnFromZ } from "./place";
import { Stroke } from "./stroke";

/** Something in the view that can be dragged, and the direction in which the arm then comes along. */
export interface Handle {
  direction: Direction; // towards plus
  shape: Line | Ring;
}

const ringPieces = 64;
const smallest = 58; // px: on a small screen the rings at the TCP are enlarged to this radius
const shortest = 26; // px: an axis that is seen so short points at the viewer and cannot be dragged along

/**
 * What can be dragged: the active frame's axes at the TCP, rings about them, and in the joint frame rings about the
 * joints. Only where things are on the screen is looked at here; everything is in the world frame, in mm.
 */
export class Handles {
  readonly object = new Group();
  readonly label = new Label("", { px: 17, colour: "#fff", plate: "#000", weight: 800 });
  private readonly atTCP = new Group(); // of the size that suits the screen
  private readonly rings: Mark[];
  private readonly arrows: Mark[];
  private readonly bold = { arrow: new Mark(), ring: new Mark() };
  private readonly bead = new Mark(new SphereGeometry(1, 24, 16));
  private readonly way = new Stroke(128, { width: 4, behind: 0.6 });
  private joints: { hub: Hub; link: Object3D; radius: number }[] = [];
  private palette: Palette | null = null;
  private frame: Frame = "joint";
  private task = "";
  private length = 1;
  private radius = 1;
  private scale = 1;
  private near = false;
  private shown: Handle | null = null;
  private grip: Grip | null = null;

  constructor() {
    this.rings = units.map(() => new Mark());
    this.arrows = units.map(() => new Mark());
    units.forEach((unit, i) => {
      for (const mark of [this.rings[i]!, this.arrows[i]!]) mark.object.quaternion.copy(turnFromZ(unit));
    });
    this.atTCP.add(...this.rings.map((r) => r.object), ...this.arrows.map((a) => a.object));
    this.object.add(this.atTCP, this.bold.arrow.object, this.bold.ring.object, this.bead.object, this.way.object, this.label.object);
    unseen(this.object);
    this.object.traverse(unseen);
    this.show();
  }

  get labels(): Label[] {
    return [this.label];
  }

  setArm(arm: ArmMessage, hubs: Hub[], links: Object3D[]): void {
    const reach = arm.reach_mm;
    this.length = reach * 0.22;
    this.radius = reach * 0.15;
    this.joints = hubs.map((hub, i) => ({ hub, link: links[i]!, radius: hub.radius * 1.32 + reach * 0.01 }));
    for (const ring of this.rings) ring.setShape(new TorusGeometry(this.radius, reach * 0.0026, 8, 96));
    for (const arrow of this.arrows) arrow.setShape(straightArrow(this.length, reach * 0.0036));
    this.bold.arrow.setShape(straightArrow(this.length * 1.04, reach * 0.0088));
    this.bold.ring.setShape(new TorusGeometry(1, 0.045, 12, 96));
    this.letGo();
  }

  setFrame(frame: Frame, task: string): void {
    this.frame = frame;
    this.task = task;
    this.letGo();
  }

  setPalette(p: Palette): void {
    this.palette = p;
    units.forEach((_, i) => {
      this.rings[i]!.setColour(p.axes[i]!, 0.85, 0.45);
      this.arrows[i]!.setColour(p.axes[i]!, 1, 0.45);
    });
    this.show();
  }

  /** Whether the rings at the TCP are shown although nothing is dragged: the pointer is near. Reports a change. */
  setNear(near: boolean): boolean {
    const changed = near !== this.near;
    this.near = near;
    if (changed) this.show();
    return changed;
  }

  /** Is about that handle, or about none: it is drawn bold, with these words beside it. Reports a change. */
  setShown(handle: Handle | null, words: string): boolean {
    if (this.grip || (same(handle, this.shown) && (!handle || words === this.label.text))) return false;
    this.shown = handle;
    this.show(words);
    return true;
  }

  /** Puts the rings where the active axes are, as large as the screen asks for. */
  place(axes: Object3D, sight: Sight): void {
    axes.matrixWorld.decompose(this.atTCP.position, this.atTCP.quaternion, new Vector3());
    const px = this.radius / sight.mmPerPx(this.atTCP.position);
    this.scale = Math.max(1, smallest / px);
    this.atTCP.scale.setScalar(this.scale);
    for (const arrow of this.arrows) arrow.object.visible = this.near && this.frame !== "joint" && this.scale > 1.1;
    this.placeShown(sight);
  }

  /** Points of the rings at the TCP, so that the camera can keep them in the picture. */
  outline(): Vector3[] {
    const { position, quaternion } = this.atTCP;
    return units.flatMap((unit) => onRing(position, unit.clone().applyQuaternion(quaternion), this.radius));
  }

  /** Whether a place of the canvas is so near to the TCP that its rings should be seen. */
  isNear(x: number, y: number, sight: Sight): boolean {
    if (this.frame === "joint") return false;
    const tcp = screenPoint(this.atTCP.position, sight);
    const size = (this.radius * this.scale) / sight.mmPerPx(this.atTCP.position);
    return Math.hypot(tcp.x - x, tcp.y - y) < 1.25 * size + 30;
  }

  /** The handle within so many px of a place of the canvas, or null. */
  find(x: number, y: number, within: number, sight: Sight): Handle | null {
    let best: Handle | null = null;
    let least = within;
    for (const handle of this.all()) {
      const off = handle.shape.distance(x, y, sight);
      if (off < least) [best, least] = [handle, off];
    }
    return best;
  }

  /** The handle of a joint that is taken where its dial or link is: a ring about its axis through that point. */
  through(joint: number, point: Vector3): Handle | null {
    const of = this.joints[joint];
    if (!of || this.frame !== "joint") return null;
    const axis = of.hub.axis.clone().transformDirection(of.link.matrixWorld);
    const middle = of.hub.centre.clone().applyMatrix4(of.link.matrixWorld);
    const along = point.clone().sub(middle).dot(axis);
    const at = middle.addScaledVector(axis, along);
    return { direction: { frame: "joint", task: this.task, axis: joint, sign: 1 }, shape: ring(at, axis, Math.max(at.distanceTo(point), of.hub.radius * 0.6)) };
  }

  get held(): boolean {
    return this.grip !== null;
  }

  /** Takes hold of a handle at a place of the canvas. */
  grab(handle: Handle, x: number, y: number, sight: Sight): void {
    this.shown = handle;
    this.grip = new Grip(handle.shape, x, y, sight);
    this.show();
  }

  /** How far the pointer has gone since then, mm or degrees, when it is at that place of the canvas as it was then. */
  pull(x: number, y: number, words: (by: number) => string): number {
    if (!this.grip) return 0;
    const by = this.grip.move(x, y);
    this.setWords(words(by));
    this.way.through(this.grip.way());
    return by;
  }

  letGo(): void {
    this.grip = null;
    this.shown = null;
    this.show();
  }

  private *all(): Iterable<Handle> {
    const { frame, task } = this;
    if (frame === "joint") {
      for (const [axis, { hub, link, radius }] of this.joints.entries()) {
        const about = hub.axis.clone().transformDirection(link.matrixWorld);
        yield { direction: { frame, task, axis, sign: 1 }, shape: ring(hub.centre.clone().applyMatrix4(link.matrixWorld), about, radius) };
      }
      return;
    }
    const at = this.atTCP.position;
    for (const [axis, unit] of units.entries()) {
      const along = unit.clone().applyQuaternion(this.atTCP.quaternion);
      yield { direction: { frame, task, axis, sign: 1 }, shape: line(at, along, this.length * this.scale) };
      yield { direction: { frame, task, axis: axis + 3, sign: 1 }, shape: ring(at, along, this.radius * this.scale) };
    }
  }

  private setWords(words: string): void {
    const colour = this.colour();
    if (this.palette && colour) this.label.set(words, { colour: this.palette.paper, plate: colour });
  }

  private colour(): string {
    const d = this.shown?.direction;
    if (!d || !this.palette) return "";
    return d.frame === "joint" ? this.palette.joint : this.palette.axes[d.axis % 3]!;
  }

  private show(words = ""): void {
    const shape = this.shown?.shape;
    const colour = this.colour();
    for (const ring of this.rings) ring.object.visible = this.near && this.frame !== "joint";
    this.bold.arrow.object.visible = shape?.kind === "line";
    this.bold.ring.object.visible = shape?.kind === "ring";
    this.bead.object.visible = this.way.object.visible = this.grip !== null;
    this.label.object.visible = shape !== undefined && (words !== "" || this.grip !== null);
    if (!shape || !colour) return;
    for (const mark of [this.bold.arrow, this.bold.ring, this.bead]) mark.setColour(colour, 1, 0.7);
    this.way.setColour(colour);
    this.way.clear();
    this.setWords(words);
  }

  private placeShown(sight: Sight): void {
    const shape = this.shown?.shape;
    if (!shape) return;
    const mark = shape.kind === "line" ? this.bold.arrow.object : this.bold.ring.object;
    // An axis goes with the TCP; a ring stays, for neither the TCP nor the joint's middle moves.
    mark.position.copy(shape.kind === "line" ? this.atTCP.position : shape.at);
    mark.quaternion.copy(turnFromZ(shape.axis));
    mark.scale.setScalar(shape.kind === "line" ? this.scale : shape.radius);
    const end = this.grip?.pointer() ?? shape.top(sight);
    this.label.object.position.copy(end);
    this.label.object.center.set(0.5, -0.75);
    this.bead.object.position.copy(end);
    this.bead.object.scale.setScalar(7 * sight.mmPerPx(end));
  }

  dispose(): void {
    for (const part of [...this.rings, ...this.arrows, this.bold.arrow, this.bold.ring, this.bead, this.way, this.label]) part.dispose();
  }
}

function same(a: Handle | null, b: Handle | null): boolean {
  return a?.direction.axis === b?.direction.axis && a?.direction.frame === b?.direction.frame;
}

function line(at: Vector3, axis: Vector3, length: number): Line {
  const point = (part: number): Vector3 => at.clone().addScaledVector(axis, part * length);
  return {
    kind: "line",
    at: at.clone(),
    axis,
    top: () => point(1),
    distance: (x, y, sight) => {
      const [tcp, tip] = [screenPoint(at, sight), screenPoint(point(1), sight)];
      if (Math.hypot(tip.x - tcp.x, tip.y - tcp.y) < shortest) return Infinity;
      // Not the beginning, where the three meet, but the letter beyond the tip too.
      return fromStretch(x, y, screenPoint(point(0.28), sight), screenPoint(point(1.12), sight));
    },
  };
}

function onRing(at: Vector3, axis: Vector3, radius: number): Vector3[] {
  const toX = turnFromZ(axis);
  return Array.from({ length: ringPieces }, (_, i) => {
    const turn = (2 * Math.PI * i) / ringPieces;
    return new Vector3(Math.cos(turn), Math.sin(turn), 0).multiplyScalar(radius).applyQuaternion(toX).add(at);
  });
}

function ring(at: Vector3, axis: Vector3, radius: number): Ring {
  const points = onRing(at, axis, radius);
  return {
    kind: "ring",
    at: at.clone(),
    axis,
    radius,
    top: (sight) => points.reduce((a, b) => (screenPoint(a, sight).y < screenPoint(b, sight).y ? a : b)),
    distance: (x, y, sight) => {
      // The far half, mostly behind the arm, is left alone.
      const back = new Vector3().copy(sight.camera.position).sub(at).normalize();
      let least = Infinity;
      points.forEach((p, i) => {
        if (isFar(p.clone().sub(at), { axis, radius }, back)) return;
        least = Math.min(least, fromStretch(x, y, screenPoint(p, sight), screenPoint(points[(i + 1) % ringPieces]!, sight)));
      });
      return least;
    },
  };
}

/** How far a place is from the straight stretch between two others, px. */
function fromStretch(x: number, y: number, a: { x: number; y: number }, b: { x: number; y: number }): number {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const t = Math.min(1, Math.max(0, ((x - a.x) * dx + (y - a.y) * dy) / (dx * dx + dy * dy || 1)));
  return Math.hypot(a.x + t * dx - x, a.y + t * dy - y);
}
