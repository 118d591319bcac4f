// Most visits read no rules of an assessment: they come, with their texts, when one waits to be begun.
import { list, short } from "../basics/format";
import { type Key, say } from "../basics/say";
import type { AssessmentView, StageView } from "../wire";

/** How an assessment counts, in sentences, as they are read before one begins. */
export function rules(a: AssessmentView, stages: StageView[]): string[] {
  const tasks = stages.filter((s) => s.task !== "");
  const all = [say("assessment.points", { points: short(a.points), tasks: tasks.length })];
  const first = tasks[0];
  const alike = tasks.every((s) => s.tries_may === 0 || (s.tries_may === first?.tries_may && s.late * first.points === first.late * s.points));
  if (first && alike && first.tries_may > 0) {
    all.push(say("assessment.tries", { tries: first.tries_may }));
    if (first.tries_may > 1) all.push(say("assessment.late", { part: `${short((100 * first.late) / first.points)} %` }));
  } else all.push(say("assessment.tries.differ"));
  if (a.minutes_allowed > 0) all.push(say("assessment.minutes", { minutes: a.minutes_allowed + a.extra_minutes }));
  if (a.extra_minutes > 0) all.push(say("assessment.extra", { minutes: a.extra_minutes }));
  if (a.drawn_order) all.push(say("assessment.drawn"));
  all.push(say("assessment.motion"), say("assessment.any-time"), say("assessment.begun"));
  all.push(say("assessment.ask-for", { fields: list(a.ask_for.map((field) => say(`assessment.field.${field}` as Key))) }));
  return all;
}
