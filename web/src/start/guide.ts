import { byId, hide, within, write } from "../basics/dom";
import { embedded, recall, remember } from "../basics/remember";
import { say } from "../basics/say";
import { onPhone, phone } from "../shell/places";
import { benchIsOf } from "../class/seat";
import type { Direction, Frame, Request, StopMessage } from "../wire";
import { FirstSteps, type Task, tasks } from "./firststeps";

export interface GuideEvents {
  ask: (request: Request) => void;
  /** Plays lines of a jog file. */
  play: (lines: string) => void;
  /** Takes a jog in hand, so that the picture and the next step's sentence show what is asked for. */
  aim: (direction: Direction) => void;
  /** Draws the axes of these joints; none for an empty list. */
  showAxesOf: (joints: readonly number[]) => void;
  /** Comes near to the tip, and goes back to the view from before. */
  nearTip: (on: boolean) => void;
  clearTrail: () => void;
}

/** Where each thing is done: the frame, and the jog button if one is meant. */
const where: Record<Exclude<Task, "again">, { frame: Frame; axis: number; sign: number }> = {
  joint: { frame: "joint", axis: 0, sign: 1 },
  straight: { frame: "base", axis: 2, sign: -1 },
  refused: { frame: "base", axis: 1, sign: 1 },
  turn: { frame: "base", axis: 5, sign: 1 },
};

/** The joints whose axes lie in one line where the jog is refused. */
const inOneLine = [3, 5];

/** What the arm is asked to do for the learner, so that a thing can be done. */
const helps: Partial<Record<Task, "zero" | "bend">> = { refused: "zero", again: "bend" };

/**
 * The guided start: what this is, in one sentence, and five things to do with the arm, one at a time. Each ticks itself off
 * by what the bench says, each can be skipped. It opens by itself on the first visit only, and a button leads back to it.
 */
export class Guide {
  private readonly root = byId("guide");
  private readonly text = byId("guide-text");
  private readonly news = byId("guide-news");
  private readonly dots = [...byId("guide-dots").children] as HTMLElement[];
  private readonly help = byId<HTMLButtonElement>("guide-help");
  private readonly skip = byId<HTMLButtonElement>("guide-skip");
  private readonly ends = byId("guide-ends");
  private readonly opener = byId<HTMLButtonElement>("guide-open");
  private readonly steps = new FirstSteps();
  private frame: Frame = "joint";
  private readonly helped = new Set<Task>(); // what the arm was asked to do beforehand
  private near = false; // the picture shows the tip from near

  constructor(private readonly events: GuideEvents) {
    this.opener.addEventListener("click", () => this.open());
    byId("guide-close").addEventListener("click", () => this.close());
    for (const end of this.ends.querySelectorAll("button")) {
      end.addEventListener("click", () => {
        this.close();
        if (end.dataset["goes"]) location.hash = end.dataset["goes"];
      });
    }
    this.skip.addEventListener("click", () => {
      this.steps.skip();
      write(this.news, "");
      this.show();
    });
    this.help.addEventListener("click", () => this.helpOut());
    hide(this.root, true);
    phone().addEventListener("change", () => this.settleIn());
    window.addEventListener("resize", () => this.reserve());
    this.settleIn();
    this.show();
  }

  /** It takes the place of the next step's sentence, so that it covers nothing; on a phone it stands on the foot of the picture. */
  private settleIn(): void {
    byId(onPhone() ? "guide-place" : "next-line").prepend(this.root);
  }

  /** The first visit opens it. */
  welcome(): void {
    if (!embedded && !benchIsOf() && recall("guide") === null && location.hash === "") this.open();
  }

  /** In a class somebody else says what is next. What was not finished is found again. */
  putAway(): void {
    hide(this.root, true);
    this.show();
  }

  open(): void {
    if (!this.steps.next) {
      this.steps.restart();
      this.helped.clear();
    }
    write(this.news, say("guide.what"));
    hide(this.root, false);
    this.show();
    this.reserve();
  }

  close(): void {
    remember("guide", "seen");
    hide(this.root, true);
    this.show();
  }

  /** On a phone it is from the first as high as its longest words, so that the picture above it stays as it is. */
  private reserve(): void {
    this.root.style.minHeight = "";
    if (!onPhone() || this.root.hidden) return;
    const trial = this.root.cloneNode(true) as HTMLElement;
    trial.style.visibility = "hidden";
    this.root.after(trial);
    const [news, text, help, skip, ends] = ["news", "text", "help", "skip", "ends"].map((part) => within(trial, `#guide-${part}`)) as [HTMLElement, HTMLElement, HTMLElement, HTMLElement, HTMLElement];
    [skip.hidden, ends.hidden] = [false, true];
    const heights = tasks.map((task, i) => {
      news.textContent = i === 0 ? say("guide.what") : say(`guide.done.${tasks[i - 1]!}`, { joint: "J4", means: say("stop.singularity.in-line", { wrist: "0.0°" }) });
      text.textContent = toDo(task, say("log.again.way", { way: "Y +" }));
      help.hidden = !helps[task];
      if (helps[task]) help.textContent = say(`guide.${helps[task]}`);
      return trial.offsetHeight;
    });
    news.textContent = say("guide.done.turn");
    text.textContent = say("guide.end");
    help.hidden = skip.hidden = true;
    ends.hidden = false;
    heights.push(trial.offsetHeight);
    trial.remove();
    this.root.style.minHeight = `${Math.max(...heights)}px`;
  }

  setFrame(frame: Frame): void {
    this.frame = frame;
    this.show();
  }

  /** How a motion has ended, and which angles went past 180° in it; on a phone what else says that is not in sight. */
  setStop(stop: StopMessage, wraps: string): void {
    if (this.root.hidden) return;
    const task = this.steps.next;
    if (this.steps.stopped(stop) && task) write(this.news, `${say(`guide.done.${task}`, { joint: `J${stop.direction.axis + 1}`, means: stop.means })} ${onPhone() ? wraps : ""}`.trim());
    this.show();
  }

  private helpOut(): void {
    const task = this.steps.next;
    if (task) this.helped.add(task);
    write(this.news, ""); // it was true of the pose before
    this.show();
    if (task === "again") this.events.play("speed 60\njoint J5 +60");
    if (task !== "refused") return;
    this.events.clearTrail(); // of jogs that have nothing to do with that pose
    this.events.ask({ type: "restart", joints_deg: [0, 0, 0, 0, 0, 0] });
    this.events.ask({ type: "frame", frame: "base", task: "" });
  }

  private show(): void {
    const open = !this.root.hidden;
    const task = this.steps.next;
    hide(this.opener, open);
    this.root.dataset["task"] = task ?? "";
    this.dots.forEach((dot, i) => {
      const skipped = this.steps.skipped.has(tasks[i]!);
      const past = this.steps.past.has(tasks[i]!);
      dot.classList.toggle("past", past);
      dot.classList.toggle("skipped", skipped);
      write(within(dot, ".unseen"), skipped ? say("guide.dot.skipped") : past ? say("guide.dot.done") : "");
      if (tasks[i] === task) dot.setAttribute("aria-current", "step");
      else dot.removeAttribute("aria-current");
    });
    const help = task && helps[task];
    const then = (task === "refused" || task === "again") && this.helped.has(task);
    const again = byId("again").textContent ?? ""; // as the button is called then
    write(this.text, !task ? say("guide.end") : then ? say(`guide.then.${task}`, { again }) : toDo(task, again));
    hide(this.help, !help);
    if (help) write(this.help, say(`guide.${help}`));
    hide(this.skip, !task);
    hide(this.ends, task !== null);
    if (!task) remember("guide", "seen");
    this.point(open ? task : null);
    this.events.showAxesOf(open && task === "again" ? inOneLine : []);
    // That the tip stays in the last thing to do is seen from near, until the end is put away.
    const near = open && (task === "turn" || (this.near && !task));
    if (near !== this.near) this.events.nearTip(near);
    this.near = near;
  }

  /** Shows what is to be pressed: what prepares the arm first, then the frame, and then the button. */
  private point(task: Task | null): void {
    for (const marked of document.querySelectorAll(".wanted")) marked.classList.remove("wanted");
    if (!task) return;
    if (helps[task] && !this.helped.has(task)) {
      this.help.classList.add("wanted");
      return;
    }
    if (task === "again") {
      byId("again").classList.add("wanted");
      if (this.steps.toBeMadeAgain) this.events.aim(this.steps.toBeMadeAgain);
      return;
    }
    const at = where[task];
    const there = this.frame === at.frame;
    if (there && task !== "joint") this.events.aim({ ...at, task: "" } as Direction); // the first is found without
    const target = there
      ? document.querySelector(`.jog[data-axis="${at.axis}"][data-sign="${at.sign}"]`)
      : document.querySelector(`input[name="frame"][value="${at.frame}"]`)?.parentElement;
    target?.classList.add("wanted");
  }
}

/** What is to be done. Where a button has room for a bare number only, that is explained. */
const toDo = (task: Task, again: string): string => [say(`guide.do.${task}`, { again }), ...(task === "joint" && onPhone() ? [say("guide.room")] : [])].join(" ");
