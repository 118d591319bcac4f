import { Group, Vector3 } from "three";
import { Mark, straightArrow } from "./arrows";
import type { Palette } from "./palette";
import { turnFromZ } from "./place";

/** The arrow that a learner points to say which way something will go. */
export class Guess {
  readonly object = new Group();
  private readonly arrow = new Mark();

  constructor() {
    this.object.add(this.arrow.object);
    this.object.visible = false;
  }

  setSize(reach: number): void {
    this.arrow.setShape(straightArrow(reach * 0.2, reach * 0.006));
  }

  /** From a point along a direction of length 1, both in the base frame; null hides it. */
  set(arrow: { from: [number, number, number]; way: [number, number, number] } | null): void {
    this.object.visible = !!arrow;
    if (!arrow) return;
    this.object.position.fromArray(arrow.from);
    this.object.quaternion.copy(turnFromZ(new Vector3().fromArray(arrow.way)));
  }

  setPalette(p: Palette): void {
    this.arrow.setColour(p.target, 1, 0.6);
  }

  dispose(): void {
    this.arrow.dispose();
  }
}
