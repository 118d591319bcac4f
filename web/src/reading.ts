import { byId, chosen, choose, within, write } from "./dom";
import { fixed, length, type Unit } from "./format";
import { recall, remember } from "./remember";
import { legend, LETTERS, notUnique, readingCaption, slowed, tcpSpeed } from "./words";
import type { Frame, State } from "./wire";

/** Where the TCP or the flange is, in numbers. */
export class ReadingPanel {
  private readonly root = byId("where");
  private readonly caption = byId("reading-caption");
  private readonly note = byId("unique");
  private readonly speed = byId("tcp-speed");
  private readonly quaternion = byId("quaternion");
  private readonly positions = LETTERS.map((l) => within(this.root, `[data-position="${l}"]`));
  private readonly angles = LETTERS.map((l) => within(this.root, `[data-angle="${l}"]`));
  private readonly units = [...this.root.querySelectorAll<HTMLElement>(".unit")];
  private readonly matrix = [...this.root.querySelectorAll<HTMLElement>(".matrix td")];
  private state: State | null = null;

  constructor(unitChanged: () => void) {
    choose("whose", recall("whose") === "flange" ? "flange" : "tcp");
    choose("unit", recall("unit") === "inch" ? "inch" : "mm");
    within(this.root, ".where-picks").addEventListener("change", () => {
      remember("whose", chosen("whose"));
      remember("unit", chosen("unit"));
      if (this.state) this.setState(this.state);
      unitChanged();
    });
  }

  get unit(): Unit {
    return chosen("unit") === "inch" ? "inch" : "mm";
  }

  setState(state: State): void {
    this.state = state;
    const whose = chosen("whose") === "flange" ? "flange" : "tcp";
    const reading = state[whose];
    write(this.caption, readingCaption(whose));
    reading.position_mm.forEach((mm, i) => write(this.positions[i]!, length(mm, this.unit)));
    reading.fixed_xyz_deg.forEach((deg, i) => write(this.angles[i]!, fixed(deg, 2)));
    for (const unit of this.units) write(unit, this.unit === "inch" ? "in" : "mm");
    this.note.hidden = reading.unique;
    write(this.note, reading.unique ? "" : notUnique(reading.fixed_xyz_deg[1]));
    write(this.speed, tcpSpeed(state) + (state.moving && state.slowed_by ? `. ${slowed(state.slowed_by)}` : ""));
    write(this.quaternion, reading.quaternion_wxyz.map((v) => fixed(v, 4)).join("  "));
    reading.rotation.flat().forEach((v, i) => write(this.matrix[i]!, fixed(v, 4)));
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
