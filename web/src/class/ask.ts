import { byId, fill, within, write } from "../basics/dom";
import { say } from "../basics/say";
import { inUnit, toMM, unitSign } from "../basics/units";
import { directionMark, frameName, straight } from "../basics/words";
import type { Direction, Frame } from "../wire";
import type { Room } from "./room";
import type { AskRequest, Kind, Measure } from "./wire";

/** Beyond what any arm here reaches without being stopped. */
const LONG_MM = 1000;
const LONG_DEG = 180;

/** Where an instructor asks the class: about the jog that was aimed at last, about a number, or anything. */
export class AskPanel {
  private readonly form = byId<HTMLFormElement>("class-ask");
  private readonly kind = byId<HTMLSelectElement>("class-kind");
  private readonly jog = byId("class-ask-jog");
  private readonly farPlace = byId("class-ask-far");
  private readonly far = byId<HTMLInputElement>("class-far");
  private readonly textLabel = within(byId("class-ask-text"), "span");
  private farTyped = false; // how far was typed, and is left alone
  private sent = -1; // questions there were when one was sent
  private readonly measure = byId("class-measure");
  private readonly of = byId<HTMLSelectElement>("class-measure-of");
  private readonly frame = byId<HTMLSelectElement>("class-measure-frame");
  private readonly text = within<HTMLTextAreaElement>(byId("class-ask-text"), "textarea");
  private readonly options = byId("class-options");
  private readonly rows = [...this.options.querySelectorAll("p:not(.note)")].map((p) => ({ right: within<HTMLInputElement>(p, "[type=checkbox]"), text: within<HTMLInputElement>(p, "[type=text]") }));
  private readonly now = byId<HTMLButtonElement>("class-ask-now");
  private direction: Direction | null = null;
  private frames = "";

  constructor(private readonly room: Room) {
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      const request = this.request();
      if (!request) return;
      this.sent = this.asked;
      room.send({ type: "ask", ...request });
    });
    this.form.addEventListener("input", (event) => {
      if (event.target === this.far) this.farTyped = true;
      if (event.target === this.kind) this.farTyped = false;
      this.set();
    });
  }

  /** A direction is aimed at: what is asked next is asked of it. */
  aimed(direction: Direction): void {
    if (!this.direction || straight(direction) !== straight(this.direction)) this.farTyped = false;
    this.direction = direction;
    this.set();
  }

  /** Questions that have been asked. */
  private get asked(): number {
    return this.room.now.question?.count ?? 0;
  }

  /** What was typed is kept until the class has been asked it: what is refused is not to be typed anew. */
  private putAway(): void {
    if (this.sent < 0 || this.asked === 0 || this.asked === this.sent) return;
    this.sent = -1;
    this.farTyped = false;
    this.text.value = "";
    for (const row of this.rows) {
      row.text.value = "";
      row.right.checked = false;
    }
  }

  set(): void {
    this.putAway();
    const kind = this.kind.value as Kind;
    const ofJog = kind === "way" || kind === "joints" || kind === "stop";
    this.jog.hidden = !ofJog;
    this.measure.hidden = kind !== "number";
    this.options.hidden = kind !== "choice";
    write(this.textLabel, say(kind === "choice" ? "class.ask.own" : "class.ask.text"));
    this.setFar(kind);
    this.farPlace.hidden = !ofJog || !this.direction;
    this.far.disabled = this.farPlace.hidden;
    write(this.jog, this.direction ? say("class.ask.jog", { jog: directionMark(this.direction), frame: frameName({ task: "", ...this.direction }) }) : say("class.ask.aim"));
    this.fillFrames();
    this.frame.parentElement!.hidden = this.of.value.startsWith("joint");
    this.now.disabled = this.room.code === "" || this.request() === null;
  }

  private request(): AskRequest | null {
    const kind = this.kind.value as Kind;
    const measure: Measure = { of: "", frame: "base", task: "", joint: 0 };
    const request: AskRequest = { kind, jog: "", measure, text: this.text.value.trim(), options: [], right: [] };
    if (kind === "choice") {
      const filled = this.rows.filter((row) => row.text.value.trim() !== "");
      if (filled.length < 2 || request.text === "") return null;
      return { ...request, options: filled.map((row) => row.text.value.trim()), right: filled.flatMap((row, i) => (row.right.checked ? [i] : [])) };
    }
    if (!this.room.inFront) return null; // The others are about the arm that the class sees.
    if (kind === "number") {
      const [of = "", joint = "0"] = this.of.value.split(" ");
      const [frame = "base", ...task] = this.frame.value.split(" ");
      return { ...request, measure: { of, frame: frame as Frame, task: task.join(" "), joint: Number(joint) } };
    }
    const jog = this.jogLine();
    return jog === null ? null : { ...request, jog };
  }

  /** The aimed jog as a line of a jog file. */
  private jogLine(): string | null {
    const d = this.direction;
    const far = this.far.valueAsNumber;
    if (!d || !(far > 0)) return null;
    return jogLine(d, straight(d) ? Number(toMM(far).toFixed(4)) : far);
  }

  /** As far as a step goes, unless something was typed; what stops a jog is asked of a long one. */
  private setFar(kind: Kind): void {
    const d = this.direction;
    const increment = this.room.seams.shown.ownSetup?.increment;
    if (!d || !increment) return;
    write(byId("class-far-unit"), straight(d) ? unitSign() : "°");
    if (this.farTyped) return;
    const mm = kind === "stop" ? LONG_MM : increment.mm;
    this.far.value = String(straight(d) ? Number(inUnit(mm).toFixed(3)) : kind === "stop" ? LONG_DEG : increment.deg);
  }

  private fillFrames(): void {
    const cell = this.room.seams.shown.ownCell;
    const choices: { frame: Frame; task: string }[] = [{ frame: "base", task: "" }, ...(cell?.id ? [{ frame: "world" as Frame, task: "" }] : []), ...(cell?.tasks ?? []).map((t) => ({ frame: "task" as Frame, task: t.name }))];
    const frames = JSON.stringify(choices);
    if (frames === this.frames) return;
    this.frames = frames;
    fill(this.frame, choices.map((c) => ({ value: `${c.frame} ${c.task}`.trim(), text: frameName(c) })));
  }
}

const AXES = ["x", "y", "z", "about-x", "about-y", "about-z"];

/** A step as a jog file has it: "base y +100", "task tile about-z -5", "joint J5 +60". */
export function jogLine({ frame, task, axis, sign }: Direction, amount: number): string {
  const of = frame === "task" ? `task ${task}` : frame;
  return `${of} ${frame === "joint" ? `J${axis + 1}` : AXES[axis]} ${sign > 0 ? "+" : "-"}${amount}`;
}
