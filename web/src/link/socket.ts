import { tab } from "../basics/remember";
import { type Reply, type Request, WIRE_VERSION } from "../wire";
import { Assembly, type OtherReply, type State } from "./state";

const FIRST_WAIT_S = 0.3;
const LONGEST_WAIT_S = 5;

export interface LinkEvents {
  reply: (reply: OtherReply) => void;
  /** The arm as it is now. */
  state: (state: State) => void;
  up: () => void;
  /** Another program serves than the one that this page came from. */
  outdated: () => void;
  /** The link is down; the next try comes in so many seconds. */
  down: (seconds: number) => void;
  /** The bench is another's now, and the page waits until it is asked to come back. */
  lost: (to: Whom) => void;
}

/** To whom a bench went: another page that opened it, or somebody else, because nothing was done here for long. */
export type Whom = "page" | "other";

/** With these the server says so; see server/registry.go. */
const LOST_TO = new Map<number, Whom>([
  [4001, "page"],
  [4002, "other"],
]);

/** Reports whether another program serves than the one that this page came from. A page loads itself anew for it once, not for ever. */
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

/** The connection to the bench. It comes back by itself, to the same bench. */
export class Link {
  private socket: WebSocket | null = null;
  private wait = FIRST_WAIT_S;
  private timer = 0;
  private waits = false; // until it is asked to come back
  /** Whether the bench is another than the one that was asked for, if any was: it stands as it was made. */
  fresh = false;

  constructor(private readonly events: LinkEvents) {
    window.addEventListener("online", () => !this.waits && this.tryNow());
    this.connect();
  }

  get up(): boolean {
    return this.socket?.readyState === WebSocket.OPEN;
  }

  /** Sends a request. While the link is down it is dropped: the arm must not do later what was asked earlier. */
  send(request: Request): void {
    if (this.up) this.socket?.send(JSON.stringify(request));
  }

  /** Connects at once, unless there is a connection. */
  tryNow(): void {
    if (this.socket) return;
    this.waits = false;
    window.clearTimeout(this.timer);
    this.connect();
  }

  private connect(): void {
    const url = new URL("/bench", location.href);
    url.protocol = location.protocol === "https:" ? "wss:" : "ws:";
    url.searchParams.set("id", tab.bench);
    url.searchParams.set("lang", document.documentElement.lang);
    const socket = new WebSocket(url);
    socket.binaryType = "arraybuffer";
    const assembly = new Assembly();
    const told = (): void => {
      const { state } = assembly;
      if (state) this.events.state(state);
    };
    this.socket = socket;
    socket.onopen = () => this.events.up();
    socket.onmessage = (event) => {
      if (event.data instanceof ArrayBuffer) {
        assembly.pose(event.data);
        return told();
      }
      const reply = JSON.parse(String(event.data)) as Reply;
      if (reply.type === "welcome") {
        this.fresh = tab.bench !== reply.bench;
        tab.bench = reply.bench;
        if (outdated(reply.wire, reply.program)) {
          this.events.outdated();
          return;
        }
        this.wait = FIRST_WAIT_S; // Only a bench that answers counts as a link that works.
      }
      if (assembly.take(reply)) told();
      else this.events.reply(reply);
    };
    socket.onclose = ({ code }) => {
      this.socket = null;
      const to = LOST_TO.get(code);
      if (to) {
        this.waits = true; // Two pages that take the bench from each other would never end.
        this.events.lost(to);
        return;
      }
      this.events.down(this.wait);
      this.timer = window.setTimeout(() => this.connect(), this.wait * 1000);
      this.wait = Math.min(this.wait * 2, LONGEST_WAIT_S);
    };
  }
}
