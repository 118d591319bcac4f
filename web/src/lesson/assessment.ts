// What is different on the page where a lesson counts: how it counts is told before it begins, how much time is left while it is
// under way, and that it was handed in after that.
import { byId, hide, make, write } from "../basics/dom";
import { short } from "../basics/format";
import { say, sayAlso, wanted } from "../basics/say";
import type { ClockMessage, LessonMessage, LessonTask, Request, StageView } from "../wire";

/** The minutes before the end at which it is said how many are left. */
const SAID_MINUTES = [10, 5, 1];

/** What a task counts and how many tries are left, as it stands under the stage's name; "" where nothing counts. */
export function worth(stage: StageView | undefined, task: LessonTask | null): string {
  if (!stage || stage.points === 0) return "";
  const counts = stage.tries_may === 1 || stage.late === stage.points ? say("assessment.worth", { points: short(stage.points) }) : say("assessment.worth.late", { points: short(stage.points), late: short(stage.late) });
  const left = task && task.left >= 0 && task.state !== "done" && task.state !== "given up" ? [say("assessment.tries-left", { count: task.left })] : [];
  return [counts, ...left].join(" ");
}

/** Seconds as a clock shows them: 1:05, 1:00:05. */
function clockTime(seconds: number): string {
  const s = Math.max(Math.ceil(seconds), 0);
  const two = (n: number): string => String(n).padStart(2, "0");
  const minutes = Math.floor(s / 60) % 60;
  return s < 3600 ? `${minutes}:${two(s % 60)}` : `${Math.floor(s / 3600)}:${two(minutes)}:${two(s % 60)}`;
}

/** The part of the lesson that tells of all this. */
export class AssessmentPanel {
  private readonly place = byId("assessment");
  private readonly rules = byId("assessment-rules");
  private readonly begin = byId<HTMLButtonElement>("assessment-begin");
  private readonly more = byId<HTMLDetailsElement>("assessment-more");
  private readonly code = byId<HTMLFormElement>("assessment-code");
  private readonly typed = byId<HTMLInputElement>("assessment-code-typed");
  private readonly left = byId("assessment-left");
  private readonly said = byId("assessment-said");
  private readonly state = byId("assessment-state");
  private readonly worth = byId("assessment-worth");
  private was = "";
  private ends = 0; // on the page's own clock, which only measures how much time passes; 0 without a limit
  private timer = 0;
  private saidMinutes = Infinity;

  private readonly rulesOf = wanted(async () => {
    const [of] = await Promise.all([import("./assessmentrules"), sayAlso("rules")]);
    return of;
  });

  constructor(private readonly ask: (request: Request) => void) {
    this.begin.addEventListener("click", () => ask({ type: "stage", do: "begin", stage: 0 }));
    this.code.addEventListener("submit", (event) => {
      event.preventDefault();
      if (this.typed.value.trim() !== "") ask({ type: "extra-time", code: this.typed.value });
      this.typed.value = "";
    });
  }

  /** Shows how the lesson counts; an ordinary lesson has nothing of it. */
  show(lesson: LessonMessage): void {
    const a = lesson.assessment;
    const waits = a?.state === "waits";
    hide(this.place, !a);
    document.body.classList.toggle("assessment-waits", waits);
    hide(this.rules.parentElement!, !waits);
    hide(this.more, !a || a.minutes_allowed === 0 || a.state === "handed in");
    if (a && a.state !== this.was) this.more.open = waits; // Once it has begun, the task needs the room.
    this.was = a?.state ?? "";
    hide(this.state, a?.state !== "handed in");
    write(this.worth, worth(lesson.stages[lesson.stage], lesson.task));
    hide(this.worth, this.worth.textContent === "" || waits);
    if (!a) return;
    if (waits) {
      void this.rulesOf().then((of) => {
        if (of) this.rules.replaceChildren(...of.rules(a, lesson.stages).map((text) => make("li", {}, text)));
      });
    }
    if (!this.state.hidden) write(this.state, say(a.time_up ? "assessment.time-up" : "assessment.handed-in", { earned: short(a.earned), points: short(a.points) }));
  }

  /** The server has told how much time is left. */
  setClock({ running, left_s }: ClockMessage): void {
    window.clearInterval(this.timer);
    this.ends = running ? performance.now() + 1000 * left_s : 0;
    this.saidMinutes = running ? left_s / 60 : Infinity;
    hide(this.left, !running);
    write(this.said, "");
    if (!running) return;
    this.timer = window.setInterval(() => this.tick(), 1000);
    this.tick();
  }

  private tick(): void {
    const seconds = (this.ends - performance.now()) / 1000;
    write(this.left, say("assessment.left", { time: clockTime(seconds) }));
    const due = SAID_MINUTES.find((m) => seconds <= 60 * m && this.saidMinutes > m);
    if (due !== undefined) {
      this.saidMinutes = due;
      write(this.said, say("assessment.left.said", { minutes: due }));
    }
    if (seconds > 0) return;
    window.clearInterval(this.timer);
    this.ask({ type: "stage", do: "hand-in", stage: 0 }); // The server knows that the time is up, and only has to be asked.
  }
}
