// The coordinate walk as a drawing for paper, in SVG: lines, arrowheads and letters of its own, so that it is sharp at any size and can be changed.
import type { Dimension, Linework, Spot } from "../view/linework";

const INK = "#1d1b19";
const HEAD = { long: 13, wide: 4.2 }; // px, of an arrowhead; about 1 to 3, as is usual on drawings (ISO 129-1, from memory)

/** What is written on it besides the numbers. */
export interface Written {
  title: string; // what it shows
  caption: string;
  language: string;
}

let colours: readonly string[] = []; // of X, Y and Z

export function drawingOf(l: Linework, { title, caption, language }: Written): string {
  colours = l.colours;
  const parts = [
    ...l.shapes.map(({ what, outlines, lines }) => {
      const all = outlines.map(polygon).join("");
      // The edge first and then the insides, so that what belongs together has one edge.
      return `<g class="${what}"><path class="edge" d="${all}"/><path class="inside" d="${all}"/>${lines.map((line) => `<path class="line" d="${path(line)}"/>`).join("")}</g>`;
    }),
    ...l.joints.map(([x, y]) => `<circle class="joint" cx="${n(x)}" cy="${n(y)}" r="3"/>`),
    ...l.axes.map(({ to }, i) => arrow(l.origin, to, i, "axis")),
    ...l.dimensions.map((d) => line(d)),
    `<circle fill="${INK}" cx="${n(l.origin[0])}" cy="${n(l.origin[1])}" r="4"/>`,
    `<circle class="tip" cx="${n(l.tip[0])}" cy="${n(l.tip[1])}" r="5"/><circle fill="${INK}" cx="${n(l.tip[0])}" cy="${n(l.tip[1])}" r="1.8"/>`,
    ...l.dimensions.map((d) => number(d)),
    ...l.axes.map(({ letter, at }, i) => `<text class="letter" fill="${colours[i]}" x="${n(at[0])}" y="${n(at[1] + 5)}">${letter}</text>`),
    `<text class="caption" x="16" y="${n(l.height - 14)}">${escaped(caption)}</text>`,
  ];
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${n(l.width)} ${n(l.height)}" width="${n(l.width)}" height="${n(l.height)}" role="img" xml:lang="${language}" font-family="system-ui, sans-serif" font-size="15" fill="none" stroke-linejoin="round" stroke-linecap="round">
<title>${escaped(title)}</title>
<style>.edge{stroke:${INK};stroke-width:2.6;fill:#fff}.inside{fill:#fff}.thing .edge{stroke:#8a8378;stroke-width:1.2}.line{stroke:#8a8378;stroke-width:1.2}.joint{fill:#fff;stroke:${INK};stroke-width:1.4}.letter{stroke:#fff;stroke-width:4;paint-order:stroke;font-weight:800;font-size:19px;text-anchor:middle}.tip{fill:#fff;stroke:${INK};stroke-width:2}.leader{stroke-width:1}.plate{fill:#fff;stroke-width:1.6}.number{fill:${INK};font-weight:650;text-anchor:middle}.caption{fill:${INK};font-size:14px}</style>
${parts.join("\n")}
</svg>
`;
}

/** A dimension line; one that is too short for its arrowheads goes without, as in the picture. */
function line(d: Dimension): string {
  const long = Math.hypot(d.to[0] - d.from[0], d.to[1] - d.from[1]);
  if (long < 0.5) return "";
  const middle: Spot = [(d.from[0] + d.to[0]) / 2, (d.from[1] + d.to[1]) / 2];
  const away = Math.max(Math.abs(d.at[0] - middle[0]) - d.size.w / 2, Math.abs(d.at[1] - middle[1]) - d.size.h / 2);
  const leader = away > 12 ? `<path class="leader" stroke="${colour(d.axis)}" d="${path([middle, d.at])}"/>` : "";
  const width = d.axis < 3 ? 2.4 : 1.6;
  const stroke = `<path stroke="${colour(d.axis)}" stroke-width="${width}" d="${path(long > 2.2 * HEAD.long ? [along(d.from, d.to, HEAD.long / long), along(d.from, d.to, 1 - HEAD.long / long)] : [d.from, d.to])}"/>`;
  return leader + stroke + (long > 2.2 * HEAD.long ? head(d.to, d.from, d.axis) + head(d.from, d.to, d.axis) : "");
}

const number = ({ at: [x, y], size: { w, h }, axis, text }: Dimension): string =>
  `<rect class="plate" stroke="${colour(axis)}" x="${n(x - w / 2)}" y="${n(y - h / 2)}" width="${n(w)}" height="${n(h)}" rx="${n(h * 0.28)}"/><text class="number" x="${n(x)}" y="${n(y + h * 0.24)}" font-size="${n(h / 1.5)}">${escaped(text)}</text>`;

function arrow(from: Spot, to: Spot, axis: number, name: string): string {
  const long = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const end = long > HEAD.long ? along(from, to, 1 - HEAD.long / long) : from;
  return `<path class="${name}" stroke="${colour(axis)}" stroke-width="3.4" d="${path([from, end])}"/>${head(from, to, axis)}`;
}

/** An arrowhead with its tip at the end of the way from one place to another. */
function head(from: Spot, to: Spot, axis: number): string {
  const long = Math.hypot(to[0] - from[0], to[1] - from[1]);
  if (long < 1e-6) return "";
  const [ux, uy] = [(to[0] - from[0]) / long, (to[1] - from[1]) / long];
  const back: Spot = [to[0] - ux * HEAD.long, to[1] - uy * HEAD.long];
  return `<path fill="${colour(axis)}" d="${polygon([to, [back[0] - uy * HEAD.wide, back[1] + ux * HEAD.wide], [back[0] + uy * HEAD.wide, back[1] - ux * HEAD.wide]])}"/>`;
}

const along = (a: Spot, b: Spot, part: number): Spot => [a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part];
const colour = (axis: number): string => colours[axis] ?? INK;
const n = (x: number): string => String(Math.round(x * 100) / 100 + 0);
const path = (points: readonly Spot[]): string => points.map(([x, y], i) => `${i === 0 ? "M" : "L"}${n(x)} ${n(y)}`).join("");
const polygon = (points: readonly Spot[]): string => `${path(points)}Z`;
const escaped = (text: string): string => text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;");
