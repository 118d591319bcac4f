// The way to the page that compares with a real arm, which is loaded when it is first opened.
import { byId, styled } from "../basics/dom";
import { sayAlso } from "../basics/say";
import type { RealArmMessage } from "../wire";
import type { RealArm, RealArmEvents } from "./realarm";

export class Comparing {
  private page: RealArm | null = null;
  private wanted = false;

  constructor(private readonly events: RealArmEvents) {}

  get shown(): boolean {
    return byId<HTMLDialogElement>("real-arm").open;
  }

  show(shown: boolean): void {
    this.wanted = shown;
    if (this.page) this.page.show(shown);
    else if (shown) void this.load();
  }

  set(message: RealArmMessage): void {
    this.page?.set(message);
  }

  private async load(): Promise<void> {
    const [{ RealArm }] = await Promise.all([import("./realarm"), sayAlso("arms"), styled("ownarm")]);
    this.page ??= new RealArm(this.events);
    this.page.show(this.wanted);
  }
}
