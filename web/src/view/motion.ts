import type { State } from "../link/state";
import type { Place } from "../wire";
import { between, nowhere } from "./place";

const streamGap = 100; // ms; states further apart than this are not one motion
const quickest = 8; // ms
const slowest = 34; // ms

/**
 * The places that are drawn, between the last two states of the bench. States do not come in step with the display;
 * each is reached over the time that the next is expected to take, so that the motion is even and never more than
 * one state late. A state that comes alone is drawn at once.
 */
export class Motion {
  links: Place[] = [];
  tcp: Place = nowhere();
  axes: Place = nowhere();
  private from: Place[] = [];
  private to: Place[] = [];
  private drawn: Place[] = [];
  private arrived = -Infinity;
  private interval = 16;
  private resting = true;

  set(state: State, now: number): void {
    const gap = now - this.arrived;
    this.arrived = now;
    this.to = [...state.links, state.tcp_place, state.active_axes];
    if (this.drawn.length === 0 || gap > streamGap) {
      this.interval = 16;
      this.show(this.to.map(copy));
      this.resting = true;
      return;
    }
    this.interval += (Math.min(slowest, Math.max(quickest, gap)) - this.interval) * 0.2;
    this.from = this.drawn.map(copy);
    this.resting = false;
  }

  /** Moves what is drawn on to this moment; true until the latest state is reached. */
  update(now: number): boolean {
    if (this.resting) return false;
    const t = Math.min(1, Math.max(0, (now - this.arrived) / this.interval));
    this.drawn.forEach((place, i) => between(this.from[i]!, this.to[i]!, t, place));
    this.resting = t === 1;
    return !this.resting;
  }

  /** Forgets the states of another arm. */
  reset(): void {
    this.drawn = [];
    this.resting = true;
  }

  private show(places: Place[]): void {
    this.drawn = places;
    this.links = places.slice(0, 7);
    this.tcp = places[7]!;
    this.axes = places[8]!;
  }
}

function copy(place: Place): Place {
  return { p: [...place.p], q: [...place.q] };
}
