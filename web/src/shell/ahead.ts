import { byId } from "../basics/dom";

/** Where what is next is looked for, the most pressing first: the next lesson in the page of lessons, a class's question, a prediction, the way on in a lesson, its question, the first steps and where they end, what helps where the arm was stopped, the jog buttons. */
const PLACES = ["dialog[open] .comes-next .lessons-go", "#class-answer", "#predict-question", ".onward", "#task-question", ".wanted", "#guide-ends", "#stops .trouble > #advised", ".jog.aimed", ".jog"];
const CONTROLS = "input:checked, input, select, button, a";
/** What takes a question's answer: it is next once there is one that was not judged yet. */
const ANSWERS: Record<string, string> = { "#class-answer": ".class-answer-foot > button", "#predict-question": "#predict-answer", "#task-question": "#task-answer.ready" };
/** A number is written there. */
const NUMBER = "input[inputmode=decimal]";

const usable = (control: HTMLElement): boolean => control.checkVisibility({ visibilityProperty: true }) && !control.matches(":disabled");

/** The control that a learner needs next, of those in sight that can be used: of a question what is still missing, then what takes the answer. */
function whatIsNext(): HTMLElement | undefined {
  for (const place of PLACES) {
    for (const found of document.querySelectorAll<HTMLElement>(place)) {
      const controls = found.matches(CONTROLS) ? [found] : [...found.querySelectorAll<HTMLElement>(CONTROLS)];
      const all = controls.filter(usable);
      // The frame that is wanted stands in a label, which has no focus of its own.
      const first = all.find((c) => c.matches("[type=radio]:checked")) ?? all[0]; // of boxes to tick the first, whichever are
      if (!first) continue;
      const takes = document.querySelector<HTMLElement>(ANSWERS[place] ?? "#none");
      const more = first.matches("[type=checkbox]") && !found.contains(document.activeElement); // of several things some may be missing yet
      return takes && usable(takes) && !more ? takes : first;
    }
  }
  return undefined;
}

let led = 0; // how often it was used

/** Leads to what is next, by a key, and by a button before all others that is seen while it has the focus. */
export function goAhead(): void {
  document.documentElement.dataset["led"] = String(++led);
  const next = whatIsNext();
  next?.focus();
  if (next?.matches(NUMBER)) (next as HTMLInputElement).select(); // as the Tab key does: one that was judged is written over
  next?.scrollIntoView({ block: "nearest" });
  mark();
}

/** Leads what is typed beside the field for a number, in the same lesson or question, into the field; false where none is open there. */
export function toNumber(): boolean {
  const field = document.activeElement?.closest("#lesson, #class-question")?.querySelector<HTMLInputElement>(NUMBER);
  if (!field || !usable(field)) return false;
  field.select(); // as the Tab key does
  return true;
}

/** Where the key is told: at the button that it leads to, or at the question whose control it leads to, unless one is there; jog buttons have keys of their own. */
function tellsKey(): Element | null {
  const next = whatIsNext();
  const question = next?.closest(".ask");
  if (question) return next === document.activeElement ? null : question.querySelector("legend, .ask-line > span");
  return next?.matches("a, button:not(.jog), .jog.wanted") ? next : null;
}

let marked: Element | null = null;

function mark(): void {
  const at = "keys" in document.documentElement.dataset ? tellsKey() : null;
  if (at === marked) return;
  marked?.classList.remove("leads");
  at?.classList.add("leads");
  marked = at;
}

export function watchAhead(): void {
  byId("ahead").addEventListener("click", goAhead);
  let scheduled = 0;
  const soon = (): void => {
    scheduled ||= requestAnimationFrame(() => {
      scheduled = 0;
      mark();
    });
  };
  for (const event of ["focusin", "focusout", "input", "keydown"]) document.addEventListener(event, soon, { capture: true });
  new MutationObserver(soon).observe(document.body, { subtree: true, childList: true, attributeFilter: ["hidden", "disabled", "class", "open"] });
}
