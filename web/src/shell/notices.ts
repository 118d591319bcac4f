import { byId, write } from "../basics/dom";
import { benchLost, connecting, linkLost } from "../basics/words";
import type { Whom } from "../link/link";

const PROBLEM_MS = 8000;

/** What must be said at once, near the top of the view: a lost link, a request that could not be done. */
export class Notices {
  private readonly link = byId("link");
  private readonly again = byId<HTMLButtonElement>("link-again");
  private readonly come = byId<HTMLProgressElement>("link-come");
  private readonly problem = byId("problem");
  private readonly view = byId("unavailable");
  private timer = 0;
  private countdown = 0;

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
    this.come.hidden = true;
    this.say(this.link, "");
    this.again.hidden = true;
    document.body.classList.remove("link-down");
  }

  linkDown(seconds: number): void {
    document.body.classList.add("link-down");
    window.clearInterval(this.countdown);
    let left = seconds;
    this.say(this.link, linkLost(left));
    this.countdown = window.setInterval(() => {
      left -= 1;
      this.say(this.link, linkLost(Math.max(0, left)));
    }, 1000);
  }

  /** The bench is another's, until somebody wants it here. */
  linkLost(to: Whom, comeBack: () => void): void {
    document.body.classList.add("link-down");
    window.clearInterval(this.countdown);
    this.say(this.link, benchLost(to));
    this.again.hidden = false;
    this.again.onclick = () => {
      this.again.hidden = true;
      this.say(this.link, connecting());
      comeBack();
    };
  }

  showProblem(message: string): void {
    this.say(this.problem, message);
    window.clearTimeout(this.timer);
    this.timer = window.setTimeout(() => this.say(this.problem, ""), PROBLEM_MS);
  }

  /** The view cannot draw; this stays. */
  showUnavailable(message: string): void {
    this.say(this.view, message);
  }

  private say(element: HTMLElement, text: string): void {
    write(element, text);
    element.hidden = text === "";
  }
}
