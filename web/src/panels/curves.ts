// The drawing of the plot's lines. It is loaded when the plot is opened first.
import uPlot from "uplot";
import { short } from "../basics/format";

/** A chart of one line a joint. All y are in the same unit. */
export interface Chart {
  x: number[];
  lines: number[][];
  /** What is written beside each line; "" for one that rests. */
  labels: string[];
  /** Where the labels stand: at the ends of the lines, or on the lines where they are farthest from each other. */
  labelled: "ends" | "lines";
  /** Texts that the room at the right end is made for, so that charts one above the other have it alike. */
  room: string[];
  /** What is written at zero for those that rest; "" where none does. */
  rest: string;
  marks: Mark[];
  range: [number, number];
  xTitle: string;
}

export interface Mark {
  kind: "turn" | "limit";
  line: number;
  x: number;
  y: number;
}

/** Each line has a dash of its own, so that it is told from the others without colour. px drawn and left out in turn. */
const DASHES = [[], [9, 4], [2.5, 3], [15, 4], [9, 3, 2.5, 3], [5, 3]];
const WIDTH = 2.2;
const REST_WIDTH = 1.2;

/** What the style sheet says. */
interface Look {
  font: number; // px
  ink: string;
  soft: string;
  grid: string;
  paper: string;
  joints: string[];
}

/** One chart in its element, which gives its size. */
export class Curves {
  private plot: uPlot | null = null;
  private made = "";
  private chart: Chart | null = null;

  constructor(private readonly host: HTMLElement) {}

  draw(chart: Chart): void {
    this.chart = chart;
    const { clientWidth: width, clientHeight: height } = this.host;
    if (width < 20 || height < 20) return;
    const look = lookOf(this.host);
    const room = this.roomForLabels(chart, look);
    const made = JSON.stringify([width, height, look, chart.xTitle, room]);
    const data: uPlot.AlignedData = [chart.x, ...chart.lines];
    if (this.plot && made === this.made) {
      this.plot.setData(data);
      return;
    }
    this.made = made;
    this.plot?.destroy();
    this.plot = new uPlot(this.options(width, height, look, room), data, this.host);
  }

  private options(width: number, height: number, look: Look, room: number): uPlot.Options {
    const font = `${look.font}px ${family}`;
    const line = { stroke: look.grid, width: 1 };
    const { xTitle } = this.chart!;
    const title = xTitle ? { label: xTitle, labelFont: font, labelSize: look.font * 1.3, labelGap: 0 } : {};
    const axis = { stroke: look.soft, font, grid: line, ticks: { show: false }, border: { show: false } };
    return {
      width,
      height,
      padding: [look.font * 0.6, room, 0, 0],
      legend: { show: false },
      cursor: { show: false },
      scales: {
        x: { time: false, range: (_, __, high) => [0, high > 0 ? high : 1] },
        y: { range: () => this.chart!.range },
      },
      axes: [
        { ...axis, size: look.font * 1.6, gap: look.font * 0.2, space: look.font * 3.5, ...title },
        { ...axis, size: look.font * 3.1, gap: look.font * 0.3, space: look.font * 2, values: (_, ticks) => ticks.map(tick) },
      ],
      series: [
        {},
        ...DASHES.map((dash, i): uPlot.Series => ({
          stroke: () => (this.rests(i) ? look.soft : look.joints[i]!),
          width: WIDTH * Math.max(1, look.font / 18),
          dash: dash.map((part) => part * Math.max(1, look.font / 18)),
          points: { show: false },
        })),
      ],
      hooks: {
        drawAxes: [(u) => zeroLine(u, look)],
        drawSeries: [(u, i) => i === DASHES.length && this.annotate(u, look)],
      },
    };
  }

  private rests(line: number): boolean {
    return this.chart!.labels[line] === "";
  }

  private roomForLabels(chart: Chart, look: Look): number {
    const g = document.createElement("canvas").getContext("2d")!;
    g.font = labelFont(look.font);
    const widths = chart.room.map((l) => g.measureText(l).width);
    return Math.ceil(Math.max(look.font * 1.2, ...widths.map((w) => w + look.font * 1.2)));
  }

  /** Writes the labels and draws the marks over the lines. */
  private annotate(u: uPlot, look: Look): void {
    const chart = this.chart!;
    const g = u.ctx;
    const px = uPlot.pxRatio;
    const x = (v: number): number => u.valToPos(v, "x", true);
    const y = (v: number): number => u.valToPos(v, "y", true);
    g.save();
    g.font = labelFont(look.font * px);
    g.textBaseline = "middle";
    g.textAlign = "left";
    const height = look.font * 1.2 * px;
    for (const mark of chart.marks) drawMark(g, mark, x(mark.x), y(mark.y), look, px);
    const working = chart.labels.map((_, i) => i).filter((i) => !this.rests(i) && chart.lines[i]!.length > 0);
    if (chart.labelled === "ends") {
      const ends = working.map((i) => ({ i, at: y(chart.lines[i]!.at(-1)!) })).sort((a, b) => a.at - b.at);
      const spots = spread(ends.map((e) => e.at), height, u.bbox.top + height / 2, u.bbox.top + u.bbox.height - height / 2);
      const from = x(chart.x.at(-1) ?? 0);
      const to = u.bbox.left + u.bbox.width + 0.9 * look.font * px;
      ends.forEach(({ i, at }, k) => {
        g.strokeStyle = g.fillStyle = look.joints[i]!;
        g.lineWidth = px;
        g.setLineDash([]);
        g.beginPath();
        g.moveTo(from + 2 * px, at);
        g.lineTo(to - 2 * px, spots[k]!);
        g.stroke();
        g.fillText(chart.labels[i]!, to, spots[k]!);
      });
    } else {
      const taken: Spot[] = [];
      for (const i of working) {
        const width = g.measureText(chart.labels[i]!).width + 0.4 * look.font * px;
        const spot = freest(chart, i, width, height, x, y, u.bbox, taken);
        if (!spot) continue;
        taken.push(spot);
        g.fillStyle = look.paper;
        g.fillRect(spot.x - width / 2, spot.y - height / 2, width, height);
        g.fillStyle = look.joints[i]!;
        g.textAlign = "center";
        g.fillText(chart.labels[i]!, spot.x, spot.y);
      }
    }
    if (chart.rest) this.nameResting(g, x, y, height, u.bbox, look, px);
    g.restore();
  }

  /** Names the lines that lie on zero, above or below it, where the others are farthest away. */
  private nameResting(g: CanvasRenderingContext2D, xOf: Scale, yOf: Scale, height: number, box: uPlot.BBox, look: Look, px: number): void {
    const { rest } = this.chart!;
    const zero = yOf(0);
    g.font = `${look.font * px}px ${family}`;
    const width = g.measureText(rest).width;
    if (width > box.width - look.font * px) return; // it is also told in words
    const [x, y] = this.clearOfLines(xOf, yOf, width, height, zero, box, look.font * px);
    g.textAlign = "left";
    g.setLineDash([]);
    g.lineJoin = "round";
    g.lineWidth = 0.35 * look.font * px;
    g.strokeStyle = look.paper;
    g.strokeText(rest, x, y);
    g.fillStyle = look.soft;
    g.fillText(rest, x, y);
  }

  /** Where along zero, above or below it, a text is farthest from the lines that work: its left end and its middle's height. */
  private clearOfLines(xOf: Scale, yOf: Scale, width: number, height: number, zero: number, box: uPlot.BBox, em: number): [number, number] {
    const { x: at, lines } = this.chart!;
    const working = lines.filter((_, i) => !this.rests(i));
    const spots = at.map((v, k) => ({ x: xOf(v), ys: working.map((line) => yOf(line[k]!)) }));
    let best: [number, number] = [box.left + 0.5 * em, zero - 0.65 * height];
    let most = -Infinity;
    for (const y of [zero - 0.65 * height, zero + 0.65 * height]) {
      if (y < box.top + height / 2 || y > box.top + box.height - height / 2) continue;
      for (let left = box.left + 0.5 * em; left + width <= box.left + box.width; left += em) {
        let room = height;
        for (const spot of spots) {
          if (spot.x < left - em || spot.x > left + width + em) continue;
          for (const there of spot.ys) room = Math.min(room, Math.abs(there - y));
        }
        if (room > most) [most, best] = [room, [left, y]];
      }
    }
    return best;
  }
}

const family = 'system-ui, sans-serif';
const labelFont = (px: number): string => `700 ${px}px ${family}`;
const tick = (value: number): string => short(value, 3);

function lookOf(host: HTMLElement): Look {
  const style = getComputedStyle(host);
  const named = (name: string): string => style.getPropertyValue(name).trim();
  return {
    font: parseFloat(style.fontSize),
    ink: named("--ink"),
    soft: named("--ink-soft"),
    grid: named("--line"),
    paper: named("--panel"),
    joints: DASHES.map((_, i) => named(`--joint-${i + 1}`)),
  };
}

function zeroLine(u: uPlot, look: Look): void {
  const at = u.valToPos(0, "y", true);
  u.ctx.save();
  u.ctx.strokeStyle = look.soft;
  u.ctx.lineWidth = REST_WIDTH * uPlot.pxRatio;
  u.ctx.beginPath();
  u.ctx.moveTo(u.bbox.left, at);
  u.ctx.lineTo(u.bbox.left + u.bbox.width, at);
  u.ctx.stroke();
  u.ctx.restore();
}

/** A hollow diamond where a line turns, a full square where its joint is near a limit. */
function drawMark(g: CanvasRenderingContext2D, mark: Mark, x: number, y: number, look: Look, px: number): void {
  g.lineWidth = 2 * px;
  g.setLineDash([]);
  g.strokeStyle = look.ink;
  g.fillStyle = mark.kind === "turn" ? look.paper : look.ink;
  const r = (mark.kind === "turn" ? 5.5 : 4.5) * px;
  g.beginPath();
  if (mark.kind === "turn") {
    g.moveTo(x, y - r);
    g.lineTo(x + r, y);
    g.lineTo(x, y + r);
    g.lineTo(x - r, y);
    g.closePath();
  } else {
    g.rect(x - r, y - r, 2 * r, 2 * r);
  }
  g.fill();
  g.stroke();
}

/** Moves sorted places apart to a least distance, no farther than needed, and between two bounds if there is room. */
export function spread(at: number[], apart: number, low: number, high: number): number[] {
  const spots = at.map((a) => Math.max(low, a));
  for (let i = 1; i < spots.length; i++) spots[i] = Math.max(spots[i]!, spots[i - 1]! + apart);
  let bound = high;
  for (let i = spots.length - 1; i >= 0; i--) {
    spots[i] = Math.min(spots[i]!, bound);
    bound = spots[i]! - apart;
  }
  return spots;
}

type Scale = (v: number) => number;

interface Spot {
  x: number;
  y: number;
  w: number;
  h: number;
}

/** The place on a line for its label that is farthest from the other lines and covers no other label. */
function freest(
  chart: Chart,
  line: number,
  w: number,
  h: number,
  x: (v: number) => number,
  y: (v: number) => number,
  box: uPlot.BBox,
  taken: readonly Spot[],
): Spot | null {
  let best: Spot | null = null;
  let most = -Infinity;
  chart.x.forEach((at, k) => {
    const spot = { x: x(at), y: y(chart.lines[line]![k]!), w, h };
    if (spot.x - w / 2 < box.left || spot.x + w / 2 > box.left + box.width) return;
    if (spot.y - h / 2 < box.top || spot.y + h / 2 > box.top + box.height) return;
    if (taken.some((t) => Math.abs(t.x - spot.x) < (t.w + w) / 2 && Math.abs(t.y - spot.y) < (t.h + h) / 2)) return;
    const room = Math.min(...chart.lines.map((other, j) => (j === line ? Infinity : Math.abs(y(other[k]!) - spot.y))));
    // Of places with room enough the one nearest to the middle.
    const worth = Math.min(room, h) - (0.2 * h * Math.abs(spot.x - box.left - box.width / 2)) / box.width;
    if (worth > most) [most, best] = [worth, spot];
  });
  return best;
}
