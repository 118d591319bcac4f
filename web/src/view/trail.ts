import { Vector3 } from "three";
import type { Palette } from "./palette";
import { Stroke } from "./stroke";

const pieces = 4000;
const shortest = 1; // mm between two kept points
const longest = 150; // mm; more than that between two states is a new start, not a motion

/** The path the TCP has drawn, the newest part strongest. It keeps the last 4000 pieces. */
export class Trail {
  private readonly stroke = new Stroke(pieces, { width: 2.6, behind: 0.3, fade: 0.85, opacity: 0.95 });
  readonly object = this.stroke.object;
  private readonly last = new Vector3();
  private readonly tip = new Vector3();
  private open = false;

  setPalette(p: Palette): void {
    this.stroke.setColour(p.trail);
  }

  /** Starts anew at the next point without a line to it. */
  lift(): void {
    this.open = false;
  }

  /** Goes on to a point. */
  add(p: readonly [number, number, number]): void {
    this.tip.fromArray(p);
    const way = this.last.distanceTo(this.tip);
    if (!this.open || way > longest) {
      this.open = true;
      this.last.copy(this.tip);
      return;
    }
    if (way < shortest) return;
    this.stroke.add(this.last, this.tip);
    this.last.copy(this.tip);
  }

  clear(): void {
    this.stroke.clear();
    this.open = false;
  }

  dispose(): void {
    this.stroke.dispose();
  }
}
