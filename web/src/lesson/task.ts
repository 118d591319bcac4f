import type { Ball } from "../predict/ball";
import { byId, hide, make, tell, within, write } from "../basics/dom";
import { unbroken } from "../basics/format";
import { againText, glance, lastTry, noAnswer, verdict, type Verdict } from "./lessonwords";
import { showThings } from "./things";
import { onPhone, reveal } from "../shell/places";
import { questionOf, type Question } from "./question";
import { say } from "../basics/say";
import type { LessonMessage, LessonTask, Request } from "../wire";

/** The task of the stage in hand: its question, what came of it, and what can be done about it. */
export class TaskForm {
  private readonly form = byId<HTMLFormElement>("lesson-task");
  private readonly place = byId("task-question");
  private readonly submit = byId<HTMLButtonElement>("task-answer");
  private readonly again = byId<HTMLButtonElement>("task-again");
  private readonly demonstrate = byId<HTMLButtonElement>("task-show");
  private readonly giveUp = byId<HTMLButtonElement>("task-give-up");
  private readonly verdict = byId("task-verdict");
  private readonly outcome = byId("task-outcome");
  private readonly numbers = byId("task-numbers");
  private readonly explain = byId("task-explain");
  private explained = "";
  private readonly moved = byId("task-moved");
  private readonly hints = byId("task-hints");
  private readonly glance = make("p", { id: "lesson-glance", className: "lesson-glance" });
  private readonly onward = make("button", { id: "glance-next", type: "button", className: "plain onward", hidden: true }, say("lesson.next"));
  private question: Question | null = null;
  private task: LessonTask | null = null;
  private shown = "";
  private asked = false; // an answer is given, and what comes of it not told yet
  private missed = false; // it is told that there is no answer yet
  private said: Verdict = { text: "", tone: "" };
  private sure = ""; // the stage whose task is to be given up, if the button is pressed once more

  constructor(
    private readonly ask: (request: Request) => void,
    private readonly ball: Ball,
    private readonly fit: () => void, // before anything is brought into sight
    next: () => void,
  ) {
    this.glance.dataset["unmarked"] = ""; // It is said anew with every move.
    byId("strip").append(make("div", { className: "glance-line" }, this.glance, this.onward));
    this.onward.addEventListener("click", next);
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.answer();
    });
    for (const change of ["input", "drawn"]) {
      this.form.addEventListener(change, () => {
        this.setReady();
        if (this.missed && this.task && this.question?.answer?.()) this.say(verdict(this.task), false);
        this.age();
      });
    }
    this.again.addEventListener("click", () => ask({ type: "stage", do: "again", stage: 0 }));
    this.demonstrate.addEventListener("click", () => ask({ type: "stage", do: "show", stage: 0 }));
    // Asked twice, because it is for good.
    this.giveUp.addEventListener("click", () => {
      if (this.sure === this.shown) ask({ type: "stage", do: "give-up", stage: 0 });
      else this.setSure(this.shown);
    });
    this.giveUp.addEventListener("blur", () => this.setSure(""));
  }

  /** Shows how the task of a stage stands; the question is written anew when the stage is another. */
  setTask(stage: string, lesson: LessonMessage): void {
    const task = (this.task = lesson.task);
    hide(this.form, !task);
    write(this.glance, task ? glance(task) : "");
    hide(this.onward, this.glance.textContent === "" || task?.state !== "done");
    if (!task) for (const button of [this.submit, this.again, this.demonstrate]) button.hidden = true;
    const over = task?.state === "done" || task?.state === "given up";
    const afresh = this.form.classList.contains("over") && !over;
    const opened = stage !== this.shown;
    if (opened || afresh) {
      this.shown = stage;
      this.setSure("");
      this.question?.close?.();
      this.question = task && questionOf(task, this.ball);
      this.place.replaceChildren(...(this.question ? [this.question.element] : []));
    }
    if (!task || !this.question) return;
    // A field that is switched off loses the focus: whoever uses keys has it where the way goes on.
    const left = !opened && over && !afresh && "keys" in document.documentElement.dataset && (this.form.contains(document.activeElement) || [this.submit, this.giveUp].includes(document.activeElement as HTMLButtonElement));
    this.question.set(task);
    if (opened || afresh) this.setReady();
    const asks = !!this.question.answer;
    this.form.classList.toggle("over", over);
    hide(this.submit, !asks);
    this.submit.disabled = over;
    hide(this.again, !task.moved && task.state !== "failed");
    this.again.classList.toggle("onward", task.state === "failed"); // there is no other way on
    write(this.again, againText(task));
    hide(this.demonstrate, task.kind !== "predict" || !over);
    hide(this.giveUp, over || (task.tries === 0 && (asks || !task.moved))); // A motion may never fail, and be given up all the same.
    hide(this.moved, !asks || over || !task.moved || !!task.verdict?.of_now); // which says so itself
    this.setHints(task, lesson);
    this.setExplain(task.explain);
    const said = verdict(task);
    // What is told anew for some other reason, as that the arm has moved, is no younger for it.
    if (opened || this.asked || said.text !== this.said.text || said.tone !== this.said.tone) this.say(said, !opened);
    this.verdict.classList.toggle("unseen", !!task.reach && this.outcome.textContent === unbroken(say("task.done"))); // the place says so itself, and a reader hears it
    if (left) byId("lesson-next").focus({ preventScroll: true });
  }

  /** There is an answer that was not judged yet. */
  private setReady(ready = !!this.question?.answer?.()): void {
    this.submit.classList.toggle("ready", ready);
  }

  private answer(): void {
    this.asked = true;
    this.setReady(false);
    const given = this.question?.answer?.();
    if (!given) {
      this.say({ text: this.question?.misses?.() || noAnswer(this.task), tone: "wrong" }, true);
      this.missed = true;
      return;
    }
    this.ask({ type: "answer", arrow: null, direction: "", joints: [], stop: "", number: null, options: [], ...given });
  }

  private setSure(stage: string): void {
    this.sure = stage;
    write(this.giveUp, say(stage ? "task.give-up.sure" : "task.give-up"));
  }

  /** Says what came of the task. News is brought into sight, on a phone only after an answer: there a jog button may be under the finger. */
  private say(said: Verdict, news: boolean): void {
    const [text, numbers] = [unbroken(said.text), unbroken(said.numbers ?? "")];
    const same = this.outcome.textContent === text && this.numbers.textContent === numbers;
    this.said = said;
    this.missed = false;
    tell(this.verdict, "data-tone", said.tone);
    this.verdict.classList.remove("old");
    hide(this.verdict, text === "");
    write(this.outcome, text);
    write(this.numbers, numbers);
    hide(this.numbers, numbers === "");
    if (!news || same || text === "") return;
    this.fit();
    if (this.asked || !onPhone()) reveal(this.verdict);
    this.asked = false;
  }

  /** Another answer is being given: what was said is of the last one. */
  private age(): void {
    const { text, tone } = this.said;
    if (this.missed || (tone !== "wrong" && tone !== "part") || this.verdict.classList.contains("old")) return;
    this.verdict.classList.add("old");
    write(this.outcome, unbroken(lastTry(text)));
    this.fit();
  }

  /** Says why it is so, once the task is over. */
  private setExplain(html: string): void {
    hide(this.explain, html === "");
    if (html === this.explained) return;
    this.explained = html;
    this.explain.innerHTML = html; // Made by the server from Markdown, without raw HTML.
  }

  /** The newest hint is in sight; those before it are a press away. */
  private setHints(task: LessonTask, { hints }: LessonMessage): void {
    const rests = task.state !== "open"; // also while a try is over, when none can be followed
    const newest = rests ? "" : (hints.at(-1) ?? "");
    const before = hints.slice(0, -1);
    hide(this.hints, newest === "");
    write(byId("task-hint"), unbroken(newest));
    showThings(byId("task-hint-things"), newest);
    const earlier = byId<HTMLDetailsElement>("task-hints-before");
    hide(earlier, before.length === 0 || newest === "");
    if (earlier.dataset["of"] === `${this.shown} ${hints.length}`) return;
    earlier.dataset["of"] = `${this.shown} ${hints.length}`;
    earlier.open = false;
    write(within(earlier, "summary"), say("task.hints.before", { count: before.length }));
    within(earlier, "ul").replaceChildren(...before.map((hint) => make("li", {}, hint)));
  }
}
