import { byId } from "../basics/dom";
import { recall, remember } from "../basics/remember";
import type { HandPlace } from "../view/hand";

const handPlaces: HandPlace[] = ["tcp", "origin", "none"];

/** The chooser of the right hand's place, kept from visit to visit. */
export class HandChooser {
  private readonly select = byId<HTMLSelectElement>("hand");

  constructor(private readonly changed: (where: HandPlace) => void) {
    this.choose(handPlaces.find((p) => p === recall("hand")) ?? "tcp");
    this.select.addEventListener("change", () => this.choose(this.select.value as HandPlace));
  }

  /** Takes the next place. */
  next(): void {
    this.choose(handPlaces[(handPlaces.indexOf(this.select.value as HandPlace) + 1) % handPlaces.length]!);
  }

  private choose(where: HandPlace): void {
    this.select.value = where;
    remember("hand", where);
    this.changed(where);
  }
}

/** A button that switches something on and off, kept from visit to visit. */
export class Switch {
  private readonly button: HTMLButtonElement;

  constructor(
    private readonly id: string,
    private readonly changed: (on: boolean) => void,
  ) {
    this.button = byId<HTMLButtonElement>(id);
    this.button.addEventListener("click", () => this.toggle());
    this.set(recall(id) === "on");
  }

  get on(): boolean {
    return this.button.getAttribute("aria-pressed") === "true";
  }

  toggle(): void {
    this.set(!this.on);
  }

  off(): void {
    if (this.on) this.set(false);
  }

  private set(on: boolean): void {
    this.button.setAttribute("aria-pressed", String(on));
    remember(this.id, on ? "on" : "off");
    this.changed(on);
  }
}
