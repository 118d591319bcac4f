import { sayAlso, wanted } from "../basics/say";
import type { PlayMessage, Request } from "../wire";
import type { Playable, Player } from "./player";

/** What plays the jogs that an address names; it comes with the first address that names some. */
export class LatePlayer {
  private player: Player | null = null;
  private what: Playable | null = null;
  private readonly make: () => Promise<Player | null>;

  constructor(...of: [ask: (request: Request) => void, joints: () => readonly number[], problem: (message: string) => void]) {
    this.make = wanted(async () => {
      const [{ Player }] = await Promise.all([import("./player"), sayAlso("player")]);
      return (this.player = new Player(...of));
    });
  }

  /** Whether there is anything to be played. */
  get has(): boolean {
    return this.what !== null;
  }

  offer(what: Playable | null): void {
    this.what = what;
    if (this.player) this.player.offer(what);
    else if (what) void this.make().then((player) => player?.offer(this.what));
  }

  set(message: PlayMessage): void {
    this.player?.set(message);
  }

  forget(): void {
    this.player?.forget();
  }
}
