/** A frame that comes so long after the one before comes late. */
const LATE_MS = 34;
/** Numbers change at least so often all the same, so that they are seen to run. */
const APART_MS = 100;

/** When numbers are written: with every frame, but only ten times a second while something moves and frames come late, because numbers take as long as half a picture. */
export class Pace {
  private looked = -Infinity;
  private written = -Infinity;

  /** Whether to write them in this frame. */
  due(now: number, moving: boolean): boolean {
    const late = now - this.looked > LATE_MS;
    this.looked = now;
    if (moving && late && now - this.written < APART_MS) return false;
    this.written = now;
    return true;
  }
}
