import type { Ball } from "../predict/ball";
import { AssessmentPanel } from "./assessment";
import { byId, hide, languageName, tell, within, write } from "../basics/dom";
import { say } from "../basics/say";
import { allowed, minutes, stageName } from "./lessonwords";
import { bring, keepInSight } from "../shell/places";
import { progressKey, recall, remember, tab } from "../basics/remember";
import { readingUnit } from "../basics/units";
import { ResultPanel } from "./result";
import { Summary } from "./summary";
import { keepStanding } from "./standing";
import { TaskForm } from "./task";
import { RESULT } from "../address/address";
import type { ClockMessage, LessonListing, LessonMessage, LessonTask, ProgressMessage, Request, ResultMessage } from "../wire";

/** Less of the text than this is not shown: a line and a half. */
const LEAST_READ_PX = 30;

/** The open lesson: its stages, the prose and task of the one in hand, and in the end the result. */
export class LessonPanel {
  private readonly place = byId("lesson-place");
  private readonly name = within(byId("lesson"), "summary h2");
  private readonly fallback = this.name.textContent ?? "";
  private readonly steps = byId("lesson-steps");
  private readonly part = byId("lesson-part");
  private readonly title = byId("lesson-stage");
  private readonly text = byId("lesson-text");
  private readonly allow = byId("lesson-allow");
  private readonly back = byId<HTMLButtonElement>("lesson-back");
  private readonly next = byId<HTMLButtonElement>("lesson-next");
  private readonly seed = byId<HTMLInputElement>("lesson-seed");
  private readonly task: TaskForm;
  private readonly result: ResultPanel;
  private readonly assessment: AssessmentPanel;
  private lesson: LessonMessage | null = null;
  private shownStage = "";
  private shownLesson = "";
  private readonly read = byId("lesson-read");
  private readonly about = byId("lesson-about");
  private readonly unfold = byId<HTMLButtonElement>("lesson-unfold");
  private unfolded = ""; // what the learner wants the text beside, though it does not fit
  private atResult = false;
  private resultOf = ""; // the lesson whose result is to be shown as soon as it is there
  private fresh = false; // the page has just come to its bench
  private moves = false; // the learner has asked for another stage
  private begins: string | null = null; // the lesson that the learner has asked for

  /** The ball is where a learner answers which way something will go; after finds the lesson that comes next; opened hears that one has been opened; shows hears which part is shown, and whether the learner asked for it. */
  constructor(
    private readonly ask: (request: Request) => void,
    ball: Ball,
    after: (lesson: string) => LessonListing | null,
    private readonly opened: () => void,
    private readonly shows: (lesson: string, at: number | typeof RESULT, chosen: boolean) => void,
  ) {
    this.task = new TaskForm(ask, ball, () => this.fit(), () => this.go(this.at + 1));
    this.result = new ResultPanel(ask, new Summary(after));
    this.assessment = new AssessmentPanel(ask);
    const fitted = new ResizeObserver(() => this.fit());
    for (const part of [this.read, byId("lesson-task"), byId("lesson-foot"), this.read.parentElement!]) fitted.observe(part);
    byId("lesson-leave").addEventListener("click", () => this.open(""));
    this.unfold.addEventListener("click", () => {
      this.unfolded = this.unfolded === "" ? this.told : "";
      this.fit();
      if (this.unfolded !== "") this.text.scrollIntoView({ block: "nearest" });
    });
    this.back.addEventListener("click", () => this.go(this.at - 1));
    this.next.addEventListener("click", () => this.go(this.at + 1));
    byId<HTMLFormElement>("lesson-afresh").addEventListener("submit", (event) => {
      event.preventDefault();
      this.about.hidePopover();
      const typed = this.seed.value.trim();
      const seed = /^\d{1,9}$/.test(typed) ? Number(typed) : null;
      if (this.lesson) ask({ type: "lesson", id: this.lesson.id, progress: "", seed });
    });
  }

  /** What has come of the task so far, besides its own text. */
  private get told(): string {
    const told = [byId("task-explain"), byId("task-verdict"), byId("task-hints")].filter((e) => !e.hidden);
    return told.length === 0 ? "" : [this.shownStage, ...told.map((e) => e.textContent)].join(" ");
  }

  /**
   * Where not all has room, what is read gives way, step by step: it is set smaller, without what the frames' buttons show as well; it
   * takes the room of the stage's title; then what has come of an answer is told without the text, which is a press away, and without the
   * arrow of the answer in words; and half a line of it is no help.
   */
  private fit(): void {
    const { read } = this;
    const task = byId("lesson-task");
    const cut = (): boolean => [read, task, byId("task-said")].some((e) => e.scrollHeight > e.clientHeight + 1);
    const { told } = this;
    if (this.unfolded !== told) this.unfolded = "";
    const unfolded = this.unfolded !== "";
    const said = byId("task-said");
    const [scrollTop, saidTop] = [read.scrollTop, said.scrollTop]; // are lost where there is room for a moment
    said.classList.remove("fewer", "brief", "small", "least");
    task.classList.remove("spare");
    read.classList.remove("little", "tight", "folds", "folded", "sliver");
    if (told !== "" && cut()) read.classList.add("tight");
    if (cut()) read.classList.add("little");
    if (told !== "" && cut()) read.classList.add("folds", ...(unfolded ? [] : ["folded"]));
    if (told !== "" && cut()) task.classList.add("spare");
    read.classList.remove("little"); // what gave way after the title may have made room for it
    if (cut()) read.classList.add("little");
    // On a projector nothing is scrolled: there it shows less, and smaller in the end.
    for (const how of ["fewer", "brief", "brief small", "brief least"]) {
      if (said.scrollHeight <= said.clientHeight) break;
      said.classList.remove("fewer", "brief", "small", "least");
      said.classList.add(...how.split(" "));
    }
    said.scrollTop = saidTop;
    read.classList.toggle("sliver", read.clientHeight < LEAST_READ_PX);
    read.scrollTop = scrollTop;
    this.unfold.setAttribute("aria-expanded", String(unfolded));
  }

  /** Opens a lesson at a stage, or else where it was left on this machine; "" leaves it. Its heading has the focus then, unless the page has just come to it. */
  open(id: string, stage: number | null = null, comes = false): void {
    this.begins = comes || id === "" ? null : id;
    const request: Request = { type: "lesson", id, progress: id === "" ? "" : (recall(progressKey(id)) ?? ""), seed: null };
    this.ask(stage === null ? request : { ...request, stage });
  }

  /** Goes to another stage of the open lesson; the bench says so where it has none such. */
  showStage(stage: number): void {
    if (stage < (this.lesson?.stages.length ?? 0)) this.go(stage);
    else this.ask({ type: "stage", do: "go", stage });
  }

  /** Shows the result of a lesson, as soon as that is open. */
  showResult(id: string): void {
    if (this.lesson?.id === id) this.go(this.lesson.stages.length);
    else this.resultOf = id;
  }

  /** The page has come to its bench, or back to one, and no address leads to a lesson. */
  welcome(): void {
    this.fresh = true;
  }

  /** Which part of which lesson is shown; null before the bench has told. */
  get here(): { id: string; at: number | typeof RESULT } | null {
    return this.lesson && { id: this.lesson.id, at: this.atResult ? RESULT : this.lesson.stage };
  }

  keep(progress: ProgressMessage): void {
    remember(progressKey(progress.lesson), progress.token);
  }

  setClock(message: ClockMessage): void {
    this.assessment.setClock(message);
  }

  setResult(message: ResultMessage): void {
    this.result.setResult(message);
  }

  /** Whether the bench is the page's own: then an assessment is practice, and says so. */
  setAlone(alone: boolean): void {
    this.result.alone = alone;
  }

  /** Shows how the lesson stands, and reports whether another stage, try or lesson has begun. */
  setLesson(lesson: LessonMessage, lang: string): void {
    const before = this.lesson;
    this.lesson = lesson;
    // A bench of its own after the server was started anew: the lesson goes on there.
    const left = tab.lesson;
    if (lesson.preparing === "") tab.lesson = lesson.id;
    if (lesson.preparing === "" && lesson.id !== "" && lesson.id !== left) this.opened(); // a page that is loaded again goes on
    if (this.fresh && lesson.id === "" && left !== "") this.open(left, null, true);
    this.fresh = false;
    if (lesson.id !== "") keepStanding(lesson);
    hide(this.place, lesson.id === "");
    document.body.classList.toggle("in-lesson", lesson.id !== "");
    if (before?.id !== lesson.id || before.stage !== lesson.stage || before.seed !== lesson.seed) this.atResult = false;
    if (lesson.id !== "" && lesson.id === this.resultOf) {
      this.resultOf = "";
      this.atResult = lesson.assessment?.state !== "waits"; // which has nothing but its rules
    }
    if (lesson.id === this.begins && lesson.preparing === "") {
      this.begins = null;
      this.moves = true;
    }
    write(this.name, lesson.title || this.fallback);
    for (const element of [this.name, this.title, this.text, byId("task-explain"), byId("lesson-aims"), byId("lesson-sources")]) tell(element, "lang", lang);
    const other = byId("lesson-language");
    hide(other, lang === "" || lang === document.documentElement.lang);
    write(other, other.hidden ? "" : say("lesson.language", { language: languageName(lang) }));
    this.setAbout(lesson);
    this.show(true);
    const begun = before?.assessment?.state === "waits" && lesson.assessment?.state === "open";
    // An assessment that waits has no steps. A page that comes back to what it was left at is scrolled as it was.
    if (tab.left === "" && lesson.id !== "" && (before?.id !== lesson.id || begun)) keepInSight(() => (this.steps.checkVisibility() ? this.steps : byId("lesson")));
  }

  /** The number of the part that is shown: a stage, or the result after the last. */
  private get at(): number {
    const { stage = 0, stages = [] } = this.lesson ?? {};
    return this.atResult ? stages.length : stage;
  }

  private go(to: number): void {
    const lesson = this.lesson;
    if (!lesson || to < 0 || to > lesson.stages.length) return;
    this.atResult = to === lesson.stages.length;
    this.moves = true;
    if (this.atResult || to === lesson.stage) this.show(false);
    else this.ask({ type: "stage", do: "go", stage: to });
  }

  private show(taskToo: boolean): void {
    const lesson = this.lesson;
    if (!lesson) return;
    const stage = `${lesson.id} ${lesson.seed} ${lesson.edition} ${lesson.stage} ${lesson.assessment?.state === "waits"} ${readingUnit()}`;
    this.assessment.show(lesson);
    hide(byId("lesson-afresh"), lesson.assessment?.state === "open"); // It goes on until it is handed in.
    hide(this.part, this.atResult);
    tell(document.body, "data-task", this.atResult ? "result" : (lesson.task?.kind ?? ""));
    tell(document.body, "data-numbers", lesson.task ? numbersOf(lesson.task) : "");
    write(this.title, stageName(lesson, lesson.stage));
    if (`${stage} ${lesson.html}` !== this.shownStage) {
      this.shownStage = `${stage} ${lesson.html}`; // The reader may have chosen another unit.
      this.text.innerHTML = lesson.html; // Made by the server from Markdown, without raw HTML.
    }
    const allows = allowed(lesson);
    hide(this.allow, allows === "");
    write(this.allow, allows);
    if (taskToo) this.task.setTask(stage, lesson);
    this.result.show(lesson, this.atResult);
    this.back.disabled = this.at === 0;
    this.next.disabled = this.atResult;
    this.next.classList.toggle("onward", !this.atResult && (!lesson.task || lesson.task.state === "done"));
    this.setSteps(lesson);
    this.shows(lesson.id, this.atResult ? RESULT : lesson.stage, this.moves);
    this.fit(); // what is above and below the text is as it stays
    if (!this.moves) return;
    this.moves = false;
    const heading = this.atResult ? byId("result-title") : this.title;
    (heading.checkVisibility() ? heading : this.read).focus({ preventScroll: true }); // an assessment that waits has its rules only
    bring(this.steps);
  }

  private setSteps(lesson: LessonMessage): void {
    const labels = [...lesson.stages.map((_, i) => stageName(lesson, i)), stageName(lesson, lesson.stages.length)];
    if (this.steps.childElementCount !== labels.length) {
      this.steps.replaceChildren(
        ...labels.map((_, i) => {
          const item = document.createElement("li");
          const button = document.createElement("button");
          button.type = "button";
          button.addEventListener("click", () => this.go(i));
          item.append(button);
          return item;
        }),
      );
    }
    labels.forEach((label, i) => {
      const button = within<HTMLButtonElement>(this.steps.children[i]!, "button");
      const stage = lesson.stages[i];
      const state = !stage ? "" : stage.done ? "done" : stage.given_up ? "given-up" : stage.task ? "open" : "";
      write(button, stage ? String(i + 1) : labels[i]!);
      button.className = `step ${state}`;
      button.title = label;
      button.setAttribute("aria-label", label);
      if (i === this.at) button.setAttribute("aria-current", "step");
      else button.removeAttribute("aria-current");
    });
  }

  private setAbout(lesson: LessonMessage): void {
    const shown = `${lesson.id} ${lesson.seed} ${readingUnit()}`;
    if (shown === this.shownLesson) return;
    this.shownLesson = shown;
    this.about.hidePopover();
    write(byId("lesson-minutes"), minutes(lesson.minutes));
    list(byId("lesson-aims"), lesson.aims);
    list(byId("lesson-sources"), lesson.sources);
    hide(byId("lesson-sources-title"), lesson.sources.length === 0);
    hide(byId("lesson-seed-place"), !lesson.drawn);
    hide(byId("lesson-practice"), !lesson.assessment || !this.result.alone);
    this.seed.value = "";
    this.seed.placeholder = String(lesson.seed);
  }
}

/** The numbers that a task is about, where there is room for some only: the joints', those of the TCP, or those of what is jogged. */
function numbersOf({ predict, read, reach }: LessonTask): "joints" | "tcp" | "" {
  if (predict) return predict.ask === "direction" ? "tcp" : "joints";
  if (read) return read.joint !== "" || read.measure === "room" ? "joints" : "tcp";
  return reach?.joint ? "joints" : "";
}

function list(element: HTMLElement, lines: string[]): void {
  element.replaceChildren(
    ...lines.map((line) => {
      const item = document.createElement("li");
      item.textContent = line;
      return item;
    }),
  );
}
