// What a stage asks, as a form of real controls: one function a kind of task.
import { Vector3 } from "three";
import type { Asker, Ball } from "../predict/ball";
import { hide, make, write } from "../basics/dom";
import { signMark, typed } from "../basics/format";
import * as words from "./lessonwords";
import type { AnswerRequest, LessonTask, PredictView } from "../wire";

export interface Question {
  element: HTMLElement;
  /** Shows how the task stands. */
  set(task: LessonTask): void;
  /** What the learner answers, null where that is nothing yet. A task that is driven has no answers. */
  answer?: () => Partial<AnswerRequest> | null;
  /** Why there is no answer yet; "" where none was begun. */
  misses?: () => string;
  /** Another question takes its place. */
  close?: () => void;
}

export function questionOf(task: LessonTask, ball: Ball): Question {
  if (task.predict?.ask === "direction") return whichWay(task.predict, ball);
  if (task.predict?.ask === "joints") return whichJoints(task.predict);
  if (task.predict) return whatStops(task.predict);
  if (task.read) return aNumber(task);
  if (task.choose) return options(task);
  if (task.free) return things(task);
  return aPlace();
}

/** Several controls under one question. */
function group(question: string, ...content: (Node | string)[]): HTMLFieldSetElement {
  return make("fieldset", { className: "ask" }, make("legend", {}, question), ...content);
}

/** A radio button or a box to tick, with its label. */
function choice(type: "radio" | "checkbox", value: string, ...label: (Node | string)[]): HTMLLabelElement {
  return make("label", { className: "ask-choice" }, make("input", { type, name: "task-choice", value }), make("span", {}, ...label));
}

const ticked = (root: HTMLElement): string[] => [...root.querySelectorAll<HTMLInputElement>("input[name=task-choice]:checked")].map((i) => i.value);

/** Nothing more can be answered. Where what is right is told, the fields of a stage that was given up or is come back to show it. */
function lock(fields: HTMLFieldSetElement, task: LessonTask): void {
  fields.disabled = task.state === "done" || task.state === "given up";
  if (!fields.disabled || task.right === "") return;
  const number = fields.querySelector<HTMLInputElement>("#task-number");
  const stop = fields.querySelector("select");
  if (task.state === "done" && (ticked(fields).length > 0 || number?.value || stop?.value)) return;
  if (number) number.value = words.rightNumber(task.read!, task.right, true);
  if (stop) stop.value = task.right;
  const right = rightChoices(task);
  for (const box of fields.querySelectorAll<HTMLInputElement>("input[name=task-choice]")) box.checked = right.includes(box.value);
}

/** Which of a task's choices are right, by their values, once that is told. */
function rightChoices({ right, predict, choose }: LessonTask): string[] {
  if (choose) {
    const whole = `; ${right}; `;
    return choose.options.flatMap((text, i) => (whole.includes(`; ${text}; `) ? [String(i)] : []));
  }
  if (predict?.ask === "joints") return right === "none" ? ["none"] : [...right.matchAll(/J([1-6])/g)].map(([, n]) => String(Number(n) - 1));
  return [right.split(" ").slice(-2).join(" ")]; // a direction, after the name of its frame
}

const OWN = "arrow"; // the choice to point an arrow instead of naming a direction

/** A direction: one of the six by name, or an arrow, drawn on the ball in the picture or set by two sliders. */
function whichWay(predict: PredictView, ball: Ball): Question {
  const ways = predict.ways.map((way) => new Vector3().fromArray(way));
  const named = predict.options.map((name) => {
    const letter = name[0]!.toUpperCase();
    return choice("radio", name, make("span", { className: `chip chip-${letter}` }, letter), ` ${signMark(name.endsWith("+") ? 1 : -1)}`);
  });
  const own = choice("radio", OWN, words.arrowOwn());
  own.dataset["help"] = "task.arrow";
  const turn = slider(words.arrowTurn(), -180, 180);
  const rise = slider(words.arrowRise(), -90, 90);
  const sliders = make("div", {}, turn.element, rise.element);
  const half = halves(ball);
  const text = make("p", { className: "note" });
  text.setAttribute("role", "status");
  const arrow = make("div", { className: "ask-arrow", hidden: true }, half, text, sliders);
  const tap = make("p", { className: "ask-tap" }, `${words.tapKnob()} `, make("span", { className: "ask-faces" }, words.knobFaces()));
  const element = group(words.askDirection(predict), make("div", { className: "ask-direction" }, make("div", { className: "ask-ways" }, ...named, own), tap, arrow));
  const showArrow = (shown: boolean): void => void (arrow.hidden = !shown);

  const ofFrame = (axis: number): Vector3 => ways[2 * axis]!.clone();
  let chooses = false; // the arrow follows the form, not the hand in the picture
  const asker: Asker = {
    at: predict.at.p,
    bare: false, always: true, turn: false,
    axes: ways,
    frame: words.namedFrame(predict.frame),
    half,
    text,
    keys: () => [undefined, OWN].includes(ticked(element)[0]), // what was chosen by its name is not turned away from
    free: () => ticked(element)[0] === OWN, // a press that misses a knob sets no arrow that nobody asked for
    drawn: (arrow) => {
      if (chooses) return;
      // A knob of the picture is the choice of its name.
      const knob = named[ways.findIndex((way) => way.angleTo(arrow) < 1e-6)];
      (knob ?? own).querySelector("input")!.checked = true;
      showArrow(!knob);
      const [x, y, z] = [0, 1, 2].map((axis) => arrow.dot(ofFrame(axis))) as [number, number, number];
      turn.set((Math.atan2(y, x) * 180) / Math.PI);
      rise.set((Math.asin(Math.max(-1, Math.min(1, z))) * 180) / Math.PI);
      element.dispatchEvent(new Event("drawn", { bubbles: true }));
    },
  };
  const slid = (): Vector3 => {
    const [a, e] = [turn, rise].map((s) => (s.value() * Math.PI) / 180) as [number, number];
    const along = (axis: number, part: number) => ofFrame(axis).multiplyScalar(part);
    return along(0, Math.cos(e) * Math.cos(a)).add(along(1, Math.cos(e) * Math.sin(a))).add(along(2, Math.sin(e)));
  };
  element.addEventListener("input", () => {
    const [chosen] = ticked(element);
    showArrow(chosen === OWN);
    chooses = true;
    ball.draw(chosen === OWN ? slid() : ways[predict.options.indexOf(chosen!)]!);
    chooses = false;
  });
  let shown = "";
  return {
    element,
    set: (task) => {
      const named = ticked(element)[0] !== OWN; // what was answered
      lock(element, task);
      const { state, predict: now } = task;
      const over = state === "done" || state === "given up";
      if (over) showArrow(false);
      tap.hidden = over;
      if (shown === (over ? "answer" : "question")) return;
      shown = over ? "answer" : "question";
      if (over) ball.answer(asker, ball.arrowFor(asker), now?.truth ? new Vector3().fromArray(now.truth) : null, { named });
      else ball.ask(asker);
    },
    answer: () => {
      const [chosen] = ticked(element);
      if (!chosen) return null;
      return chosen === OWN ? { arrow: ball.arrowFor(asker)?.toArray() ?? slid().toArray() } : { direction: chosen };
    },
    close: () => ball.clear(asker),
  };
}

/** Whether the arrow is drawn towards the viewer or away. */
function halves(ball: Ball): HTMLElement {
  const options = words.arrowHalves().map(([value, text]) => {
    const option = make("label", { className: "option" }, make("input", { type: "radio", name: "task-half", value }), make("span", {}, text));
    option.dataset["help"] = `predict-half.${value}`;
    return option;
  });
  const element = make("div", { className: "choice choice-small halves", role: "group", ariaLabel: words.arrowHalf() }, ...options);
  element.addEventListener("input", (event) => {
    event.stopPropagation(); // It is no answer.
    ball.drawOn((event.target as HTMLInputElement).value);
  });
  return element;
}

function slider(label: string, min: number, max: number): { element: HTMLElement; value: () => number; set: (deg: number) => void } {
  const input = make("input", { type: "range", min: String(min), max: String(max), step: "5", value: "0" });
  const shown = make("output", { className: "number" }, "0°");
  const show = () => write(shown, words.wholeDegrees(Number(input.value)));
  input.addEventListener("input", show);
  return {
    element: make("label", { className: "ask-slider" }, make("span", {}, label), input, shown),
    value: () => Number(input.value),
    set: (deg) => {
      input.value = String(deg);
      show();
    },
  };
}

function whichJoints(predict: PredictView): Question {
  const boxes = [1, 2, 3, 4, 5, 6].map((n) => choice("checkbox", String(n - 1), `J${n}`));
  const none = choice("checkbox", "none", words.noJoint());
  const element = group(words.askJoints(predict), make("div", { className: "ask-ways" }, ...boxes, none));
  // None goes with no other.
  element.addEventListener("input", (event) => {
    const changed = event.target as HTMLInputElement;
    if (!changed.checked) return;
    for (const box of element.querySelectorAll<HTMLInputElement>("input")) {
      if ((box.value === "none") !== (changed.value === "none")) box.checked = false;
    }
  });
  return {
    element,
    set: (task) => lock(element, task),
    answer: () => {
      const chosen = ticked(element);
      return chosen.length === 0 ? null : { joints: chosen.filter((c) => c !== "none").map(Number) };
    },
  };
}

function whatStops(predict: PredictView): Question {
  const select = make("select", { id: "task-stop" }, new Option(words.chooseOne(), ""), ...predict.options.map((o) => new Option(words.stopWord(o), o)));
  const element = make("fieldset", { className: "ask" }, make("label", { className: "ask-line" }, make("span", {}, words.askStop(predict)), select));
  return { element, set: (task) => lock(element, task), answer: () => (select.value ? { stop: select.value } : null) };
}

/** That the arm may be asked first, where it could answer: other questions wait for the learner's answer, and say so. */
const tryFirst = (task: LessonTask): string[] => (task.may_try && task.state !== "done" && task.state !== "given up" ? [words.mayTry()] : []);

function aNumber(task: LessonTask): Question {
  const read = task.read!;
  const input = make("input", { type: "text", inputMode: "decimal", id: "task-number", size: 9, maxLength: 20 });
  const line = make("label", { className: "ask-line" }, make("span", {}, words.askRead(read)), make("span", { className: "ask-number" }, input, ` ${words.unitOf(read.unit)}`));
  const note = make("p", { className: "note" });
  const element = make("fieldset", { className: "ask" }, line, note);
  return {
    element,
    set: (now) => {
      lock(element, now);
      write(note, [words.within(read), ...tryFirst(now)].join(" "));
    },
    answer: () => {
      const number = typed(input.value);
      return number === null ? null : { number };
    },
    misses: () => words.notANumber(input.value.trim()),
  };
}

function options(task: LessonTask): Question {
  const { question, several, options: texts } = task.choose!;
  const choices = texts.map((text, i) => choice(several ? "checkbox" : "radio", String(i), text));
  const note = make("p", { className: "note" });
  const element = group(question, make("div", { className: "ask-options" }, ...choices), note);
  return {
    element,
    set: (now) => {
      lock(element, now);
      write(note, [...(several ? [words.severalRight()] : []), ...tryFirst(now)].join(" "));
      hide(note, note.textContent === "");
    },
    answer: () => {
      const chosen = ticked(element);
      return chosen.length === 0 ? null : { options: chosen.map(Number) };
    },
  };
}

/** On a phone: where the jog buttons are, while there is something to be done with them. */
const toJog = (): HTMLElement => make("span", { className: "to-jog" }, ` ${words.toJog()}`);

function things(task: LessonTask): Question {
  const items = task.free!.notice.map((n) => {
    const state = make("span", { className: "unseen" });
    return { item: make("li", {}, n.text, " ", state), state };
  });
  const element = make("div", {}, make("p", { className: "ask-title" }, words.askFree(task.free!), toJog()), make("ul", { className: "notices-list" }, ...items.map((i) => i.item)));
  return {
    element,
    set: (now) =>
      now.free?.notice.forEach(({ happened }, i) => {
        items[i]!.item.classList.toggle("happened", happened);
        write(items[i]!.state, words.happened(happened));
      }),
  };
}

function aPlace(): Question {
  const off = make("span", { id: "lesson-off", className: "lesson-off" });
  const goal = make("p", { id: "lesson-goal" });
  const rules = make("ul", { className: "task-rules" });
  const element = make("div", { id: "lesson-target", className: "lesson-target" }, make("p", {}, off, toJog()), goal, rules);
  off.dataset["help"] = "lesson.off";
  goal.dataset["help"] = "lesson.goal";
  return {
    element,
    set: (task) => {
      const reach = task.reach;
      if (!reach) return;
      element.classList.toggle("reached", task.state === "done");
      const done = task.state === "done";
      write(off, words.reachOff(reach, done, task.jogs, task.moved));
      write(goal, words.reachGoal(reach));
      const lines = words.reachRules(reach, task.jogs, done);
      if (rules.childElementCount !== lines.length) rules.replaceChildren(...lines.map(() => document.createElement("li")));
      lines.forEach((line, i) => write(rules.children[i] as HTMLElement, line));
      rules.hidden = lines.length === 0;
    },
  };
}
