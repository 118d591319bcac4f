import type { View } from "../view/view";
import { WebmReader, webm } from "./webm";

/** What a browser may record, best first. */
const kinds = ["video/webm;codecs=vp9", "video/webm;codecs=vp8", "video/webm", "video/mp4"];

/** So much that letters stay sharp at full HD. */
const BITS_PER_SECOND = 12e6;

/** A picture at least so often also while nothing moves, so that a player can go to any place. */
const EVERY_MS = 250;

/** So often one that is packed without the others, where the browser lets that be chosen. */
const KEY_EVERY_MS = 1000;

/** A picture lasts at least so long. */
const SHOWN_MS = 40;

/** A recorder that has packed nothing new after so many pictures packs none any more. */
const PATIENCE = 100;

/** The canvas, recorded from now on. Nothing of it leaves the page. */
export class Clip {
  private readonly chunks: Blob[] = [];
  private reader: WebmReader | null; // where it is WebM
  private read: Promise<void> = Promise.resolve();
  private readonly recorder: MediaRecorder;
  private began = performance.now();
  private readonly drawing: number;
  ended = false;

  /** Null where the browser cannot record. What comes then is in the clip: its first picture is drawn. */
  static async of(view: View): Promise<Clip | null> {
    const { canvas } = view;
    if (!canvas || !("captureStream" in canvas) || typeof MediaRecorder === "undefined") return null;
    const kind = kinds.find((k) => MediaRecorder.isTypeSupported(k));
    if (!kind) return null;
    const clip = new Clip(view, canvas, kind);
    await clip.drawn();
    clip.began = performance.now(); // A recorder's time begins with its first picture, which a slow machine draws some time later.
    return clip;
  }

  private constructor(
    private readonly view: View,
    canvas: HTMLCanvasElement,
    kind: string,
  ) {
    view.setRecorded(true);
    const options: MediaRecorderOptions & { videoKeyFrameIntervalDuration: number } = { mimeType: kind, videoBitsPerSecond: BITS_PER_SECOND, videoKeyFrameIntervalDuration: KEY_EVERY_MS };
    this.recorder = new MediaRecorder(canvas.captureStream(), options);
    this.reader = kind.startsWith("video/webm") ? new WebmReader() : null;
    this.recorder.ondataavailable = ({ data }) => this.take(data);
    this.recorder.start(EVERY_MS);
    this.drawing = window.setInterval(() => view.redraw(), EVERY_MS);
  }

  /** Draws another picture; where none can be drawn any more, that is not waited for. */
  private async drawn(): Promise<boolean> {
    const before = this.view.frames();
    this.view.redraw();
    for (let looks = 0; (looks < 60 || this.view.drawing) && this.view.frames() === before; looks++) await new Promise((next) => requestAnimationFrame(next));
    return this.view.frames() > before;
  }

  /** How long it is by now. */
  get ms(): number {
    return performance.now() - this.began;
  }

  private take(data: Blob): void {
    this.chunks.push(data);
    this.read = this.read.then(async () => {
      try {
        this.reader?.take(new Uint8Array(await data.arrayBuffer()));
      } catch {
        this.reader = null; // A clip as the browser made it is better than none.
      }
    });
  }

  /** Ends it, with a last picture of how all stands now. */
  async end(): Promise<{ blob: Blob; ms: number }> {
    this.close();
    await this.drawn();
    const { ms } = this;
    // What a recorder has not packed when it ends it throws away, and it may be some pictures behind: it goes on until it is past this one.
    for (let looks = 0; looks < PATIENCE && this.packed < ms + SHOWN_MS && (await this.drawn()); looks++) await this.read;
    await this.stopped();
    await this.read;
    const type = this.recorder.mimeType;
    const { tracks, pictures } = this.reader ?? { tracks: null, pictures: [] };
    if (!tracks || pictures.length === 0) return { blob: new Blob(this.chunks, { type }), ms };
    const shown = pictures.filter((_, i) => i === 0 || pictures[i - 1]!.ms < ms); // one more, to be sure
    const long = shown.at(-1)!.ms + SHOWN_MS;
    return { blob: new Blob(webm(tracks, shown, long), { type }), ms: long };
  }

  /** Up to when its pictures are packed. */
  private get packed(): number {
    return this.reader?.pictures.at(-1)?.ms ?? 0;
  }

  /** Ends it, and throws it away. */
  async drop(): Promise<void> {
    this.close();
    await this.stopped();
  }

  private close(): void {
    this.ended = true;
    window.clearInterval(this.drawing);
  }

  private async stopped(): Promise<void> {
    const stopped = new Promise((done) => (this.recorder.onstop = done));
    this.recorder.stop();
    await stopped;
    for (const track of this.recorder.stream.getTracks()) track.stop();
    this.view.setRecorded(false);
  }
}
