import { byId, within, write } from "../basics/dom";
import { fixed } from "../basics/format";
import { inUnit, length, readingUnit, toMM, unitSign } from "../basics/units";
import { clearanceFigure, goalText, ownNote, wayName, wayNote } from "../basics/words";
import type { State } from "../link/state";
import type { AttemptView, CostView, GoalView, WayMessage, WayName, Request, WaysDo, WaysMessage, WayView } from "../wire";

/** Two ways to a place, by single joints and straight along the base frame, beside the learner's own. */
export class WaysPanel {
  private readonly root = byId("ways");
  private readonly goal = byId("ways-goal");
  private readonly table = byId("ways-table");
  private readonly sandbox = byId("ways-sandbox"); // of the clearance in the table
  private readonly buttons = [...this.root.querySelectorAll<HTMLButtonElement>("[data-ways]")];
  private readonly plays = [...this.root.querySelectorAll<HTMLButtonElement>("[data-play]")];
  private readonly numbers = [...byId("ways-numbers").querySelectorAll<HTMLInputElement>("input")];
  private message: WaysMessage | null = null;

  constructor(ask: (request: Request) => void, here: () => State["tcp"] | null) {
    for (const button of this.buttons) {
      button.addEventListener("click", () => ask({ type: "ways", do: button.dataset["ways"] as WaysDo, numbers: null, way: "joints" }));
    }
    for (const button of this.plays) {
      button.addEventListener("click", () => ask({ type: "ways", do: "show", numbers: null, way: button.dataset["play"] as WayName }));
    }
    // The numbers begin with those of where the TCP is.
    byId("ways-type").addEventListener("toggle", () => {
      const reading = here();
      if (reading) [...reading.position_mm.map((mm) => inUnit(mm).toFixed(readingUnit() === "inch" ? 3 : 2)), ...reading.fixed_xyz_deg.map((deg) => deg.toFixed(2))].forEach((x, i) => (this.numbers[i]!.value = x));
    });
    byId("ways-numbers").addEventListener("submit", (event) => {
      event.preventDefault();
      const [x, y, z, rx, ry, rz] = this.numbers.map((input) => Number(input.value));
      ask({ type: "ways", do: "numbers", numbers: [toMM(x!), toMM(y!), toMM(z!), rx!, ry!, rz!], way: "joints" });
    });
  }

  set(message: WaysMessage): void {
    this.message = message;
    const { goal } = message;
    for (const button of this.buttons) {
      const what = button.dataset["ways"];
      if (what === "lesson") button.hidden = !message.lesson_goal;
      if (what === "begin" || what === "clear") button.disabled = !goal;
    }
    write(this.goal, goalText(goal, message.begun));
    for (const sign of this.root.querySelectorAll(".unit")) write(sign as HTMLElement, unitSign());
    this.table.hidden = this.sandbox.hidden = !message.begun;
    this.setRow("joints", message.joint);
    this.setRow("straight", message.straight);
    for (const button of this.plays) {
      const way = button.dataset["play"] === "joints" ? message.joint : message.straight;
      button.disabled = !way || way.jogs.length === 0;
    }
    this.setOwn(message.attempt);
  }

  /** Says again what is said in mm or inch. */
  sayAgain(): void {
    byId<HTMLDetailsElement>("ways-type").open = false; // its numbers are of the other unit
    if (this.message) this.set(this.message);
  }

  name(message: WayMessage): string {
    return wayName(message.way);
  }

  /** The goal to be marked in the picture; a lesson's own target is marked already. */
  marked(message: WaysMessage): GoalView["target"] | null {
    return message.goal && message.goal.kind !== "lesson" ? message.goal.target : null;
  }

  private setRow(name: "joints" | "straight", way: WayView | null): void {
    const row = within<HTMLElement>(this.table, `[data-way="${name}"]`);
    row.classList.toggle("wrong", !!way && !way.done);
    this.setCost(row, way && !way.nowhere ? way.jogs.length : null, way && !way.nowhere ? way.cost : null);
    write(within(this.table, `[data-more="${name}"] .ways-note`), wayNote(way));
  }

  private setOwn(own: AttemptView | null): void {
    const row = within<HTMLElement>(this.table, `[data-way="own"]`);
    this.setCost(row, own?.jogs ?? null, own?.cost ?? null);
    row.classList.toggle("reached", !!own?.reached);
    write(within(this.table, `[data-more="own"] .ways-note`), own ? ownNote(own) : "");
  }

  private setCost(row: HTMLElement, jogs: number | null, cost: CostView | null): void {
    const cell = (column: string) => within<HTMLElement>(row, `[data-column="${column}"]`);
    write(cell("jogs"), jogs === null ? "–" : String(jogs));
    write(cell("path"), cost ? length(cost.length_mm, 0) : "–");
    write(cell("time"), cost ? fixed(cost.seconds, 1) : "–");
    write(cell("clear"), cost ? clearanceFigure(cost) : "–");
  }
}
