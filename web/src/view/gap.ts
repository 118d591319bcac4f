import { Group, SphereGeometry, Vector3 } from "three";
import type { ClearanceView } from "../wire";
import { Mark } from "./arrows";
import { Label } from "./labels";
import type { Palette } from "./palette";
import { Stroke } from "./stroke";

/** The gap in mm up to which it is drawn. */
const nearEnough = 20;

/** The line between the two points that are nearest to touching, with words about it; a ball where they touch. */
export class Gap {
  readonly object = new Group();
  readonly label = new Label("", { px: 14, colour: "#000", weight: 700 });
  private readonly line = new Stroke(2, { width: 3, behind: 0.6 });
  private readonly touch = new Mark();
  private palette: Palette | null = null;
  /** Whether the two touch. */
  contact = false;
  /** What is said of it. */
  says: (gap: ClearanceView) => string = () => "";

  constructor() {
    this.label.object.center.set(0.5, -0.4);
    this.object.add(this.line.object, this.touch.object, this.label.object);
    this.object.visible = false;
  }

  get labels(): Label[] {
    return [this.label];
  }

  setReach(reach: number): void {
    this.touch.setShape(new SphereGeometry(reach * 0.014, 24, 16));
  }

  /** Shows the gap where it is small; nothing for null. */
  set(gap: ClearanceView | null): void {
    this.object.visible = !!gap && gap.distance_mm < nearEnough;
    if (!gap || !this.object.visible) return;
    const [a, b] = [new Vector3().fromArray(gap.on_a), new Vector3().fromArray(gap.on_b)];
    this.contact = gap.contact;
    this.line.through([a, b]);
    this.line.object.visible = !this.contact;
    this.touch.object.visible = this.contact;
    this.touch.object.position.copy(b);
    this.label.object.position.copy(a).add(b).multiplyScalar(0.5);
    this.label.set(this.says(gap));
    if (this.palette) this.setPalette(this.palette);
  }

  setPalette(p: Palette): void {
    this.palette = p;
    this.line.setColour(p.blocked);
    this.touch.setColour(p.blocked, 1, 0.8);
    this.label.set(this.label.text, this.contact ? { colour: p.paper, plate: p.blocked } : { colour: p.blocked, plate: p.paper });
  }

  dispose(): void {
    for (const part of [this.line, this.touch, this.label]) part.dispose();
  }
}
