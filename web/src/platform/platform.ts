// In a package for a learning platform the page tells the platform how the lesson stands, and gets back what it told before. The words are those of
// SCORM 1.2's run-time environment: an object API with eight functions, found in a window around this one.
import { progressKey, recall, remember, tab } from "../basics/remember";
import { say } from "../basics/say";
import type { LessonMessage, ProgressMessage } from "../wire";
import { type Report, reportOf, timespan } from "./report";

interface Api {
  LMSInitialize(none: ""): unknown;
  LMSFinish(none: ""): unknown;
  LMSGetValue(element: string): unknown;
  LMSSetValue(element: string, value: string): unknown;
  LMSCommit(none: ""): unknown;
}

/** As many windows around each other as are looked through. */
const MOST_WINDOWS = 50;
/** What suspend_data holds. */
const MOST_CHARACTERS = 4096;
const COMMIT_AFTER_MS = 1000;
/** Whose what was done is while no platform says who is there. */
const SOMEBODY = "somebody";

/** The platform's object, in the windows around this one or around the one that opened it; null for none. */
function find(): Api | null {
  for (const from of [window.parent, window.opener as Window | null]) {
    let at = from;
    for (let i = 0; at && i < MOST_WINDOWS; i++) {
      try {
        const { API } = at as unknown as { API?: Api };
        if (API && typeof API.LMSInitialize === "function") return API;
      } catch {
        return null; // a window of another site
      }
      if (at === at.parent) break;
      at = at.parent;
    }
  }
  return null;
}

/**
 * The learning platform around a lesson's page. What was done lies in this browser too: a platform that is not there, refuses or is full loses
 * nothing that another visit from here could not take up.
 */
export class Platform {
  private readonly api: Api | null;
  private since = performance.now();
  private readonly waits = new Map<string, string>(); // elements that are to be told
  private readonly told = new Map<string, string>();
  private timer = 0;
  private shown = false; // the lesson is there: what goes wrong can be read
  private ended = false;
  private whose = SOMEBODY; // whose visit it is
  private refused = false; // what it was told last
  private fits = true; // what was done, into suspend_data
  private best: Report = { status: "incomplete", score: 0 };

  constructor(
    private readonly lesson: string,
    private readonly problem: (message: string) => void,
  ) {
    const api = find();
    this.api = api && this.does(() => api.LMSInitialize("")) ? api : null;
    if (location.hash === "") history.replaceState(history.state, "", `#/lessons/${encodeURIComponent(this.lesson)}`);
    if (!this.api) return; // It is said when the lesson is there.
    this.resume();
    window.addEventListener("pagehide", () => this.end());
    window.addEventListener("beforeunload", () => this.end());
  }

  /** What the platform kept is where the lesson goes on, unless this browser has more that the platform did not take. */
  private resume(): void {
    const key = progressKey(this.lesson);
    const kept = this.value("cmi.suspend_data");
    const here = recall(key) ?? "";
    const whose = recall(this.missed);
    this.whose = `learner ${this.value("cmi.core.student_id")}`;
    const mine = here !== "" && (whose === this.whose || (whose === SOMEBODY && window.confirm(say("platform.yours"))));
    if (!mine && here !== kept) tab.kept = ""; // nor with where the arm stood
    if (!mine) remember(key, kept); // another learner's, where several share this machine, is not gone on with
    else this.keep({ lesson: this.lesson, token: here });
    const name = this.value("cmi.core.student_name");
    const [family, given] = name.split(",").map((part) => part.trim());
    if (name !== "" && recall("learner") === null) remember("learner", given ? `${given} ${family}` : name);
    const status = this.value("cmi.core.lesson_status");
    if (status === "passed" || status === "completed") this.best = { status, score: Number(this.value("cmi.core.score.raw")) || 0 };
    else this.tell("cmi.core.lesson_status", "incomplete");
    this.tell("cmi.core.score.min", "0");
    this.tell("cmi.core.score.max", "100");
  }

  /** The lesson has got so far. */
  setLesson(lesson: LessonMessage): void {
    if (lesson.id !== this.lesson) return;
    if (!this.api) {
      if (!this.refused) this.problem(say("platform.none"));
      this.refused = true;
      return;
    }
    if (!this.shown) this.commitSoon();
    this.shown = true;
    const now = reportOf(lesson);
    if (now.score < this.best.score || (now.status === "incomplete" && this.best.status !== "incomplete")) return; // Who practises again loses nothing.
    this.best = now;
    this.tell("cmi.core.score.raw", String(now.score));
    this.tell("cmi.core.lesson_status", now.status);
  }

  keep({ lesson, token }: Pick<ProgressMessage, "lesson" | "token">): void {
    if (lesson !== this.lesson) return;
    if (!this.api) {
      remember(this.missed, SOMEBODY);
      return;
    }
    this.fits = token.length <= MOST_CHARACTERS;
    if (this.fits) this.tell("cmi.suspend_data", token);
    else if (this.shown) this.commitSoon();
  }

  private tell(element: string, value: string): void {
    if (this.told.get(element) === value || (this.ended && !this.goOn())) return;
    this.told.set(element, value);
    this.waits.set(element, value);
    if (this.shown) this.commitSoon();
  }

  private commitSoon(): void {
    if (this.timer === 0) this.timer = window.setTimeout(() => this.commit(), COMMIT_AFTER_MS);
  }

  private commit(): void {
    window.clearTimeout(this.timer);
    this.timer = 0;
    let taken = this.does(() => this.api!.LMSSetValue("cmi.core.session_time", timespan((performance.now() - this.since) / 1000)));
    for (const [element, value] of this.waits) {
      if (this.does(() => this.api!.LMSSetValue(element, value))) this.waits.delete(element);
      else taken = false;
    }
    taken = this.does(() => this.api!.LMSCommit("")) && taken && this.fits;
    this.note(taken);
    if (!taken && !this.ended) this.timer = window.setTimeout(() => this.commit(), 20 * COMMIT_AFTER_MS);
  }

  /** The page is left: what waits is told now, and the platform is left in order. */
  private end(): void {
    if (this.ended) return;
    this.does(() => this.api!.LMSSetValue("cmi.core.exit", this.told.get("cmi.core.lesson_status") === "incomplete" ? "suspend" : ""));
    this.ended = true;
    this.commit();
    this.does(() => this.api!.LMSFinish(""));
  }

  /** What is done after the page was left, as where somebody thinks again or comes back to it, the platform is asked to take as another visit. */
  private goOn(): boolean {
    this.ended = !this.does(() => this.api!.LMSInitialize(""));
    if (this.ended) this.note(false);
    else this.since = performance.now();
    return !this.ended;
  }

  /** Notes whether the platform has taken all, and says where it has not. */
  private note(taken: boolean): void {
    remember(this.missed, taken ? "" : this.whose);
    if (!taken && !this.refused) this.problem(say("platform.refuses"));
    this.refused = !taken;
  }

  /** Where it is noted whose what was done is that the platform does not have. */
  private get missed(): string {
    return `missed-${this.lesson}`;
  }

  private value(element: string): string {
    try {
      return String(this.api?.LMSGetValue(element) ?? "");
    } catch {
      return "";
    }
  }

  /** Whether the platform did what it was asked for. */
  private does(act: () => unknown): boolean {
    try {
      return String(act()) === "true";
    } catch {
      return false;
    }
  }
}
