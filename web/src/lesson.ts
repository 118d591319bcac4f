import { byId, write } from "./dom";
import type { Unit } from "./format";
import { reached, reachedNews, targetGoal, targetOff } from "./words";
import type { LessonMessage } from "./wire";

/** The open lesson: its text, its target, and how far off the TCP is. */
export class LessonPanel {
  private readonly place = byId("lesson-place");
  private readonly text = byId("lesson-text");
  private readonly target = byId("lesson-target");
  private readonly off = byId("lesson-off");
  private readonly goal = byId("lesson-goal");
  private readonly news = byId("lesson-news");
  private shown = "";

  constructor(leave: () => void) {
    byId("lesson-leave").addEventListener("click", leave);
  }

  setLesson(lesson: LessonMessage, unit: Unit): void {
    this.place.hidden = lesson.id === "";
    if (lesson.html !== this.shown) {
      this.shown = lesson.html;
      this.text.innerHTML = lesson.html; // Made by the server from Markdown, without raw HTML.
      this.text.scrollTop = 0;
    }
    this.target.hidden = !lesson.target;
    this.target.classList.toggle("reached", lesson.reached);
    write(this.news, lesson.reached ? reachedNews() : "");
    if (!lesson.target) return;
    write(this.off, lesson.reached ? reached() : targetOff(lesson, lesson.target, unit));
    write(this.goal, targetGoal(lesson.target, unit));
  }
}
