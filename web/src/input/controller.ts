import { byId, make, within, write } from "../basics/dom";
import { Switch } from "../shell/switch";
import { pulled, type Push, type Side, shoulders, type Stick, stickOf, triggers, type Trio, wayOf } from "./sticks";
import { controllerClose, controllerState, controllerTrio, controllerWay } from "./controllerwords";
import type { Direction, Frame } from "../wire";

export interface ControllerEvents {
  /** A shoulder button is held and a stick pushed: jog at that part of the speed. */
  begin: (directions: Direction[], part: number) => void;
  /** The part has changed; false if the hold has ended otherwise. */
  steer: (part: number) => boolean;
  end: () => void;
  /** A stick is pushed, with nothing held. */
  aim: (direction: Direction) => void;
  /** A trigger turns the view. */
  orbit: (dxDeg: number) => void;
}

const sides: Side[] = ["left", "right"];
const pushes: Push[] = ["up", "down", "left", "right"];
const everyMs = 16;
const orbitDeg = 1.6; // per look, with the trigger pulled home

/** A game controller: its panel shows what each stick does, and the arm moves only while a shoulder button is held. */
export class Controller {
  private readonly panel = byId("controller-panel");
  private readonly halves = sides.map((side) => within(this.panel, `[data-side=${side}]`));
  private readonly switch: Switch;
  private timer = 0;
  private frame: Frame = "joint";
  private task = "";
  private trio: Trio = 0;
  private holding: Side | null = null; // the shoulder button that counts
  private spent = false; // its hold has ended; it must be let go and pressed again
  private pushed: Record<Side, Push | null> = { left: null, right: null };
  private jogged = ""; // the directions that are held, as text
  private aimed = "";

  constructor(private readonly events: ControllerEvents) {
    this.switch = new Switch("controller", (on) => this.turn(on));
    const close = make("button", { type: "button", className: "small stops-close", ariaLabel: controllerClose() }, make("span", { ariaHidden: "true" }, "×"));
    close.addEventListener("click", () => {
      this.switch.off();
      byId("controller").focus();
    });
    this.panel.append(close);
    window.addEventListener("gamepadconnected", () => this.look());
    window.addEventListener("gamepaddisconnected", () => this.look());
  }

  setFrame(frame: Frame, task: string): void {
    this.frame = frame;
    this.task = task;
    this.write();
  }

  toggle(): void {
    this.switch.toggle();
  }

  private turn(on: boolean): void {
    this.panel.hidden = !on;
    window.clearInterval(this.timer);
    if (on) this.timer = window.setInterval(() => this.look(), everyMs);
    this.look();
  }

  /** Looks at the controller, and does what it asks. */
  private look(): void {
    const all = this.panel.hidden ? [] : (navigator.getGamepads?.() ?? []).filter((g) => g?.connected);
    const pad = all.find((g) => g!.mapping === "standard") ?? null;
    if (!pad || !document.hasFocus()) {
      this.rest();
      this.showState(pad ? "away" : all.length > 0 ? "strange" : "none");
      return;
    }
    const sticks = sides.map((side) => stickOf(pad.axes, side, this.pushed[side]));
    sides.forEach((side, i) => (this.pushed[side] = sticks[i]!.push));
    const down = sides.filter((side) => pad.buttons[shoulders[side]]?.pressed);
    if (!this.holding || !down.includes(this.holding)) {
      this.stop();
      this.holding = down[0] ?? null;
      this.spent = false;
    }
    if (this.holding) this.choose(this.holding === "left" ? 0 : 1);
    this.jog(sticks);
    const turn = pulled(pad.buttons[triggers.right]) - pulled(pad.buttons[triggers.left]);
    if (turn) this.events.orbit(turn * orbitDeg);
    this.show(sticks, pad);
    this.showState(this.holding ? (this.spent ? "spent" : "held") : "ready");
  }

  private jog(sticks: Stick[]): void {
    const ways = sticks.map((stick, i) => stick.push && wayOf(this.frame, this.task, this.trio, sides[i]!, stick.push));
    const directions = ways.filter((way) => way !== null);
    if (!this.holding || this.spent) {
      const text = JSON.stringify(directions[0] ?? null);
      if (text !== this.aimed && directions[0]) this.events.aim(directions[0]);
      this.aimed = text;
      return;
    }
    const part = Math.max(0.01, ...sticks.filter((_, i) => ways[i]).map((stick) => stick.part));
    const text = directions.length > 0 ? JSON.stringify(directions) : "";
    if (text === this.jogged) {
      if (text && !this.events.steer(part)) {
        this.jogged = "";
        this.spent = true;
      }
      return;
    }
    if (text) this.events.begin(directions, part);
    else this.events.end();
    this.jogged = text;
  }

  private stop(): void {
    if (this.jogged) this.events.end();
    this.jogged = "";
  }

  /** Nothing is held any more. */
  private rest(): void {
    this.stop();
    this.holding = null;
    this.spent = false;
    this.pushed = { left: null, right: null };
  }

  private choose(trio: Trio): void {
    if (trio === this.trio) return;
    this.trio = trio;
    this.write();
  }

  /** Writes what each stick does. */
  private write(): void {
    sides.forEach((side, i) => {
      const half = this.halves[i]!;
      write(within(half, ".pad-does"), controllerTrio(this.frame, side === "left" ? 0 : 1));
      for (const push of pushes) {
        const way = wayOf(this.frame, this.task, this.trio, side, push);
        const text = within(half, `.pad-${push}`);
        write(text, way ? controllerWay(way) : "");
        text.dataset["axis"] = way && way.frame !== "joint" ? "XYZ"[way.axis % 3]! : "";
      }
    });
  }

  private show(sticks: Stick[], pad: Gamepad): void {
    sides.forEach((side, i) => {
      const half = this.halves[i]!;
      const { x, y, push } = sticks[i]!;
      within(half, ".pad-knob").style.translate = `${x * 50}% ${y * 50}%`;
      for (const p of pushes) within(half, `.pad-${p}`).classList.toggle("pushed", p === push);
      within(half, ".pad-shoulder").classList.toggle("held", this.holding === side);
      within(half, ".pad-pull").style.scale = `${pulled(pad.buttons[triggers[side]])} 1`;
    });
  }

  private showState(state: Parameters<typeof controllerState>[0]): void {
    write(byId("controller-state"), controllerState(state));
    this.panel.dataset["state"] = state;
  }
}
