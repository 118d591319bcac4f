import { sayAlso } from "../basics/say";
import type { Platform } from "./platform";

/** The learning platform around a page that is of one lesson, as in a package; null for any other, which does without the code and the texts of it. */
export async function platformAround(problem: (message: string) => void): Promise<Platform | null> {
  const lesson = document.documentElement.dataset["lesson"];
  if (!lesson) return null;
  const [{ Platform }] = await Promise.all([import("./platform"), sayAlso("platform")]);
  return new Platform(lesson, problem);
}
