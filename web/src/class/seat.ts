// The place in a class that this device and this tab come back to. "Not me" forgets it with all else that is kept.
import { recall, remember, tab } from "../basics/remember";

/** How a code is written: capitals without what parts them. It is forgiven how it is typed. */
export const tidy = (code: string): string => code.toUpperCase().replace(/[^A-Z0-9]/g, "").slice(0, 20);

/** How a code is shown: in two halves, which are easier to copy. */
export const halves = (code: string): string => (code.length === 6 ? `${code.slice(0, 3)} ${code.slice(3)}` : code);

export const seat = {
  /** The class that this device is in as a learner's; "" for none. */
  get code(): string {
    return recall("class") ?? "";
  },
  /** What the server knows the learner by, in that class. */
  token(code: string): string {
    return recall(`class-token-${code}`) ?? "";
  },
  /** The device is in that class from now on. */
  take(code: string, token: string): void {
    remember("class", code);
    remember(`class-token-${code}`, token);
  },
  /** It is in none any more; removed or left for good, it does not come back to it either. */
  leave(code: string, forGood: boolean): void {
    if (seat.code === code) remember("class", "");
    if (forGood) remember(`class-token-${code}`, "");
  },
};

/** What the page's bench hands in, so that the server knows whose it is: a learner's, or the instructor's that the class sees. */
export function benchIsOf(): { code: string; token: string } | null {
  if (document.documentElement.dataset["classOffered"] === undefined) return null;
  if (tab.inFront) return { code: tab.inFront, token: "" };
  const { code } = seat;
  const token = code && seat.token(code);
  return token ? { code, token } : null;
}
