import { byId, write } from "../basics/dom";
import { teachHow, teachState } from "../basics/words";
import type { Request, TeachDo, TeachMessage } from "../wire";

/** Making a task frame of three points, and finding a TCP by touches. */
export class TeachPanel {
  private readonly buttons = [...byId("teach").querySelectorAll<HTMLButtonElement>("[data-teach]")];
  private readonly name = byId<HTMLInputElement>("teach-name");
  private readonly fit = byId("teach-fit");
  private readonly problem = byId("teach-problem");
  private message: TeachMessage | null = null;

  constructor(ask: (request: Request) => void) {
    for (const button of this.buttons) {
      button.addEventListener("click", () => ask({ type: "teach", do: button.dataset["teach"] as TeachDo, name: this.name.value }));
    }
    this.sayAgain();
  }

  /** Says its lengths, in the unit that they are read in now. */
  sayAgain(): void {
    write(byId("teach-how"), teachHow());
    if (this.message) this.setTeach(this.message);
  }

  setTeach(message: TeachMessage): void {
    this.message = message;
    const taken: Record<string, boolean> = { origin: !!message.origin, x: !!message.x, xy: !!message.xy };
    for (const button of this.buttons) {
      const what = button.dataset["teach"]!;
      if (what in taken) button.classList.toggle("taken", taken[what]);
      if (what === "use-tcp") button.disabled = !message.fit;
    }
    write(this.fit, teachState(message));
    write(this.problem, message.problem);
  }
}
