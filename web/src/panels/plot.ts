import type { Curves, Mark } from "./curves";
import { byId, within, write } from "../basics/dom";
import { onPhone } from "../shell/places";
import { recall, remember, tab } from "../basics/remember";
import { inUnit } from "../basics/units";
import { straight } from "../basics/words";
import { plotText } from "./plotwords";
import type { RecordingView } from "../wire";

/** A joint that went no farther than this, in degrees, rests. */
const REST_DEG = 0.05;

type Over = "travel" | "time";

/** What is kept of the plot in the tab. */
interface Lines {
  arm: string;
  recordings: (RecordingView | null)[]; // in a frame, of a joint
}

const linesOf = (kept: string): Lines | null => (kept === "" ? null : (JSON.parse(kept) as Lines));

/** One jog's lines: the angles turned since its beginning, and the speeds. */
class Half {
  readonly charts: HTMLElement;
  recording: RecordingView | null = null;
  private readonly jog: HTMLElement;
  private readonly works: HTMLElement;
  private readonly notes: HTMLElement;
  private readonly angle: HTMLElement;
  private readonly speed: HTMLElement;
  private curves: { angle: Curves; speed: Curves } | null = null;

  constructor(
    private readonly of: "frame" | "joint",
    root: HTMLElement,
  ) {
    this.charts = within(root, ".plot-charts");
    this.jog = within(root, ".plot-jog");
    this.works = within(root, ".plot-works");
    this.notes = within(root, ".plot-notes");
    this.angle = within(root, ".plot-angle");
    this.speed = within(root, ".plot-speed");
  }

  useCurves(made: (host: HTMLElement) => Curves): void {
    this.curves = { angle: made(this.angle), speed: made(this.speed) };
  }

  /** The joints that turned. */
  private get working(): number[] {
    return this.recording ? this.recording.work_deg.flatMap((deg, i) => (deg > REST_DEG ? [i] : [])) : [];
  }

  /** Angles turned since the beginning, and speeds, a list a joint. */
  get lines(): { angles: number[][]; speeds: number[][] } {
    const r = this.recording;
    return { angles: r ? r.angles_deg.map((line) => line.map((deg) => deg - line[0]!)) : [], speeds: r ? r.speeds_deg_s : [] };
  }

  draw(over: Over, angleRange: [number, number], speedRange: [number, number]): void {
    const r = this.recording;
    this.charts.hidden = r === null;
    write(this.jog, r ? plotText.jog(r) : plotText.none(this.of));
    const large = document.documentElement.classList.contains("projected");
    write(this.works, r ? (large ? plotText.count : plotText.works)(this.working) : "");
    this.note(r);
    if (!r) return;
    const { angles, speeds } = this.lines;
    const working = this.working;
    const far = (travel: number): number => (straight(r.direction) ? inUnit(travel) : travel);
    const x = over === "time" ? r.time_s : r.travel.map(far);
    const at = (m: { travel: number; time_s: number }): number => (over === "time" ? m.time_s : far(m.travel));
    const marks: Mark[] = [
      ...r.turns.map((m) => ({ kind: "turn" as const, line: m.joint, x: at(m), y: m.angle_deg - r.angles_deg[m.joint]![0]! })),
      ...r.limits.map(({ at: m }) => ({ kind: "limit" as const, line: m.joint, x: at(m), y: m.angle_deg - r.angles_deg[m.joint]![0]! })),
    ];
    // Large type leaves room for few letters.
    const turned = angles.map((line, i) => plotText.turned(i, line.at(-1) ?? 0, large ? 0 : 1));
    const peaks = speeds.map((line, i) => plotText.peak(i, line.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a), 0)));
    const shown = (labels: string[]): string[] => labels.map((l, i) => (working.includes(i) ? l : ""));
    this.angle.setAttribute("aria-label", plotText.angles(turned));
    this.speed.setAttribute("aria-label", plotText.speeds(peaks));
    const room = shown(turned);
    // Both charts share what runs from left to right; it stands below the lower one that is shown.
    const xTitle = large ? plotText.xUnit(over, r.direction) : plotText.xTitle(over, r.direction);
    const below = this.speed.clientHeight === 0 ? xTitle : "";
    this.curves?.angle.draw({ x, lines: angles, labels: room, labelled: "ends", room, rest: plotText.rest(working), marks, range: angleRange, xTitle: below });
    this.curves?.speed.draw({ x, lines: speeds, labels: shown(peaks), labelled: "lines", room, rest: "", marks: [], range: speedRange, xTitle });
  }

  /** Says in words what is marked on the lines. */
  private note(r: RecordingView | null): void {
    const items = (r ? plotText.notes(r) : []).map(({ sign, text }) => {
      const item = document.createElement("li");
      const mark = document.createElement("span");
      mark.className = "plot-sign";
      mark.setAttribute("aria-hidden", "true");
      mark.textContent = sign;
      item.append(mark, text);
      return item;
    });
    this.notes.replaceChildren(...items);
  }
}

/** The plot: the last jog in a frame and the last one of a joint, side by side and to the same scale. */
export class Plot {
  private readonly root = byId("plot");
  private readonly over = byId<HTMLSelectElement>("plot-over");
  private readonly halves = (["frame", "joint"] as const).map((of) => new Half(of, within(this.root, `[data-of="${of}"]`)));
  private loading: Promise<void> | null = null;
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
    for (const half of this.halves) resized.observe(half.charts);
    this.draw();
  }

  show(on: boolean): void {
    this.root.hidden = !on;
    const asked = this.settled;
    this.settled = true;
    if (!on) return;
    this.loading ??= this.load();
    this.draw();
    // On a phone it may be far from the button that opened it.
    if (asked && onPhone()) this.root.scrollIntoView({ block: "start" });
  }

  /** Another arm begins without lines. At a bench that was here before the page was, the lines are those of before: not every bench tells them again. */
  setArm(id: string, hereBefore: boolean): void {
    if (id === this.arm) return;
    const kept = this.arm === "" && hereBefore ? linesOf(tab.plotted) : null;
    this.arm = id;
    for (const [i, half] of this.halves.entries()) half.recording = kept?.arm === id ? kept.recordings[i]! : null;
    this.keep();
    this.draw();
  }

  setRecording(recording: RecordingView): void {
    this.halves[recording.of_joint ? 1 : 0]!.recording = recording;
    if (recording.done) this.keep();
    this.draw();
  }

  private keep(): void {
    const lines: Lines = { arm: this.arm, recordings: this.halves.map((half) => half.recording) };
    tab.plotted = JSON.stringify(lines);
  }

  /** Draws again, after the theme has changed. */
  draw(): void {
    if (this.root.hidden) return;
    const lines = this.halves.map((half) => half.lines);
    const angles = range(lines.flatMap((l) => l.angles.flat()));
    const speeds = range(lines.flatMap((l) => l.speeds.flat()));
    for (const half of this.halves) half.draw(this.over.value as Over, angles, speeds);
  }

  /** Fetches what draws lines; most visits never need it. */
  private async load(): Promise<void> {
    const sheet = document.createElement("link");
    sheet.rel = "stylesheet";
    sheet.href = new URL("uplot.css", import.meta.url).href;
    const styled = new Promise((done) => {
      sheet.addEventListener("load", done);
      sheet.addEventListener("error", done);
    });
    document.head.append(sheet);
    const { Curves } = await import("./curves");
    await styled;
    for (const half of this.halves) half.useCurves((host) => new Curves(host));
    this.draw();
  }
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
