import type { Object3D } from "three";
import type { Label } from "./labels";
import type { Palette } from "./palette";

/** A part of the picture. It is registered once, by View.add, which then shows, colours, labels and frees it. */
export interface Part {
  /** What is put into the scene; left out by a part that hangs on others. */
  readonly object?: Object3D;
  /** The texts that it shows, as they are now. */
  readonly labels?: readonly Label[];
  setPalette(palette: Palette): void;
  dispose(): void;
}
