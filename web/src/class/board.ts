import { byId, make, write } from "../basics/dom";
import { short } from "../basics/format";
import { say, type Key } from "../basics/say";
import { files } from "./desk";
import { groupsTable } from "./groups";
import type { Room } from "./room";
import type { AskedView, BoardRow, TroubleView } from "./wire";

/** The class at a glance, for its instructor: where each learner is, who is stuck, and what goes wrong. */
export class Board {
  private readonly dialog = byId<HTMLDialogElement>("class-board");
  private readonly sum = byId("class-board-sum");
  private readonly glance = byId("class-glance");
  private readonly rows = byId("class-rows");
  private readonly none = byId("class-board-none");
  private readonly troubles = byId("class-troubles");
  private readonly asked = byId("class-asked");
  private readonly hide = byId("class-board-hide");
  private readonly large = byId("class-board-large");
  private readonly legend = byId("class-legend");
  private readonly toOne = byId<HTMLDialogElement>("class-to-one");
  private readonly hint = byId<HTMLTextAreaElement>("class-hint-text");
  private readonly lines = new Map<string, Line>();
  private watching = false;
  private files = "";
  private drawn = { troubles: "", asked: "" };
  private to = ""; // the learner whom something is sent to

  constructor(private readonly room: Room) {
    byId("class-board-close").addEventListener("click", () => this.dialog.close());
    this.dialog.addEventListener("close", () => {
      this.set();
      room.seams.left();
    });
    this.large.addEventListener("click", () => this.enlarge(!this.dialog.classList.contains("large")));
    new ResizeObserver(() => this.sizeTiles()).observe(this.glance);
    this.hide.addEventListener("click", () => room.send({ type: "rules", names_hidden: !room.now.room?.names_hidden }));
    this.toOne.addEventListener("close", (event) => {
      event.stopPropagation();
      const text = this.hint.value.trim();
      if (this.toOne.returnValue === "hint" && text) room.send({ type: "hint", learner: this.to, text });
      this.hint.value = this.toOne.returnValue = "";
    });
  }

  show(shown: boolean): void {
    if (shown === this.dialog.open) return;
    if (!shown) return this.dialog.close();
    this.dialog.showModal();
    byId("class-board-title").focus();
    this.enlarge(document.documentElement.classList.contains("projected"));
    this.set();
  }

  /** Shows the tiles alone, as large as the screen, or all. */
  private enlarge(on: boolean): void {
    this.dialog.classList.toggle("large", on);
    this.large.setAttribute("aria-pressed", String(on));
    this.sizeTiles();
  }

  /** The largest tiles of which all fit. */
  private sizeTiles(): void {
    if (!this.dialog.classList.contains("large")) return;
    const { clientWidth: width, clientHeight: height, childElementCount: count } = this.glance;
    this.glance.style.setProperty("--tile", `${tileSize(width, height, count)}px`);
  }

  set(): void {
    const { board, room: cls, up, looksAt } = this.room.now;
    const { code } = this.room;
    const wanted = code !== "" && up && (this.dialog.open || looksAt !== "");
    if (!up || code === "") this.watching = false;
    if (wanted !== this.watching && up && code !== "") {
      this.watching = wanted;
      this.room.send({ type: "watch-over", on: wanted });
    }
    if (!this.dialog.open) return;
    if (code !== this.files) {
      this.files = code;
      byId("class-board-files").replaceChildren(...(code ? files(code) : []));
    }
    this.hide.hidden = code === "";
    this.hide.setAttribute("aria-pressed", String(cls?.names_hidden ?? false));
    const all = board?.rows ?? [];
    write(this.none, say(code === "" ? "class.board.no-class" : "class.board.none"));
    this.none.hidden = all.length > 0;
    const count = (is: (row: BoardRow) => boolean): number => all.filter(is).length;
    write(this.sum, all.length === 0 ? "" : [say("class.here", { here: count((r) => r.here), learners: all.length }), say("class.hands", { count: count((r) => r.hand) }), say("class.board.stuck", { count: count((r) => r.stuck !== "") })].join(" · "));
    this.setRows(all);
    this.setGlance(all);
    this.setTroubles(board?.troubles ?? []);
    this.setAsked(board?.asked ?? []);
  }

  /** Rows keep their place and their focus while what they say changes. */
  private setRows(all: readonly BoardRow[]): void {
    const there = new Set(all.map((r) => r.learner));
    for (const [learner, line] of this.lines) {
      if (there.has(learner)) continue;
      if (line.element.contains(document.activeElement)) byId("class-board-title").focus();
      line.element.remove();
      this.lines.delete(learner);
    }
    all.forEach((row, i) => {
      let line = this.lines.get(row.learner);
      if (!line) this.lines.set(row.learner, (line = new Line(row.learner, this)));
      line.set(row, i);
      if (this.rows.children[i] !== line.element) this.rows.insertBefore(line.element, this.rows.children[i] ?? null);
    });
  }

  /**
   * The class at a glance, without names: a tile for each learner, filled as far as they are, with a mark where they are stuck or
   * a hand is up. The table says the same in words.
   */
  private setGlance(all: readonly BoardRow[]): void {
    this.legend.hidden = all.length === 0;
    const before = this.glance.childElementCount;
    while (this.glance.childElementCount > all.length) this.glance.lastElementChild!.remove();
    all.forEach((row, i) => {
      let tile = this.glance.children[i] as HTMLElement | undefined;
      if (!tile) this.glance.append((tile = make("li")));
      tile.className = [row.stuck !== "" ? "stuck" : "", row.hand ? "hand" : "", row.here ? "" : "away"].filter(Boolean).join(" ");
      tile.style.setProperty("--part", String(row.tasks > 0 ? row.done / row.tasks : 0));
      write(tile, row.hand ? "↑" : row.stuck !== "" ? "!" : row.tasks > 0 && row.done === row.tasks ? "✓" : row.stage > 0 ? String(row.stage) : "·");
    });
    if (before !== all.length) this.sizeTiles();
  }

  /** Does something with one learner. */
  act(what: "look" | "hint" | "send" | "drive" | "remove", row: BoardRow, name: string): void {
    const { learner } = row;
    if (what === "look") {
      this.room.lookAt(learner);
      this.dialog.close();
    } else if (what === "hint") {
      this.to = learner;
      write(byId("class-to-one-title"), say("class.hint.to", { name }));
      this.toOne.showModal();
      this.hint.focus();
    } else if (what === "send") this.room.send({ type: "send", address: this.room.seams.addressHere(), learner });
    else if (what === "drive") this.room.send({ type: "hand-over", learner: row.drives ? "" : learner });
    else this.room.send({ type: "remove", learner });
  }

  private setTroubles(all: readonly TroubleView[]): void {
    const drawn = JSON.stringify(all);
    if (drawn === this.drawn.troubles) return;
    this.drawn.troubles = drawn;
    this.troubles.replaceChildren(
      ...all.map((t) => {
        const how = make("ul", {}, ...t.how.map((g) => make("li", {}, make("b", {}, `${g.count} × ${g.name || g.given}`), g.says ? ` ${g.says}` : "")));
        return make("li", {}, make("b", {}, `${t.lesson}: ${t.stage}`), make("p", {}, say("class.trouble", { there: t.there, done: t.done, failed: t.failed })), how);
      }),
    );
    if (all.length === 0) this.troubles.append(make("li", { className: "note" }, say("class.troubles.none")));
  }

  private setAsked(all: readonly AskedView[]): void {
    const drawn = JSON.stringify(all);
    if (drawn === this.drawn.asked) return;
    this.drawn.asked = drawn;
    this.asked.replaceChildren(
      ...all.map((a) => make("li", {}, make("b", {}, a.text), ...(a.right ? [make("p", {}, make("b", {}, say("class.right")), " ", a.right)] : []), ...(a.rounds.length > 0 ? [groupsTable(a.rounds, false)] : []))),
    );
    if (all.length === 0) this.asked.append(make("li", { className: "note" }, say("class.asked.none")));
  }
}

const columns = ["at", "done", "tries", "quiet", "stuck", "right", "results"] as const;
const acts = ["look", "hint", "send", "drive", "remove"] as const;

/** A learner's line of the board. */
class Line {
  readonly element = make("tr", { role: "row" });
  private row: BoardRow | null = null;
  private name = "";
  private readonly head = make("th", { scope: "row", role: "rowheader" });
  private readonly mark = make("span", { className: "class-hand" });
  private readonly called = make("span");
  private readonly cells = columns.map((column) => make("td", { role: "cell", className: column === "at" ? "class-where" : column === "stuck" ? "class-stuck" : column === "quiet" ? "" : "number" }));
  private readonly buttons: HTMLButtonElement[];
  private sure = 0; // the timer while a removal waits to be pressed once more

  constructor(learner: string, board: Board) {
    this.element.id = `class-row-${learner}`;
    this.head.append(this.called, " ", this.mark);
    this.buttons = acts.map((what) => {
      const button = make("button", { type: "button", className: "plain" });
      button.addEventListener("click", () => {
        if (!this.row) return;
        if (what === "remove" && !this.sure) return this.ask(button);
        this.calm();
        board.act(what, this.row, this.name);
      });
      return button;
    });
    columns.forEach((column, i) => {
      if (column !== "at") this.cells[i]!.dataset["head"] = `${say(`class.column.${column}`)}:`;
    });
    this.element.append(this.head, ...this.cells, make("td", { className: "class-acts-of", role: "cell" }, ...this.buttons));
  }

  set(row: BoardRow, at: number): void {
    this.row = row;
    this.name = row.name || say("class.board.unnamed", { number: at + 1 });
    write(this.called, this.name);
    write(this.mark, [row.hand ? `↑ ${say("class.hand.up")}` : "", row.drives ? say("class.drives.row") : "", row.here ? "" : say("class.away")].filter(Boolean).join(" · "));
    this.element.classList.toggle("away", !row.here);
    this.element.classList.toggle("stuck", row.stuck !== "");
    this.element.classList.toggle("hand", row.hand);
    const where = row.lesson === "" ? say("class.free") : say("class.at", { lesson: row.lesson, stage: row.stage, stages: row.stages, title: row.title });
    const texts = [where, row.tasks > 0 ? `${row.done} / ${row.tasks}` : "", row.tries > 0 ? String(row.tries) : "", ago(row.quiet_s), row.stuck, String(row.right), String(row.results)];
    texts.forEach((text, i) => write(this.cells[i]!, text));
    this.buttons.forEach((button, i) => {
      const what = acts[i]!;
      const key: Key = what === "drive" && row.drives ? "class.act.take-back" : `class.act.${what}`;
      if (!(what === "remove" && this.sure)) write(button, say(key));
      this.label(button);
      button.disabled = !row.here && (what === "look" || what === "drive");
    });
  }

  private label(button: HTMLButtonElement): void {
    button.setAttribute("aria-label", say("class.act.for", { act: button.textContent ?? "", name: this.name }));
  }

  /** A removal is pressed twice, because the device cannot come back. */
  private ask(button: HTMLButtonElement): void {
    write(button, say("class.act.remove.sure"));
    this.label(button);
    button.classList.add("taken");
    this.sure = window.setTimeout(() => this.calm(), 6000);
  }

  private calm(): void {
    window.clearTimeout(this.sure);
    this.sure = 0;
    const remove = this.buttons.at(-1)!;
    remove.classList.remove("taken");
    write(remove, say("class.act.remove"));
    this.label(remove);
  }
}

/** Between tiles, px. */
const GAP = 5;
const LARGEST = 240;

/** How large the tiles can be of which so many fit into a space, px. */
export function tileSize(width: number, height: number, count: number): number {
  let best = 0;
  for (let columns = 1; columns <= count; columns++) {
    const rows = Math.ceil(count / columns);
    best = Math.max(best, Math.min((width - GAP) / columns - GAP, (height - GAP) / rows - GAP));
  }
  return Math.floor(Math.min(best, LARGEST));
}

/** How long ago something was, as roughly as is of interest. */
function ago(seconds: number): string {
  if (seconds < 20) return say("class.now");
  if (seconds < 90) return say("class.ago.seconds", { count: Math.round(seconds / 10) * 10 });
  return say("class.ago.minutes", { count: short(Math.round(seconds / 60), 0) });
}
