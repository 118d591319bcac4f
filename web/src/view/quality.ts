/** A frame that comes later than this after the one before makes the page's input late too. */
const LATE_MS = 50;
/** So many late frames one after the other, and less is drawn; so many in time, and more is tried. */
const LATE_FRAMES = 3;
/** One that is later than this counts as so many: a hold lapses soon after, so that the next must come sooner. */
const VERY_LATE_MS = 150;
const GOOD_FRAMES = 600;

/** What is drawn of all that could be: the density of the picture, a part of the screen's, and the side of the shadow's own picture, px. */
export interface Drawn {
  density: number;
  shadow: number;
}

const levels: readonly Drawn[] = [
  { density: 1, shadow: 2048 },
  { density: 0.75, shadow: 1024 },
  { density: 0.6, shadow: 512 },
  { density: 0.45, shadow: 256 },
];

/**
 * How much is drawn, so that frames come in time: while something moves, a browser that cannot keep up gets a coarser
 * picture, before what the learner does is heard late and a hold lapses.
 */
export class Quality {
  private level = 0;
  private last = -1; // when the frame before was drawn; -1 where none led to this one
  private late = 0;
  private good = 0;
  /** The density stays as it is, because the picture is recorded. */
  pinned = false;

  /** A frame is drawn now, ms. */
  frame(now: number): Drawn {
    if (this.last >= 0) this.judge(now - this.last);
    this.last = now;
    return levels[this.level]!;
  }

  /** What a picture is drawn with at which nothing moves: all of it. */
  get still(): Drawn {
    return this.pinned ? levels[this.level]! : { ...levels[this.level]!, density: 1 };
  }

  /** Whether less is drawn while something moves. */
  get coarse(): boolean {
    return this.level > 0 && !this.pinned;
  }

  /** Nothing moves: the next frame does not follow from this one. */
  rest(): void {
    this.last = -1;
    this.late = 0;
  }

  private judge(ms: number): void {
    if (this.pinned) return;
    if (ms <= LATE_MS) {
      this.late = 0;
      this.good++;
      if (this.good < GOOD_FRAMES || this.level === 0) return;
      this.level--;
      this.good = 0;
      return;
    }
    this.good = 0;
    this.late += ms > VERY_LATE_MS ? LATE_FRAMES : 1;
    if (this.late < LATE_FRAMES || this.level === levels.length - 1) return;
    this.level++;
    this.late = 0;
  }
}
