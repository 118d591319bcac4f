import { byId, make, write } from "../basics/dom";
import { fixed } from "../basics/format";
import { say } from "../basics/say";
import { readingCaption, stopped } from "../basics/words";
import type { State } from "../link/state";
import type { Ground } from "../view/scene";
import type { View } from "../view/view";
import type { WalkChoice } from "../view/walk";
import type { LogMessage, PlayMessage, Request, StopMessage } from "../wire";
import type { Captions } from "./captions";
import type { Clip } from "./clip";

export interface PicturesOf {
  view: View;
  ask: (request: Request) => void;
  /** What the coordinate walk leads to; null where the lesson does without. */
  walk: () => WalkChoice | null;
  /** What the arm is called, in a file's name and in words. */
  arm: () => { id: string; name: string };
}

/** A clip that ends with a file that was played shows for so long how the arm stands. */
const REST_MS = 700;
const FULL_HD = { width: 1920, height: 1080 };

/** Pictures, drawings and clips of the arm, which the browser saves. What makes each is loaded when it is first asked for. */
export class PicturesPanel {
  private readonly width = byId<HTMLInputElement>("picture-width");
  private readonly height = byId<HTMLInputElement>("picture-height");
  private readonly ground = byId<HTMLSelectElement>("picture-ground");
  private readonly says = byId("pictures-says");
  private readonly begin = byId<HTMLButtonElement>("clip-begin");
  private readonly play = byId<HTMLButtonElement>("clip-play");
  private readonly file = byId<HTMLInputElement>("clip-file");
  private readonly end = byId<HTMLButtonElement>("clip-end");
  private readonly saves = byId("clip-saves");
  private clip: Clip | null = null;
  private captions: Captions | null = null;
  private logged = 0; // jogs
  private moving = false;
  private plays: "not" | "soon" | "now" = "not"; // a file, with which the clip ends
  private clock = 0;

  constructor(private readonly of: PicturesOf) {}

  async savePicture(): Promise<void> {
    const { bare } = await import("./png");
    const canvas = this.of.view.picture(this.width.valueAsNumber, this.height.valueAsNumber, this.ground.value as Ground);
    const blob = canvas && (await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/png")));
    if (!blob) return write(this.says, say("pictures.failed"));
    const png = bare(new Uint8Array(await blob.arrayBuffer()));
    this.save(new Blob([png], { type: "image/png" }), "png");
  }

  async saveDrawing(): Promise<void> {
    const { drawingOf } = await import("./drawing");
    const choice = this.of.walk();
    if (!choice) return write(this.says, say("pictures.no-walk"));
    const { width, height } = this.drawingSize();
    const lines = this.of.view.linework(width, height, choice);
    if (!lines) return write(this.says, say("pictures.failed"));
    const caption = `${this.of.arm().name} · ${readingCaption(choice.of, choice.inFrame)}`;
    const title = `${caption}: ${lines.dimensions.slice(0, 3).map((d) => d.text).join(", ")}`;
    const svg = drawingOf(lines, { title, caption, language: document.documentElement.lang });
    this.save(new Blob([svg], { type: "image/svg+xml" }), "svg");
  }

  /** A drawing has no pixels; it is as wide by high as the picture would be, and its letters are those of a window. */
  private drawingSize(): { width: number; height: number } {
    const [w, h] = [this.width, this.height].map((input) => (input.checkValidity() ? input.valueAsNumber : 0)) as [number, number];
    const { width, height } = w > 0 && h > 0 ? { width: w, height: h } : FULL_HD;
    const scale = Math.min(1280 / width, 720 / height);
    return { width: width * scale, height: height * scale };
  }

  private save(blob: Blob, ending: string): void {
    const href = URL.createObjectURL(blob);
    make("a", { href, download: `${this.of.arm().id}.${ending}` }).click();
    URL.revokeObjectURL(href);
    write(this.says, say("pictures.saved"));
  }

  async record(): Promise<boolean> {
    const [{ Clip }, { Captions }] = await Promise.all([import("./clip"), import("./captions")]);
    if (this.clip || this.begin.disabled) return false;
    this.begin.disabled = this.play.disabled = true;
    this.clip = await Clip.of(this.of.view);
    if (!this.clip) {
      this.begin.disabled = this.play.disabled = false;
      write(this.says, say("clip.not-here"));
      return false;
    }
    this.captions = new Captions();
    if (this.moving) this.captions.begin(0);
    this.end.hidden = false;
    write(this.says, "");
    this.tick();
    this.clock = window.setInterval(() => this.tick(), 1000);
    return true;
  }

  private tick(): void {
    if (this.clip) write(byId("clip-time"), minutes(this.clip.ms));
  }

  async stop(): Promise<void> {
    const { clip, captions } = this;
    if (!clip || !captions || clip.ended) return;
    this.ending();
    const { blob, ms } = await clip.end();
    this.ready();
    const { id } = this.of.arm();
    for (const [link, file, name] of [
      ["clip-save", blob, `${id}.${blob.type.startsWith("video/mp4") ? "mp4" : "webm"}`],
      ["clip-captions", new Blob([captions.file(ms)], { type: "text/vtt" }), `${id}.vtt`],
    ] as const) {
      const anchor = byId<HTMLAnchorElement>(link);
      if (anchor.href) URL.revokeObjectURL(anchor.href);
      anchor.href = URL.createObjectURL(file);
      anchor.download = name;
    }
    this.saves.hidden = false;
    write(this.says, say("clip.made", { time: minutes(ms), megabytes: fixed(blob.size / 1e6, 1) }));
  }

  /** What was to be recorded does not come: there is no clip of it. */
  private async drop(why: string): Promise<void> {
    const { clip } = this;
    if (!clip || clip.ended) return;
    this.ending();
    await clip.drop();
    this.ready();
    write(this.says, say("clip.refused", { why }));
  }

  private ending(): void {
    window.clearInterval(this.clock);
    this.plays = "not";
    this.end.hidden = true;
  }

  private ready(): void {
    this.clip = this.captions = null;
    this.begin.disabled = this.play.disabled = false;
  }

  async recordFile(): Promise<void> {
    const file = this.file.files?.[0];
    this.file.value = ""; // so that the same file can be chosen again
    if (!file) return;
    const text = await file.text();
    if (!(await this.record())) return;
    this.plays = "soon";
    this.of.ask({ type: "play", name: file.name, text });
  }

  setState(state: State): void {
    this.moving = state.moving !== null;
    if (this.moving) this.captions?.begin(this.clip!.ms);
  }

  /** A jog has ended. What was driven is told by the log; what was refused from the beginning is told here. */
  setStop(stop: StopMessage): void {
    if (!this.captions || !stop.trouble || this.captions.underWay) return;
    const { text, stop: why } = stopped(stop);
    this.captions.end(this.clip!.ms, text + why);
  }

  setLog({ from, entries }: LogMessage): void {
    const before = this.logged;
    this.logged = from + entries.length;
    const last = entries.at(-1);
    if (!this.captions || !last || this.logged <= before) return;
    this.captions.end(this.clip!.ms, last.trouble ? say("clip.cue.stopped", { jog: last.line, why: last.ended }) : last.line);
  }

  /** What was asked cannot be done. */
  setProblem(message: string): void {
    if (this.plays === "soon") void this.drop(message);
  }

  setPlay({ playing, of, problem }: PlayMessage): void {
    if (this.plays === "not") return;
    if (playing) this.plays = "now";
    else if (of === 0) void this.drop(problem.split("\n")[0]!); // a file that cannot be read
    else {
      this.plays = "not";
      window.setTimeout(() => void this.stop(), REST_MS);
    }
  }
}

const minutes = (ms: number): string => `${Math.floor(ms / 60_000)}:${String(Math.floor(ms / 1000) % 60).padStart(2, "0")}`;
