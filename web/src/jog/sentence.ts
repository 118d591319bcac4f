import { say } from "../basics/say";
import { byId, choose, chosen, disable, fill, tell, write } from "../basics/dom";
import { increment, noCell, chooseLesson, speed, toolName } from "../basics/words";
import { isDone, keptStanding } from "../lesson/standing";
import type { AllowView, ArmMessage, CellMessage, Choices, Frame, IncrementRequest, LessonListing, OfferMessage, Request, Setup, Welcome } from "../wire";

export interface SentenceEvents {
  ask: (request: Request) => void;
  openLesson: (id: string) => void;
  /** Steps or holding was chosen. */
  mannerChanged: () => void;
}

/** The sentence that says how to jog, and the choosers of arm, tool and lesson beside it. */
export class Sentence {
  private readonly incrementSelect = byId<HTMLSelectElement>("increment");
  private readonly speedSelect = byId<HTMLSelectElement>("speed");
  private readonly armSelect = byId<HTMLSelectElement>("arm");
  private readonly cellSelect = byId<HTMLSelectElement>("cell");
  private readonly taskSelect = byId<HTMLSelectElement>("task");
  private readonly toolSelect = byId<HTMLSelectElement>("tool");
  private lessons: LessonListing[] = [];
  private readonly lessonSelect = byId<HTMLSelectElement>("lesson-choice");
  private passes = false; // the list of lessons stands at one that was not begun
  private inLesson = false;
  private heldBefore = false; // the lesson, to which leaving it leads back
  private choices: Pick<Choices, "increments" | "speeds"> = { increments: [], speeds: [] };
  private increments: IncrementRequest[] = [];
  private speeds: Choices["speeds"] = [];

  private setup: Setup | null = null;
  private asked: number | null = null; // the amount of a step that the bench has yet to answer

  constructor(private readonly events: SentenceEvents) {
    const ask = events.ask;
    const form = byId<HTMLFormElement>("sentence");
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("change", (event) => {
      const name = (event.target as HTMLInputElement).name;
      if (name === "frame") this.askFrame(chosen("frame") as Frame);
      if (name === "manner") this.mannerChosen();
    });
    // A frame that the lesson does without is asked for all the same: the bench says so.
    form.addEventListener("click", ({ target }) => {
      const off = (target as Element).closest("label")?.querySelector<HTMLInputElement>("input[name=frame]:disabled");
      if (off) this.askFrame(off.value as Frame);
    });
    this.incrementSelect.addEventListener("change", () => this.askIncrement(Number(this.incrementSelect.value)));
    this.speedSelect.addEventListener("change", () => {
      const wanted = this.speeds[Number(this.speedSelect.value)];
      if (wanted) ask({ type: "speed", ...wanted });
    });
    this.armSelect.addEventListener("change", () => ask({ type: "arm", id: this.armSelect.value }));
    this.cellSelect.addEventListener("change", () => ask({ type: "cell", id: this.cellSelect.value }));
    this.taskSelect.addEventListener("change", () => this.askFrame("task"));
    this.toolSelect.addEventListener("change", () => ask({ type: "tool", name: this.toolSelect.value }));
    this.watchLessonChoice();
    choose("manner", "step");
  }

  /** Keys lead through the closed list one by one: there a lesson begins with Enter, and else none of those that were passed. */
  private watchLessonChoice(): void {
    const select = this.lessonSelect;
    let keyed = false; // a key is being handled: what changes now was passed, and not picked from the open list
    select.addEventListener("keydown", (event) => {
      keyed = true;
      window.setTimeout(() => (keyed = false));
      if (event.key !== "Enter" || !this.passes) return;
      event.preventDefault(); // which would open the list
      this.openChosen();
    });
    select.addEventListener("keypress", () => {
      keyed = true; // a letter, which chooses by name
      window.setTimeout(() => (keyed = false));
    });
    select.addEventListener("change", () => {
      if (keyed) this.passes = select.value !== this.setup?.lesson;
      else this.openChosen();
    });
    select.addEventListener("blur", () => {
      this.passes = false;
      select.value = this.setup?.lesson ?? "";
    });
  }

  private openChosen(): void {
    this.passes = false;
    this.events.openLesson(this.lessonSelect.value);
  }

  /** Whether a jog lasts as long as it is held. */
  get holding(): boolean {
    return chosen("manner") === "hold";
  }

  /** The language of the open lesson, as far as it is known. */
  get lessonLang(): string {
    return this.lessonSelect.selectedOptions[0]?.lang ?? "";
  }

  /** Asks for a frame to jog in; for a task frame, the one that is chosen beside it. */
  askFrame(frame: Frame): void {
    this.events.ask({ type: "frame", frame, task: frame === "task" ? this.taskSelect.value : "" });
  }

  toggleManner(): void {
    choose("manner", this.holding ? "step" : "hold");
    this.mannerChosen();
  }

  private mannerChosen(): void {
    this.events.ask({ type: "release" });
    this.events.mannerChanged();
  }

  /** Takes the next finer (-1) or coarser (+1) amount of a step. */
  changeIncrement(by: 1 | -1): void {
    this.askIncrement(Number(this.incrementSelect.value) + by);
  }

  setWelcome(welcome: Welcome): void {
    this.asked = null;
    this.choices = welcome.choices;
  }

  setOffer(offer: Omit<OfferMessage, "type">): void {
    fill(this.armSelect, offer.arms.map((a) => ({ value: a.id, text: a.title, title: a.about })));
    fill(this.cellSelect, [{ value: "", text: noCell() }, ...offer.cells.map((c) => ({ value: c.id, text: c.title, title: c.about, lang: c.lang }))]);
    this.lessons = offer.lessons;
    this.offerLessons();
  }

  /** Offers the lessons, numbered as on their page, and ticked where all tasks are done. */
  offerLessons(): void {
    const numbered = ({ id, title, tasks }: LessonListing, i: number): string => `${i + 1}. ${title}${isDone(keptStanding(id, tasks)) ? " ✓" : ""}`;
    fill(this.lessonSelect, [
      { value: "", text: chooseLesson(this.inLesson) },
      ...this.lessons.map((l, i) => ({ value: l.id, text: numbered(l, i), title: l.about, lang: l.lang })),
    ]);
  }

  setArm(arm: ArmMessage): void {
    write(byId("arm-about"), `${arm.about} ${say("setup.another-arm")}`);
    offer(this.armSelect, arm.id, arm.name); // A lesson may bring an arm of its own,
    fill(this.toolSelect, arm.tools.map((t) => ({ value: t.name, text: toolName(t) })));
  }

  setCell(cell: CellMessage): void {
    offer(this.cellSelect, cell.id, cell.name || cell.id); // or a cell.
    byId("task-frames").hidden = cell.tasks.length === 0;
    this.taskSelect.hidden = cell.tasks.length < 2; // of one there is nothing to choose
    fill(this.taskSelect, cell.tasks.map((t) => ({ value: t.name, text: t.title })));
  }

  /** Offers what the lesson allows; what it does not is switched off, and says why. */
  setAllow(allow: AllowView, inLesson: boolean): void {
    this.choices = allow;
    this.asked = null; // what the numbers of the choices meant may have changed
    for (const input of document.querySelectorAll<HTMLInputElement>("input[name=frame]")) {
      const off = allow.frames.length > 0 && !allow.frames.includes(input.value as Frame);
      disable(input, off);
      this.explain(input.parentElement!, off ? "lesson.not-allowed" : `frame.${input.value}`);
    }
    if (inLesson && !this.inLesson) this.heldBefore = this.holding;
    if (!inLesson && this.inLesson && this.holding !== this.heldBefore) this.toggleManner();
    this.inLesson = inLesson;
    const none = this.lessonSelect.options[0];
    if (none) write(none, chooseLesson(inLesson));
    disable(this.taskSelect, allow.frames.length > 0 && !allow.frames.includes("task"));
    disable(this.toolSelect, inLesson);
    this.explain(this.toolSelect.parentElement!, inLesson ? "lesson.fixed" : "tool");
    if (this.setup) this.setSetup(this.setup);
  }

  private explain(element: HTMLElement, help: string): void {
    tell(element, "data-help", help);
  }

  setSetup(setup: Setup): void {
    this.setup = setup;
    choose("frame", setup.frame);
    if (setup.task) this.taskSelect.value = setup.task;
    this.cellSelect.value = setup.cell;
    this.armSelect.value = setup.arm;
    this.toolSelect.value = setup.tool;
    if (!this.passes) this.lessonSelect.value = setup.lesson;

    const { mm, deg } = setup.increment;
    this.increments = including(this.choices.increments, setup.increment, (i) => i.mm === mm && i.deg === deg);
    fill(this.incrementSelect, this.increments.map((i, n) => ({ value: String(n), text: increment(i) })));
    const has = this.increments.findIndex((i) => i.mm === mm && i.deg === deg);
    if (this.asked === has) this.asked = null;
    this.incrementSelect.value = String(this.asked ?? has); // the answer to an earlier choice does not undo a later one

    const { mm_s, deg_s } = setup.speed;
    this.speeds = including(this.choices.speeds, setup.speed, (s) => s.mm_s === mm_s && s.deg_s === deg_s);
    fill(this.speedSelect, this.speeds.map((s, n) => ({ value: String(n), text: speed(s) })));
    this.speedSelect.value = String(this.speeds.findIndex((s) => s.mm_s === mm_s && s.deg_s === deg_s));
  }

  private askIncrement(index: number): void {
    const wanted = this.increments[index];
    if (!wanted) return;
    this.asked = index;
    this.incrementSelect.value = String(index);
    this.events.ask({ type: "increment", ...wanted });
    if (!this.holding) return;
    choose("manner", "step");
    this.events.mannerChanged();
  }
}

/** Adds a choice that is not there yet. */
function offer(select: HTMLSelectElement, value: string, text: string): void {
  if (![...select.options].some((o) => o.value === value)) select.add(new Option(text, value));
}

/** The offered choices, with the chosen one after them if it is none of them. */
function including<T>(offered: T[], current: T, is: (one: T) => boolean): T[] {
  return offered.some(is) ? offered : [...offered, current];
}
