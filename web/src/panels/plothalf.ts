// One half of the plot, drawn and in words; loaded with what draws lines.
import { within, write } from "../basics/dom";
import { inUnit } from "../basics/units";
import { straight } from "../basics/words";
import { Curves, type Mark } from "./curves";
import type { Over } from "./plot";
import { plotText } from "./plotwords";
import type { RecordingView } from "../wire";

/** A joint that went no farther than this, in degrees, rests. */
const REST_DEG = 0.05;

/** One jog's lines: the angles turned since its beginning, and the speeds. */
export class Half {
  private readonly charts: HTMLElement;
  recording: RecordingView | null = null;
  private readonly jog: HTMLElement;
  private readonly works: HTMLElement;
  private readonly notes: HTMLElement;
  private readonly angle: HTMLElement;
  private readonly speed: HTMLElement;
  private readonly curves: { angle: Curves; speed: Curves };

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
    this.curves = { angle: new Curves(this.angle), speed: new Curves(this.speed) };
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
    this.curves.angle.draw({ x, lines: angles, labels: room, labelled: "ends", room, rest: plotText.rest(working), marks, range: angleRange, xTitle: below });
    this.curves.speed.draw({ x, lines: speeds, labels: shown(peaks), labelled: "lines", room, rest: "", marks: [], range: speedRange, xTitle });
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
