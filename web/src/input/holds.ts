import { setHeld } from "../basics/idle";
import type { Direction, Request, StopMessage } from "../wire";

/** What holds a jog: a pointer, or a key by its code. */
export type Holder = string;

/** How far and how quickly a hold goes; both may change while it lasts. */
export interface Steering {
  bound?: number; // mm or degrees from where it began
  part?: number; // of the chosen speed
}

/** A press that is let go sooner was a tap: it moves nothing. */
export const TAP_MS = 130;

const steeredMs = 33; // between renewals of a hold that may change at any time

/**
 * A continuous jog, from press to release. While it lasts its lease is renewed; as soon as it may have ended, by the
 * learner, the browser or the bench, it is not renewed any more. Several holders together move the arm along the sum of
 * their directions.
 */
export class Hold {
  private readonly held = new Map<Holder, { directions: Direction[]; steering: Steering }>();
  private readonly waiting = new Map<Holder, { timer: number; directions: Direction[] }>(); // presses that may yet be taps
  private timer = 0;
  private frame = 0; // that is waited for
  private renewed = 0; // when
  private renewMs = 80;
  // The bench outlives a reload and takes only presses with higher numbers than before, hence the clock.
  private press = Date.now();

  /** ended is called whenever nothing is held any more, tapped for a press that was no hold. */
  constructor(
    private readonly send: (request: Request) => void,
    private readonly ended: () => void,
    private readonly tapped: (directions: Direction[]) => void,
  ) {
    window.addEventListener("blur", () => this.end());
    window.addEventListener("pagehide", () => this.end());
    document.addEventListener("visibilitychange", () => {
      if (document.hidden) this.end();
    });
  }

  /** Renews often enough for a lease of this length to outlast two lost renewals. */
  setLease(leaseMs: number): void {
    this.renewMs = Math.min(80, leaseMs / 3);
  }

  /** Begins when the press has lasted long enough to be no tap; beside another hold at once. */
  hold(directions: Direction[], holder: Holder): void {
    if (this.held.size > 0) return this.begin(directions, holder);
    const begin = (): void => {
      this.waiting.delete(holder);
      this.begin(directions, holder);
    };
    this.waiting.set(holder, { timer: window.setTimeout(begin, TAP_MS), directions });
  }

  /** Directions of another frame than what is held, and a hold with a bound, stand for themselves. */
  begin(directions: Direction[], holder: Holder, steering: Steering = {}): void {
    const frame = directions[0]?.frame;
    const alone = (s: Steering): boolean => s.bound !== undefined;
    for (const [other, theirs] of this.held) {
      if (theirs.directions[0]?.frame !== frame || alone(theirs.steering) || alone(steering)) this.held.delete(other);
    }
    this.held.set(holder, { directions, steering });
    setHeld(true);
    this.ask();
  }

  /** Changes bound or part of a hold; false if it has ended. */
  steer(holder: Holder, steering: Steering): boolean {
    const held = this.held.get(holder);
    if (held) held.steering = steering;
    return held !== undefined;
  }

  /** Ends the hold of this holder, or of all. */
  end(holder?: Holder): void {
    for (const [waits, { timer, directions }] of this.waiting) {
      if (holder !== undefined && waits !== holder) continue;
      window.clearTimeout(timer);
      this.waiting.delete(waits);
      if (holder !== undefined) this.tapped(directions);
    }
    if (this.held.size === 0 || (holder !== undefined && !this.held.has(holder))) return;
    if (holder !== undefined && this.held.size > 1) {
      this.held.delete(holder);
      this.ask();
      return;
    }
    this.forget();
    this.send({ type: "release" });
  }

  /** Asks for the sum of what is held, and goes on asking. A changed sum is a new press. */
  private ask(): void {
    window.clearInterval(this.timer);
    this.press += 1;
    this.renew();
    const steered = [...this.held.values()].some(({ steering }) => Object.keys(steering).length > 0);
    this.timer = window.setInterval(() => this.renew(), steered ? Math.min(steeredMs, this.renewMs) : this.renewMs);
    if (!this.frame) this.renewFirst();
  }

  /** With every frame, before what the page does for it: a timer waits until all of that is drawn and laid out. */
  private renewFirst(): void {
    this.frame = requestAnimationFrame(() => {
      this.renewAhead();
      this.renewFirst();
    });
  }

  /**
   * Before something that may take long, as drawing and layout do, or comes often, as what the bench tells does: renews, unless that
   * was just done. So what takes 200 ms, begun right before it would have been, outlasts no lease of 225.
   */
  renewAhead(): void {
    if (this.held.size > 0 && performance.now() - this.renewed > this.renewMs / 4) this.renew();
  }

  private renew(): void {
    this.renewed = performance.now();
    const all = [...this.held.values()];
    const request: Request = { type: "hold", press: this.press, directions: all.flatMap((h) => h.directions) };
    const bound = all[0]?.steering.bound;
    if (bound !== undefined) request.bound = bound;
    const part = Math.min(...all.map((h) => h.steering.part ?? 1));
    if (part < 1) request.speed_part = part;
    this.send(request);
  }

  /**
   * The bench says that a motion stopped. "released" and "done" belong to an earlier motion, because this one has not
   * been let go; any other reason ends it, and only a new press starts another.
   */
  stopped(stop: StopMessage): void {
    if (stop.reason !== "released" && stop.reason !== "done") this.forget();
  }

  /** The link is gone: nothing is held any more. */
  forget(): void {
    for (const { timer } of this.waiting.values()) window.clearTimeout(timer);
    this.waiting.clear();
    window.clearInterval(this.timer);
    cancelAnimationFrame(this.frame);
    this.frame = 0;
    this.held.clear();
    setHeld(false);
    this.ended();
  }
}
