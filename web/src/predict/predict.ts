import { Vector3 } from "three";
import { byId, choose, chosen, write } from "../basics/dom";
import { frameName, predictionAsks, predictionIdle, predictionLine, predictionScore } from "../basics/words";
import { bring, onPhone, phone } from "../shell/places";
import type { Asker, Ball } from "./ball";
import { units } from "../view/axes";
import type { PredictionsMessage, PredictionView, QuestionView, Request } from "../wire";

/** The ends of the base frame's axes, in which the directions to choose are told too: those of another frame would give its jogs away. */
export const BOTH_WAYS = units.flatMap((axis) => [axis, axis.clone().negate()]);

/** What is longer than this is set smaller, so that two lines hold it. */
const MUCH = 100;

/**
 * Predict first: the question of a jog that waits, the arrow or the joints that the learner answers with, and what came
 * of it. The arrow is drawn on the ball, or chosen by a button.
 */
export class PredictPanel {
  private readonly root = byId("predict");
  private readonly text = byId("predict-text");
  private readonly question = byId("predict-question");
  private readonly arrowPart = byId("predict-arrow");
  private readonly drawn = byId("predict-drawn");
  private readonly toward = [...this.arrowPart.querySelectorAll<HTMLButtonElement>("[data-toward]")];
  private readonly half = byId("predict-half");
  private readonly jointPart = byId("predict-joints");
  private readonly joints = [...this.jointPart.querySelectorAll<HTMLButtonElement>("[data-joint]")];
  private readonly answer = byId<HTMLButtonElement>("predict-answer");
  private readonly stays = byId<HTMLButtonElement>("predict-stays");
  private readonly kept = byId<HTMLDetailsElement>("predict-kept");
  private readonly what = byId("predict-ask");
  private asked: QuestionView | null = null;
  private shown = ""; // the question or the answer that is in the picture
  private asker: Asker | null = null; // of the arrow that is in the picture, drawn or answered
  /** Whether jogs ask first. */
  on = false;
  private focused: HTMLElement | null = null; // the jog button that asked

  constructor(
    private readonly ball: Ball,
    private readonly send: (request: Request) => void,
  ) {
    this.toward.forEach((button, i) => button.addEventListener("click", () => this.ball.choose(BOTH_WAYS[i]!.clone())));
    for (const button of this.joints) {
      button.addEventListener("click", () => {
        press(button, !pressed(button));
        press(this.stays, false);
        this.setReady();
      });
    }
    this.half.addEventListener("change", (event) => this.ball.drawOn((event.target as HTMLInputElement).value));
    this.answer.addEventListener("click", () => this.give());
    this.stays.addEventListener("click", () => {
      this.ball.erase();
      for (const button of [...this.toward, ...this.joints]) press(button, false);
      press(this.stays, !pressed(this.stays));
      this.setReady();
    });
    byId("predict-withdraw").addEventListener("click", () => this.withdraw());
    byId("predict-forget").addEventListener("click", () => this.send({ type: "predict", ...nothing, forget: true }));
    choose("predict-ask", "way");
    this.what.addEventListener("change", () => this.setOn(this.on));
    phone().addEventListener("change", () => this.settleIn());
    this.settleIn();
    document.addEventListener("keydown", (event) => {
      if (!this.asked || event.repeat) return;
      if (event.key === "Escape") this.withdraw();
      else if (event.key === "Enter" && this.hears(event.target as HTMLElement)) {
        event.preventDefault(); // An answer that is chosen stays chosen.
        this.give();
      }
    });
  }

  /** On a phone the line has no room for what to predict; there that is chosen where predict first is switched on. */
  private settleIn(): void {
    if (onPhone()) byId("predict-ask-place").append(this.what);
    else this.text.after(this.what);
  }

  /** Switches the mode, also after the bench has come back. */
  setOn(on: boolean): void {
    this.on = on;
    this.send({ type: "predict-first", on, joints: chosen("predict-ask") === "joints" });
  }

  /** A question waits. */
  get waits(): boolean {
    return this.asked !== null;
  }

  /** Whether Enter lets the arm answer there: on no control, or on the answer that is chosen already. Of joints more may be wanted, or fewer. */
  private hears(at: HTMLElement): boolean {
    return !at.closest("button, select, input, summary, dialog") || ([...this.toward, this.stays].includes(at as HTMLButtonElement) && pressed(at));
  }

  private withdraw(): void {
    this.send({ type: "predict", ...nothing, withdraw: true });
  }

  /** Shows how predicting stands; true where a question has gone, so that the jog buttons are back. */
  set(message: PredictionsMessage): boolean {
    const waited = this.waits;
    this.show(message);
    return waited && !this.waits;
  }

  private show(message: PredictionsMessage): void {
    this.on = message.on;
    this.root.hidden = !message.on;
    document.documentElement.classList.toggle("predicting", message.on);
    choose("predict-ask", message.joints ? "joints" : "way");
    const asked = message.question;
    this.asked = asked;
    this.question.hidden = !asked;
    document.documentElement.classList.toggle("asking", !!asked);
    if (!asked) this.giveFocusBack();
    const last = message.fresh ? (message.given.at(-1) ?? null) : null;
    const text = asked ? predictionAsks(asked) : last ? predictionLine(last, message.within_deg) : predictionIdle(message.joints);
    write(this.text, text);
    this.text.classList.toggle("much", text.length > MUCH);
    this.setKept(message);
    const shown = JSON.stringify(asked ?? last ?? "");
    if (shown === this.shown || (!message.on && !asked)) {
      if (!message.on) this.wipe();
      return;
    }
    this.shown = shown;
    if (asked) this.ask(asked);
    else if (last) this.tell(last);
    else this.wipe();
  }

  private wipe(): void {
    this.shown = "";
    this.ball.clear(this.asker);
  }

  private ask(asked: QuestionView): void {
    const joints = asked.asks === "joints";
    this.arrowPart.hidden = this.half.hidden = this.drawn.hidden = joints;
    this.jointPart.hidden = !joints;
    this.takeFocus();
    for (const button of [...this.toward, ...this.joints, this.stays]) press(button, false);
    if (joints) this.ball.clear(this.asker);
    else this.ball.ask(this.askerOf(asked));
    this.setReady(); // Now there is no arrow yet.
  }

  private askerOf({ at, asks, directions }: QuestionView | PredictionView): Asker {
    // The base frame's letters would answer what is asked of a jog along its own axes, as would the world's.
    const bare = directions.some((d) => d.frame === "base" || d.frame === "world");
    const frame = frameName({ frame: "base", task: "" });
    return (this.asker = { at: at.p, turn: asks === "axis", axes: BOTH_WAYS, frame, bare, half: this.half, text: this.drawn, drawn: (arrow) => this.setArrow(arrow) });
  }

  /** There is an arrow: whoever draws says that something moves. The button of its direction, if it has one, is pressed. */
  private setArrow(arrow: Vector3): void {
    this.toward.forEach((button, i) => press(button, arrow.distanceToSquared(BOTH_WAYS[i]!) < 1e-12));
    press(this.stays, false);
    this.setReady();
  }

  /** The arm can answer once something was said. */
  private setReady(): void {
    const arrow = this.asker && this.ball.arrowFor(this.asker);
    this.answer.disabled = !pressed(this.stays) && !(this.asked?.asks === "joints" ? this.joints.some(pressed) : arrow);
  }

  /** The jog buttons are gone while a question waits; the one that had the focus gets it back. */
  private takeFocus(): void {
    const had = document.activeElement;
    if (had instanceof HTMLElement && had.classList.contains("jog")) this.focused = had;
    this.question.focus({ preventScroll: true });
    // On a phone the page scrolls.
    if (onPhone()) bring(byId("strip"));
  }

  private giveFocusBack(): void {
    const here = document.activeElement === document.body || this.question.contains(document.activeElement);
    if (here) this.focused?.focus({ preventScroll: true });
    this.focused = null;
  }

  private tell(given: PredictionView): void {
    const vector = (v: [number, number, number] | null) => (v ? new Vector3().fromArray(v) : null);
    this.ball.clear(this.asker); // It has stopped asking.
    this.ball.answer(this.askerOf(given), vector(given.arrow), vector(given.truth), { stays: given.cause !== "" });
  }

  private setKept(message: PredictionsMessage): void {
    this.kept.hidden = message.count === 0;
    write(byId("predict-score"), predictionScore(message));
    const list = byId<HTMLOListElement>("predict-list");
    list.start = message.count;
    list.replaceChildren(
      ...[...message.given].reverse().map((given) => {
        const item = document.createElement("li");
        item.textContent = predictionLine(given, message.within_deg, true);
        return item;
      }),
    );
  }

  private give(): void {
    if (!this.asked || this.answer.disabled) return;
    const stays = pressed(this.stays);
    const joints = this.joints.filter(pressed).map((button) => Number(button.dataset["joint"]));
    const arrow = (this.asker && this.ball.arrowFor(this.asker)?.toArray()) ?? null;
    this.send({ type: "predict", ...nothing, ...(this.asked.asks === "joints" ? { joints } : stays ? { stays } : { arrow }) });
  }
}

const pressed = (button: HTMLElement): boolean => button.getAttribute("aria-pressed") === "true";
const press = (button: HTMLElement, on: boolean): void => button.setAttribute("aria-pressed", String(on));

const nothing = { arrow: null, joints: [], stays: false, withdraw: false, forget: false };
