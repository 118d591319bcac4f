import { tab } from "../basics/remember";
import type { Reply, Request } from "../wire";

const FIRST_WAIT_S = 0.3;
const LONGEST_WAIT_S = 5;

export interface LinkEvents {
  reply: (reply: Reply) => void;
  up: () => void;
  /** The link is down; the next try comes in so many seconds. */
  down: (seconds: number) => void;
}

/** The connection to the bench. It comes back by itself, to the same bench. */
export class Link {
  private socket: WebSocket | null = null;
  private wait = FIRST_WAIT_S;
  private timer = 0;

  constructor(private readonly events: LinkEvents) {
    window.addEventListener("online", () => this.tryNow());
    this.connect();
  }

  get up(): boolean {
    return this.socket?.readyState === WebSocket.OPEN;
  }

  /** Sends a request. While the link is down it is dropped: the arm must not do later what was asked earlier. */
  send(request: Request): void {
    if (this.up) this.socket?.send(JSON.stringify(request));
  }

  private tryNow(): void {
    if (this.socket) return;
    window.clearTimeout(this.timer);
    this.connect();
  }

  private connect(): void {
    const url = new URL("/bench", location.href);
    url.protocol = location.protocol === "https:" ? "wss:" : "ws:";
    url.searchParams.set("id", tab.bench);
    url.searchParams.set("lang", document.documentElement.lang);
    const socket = new WebSocket(url);
    this.socket = socket;
    socket.onopen = () => this.events.up();
    socket.onmessage = (event) => {
      const reply = JSON.parse(String(event.data)) as Reply;
      if (reply.type === "welcome") {
        tab.bench = reply.bench;
        this.wait = FIRST_WAIT_S; // Only a bench that answers counts as a link that works.
      }
      this.events.reply(reply);
    };
    socket.onclose = () => {
      this.socket = null;
      this.events.down(this.wait);
      this.timer = window.setTimeout(() => this.connect(), this.wait * 1000);
      this.wait = Math.min(this.wait * 2, LONGEST_WAIT_S);
    };
  }
}
