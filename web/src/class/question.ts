import { byId, make, write } from "../basics/dom";
import { say } from "../basics/say";
import { bring, onPhone } from "../shell/places";
import { type AnswerForm, answerForm } from "./answer";
import { groupsTable, letterOf } from "./groups";
import type { Room } from "./room";
import type { AnswersView, QuestionView, RoundView } from "./wire";

/**
 * The question that the class has been asked. A learner answers it here while it is open; what all have answered is shown to
 * everybody when the instructor shows it, and to nobody before.
 */
export class QuestionSheet {
  private readonly root = byId("class-question");
  private readonly title = byId("class-question-title");
  private readonly text = byId("class-question-text");
  private readonly form = byId<HTMLFormElement>("class-answer");
  private readonly given = byId("class-given");
  private readonly said = byId("class-said");
  private readonly groups = byId("class-groups");
  private readonly lead = byId("class-lead");
  private answer: AnswerForm | null = null;
  private shown = ""; // the question and its round
  private drawn = ""; // the groups that are shown

  constructor(private readonly room: Room) {
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.give();
    });
    // The arrow keys draw on the ball wherever the focus is, and Enter sends what is drawn.
    document.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || event.repeat || this.form.hidden || !this.answer?.ready) return;
      if ((event.target as Element).closest("button, select, input, textarea, summary, dialog, a")) return;
      event.preventDefault();
      this.give();
    });
  }

  set(): void {
    const { question, answers } = this.room.now;
    const here = question !== null && (this.room.teaches || this.room.joined);
    this.root.hidden = !here;
    document.documentElement.classList.toggle("class-asked", here);
    document.documentElement.classList.toggle("class-answers", here && !this.room.teaches && question.state === "open");
    const open = here && question.state === "open";
    const foresees = here && question.jog !== "" && (open || question.state === "shown"); // what tells the answer is out of sight
    this.room.seams.told.setAsked(foresees);
    document.documentElement.classList.toggle("class-foresees", foresees);
    if (!here) return this.clear();
    const round = `${question.count} ${question.round}`;
    if (round !== this.shown) this.begin(question, round);
    write(this.title, say(question.round > 1 ? "class.question.again" : "class.question", { number: question.count }));
    write(this.text, question.text);
    const mayAnswer = open && !this.room.teaches;
    this.form.hidden = !mayAnswer;
    if (mayAnswer) this.answer?.set(question);
    else this.answer?.close();
    write(this.given, this.givenText(question));
    write(this.said, this.saidText(question, answers)); // not how many others have answered, which would never end
    this.root.style.setProperty("--given", String(question.here > 0 ? Math.min(1, question.given / question.here) : 0));
    this.showGroups(question, open ? null : answers);
    this.setLead(question);
  }

  /** Another arm is in the picture: the ball is asked for anew. */
  armChanged(): void {
    this.answer?.again();
  }

  private begin(question: QuestionView, round: string): void {
    const first = this.shown === "";
    this.answer?.close();
    this.shown = round;
    this.answer = this.room.teaches ? null : answerForm(question, this.form, this.room.seams);
    if (this.room.teaches) return;
    this.root.focus({ preventScroll: true });
    if (onPhone() && first) bring(this.root);
  }

  private clear(): void {
    this.answer?.close();
    this.answer = null;
    this.shown = this.drawn = "";
    this.form.replaceChildren();
    this.groups.replaceChildren();
    this.room.seams.view.crowd.set(null);
    this.room.seams.view.redraw();
  }

  private give(): void {
    const { question } = this.room.now;
    const answer = this.answer?.answer();
    if (!question || !answer) return;
    const nothing = { arrow: null, stays: false, joints: [], stop: "", number: null, options: [] };
    this.room.send({ type: "reply", question: question.count, round: question.round, ...nothing, ...answer });
  }

  private givenText(q: QuestionView): string {
    const count = say("class.given", { given: q.given, here: Math.max(q.here, q.given) });
    if (this.room.teaches || q.state !== "open") return count;
    if (!q.mine) return count;
    return say(q.mine.pending ? "class.given.pending" : "class.given.mine");
  }

  /** What has changed, for whoever hears the page. */
  private saidText(q: QuestionView, answers: AnswersView | null): string {
    if (this.room.teaches) return "";
    if (q.state === "open") return q.mine ? this.givenText(q) : "";
    if (q.state === "shown") return say("class.said.shown");
    const right = answers?.count === q.count && answers.right ? `${say("class.right")} ${answers.right}` : "";
    const mine = q.mine?.right ?? null;
    return `${mine === null ? "" : say(mine ? "class.mine.right" : "class.mine.wrong")} ${right}`.trim();
  }

  /** What all have answered, in groups; in the picture as arrows, where a way was asked for. */
  private showGroups(question: QuestionView, answers: AnswersView | null): void {
    const { view } = this.room.seams;
    const fits = answers?.count === question.count ? answers : null;
    const drawn = fits ? JSON.stringify([fits, question.state, this.room.seesFront]) : "";
    if (drawn === this.drawn) return;
    this.drawn = drawn;
    const round = fits?.rounds.at(-1);
    if (!fits || !round) {
      this.groups.replaceChildren();
      view.crowd.set(null);
    } else {
      const told = question.state === "told";
      const { mine } = question;
      const shown = told ? fits.rounds : fits.rounds.map(untold);
      const last = shown.at(-1)!;
      const parts: Node[] = [];
      if (told && mine?.right !== null && mine?.right !== undefined) parts.push(make("p", { className: "class-mine" }, say(mine.right ? "class.mine.right" : "class.mine.wrong")));
      if (told && fits.right) parts.push(make("p", { className: "class-right" }, make("b", {}, say("class.right")), " ", fits.right));
      if (told && fits.why) parts.push(make("p", { className: "class-why" }, fits.why));
      parts.push(groupsTable(shown, question.kind === "way"));
      this.groups.replaceChildren(...parts);
      const arrows = question.kind === "way" && this.room.seesFront;
      view.crowd.set(
        arrows
          ? {
              at: question.at.p,
              turn: question.asks === "axis",
              arrows: round.arrows,
              groups: last.groups.map((g, i) => ({ arrow: g.arrow, name: `${letterOf(i)}: ${g.count}` })),
              truth: told ? (fits.truth?.arrow ?? null) : null,
              truthName: say("predict.arm"),
            }
          : null,
      );
    }
    view.redraw();
  }

  /** What the instructor does with the question. */
  private setLead(question: QuestionView): void {
    this.lead.hidden = !this.room.teaches;
    if (!this.room.teaches) return;
    const wanted = `${question.state} ${question.jog !== "" && this.room.inFront}`;
    if (this.lead.dataset["for"] === wanted) return;
    const focused = this.lead.contains(document.activeElement);
    this.lead.dataset["for"] = wanted;
    const button = (key: Parameters<typeof say>[0], does: () => void, main = false): HTMLButtonElement => {
      const element = make("button", { type: "button", className: main ? "plain main" : "plain" }, say(key));
      element.addEventListener("click", does);
      return element;
    };
    const reveal = (state: QuestionView["state"]) => () => this.room.send({ type: "reveal", state });
    const { state, jog } = question;
    const play = jog !== "" && this.room.inFront && state !== "open" ? [button("class.lead.arm", () => this.room.seams.ask({ type: "play", name: say("class.title"), text: jog }))] : [];
    const again = button("class.lead.again", () => this.room.send({ type: "ask-again" }));
    const end = button("class.lead.end", reveal("ended"));
    if (state === "open") this.lead.replaceChildren(button("class.lead.show", reveal("shown"), true), end);
    else if (state === "shown") this.lead.replaceChildren(again, button("class.lead.tell", reveal("told"), true), ...play, end);
    else this.lead.replaceChildren(...play, again, end);
    if (focused) this.lead.querySelector("button")?.focus();
  }
}

/** A round as it is shown before anybody is told which answer is right: the instructor's page knows, and is what is projected. */
function untold(round: RoundView): RoundView {
  const groups = round.groups.map((g) => ({ ...g, given: g.given || g.name, name: "", says: "", right: null }));
  // Of groups that are as large the right one is first, which would tell it.
  return { ...round, groups: groups.sort((a, b) => b.count - a.count || (a.given < b.given ? -1 : 1)) };
}
