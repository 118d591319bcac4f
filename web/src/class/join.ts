import { byId, make, within, write } from "../basics/dom";
import { recall, remember } from "../basics/remember";
import { say } from "../basics/say";
import type { Room } from "./room";
import { halves, tidy } from "./seat";

/** How a learner comes into a class: by its code, if the address does not name it, and under a name. */
export class Join {
  private readonly dialog = byId<HTMLDialogElement>("class-join");
  private readonly code = byId<HTMLFormElement>("class-code");
  private readonly typed = byId<HTMLInputElement>("class-code-typed");
  private readonly form = byId<HTMLFormElement>("class-name");
  private readonly which = byId("class-join-which");
  private readonly name = byId<HTMLInputElement>("class-name-typed");
  private readonly number = byId("class-number");
  private readonly email = byId("class-email");
  private readonly kept = byId("class-kept");
  private readonly list = byId("class-kept-list");
  private readonly trouble = byId("class-join-problem");
  private focused = false;

  constructor(private readonly room: Room) {
    this.code.addEventListener("submit", (event) => {
      event.preventDefault();
      this.enter(tidy(this.typed.value));
    });
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      if (!this.form.reportValidity()) return;
      this.problem("");
      remember("learner", this.name.value.trim());
      const [number, email] = [this.number, this.email].map((label) => within<HTMLInputElement>(label, "input"));
      if (!this.number.hidden) remember("learner-number", number!.value.trim());
      if (!this.email.hidden) remember("learner-mail", email!.value.trim());
      const given = (label: HTMLElement, input: HTMLInputElement): string => (label.hidden ? "" : input.value.trim());
      this.room.send({ type: "join", name: this.name.value.trim(), number: given(this.number, number!), email: given(this.email, email!) });
    });
    this.dialog.addEventListener("close", () => {
      if (!room.joined) room.giveUp();
      room.seams.left();
    });
  }

  get shown(): boolean {
    return this.dialog.open;
  }

  /** Asks for the code; with one it is tried at once. */
  open(code: string): void {
    this.focused = false;
    this.problem("");
    this.typed.value = halves(code);
    this.name.value ||= recall("learner") ?? "";
    within<HTMLInputElement>(this.number, "input").value ||= recall("learner-number") ?? "";
    within<HTMLInputElement>(this.email, "input").value ||= recall("learner-mail") ?? "";
    if (!this.shown) this.dialog.showModal();
    if (code !== "") this.enter(code);
    this.set();
  }

  close(): void {
    if (this.shown) this.dialog.close();
  }

  problem(text: string): void {
    write(this.trouble, text);
    if (text) this.set();
  }

  /** With the class there, a name is asked for; without, its code. */
  set(): void {
    if (!this.shown) return;
    const { room, welcome } = this.room.now;
    const there = room !== null && !this.room.teaches;
    this.code.hidden = there;
    this.form.hidden = !there;
    if (!there) return;
    write(this.which, say("class.join.which", { name: room.title || halves(room.code) }));
    for (const [label, asked] of [[this.number, "number"], [this.email, "e-mail"]] as const) {
      label.hidden = !room.ask_for.includes(asked);
      within<HTMLInputElement>(label, "input").disabled = label.hidden;
    }
    const days = welcome?.days ?? 90;
    write(this.kept, say("class.kept", { days }));
    if (this.list.childElementCount === 0) {
      this.list.append(...(["what", "where", "who", "long", "device"] as const).map((part) => make("li", {}, say(`class.kept.${part}`, { days }))));
    }
    if (!this.focused) this.name.focus();
    this.focused = true;
  }

  private enter(code: string): void {
    if (code.length !== 6) return this.problem(say("class.join.six"));
    this.problem("");
    this.room.enter(code);
  }
}
