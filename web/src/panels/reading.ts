import { byId, chosen, choose, fill, hide, tell, within, write } from "../basics/dom";
import { inUnit, length, readIn, readingUnit, toMM, unitSign } from "../basics/units";
import type { State } from "../link/state";
import { say } from "../basics/say";
import { Wraps } from "./wraps";
import { formOf, orientationRows } from "./orientation";
import { recall, remember } from "../basics/remember";
import { degrees, frameName, legend, LETTERS, readingBrief, readingCaption, slowed, tcpSpeed } from "../basics/words";
import type { CellMessage, Form, Frame, ReadInRequest, Request, Setup } from "../wire";

type FrameChoice = Pick<ReadInRequest, "frame" | "task">;

const frameOf = (value: string): FrameChoice => {
  const [frame = "base", task = ""] = value.split(" ");
  return { frame: frame as Frame, task };
};

const valueOf = ({ frame, task }: FrameChoice): string => `${frame} ${task}`.trim();

/** One place of the page that shows the numbers. */
class Numbers {
  private readonly brief: HTMLElement; // what is read, in few words
  private readonly positions: HTMLElement[];
  private readonly units: HTMLElement[];
  private readonly turnNames: HTMLElement[];
  private readonly turnSigns: HTMLElement[]; // in place of the names where there is little room
  private readonly turns: HTMLElement[];

  constructor(root: HTMLElement) {
    const all = (selector: string) => [...root.querySelectorAll<HTMLElement>(selector)];
    this.brief = within(root, ".reading-frame");
    this.positions = LETTERS.map((l) => within(root, `[data-position="${l}"]`));
    this.units = all(".unit");
    this.turnNames = all(".turn-name");
    this.turnSigns = all(".turn-sign");
    this.turns = all(".turn");
  }

  show(position: number[], orientation: number[], brief: string, form: Form): void {
    write(this.brief, brief);
    tell(this.brief, "data-unit", unitSign());
    position.forEach((mm, i) => write(this.positions[i]!, length(mm)));
    for (const element of this.units) write(element, unitSign());
    const rows = orientationRows(form, orientation);
    if (!rows) return;
    this.turns.forEach((cell, i) => {
      write(this.turnNames[i]!, rows[i]?.name ?? "");
      this.turnNames[i]!.closest(".about")?.classList.toggle("nameless", !rows[i]?.name); // With :empty in :has(), any text that changes would cost the styles of the whole page.
      if (this.turnSigns[i]) write(this.turnSigns[i], rows[i]?.sign ?? "");
      write(cell, rows[i]?.value ?? "");
      cell.classList.toggle("dense", form === "matrix");
    });
    hide(this.turns[3]!.parentElement!, rows.length < 4);
  }
}

/** Where the TCP or the flange is, in numbers. */
export class ReadingPanel {
  private readonly root = byId("where");
  private readonly caption = byId("reading-caption");
  private readonly numbers = [new Numbers(this.root), new Numbers(byId("readout"))];
  private readonly note = byId("unique");
  private readonly speed = byId("tcp-speed");
  private readonly form = byId<HTMLSelectElement>("form");
  private readonly readIn = byId<HTMLSelectElement>("read-in");
  private readonly rail = byId<HTMLInputElement>("rail-at");
  private state: State | null = null;
  private cell: CellMessage | null = null;
  private inFrame: FrameChoice = { frame: "base", task: "" };
  private readonly wraps = new Wraps();
  private put: number | null = null;
  private moved = false;

  /** Picked is called when the learner reads in another way: another point, unit or form; before it, unitChosen where it is the unit. */
  constructor(picked: () => void, unitChosen: () => void, ask: (request: Request) => void) {
    this.readIn.addEventListener("change", () => ask({ type: "read-in", ...frameOf(this.readIn.value) }));
    this.rail.addEventListener("change", () => {
      if (this.rail.reportValidity()) ask({ type: "rail", mm: Math.min(Number(this.rail.dataset["to"]), Math.max(Number(this.rail.dataset["from"]), toMM(this.rail.valueAsNumber))) });
    });
    choose("whose", recall("whose") === "flange" ? "flange" : "tcp");
    choose("unit", readingUnit());
    this.form.value = formOf(recall("form"));
    within(this.root, ".where-picks").addEventListener("change", () => {
      remember("whose", chosen("whose"));
      if (chosen("unit") !== readingUnit()) {
        readIn(chosen("unit") === "inch" ? "inch" : "mm");
        if (this.cell) this.setCell(this.cell);
        unitChosen();
      }
      remember("form", this.form.value);
      this.wraps.forget();
      if (this.state) this.setState(this.state);
      picked();
    });
  }

  /** The frames that positions can be read in. */
  setCell(cell: CellMessage): void {
    this.cell = cell;
    byId("rail").hidden = cell.rail === null;
    if (cell.rail) {
      const { from_mm: from, to_mm: to, at_mm: at } = cell.rail;
      Object.assign(this.rail.dataset, { from, to });
      const number = (mm: number): string => String(Number(inUnit(mm).toFixed(3)));
      [this.rail.min, this.rail.max, this.rail.value] = [number(from), number(to), number(at)];
    }
    const tasks = cell.tasks.map((t): FrameChoice => ({ frame: "task", task: t.name }));
    const frames: FrameChoice[] = [{ frame: "world", task: "" }, { frame: "base", task: "" }, ...tasks];
    fill(this.readIn, frames.map((f) => ({ value: valueOf(f), text: frameName(f) })));
    this.readIn.value = valueOf(this.inFrame);
  }

  setSetup(setup: Setup): void {
    if (valueOf(setup.read_in) !== valueOf(this.inFrame)) this.wraps.forget();
    this.inFrame = setup.read_in;
    this.readIn.value = valueOf(this.inFrame);
  }

  /** What is read, and in which frame. */
  get choice(): { of: "tcp" | "flange"; inFrame: FrameChoice } {
    return { of: chosen("whose") === "flange" ? "flange" : "tcp", inFrame: this.inFrame };
  }

  /** In which form the orientation is read. */
  get orientation(): Form {
    return formOf(this.form.value);
  }

  /** Follows what is read through every state, also those that are not shown. */
  follow(state: State): void {
    if (state.put !== this.put) this.wraps.forget();
    this.put = state.put;
    if (state.moving && !this.moved) this.wraps.begin();
    this.moved = state.moving !== null;
    this.wraps.see(state.orientation, state.note.text !== "");
  }

  /** Which angles passed ±180° in the jog that has ended, and how they are written, in a sentence each; "" for none. From here on the next jog counts. */
  takeWraps(): string {
    const { found } = this.wraps;
    const rows = (numbers: number[]) => orientationRows(this.orientation, numbers);
    const numbers = this.state?.orientation ?? [];
    const said = found.map(({ row, whole, written }) => {
      const { name, value } = rows(numbers.map((n, i) => (i === row ? written : n)))![row]!;
      return say("stop.wraps", { name: name.charAt(0).toUpperCase() + name.slice(1), whole: degrees(whole), written: value });
    });
    this.wraps.begin();
    return said.join(" ");
  }

  setState(state: State): void {
    this.state = state;
    const whose = this.choice.of;
    write(this.caption, readingCaption(whose, this.inFrame));
    const form = this.orientation;
    for (const place of this.numbers) place.show(state[whose].position_mm, state.orientation, readingBrief(whose, this.inFrame), form);
    hide(this.note, state.note.text === "");
    write(this.note, state.note.text);
    write(this.speed, tcpSpeed(state) + (state.moving && state.slowed_by ? `. ${slowed(state.slowed_by)}` : ""));
  }

  setFrame(frame: Frame): void {
    const { title, lines } = legend(frame);
    write(byId("legend-title"), title);
    byId("legend-list").replaceChildren(
      ...lines.map(({ letter, text }) => {
        const item = document.createElement("li");
        if (letter) {
          const chip = document.createElement("span");
          chip.className = `chip chip-${letter}`;
          chip.textContent = letter;
          item.append(chip, " ");
        }
        item.append(text);
        return item;
      }),
    );
  }
}
