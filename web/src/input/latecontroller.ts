import { byId } from "../basics/dom";
import { recall } from "../basics/remember";
import type { Controller, ControllerEvents } from "./controller";
import type { Frame } from "../wire";

/** The game controller, which comes with the first one that is connected or asked for, or where its panel was left open. */
export class LateController {
  private made: Promise<Controller> | null = null;
  private frame: [frame: Frame, task: string] = ["joint", ""];

  constructor(private readonly events: ControllerEvents) {
    window.addEventListener("gamepadconnected", () => void this.make(), { once: true });
    // Once it is there, the button is its own.
    byId("controller").addEventListener("click", () => this.made || void this.toggle());
    if (recall("controller") === "on") void this.make();
  }

  setFrame(frame: Frame, task: string): void {
    this.frame = [frame, task];
    void this.made?.then((controller) => controller.setFrame(frame, task));
  }

  async toggle(): Promise<void> {
    (await this.make()).toggle();
  }

  private make(): Promise<Controller> {
    return (this.made ??= import("./controller").then(({ Controller }) => {
      const controller = new Controller(this.events);
      controller.setFrame(...this.frame);
      return controller;
    }));
  }
}
