import { byId } from "../basics/dom";

/** Where what is next is looked for, the most pressing first: the next lesson in the page of lessons, a class's question, a prediction, the way on in a lesson, its question, the first steps and where they end, the jog buttons. */
const PLACES = ["dialog[open] .comes-next .lessons-go", "#class-answer", "#predict-question", ".onward", "#task-question", ".wanted", "#guide-ends", ".jog.aimed", ".jog"];
const CONTROLS = "input:checked, input, select, button, a";

/** The control that a learner needs next, of those in sight that can be used; after a question's own its answer. */
function whatIsNext(): HTMLElement | undefined {
  const now = document.activeElement;
  for (const place of PLACES) {
    for (const found of document.querySelectorAll<HTMLElement>(place)) {
      const controls = found.matches(CONTROLS) ? [found] : [...found.querySelectorAll<HTMLElement>(CONTROLS)];
      const usable = controls.filter((c) => c.checkVisibility({ visibilityProperty: true }) && !c.matches(":disabled"));
      // The frame that is wanted stands in a label, which has no focus of its own.
      const first = usable.find((c) => c.matches("[type=radio]:checked")) ?? usable[0]; // of boxes to tick the first, whichever are
      if (first) return place === "#task-question" && found.contains(now) ? byId("task-answer") : first;
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
  next?.scrollIntoView({ block: "nearest" });
}

export function watchAhead(): void {
  byId("ahead").addEventListener("click", goAhead);
}
