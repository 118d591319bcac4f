import { ConeGeometry, DoubleSide, Group, Matrix4, Mesh, MeshBasicMaterial, PlaneGeometry, SphereGeometry, Vector3 } from "three";
import { dimension, lengthWithUnit } from "../basics/units";
import type { State } from "../link/state";
import type { Place, ReadInRequest } from "../wire";
import { Mark } from "./arrows";
import { letters, units } from "./axes";
import { Label } from "./labels";
import type { Palette } from "./palette";
import { moveTo, turnFromZ } from "./place";
import { means } from "./pointing";
import { atLine, besides, type Box, edgeTowards, type Kept, type Line, type Picture, type Point } from "./beside";
import { Stroke } from "./stroke";

/** What the coordinate walk leads to. */
export interface WalkChoice {
  of: "tcp" | "flange";
  inFrame: Pick<ReadInRequest, "frame" | "task">;
}

const planes = ["XY", "YZ", "XZ"] as const;
const LABEL_PX = 15;

/**
 * The coordinate walk: dimension lines from the origin of the frame that positions are read in along its X, then Y, then
 * Z, to the TCP or the flange, between the three planes through the origin. Arrowheads end the lines as on a drawing
 * (ISO 129-1, from memory). In the base frame another line shows how high the origin is above the mounting surface.
 */
export class Walk {
  readonly object = new Group();
  readonly labels = [...letters, "height"].map(() => new Label("", { px: LABEL_PX, colour: "#000", weight: 650 }));
  private readonly inFrame = new Group();
  private readonly legs = letters.map(() => new Leg(2.6));
  private readonly height = new Leg(1.8);
  private readonly extensions = new Stroke(2, { width: 1.2, behind: 0.4 });
  private readonly origin = new Mark();
  private readonly surface = new MeshBasicMaterial({ transparent: true, opacity: 0.09, depthWrite: false, side: DoubleSide, toneMapped: false });
  private readonly sheets: Mesh[];
  private readonly edges = new Stroke(12, { width: 1, opacity: 0.5, behind: 0.5 });
  private readonly corners = [0, 1, 2, 3].map(() => new Vector3());
  /** What it leads to; null while nothing is drawn. */
  choice: WalkChoice | null = null;
  private mount = 0;
  private reach = 500;
  private oneUnit = false;
  private lengths: readonly number[] = [0, 0, 0];
  private readonly kept: (Kept | null)[] = [];
  private readonly sides: number[] = [];
  private readonly leaders = [...letters, "height"].map(() => new Stroke(1, { width: 1.4, behind: 1 }));

  constructor() {
    // The floor may lie in one of the planes; the offset decides which of the two is on top.
    this.surface.polygonOffset = true;
    this.surface.polygonOffsetFactor = -1;
    this.surface.polygonOffsetUnits = -2;
    const sheet = new PlaneGeometry(1, 1);
    this.sheets = planes.map(() => new Mesh(sheet, this.surface));
    const [x, y, z] = units;
    this.sheets[1]!.setRotationFromMatrix(new Matrix4().makeBasis(y, z, x));
    this.sheets[2]!.setRotationFromMatrix(new Matrix4().makeBasis(x, z, y.clone().negate()));
    this.inFrame.add(...this.sheets, this.edges.object, this.origin.object, ...this.legs.map((l) => l.object), ...this.labels.slice(0, 3).map((l) => l.object));
    this.object.add(this.inFrame, this.height.object, this.extensions.object, this.labels[3]!.object, ...this.leaders.map((l) => l.object));
    this.object.visible = false;
    // What is to be read is over all other labels.
    for (const label of this.labels) label.object.renderOrder = 21;
  }

  /** For another arm: its size, and how far its base frame's origin is above the mounting surface. */
  setArm(reach: number, mountHeight: number): void {
    this.reach = reach;
    this.mount = mountHeight;
    for (const leg of [...this.legs, this.height]) leg.setSize(reach);
    this.origin.setShape(new SphereGeometry(reach * 0.013, 24, 16));
    this.write();
  }

  /** Nothing is drawn for null. */
  choose(choice: WalkChoice | null): void {
    this.choice = choice;
    this.object.visible = choice !== null;
    const { frame = "base", task = "" } = choice?.inFrame ?? {};
    this.sheets.forEach((sheet, i) => means(sheet, { kind: "plane", letters: planes[i]!, frame: frame === "task" ? task : frame }));
    this.write();
  }

  get on(): boolean {
    return this.choice !== null;
  }

  get of(): "tcp" | "flange" {
    return this.choice?.of ?? "tcp";
  }

  setState(state: State): void {
    this.lengths = state[this.of].position_mm;
    this.write();
  }

  /** Large type, and a narrow picture, leave room for one unit only. */
  setOneUnit(on: boolean): void {
    if (on === this.oneUnit) return;
    this.oneUnit = on;
    this.write();
  }

  setPalette(p: Palette): void {
    this.legs.forEach((leg, i) => leg.setColour(p.axes[i]!));
    this.height.setColour(p.ink);
    this.extensions.setColour(p.ink);
    this.leaders.forEach((leader, i) => leader.setColour(p.axes[i] ?? p.ink));
    this.edges.setColour(p.ghost);
    this.surface.color.set(p.ghost);
    this.origin.setColour(p.ink, 1, 0.7);
    this.labels.forEach((label, i) => label.set(label.text, { colour: p.ink, plate: p.paper, edge: p.axes[i] ?? p.ink }));
  }

  private write(): void {
    if (!this.choice) return;
    const { inFrame } = this.choice;
    const text = (mm: number): string => (this.oneUnit ? lengthWithUnit(mm) : dimension(mm));
    letters.forEach((letter, i) => this.labels[i]!.set(`${letter} ${text(this.lengths[i]!)}`));
    this.labels[3]!.set(text(this.mount));
    const raised = inFrame.frame === "base" && this.mount > 1;
    for (const part of [this.height.object, this.extensions.object, this.labels[3]!.object]) part.visible = raised;
  }

  /** Lays the lines from a frame's origin to a point, both in the base frame. */
  place(frame: Place, end: readonly [number, number, number]): void {
    if (!this.choice) return;
    moveTo(this.inFrame, frame);
    this.inFrame.updateMatrix();
    const to = new Vector3().fromArray(end).applyMatrix4(this.inFrame.matrix.clone().invert());
    const [, afterX, afterY, last] = this.corners;
    afterX!.set(to.x, 0, 0);
    afterY!.set(to.x, to.y, 0);
    last!.copy(to);
    this.legs.forEach((leg, i) => leg.span(this.corners[i]!, this.corners[i + 1]!));
    this.spread(to);
    // Off the base's left rear, where it is beside the base from most viewpoints.
    const off = this.reach * 0.2;
    const [foot, top] = [new Vector3(-off, off, -this.mount), new Vector3(-off, off, 0)];
    this.height.span(foot, top);
    this.extensions.through([new Vector3(), top.clone().multiplyScalar(1.12)]);
    [...this.legs, this.height].forEach((leg, i) => this.labels[i]!.object.position.copy(leg.ends[0]).lerp(leg.ends[1], 0.5));
  }

  /** Makes the planes as large as the walk, and some more on every side. */
  private spread(to: Vector3): void {
    const margin = this.reach * 0.1;
    const low = to.clone().min(new Vector3()).addScalar(-margin);
    const high = to.clone().max(new Vector3()).addScalar(margin);
    const size = high.clone().sub(low);
    const middle = low.clone().add(high).multiplyScalar(0.5);
    this.edges.clear();
    planes.forEach((plane, i) => {
      const [a, b] = [...plane].map((l) => letters.indexOf(l as (typeof letters)[number])) as [number, number];
      const sheet = this.sheets[i]!;
      sheet.scale.set(size.getComponent(a), size.getComponent(b), 1);
      sheet.position.set(0, 0, 0).setComponent(a, middle.getComponent(a)).setComponent(b, middle.getComponent(b));
      const corner = (x: Vector3, y: Vector3): Vector3 => new Vector3().setComponent(a, x.getComponent(a)).setComponent(b, y.getComponent(b));
      const round = [corner(low, low), corner(high, low), corner(high, high), corner(low, high)];
      round.forEach((from, k) => this.edges.add(from, round[(k + 1) % 4]!));
    });
  }

  /** Its lines in the coordinates of the whole picture: along X, Y and Z, and the height of the base frame's origin where that is drawn. */
  get lines(): [Vector3, Vector3][] {
    const s = this.stations;
    const lines: [Vector3, Vector3][] = this.legs.map((_, i) => [s[i]!, s[i + 1]!]);
    if (this.height.object.visible) lines.push(this.height.ends.map((end) => end.applyMatrix4(this.object.matrixWorld)) as [Vector3, Vector3]);
    return lines;
  }

  /** Where the legs begin and end, in the coordinates of the whole picture. */
  get stations(): Vector3[] {
    this.inFrame.updateWorldMatrix(true, false);
    return this.corners.map((c) => c.clone().applyMatrix4(this.inFrame.matrixWorld));
  }

  /**
   * Puts each label at its line, clear of the other lines, of what is taken and of each other. One that cannot be there
   * stands near by, and a leader goes from it to the middle of its line. Returns what the labels cover.
   */
  arrange(picture: Picture, others: Box[], free: { w: number; h: number }): Box[] {
    if (!this.choice) return [];
    const stations = this.stations.map((s) => picture.seen(s));
    const lines: Line[] = this.legs.map((_, i) => [stations[i]!, stations[i + 1]!]);
    if (this.height.object.visible) {
      const [foot, top] = this.height.ends;
      lines.push([picture.seen(foot.applyMatrix4(this.object.matrixWorld)), picture.seen(top.applyMatrix4(this.object.matrixWorld))]);
    }
    const boxes: Box[] = [];
    for (const leader of this.leaders) leader.object.visible = false;
    // The shorter a line, the fewer places there are at it.
    const long = ([from, to]: Line): number => Math.hypot(to[0] - from[0], to[1] - from[1]);
    const order = lines.map((_, i) => i).sort((a, b) => long(lines[a]!) - long(lines[b]!));
    order.forEach((i) => {
      const line = lines[i]!;
      const [from, to] = line;
      const label = this.labels[i]!;
      const middle: Point = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
      const size = picture.size(label);
      const taken = [...others, ...boxes];
      const touching = atLine(line, size, lines, taken, free, this.kept[i] ?? null);
      this.kept[i] = touching?.kept ?? null;
      let box = touching?.box;
      if (!box) {
        const near = besides(middle, size, lines, taken, free, this.sides[i] ?? 0);
        this.sides[i] = near.side;
        box = near.box;
        this.lead(this.leaders[i]!, label, middle, edgeTowards(box, middle), picture);
      }
      boxes.push(box);
      picture.stand(label, picture.seen(label.object.getWorldPosition(new Vector3())), box);
    });
    return boxes;
  }

  /** Draws a leader from the middle of a line to its label's edge. */
  private lead(leader: Stroke, label: Label, from: Point, to: Point, picture: Picture): void {
    const depth = picture.depth(label.object.getWorldPosition(new Vector3()));
    leader.through([from, to].map((p) => this.object.worldToLocal(picture.placeOf(p, depth))) as [Vector3, Vector3]);
    leader.object.visible = true;
  }

  dispose(): void {
    for (const part of [...this.legs, this.height, this.extensions, this.edges, this.origin, ...this.leaders, ...this.labels]) part.dispose();
    this.sheets[0]!.geometry.dispose();
    this.surface.dispose();
  }
}

/** A dimension line: a stroke with an arrowhead at either end. */
class Leg {
  readonly object = new Group();
  private readonly stroke: Stroke;
  private readonly heads = [new Mark(), new Mark()];
  private head = 1;
  private readonly from = new Vector3();
  private readonly to = new Vector3();

  constructor(width: number) {
    this.stroke = new Stroke(1, { width, behind: 0.55 });
    this.object.add(this.stroke.object, ...this.heads.map((h) => h.object));
  }

  /** Where it begins and ends. */
  get ends(): [Vector3, Vector3] {
    return [this.from.clone(), this.to.clone()];
  }

  setSize(reach: number): void {
    this.head = reach * 0.035;
    // Its tip is in the origin.
    for (const mark of this.heads) mark.setShape(new ConeGeometry(reach * 0.009, this.head, 20).translate(0, -this.head / 2, 0).rotateX(Math.PI / 2));
  }

  setColour(colour: string): void {
    this.stroke.setColour(colour);
    for (const mark of this.heads) mark.setColour(colour, 1, 0.55);
  }

  span(from: Vector3, to: Vector3): void {
    this.from.copy(from);
    this.to.copy(to);
    const length = from.distanceTo(to);
    this.stroke.object.visible = length > 0.01;
    this.stroke.through([from, to]);
    const way = to.clone().sub(from);
    this.heads.forEach((mark, i) => {
      // A line too short for its arrowheads goes without.
      mark.object.visible = length > 2.2 * this.head;
      if (!mark.object.visible) return;
      mark.object.position.copy(i === 0 ? from : to);
      mark.object.quaternion.copy(turnFromZ(way.clone().multiplyScalar((i === 0 ? -1 : 1) / length)));
    });
  }

  dispose(): void {
    this.stroke.dispose();
    for (const mark of this.heads) mark.dispose();
  }
}
