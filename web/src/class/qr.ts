// The one place that knows how a QR code (ISO/IEC 18004) is made.

const NS = "http://www.w3.org/2000/svg";

/** The quiet zone that scanners need around a code, in modules (ISO/IEC 18004, from memory). */
const QUIET = 4;

/** A picture of a text as a QR code, dark on light whatever the page's theme, because that is what scanners read; null where none can be made. */
export async function qrOf(text: string, label: string): Promise<SVGSVGElement | null> {
  const grid = await modules(text);
  if (!grid) return null;
  const size = grid.length + 2 * QUIET;
  let path = "";
  grid.forEach((row, y) => row.forEach((dark, x) => dark && (path += `M${x + QUIET} ${y + QUIET}h1v1h-1z`)));
  const svg = document.createElementNS(NS, "svg");
  svg.setAttribute("viewBox", `0 0 ${size} ${size}`);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", label);
  svg.setAttribute("shape-rendering", "crispEdges");
  for (const [tag, attributes] of [
    ["rect", { width: String(size), height: String(size), fill: "#fff" }],
    ["path", { d: path, fill: "#000" }],
  ] as const) {
    const shape = document.createElementNS(NS, tag);
    for (const [name, value] of Object.entries(attributes)) shape.setAttribute(name, value);
    svg.append(shape);
  }
  return svg;
}

/** The code's modules by rows, true for a dark one; null for a text that is too long. */
async function modules(text: string): Promise<boolean[][] | null> {
  try {
    const { correction, generate } = await import("lean-qr");
    const code = generate(text, { minCorrectionLevel: correction.M });
    const along = Array.from({ length: code.size }, (_, i) => i);
    return along.map((y) => along.map((x) => code.get(x, y)));
  } catch {
    return null; // The address is there to be typed.
  }
}
