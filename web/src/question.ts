// What a stage asks, as a form of real controls: one function a kind of task.
import { make, write } from "./dom";
import type { Unit } from "./format";
import * as words from "./lessonwords";
import type { AnswerRequest, LessonTask, PredictView } from "./wire";

type V3 = [number, number, number];

/** Shows an arrow in the view from a point in the base frame, or none. */
export type Point = (arrow: { from: V3; way: V3 } | null) => void;

export interface Question {
  element: HTMLElement;
  /** Shows how the task stands. */
  set(task: LessonTask, unit: Unit): void;
  /** What the learner answers, null where that is nothing yet. A task that is driven has no answers. */
  answer?: () => Partial<AnswerRequest> | null;
}

export function questionOf(task: LessonTask, point: Point): Question {
  if (task.predict?.ask === "direction") return whichWay(task.predict, point);
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

/** Nothing more can be answered. */
function lock(fields: HTMLFieldSetElement, task: LessonTask): void {
  fields.disabled = task.state === "done" || task.state === "given up";
}

const OWN = "arrow"; // the choice to point an arrow instead of naming a direction

function whichWay(predict: PredictView, point: Point): Question {
  const named = predict.options.map((name) => {
    const letter = name[0]!.toUpperCase();
    return choice("radio", name, make("span", { className: `chip chip-${letter}` }, letter), ` ${name.endsWith("+") ? "+" : "\u2212"}`);
  });
  const turn = slider(words.arrowTurn(), -180, 180);
  const rise = slider(words.arrowRise(), -90, 90);
  const arrow = make("div", { className: "ask-arrow", hidden: true }, turn.element, rise.element);
  const way = (): V3 => {
    const [a, e] = [turn.value(), rise.value()].map((deg) => (deg * Math.PI) / 180) as [number, number];
    return [Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e)];
  };
  const choices = make("div", { className: "ask-ways" }, ...named, choice("radio", OWN, words.arrowOwn()));
  const element = group(words.askDirection(predict), choices, arrow);
  element.addEventListener("input", () => {
    arrow.hidden = ticked(element)[0] !== OWN;
    point(arrow.hidden ? null : { from: predict.at.p, way: way() });
  });
  return {
    element,
    set: (task) => lock(element, task),
    answer: () => {
      const [chosen] = ticked(element);
      if (!chosen) return null;
      return chosen === OWN ? { arrow: way() } : { direction: chosen };
    },
  };
}

function slider(label: string, min: number, max: number): { element: HTMLElement; value: () => number } {
  const input = make("input", { type: "range", min: String(min), max: String(max), step: "5", value: "0" });
  const shown = make("output", { className: "number" }, "0°");
  input.addEventListener("input", () => write(shown, words.wholeDegrees(Number(input.value))));
  return { element: make("label", { className: "ask-slider" }, make("span", {}, label), input, shown), value: () => Number(input.value) };
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

function aNumber(task: LessonTask): Question {
  const read = task.read!;
  const input = make("input", { type: "text", inputMode: "decimal", id: "task-number", size: 9, maxLength: 20 });
  const line = make("label", { className: "ask-line" }, make("span", {}, words.askRead(read)), make("span", { className: "ask-number" }, input, ` ${words.unitOf(read.unit)}`));
  const element = make("fieldset", { className: "ask" }, line, make("p", { className: "note" }, words.within(read)));
  return {
    element,
    set: (now) => lock(element, now),
    answer: () => {
      // A comma or a true minus sign is as good as what a keyboard has.
      const typed = input.value.trim().replace(",", ".").replace(/[\u2212\u2013]/, "-");
      return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(typed) ? { number: Number(typed) } : null;
    },
  };
}

function options(task: LessonTask): Question {
  const { question, several, options: texts } = task.choose!;
  const choices = texts.map((text, i) => choice(several ? "checkbox" : "radio", String(i), text));
  const element = group(question, make("div", { className: "ask-options" }, ...choices), ...(several ? [make("p", { className: "note" }, words.severalRight())] : []));
  return {
    element,
    set: (now) => lock(element, now),
    answer: () => {
      const chosen = ticked(element);
      return chosen.length === 0 ? null : { options: chosen.map(Number) };
    },
  };
}

function things(task: LessonTask): Question {
  const items = task.free!.notice.map((n) => {
    const state = make("span", { className: "unseen" });
    return { item: make("li", {}, n.text, " ", state), state };
  });
  const element = make("div", {}, make("p", { className: "ask-title" }, words.askFree(task.free!)), make("ul", { className: "notices-list" }, ...items.map((i) => i.item)));
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
  const off = make("p", { id: "lesson-off", className: "lesson-off" });
  const goal = make("p", { id: "lesson-goal" });
  const rules = make("ul", { className: "task-rules" });
  const element = make("div", { id: "lesson-target", className: "lesson-target" }, off, goal, rules);
  off.dataset["help"] = "lesson.off";
  goal.dataset["help"] = "lesson.goal";
  return {
    element,
    set: (task, unit) => {
      const reach = task.reach;
      if (!reach) return;
      element.classList.toggle("reached", task.state === "done");
      write(off, words.reachOff(reach, task.state === "done", unit));
      write(goal, words.reachGoal(reach, unit));
      const lines = words.reachRules(reach, task.jogs);
      if (rules.childElementCount !== lines.length) rules.replaceChildren(...lines.map(() => document.createElement("li")));
      lines.forEach((line, i) => write(rules.children[i] as HTMLElement, line));
      rules.hidden = lines.length === 0;
    },
  };
}
