import { byId, make, write } from "../basics/dom";
import { day, fixed } from "../basics/format";
import { say } from "../basics/say";
import type { LessonListing, LessonMessage } from "../wire";
import { standingOf } from "./standing";

/** What a lesson comes to at its end, and the lesson that comes after it. On paper it is a certificate. */
export class Summary {
  private readonly took = byId("summary-took");
  private readonly about = byId("summary-about");
  private readonly aims = byId("summary-aims");
  private readonly who = byId("certificate-who");
  private readonly signed = byId("certificate-signed");
  private readonly go = byId<HTMLAnchorElement>("summary-go");
  private lesson: LessonMessage | null = null;

  /** after finds the lesson that comes after another; null where none is left. */
  constructor(private readonly after: (lesson: string) => LessonListing | null) {}

  show(lesson: LessonMessage, lang: string): void {
    if (this.lesson?.id !== lesson.id) this.sign("", "");
    this.lesson = lesson;
    const { done, givenUp, tasks } = standingOf(lesson);
    const sum = (of: (s: LessonMessage["stages"][number]) => number): number => lesson.stages.reduce((all, s) => all + of(s), 0);
    const parts = [say("summary.took", { count: sum((s) => s.tries), minutes: fixed(sum((s) => s.seconds) / 60, 0) })];
    if (givenUp > 0) parts.push(say("summary.given-up", { count: givenUp }));
    this.took.replaceChildren(make("span", { className: "on-paper" }, `${say("summary.done", { done, tasks })} `), parts.join(" "));
    write(this.about, say(lesson.over && givenUp === 0 ? "summary.can" : "summary.about"));
    this.aims.lang = lang;
    this.aims.replaceChildren(...lesson.aims.map((aim) => make("li", {}, aim)));
    this.about.hidden = this.aims.hidden = lesson.aims.length === 0;
    const next = this.after(lesson.id);
    this.go.href = next ? `#/lessons/${encodeURIComponent(next.id)}` : "#/lessons";
    this.go.classList.toggle("onward", lesson.over);
    write(this.go, next ? say("summary.next", { lesson: next.title }) : say("summary.all"));
  }

  /** The result is signed, for a learner of that name, in a file. */
  sign(learner: string, file: string): void {
    const lesson = this.lesson;
    write(this.who, lesson && learner ? say("certificate.who", { learner, lesson: lesson.title, date: day() }) : "");
    write(this.signed, file ? say("certificate.signed", { file }) : "");
  }
}
