import { byId, styled, within } from "../basics/dom";
import { onPhone } from "../shell/places";
import { recall, remember, tab } from "../basics/remember";
import { sayAlso, wanted } from "../basics/say";
import type { Half } from "./plothalf";
import type { RecordingView } from "../wire";

export type Over = "travel" | "time";

/** What is kept of the plot in the tab. */
interface Lines {
  arm: string;
  recordings: (RecordingView | null)[]; // in a frame, of a joint
}

const linesOf = (kept: string): Lines | null => (kept === "" ? null : (JSON.parse(kept) as Lines));

/** The plot: the last jog in a frame and the last one of a joint, side by side and to the same scale. What draws it is loaded when it is first shown. */
export class Plot {
  private readonly root = byId("plot");
  private readonly over = byId<HTMLSelectElement>("plot-over");
  private recordings: (RecordingView | null)[] = [null, null]; // in a frame, of a joint
  private halves: Half[] = [];
  private readonly load = wanted(drawing);
  private arm = "";
  private settled = false; // it is as it was kept from the last visit

  constructor(close: () => void) {
    byId("plot-close").addEventListener("click", close);
    this.over.value = recall("plot-over") === "time" ? "time" : "travel";
    this.over.addEventListener("change", () => {
      remember("plot-over", this.over.value);
      this.draw();
    });
    const resized = new ResizeObserver(() => this.draw());
    for (const charts of this.root.querySelectorAll(".plot-charts")) resized.observe(charts);
    this.draw();
  }

  show(on: boolean): void {
    this.root.hidden = !on;
    const asked = this.settled;
    this.settled = true;
    if (!on) return;
    void this.load().then((half) => {
      if (half && this.halves.length === 0) this.halves = (["frame", "joint"] as const).map((of) => new half.Half(of, within(this.root, `[data-of="${of}"]`)));
      this.draw();
    });
    // On a phone it may be far from the button that opened it.
    if (asked && onPhone()) this.root.scrollIntoView({ block: "start" });
  }

  /** Another arm begins without lines. At a bench that was here before the page was, the lines are those of before: not every bench tells them again. */
  setArm(id: string, hereBefore: boolean): void {
    if (id === this.arm) return;
    const kept = this.arm === "" && hereBefore ? linesOf(tab.plotted) : null;
    this.arm = id;
    this.recordings = kept?.arm === id ? kept.recordings : [null, null];
    this.keep();
    this.draw();
  }

  setRecording(recording: RecordingView): void {
    this.recordings[recording.of_joint ? 1 : 0] = recording;
    if (recording.done) this.keep();
    this.draw();
  }

  private keep(): void {
    const lines: Lines = { arm: this.arm, recordings: this.recordings };
    tab.plotted = JSON.stringify(lines);
  }

  /** Draws again, after the theme has changed. */
  draw(): void {
    if (this.root.hidden) return;
    for (const [i, half] of this.halves.entries()) half.recording = this.recordings[i]!;
    const lines = this.halves.map((half) => half.lines);
    const angles = range(lines.flatMap((l) => l.angles.flat()));
    const speeds = range(lines.flatMap((l) => l.speeds.flat()));
    for (const half of this.halves) half.draw(this.over.value as Over, angles, speeds);
  }
}

/** Fetches what draws lines; most visits never need it. */
async function drawing(): Promise<typeof import("./plothalf")> {
  const [half] = await Promise.all([import("./plothalf"), sayAlso("plot"), styled("uplot")]);
  return half;
}

/** Room for all values and zero, and a little more. */
function range(values: number[]): [number, number] {
  let [low, high] = [0, 0];
  for (const v of values) {
    low = Math.min(low, v);
    high = Math.max(high, v);
  }
  const margin = Math.max(0.5, (high - low) * 0.12);
  return [low - margin, high + margin];
}
