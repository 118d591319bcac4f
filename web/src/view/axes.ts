import { Group, SphereGeometry, Vector3 } from "three";
import { Mark, straightArrow } from "./arrows";
import { Label } from "./labels";
import type { Palette } from "./palette";
import { means } from "./pointing";
import { turnFromZ } from "./place";

export const letters = ["X", "Y", "Z"] as const;
export const units = [new Vector3(1, 0, 0), new Vector3(0, 1, 0), new Vector3(0, 0, 1)] as const;

/** The three axes of a frame as arrows, each with its letter at the plus end. */
export class Axes {
  readonly object = new Group();
  private readonly arrows: Mark[];
  private readonly letters: Label[];
  private readonly origin = new Mark();

  /** The letters' height in px, and whether a ball marks the origin. */
  constructor(px: number, ball: boolean) {
    this.arrows = units.map((unit) => {
      const arrow = new Mark();
      arrow.object.quaternion.copy(turnFromZ(unit));
      return arrow;
    });
    this.letters = letters.map((l) => new Label(l, { px, colour: "#000", weight: 800 }));
    this.origin.object.visible = ball;
    this.object.add(this.origin.object, ...this.arrows.map((a) => a.object), ...this.letters.map((l) => l.object));
  }

  /** Says whose axes these are, to one who points at them. */
  belongTo(frame: string): void {
    this.arrows.forEach((arrow, i) => means(arrow.object, { kind: "axis", letter: letters[i]!, frame }));
  }

  get labels(): Label[] {
    return this.letters;
  }

  setSize(length: number, thickness: number): void {
    for (const arrow of this.arrows) arrow.setShape(straightArrow(length, thickness));
    this.origin.setShape(new SphereGeometry(thickness * 1.9, 24, 16));
    this.letters.forEach((l, i) => l.object.position.copy(units[i]!).multiplyScalar(length * 1.02 + thickness * 8));
  }

  setPalette(p: Palette): void {
    this.arrows.forEach((arrow, i) => arrow.setColour(p.axes[i]!, 1, 0.45));
    this.letters.forEach((l, i) => l.set(letters[i]!, { colour: p.axes[i]!, halo: p.floor }));
    this.origin.setColour(p.ink, 1, 0.45);
  }

  /** Leaves out the letter of one axis, whose place something else needs; of none for -1. */
  hideLetter(axis: number): void {
    this.letters.forEach((l, i) => (l.object.visible = i !== axis));
  }

  /** Where the letters stand, so that the camera can keep them in the picture. */
  get tips(): Vector3[] {
    return this.letters.map((l) => l.object.position.clone().applyMatrix4(this.object.matrixWorld));
  }

  dispose(): void {
    for (const part of [...this.arrows, ...this.letters, this.origin]) part.dispose();
  }
}
