import { tab } from "../basics/remember";
import { type Reply, WIRE_VERSION } from "../wire";
import type { LinkEvents } from "./link";
import { Assembly } from "./state";

/** Reports whether another program answers than the one that this page came from. A page loads itself anew for it once, not for ever. */
function outdated(wire: number, program: string): boolean {
  const mine = document.documentElement.dataset["program"] ?? "";
  if (wire === WIRE_VERSION && program === mine) {
    tab.reloadedFor = "";
    return false;
  }
  if (tab.reloadedFor === program) return false;
  tab.reloadedFor = program;
  return true;
}

/** Takes what a bench tells over one connection, frames as bytes and all else as texts, and passes it on. */
export class Hearing {
  private readonly assembly = new Assembly();
  /** See Link. */
  fresh = false;

  constructor(
    private readonly events: LinkEvents,
    /** A bench answers. */
    private readonly welcomed: () => void,
  ) {}

  take(data: unknown): void {
    if (data instanceof ArrayBuffer) {
      this.assembly.pose(data);
      return this.tellState();
    }
    const reply = JSON.parse(String(data)) as Reply;
    if (reply.type === "welcome") {
      this.fresh = tab.bench !== reply.bench;
      tab.bench = reply.bench;
      if (outdated(reply.wire, reply.program)) {
        this.events.outdated();
        return;
      }
      this.welcomed();
    }
    if (this.assembly.take(reply)) this.tellState();
    else this.events.reply(reply);
  }

  private tellState(): void {
    const { state } = this.assembly;
    if (state) this.events.state(state);
  }
}
