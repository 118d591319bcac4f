import { byId, saveFile, write } from "../basics/dom";
import { logEntryTitle, logEntryWords, playState } from "../basics/words";
import type { LogEntry, LogFile, LogMessage, PlayMessage, Request } from "../wire";

/** How many of the last jogs are listed; the file has them all. */
const LISTED = 12;

/** What was driven, with the way back; and the file of jogs, to be saved and to be played. */
export class LogPanel {
  private readonly list = byId<HTMLOListElement>("log-lines");
  private readonly empty = byId("log-empty");
  private readonly undo = byId<HTMLButtonElement>("undo");
  private readonly save = byId<HTMLButtonElement>("log-save");
  private readonly choose = byId<HTMLButtonElement>("log-play");
  private readonly stop = byId<HTMLButtonElement>("play-stop");
  private readonly file = byId<HTMLInputElement>("play-file");
  private readonly played = byId("play-state");
  private readonly problem = byId("play-problem");
  private readonly entries: LogEntry[] = [];

  /** Whether a file is being played. */
  playing = false;

  constructor(private readonly ask: (request: Request) => void) {
    this.undo.addEventListener("click", () => ask({ type: "undo" }));
    this.save.addEventListener("click", () => ask({ type: "save-log" }));
    this.choose.addEventListener("click", () => this.file.click());
    this.stop.addEventListener("click", () => ask({ type: "release" }));
    this.file.addEventListener("change", () => void this.play());
    document.addEventListener("visibilitychange", () => {
      if (document.hidden && this.playing) ask({ type: "release" }); // nobody watches
    });
  }

  setLog(message: LogMessage): void {
    this.entries.splice(message.from, Infinity, ...message.entries);
    this.empty.hidden = this.entries.length > 0;
    this.undo.disabled = !message.undo;
    this.save.disabled = this.entries.length === 0;
    this.list.start = this.entries.length;
    this.list.replaceChildren(...this.entries.slice(-LISTED).reverse().map(item));
  }

  /** Saves the log in the form that `handrule trace` reads, and that can be played. */
  saveFile(message: LogFile): void {
    saveFile(message.name, message.text, "text/plain");
  }

  setPlay(message: PlayMessage): void {
    this.playing = message.playing;
    this.stop.hidden = !message.playing;
    this.choose.hidden = message.playing;
    this.played.hidden = false;
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
