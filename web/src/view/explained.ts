import { Group, Vector3 } from "three";
import type { ShownView } from "../wire";
import type { Palette } from "./palette";
import { Stroke } from "./stroke";

const MOST = 64; // pieces of a path

/**
 * What the picture shows of a lesson's answer: the axes that are spoken of, the lever from an axis to the point that turns about
 * it, and the way that the point goes.
 */
export class Explained {
  readonly object = new Group();
  private readonly axes = new Stroke(6, { width: 2.6, behind: 0.75, opacity: 0.9 });
  private readonly lever = new Stroke(1, { width: 2.2, behind: 0.75 });
  private readonly path = new Stroke(MOST, { width: 5, behind: 0.6 });
  private reach = 1;
  private shown: ShownView | null = null;

  constructor() {
    this.object.add(this.axes.object, this.lever.object, this.path.object);
    this.object.visible = false;
  }

  setSize(reach: number): void {
    this.reach = reach;
    this.axes.setDash(reach * 0.022);
    this.set(this.shown);
  }

  set(shown: ShownView | null): void {
    this.shown = shown;
    this.object.visible = !!shown;
    if (!shown) return;
    const point = (p: readonly [number, number, number]): Vector3 => new Vector3().fromArray(p);
    this.axes.clear();
    for (const { at_mm, along } of shown.axes) {
      const [at, way] = [point(at_mm), point(along).multiplyScalar(this.reach * 0.42)];
      this.axes.add(at.clone().sub(way), at.clone().add(way));
    }
    this.lever.through(shown.lever_mm.map(point));
    this.path.through(shown.path_mm.map(point));
  }

  setPalette(p: Palette): void {
    this.axes.setColour(p.joint);
    this.lever.setColour(p.ink);
    this.path.setColour(p.reached);
  }

  dispose(): void {
    for (const stroke of [this.axes, this.lever, this.path]) stroke.dispose();
  }
}
