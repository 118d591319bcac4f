import { Group, SphereGeometry } from "three";
import type { TeachMessage } from "../wire";
import { Mark } from "./arrows";
import { Label } from "./labels";
import type { Palette } from "./palette";

/** The points that have been taken for a task frame: its origin, one on +X, one to the side of +Y. */
export class TaughtPoints {
  readonly object = new Group();
  private readonly points = ["O", "X", "Y"].map((letter) => ({ mark: new Mark(), label: new Label(letter, { px: 14, colour: "#000", weight: 750 }) }));

  constructor() {
    for (const { mark, label } of this.points) {
      label.object.center.set(0.5, -0.3);
      mark.object.add(label.object);
      mark.object.visible = false;
      this.object.add(mark.object);
    }
  }

  get labels(): Label[] {
    return this.points.map((p) => p.label);
  }

  setReach(reach: number): void {
    for (const { mark } of this.points) mark.setShape(new SphereGeometry(reach * 0.009, 20, 14));
  }

  set(taken: TeachMessage): void {
    [taken.origin, taken.x, taken.xy].forEach((at, i) => {
      const { mark } = this.points[i]!;
      mark.object.visible = !!at;
      if (at) mark.object.position.fromArray(at);
    });
  }

  setPalette(p: Palette): void {
    this.points.forEach(({ mark, label }, i) => {
      const colour = i === 0 ? p.ink : p.axes[i - 1]!;
      mark.setColour(colour, 1, 0.7);
      label.set(label.text, { colour, halo: p.floor });
    });
  }

  dispose(): void {
    for (const { mark, label } of this.points) {
      mark.dispose();
      label.dispose();
    }
  }
}
