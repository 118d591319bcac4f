import { Group, Vector3 } from "three";
import type { ShownView } from "../wire";
import type { Palette } from "./palette";
import { Stroke } from "./stroke";

const MOST = 64; // pieces of a path
const THIN = 20; // pieces of a lever, a gap, a cross and the lesson's own line

/** The axis of the base frame that a path runs along, straight and all the way; -1 where there is none. */
function axisOf(path: readonly Vector3[]): number {
  const [from, to] = [path[0], path.at(-1)];
  if (!from || !to) return -1;
  const whole = to.clone().sub(from);
  const axis = [0, 1, 2].reduce((most, i) => (Math.abs(whole.getComponent(i)) > Math.abs(whole.getComponent(most)) ? i : most), 0);
  const least = Math.abs(whole.getComponent(axis)) * 0.01;
  const off = (p: Vector3): number => p.clone().sub(from).setComponent(axis, 0).length();
  return least > 0 && path.every((p) => off(p) <= least) ? axis : -1;
}

/**
 * What the picture shows of a lesson's answer: the axes that are spoken of, the lever from an axis to the point that turns about
 * it, the way that the point goes, the gap between two parts, a line that the lesson draws, and a cross where a jog is stopped or something touches.
 */
export class Explained {
  readonly object = new Group();
  private readonly axes = new Stroke(6, { width: 2.6, behind: 0.75, opacity: 0.9 });
  private readonly thin = new Stroke(THIN, { width: 2.2, behind: 0.75 });
  private readonly path = new Stroke(MOST, { width: 5, behind: 0.6 });
  private reach = 1;
  private readonly tip = new Vector3();
  private shown: ShownView | null = null;
  private palette: Palette | null = null;
  private runs = -1; // the axis of the base frame that the path runs along; -1: none

  constructor() {
    this.object.add(this.axes.object, this.thin.object, this.path.object);
    this.object.visible = false;
  }

  setSize(reach: number): void {
    this.reach = reach;
    this.axes.setDash(reach * 0.022);
    this.set(this.shown);
  }

  /** Where the tip is, in the base frame. */
  setTip(tip: readonly [number, number, number]): void {
    if (this.tip.distanceTo(new Vector3().fromArray(tip)) < 1e-6) return;
    this.tip.fromArray(tip);
    if (this.shown) this.set(this.shown);
  }

  set(shown: ShownView | null): void {
    this.shown = shown;
    this.object.visible = !!shown;
    if (!shown) return;
    const point = (p: readonly [number, number, number]): Vector3 => new Vector3().fromArray(p);
    this.axes.clear();
    for (const { at_mm, along } of shown.axes) {
      const [at, way] = [point(at_mm), point(along)];
      // Where the tip is on it, it goes through the tip.
      const tip = this.tip.clone().sub(at);
      const to = tip.dot(way);
      const on = tip.addScaledVector(way, -to).length() < this.reach * 0.01;
      const [back, forth] = [Math.min(-0.42 * this.reach, on ? to - 0.12 * this.reach : 0), Math.max(0.42 * this.reach, on ? to + 0.12 * this.reach : 0)];
      this.axes.add(at.clone().addScaledVector(way, back), at.clone().addScaledVector(way, forth));
    }
    this.thin.clear();
    for (const [from, to] of [shown.lever_mm, shown.gap_mm]) if (from && to) this.thin.add(point(from), point(to));
    const line = shown.line_mm.map(point);
    for (let i = 1; i < line.length; i++) this.thin.add(line[i - 1]!, line[i]!);
    for (const i of shown.place_mm ? [0, 1, 2] : []) {
      const arm = new Vector3().setComponent(i, this.reach * 0.03);
      this.thin.add(point(shown.place_mm!).sub(arm), point(shown.place_mm!).add(arm));
    }
    const path = shown.path_mm.map(point);
    this.path.through(path);
    this.runs = axisOf(path);
    this.colour();
  }

  setPalette(p: Palette): void {
    this.palette = p;
    this.axes.setColour(p.joint);
    this.thin.setColour(p.ink);
    this.colour();
  }

  /** A path along an axis has that axis' colour; any other has none of theirs. */
  private colour(): void {
    const p = this.palette;
    if (p) this.path.setColour(this.runs < 0 ? p.joint : p.axes[this.runs]!);
  }

  dispose(): void {
    for (const stroke of [this.axes, this.thin, this.path]) stroke.dispose();
  }
}
