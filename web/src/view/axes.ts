import { type BufferGeometry, Color, Group, Mesh, SphereGeometry, Vector3 } from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";
import { Mark, straightArrow } from "./arrows";
import { Label } from "./labels";
import { coloured, pointedAt } from "./merged";
import type { Palette } from "./palette";
import { means } from "./pointing";
import { turnFromZ } from "./place";

export const letters = ["X", "Y", "Z"] as const;
export const units = [new Vector3(1, 0, 0), new Vector3(0, 1, 0), new Vector3(0, 0, 1)] as const;

/** The three axes of a frame as arrows, each with its letter at the plus end. */
export class Axes {
  readonly object = new Group();
  private readonly mark = new Mark();
  private readonly arrows: Mesh[]; // what is pointed at
  private readonly letters: Label[];
  private size: { length: number; thickness: number } | null = null;
  private palette: Palette | null = null;

  /** The letters' height in px, and whether a ball marks the origin. */
  constructor(
    px: number,
    private readonly ball: boolean,
  ) {
    this.arrows = units.map((unit) => {
      const arrow = pointedAt(new Mesh());
      arrow.quaternion.copy(turnFromZ(unit));
      return arrow;
    });
    this.letters = letters.map((l) => new Label(l, { px, colour: "#000", weight: 800 }));
    this.object.add(this.mark.object, ...this.arrows, ...this.letters.map((l) => l.object));
  }

  /** Says whose axes these are, to one who points at them. */
  belongTo(frame: string): void {
    this.arrows.forEach((arrow, i) => means(arrow, { kind: "axis", letter: letters[i]!, frame }));
  }

  get labels(): Label[] {
    return this.letters;
  }

  setSize(length: number, thickness: number): void {
    this.size = { length, thickness };
    for (const arrow of this.arrows) {
      arrow.geometry.dispose();
      arrow.geometry = straightArrow(length, thickness);
    }
    this.build();
    this.letters.forEach((l, i) => l.object.position.copy(units[i]!).multiplyScalar(length * 1.02 + thickness * 8));
  }

  setPalette(p: Palette): void {
    this.palette = p;
    this.build();
    this.letters.forEach((l, i) => l.set(letters[i]!, { colour: p.axes[i]!, halo: p.floor }));
  }

  /** Leaves out the letter of one axis, whose place something else needs; of none for -1. */
  hideLetter(axis: number): void {
    this.letters.forEach((l, i) => (l.object.visible = i !== axis));
  }

  /** Where the letters stand, so that the camera can keep them in the picture. */
  get tips(): Vector3[] {
    this.object.updateWorldMatrix(true, false); // a cell may just have put it elsewhere
    return this.letters.map((l) => l.object.position.clone().applyMatrix4(this.object.matrixWorld));
  }

  dispose(): void {
    for (const part of [...this.letters, this.mark]) part.dispose();
    for (const arrow of this.arrows) arrow.geometry.dispose();
  }

  /** All of it as one shape, each part in its colour. */
  private build(): void {
    const { size, palette } = this;
    if (!size || !palette) return;
    const parts: BufferGeometry[] = units.map((unit, i) => coloured(straightArrow(size.length, size.thickness).applyQuaternion(turnFromZ(unit)), new Color(palette.axes[i]!)));
    if (this.ball) {
      const origin = new SphereGeometry(size.thickness * 1.9, 24, 16);
      origin.deleteAttribute("uv");
      parts.push(coloured(origin, new Color(palette.ink)));
    }
    this.mark.setShape(mergeGeometries(parts));
    this.mark.setColour(null, 1, 0.45);
    for (const part of parts) part.dispose();
  }
}
