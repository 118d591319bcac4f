import { byId } from "./dom";
import type { LogMessage } from "./wire";

/** How many of the last jogs are listed; the file has them all. */
const LISTED = 12;

/** What was driven, with the way back, and as a file of jogs. */
export class LogPanel {
  private readonly list = byId<HTMLOListElement>("log-lines");
  private readonly empty = byId("log-empty");
  private readonly undo = byId<HTMLButtonElement>("undo");
  private readonly save = byId<HTMLButtonElement>("log-save");
  private lines: string[] = [];

  constructor(undo: () => void) {
    this.undo.addEventListener("click", undo);
    this.save.addEventListener("click", () => this.download());
  }

  setLog(message: LogMessage): void {
    this.lines = message.lines;
    this.empty.hidden = this.lines.length > 0;
    this.undo.disabled = message.undo === "";
    this.save.disabled = this.lines.length === 0;
    this.list.start = this.lines.length;
    this.list.replaceChildren(
      ...this.lines.slice(-LISTED).reverse().map((line) => {
        const item = document.createElement("li");
        item.textContent = line;
        return item;
      }),
    );
  }

  /** Saves the log in the form that `handrule trace` reads. */
  private download(): void {
    const file = URL.createObjectURL(new Blob([this.lines.join("\n") + "\n"], { type: "text/plain" }));
    const link = document.createElement("a");
    link.href = file;
    link.download = "jogs.txt";
    link.click();
    URL.revokeObjectURL(file);
  }
}
