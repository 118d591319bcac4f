// What a learning platform is told of a lesson.
import type { LessonMessage } from "../wire";

/** What the platform is told of a lesson. */
export interface Report {
  status: "incomplete" | "completed" | "passed";
  score: number; // tasks done, of 100
}

export function reportOf({ stages, over }: Pick<LessonMessage, "stages" | "over">): Report {
  const tasks = stages.filter((s) => s.task);
  const done = tasks.filter((s) => s.done).length;
  const score = tasks.length === 0 ? 0 : Math.round((100 * done) / tasks.length);
  return { status: !over ? "incomplete" : done === tasks.length ? "passed" : "completed", score };
}

/** A time span as SCORM 1.2 writes it: HHHH:MM:SS.SS. */
export function timespan(seconds: number): string {
  const two = (n: number): string => String(Math.floor(n)).padStart(2, "0");
  const hundredths = Math.floor((seconds % 1) * 100);
  return `${String(Math.floor(seconds / 3600)).padStart(4, "0")}:${two((seconds / 60) % 60)}:${two(seconds % 60)}.${two(hundredths)}`;
}
