import { same } from "../input/aim";
import { isPast } from "./refusal";
import { byId, saveFile, write } from "../basics/dom";
import { say } from "../basics/say";
import { unbroken } from "../basics/format";
import { directionMark, logEntryTitle, logEntryWords, playState, stepText } from "../basics/words";
import type { Direction, LogEntry, LogFile, LogMessage, PlayMessage, Request, Setup, StopMessage } from "../wire";

/** How many of the last jogs are listed; the file has them all. */
const LISTED = 12;

export interface LogEvents {
  /** Whether a jog lasts as long as it is held, which decides how one is made again. */
  holding: () => boolean;
  /** A step is about to be made again: the page shows that one, whatever else was in hand. */
  again: (direction: Direction) => void;
  /** The file that was asked for is to become a link. */
  share: (file: LogFile) => void;
}

/** What was driven, with the way back and forth; and the file of jogs, to be saved and to be played. */
export class LogPanel {
  private readonly list = byId<HTMLOListElement>("log-lines");
  private readonly empty = byId("log-empty");
  private readonly undoButton = byId<HTMLButtonElement>("undo");
  private readonly redoButton = byId<HTMLButtonElement>("redo");
  private readonly againButton = byId<HTMLButtonElement>("again");
  private readonly save = byId<HTMLButtonElement>("log-save");
  private readonly linkButton = byId<HTMLButtonElement>("log-link");
  private readonly choose = byId<HTMLButtonElement>("log-play");
  private readonly stop = byId<HTMLButtonElement>("play-stop");
  private readonly file = byId<HTMLInputElement>("play-file");
  private readonly played = byId("play-state");
  private readonly problem = byId("play-problem");
  private entries: LogEntry[] = []; // the last ones
  private first = 0; // how many there were before them
  private readonly undone: LogEntry[] = []; // the last one first to be driven anew
  private redoing: LogEntry | null = null;
  private log = 0; // which one it is
  private last: Direction | null = null; // in which was driven last
  private refused: Direction | null = null; // what was refused, until something else was jogged
  private advised: number | null = null; // but for the joint that helps there

  /** Whether a file is being played. */
  playing = false;

  private linked = false; // the file that was asked for is to become a link

  private setup: Setup | null = null;

  constructor(
    private readonly ask: (request: Request) => void,
    private readonly events: LogEvents,
  ) {
    this.undoButton.addEventListener("click", () => this.undo());
    this.redoButton.addEventListener("click", () => this.redo());
    this.againButton.addEventListener("click", () => this.again());
    this.save.addEventListener("click", () => ask({ type: "save-log" }));
    this.linkButton.addEventListener("click", () => {
      this.linked = true;
      ask({ type: "save-log" });
    });
    this.choose.addEventListener("click", () => this.file.click());
    this.stop.addEventListener("click", () => ask({ type: "release" }));
    this.file.addEventListener("change", () => void this.play());
    document.addEventListener("visibilitychange", () => {
      if (document.hidden && this.playing) ask({ type: "release" }); // nobody watches
    });
  }

  undo(): void {
    this.ask({ type: "undo" });
  }

  /** Drives anew what was undone last. */
  redo(): void {
    const entry = this.undone.at(-1);
    if (!entry) return;
    this.redoing = entry;
    this.drive(entry);
  }

  /** Makes the last jog once more, or tries again what was refused. */
  again(): void {
    const entry = this.entries.at(-1);
    const direction = this.refused ?? (this.events.holding() ? null : this.last);
    if (direction) {
      this.events.again(direction);
      this.ask({ type: "step", direction });
    } else if (entry) this.drive(entry);
  }

  private drive(entry: LogEntry): void {
    this.ask({ type: "play", name: say("log.redo"), text: entry.again });
  }

  /** What stopped the last jog. */
  setStop({ direction, reason, trouble, advised }: StopMessage): void {
    this.last = direction;
    if (trouble && reason === "contact") this.refused = null; // which nobody is asked to try again
    else if (trouble) [this.refused, this.advised] = [direction, advised];
    else if (!this.helps(direction)) this.refused = null;
    this.showButtons();
  }

  /** The arm has begun to move: elsewhere than what was refused, and than what helps there, it is that no more. */
  setMoving(direction: Direction): void {
    if (!this.refused || same(direction, this.refused) || this.helps(direction)) return;
    this.refused = null;
    this.showButtons();
  }

  /** Whether a jog is made before what was refused is tried again. */
  private helps({ frame, axis }: Direction): boolean {
    return frame === "joint" && axis === this.advised;
  }

  /** Another arm, or another place of it: there is no way back from here. */
  clear(): void {
    this.last = this.refused = null;
    this.undone.length = 0;
    this.showButtons();
  }

  private showButtons(): void {
    this.redoButton.disabled = this.undone.length === 0;
    this.againButton.disabled = !this.last && this.entries.length === 0;
    write(this.againButton, this.refused ? unbroken(this.againWay(this.refused)) : say("log.again"));
  }

  /** What was refused is tried by one step, also while a jog lasts as long as it is held: then by how much is said. */
  private againWay(direction: Direction): string {
    const way = directionMark(direction);
    return this.events.holding() && this.setup ? say("log.again.way.by", { way, amount: stepText(direction, this.setup.increment) }) : say("log.again.way", { way });
  }

  setSetup(setup: Setup): void {
    const before = this.setup;
    this.setup = setup;
    if (before && this.refused && isPast({ direction: this.refused, advised: this.advised }, before, setup)) this.refused = null;
    this.showButtons();
  }

  /** Steps or holding was chosen: what was refused is tried again no more. */
  setManner(): void {
    this.refused = null;
    this.showButtons();
  }

  /** Says anew what is made again, in another unit. */
  sayAgain(): void {
    this.showButtons();
  }

  setLog(message: LogMessage): void {
    if (message.log !== this.log) this.entries.length = this.undone.length = 0; // Nothing of another log was undone.
    this.log = message.log;
    const before = this.first + this.entries.length;
    const count = message.from + message.entries.length;
    const last = this.entries.at(-1);
    const old = this.entries.slice(Math.max(0, message.from - this.first));
    const retold = old.length > 0 && old.length === message.entries.length && old.every((entry, i) => entry.again === message.entries[i]!.again); // in other words
    this.entries = [...this.entries.slice(Math.max(0, message.first - this.first), Math.max(0, message.from - this.first)), ...message.entries];
    this.first = message.first;
    if (count === before - 1 && last) this.undone.push(last); // an undo
    else if (message.entries.length > 0 && !retold) {
      // What was driven anew is undone no more; anything else is another way, from which nothing leads on.
      if (this.redoing) this.undone.pop();
      else this.undone.length = 0;
    }
    this.redoing = null;
    this.showButtons();
    this.empty.hidden = this.entries.length > 0;
    this.undoButton.disabled = !message.undo;
    this.save.disabled = this.linkButton.disabled = this.entries.length === 0;
    this.list.start = count;
    this.list.replaceChildren(...this.entries.slice(-LISTED).reverse().map(item));
  }

  /** Saves the log in the form that `handrule trace` reads, and that can be played; or gives the link that plays it. */
  saveFile(message: LogFile): void {
    if (this.linked) {
      this.linked = false;
      this.events.share(message);
    } else saveFile(message.name, message.text, "text/plain");
  }

  setPlay(message: PlayMessage): void {
    this.playing = message.playing;
    this.stop.hidden = !message.playing;
    this.choose.hidden = message.playing;
    this.played.hidden = message.count === 0; // nothing was ever to be played
    write(this.played, playState(message));
    this.problem.hidden = message.problem === "";
    write(this.problem, message.problem);
  }

  /** The link is down, and with it the play. */
  forget(): void {
    this.playing = false;
    this.stop.hidden = true;
    this.choose.hidden = false;
    this.played.hidden = true;
  }

  private async play(): Promise<void> {
    const file = this.file.files?.[0];
    this.file.value = ""; // so that the same file can be chosen again
    if (file) this.ask({ type: "play", name: file.name, text: await file.text() });
  }
}

function item(entry: LogEntry): HTMLLIElement {
  const li = document.createElement("li");
  const line = document.createElement("span");
  line.textContent = entry.line;
  const more = document.createElement("span");
  more.className = entry.trouble ? "log-more trouble" : "log-more";
  more.textContent = logEntryWords(entry);
  li.title = logEntryTitle(entry);
  li.append(line, " ", more);
  return li;
}
