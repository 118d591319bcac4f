import { CircleGeometry, Color, Group, Mesh, MeshBasicMaterial, type PerspectiveCamera, Quaternion, Ray, RingGeometry, SphereGeometry, TorusGeometry, Vector3 } from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";
import { Mark, straightArrow, turningArrow } from "./arrows";
import { letters } from "./axes";
import { type Box, Picture } from "./beside";
import { type Anchor, Label, scaleOf, type Screen } from "./labels";
import type { Palette } from "./palette";
import { turnFromZ } from "./place";
import { means } from "./pointing";
import { Stroke } from "./stroke";

type V3 = readonly [number, number, number];

/** Ways to turn the arrow a little, as the viewer sees them. */
export type Nudge = "left" | "right" | "up" | "down" | "towards" | "away";

const RADIUS_PX = 70;
/** Pieces of the arc between two arrows, and how far out it is on them. */
const ARC = 24;
const ARC_AT = 0.6;
/** About how wide and high a label is. */
const LABEL_PX = [110, 30] as const;
const HERE = new Vector3(0, 0, 0);
const UP = new Vector3(0, 0, 1);
const FORWARD = new Vector3(1, 0, 0);
const NUDGE = Math.PI / 12;
/** The ball is smaller where the picture ends beside it, but not smaller than this. */
const LEAST_PX = 36;
/** The minus ends of the axes have names where the ball's radius is so many times as high as these. */
const MINUS_FROM = 2.2;
/** The size of a dot, and of the rim around it, parts of the ball's radius. */
const DOT = 0.135;
const RIM = 0.03;
/** A finger beside the ball still means the ball. */
const SLOP = 1.3;
/**
 * A place of the picture means an axis that leaves the ball no farther from it than this, a part of the ball's radius: 12° in the
 * middle. Two that are no farther apart are in one place.
 */
const CATCH = Math.sin(Math.PI / 15);

/**
 * Where a learner says which way something will go: a glass ball around a point, on which an arrow is drawn. A place on
 * the half of the ball that faces the viewer is a direction towards the viewer, a place on the half behind it one away. A
 * level ring and a line down to it show how the arrow lies in space, and dots where the axes of a frame leave the ball are there
 * to aim at: filled on the near half, open rings on the far one. Afterwards a second arrow shows what happened, and an arc between
 * the two how far off it was.
 */
export class Prediction {
  readonly object = new Group();
  /** Of the two arrows: what was said, and what happened. */
  readonly answers: Label[] = [new Label("?", labelStyle), new Label("", labelStyle)];
  /** Of the axes' ends, X and −X, then those of Y and Z. */
  readonly letters: Label[] = letters.flatMap((letter) => [new Label(letter, letterStyle), new Label(`−${letter}`, minusStyle)]);
  private readonly ball = new Group(); // of radius 1
  private readonly glass = new Mesh(new SphereGeometry(1, 48, 32), new MeshBasicMaterial({ transparent: true, opacity: 0.14, depthWrite: false, toneMapped: false }));
  private readonly outline = new Mark(new TorusGeometry(1, 0.014, 10, 96));
  private readonly level = new Mark(new TorusGeometry(1, 0.007, 8, 96));
  private readonly upright = new Stroke(2, { width: 2, behind: 0.6, dash: 0.06 });
  private readonly arc = new Stroke(ARC, { width: 3, behind: 0.6 });
  private readonly arrows = [new Arrow(), new Arrow()] as const;
  private readonly dots = [0, 1, 2, 3, 4, 5].map(() => new Dot());
  private axes: readonly Vector3[] = []; // X +, X −, Y + … of the frame that is asked about
  private far = false; // the half of the ball that is drawn on
  private px = 0; // the ball's radius on the screen
  private perPx = 1; // of the screen that it was fitted to
  private camera: PerspectiveCamera | null = null;
  /** Whether an answer is waited for. */
  asking = false;
  private never = false; // which axis is which is not told,
  private always = false; // or told also where another frame's axes are, with letters of their own
  private crossed = false; // which are there
  private palette: Palette | null = null;

  constructor() {
    this.ball.add(this.glass, this.outline.object, this.level.object, this.upright.object, this.arc.object, ...this.arrows.map((a) => a.object), ...this.dots.map((d) => d.object));
    this.object.add(this.ball, ...[...this.letters, ...this.answers].map((l) => l.object));
    for (const label of [...this.letters, ...this.answers]) label.object.renderOrder = 30; // over the joints' names
    means(this.arrows[0].object, { kind: "guess" });
    this.object.visible = false;
  }

  get labels(): Label[] {
    return [...this.letters, ...this.answers];
  }

  /**
   * Asks for a direction from a point of the base frame, or for the axis of a turn about it. The axes, X + and X −, then those of
   * Y and Z, are marked on the ball. Which is which is told never, always, or where no other frame's axes are at that point.
   */
  ask(at: V3, turn: boolean, axes: readonly Vector3[], never: boolean, always: boolean): void {
    this.never = never;
    this.always = always;
    if (this.palette) this.colourDots(this.palette);
    this.object.position.fromArray(at);
    this.axes = axes;
    this.asking = true;
    for (const arrow of this.arrows) arrow.setKind(turn);
    this.show(null, null, "?", "");
  }

  /** The arrow as it is being drawn; null for none yet. */
  set(direction: Vector3 | null): void {
    this.show(direction, null, "?", "");
  }

  /** Shows what was said beside what happened; null where there is no such direction. What has a name and none is told at the point. */
  answer(at: V3, turn: boolean, said: Vector3 | null, truth: Vector3 | null, names: [said: string, truth: string]): void {
    this.object.position.fromArray(at);
    this.asking = false;
    for (const arrow of this.arrows) arrow.setKind(turn);
    this.show(said, truth, ...names);
  }

  /** Whether the axes' ends on the ball have their letters. */
  get lettered(): boolean {
    return this.asking && !this.bare;
  }

  /** Whether the axes of the frame that is jogged are drawn at the tip, with letters of their own. */
  setCrossed(on: boolean): void {
    this.crossed = on;
    if (this.palette) this.colourDots(this.palette);
  }

  /** Which axis is which is not told. */
  private get bare(): boolean {
    return this.never || (this.crossed && !this.always);
  }

  clear(): void {
    this.asking = false;
    this.object.visible = false;
  }

  private show(said: Vector3 | null, truth: Vector3 | null, saidName: string, truthName: string): void {
    this.object.visible = this.asking || !!said || truthName !== "";
    this.glass.visible = this.outline.object.visible = this.asking;
    for (const { object } of this.dots) object.visible = this.asking;
    for (const { object } of this.letters) object.visible = this.asking && !this.bare;
    this.answers[0]!.set(saidName);
    this.answers[1]!.set(truthName);
    [said, truth].forEach((direction, i) => this.arrows[i]!.set(direction));
    this.answers[0]!.object.visible = !!said;
    this.answers[1]!.object.visible = truthName !== "";
    this.level.object.visible = this.asking || !!said;
    this.upright.object.visible = !!said;
    if (said) this.upright.through([said, new Vector3(said.x, said.y, 0)]);
    this.arc.object.visible = !!said && !!truth;
    if (said && truth) this.arc.through(arcBetween(said, truth));
  }

  /** Which half of the ball is drawn on. Of two dots in one place the one of that half is shown. */
  setHalf(far: boolean): void {
    this.far = far;
  }

  /** Each dot in its axis's colour, unless that would tell which axis it is. */
  private colourDots(p: Palette): void {
    this.dots.forEach((dot, i) => dot.setColours(this.bare ? p.target : p.axes[i >> 1]!, p.ink));
  }

  setPalette(p: Palette): void {
    this.letters.forEach((letter, i) => letter.set(letter.text, { colour: p.axes[i >> 1]!, halo: p.paper }));
    this.palette = p;
    this.colourDots(p);
    this.glass.material.color.set(p.target);
    this.outline.setColour(p.target, 1, 0.6);
    this.level.setColour(p.target, 0.8, 0.5);
    this.upright.setColour(p.target);
    this.arc.setColour(p.ink);
    [p.target, p.ink].forEach((colour, i) => {
      this.arrows[i]!.setColour(colour);
      this.answers[i]!.set(this.answers[i]!.text, { colour: p.paper, plate: colour });
    });
  }

  /** Keeps the ball the same size on the screen, and its outline round. */
  fit(camera: PerspectiveCamera, screen: Screen, free: Free): void {
    this.camera = camera;
    this.perPx = screen.perPx;
    if (!this.object.visible) return;
    const centre = this.centre();
    const depth = centre.clone().sub(camera.position).dot(camera.getWorldDirection(new Vector3()));
    const px = (this.px = Math.min(RADIUS_PX * scaleOf(screen, RADIUS_PX), Math.max(LEAST_PX, roomAround(centre.clone().project(camera), free))));
    const radius = px * screen.perPx * Math.max(depth, 1);
    this.ball.scale.setScalar(radius);
    this.outline.object.quaternion.copy(this.frame().invert()).multiply(camera.quaternion);
    this.arrows.forEach((arrow, i) => {
      this.answers[i]!.object.position.copy(arrow.direction ?? HERE).multiplyScalar(radius * 1.04);
    });
    const toScreen = camera.quaternion.clone().invert().multiply(this.frame());
    if (this.asking) this.placeAxes(toScreen, radius, px > MINUS_FROM * this.letters[1]!.object.scale.y / screen.perPx);
    this.placeLabels(toScreen, px);
  }

  /** Marks where the axes leave the ball; what their minus ends are called is told where there is room. */
  private placeAxes(toScreen: Quaternion, radius: number, minus: boolean): void {
    this.axes.forEach((axis, i) => {
      const [dot, { object }] = [this.dots[i]!, this.letters[i]!];
      dot.object.visible = !this.covered(axis, this.far);
      object.visible = dot.object.visible && !this.bare && (minus || i % 2 === 0);
      dot.setNear(!this.isFar(axis));
      dot.object.position.copy(axis);
      dot.object.quaternion.copy(this.outline.object.quaternion);
      object.position.copy(axis).multiplyScalar(radius * 1.1);
      beyond(object, axis.clone().applyQuaternion(toScreen));
    });
  }

  /** What the dots cover. */
  dotBoxes(picture: Picture): Box[] {
    if (!this.asking) return [];
    return this.axes.filter((axis) => !this.covered(axis, this.far)).map((axis) => {
      const [x, y] = picture.seen(this.spot(axis));
      return { x, y, w: 2 * DOT * this.px, h: 2 * DOT * this.px };
    });
  }

  /** Puts each label beyond the tip of its arrow, and both apart where they would lie over each other. */
  private placeLabels(toScreen: Quaternion, px: number): void {
    const [said, truth] = this.arrows.map((arrow, i) => {
      const tip = (arrow.direction ?? HERE).clone().applyQuaternion(toScreen);
      const { object } = this.answers[i]!;
      beyond(object, tip);
      return { object, tip };
    });
    if (!said!.object.visible || !truth!.object.visible) return;
    const [across, along] = [(said!.tip.x - truth!.tip.x) * px, (said!.tip.y - truth!.tip.y) * px];
    if (Math.abs(along) > LABEL_PX[1] || Math.abs(across) > LABEL_PX[0]) return;
    // Beside arrows that point up or down, above and below others: over neither of them.
    if (Math.abs(said!.tip.y + truth!.tip.y) > Math.abs(said!.tip.x + truth!.tip.x)) {
      const [left, right] = across < 0 ? [said!, truth!] : [truth!, said!];
      left.object.center.set(1.15, 0.5);
      right.object.center.set(-0.15, 0.5);
      return;
    }
    const [low, high] = along < 0 ? [said!, truth!] : [truth!, said!];
    low.object.center.y = 1.1;
    high.object.center.y = -0.1;
    if (Math.abs(said!.tip.x) > 0.4) for (const { object, tip } of [low, high]) object.center.x = tip.x < 0 ? 1.05 : -0.05;
  }

  /** Whether a place of the picture is on the ball, or on a letter of it. */
  covers(ray: Ray): boolean {
    if (!this.asking || !this.camera) return false;
    return ray.distanceToPoint(this.centre()) < this.ball.scale.x * SLOP || this.lettersAt(ray).some(Boolean);
  }

  /** Of each axis, whether its letter is at a place of the picture. */
  private lettersAt(ray: Ray): boolean[] {
    const picture = new Picture(this.camera!, this.perPx);
    const [x, y] = picture.seen(ray.at(1, new Vector3()));
    return this.letters.map((letter) => {
      if (!letter.object.visible || letter.crowded) return false;
      const box = picture.boxOf(letter);
      return Math.abs(x - box.x) <= box.w / 2 && Math.abs(y - box.y) <= box.h / 2;
    });
  }

  /** The axis that a press means: the one whose letter it is on, or whose dot is nearest, if that is within so many px. Null for none. */
  pressed(ray: Ray, far: boolean, within: number): Vector3 | null {
    if (!this.camera) return null;
    const lettered = this.axes[this.lettersAt(ray).indexOf(true)];
    if (lettered) return lettered.clone();
    const found = this.nearest(ray, far);
    return found && found.off * this.px <= within ? found.axis.clone() : null;
  }

  /** The direction to where that place of the picture is on the ball: on its near half, or on the far one. */
  toward(ray: Ray, far: boolean): Vector3 | null {
    if (!this.camera) return null;
    const centre = this.centre();
    const out = ray.closestPointToPoint(centre, new Vector3()).sub(centre);
    const half = Math.sqrt(Math.max(0, this.ball.scale.x ** 2 - out.lengthSq()));
    out.addScaledVector(ray.direction, far ? half : -half);
    return out.normalize().applyQuaternion(this.frame().invert());
  }

  /** The axis that an arrow drawn to a place of the picture snaps to. Null for none. */
  caught(ray: Ray, far: boolean): Vector3 | null {
    const found = this.nearest(ray, far);
    return found && found.off <= CATCH ? found.axis.clone() : null;
  }

  /** Of the axes whose dots are shown the nearest to a place of the picture, and how far that is, a part of the ball's radius. */
  private nearest(ray: Ray, far: boolean): { axis: Vector3; off: number } | undefined {
    return this.axes
      .filter((axis) => !this.covered(axis, far))
      .map((axis) => ({ axis, off: this.off(ray, axis) }))
      .sort((a, b) => a.off - b.off)[0];
  }

  /** Whether an axis of the other half of the ball gives way to one of that half, which is in the same place of the picture. */
  private covered(axis: Vector3, far: boolean): boolean {
    return this.isFar(axis) !== far && this.besides(axis).some((other) => this.isFar(other) === far);
  }

  /** The other axes in the place of the picture that an axis has. */
  private besides(axis: Vector3): Vector3[] {
    const eye = this.camera!.getWorldPosition(new Vector3());
    const ray = new Ray(eye, this.spot(axis).sub(eye).normalize());
    return this.axes.filter((other) => other !== axis && this.off(ray, other) <= CATCH);
  }

  /** How far from a place of the picture an axis leaves the ball, a part of its radius. */
  private off(ray: Ray, axis: Vector3): number {
    return ray.distanceToPoint(this.spot(axis)) / this.ball.scale.x;
  }

  /** Where a direction leaves the ball, in the world. */
  private spot(direction: Vector3): Vector3 {
    return direction.clone().multiplyScalar(this.ball.scale.x).applyQuaternion(this.frame()).add(this.centre());
  }

  /** Whether a direction is that of a dot that no other shares its place with. */
  isDot(direction: Vector3): boolean {
    const axis = this.axisAlong(direction);
    return !!axis && this.besides(axis).length === 0;
  }

  private axisAlong(direction: Vector3): Vector3 | undefined {
    return this.axes.find((axis) => axis.distanceToSquared(direction) < 1e-12);
  }

  /** The same place of the picture on the other half of the ball: from an axis to the one behind or before it, if there is one. */
  flipped(direction: Vector3): Vector3 {
    const axis = this.axisAlong(direction);
    const other = axis && this.besides(axis).find((other) => this.isFar(other) !== this.isFar(axis));
    if (other) return other.clone();
    const back = this.back();
    return direction.clone().addScaledVector(back, -2 * direction.dot(back));
  }

  private isFar(direction: Vector3): boolean {
    return this.towardViewer(direction) < 0;
  }

  /** How far a unit vector comes towards the viewer, from 1 to −1. */
  towardViewer(direction: Vector3): number {
    return this.camera ? direction.dot(this.back()) : 0;
  }

  /** The arrow turned a little; without one yet, the whole way. */
  nudged(direction: Vector3 | null, way: Nudge): Vector3 {
    if (!this.camera) return direction ?? FORWARD.clone();
    const to = this.seenAs(...nudges[way]);
    if (!direction) return to;
    return direction.angleTo(to) < NUDGE ? to : turned(direction, to, NUDGE, this.back());
  }

  /** A direction of the base frame from what it is for the viewer of the ball: to the right, up and towards. */
  private seenAs(right: number, up: number, towards: number): Vector3 {
    const z = this.back();
    const x = new Vector3(1, 0, 0).applyQuaternion(this.camera!.quaternion).applyQuaternion(this.frame().invert());
    x.addScaledVector(z, -x.dot(z)).normalize();
    const y = z.clone().cross(x);
    return x.multiplyScalar(right).addScaledVector(y, up).addScaledVector(z, towards);
  }

  dispose(): void {
    this.glass.geometry.dispose();
    this.glass.material.dispose();
    for (const part of [this.outline, this.level, this.upright, this.arc, ...this.arrows, ...this.dots, ...this.letters, ...this.answers]) part.dispose();
  }

  private centre(): Vector3 {
    return this.object.getWorldPosition(new Vector3());
  }

  /** The base frame's turn in the world. */
  private frame(): Quaternion {
    return this.object.getWorldQuaternion(new Quaternion());
  }

  /** From the ball to the viewer. */
  private back(): Vector3 {
    return this.camera!.getWorldPosition(new Vector3()).sub(this.centre()).normalize().applyQuaternion(this.frame().invert());
  }
}

const nudges: Record<Nudge, [number, number, number]> = {
  left: [-1, 0, 0],
  right: [1, 0, 0],
  up: [0, 1, 0],
  down: [0, -1, 0],
  towards: [0, 0, 1],
  away: [0, 0, -1],
};

/** Puts a label beyond its place, the tip of something that points to the right, up and towards the viewer by so much. */
function beyond(label: Anchor, tip: Vector3): void {
  // What points at the viewer, or away, has its label above.
  if (Math.hypot(tip.x, tip.y) < 0.4) label.center.set(0.5, -0.25);
  else label.center.set(0.5 - 0.6 * tip.x, 0.5 - 0.8 * tip.y);
}

/** A direction turned towards another by an angle. From the opposite one every way leads there: up is taken, unless told otherwise. */
function turned(from: Vector3, to: Vector3, angle: number, via = UP): Vector3 {
  const aside = [to, via, UP, FORWARD].map((way) => way.clone().addScaledVector(from, -way.dot(from))).find((out) => out.lengthSq() > 1e-9)!;
  return from.clone().multiplyScalar(Math.cos(angle)).addScaledVector(aside.normalize(), Math.sin(angle));
}

/** The points of an arc from one direction to another. */
function arcBetween(from: Vector3, to: Vector3): Vector3[] {
  const angle = from.angleTo(to);
  return Array.from({ length: ARC + 1 }, (_, i) => turned(from, to, (angle * i) / ARC).multiplyScalar(ARC_AT));
}

/** The part of the picture that no panel covers: its size, and what is covered at each edge, px. */
export interface Free {
  width: number;
  height: number;
  left: number;
  right: number;
  top: number;
  bottom: number;
}

/** How far a place of the picture, −1 to 1 to the right and up, is from what is not free, px. */
export function roomAround(at: Vector3, { width, height, left, right, top, bottom }: Free): number {
  const [x, y] = [((at.x + 1) / 2) * width, ((1 - at.y) / 2) * height];
  return Math.min(x - left, width - right - x, y - top, height - bottom - y) - 4;
}

/** A straight arrow of length 1, or a turn about it. */
class Arrow {
  readonly object = new Group();
  direction: Vector3 | null = null;
  private readonly mark = new Mark();

  constructor() {
    this.object.add(this.mark.object);
  }

  setKind(turn: boolean): void {
    const straight = straightArrow(1, turn ? 0.02 : 0.036);
    this.mark.setShape(turn ? mergeGeometries([straight, turningArrow(0.45, 0.032, 1.6 * Math.PI).translate(0, 0, 0.35)]) : straight);
  }

  set(direction: Vector3 | null): void {
    this.direction = direction;
    this.object.visible = !!direction;
    if (direction) this.object.quaternion.copy(turnFromZ(direction));
  }

  setColour(colour: string): void {
    this.mark.setColour(colour, 1, 0.75);
  }

  dispose(): void {
    this.mark.dispose();
  }
}

/** Where an axis leaves the ball, facing the viewer: a filled disc on the near half, an open ring on the far one. */
class Dot {
  readonly object = new Group();
  /** For the near half a disc, for the far one a ring; each is drawn in one go with the rim around it. */
  private readonly marks = [new CircleGeometry(DOT - RIM, 32), new RingGeometry((DOT - RIM) * 0.62, DOT - RIM, 32)].map((shape) => {
    const whole = mergeGeometries([shape, new RingGeometry(DOT - RIM, DOT, 32)]);
    const colours = whole.getAttribute("position").clone();
    const mark = new Mark(whole.setAttribute("color", colours), null, true);
    mark.setColour(null);
    this.object.add(mark.object);
    return { mark, colours, rim: shape.getAttribute("position").count };
  });

  setNear(near: boolean): void {
    this.marks.forEach(({ mark }, i) => (mark.object.visible = near === (i === 0)));
  }

  setColours(colour: string, rim: string): void {
    for (const { colours, rim: from } of this.marks) {
      for (let i = 0; i < colours.count; i++) new Color(i < from ? colour : rim).toArray(colours.array, 3 * i);
      colours.needsUpdate = true;
    }
  }

  dispose(): void {
    for (const { mark } of this.marks) mark.dispose();
  }
}

const letterStyle = { px: 14, colour: "#000", halo: "#fff", weight: 800 };
const minusStyle = { ...letterStyle, px: 12 };
const labelStyle = { px: 15, colour: "#fff", plate: "#000", weight: 800 };
