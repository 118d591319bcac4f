import { same } from "../input/aim";
import { byId, fill, hide, tell, within, write } from "../basics/dom";
import { unbroken } from "../basics/format";
import { MM_PER_INCH, readingUnit } from "../basics/units";
import { isPast } from "./refusal";
import { say } from "../basics/say";
import { aimAtSomething, crashCount, distanceText, frameName, gapText, mayAgain, motionUnderWay, moving, nearness, type Next, nextHeld, nextStep, noStopYet, roomText, stillToDo, stopped, toJoint, unevenness } from "../basics/words";
import type { Nearness, State } from "../link/state";
import type { ClearanceView, Direction, Ghost, Request, RoomMessage, Setup, StopMessage } from "../wire";

/** A condition number from which the bar is full. */
const FULL_CONDITION = 1e4;

export interface StopEvents {
  ask: (request: Request) => void;
  /** Whether a jog lasts as long as it is held. */
  holding: () => boolean;
  /** The advice is taken: to the buttons of this joint. */
  toJoint: (joint: number) => void;
}

/** Why the last motion ended, told over a corner of the picture; what the next step would do; and how near a singularity is. */
export class StopPanel {
  private readonly card = byId("stops");
  private readonly last = byId("last-stop");
  private readonly headline = within(this.last, ".stop-headline");
  private readonly numbers = within(this.last, ".stop-numbers");
  private readonly advice = within(this.last, ".stop-advice");
  private readonly advised = byId<HTMLButtonElement>("advised");
  private readonly next = byId("next");
  private readonly why = byId<HTMLButtonElement>("why");
  private readonly nearText = byId("nearness-text");
  private readonly uneven = byId("nearness-uneven");
  private readonly nearBar = byId("nearness");
  private readonly nearFill = within(this.nearBar, "span");
  private readonly gap = byId("gap-text");
  private readonly crashes = byId("crashes");
  private readonly setDistance = byId<HTMLSelectElement>("set-distance");
  private room: RoomMessage | null = null;
  private ghost: Ghost | null = null;
  private setup: Setup | null = null;
  private state: State | null = null;
  private hidden: string[] = [];
  private waits = "";
  private stopped: StopMessage | null = null; // what stopped the last motion, until another direction is in hand
  private refused: StopMessage | null = null; // at a singularity, until that way can be gone
  private ended: StopMessage | null = null; // what is told of the last motion, until the next one
  private joint = 0; // which the advice names

  constructor(private readonly events: StopEvents) {
    this.setDistance.addEventListener("change", () => events.ask({ type: "set-distance", mm: Number(this.setDistance.value) }));
    this.advised.addEventListener("click", () => {
      this.card.classList.remove("asked"); // on a phone it lies over those buttons
      events.toJoint(this.joint);
    });
    this.why.addEventListener("click", () => {
      this.card.classList.remove("put-away");
      this.card.classList.toggle("asked");
    });
    byId("stops-close").addEventListener("click", () => this.close());
    // Laid over the buttons it goes with the next touch beside it.
    document.addEventListener("pointerdown", ({ target }) => {
      if (!this.card.contains(target as Node) && !this.why.contains(target as Node)) this.card.classList.remove("asked");
    }, { capture: true });
    this.clear();
  }

  private close(): void {
    const had = this.card.contains(document.activeElement);
    this.card.classList.remove("asked");
    this.card.classList.add("put-away");
    if (had) byId("strip").querySelector<HTMLElement>(".jog.aimed")?.focus({ preventScroll: true }); // and not nowhere
  }

  /** Puts away the card that tells why the arm was stopped; false where none is seen, or it stays, as on a projector. */
  putAway(): boolean {
    if (!this.last.classList.contains("trouble") || !this.card.checkVisibility()) return false;
    this.close();
    return !this.card.checkVisibility();
  }

  /** Nothing has happened on this arm yet. */
  clear(): void {
    this.outdate();
    this.refused = this.ended = null;
    this.show(noStopYet(), false);
    this.sayNext();
  }

  /** What stopped the arm, or is still to be done for what was refused, as far as it is told. */
  private get trouble(): StopMessage | null {
    return this.ended?.trouble ? this.ended : this.refused;
  }

  /** Steps or holding was chosen: what stopped the arm is past. */
  setManner(): void {
    if (this.trouble) this.clear();
    else this.sayNext();
  }

  setStop(stop: StopMessage): void {
    if (stop.reason === "singularity") this.refused = stop;
    else if (this.refused && same(stop.direction, this.refused.direction)) this.refused = null;
    this.ended = stop;
    this.tell(stop);
    this.stopped = stop.trouble ? stop : null;
    this.sayNext();
  }

  /** How the last motion ended, and what is still to be done for the way that was refused: nothing more once the arm is away from there. */
  private tell(stop: StopMessage): void {
    const { refused } = this;
    if (!refused || stop.trouble) this.show(stop, stop.trouble);
    else if (this.state?.singularity.near) this.show({ ...stop, advice: stillToDo(refused), advised: refused.advised }, false);
    else this.show({ ...stop, advice: mayAgain(refused), advised: null }, false);
  }

  /** What stopped the arm is the news no more. */
  private outdate(): void {
    this.stopped = null;
  }

  setState(state: State): void {
    // The last stop stands until the arm moves again.
    if (state.moving && !this.state?.moving) {
      this.outdate();
      this.ended = null;
      this.show(motionUnderWay(), false);
    }
    const { near } = this.state?.singularity ?? state.singularity;
    this.state = state;
    if (this.ended && this.refused && near !== state.singularity.near) this.tell(this.ended);
    this.setNearness(state.singularity);
    this.setGap(state.clearance, state.crashes);
    this.sayNext();
  }

  setGhost(ghost: Ghost): void {
    this.ghost = ghost;
    if (this.stopped && ghost.direction && !same(ghost.direction, this.stopped.direction)) this.outdate();
    this.sayNext();
  }

  /** The room to move, of which the next step's sentence tells that of the direction in hand. */
  setRoom(room: RoomMessage): void {
    this.room = room;
    this.sayNext();
  }

  /** What the lesson does not show, whether the arm waits for something, and whether joints may be jogged. */
  setAllow(hidden: string[], waits: string, joints: boolean): void {
    this.advised.disabled = !joints;
    this.hidden = hidden;
    this.waits = waits;
    this.sayNext();
  }

  setSetup(setup: Setup): void {
    const before = this.setup;
    this.setup = setup;
    const trouble = this.trouble;
    if (before && trouble && isPast(trouble, before, setup)) this.clear();
    this.offerDistances(setup.set_distance_mm);
    this.sayNext();
  }

  /** Offers distances that are round in the reading unit, and the one that is chosen. */
  private offerDistances(chosen: number): void {
    const round = readingUnit() === "inch" ? [0.1, 0.2, 0.5, 0.8].map((inches) => inches * MM_PER_INCH) : [2, 5, 10, 20];
    const offered = chosen === 0 || round.includes(chosen) ? round : [...round, chosen].sort((a, b) => a - b);
    fill(this.setDistance, [0, ...offered].map((mm) => ({ value: String(mm), text: distanceText(mm) })));
    this.setDistance.value = String(chosen);
  }

  private show(stop: Pick<StopMessage, "headline" | "numbers" | "advice" | "advised">, trouble: boolean): void {
    this.last.classList.toggle("trouble", trouble);
    // That nothing has happened, or is happening, is seen without words.
    this.card.classList.toggle("quiet", !trouble && stop.numbers === "");
    this.card.classList.remove("put-away");
    const before = this.last.textContent;
    write(this.headline, trouble || stop.numbers === "" ? stop.headline : `${stop.headline}:`); // "Moved: J5, +5°."
    write(this.numbers, unbroken(stop.numbers));
    write(this.advice, unbroken(stop.advice));
    if (this.last.textContent !== before) this.card.classList.remove("asked"); // What is told once more stays open.
    hide(this.advised, stop.advised === null);
    if (stop.advised === null) return;
    this.joint = stop.advised;
    write(this.advised, toJoint(stop.advised));
  }

  private setNearness(s: Nearness): void {
    const part = Math.min(1, Math.log(Math.max(1, s.condition)) / Math.log(FULL_CONDITION));
    this.nearFill.style.width = `${part * 100}%`;
    this.nearBar.classList.toggle("near", s.near);
    tell(this.nearBar, "aria-valuenow", String(Math.round(part * 100)));
    tell(this.nearBar, "aria-valuetext", `${nearness(s)}. ${unevenness(s)}`);
    write(this.nearText, nearness(s));
    write(this.uneven, unevenness(s));
  }

  private setGap(gap: ClearanceView | null, crashes: number): void {
    write(this.gap, gapText(gap));
    this.gap.classList.toggle("trouble", !!gap?.contact);
    hide(this.crashes, crashes === 0);
    if (crashes > 0) write(this.crashes, crashCount(crashes));
  }

  private roomOf(d: Direction): string {
    const text = this.room && !this.hidden.includes("room") && roomText(d, this.room);
    return text ? ` ${text.long}` : "";
  }

  /** Says anew what comes next. */
  sayNext(): void {
    const { text, stop } = this.sentence();
    this.next.classList.toggle("trouble", stop !== "");
    hide(this.why, this.stopped === null);
    write(this.next, unbroken(`${text} ${stop}`.trim()));
  }

  private sentence(): Next {
    const motion = this.state?.moving;
    if (motion) return { text: moving(motion), stop: "" };
    if (this.stopped) return stopped(this.stopped);
    const direction = this.hidden.includes("ghost") ? null : this.ghost?.direction;
    if (!direction || !this.ghost) return { text: this.waits || aimAtSomething(this.events.holding()) + this.taskFrame() + this.readElsewhere(this.setup), stop: "" };
    const next = this.events.holding() ? nextHeld(direction, this.ghost) : nextStep(direction, this.ghost, this.setup?.increment ?? { mm: 0, deg: 0 });
    return next.stop ? next : { text: next.text + this.roomOf(direction) + this.readElsewhere(direction), stop: "" };
  }

  /** Of which thing the task frame is, and why its buttons have no words beside them. */
  private taskFrame(): string {
    const { setup } = this;
    return setup?.frame === "task" && !document.documentElement.classList.contains("projected") ? ` ${say("next.task-frame", { frame: frameName(setup) })}` : "";
  }

  /** The numbers over the picture are of another frame than that of a straight jog or a turn. A projector's type leaves no room to say so. */
  private readElsewhere(d: Pick<Direction, "frame" | "task"> | null): string {
    const { read_in: read } = this.setup ?? {};
    if (!d || !read || d.frame === "joint" || (d.frame === read.frame && (d.task ?? "") === (read.task ?? "")) || document.documentElement.classList.contains("projected")) return "";
    return ` ${say("next.read-in", { frame: frameName(read) })}`;
  }
}
