// The page on which an arm is written as a table. The bench reads it, says what is wrong in which cell, and where the arm's axes are.
import { byId, choose, chosen, make, saveFile, write } from "../basics/dom";
import { fixed } from "../basics/format";
import { degrees } from "../basics/words";
import { recall, remember } from "../basics/remember";
import { say } from "../basics/say";
import { LARGEST_IN_ALL } from "../meshes/open";
import type { OwnArmFileMessage, OwnArmKind, OwnArmMessage, Request } from "../wire";
import { Grid } from "./grid";
import { Picture } from "./picture";
import { type Answer, Reader, type Told } from "./reader";

const draftKey = "own-arm-draft";

/** A way to write an arm as a table. */
type TableKind = Exclude<OwnArmKind, "whole">;
/** A way to bring an arm. */
type Way = TableKind | "urdf";
const ways: Way[] = ["dh", "measures", "urdf"];

const headers: Record<TableKind, string[]> = {
  dh: ["joint", "a_mm", "alpha_deg", "d_mm", "theta_deg", "lower_deg", "upper_deg", "speed_deg_s"],
  measures: ["joint", "x_mm", "y_mm", "z_mm", "axis", "reads_deg", "lower_deg", "upper_deg", "speed_deg_s"],
};

/** An invented arm, written in both ways. */
const examples: Record<TableKind, string> = {
  dh: `J1	45	-90	310	0	-165	165	160
J2	370	0	0	-90	-80	120	150
J3	30	-90	0	0	-130	75	170
J4	0	90	395	0	-180	180	260
J5	0	-90	0	0	-115	115	260
J6	0	0	85	0	-350	350	320`,
  measures: `J1	0	0	0	z		-165	165	160
J2	45	0	310	y		-80	120	150
J3	45	0	680	y		-130	75	170
J4	45	0	710	x		-180	180	260
J5	440	0	710	y		-115	115	260
J6	440	0	710	x		-350	350	320
flange	525	0	710	x
tcp	645	0	710`,
};

const rowNames: Record<TableKind, string[]> = { dh: ["J1", "J2", "J3", "J4", "J5", "J6"], measures: ["J1", "J2", "J3", "J4", "J5", "J6", "flange", "tcp"] };

const emptyTable = (kind: TableKind): string[][] => [headers[kind], ...rowNames[kind].map((name) => [name])];

interface Draft {
  kind: Way;
  name: string;
  mount: string;
  convention: string;
  forward: string;
  tables: Record<TableKind, string[][]>;
}

/** Files of a folder that an arm may be drawn with. */
const drawable = /\.(stl|obj|mtl|gltf|glb|bin|png|jpe?g)$/i;
const MOST_FILES = 100;
const LONGEST_TEXT = 60_000; // bytes
const LONGEST_URDF = 4 << 20;

export interface OwnArmFormEvents {
  send: (request: Request) => void;
  take: (text: string) => void;
  drop: () => void;
}

export class OwnArmForm {
  private readonly grid = new Grid(
    byId("own-arm-table"),
    { header: (column) => say("own-arm.cell.header", { column }), cell: (row, column) => say("own-arm.cell", { row, column }) },
    () => this.ask(),
  );
  private readonly picture = new Picture(byId<HTMLElement>("own-arm-picture") as unknown as SVGSVGElement);
  private readonly name = byId<HTMLInputElement>("own-arm-name");
  private readonly mount = byId<HTMLInputElement>("own-arm-mount");
  private readonly convention = byId<HTMLSelectElement>("own-arm-convention");
  private readonly forward = byId<HTMLSelectElement>("own-arm-forward");
  private readonly opened = byId<HTMLInputElement>("own-arm-file");
  private readonly takes = byId<HTMLButtonElement>("own-arm-take");
  private readonly saves = byId<HTMLButtonElement>("own-arm-save");
  private readonly base = byId<HTMLInputElement>("own-arm-base");
  private readonly tip = byId<HTMLInputElement>("own-arm-tip");
  private readonly folder = byId<HTMLInputElement>("own-arm-folder-files");
  private tables: Record<TableKind, string[][]> = { dh: emptyTable("dh"), measures: emptyTable("measures") };
  private urdf = { name: "", text: "" };
  private read: Answer | null = null; // what was understood of it; null until it was read
  private readonly reader = new Reader((told) => this.hear(told));
  private files = new Map<string, Blob>(); // by their paths beside the file
  private kind: Way = "dh";
  private atDeg = [0, 0, 0, 0, 0, 0];
  private sliders: { range: HTMLInputElement; said: HTMLElement; name: HTMLElement }[] = [];
  private file = "";
  private waits = false; // for what was asked last
  private asked: Way = "dh"; // in which way that was written
  private again = false; // something has changed meanwhile

  constructor(private readonly events: OwnArmFormEvents) {
    this.recallDraft();
    byId("own-arm-form").addEventListener("submit", (event) => event.preventDefault());
    for (const element of [this.name, this.mount, this.convention, this.forward]) element.addEventListener("input", () => this.ask());
    for (const element of [this.mount, this.forward, this.base, this.tip]) element.addEventListener("change", () => this.readAnew());
    for (const radio of document.querySelectorAll('input[name="own-arm-kind"]')) radio.addEventListener("change", () => this.setKind(chosen("own-arm-kind") as Way));
    byId("own-arm-example").addEventListener("click", () => this.kind !== "urdf" && this.fill([headers[this.kind], ...examples[this.kind].split("\n").map((line) => line.split("\t"))]));
    byId("own-arm-clear").addEventListener("click", () => this.kind !== "urdf" && this.fill(emptyTable(this.kind)));
    byId("own-arm-row").addEventListener("click", () => this.grid.addRow());
    this.takes.addEventListener("click", () => void this.take());
    this.saves.addEventListener("click", () => saveFile("own-arm.yaml", this.file, "text/yaml"));
    byId("own-arm-open-file").addEventListener("click", () => this.opened.click());
    byId("own-arm-urdf").addEventListener("click", () => this.opened.click());
    byId("own-arm-folder").addEventListener("click", () => this.folder.click());
    byId("own-arm-drop").addEventListener("click", () => this.events.drop());
    this.opened.addEventListener("change", () => void this.openChosen(this.opened));
    this.folder.addEventListener("change", () => void this.openChosen(this.folder));
    const page = byId("own-arm");
    page.addEventListener("dragover", (event) => event.preventDefault());
    page.addEventListener("drop", (event) => {
      event.preventDefault();
      if (event.dataTransfer) void dropped(event.dataTransfer).then((found) => this.openAll(found));
    });
  }

  /** Whether an arm is kept on this device. */
  keeps(kept: boolean): void {
    byId("own-arm-drop").hidden = !kept;
  }

  /** A new bench has not heard what was asked of the one before. */
  welcome(): void {
    this.waits = false;
    this.ask();
  }

  /** The page is opened, or has come to this way of bringing an arm. */
  open(): void {
    if (this.kind === "urdf" && !this.read) this.readAnew();
    this.ask();
  }

  /** Asks the bench what the table says. One question at a time: what is typed meanwhile is asked afterwards. */
  ask(): void {
    if (this.kind !== "urdf") this.tables[this.kind] = this.grid.values;
    this.keepDraft();
    if (this.kind === "urdf" && !this.read?.arm) return this.understand();
    if (this.waits) {
      this.again = true;
      return;
    }
    this.waits = true;
    this.asked = this.kind;
    this.again = false;
    this.events.send({
      type: "own-arm", kind: this.kind === "urdf" ? "whole" : this.kind, text: this.kind === "urdf" ? this.read!.arm : this.grid.text, name: this.name.value.trim().slice(0, 40), convention: this.convention.value as "classic" | "modified",
      forward: this.forward.value, mount_height_mm: this.mountHeight, at_deg: this.atDeg as [number, number, number, number, number, number],
    });
  }

  set(message: OwnArmMessage): void {
    this.waits = false;
    if (this.asked === this.kind && (this.kind !== "urdf" || this.read?.arm)) this.show(message); // else it is about what is gone
    if (this.again) this.ask();
  }

  private show(message: OwnArmMessage): void {
    this.picture.set(message);
    this.setSliders(message);
    this.file = message.file;
    this.takes.disabled = this.saves.disabled = message.file === "";
    const count = message.joints.length;
    const soFar = this.kind === "urdf" ? "" : say("own-arm.so-far", { count });
    byId("own-arm-form").ariaBusy = String(this.reader.reads);
    if (!this.reader.reads) write(byId("own-arm-status"), message.file ? say("own-arm.whole", { solver: message.solver }) : soFar);
    if (this.kind === "urdf") this.tell([...(this.read?.problems ?? []), ...message.problems].map((p) => ({ text: p.line > 1 ? say("own-arm.file.problem", { line: p.line, column: p.column, message: p.message }) : p.message, cell: null })));
    else if (this.grid.blank) this.tell([]); // there is nothing yet that could be wrong
    else this.tell(message.problems.map((p, i) => ({ text: p.message, cell: this.grid.mark(message.problems)[i] ?? null })));
    const notes = [...(this.kind === "urdf" ? (this.read?.notes ?? []) : []), ...message.notes];
    byId("own-arm-understood").hidden = notes.length === 0;
    byId("own-arm-notes").replaceChildren(...notes.map((note) => make("li", {}, note)));
  }

  /** A file that was opened is no arm. */
  refused(message: OwnArmFileMessage): void {
    this.tell(message.problems.map((p) => ({ text: say("own-arm.file.problem", { line: p.line, column: p.column, message: p.message }), cell: null })));
  }

  private tell(problems: { text: string; cell: HTMLInputElement | null }[]): void {
    byId("own-arm-problems").replaceChildren(
      ...problems.map(({ text, cell }) => {
        if (!cell) return make("li", {}, text);
        const to = make("button", { type: "button", className: "own-arm-problem" }, `${cell.getAttribute("aria-label")}: ${text}`);
        to.addEventListener("click", () => cell.focus());
        return make("li", {}, to);
      }),
    );
  }

  private get mountHeight(): number {
    return Number(this.mount.value.replace(",", ".")) || 0;
  }

  /** Reads the URDF file that was chosen, if one is wanted. */
  private readAnew(): void {
    if (this.kind !== "urdf" || this.urdf.text === "") return;
    this.read = null;
    this.reader.read({
      file: this.urdf.name, text: this.urdf.text, base: this.base.value.trim(), tip: this.tip.value.trim(), forward: this.forward.value, mount_height_mm: this.mountHeight,
      files: this.files,
    });
    this.understand();
    this.hear({ loading: 0 });
  }

  private hear(told: Told): void {
    const status = byId("own-arm-status");
    if ("loading" in told) write(status, say("own-arm.urdf.loading", { percent: fixed(100 * told.loading, 0) }));
    else if ("reading" in told) write(status, say("own-arm.urdf.reading", { file: told.reading }));
    else if ("absent" in told || "failed" in told) {
      this.understand();
      this.tell([{ text: "absent" in told ? say("own-arm.urdf.absent") : say("own-arm.urdf.failed", { why: told.failed }), cell: null }]);
    } else {
      this.read = told.answer;
      this.ask();
    }
  }

  /** The page is left, and with it what is being read; it is read again when the page is opened. */
  leave(): void {
    this.reader.stop();
  }

  private setKind(kind: Way): void {
    if (this.kind !== "urdf") this.tables[this.kind] = this.grid.values;
    this.kind = kind;
    this.showKind();
    if (kind === "urdf") this.open();
    else this.fill(this.tables[kind]);
  }

  private showKind(): void {
    for (const part of document.querySelectorAll<HTMLElement>("[data-own-arm]")) part.hidden = !part.dataset["ownArm"]!.split(" ").includes(this.kind);
  }

  /** Shows what there is of an arm that is not read, or cannot be. */
  private understand(): void {
    this.show({ problems: [], notes: [], joints: [], way_mm: [], end: null, file: "", solver: "" });
  }

  private fill(cells: string[][]): void {
    this.grid.values = cells;
    this.ask();
  }

  private setSliders(message: OwnArmMessage): void {
    const list = byId("own-arm-sliders");
    while (this.sliders.length > message.joints.length) {
      this.sliders.pop();
      list.lastElementChild?.remove();
    }
    for (const [i, joint] of message.joints.entries()) {
      const slider = this.sliders[i] ?? this.addSlider(list, i);
      write(slider.name, joint.name);
      slider.range.setAttribute("aria-label", joint.name);
      slider.range.min = String(Math.ceil(joint.limits_deg[0]));
      slider.range.max = String(Math.floor(joint.limits_deg[1]));
      if (document.activeElement !== slider.range) slider.range.value = String(joint.at_deg);
      write(slider.said, degrees(joint.at_deg));
    }
  }

  private addSlider(list: HTMLElement, i: number): { range: HTMLInputElement; said: HTMLElement; name: HTMLElement } {
    const slider = { range: make("input", { type: "range", step: "1" }), said: make("span", { className: "number" }), name: make("span", { className: "joint-name" }) };
    slider.range.addEventListener("input", () => {
      this.atDeg[i] = Number(slider.range.value);
      this.ask();
    });
    for (const event of ["focus", "pointerenter"] as const) slider.range.addEventListener(event, () => this.picture.choose(i));
    list.append(make("li", {}, make("label", {}, slider.name, " ", make("span", { ariaHidden: "true" }, "−"), slider.range, make("span", { ariaHidden: "true" }, "+")), slider.said));
    this.sliders.push(slider);
    return slider;
  }

  private async openChosen(input: HTMLInputElement): Promise<void> {
    const found = new Map([...(input.files ?? [])].map((file) => [file.webkitRelativePath.split("/").slice(1).join("/") || file.name, file]));
    input.value = ""; // so that the same can be chosen again
    await this.openAll(found);
  }

  /** Opens an arm file, or a URDF file with the files of meshes around it. Files without either go with the URDF file that was chosen before. */
  private async openAll(found: ReadonlyMap<string, File>): Promise<void> {
    if (found.size === 0) return;
    const arms = [...found].filter(([path]) => /\.(ya?ml|urdf|xml)$/i.test(path));
    const urdfs = arms.filter(([path]) => !/\.ya?ml$/i.test(path));
    const [path, file] = (urdfs.length > 0 ? urdfs : arms)[0] ?? [];
    const meshes = [...found].filter(([name]) => drawable.test(name));
    const bytes = meshes.reduce((sum, [, { size }]) => sum + size, 0);
    if (bytes > LARGEST_IN_ALL) return this.tell([{ text: say("own-arm.file.meshes", { mb: fixed(bytes / 2 ** 20, 0), most: LARGEST_IN_ALL >> 20 }), cell: null }]);
    const several = found.size > 1 && urdfs.length > 1 && this.urdf.text !== "";
    if (!file || !path || several) {
      if (this.urdf.text === "" || meshes.length === 0) return this.tell([{ text: say("own-arm.file.none"), cell: null }]);
    } else {
      const isArm = /\.ya?ml$/i.test(path);
      if (file.size > (isArm ? LONGEST_TEXT : LONGEST_URDF)) return this.tell([{ text: say("own-arm.file.large"), cell: null }]);
      const text = await file.text();
      if (isArm) {
        await this.hand(new Map(meshes));
        return this.events.take(text);
      }
      if (found.size === 1) this.files.clear();
      this.urdf = { name: file.name, text };
    }
    // Paths are those beside the file.
    const beside = path && !several ? path.split("/").slice(0, -1).join("/") : "";
    if (meshes.length > 0) this.files = new Map(meshes.flatMap(([name, blob]) => (beside === "" ? [[name, blob]] : name.startsWith(`${beside}/`) ? [[name.slice(beside.length + 1), blob]] : [])));
    write(byId("own-arm-chosen"), say("own-arm.urdf.chosen", { file: this.urdf.name, count: this.files.size }));
    choose("own-arm-kind", "urdf");
    this.read = null;
    if (this.kind === "urdf") this.open();
    else this.setKind("urdf");
  }

  private async take(): Promise<void> {
    await this.hand(this.kind === "urdf" ? this.files : new Map());
    this.events.take(this.file);
  }

  /** Hands over what the arm is drawn with. */
  private async hand(files: ReadonlyMap<string, Blob>): Promise<void> {
    const { take } = await import("../meshes/meshed");
    await take(files); // A page that is loaded anew right after has them.
  }

  private keepDraft(): void {
    const draft: Draft = { kind: this.kind, name: this.name.value, mount: this.mount.value, convention: this.convention.value, forward: this.forward.value, tables: this.tables };
    remember(draftKey, JSON.stringify(draft));
  }

  private recallDraft(): void {
    try {
      const draft = JSON.parse(recall(draftKey) ?? "") as Draft;
      const table = (kind: TableKind): string[][] => draft.tables[kind].map((row) => row.map(String));
      this.tables = { dh: table("dh"), measures: table("measures") };
      if (ways.includes(draft.kind)) this.kind = draft.kind;
      this.name.value = draft.name;
      this.mount.value = draft.mount;
      this.convention.value = draft.convention;
      this.forward.value = draft.forward;
    } catch {
      // Nothing was written yet.
    }
    choose("own-arm-kind", this.kind);
    this.showKind();
    this.grid.values = this.tables[this.kind === "urdf" ? "dh" : this.kind];
  }
}

/** The files that were dropped, with those of folders, by their paths in the folder. */
async function dropped(data: DataTransfer): Promise<ReadonlyMap<string, File>> {
  const found = new Map<string, File>();
  const entries = [...data.items].map((item) => item.webkitGetAsEntry()).filter((entry) => entry !== null);
  const walk = async (entry: FileSystemEntry, path: string): Promise<void> => {
    if (found.size >= 10 * MOST_FILES) return;
    if (entry.isFile) {
      found.set(path, await new Promise<File>((done, failed) => (entry as FileSystemFileEntry).file(done, failed)));
      return;
    }
    const reader = (entry as FileSystemDirectoryEntry).createReader();
    for (;;) {
      const some = await new Promise<FileSystemEntry[]>((done, failed) => reader.readEntries(done, failed));
      if (some.length === 0) return;
      for (const one of some) await walk(one, path === "" ? one.name : `${path}/${one.name}`);
    }
  };
  for (const entry of entries) await walk(entry, entry.isFile ? entry.name : "");
  return found;
}
