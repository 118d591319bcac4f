// The way to the page that compares with a real arm, which is loaded when it is first opened.
import { byId, styled } from "../basics/dom";
import { sayAlso, wanted } from "../basics/say";
import type { RealArmMessage } from "../wire";
import type { RealArm, RealArmEvents } from "./realarm";

export class Comparing {
  private page: RealArm | null = null;
  private wished = false;

  constructor(private readonly events: RealArmEvents) {}

  get shown(): boolean {
    return byId<HTMLDialogElement>("real-arm").open;
  }

  show(shown: boolean): void {
    this.wished = shown;
    if (this.page) this.page.show(shown);
    else if (shown) void this.make().then((page) => page?.show(this.wished));
  }

  set(message: RealArmMessage): void {
    this.page?.set(message);
  }

  private readonly make = wanted(async () => {
    const [{ RealArm }] = await Promise.all([import("./realarm"), sayAlso("arms"), styled("ownarm")]);
    return (this.page = new RealArm(this.events));
  });
}
