/** A picture that takes longer than this comes late to the eye, and so does all that the graphics are given with it. */
const LATE_MS = 50;
/** So many late ones in a row, and less is drawn. */
const LATE_PICTURES = 3;
/** One that takes longer than this counts as so many. */
const VERY_LATE_MS = 150;
/** What takes at most so long leaves room to draw more. */
const QUICK_MS = 20;
/** So many quick ones with no late one among them, and more is drawn from the next motion on; twice as many each time that this was too much. */
const QUICK_PICTURES = 120;
/** Before anything has moved, a whole picture at rest that takes longer than this, the least of the last few, makes the picture coarser, step by step. */
const SLOW_MS = [60, 100, 150] as const;
const LAST_FEW = 3;

/** What is drawn of all that could be: the density of the picture, a part of the screen's, and the side of the shadow's own picture, px. */
export interface Drawn {
  density: number;
  shadow: number;
  /** Its edges are smoothed. Without a graphics chip that takes as long as all the rest. */
  smooth: boolean;
  /** It is drawn where nobody sees it, and shown when it is done, because that takes long. */
  behind: boolean;
}

const levels: readonly Drawn[] = [
  { density: 1, shadow: 2048, smooth: true, behind: false },
  { density: 0.75, shadow: 1024, smooth: true, behind: true },
  { density: 0.75, shadow: 512, smooth: false, behind: true },
  { density: 0.45, shadow: 256, smooth: false, behind: true },
];

/** As much as can be. */
export const all = levels[0]!;

/** A picture of something that moves; one at rest, drawn whole; or one at rest that is not. */
export type Kind = "moving" | "whole" | "other";

/**
 * How much is drawn, and how often, by how long the graphics take for it: a browser that cannot keep up gets a coarser picture
 * and fewer of them, before what the learner does is heard late and a hold lapses.
 */
export class Quality {
  private level = 0;
  private late = 0;
  private quick = 0;
  private wanted = QUICK_PICTURES;
  private raised = false; // and has not been too much since
  private moved = false;
  private last = Infinity; // how long the last picture took, ms
  private readonly whole: number[] = []; // how long the last few whole pictures at rest took, ms
  /** The picture is recorded: it stays as fine as it is, and is no coarser than the second level, because it is looked at later. */
  pinned = false;

  /** What a picture is drawn with while something moves. */
  get moving(): Drawn {
    return levels[this.pinned ? Math.min(1, this.level) : this.level]!;
  }

  /** What a picture is drawn with at which nothing moves: all of it. */
  get still(): Drawn {
    return this.pinned ? this.moving : { ...this.moving, density: 1, smooth: true };
  }

  /** Whether less is drawn while something moves. */
  get coarse(): boolean {
    return this.level > 0 && !this.pinned;
  }

  /** How many pictures the graphics may be given before they have drawn the first of them. */
  get ahead(): number {
    return this.level === 0 && this.last <= LATE_MS ? 2 : 1;
  }

  /** A picture has been drawn, and took so long. */
  took(ms: number, kind: Kind): void {
    this.last = ms;
    if (this.pinned) return;
    if (kind === "moving") this.judge(ms);
    else if (kind === "whole") this.guess(ms);
  }

  /** Nothing moves: what comes next does not follow from this. */
  rest(): void {
    this.late = 0;
    if (this.quick < this.wanted || this.level === 0 || this.pinned) return;
    this.level--;
    this.quick = 0;
    this.raised = true;
  }

  private guess(ms: number): void {
    this.whole.push(ms);
    if (this.whole.length > LAST_FEW) this.whole.shift();
    if (this.moved || this.whole.length < LAST_FEW) return;
    const least = Math.min(...this.whole);
    this.level = SLOW_MS.filter((slow) => least > slow).length;
  }

  private judge(ms: number): void {
    this.moved = true;
    if (ms <= QUICK_MS) this.quick++;
    if (ms <= LATE_MS) {
      this.late = 0;
      return;
    }
    this.quick = 0;
    this.late += ms > VERY_LATE_MS ? LATE_PICTURES : 1;
    if (this.late < LATE_PICTURES || this.level === levels.length - 1) return;
    this.level++;
    this.late = 0;
    if (this.raised) this.wanted *= 2;
    this.raised = false;
  }
}
