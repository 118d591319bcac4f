/** An angle of a reading that a jog led past ±180°: what it would have come to, and what it is written as, degrees. */
export interface Wrap {
  row: number;
  whole: number;
  written: number;
}

const TURN_DEG = 360;
/** A leap of more than this between two readings is none of the arm's: the angle is written with the other sign. */
const WRAP_DEG = 270;
/** A leap of more than this, and no more than that, is another form of the same orientation, as past ±90° about Y. */
const LEAP_DEG = 90;

/** Follows three angles through a jog, reading by reading, and finds which of them passed ±180°. */
export class Wraps {
  private last: readonly number[] | null = null;
  private turns = [0, 0, 0];
  private leapt = false;

  /** What is read is another thing from now on, or the arm was put elsewhere. */
  forget(): void {
    this.last = null;
    this.begin();
  }

  /** A jog begins, or the last one is told. */
  begin(): void {
    this.turns = [0, 0, 0];
    this.leapt = false;
  }

  /** The next reading; of numbers that are not three angles there is nothing to follow. Unclear is where they are not unique. */
  see(angles: readonly number[], unclear = false): void {
    const { last } = this;
    this.last = angles.length === 3 ? angles : null;
    if (!last || !this.last) return;
    if (unclear) this.leapt = true;
    angles.forEach((angle, i) => {
      const by = angle - last[i]!;
      if (Math.abs(by) > WRAP_DEG) this.turns[i]! -= Math.sign(by);
      else if (Math.abs(by) > LEAP_DEG) this.leapt = true;
    });
  }

  /** Those that have passed it by now; none where the angles have changed their form, which is told elsewhere. */
  get found(): Wrap[] {
    const { last, turns } = this;
    if (!last || this.leapt) return [];
    return last.map((written, row) => ({ row, whole: written + TURN_DEG * turns[row]!, written })).filter(({ row }) => turns[row] !== 0);
  }
}
