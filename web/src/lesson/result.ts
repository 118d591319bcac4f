import { formatAddress } from "../address/address";
import { byId, hide, make, saveFile, write } from "../basics/dom";
import { day, fixed, short } from "../basics/format";
import { outcome } from "./lessonwords";
import { recall, remember } from "../basics/remember";
import { say } from "../basics/say";
import type { Summary } from "./summary";
import type { LessonMessage, Request, ResultMessage } from "../wire";

/** What the learner has done in all stages, to be signed by the server, saved and printed. */
export class ResultPanel {
  private readonly place = byId("lesson-result");
  private readonly head = byId("result-head");
  private readonly rows = byId("result-rows");
  private readonly note = byId("result-note");
  private readonly form = byId<HTMLFormElement>("result-form");
  private readonly fields = { name: byId<HTMLInputElement>("result-name"), number: byId<HTMLInputElement>("result-number"), "e-mail": byId<HTMLInputElement>("result-email") };
  private readonly handIn = byId<HTMLButtonElement>("result-hand-in");
  private readonly save = byId("result-save");
  private readonly print = byId("result-print");
  private readonly signed = byId("result-signed");
  private wanted: "save" | "print" = "save";
  private lesson: LessonMessage | null = null;
  /** No server is behind it that could sign. */
  alone = false;
  private sure = false; // the assessment is to be handed in, if the button is pressed once more

  constructor(
    private readonly ask: (request: Request) => void,
    private readonly summary: Summary,
  ) {
    this.fields.name.value = recall("learner") ?? "";
    this.fields.number.value = recall("learner-number") ?? "";
    this.fields["e-mail"].value = recall("learner-mail") ?? "";
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.want("save");
    });
    this.print.addEventListener("click", () => this.want("print"));
    // Asked twice, because it is for good.
    this.handIn.addEventListener("click", () => {
      if (!this.form.reportValidity()) return;
      if (!this.sure) return this.setSure(true);
      this.setSure(false);
      ask({ type: "stage", do: "hand-in", stage: 0 });
      this.want("save");
    });
    this.handIn.addEventListener("blur", () => this.setSure(false));
  }

  show(lesson: LessonMessage, shown: boolean): void {
    if (lesson.id !== this.lesson?.id || lesson.seed !== this.lesson.seed) write(this.signed, "");
    this.lesson = lesson;
    hide(this.place, !shown);
    if (!shown) return;
    write(this.head, this.heading(lesson));
    this.summary.show(lesson, document.getElementById("lesson-text")!.lang);
    this.rows.replaceChildren(
      ...lesson.stages.map((s, i) =>
        make(
          "tr",
          {},
          make("th", { scope: "row" }, make("a", { href: formatAddress({ of: "lesson", id: lesson.id, stage: i }) }, `${i + 1}. ${s.title}`.trim())),
          make("td", {}, outcome(s)),
          make("td", { className: "number" }, s.points === 0 ? "" : lesson.over ? `${short(s.earned)} / ${short(s.points)}` : short(s.points)),
          make("td", { className: "number" }, s.task ? String(s.tries) : ""),
          ...[fixed(s.seconds / 60, 1), s.jogs, s.contacts, s.hints].map((text) => make("td", { className: "number on-paper" }, String(text))),
        ),
      ),
    );
    this.place.classList.toggle("no-points", !lesson.stages.some((s) => s.points > 0));
    const left = lesson.stages.filter((s) => s.task && !s.done && !s.given_up).length;
    const a = lesson.assessment;
    const open = a?.state === "open";
    hide(this.form, a?.state === "waits");
    for (const [field, input] of Object.entries(this.fields)) {
      const asked = a ? a.ask_for.includes(field) : field === "name";
      input.disabled = !asked;
      hide(input.parentElement!, !asked);
    }
    hide(this.handIn, !open);
    this.save.hidden = this.print.hidden = open;
    this.setSure(false);
    const notes = left === 0 || a?.state === "handed in" ? [] : [say(open ? "assessment.open" : "result.left", { count: left })];
    write(this.note, (a ? [...notes, say(document.body.classList.contains("hands-in") ? "assessment.save.class" : "assessment.save"), say(this.alone ? "result.practice" : "result.signs")] : [...notes, say(this.alone ? "result.practice" : "result.optional"), say("result.needs-name")]).join(" "));
  }

  /** The server has signed the result. */
  setResult(message: ResultMessage): void {
    write(this.signed, say(this.alone ? "result.unsigned" : "result.signed", { file: message.name }));
    if (this.lesson) write(this.head, this.heading(this.lesson));
    this.summary.sign(this.who(), message.name);
    if (this.wanted === "print") {
      window.print();
      return;
    }
    saveFile(message.name, message.text, "application/json");
  }

  private want(what: "save" | "print"): void {
    if (!this.form.reportValidity()) return;
    this.wanted = what;
    const { name, number, "e-mail": email } = this.fields;
    remember("learner", name.value.trim());
    remember("learner-number", number.value.trim());
    remember("learner-mail", email.value.trim());
    const given = (input: HTMLInputElement): string => (input.disabled ? "" : input.value);
    this.ask({ type: "result", learner: given(name), number: given(number), email: given(email) });
  }

  /** Who the result is of, as far as they are asked. */
  private who(): string {
    return [this.fields.name, this.fields.number].filter((f) => !f.disabled && f.value.trim()).map((f) => f.value.trim()).join(", ");
  }

  private setSure(sure: boolean): void {
    this.sure = sure;
    write(this.handIn, say(sure ? "assessment.hand-in.sure" : "assessment.hand-in"));
  }

  private heading(lesson: LessonMessage): string {
    const done = lesson.stages.filter((s) => s.task && s.done).length;
    const tasks = lesson.stages.filter((s) => s.task).length;
    const parts = [say("result.head", { lesson: lesson.title, done, tasks })];
    if (lesson.drawn) parts.push(say("result.numbers", { seed: lesson.seed }));
    const who = this.who();
    if (lesson.over && who) parts.unshift(`${who},`, `${day()}.`);
    return parts.join(" ");
  }
}
