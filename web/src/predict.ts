import { Vector3 } from "three";
import { byId, choose, chosen, write } from "./dom";
import { drawnArrow, predictionAsks, predictionIdle, predictionLine, predictionNames, predictionScore } from "./words";
import type { Nudge } from "./view/prediction";
import type { View } from "./view/view";
import type { PredictionsMessage, PredictionView, QuestionView, Request } from "./wire";

const AXES = [new Vector3(1, 0, 0), new Vector3(0, 1, 0), new Vector3(0, 0, 1)] as const;

/**
 * Predict first: the question of a jog that waits, the arrow or the joints that the learner answers with, and what came
 * of it. The arrow is drawn on a ball around the TCP, chosen by a button, or turned by the arrow keys.
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
  private arrow: Vector3 | null = null;
  /** Whether jogs ask first. */
  on = false;
  private focused: HTMLElement | null = null; // the jog button that asked

  constructor(
    private readonly view: View,
    private readonly send: (request: Request) => void,
  ) {
    for (const button of this.arrowPart.querySelectorAll<HTMLButtonElement>("[data-toward]")) {
      const [axis, sign] = button.dataset["toward"]!.split(" ");
      button.addEventListener("click", () => this.draw(AXES[Number(axis)]!.clone().multiplyScalar(sign === "plus" ? 1 : -1)));
    }
    for (const button of this.joints) {
      button.addEventListener("click", () => button.setAttribute("aria-pressed", String(button.getAttribute("aria-pressed") !== "true")));
    }
    this.flip.addEventListener("click", () => this.turnRound());
    this.answer.addEventListener("click", () => this.give(false));
    this.stays.addEventListener("click", () => this.give(true));
    byId("predict-withdraw").addEventListener("click", () => this.withdraw());
    byId("predict-forget").addEventListener("click", () => this.send({ type: "predict", ...nothing, forget: true }));
    choose("predict-ask", "way");
    this.root.addEventListener("change", () => this.setOn(this.on));
    this.listenInView(byId("view"));
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

  /** Takes the question back; false if none waits. */
  withdraw(): boolean {
    if (!this.asked) return false;
    this.send({ type: "predict", ...nothing, withdraw: true });
    return true;
  }

  /** An arrow key turns the arrow while a question waits that is answered by one; false otherwise. */
  turn(way: Nudge): boolean {
    if (!this.asked) return false;
    if (this.asked.asks !== "joints") this.draw(this.view.prediction.nudged(this.arrow, way));
    return true;
  }

  set(message: PredictionsMessage): void {
    this.on = message.on;
    this.root.hidden = !message.on;
    this.view.setPredicting(message.on);
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
    this.view.prediction.clear();
    this.view.redraw();
  }

  private ask(asked: QuestionView): void {
    this.arrow = null;
    const joints = asked.asks === "joints";
    this.arrowPart.hidden = this.drawn.hidden = joints;
    this.jointPart.hidden = !joints;
    this.takeFocus();
    for (const button of this.joints) button.setAttribute("aria-pressed", "false");
    if (joints) this.view.prediction.clear();
    else this.view.prediction.ask(asked.at.p, asked.asks === "axis");
    this.view.redraw();
    this.tellArrow();
    if (joints) this.answer.disabled = false;
  }

  /** The jog buttons are gone while a question waits; the one that had the focus gets it back. */
  private takeFocus(): void {
    const had = document.activeElement;
    if (had instanceof HTMLElement && had.classList.contains("jog")) this.focused = had;
    this.question.focus({ preventScroll: true });
    // On a phone the page scrolls, and the question may be longer than the buttons were.
    if (window.matchMedia("(max-width: 48rem)").matches) this.question.scrollIntoView({ block: "nearest" });
  }

  private giveFocusBack(): void {
    const here = document.activeElement === document.body || this.question.contains(document.activeElement);
    if (here) this.focused?.focus({ preventScroll: true });
    this.focused = null;
  }

  private show(given: PredictionView): void {
    const vector = (v: [number, number, number] | null) => (v ? new Vector3().fromArray(v) : null);
    this.view.prediction.answer(given.at.p, given.asks === "axis", vector(given.arrow), vector(given.truth), predictionNames());
    this.view.redraw();
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

  private draw(arrow: Vector3 | null): void {
    if (!this.asked || !arrow) return;
    this.arrow = arrow;
    this.view.prediction.set(arrow);
    this.view.redraw();
    this.tellArrow();
  }

  private turnRound(): void {
    if (this.arrow) this.draw(this.view.prediction.flipped(this.arrow));
    else this.flip.setAttribute("aria-pressed", String(this.flip.getAttribute("aria-pressed") !== "true"));
  }

  private tellArrow(): void {
    const away = this.arrow ? this.view.prediction.isAway(this.arrow) : false;
    if (this.arrow) this.flip.setAttribute("aria-pressed", String(away));
    this.answer.disabled = !this.arrow;
    write(this.drawn, drawnArrow(this.arrow ? this.arrow.toArray() : null, away));
  }

  private give(stays: boolean): void {
    if (!this.asked) return;
    if (this.asked.asks === "joints") {
      const joints = stays ? [] : this.joints.filter((b) => b.getAttribute("aria-pressed") === "true").map((b) => Number(b.dataset["joint"]));
      this.send({ type: "predict", ...nothing, joints });
    } else if (stays) this.send({ type: "predict", ...nothing, stays });
    else if (this.arrow) this.send({ type: "predict", ...nothing, arrow: this.arrow.toArray() });
  }

  /** Drags that begin on the ball draw the arrow; all others are the camera's. */
  private listenInView(host: HTMLElement): void {
    let pointer = -1;
    const place = (event: PointerEvent): [x: number, y: number] => {
      const box = host.getBoundingClientRect();
      return [(2 * (event.clientX - box.left)) / box.width - 1, 1 - (2 * (event.clientY - box.top)) / box.height];
    };
    const far = () => this.flip.getAttribute("aria-pressed") === "true";
    const draw = (event: PointerEvent) => {
      const keep = far();
      this.draw(this.view.prediction.toward(...place(event), keep));
      this.flip.setAttribute("aria-pressed", String(keep)); // At the ball's edge both halves meet.
    };
    host.addEventListener(
      "pointerdown",
      (event) => {
        if (!this.asked || event.button !== 0 || !this.view.prediction.covers(...place(event))) return;
        event.stopPropagation();
        event.preventDefault();
        pointer = event.pointerId;
        host.setPointerCapture(pointer);
        draw(event);
      },
      { capture: true },
    );
    host.addEventListener("pointermove", (event) => {
      if (event.pointerId === pointer) draw(event);
    });
    for (const end of ["pointerup", "pointercancel", "lostpointercapture"] as const) {
      host.addEventListener(end, (event) => {
        if (event.pointerId === pointer) pointer = -1;
      });
    }
  }
}

const nothing = { arrow: null, joints: [], stays: false, withdraw: false, forget: false };
