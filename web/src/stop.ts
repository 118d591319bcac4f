import { byId, within, write } from "./dom";
import { onPhone, reveal } from "./places";
import { aimAtSomething, crashCount, gapText, motionUnderWay, moving, nearness, nextStep, noStopYet, roomText, unevenness } from "./words";
import type { ClearanceView, Direction, Ghost, IncrementRequest, Request, RoomMessage, Setup, SingularityView, State, StopMessage } from "./wire";

/** A condition number from which the bar is full. */
const FULL_CONDITION = 1e4;

/** Why the last motion ended, what the next step would do, and how near a singularity is. */
export class StopPanel {
  private readonly last = byId("last-stop");
  private readonly headline = within(this.last, ".stop-headline");
  private readonly numbers = within(this.last, ".stop-numbers");
  private readonly advice = within(this.last, ".stop-advice");
  private readonly next = byId("next");
  private readonly nearText = byId("nearness-text");
  private readonly uneven = byId("nearness-uneven");
  private readonly nearBar = byId("nearness");
  private readonly nearFill = within(this.nearBar, "span");
  private readonly gap = byId("gap-text");
  private readonly crashes = byId("crashes");
  private readonly guard = byId<HTMLSelectElement>("guard");
  private room: RoomMessage | null = null;
  private ghost: Ghost | null = null;
  private increment: IncrementRequest = { mm: 0, deg: 0 };
  private state: State | null = null;
  private hidden: string[] = [];
  private waits = "";

  constructor(ask: (request: Request) => void) {
    this.guard.addEventListener("change", () => ask({ type: "guard", mm: Number(this.guard.value) }));
    this.clear();
  }

  /** Nothing has happened on this arm yet. */
  clear(): void {
    this.show(noStopYet(), false);
  }

  setStop(stop: StopMessage): void {
    this.show(stop, stop.trouble);
    // On a low screen the panel's reason and advice may lie below the edge. On a phone the buttons stay under the finger.
    if (stop.trouble && !onPhone()) reveal(this.last);
  }

  setState(state: State): void {
    // The last stop stands until the arm moves again.
    if (state.moving && !this.state?.moving) this.show(motionUnderWay(), false);
    this.state = state;
    this.setNearness(state.singularity);
    this.setGap(state.clearance, state.crashes);
    this.sayNext();
  }

  setGhost(ghost: Ghost): void {
    this.ghost = ghost;
    this.sayNext();
  }

  /** The room to move, of which the next step's sentence tells that of the direction in hand. */
  setRoom(room: RoomMessage): void {
    this.room = room;
    this.sayNext();
  }

  /** What the lesson does not show, and whether the arm waits for something. */
  setAllow(hidden: string[], waits: string): void {
    this.hidden = hidden;
    this.waits = waits;
    this.sayNext();
  }

  setSetup(setup: Setup): void {
    this.increment = setup.increment;
    this.guard.value = String(setup.guard_mm);
    this.sayNext();
  }

  private show(stop: Pick<StopMessage, "headline" | "numbers" | "advice">, trouble: boolean): void {
    this.last.classList.toggle("trouble", trouble);
    write(this.headline, stop.headline);
    write(this.numbers, stop.numbers);
    write(this.advice, stop.advice);
  }

  private setNearness(s: SingularityView): void {
    const part = Math.min(1, Math.log(Math.max(1, s.condition)) / Math.log(FULL_CONDITION));
    this.nearFill.style.width = `${part * 100}%`;
    this.nearBar.classList.toggle("near", s.near);
    this.nearBar.setAttribute("aria-valuenow", String(Math.round(part * 100)));
    this.nearBar.setAttribute("aria-valuetext", `${nearness(s)}. ${unevenness(s)}`);
    write(this.nearText, nearness(s));
    write(this.uneven, unevenness(s));
  }

  private setGap(gap: ClearanceView | null, crashes: number): void {
    write(this.gap, gapText(gap));
    this.gap.classList.toggle("trouble", !!gap?.contact);
    this.crashes.hidden = crashes === 0;
    write(this.crashes, crashCount(crashes));
  }

  private roomOf(d: Direction): string {
    const text = this.room && !this.hidden.includes("room") && roomText(d, this.room);
    return text ? ` ${text.long}` : "";
  }

  private sayNext(): void {
    const motion = this.state?.moving;
    const direction = this.hidden.includes("ghost") ? null : this.ghost?.direction;
    let text = this.waits || aimAtSomething();
    let stop = "";
    if (motion) text = moving(motion);
    else if (direction && this.ghost) ({ text, stop } = nextStep(direction, this.ghost, this.increment));
    if (!motion && direction && !stop) text += this.roomOf(direction);
    this.next.classList.toggle("trouble", stop !== "");
    write(this.next, stop ? `${text} ${stop}` : text);
  }
}
