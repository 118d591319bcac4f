import type { ArmMessage, Frame, Ghost, State, TargetView } from "../wire";

/** A named place to look from. "behind" is the cable side of the base: X points away, Y to the left, Z up. */
export type Viewpoint = "behind" | "front" | "left" | "right" | "above";

/** Pixels at each edge covered by panels; the arm is centred in what is free. */
export interface Insets {
  left: number;
  right: number;
  top: number;
  bottom: number;
}

export interface ViewOptions {
  /** Called with a plain sentence when nothing can be drawn. */
  onUnavailable?: (why: string) => void;
  /** Camera moves jump instead of gliding. */
  reducedMotion?: boolean;
}

/** The 3D view: it draws what the bench says, and works out no kinematics of its own. */
export class View {
  constructor(host: HTMLElement, options: ViewOptions = {}) {
    void host;
    void options;
  }

  setArm(arm: ArmMessage): void {
    void arm;
  }
  setState(state: State): void {
    void state;
  }
  /** Shows where the next step would end; a ghost without a direction hides it. */
  setGhost(ghost: Ghost): void {
    void ghost;
  }
  setFrame(frame: Frame): void {
    void frame;
  }
  setTool(name: string): void {
    void name;
  }
  setTarget(target: TargetView | null, reached: boolean): void {
    void target;
    void reached;
  }
  setTheme(theme: "light" | "dark"): void {
    void theme;
  }
  setInsets(insets: Insets): void {
    void insets;
  }
  lookFrom(viewpoint: Viewpoint): void {
    void viewpoint;
  }
  zoom(factor: number): void {
    void factor;
  }
  orbit(dxDeg: number, dyDeg: number): void {
    void dxDeg;
    void dyDeg;
  }
  pan(dxPx: number, dyPx: number): void {
    void dxPx;
    void dyPx;
  }
  clearTrail(): void {}

  /** Where the flange is drawn, in the base frame: mm, and a quaternion x, y, z, w. */
  drawnFlange(): { p: [number, number, number]; q: [number, number, number, number] } {
    return { p: [0, 0, 0], q: [0, 0, 0, 1] };
  }
  /** How many frames have been drawn. */
  frames(): number {
    return 0;
  }
  dispose(): void {}
}
