import { Vector3 } from "three";
import { byId, choose, chosen, write } from "./dom";
import { frameName, predictionAsks, predictionIdle, predictionLine, predictionScore } from "./words";
import { bring, onPhone } from "./places";
import type { Asker, Ball } from "./ball";
import { units } from "./view/axes";
import type { PredictionsMessage, PredictionView, QuestionView, Request } from "./wire";

/** The ends of the base frame's axes, in which the directions to choose are told too: those of another frame would give its jogs away. */
const BOTH_WAYS = units.flatMap((axis) => [axis, axis.clone().negate()]);

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
  private readonly flip = byId<HTMLButtonElement>("predict-flip");
  private readonly jointPart = byId("predict-joints");
  private readonly joints = [...this.jointPart.querySelectorAll<HTMLButtonElement>("[data-joint]")];
  private readonly answer = byId<HTMLButtonElement>("predict-answer");
  private readonly stays = byId<HTMLButtonElement>("predict-stays");
  private readonly kept = byId<HTMLDetailsElement>("predict-kept");
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
    for (const button of this.arrowPart.querySelectorAll<HTMLButtonElement>("[data-toward]")) {
      const [axis, sign] = button.dataset["toward"]!.split(" ");
      button.addEventListener("click", () => this.ball.draw(units[Number(axis)]!.clone().multiplyScalar(sign === "plus" ? 1 : -1)));
    }
    for (const button of this.joints) {
      button.addEventListener("click", () => button.setAttribute("aria-pressed", String(button.getAttribute("aria-pressed") !== "true")));
    }
    this.flip.addEventListener("click", () => this.ball.turnRound());
    this.answer.addEventListener("click", () => this.give(false));
    this.stays.addEventListener("click", () => this.give(true));
    byId("predict-withdraw").addEventListener("click", () => this.withdraw());
    byId("predict-forget").addEventListener("click", () => this.send({ type: "predict", ...nothing, forget: true }));
    choose("predict-ask", "way");
    this.root.addEventListener("change", () => this.setOn(this.on));
    document.addEventListener("keydown", (event) => {
      if (!this.asked || event.repeat) return;
      if (event.key === "Escape") this.withdraw();
      else if (event.key === "Enter" && !(event.target as Element).closest("button, select, input, summary, dialog")) this.give(false);
    });
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

  private withdraw(): void {
    this.send({ type: "predict", ...nothing, withdraw: true });
  }

  set(message: PredictionsMessage): void {
    this.on = message.on;
    this.root.hidden = !message.on;
    document.documentElement.classList.toggle("predicting", message.on);
    choose("predict-ask", message.joints ? "joints" : "way");
    const asked = message.question;
    this.asked = asked;
    this.question.hidden = !asked;
    document.documentElement.classList.toggle("asking", !!asked);
    if (!asked) this.giveFocusBack();
    const last = message.given.at(-1) ?? null;
    if (asked) write(this.text, predictionAsks(asked));
    else write(this.text, last && message.on ? predictionLine(last) : predictionIdle());
    this.setKept(message);
    const shown = JSON.stringify(asked ?? last ?? "");
    if (shown === this.shown || (!message.on && !asked)) {
      if (!message.on) this.wipe();
      return;
    }
    this.shown = shown;
    if (asked) this.ask(asked);
    else if (last) this.show(last);
    else this.wipe();
  }

  private wipe(): void {
    this.shown = "";
    this.ball.clear(this.asker);
  }

  private ask(asked: QuestionView): void {
    const joints = asked.asks === "joints";
    this.arrowPart.hidden = this.drawn.hidden = joints;
    this.jointPart.hidden = !joints;
    this.takeFocus();
    for (const button of this.joints) button.setAttribute("aria-pressed", "false");
    this.answer.disabled = !joints;
    if (joints) this.ball.clear(this.asker);
    else this.ball.ask(this.askerOf(asked));
  }

  private askerOf({ at, asks }: QuestionView | PredictionView): Asker {
    return (this.asker = { at: at.p, turn: asks === "axis", axes: BOTH_WAYS, frame: frameName({ frame: "base", task: "" }), flip: this.flip, text: this.drawn, drawn: () => (this.answer.disabled = false) });
  }

  /** The jog buttons are gone while a question waits; the one that had the focus gets it back. */
  private takeFocus(): void {
    const had = document.activeElement;
    if (had instanceof HTMLElement && had.classList.contains("jog")) this.focused = had;
    this.question.focus({ preventScroll: true });
    // On a phone the page scrolls, and the question may be longer than the buttons were.
    if (onPhone()) bring(this.root);
  }

  private giveFocusBack(): void {
    const here = document.activeElement === document.body || this.question.contains(document.activeElement);
    if (here) this.focused?.focus({ preventScroll: true });
    this.focused = null;
  }

  private show(given: PredictionView): void {
    const vector = (v: [number, number, number] | null) => (v ? new Vector3().fromArray(v) : null);
    this.ball.clear(this.asker); // It has stopped asking.
    this.ball.answer(this.askerOf(given), vector(given.arrow), vector(given.truth));
  }

  private setKept(message: PredictionsMessage): void {
    this.kept.hidden = message.count === 0;
    write(byId("predict-score"), predictionScore(message));
    const list = byId<HTMLOListElement>("predict-list");
    list.start = message.count;
    list.replaceChildren(
      ...[...message.given].reverse().map((given) => {
        const item = document.createElement("li");
        item.textContent = predictionLine(given, true);
        return item;
      }),
    );
  }

  private give(stays: boolean): void {
    if (!this.asked) return;
    if (this.asked.asks === "joints") {
      const joints = stays ? [] : this.joints.filter((b) => b.getAttribute("aria-pressed") === "true").map((b) => Number(b.dataset["joint"]));
      this.send({ type: "predict", ...nothing, joints });
      return;
    }
    const arrow = this.asker && this.ball.arrowFor(this.asker);
    if (stays) this.send({ type: "predict", ...nothing, stays });
    else if (arrow) this.send({ type: "predict", ...nothing, arrow: arrow.toArray() });
  }
}

const nothing = { arrow: null, joints: [], stays: false, withdraw: false, forget: false };
