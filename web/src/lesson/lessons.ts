import { byId, make, within, write } from "../basics/dom";
import { say } from "../basics/say";
import type { LessonListing } from "../wire";
import { minutes } from "./lessonwords";
import { isOver, keptStanding, nextLesson, type Standing } from "./standing";

/** The page of lessons: what each teaches, how far one is, and what is next. It has an address of its own. */
export class Lessons {
  private readonly page = byId<HTMLDialogElement>("lessons");
  private readonly list = byId("lessons-list");
  private readonly back = byId<HTMLButtonElement>("lessons-close");
  private readonly leave = byId<HTMLButtonElement>("lessons-leave");
  private offered: LessonListing[] = [];

  constructor(private readonly places: { closed: () => void; lesson: () => string; leave: () => void }) {
    this.back.addEventListener("click", () => this.page.close());
    this.leave.addEventListener("click", () => {
      this.page.close();
      places.leave();
    });
    this.page.addEventListener("close", () => places.closed());
  }

  get shown(): boolean {
    return this.page.open;
  }

  setOffer(lessons: LessonListing[]): void {
    this.offered = lessons;
    if (this.shown) this.fill();
  }

  show(shown: boolean): void {
    if (shown === this.shown) return;
    if (!shown) return this.page.close();
    this.fill();
    this.page.showModal();
    byId("lessons-title").focus();
    this.page.scrollTo(0, 0);
  }

  /** The lesson that comes after another, as far as this browser knows. */
  after(id: string): LessonListing | null {
    return nextLesson(this.offered, id, (l) => keptStanding(l.id, l.tasks));
  }

  private fill(): void {
    const open = this.places.lesson();
    write(within(this.back, "span"), backTo(open, this.offered));
    this.leave.hidden = open === "";
    const next = this.after("");
    const arms = new Set(this.offered.map((l) => l.about));
    const shared = arms.size === 1 ? [...arms][0]! : "";
    write(byId("lessons-arm"), shared && say("lessons.arm.all", { arm: shared }));
    this.list.replaceChildren(...this.offered.map((l, i) => this.item(l, i + 1, l === next, shared !== "")));
    if (this.offered.length === 0) this.list.append(make("li", {}, say("lessons.none")));
  }

  private item(l: LessonListing, number: number, isNext: boolean, armTold: boolean): HTMLLIElement {
    const standing = keptStanding(l.id, l.tasks);
    const link = make("a", { href: `#/lessons/${encodeURIComponent(l.id)}`, className: "lessons-go" }, said(standing));
    const title = make("h3", { lang: l.lang, id: `lessons-${l.id}` }, `${number}. ${l.title}`);
    link.setAttribute("aria-describedby", title.id);
    const about = [minutes(l.minutes), !armTold && l.about && say("lessons.arm", { arm: l.about })].filter(Boolean).join(" ");
    const parts: Node[] = [make("div", { className: "lessons-head" }, title, link), make("p", { className: "note" }, about)];
    if (l.aims.length > 0) parts.push(make("ul", { lang: l.lang }, ...l.aims.map((aim) => make("li", {}, aim))));
    if (standing && l.tasks > 0) {
      const bar = make("progress", { max: l.tasks, value: standing.done });
      const how = make("span", {}, howFar(standing));
      bar.setAttribute("aria-hidden", "true");
      parts.push(make("p", { className: "lessons-far" }, bar, how));
    }
    if (isNext) title.prepend(make("span", { className: "lessons-next", lang: document.documentElement.lang }, say("lessons.next")), " ");
    return make("li", { className: isNext ? "comes-next" : "" }, ...parts);
  }
}

/** Where one comes from the list: a lesson that is open goes on, by the number that it has there. */
function backTo(open: string, offered: LessonListing[]): string {
  if (open === "") return say("lessons.close");
  const number = offered.findIndex((l) => l.id === open) + 1;
  return number > 0 ? say("lessons.back.number", { number }) : say("lessons.back");
}

const said = (standing: Standing | null): string => say(!standing ? "lessons.begin" : isOver(standing) ? "lessons.again" : "lessons.go-on");

/** How far one is, in words. */
function howFar({ done, givenUp, tasks }: Standing): string {
  const parts = [say("lessons.done", { done, tasks })];
  if (givenUp > 0) parts.push(say("lessons.given-up", { count: givenUp }));
  return `${parts.join(", ")}.`;
}
