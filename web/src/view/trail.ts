import { Group, SphereGeometry, Vector3 } from "three";
import { Mark } from "./arrows";
import type { Sight } from "./grip";
import type { Palette } from "./palette";
import { Stroke } from "./stroke";

const pieces = 4000;
const shortest = 1; // mm between two kept points
const longest = 150; // mm; more than that between two states is a new start, not a motion

const DOT_PX = 5; // radius

/** The path the TCP has drawn, the newest part strongest, and a dot where the last jog began. It keeps the last 4000 pieces. */
export class Trail {
  private readonly stroke = new Stroke(pieces, { width: 2.6, behind: 0.3, fade: 0.85, opacity: 0.95 });
  private readonly dot = new Mark(new SphereGeometry(1, 24, 16), null, true);
  readonly object = new Group();
  private readonly last = new Vector3();
  private readonly tip = new Vector3();
  private open = false;

  constructor() {
    this.dot.object.visible = false;
    this.object.add(this.stroke.object, this.dot.object);
  }

  setPalette(p: Palette): void {
    this.stroke.setColour(p.trail);
    this.dot.setColour(p.trail, 1, 0.5);
  }

  /** A jog begins at a point. */
  begin(p: readonly [number, number, number]): void {
    this.dot.object.position.fromArray(p);
    this.dot.object.visible = true;
  }

  /** Gives the dot its size on the screen. */
  fit(sight: Sight): void {
    this.dot.object.scale.setScalar(DOT_PX * sight.mmPerPx(this.dot.object.getWorldPosition(new Vector3())));
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
    this.dot.object.visible = false;
    this.open = false;
  }

  dispose(): void {
    this.stroke.dispose();
    this.dot.dispose();
  }
}
