import { byId, hide, write } from "../basics/dom";
import { say } from "../basics/say";
import { benchLost, connecting, foundAtRest, linkLost } from "../basics/words";
import type { Whom } from "../link/link";

const PROBLEM_MS = 8000;

/** What must be said at once, near the top of the view: a lost link, a request that could not be done. */
export class Notices {
  private readonly link = byId("link");
  private readonly again = byId<HTMLButtonElement>("link-again");
  private readonly come = byId<HTMLProgressElement>("link-come");
  private readonly preparing = byId("preparing");
  private readonly problem = byId("problem");
  private readonly view = byId("unavailable");
  private timer = 0;
  private stays = false;
  private countdown = 0;
  private passing = 0; // a word on the link that goes by itself

  constructor() {
    this.say(this.link, connecting());
  }

  /** The bench itself is on its way to this page. */
  loading(part: number): void {
    this.come.hidden = part >= 1;
    this.come.value = part;
  }

  linkUp(): void {
    window.clearInterval(this.countdown);
    hide(this.come, true);
    this.say(this.link, "");
    hide(this.again, true);
    document.body.classList.remove("link-down");
  }

  /** The bench stands as it stood last, before its server ended or the page came to another. */
  found(): void {
    window.clearTimeout(this.passing);
    this.say(this.link, foundAtRest());
    this.passing = window.setTimeout(() => this.say(this.link, ""), PROBLEM_MS);
  }

  linkDown(seconds: number, why: string): void {
    window.clearTimeout(this.passing);
    document.body.classList.add("link-down");
    window.clearInterval(this.countdown);
    let left = seconds;
    this.say(this.link, linkLost(left, why));
    this.countdown = window.setInterval(() => {
      left -= 1;
      this.say(this.link, linkLost(Math.max(0, left), why));
    }, 1000);
  }

  /** The bench is another's, until somebody wants it here. */
  linkLost(to: Whom, comeBack: () => void): void {
    document.body.classList.add("link-down");
    window.clearInterval(this.countdown);
    window.clearTimeout(this.passing);
    this.say(this.link, benchLost(to));
    hide(this.again, false);
    this.again.onclick = () => {
      hide(this.again, true);
      this.say(this.link, connecting());
      comeBack();
    };
  }

  /** The arm moves: what could not be done is past, but not a word that stays. */
  moves(): void {
    if (!this.stays) this.showProblem("");
  }

  /** What could not be done; "" when that is past. A word on how to jog stays while the arm moves. */
  showProblem(message: string, stays = false): void {
    this.stays = stays;
    this.say(this.problem, message);
    window.clearTimeout(this.timer);
    this.timer = window.setTimeout(() => this.say(this.problem, ""), PROBLEM_MS);
  }

  /** A lesson is about to be opened; "" for none. */
  showPreparing(lesson: string): void {
    this.say(this.preparing, lesson && say("lesson.preparing", { lesson }));
  }

  /** The view cannot draw; this stays. */
  showUnavailable(message: string): void {
    this.say(this.view, message);
  }

  private say(element: HTMLElement, text: string): void {
    write(element, text);
    hide(element, text === "");
  }
}
