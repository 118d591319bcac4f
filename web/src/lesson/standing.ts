// How far one is with each lesson, as this browser remembers it. It is for the list only: what counts is sealed.
import { recall, remember } from "../basics/remember";
import type { LessonMessage } from "../wire";

export interface Standing {
  done: number;
  givenUp: number;
  tasks: number;
}

const key = (lesson: string): string => `standing-${lesson}`;

/** How a lesson stands. */
export function standingOf({ stages }: Pick<LessonMessage, "stages">): Standing {
  const tasks = stages.filter((s) => s.task !== "");
  return { done: tasks.filter((s) => s.done).length, givenUp: tasks.filter((s) => s.given_up && !s.done).length, tasks: tasks.length };
}

export function keepStanding(lesson: LessonMessage): void {
  const { done, givenUp } = standingOf(lesson);
  remember(key(lesson.id), `${done} ${givenUp}`);
}

/** How far one is with a lesson of so many tasks; null where it was never opened here. */
export function keptStanding(lesson: string, tasks: number): Standing | null {
  const kept = /^(\d+) (\d+)$/.exec(recall(key(lesson)) ?? "");
  return kept ? { done: Math.min(Number(kept[1]), tasks), givenUp: Math.min(Number(kept[2]), tasks), tasks } : null;
}

/** Whether nothing of a lesson is left to be done. */
export const isOver = (s: Standing | null): boolean => s !== null && s.done + s.givenUp >= s.tasks;

/** Whether all of a lesson's tasks are done, and none was given up. */
export const isDone = (s: Standing | null): boolean => s !== null && s.tasks > 0 && s.done >= s.tasks;

/** The lesson that is next: the first after the given one that is not over, or else the first of all that is not; null where all are. */
export function nextLesson<T extends { id: string; tasks: number }>(lessons: T[], after: string, standing: (l: T) => Standing | null): T | null {
  const open = (l: T): boolean => l.id !== after && l.tasks > 0 && !isOver(standing(l));
  const at = lessons.findIndex((l) => l.id === after);
  return lessons.slice(at + 1).find(open) ?? lessons.find(open) ?? null;
}
