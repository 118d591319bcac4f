// The learner's own arm. Its page is loaded when it is first opened; its arm file is kept on this device and handed to every bench.
import { byId, styled } from "../basics/dom";
import { recall, remember } from "../basics/remember";
import { sayAlso, wanted } from "../basics/say";
import type { OwnArmFileMessage, OwnArmMessage, Request } from "../wire";
import type { OwnArmForm } from "./form";

const fileKey = "own-arm-file";

export interface OwnArmEvents {
  send: (request: Request) => void;
  /** The page of the own arm is closed. */
  closed: () => void;
}

export class OwnArm {
  private readonly page = byId<HTMLDialogElement>("own-arm");
  private form: OwnArmForm | null = null;
  private handedIn: { text: string; show: boolean } | null = null; // and not answered yet

  constructor(private readonly events: OwnArmEvents) {
    byId("own-arm-close").addEventListener("click", () => this.page.close());
    this.page.addEventListener("close", () => {
      this.form?.leave();
      events.closed();
    });
  }

  get shown(): boolean {
    return this.page.open;
  }

  /** The page has come to a bench, which knows nothing of the arm that is kept here. */
  welcome(): void {
    const text = recall(fileKey);
    this.handedIn = null;
    if (text) this.handIn(text, false);
    this.form?.welcome();
  }

  show(shown: boolean): void {
    if (shown === this.shown) return;
    if (!shown) return this.page.close();
    this.page.showModal();
    byId("own-arm-title").focus();
    this.page.scrollTo(0, 0);
    void this.open();
  }

  set(message: OwnArmMessage): void {
    this.form?.set(message);
  }

  setFile(message: OwnArmFileMessage): void {
    const { handedIn } = this;
    this.handedIn = null;
    if (!handedIn) return;
    if (message.problems.length > 0) {
      if (!handedIn.show) remember(fileKey, ""); // what was kept is no arm any more
      else this.form?.refused(message);
      return;
    }
    remember(fileKey, handedIn.text);
    this.form?.keeps(true);
    if (handedIn.show) this.page.close();
  }

  private async open(): Promise<void> {
    const form = await this.make();
    if (!form) return this.page.close(); // an empty page is no use; it is asked for again with the next try
    form.keeps(!!recall(fileKey));
    form.open();
  }

  private readonly make = wanted(async () => {
    const [{ OwnArmForm }] = await Promise.all([import("./form"), sayAlso("arms"), styled("ownarm")]);
    return (this.form = new OwnArmForm({
      send: this.events.send,
      take: (text) => this.handIn(text, true),
      drop: () => {
        remember(fileKey, "");
        this.events.send({ type: "own-arm-file", text: "", show: false });
        this.form?.keeps(false);
      },
    }));
  });

  /** Hands an arm file in, to be put in the simulator or only to be offered. */
  handIn(text: string, show: boolean): void {
    this.handedIn = { text, show };
    this.events.send({ type: "own-arm-file", text, show });
  }
}
