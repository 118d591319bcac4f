// A table to type in, or to paste into from a spreadsheet. The first row names the columns.
import { make } from "../basics/dom";
import type { CellProblem } from "../wire";

const mostRows = 13; // with the header
const mostColumns = 14;

export class Grid {
  private cells: string[][] = [];
  private inputs: HTMLInputElement[][] = [];

  constructor(
    private readonly table: HTMLTableElement,
    private readonly labels: { header: (column: number) => string; cell: (row: string, column: string) => string },
    private readonly changed: () => void,
    private readonly form: { fixed: boolean } = { fixed: false }, // its columns cannot be named otherwise
  ) {
    table.addEventListener("input", (event) => {
      const { input, row, column } = this.placeOf(event.target);
      if (!input) return;
      this.cells[row]![column] = input.value;
      input.removeAttribute("aria-invalid");
      this.changed();
    });
    table.addEventListener("paste", (event) => this.paste(event));
    table.addEventListener("keydown", (event) => this.walk(event));
  }

  get values(): string[][] {
    return this.cells.map((row) => [...row]);
  }

  set values(cells: string[][]) {
    const width = Math.min(mostColumns, Math.max(1, ...cells.map((row) => row.length)));
    this.cells = cells.slice(0, mostRows).map((row) => Array.from({ length: width }, (_, i) => row[i] ?? ""));
    this.draw();
  }

  /** Nothing was typed or pasted below the header. */
  get blank(): boolean {
    return this.text.split("\n").slice(1).every((line) => line === "");
  }

  addRow(): void {
    if (this.cells.length < mostRows) this.values = [...this.cells, []];
  }

  /** The table as text, a row a line, its cells parted by tabs. A row that has nothing but its name is an empty line. */
  get text(): string {
    return this.cells.map((row, i) => (i > 0 && row.every((cell, k) => k === 0 || cell.trim() === "") ? "" : row.map(clean).join("\t"))).join("\n");
  }

  /** Marks the cells in which something is wrong, and says of each where it is; null for what is of the whole table. */
  mark(problems: CellProblem[]): (HTMLInputElement | null)[] {
    for (const input of this.inputs.flat()) input.removeAttribute("aria-invalid");
    return problems.map(({ line, column }) => {
      if (line === 1 && column === 1) return null;
      const row = this.cells[line - 1];
      if (!row) return null;
      let end = 0;
      const at = row.findIndex((cell) => column <= (end += [...clean(cell)].length + 1));
      const input = this.inputs[line - 1]?.[at < 0 ? row.length - 1 : at] ?? null;
      input?.setAttribute("aria-invalid", "true");
      return input;
    });
  }

  private draw(): void {
    const [header = [], ...rows] = this.cells;
    const input = (row: number, column: number): HTMLInputElement => {
      const label = row === 0 ? this.labels.header(column + 1) : this.labels.cell(this.cells[row]![0] || String(row), header[column] || String(column + 1));
      const cell = make("input", { value: this.cells[row]![column]!, spellcheck: false, size: column === 0 || row === 0 ? Math.max(5, (header[column] ?? "").length) : 6 });
      cell.setAttribute("aria-label", label);
      cell.readOnly = this.form.fixed && row === 0;
      return cell;
    };
    this.inputs = this.cells.map((row, r) => row.map((_, c) => input(r, c)));
    const line = (tag: "th" | "td", r: number): HTMLTableRowElement =>
      make("tr", {}, ...this.inputs[r]!.map((cell, c) => make(tag === "th" || c === 0 ? "th" : "td", {}, cell)));
    this.table.replaceChildren(make("thead", {}, line("th", 0)), make("tbody", {}, ...rows.map((_, i) => line("td", i + 1))));
  }

  private placeOf(target: EventTarget | null): { input: HTMLInputElement | null; row: number; column: number } {
    for (const [row, inputs] of this.inputs.entries()) {
      const column = inputs.indexOf(target as HTMLInputElement);
      if (column >= 0) return { input: inputs[column]!, row, column };
    }
    return { input: null, row: -1, column: -1 };
  }

  /** What is copied from a spreadsheet goes into the cells from this one on. With a header of its own it takes the place of the whole table. */
  private paste(event: ClipboardEvent): void {
    const pasted = parted(event.clipboardData?.getData("text/plain") ?? "");
    if (pasted.length === 0 || (pasted.length === 1 && pasted[0]!.length === 1)) return; // into one cell, as into any
    const { row, column, input } = this.placeOf(event.target);
    if (!input) return;
    event.preventDefault();
    if (isHeader(pasted[0]!) && !this.form.fixed) {
      this.values = pasted;
    } else {
      const cells = this.values;
      for (const [r, line] of pasted.entries()) {
        if (row + r >= mostRows) break;
        const into = (cells[row + r] ??= Array<string>(cells[0]!.length).fill(""));
        for (const [c, cell] of line.entries()) if (column + c < mostColumns) into[column + c] = cell;
      }
      this.values = cells;
    }
    this.inputs[Math.min(row, this.inputs.length - 1)]?.[column]?.focus();
    this.changed();
  }

  /** Up and down and Enter go from row to row. */
  private walk(event: KeyboardEvent): void {
    const by = { ArrowUp: -1, ArrowDown: 1, Enter: event.shiftKey ? -1 : 1 }[event.key];
    if (!by) return;
    const { row, column } = this.placeOf(event.target);
    event.preventDefault();
    const to = this.inputs[row + by]?.[column];
    to?.focus();
    to?.select();
  }
}

/** Whether a row names columns with their units, as in a_mm, d [mm] or θ (°). */
export const isHeader = (row: readonly string[]): boolean => row.filter((cell) => /^[a-zθα]+[ _[(]+(mm|m|inch|(deg|rad|°)([_/]s)?)[\])]?$/i.test(cell.trim())).length >= 2;

const clean = (cell: string): string => cell.replace(/[\t\r\n"]/g, " ").trim();

/** The cells of what was copied: parted by tabs, or by semicolons or commas where there are no tabs. */
export function parted(text: string): string[][] {
  const lines = text.replace(/\r/g, "").split("\n");
  while (lines.at(-1)?.trim() === "") lines.pop();
  const by = ["\t", ";", ","].find((mark) => lines.some((line) => line.includes(mark))) ?? "\t";
  return lines.map((line) => line.split(by).map((cell) => cell.trim()));
}
