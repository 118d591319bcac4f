/** What is said under a clip: for every jog a cue, from when the arm begins to move to when it stands. It is written as WebVTT (W3C). */
export class Captions {
  private readonly cues: { from: number; to: number; text: string }[] = [];
  private began: number | null = null; // ms from the beginning of the clip

  /** Whether a jog is under way that is not told yet. */
  get underWay(): boolean {
    return this.began !== null;
  }

  /** The arm moves. */
  begin(ms: number): void {
    this.began ??= ms;
  }

  /** The arm stands; what it has done is said in these words. */
  end(ms: number, text: string): void {
    const from = this.began ?? ms;
    this.began = null;
    const before = this.cues.at(-1);
    if (before) before.to = Math.min(before.to, from); // one at a time
    this.cues.push({ from, to: Math.max(ms, from + SHORTEST_MS), text });
  }

  /** The clip ends: a jog that is under way is not told. */
  file(endMs: number): string {
    const cues = this.cues.filter((cue) => cue.from < endMs && cue.to > cue.from);
    return `WEBVTT\n${cues.map(({ from, to, text }) => `\n${time(from)} --> ${time(Math.min(to, endMs))}\n${escaped(text)}\n`).join("")}`;
  }
}

/** A cue is to be read. */
const SHORTEST_MS = 1500;

function time(ms: number): string {
  const whole = Math.round(ms);
  const two = (x: number): string => String(Math.floor(x)).padStart(2, "0");
  return `${two(whole / 3_600_000)}:${two((whole / 60_000) % 60)}:${two((whole / 1000) % 60)}.${String(whole % 1000).padStart(3, "0")}`;
}

/** A cue's text ends at an empty line, and has tags of its own. */
const escaped = (text: string): string => text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;").replace(/\s*\n\s*/g, " ");
