import { byId, write } from "../basics/dom";
import { say, wanted } from "../basics/say";
import type { State } from "../link/state";
import type { LogMessage, PlayMessage, StopMessage } from "../wire";
import type { PicturesOf, PicturesPanel } from "./pictures";

/** The buttons of pictures and clips. What they do comes with the first press of one. */
export class LatePictures {
  private panel: PicturesPanel | null = null;
  private state: State | null = null;
  private log: LogMessage | null = null;

  constructor(private readonly of: PicturesOf) {
    const file = byId<HTMLInputElement>("clip-file");
    byId<HTMLFormElement>("picture-form").addEventListener("submit", (event) => {
      event.preventDefault();
      this.does((panel) => panel.savePicture());
    });
    byId("drawing-save").addEventListener("click", () => this.does((panel) => panel.saveDrawing()));
    byId("clip-begin").addEventListener("click", () => this.does((panel) => panel.record()));
    byId("clip-end").addEventListener("click", () => this.does((panel) => panel.stop()));
    byId("clip-play").addEventListener("click", () => file.click());
    file.addEventListener("change", () => this.does((panel) => panel.recordFile()));
  }

  private does(what: (panel: PicturesPanel) => unknown): void {
    void this.make().then((panel) => (panel ? what(panel) : write(byId("pictures-says"), say("pictures.failed"))));
  }

  private readonly make = wanted(async () => {
    const { PicturesPanel } = await import("./pictures");
    this.panel = new PicturesPanel(this.of);
    if (this.state) this.panel.setState(this.state);
    if (this.log) this.panel.setLog(this.log);
    return this.panel;
  });

  setState(state: State): void {
    this.state = state;
    this.panel?.setState(state);
  }

  setLog(log: LogMessage): void {
    this.log = log;
    this.panel?.setLog(log);
  }

  setStop(stop: StopMessage): void {
    this.panel?.setStop(stop);
  }

  setProblem(message: string): void {
    this.panel?.setProblem(message);
  }

  setPlay(play: PlayMessage): void {
    this.panel?.setPlay(play);
  }
}
