import type { Jogs } from "../address/address";
import { byId, write } from "../basics/dom";
import { say } from "../basics/say";
import type { Frame, PlayMessage, Request, SceneRequest } from "../wire";

/** Jogs, and where the arm stands when they begin. */
export interface Playable {
  jogs: Jogs;
  scene: SceneRequest;
  frame: Frame | null;
  task: string;
}

/** The folder beside the page that jog files lie in; the server and the site's writer have it too. */
const FOLDER = "jogs/";

/** Plays the jogs that the page's address names, as often as one likes, each time from where the address has the arm. */
export class Player {
  private readonly root = byId("player");
  private readonly button = byId<HTMLButtonElement>("player-play");
  private readonly word = byId("player-word");
  private readonly stop = byId<HTMLButtonElement>("player-stop");
  private readonly says = byId("player-says");
  private what: Playable | null = null;
  private mine = false; // what is being played, or was played last

  constructor(
    private readonly ask: (request: Request) => void,
    /** The joints as they are now, degrees. */
    private readonly joints: () => readonly number[],
    private readonly problem: (message: string) => void,
  ) {
    this.button.addEventListener("click", () => void this.play());
    this.stop.addEventListener("click", () => ask({ type: "release" }));
  }

  /** What there is to be played now; null for nothing. */
  offer(what: Playable | null): void {
    this.what = what;
    this.mine = false;
    this.root.hidden = what === null;
    document.documentElement.classList.toggle("has-player", what !== null);
    this.show(false);
    write(this.says, "");
  }

  /** Something is being played, or has been. */
  set(message: PlayMessage): void {
    if (!this.mine) return;
    this.show(message.playing);
    write(this.says, said(message));
    this.says.classList.toggle("trouble", message.problem !== "");
    if (!message.playing) write(this.word, say("player.again"));
  }

  /** The arm is driven otherwise, or the connection is down. */
  forget(): void {
    this.show(false);
  }

  private show(playing: boolean): void {
    this.button.hidden = playing;
    this.stop.hidden = !playing;
    if (!this.mine) write(this.word, say("player.play"));
  }

  private async play(): Promise<void> {
    const { what } = this;
    if (!what) return;
    const lines = await linesOf(what.jogs).catch((error: unknown) => void this.problem(say("player.no-file", { what: String(error instanceof Error ? error.message : error) })));
    if (lines === undefined || what !== this.what) return;
    this.mine = true;
    const there = this.joints();
    if (what.scene.joints_deg?.every((deg, i) => Math.abs(deg - there[i]!) < 1e-3) !== true) {
      this.ask({ type: "scene", ...what.scene });
      if (what.frame) this.ask({ type: "frame", frame: what.frame, task: what.frame === "task" ? what.task : "" });
    }
    this.ask({ type: "play", name: "file" in what.jogs ? what.jogs.file : say("player.title"), text: lines });
  }
}

async function linesOf(jogs: Jogs): Promise<string> {
  if ("text" in jogs) return jogs.text;
  const answer = await fetch(new URL(FOLDER + encodeURIComponent(jogs.file), document.baseURI));
  if (!answer.ok) throw new Error(`${FOLDER}${jogs.file}: ${answer.status}`);
  return answer.text();
}

function said(m: PlayMessage): string {
  if (m.playing) return say("player.now", { next: m.done + 1, of: m.of, jog: m.jog });
  if (m.problem !== "") return m.problem;
  return m.done === m.of ? say("player.done") : say("player.stopped", { done: m.done, of: m.of });
}
