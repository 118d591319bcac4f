import { byId, write } from "./dom";
import type { Unit } from "./format";
import { reached, reachedNews, targetGoal, targetOff } from "./words";
import type { LessonMessage, Request } from "./wire";

/** The open lesson at its stage. */
export class LessonPanel {
  private readonly place = byId("lesson-place");
  private readonly steps = byId("lesson-steps");
  private readonly title = byId("lesson-stage");
  private readonly text = byId("lesson-text");
  private readonly target = byId("lesson-target");
  private readonly off = byId("lesson-off");
  private readonly goal = byId("lesson-goal");
  private readonly news = byId("lesson-news");
  private readonly back = byId<HTMLButtonElement>("lesson-back");
  private readonly next = byId<HTMLButtonElement>("lesson-next");
  private shown = "";
  private stage = 0;

  constructor(private readonly ask: (request: Request) => void) {
    byId("lesson-leave").addEventListener("click", () => ask({ type: "lesson", id: "", progress: "", seed: null }));
    this.back.addEventListener("click", () => this.go(this.stage - 1));
    this.next.addEventListener("click", () => this.go(this.stage + 1));
  }

  setLesson(lesson: LessonMessage, unit: Unit): void {
    this.place.hidden = lesson.id === "";
    this.stage = lesson.stage;
    this.back.disabled = lesson.stage === 0;
    this.next.disabled = lesson.stage + 1 >= lesson.stages.length;
    write(this.title, lesson.stages[lesson.stage]?.title ?? "");
    this.setSteps(lesson);
    if (lesson.html !== this.shown) {
      this.shown = lesson.html;
      this.text.innerHTML = lesson.html; // Made by the server from Markdown, without raw HTML.
    }
    const reach = lesson.task?.reach;
    this.target.hidden = !reach || !lesson.target;
    const done = lesson.task?.state === "done";
    this.target.classList.toggle("reached", done);
    write(this.news, done ? reachedNews() : "");
    if (!reach || !lesson.target) return;
    write(this.off, done ? reached() : targetOff(reach, lesson.target, unit));
    write(this.goal, targetGoal(lesson.target, unit));
  }

  private go(stage: number): void {
    this.ask({ type: "stage", do: "go", stage });
  }

  private setSteps(lesson: LessonMessage): void {
    this.steps.replaceChildren(
      ...lesson.stages.map((_, i) => {
        const item = document.createElement("li");
        const button = document.createElement("button");
        button.type = "button";
        button.textContent = String(i + 1);
        button.addEventListener("click", () => this.go(i));
        if (i === lesson.stage) button.setAttribute("aria-current", "step");
        item.append(button);
        return item;
      }),
    );
  }
}
