// How a learner answers: one function a kind of question, as a form of real controls.
import type { Asker } from "../predict/ball";
import { make, write } from "../basics/dom";
import { typed } from "../basics/format";
import { say, type Key } from "../basics/say";
import { readingUnit } from "../basics/units";
import { frameName, jointName } from "../basics/words";
import type { Seams } from "./door";
import type { GivenView, QuestionView, ReplyRequest } from "./wire";

export interface AnswerForm {
  /** Shows how the question stands: what was answered may be changed as long as it is open. */
  set: (question: QuestionView) => void;
  /** There is something to send. */
  readonly ready: boolean;
  answer: () => Partial<ReplyRequest> | null;
  /** The picture shows another arm. */
  again: () => void;
  close: () => void;
}

/** What a kind of question has of its own. */
interface Kind {
  parts: Node[];
  answer: () => Partial<ReplyRequest> | null;
  /** Shows an answer that was given before this page was here. */
  show: (given: GivenView) => void;
  again?: () => void;
  close?: () => void;
}

export function answerForm(question: QuestionView, form: HTMLFormElement, seams: Seams): AnswerForm {
  const send = make("button", { type: "submit", className: "plain main" });
  let changed = false; // since it was sent
  const refresh = (): void => {
    const had = given !== null && !changed;
    const focused = document.activeElement === send;
    send.disabled = kind.answer() === null || had;
    if (focused && send.disabled) form.closest("section")?.focus({ preventScroll: true }); // whoever goes by keys stays at the question
    write(send, say(had ? "class.sent-answer" : given ? "class.send-again" : "class.send-answer"));
  };
  let given: GivenView | null = null;
  const dirty = (): void => {
    changed = true;
    refresh();
  };
  const kind = kindOf(question, seams, dirty);
  form.replaceChildren(...kind.parts, make("p", { className: "class-answer-foot" }, send));
  form.oninput = dirty;
  refresh();
  return {
    get ready() {
      return !send.disabled;
    },
    set: (now) => {
      if (now.mine && !given && !changed) kind.show(now.mine);
      if (JSON.stringify(now.mine) !== JSON.stringify(given)) changed = false;
      given = now.mine;
      refresh();
    },
    answer: () => (send.disabled ? null : kind.answer()),
    again: () => kind.again?.(),
    close: () => kind.close?.(),
  };
}

function kindOf(question: QuestionView, seams: Seams, changed: () => void): Kind {
  switch (question.kind) {
    case "way":
      return whichWay(question, seams, changed);
    case "joints":
      return whichJoints();
    case "stop":
      return options(question.options, false, (chosen) => ({ stop: question.words[chosen[0]!] ?? "" }), (g) => [question.words.indexOf(g.stop)]);
    case "number":
      return aNumber(question);
    case "choice":
      return options(question.options, question.several, (chosen) => ({ options: chosen }), (g) => g.options);
  }
}

/** A radio button or a box to tick, with its label. */
function choice(type: "radio" | "checkbox", value: string, text: string): HTMLLabelElement {
  return make("label", { className: "ask-choice" }, make("input", { type, name: "class-choice", value }), make("span", {}, text));
}

const inputs = (parts: readonly HTMLElement[]): HTMLInputElement[] => parts.map((part) => part.querySelector("input")!);

/** The six directions of the base frame, as those of "predict first" are called. */
const WAYS: Key[] = ["way.x.plus", "way.x.minus", "way.y.plus", "way.y.minus", "way.z.plus", "way.z.minus"];

/** A direction, or the axis of a turn: drawn on the ball in the picture, or chosen by its name. */
function whichWay(question: QuestionView, seams: Seams, changed: () => void): Kind {
  const { ball, bothWays, vector } = seams;
  const ways = WAYS.map((key, i) => choice("radio", String(i), say(key)));
  const stays = choice("radio", "stays", say("predict.stays"));
  const half = halves((value) => ball.drawOn(value));
  const text = make("p", { className: "note", role: "status" });
  const frame = question.way?.frame;
  let chooses = false; // the arrow follows the form, not the hand in the picture
  const asker: Asker = {
    at: question.at.p,
    turn: question.asks === "axis",
    axes: bothWays,
    frame: frameName({ frame: "base", task: "" }),
    bare: frame === "base" || frame === "world", // The axes' letters would answer.
    half,
    text,
    drawn: (arrow) => {
      inputs([stays])[0]!.checked = false;
      inputs(ways).forEach((input, i) => (input.checked = arrow.distanceToSquared(bothWays[i]!) < 1e-12));
      if (!chooses) changed();
    },
  };
  let arrow: [number, number, number] | null = null; // that was drawn, wherever the ball is by now
  const drawn = (): [number, number, number] | null => (arrow = ball.holds(asker) ? ((ball.arrowFor(asker)?.toArray() as [number, number, number] | undefined) ?? null) : arrow);
  const draw = (v: readonly [number, number, number], named = false): void => {
    chooses = true;
    if (named) ball.choose(vector(v));
    else ball.draw(vector(v));
    chooses = false;
  };
  const fields = make("fieldset", { className: "ask" }, make("legend", { className: "unseen" }, say("predict.arrow.choose")), make("div", { className: "ask-ways class-ways" }, ...ways, stays));
  fields.addEventListener("input", (event) => {
    const { value } = event.target as HTMLInputElement;
    if (value === "stays") ball.erase();
    else draw(bothWays[Number(value)]!.toArray(), true);
  });
  ball.askOver(asker);
  let open = true;
  return {
    parts: [fields, make("div", { className: "class-halves" }, half, text)],
    answer: () => {
      if (inputs([stays])[0]!.checked) return { stays: true };
      const v = drawn();
      return v && { arrow: v };
    },
    show: (given) => {
      if (given.stays) inputs([stays])[0]!.checked = true;
      else if (given.arrow) draw(given.arrow);
    },
    again: () => {
      if (!open) return;
      const before = drawn();
      ball.askOver(asker);
      if (before) draw(before);
    },
    close: () => {
      open = false;
      drawn();
      ball.clear(asker);
    },
  };
}

/** Whether the arrow is drawn towards the viewer or away. It is no answer. */
function halves(drawOn: (half: string) => void): HTMLElement {
  const element = make("div", { className: "choice choice-small halves", role: "group", ariaLabel: say("predict.half") });
  for (const value of ["near", "far"] as const) {
    const option = make("label", { className: "option" }, make("input", { type: "radio", name: "class-half", value }), make("span", {}, say(`predict.half.${value}`)));
    option.dataset["help"] = `predict-half.${value}`;
    element.append(option);
  }
  element.addEventListener("input", (event) => {
    event.stopPropagation();
    drawOn((event.target as HTMLInputElement).value);
  });
  return element;
}

function whichJoints(): Kind {
  const joints = [0, 1, 2, 3, 4, 5].map((joint) => choice("checkbox", String(joint), jointName(joint)));
  const none = choice("checkbox", "none", say("predict.joints.none"));
  const all = inputs([...joints, none]);
  const fields = make("fieldset", { className: "ask" }, make("legend", { className: "unseen" }, say("predict.joints.choose")), make("div", { className: "ask-ways" }, ...joints, none));
  // None goes with no other.
  fields.addEventListener("input", (event) => {
    const now = event.target as HTMLInputElement;
    if (now.checked) for (const input of all) if ((input.value === "none") !== (now.value === "none")) input.checked = false;
  });
  return {
    parts: [fields],
    answer: () => {
      const ticked = all.filter((input) => input.checked);
      if (ticked.length === 0) return null;
      return ticked[0]!.value === "none" ? { stays: true } : { joints: ticked.map((input) => Number(input.value)) };
    },
    show: (given) => {
      for (const input of all) input.checked = input.value === "none" ? given.stays : given.joints.includes(Number(input.value));
    },
  };
}

function options(texts: readonly string[], several: boolean, answer: (chosen: number[]) => Partial<ReplyRequest>, chosenOf: (given: GivenView) => number[]): Kind {
  const choices = texts.map((text, i) => choice(several ? "checkbox" : "radio", String(i), text));
  const all = inputs(choices);
  const fields = make("fieldset", { className: "ask" }, make("legend", { className: "unseen" }, say("class.options")), make("div", { className: "ask-options" }, ...choices));
  return {
    parts: several ? [fields, make("p", { className: "note" }, say("class.several"))] : [fields],
    answer: () => {
      const chosen = all.flatMap((input, i) => (input.checked ? [i] : []));
      return chosen.length === 0 ? null : answer(chosen);
    },
    show: (given) => all.forEach((input, i) => (input.checked = chosenOf(given).includes(i))),
  };
}

function aNumber(question: QuestionView): Kind {
  const input = make("input", { type: "text", inputMode: "decimal", size: 9, maxLength: 20, autocomplete: "off" });
  const label = make("label", { className: "ask-line" }, make("span", {}, say("class.number")), make("span", { className: "ask-number" }, input, ` ${question.unit === "inch" ? "in" : question.unit}`));
  const other = question.unit !== "°" && question.unit !== readingUnit();
  return {
    parts: other ? [label, make("p", { className: "note" }, say(question.unit === "mm" ? "class.number.inch" : "class.number.mm"))] : [label],
    answer: () => {
      const number = typed(input.value);
      return number === null ? null : { number };
    },
    show: (given) => (input.value = given.number === null ? "" : String(given.number)),
  };
}
