import { byId } from "../basics/dom";
import { recall } from "../basics/remember";
import { sayAlso, wanted } from "../basics/say";
import type { Controller, ControllerEvents } from "./controller";
import type { Frame } from "../wire";

/** The game controller, which comes with the first one that is connected or asked for, or where its panel was left open. */
export class LateController {
  private controller: Controller | null = null;
  private frame: [frame: Frame, task: string] = ["joint", ""];

  constructor(private readonly events: ControllerEvents) {
    window.addEventListener("gamepadconnected", () => void this.make());
    // Once it is there, the button is its own.
    byId("controller").addEventListener("click", () => this.controller || void this.make().then((controller) => controller?.toggle()));
    if (recall("controller") === "on") void this.make();
  }

  setFrame(frame: Frame, task: string): void {
    this.frame = [frame, task];
    this.controller?.setFrame(frame, task);
  }

  private readonly make = wanted(async () => {
    const [{ Controller }] = await Promise.all([import("./controller"), sayAlso("controller")]);
    this.controller = new Controller(this.events);
    this.controller.setFrame(...this.frame);
    return this.controller;
  });
}
