// The page that holds the arm in the simulator against what a real arm's display shows. The bench chooses the poses and computes; nothing
// is sent to the real arm.
import { byId, make, saveFile, write } from "../basics/dom";
import { signed } from "../basics/format";
import { say } from "../basics/say";
import { lengthWithUnit } from "../basics/units";
import type { RealArmMessage, RealArmReading, Request } from "../wire";
import type { Grid } from "./grid";

const columns = ["j1_deg", "j2_deg", "j3_deg", "j4_deg", "j5_deg", "j6_deg", "x_mm", "y_mm", "z_mm"];

export interface RealArmEvents {
  send: (request: Request) => void;
  /** Puts an arm file in the simulator as the learner's own. */
  take: (text: string) => void;
  closed: () => void;
}

export class RealArm {
  private readonly page = byId<HTMLDialogElement>("real-arm");
  private readonly found = byId("real-arm-found");
  private readonly saves = byId<HTMLButtonElement>("real-arm-save");
  private readonly takes = byId<HTMLButtonElement>("real-arm-take");
  private grid: Grid | null = null;
  private rows: number[] = []; // of the readings that were handed in
  private file = "";
  private of = ""; // the arm and tool that were asked about

  constructor(private readonly events: RealArmEvents) {
    byId("real-arm-close").addEventListener("click", () => this.page.close());
    this.page.addEventListener("close", events.closed);
    byId("real-arm-five").addEventListener("click", () => this.askPoses(5));
    byId("real-arm-more").addEventListener("click", () => this.askPoses(12));
    this.saves.addEventListener("click", () => saveFile("own-arm.yaml", this.file, "text/yaml"));
    this.takes.addEventListener("click", () => {
      this.events.take(this.file);
      this.page.close();
    });
  }

  get shown(): boolean {
    return this.page.open;
  }

  show(shown: boolean): void {
    if (shown === this.shown) return;
    if (!shown) return this.page.close();
    this.page.showModal();
    byId("real-arm-title").focus();
    this.page.scrollTo(0, 0);
    void this.open();
  }

  set(message: RealArmMessage): void {
    write(byId("real-arm-which"), say("real-arm.which", { arm: message.arm, tool: message.tool }));
    if (message.poses_deg.length > 0) {
      const of = `${message.arm} ${message.tool}`;
      const keeps = this.of === of && this.grid && this.grid.values.length - 1 === message.poses_deg.length;
      this.of = of;
      if (this.grid && !keeps) this.grid.values = [columns, ...message.poses_deg.map((pose) => pose.map((deg) => String(Math.round(deg * 100) / 100)))];
      if (!keeps) this.clear();
      return;
    }
    this.tell(message);
  }

  private async open(): Promise<void> {
    if (!this.grid) {
      const { Grid } = await import("./grid");
      this.grid ??= new Grid(
        byId("real-arm-table"),
        { header: (column) => say("own-arm.cell.header", { column }), cell: (row, column) => say("own-arm.cell", { row, column }) },
        () => this.compare(),
        { fixed: true },
      );
    }
    this.askPoses(5);
  }

  private askPoses(poses: number): void {
    if (poses !== 5) this.of = ""; // other ones, also of the same arm
    this.events.send({ type: "real-arm", poses, readings: [] });
  }

  /** Hands in the rows that are filled in. */
  private compare(): void {
    const readings: RealArmReading[] = [];
    this.rows = [];
    const wrong: { line: number; column: number; message: string }[] = [];
    for (const [i, row] of this.grid!.values.entries()) {
      if (i === 0 || row.slice(6, 9).every((cell) => cell.trim() === "")) continue;
      const numbers = row.slice(0, 9).map((cell) => Number(cell.trim() === "" ? NaN : cell.trim().replace("\u2212", "-").replace(",", ".")));
      const bad = numbers.findIndex((x) => !Number.isFinite(x) || Math.abs(x) > 1e5);
      if (bad >= 0) {
        if (row[bad]!.trim() !== "") wrong.push({ line: i + 1, column: row.slice(0, bad).reduce((sum, cell) => sum + [...cell].length + 1, 1), message: say("real-arm.number") });
        continue;
      }
      this.rows.push(i);
      readings.push({ joints_deg: numbers.slice(0, 6) as RealArmReading["joints_deg"], at_mm: numbers.slice(6) as RealArmReading["at_mm"] });
    }
    this.grid!.mark(wrong);
    if (readings.length >= 3) this.events.send({ type: "real-arm", poses: 0, readings });
    else {
      this.clear();
      this.found.replaceChildren(make("p", {}, say("real-arm.waiting", { count: readings.length })));
    }
  }

  private clear(): void {
    this.found.replaceChildren();
    this.file = "";
    this.saves.hidden = this.takes.hidden = true;
  }

  private tell(message: RealArmMessage): void {
    const mm = (x: number): string => lengthWithUnit(x, 1);
    const off = message.off_mm.map(([x, y, z], i) => say("real-arm.off", { row: this.rows[i] ?? i + 1, off: mm(Math.hypot(x, y, z)), x: mm(x), y: mm(y), z: mm(z) }));
    const parts: HTMLElement[] = [make("p", { className: "real-arm-verdict" }, message.said)];
    if (message.causes.length > 0) parts.push(make("ul", {}, ...message.causes.map((cause) => make("li", {}, cause))));
    const { fit } = message;
    if (fit) {
      const add = fit.add_deg.map((deg, i) => `J${i + 1} ${signed(deg, 2)}°`).join(", ");
      const tcp = ["X", "Y", "Z"].map((letter, i) => `${letter} ${mm(fit.tcp_mm[i]!)}`).join(", ");
      parts.push(make("p", {}, say("real-arm.fit", { after: lengthWithUnit(fit.after_mm), before: lengthWithUnit(fit.before_mm), add, tcp })));
      if (fit.unsure) parts.push(make("p", {}, say("real-arm.fit.unsure")));
    } else if (message.causes.length === 0 && message.off_mm.length < message.enough) parts.push(make("p", {}, say("real-arm.fit.few", { enough: message.enough })));
    if (message.unseen.length > 0) parts.push(make("p", {}, say("real-arm.unseen", { joints: message.unseen.join(", ") })));
    if (message.file) parts.push(make("p", {}, say("real-arm.mended", { mm: lengthWithUnit(message.left_mm) })));
    parts.push(make("ul", { className: "number" }, ...off.map((line) => make("li", {}, line))));
    this.found.replaceChildren(...parts);
    this.file = message.file;
    this.saves.hidden = this.takes.hidden = message.file === "";
  }
}
