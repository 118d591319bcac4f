import { byId, make, saveFile, write } from "../basics/dom";
import { fixed } from "../basics/format";
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
  private readonly name = byId<HTMLInputElement>("result-name");
  private readonly signed = byId("result-signed");
  private wanted: "save" | "print" = "save";
  private lesson: LessonMessage | null = null;
  /** No server is behind it that could sign. */
  alone = false;

  constructor(
    private readonly ask: (request: Request) => void,
    private readonly summary: Summary,
  ) {
    this.name.value = recall("learner") ?? "";
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.want("save");
    });
    byId("result-print").addEventListener("click", () => this.want("print"));
  }

  show(lesson: LessonMessage, shown: boolean): void {
    if (lesson.id !== this.lesson?.id || lesson.seed !== this.lesson.seed) write(this.signed, "");
    this.lesson = lesson;
    this.place.hidden = !shown;
    if (!shown) return;
    write(this.head, this.heading(lesson));
    this.summary.show(lesson, document.getElementById("lesson-text")!.lang);
    this.rows.replaceChildren(
      ...lesson.stages.map((s, i) =>
        make(
          "tr",
          {},
          make("th", { scope: "row" }, `${i + 1}. ${s.title}`.trim()),
          make("td", {}, outcome(s)),
          make("td", { className: "number" }, s.task ? String(s.tries) : ""),
          ...[fixed(s.seconds / 60, 1), s.jogs, s.contacts, s.hints].map((text) => make("td", { className: "number on-paper" }, String(text))),
        ),
      ),
    );
    const left = lesson.stages.filter((s) => s.task && !s.done && !s.given_up).length;
    this.form.hidden = !lesson.over;
    write(this.note, lesson.over ? say(this.alone ? "result.practice" : "result.signs") : say("result.left", { count: left }));
  }

  /** The server has signed the result. */
  setResult(message: ResultMessage): void {
    write(this.signed, say(this.alone ? "result.unsigned" : "result.signed", { file: message.name }));
    if (this.lesson) write(this.head, this.heading(this.lesson));
    this.summary.sign(this.name.value.trim(), message.name);
    if (this.wanted === "print") {
      window.print();
      return;
    }
    saveFile(message.name, message.text, "application/json");
  }

  private want(what: "save" | "print"): void {
    if (!this.form.reportValidity()) return;
    this.wanted = what;
    remember("learner", this.name.value.trim());
    this.ask({ type: "result", learner: this.name.value });
  }

  private heading(lesson: LessonMessage): string {
    const done = lesson.stages.filter((s) => s.task && s.done).length;
    const tasks = lesson.stages.filter((s) => s.task).length;
    const parts = [say("result.head", { lesson: lesson.title, done, tasks })];
    if (lesson.drawn) parts.push(say("result.numbers", { seed: lesson.seed }));
    if (lesson.over && this.name.value.trim()) parts.unshift(`${this.name.value.trim()},`, `${new Date().toLocaleDateString()}.`);
    return parts.join(" ");
  }
}
