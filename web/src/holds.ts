import type { Direction, Request, StopMessage } from "./wire";

/** What holds a jog: a pointer, or a key by its code. */
export type Holder = string;

/**
 * A continuous jog, from press to release. While it lasts its lease is renewed; as soon as it may have ended, by the
 * learner, the browser or the bench, it is not renewed any more. Several holders together move the arm along the sum of
 * their directions.
 */
export class Hold {
  private readonly held = new Map<Holder, Direction[]>();
  private timer = 0;
  private renewMs = 80;
  // The bench outlives a reload and takes only presses with higher numbers than before, hence the clock.
  private press = Date.now();

  constructor(private readonly send: (request: Request) => void) {
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

  begin(directions: Direction[], holder: Holder): void {
    const frame = directions[0]?.frame;
    for (const [other, theirs] of this.held) if (theirs[0]?.frame !== frame) this.held.delete(other);
    this.held.set(holder, directions);
    this.ask();
  }

  /** Ends the hold of this holder, or of all. */
  end(holder?: Holder): void {
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
    const request: Request = { type: "hold", press: this.press, directions: [...this.held.values()].flat() };
    this.send(request);
    this.timer = window.setInterval(() => this.send(request), this.renewMs);
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
    window.clearInterval(this.timer);
    this.held.clear();
  }
}
