import { tab } from "../basics/remember";
import { benchIsOf } from "../class/seat";
import type { Request } from "../wire";
import { Hearing } from "./hearing";
import type { Link, LinkEvents, Whom } from "./link";

const FIRST_WAIT_S = 0.3;
const LONGEST_WAIT_S = 5;

/** With these the server says to whom a bench went; see server/registry.go. */
const LOST_TO = new Map<number, Whom>([
  [4001, "page"],
  [4002, "other"],
]);

/** With this the server says, in words, why it cannot take the page now. */
const LATER = 1013;

/** The connection to a bench on the server. It comes back by itself, to the same bench. */
export class SocketLink implements Link {
  private socket: WebSocket | null = null;
  private hearing: Hearing | null = null;
  private wait = FIRST_WAIT_S;
  private timer = 0;
  private waits = false; // until it is asked to come back

  constructor(private readonly events: LinkEvents) {
    window.addEventListener("online", () => !this.waits && this.tryNow());
    this.connect();
  }

  get up(): boolean {
    return this.socket?.readyState === WebSocket.OPEN;
  }

  get fresh(): boolean {
    return this.hearing?.fresh ?? false;
  }

  send(request: Request): void {
    if (this.up) this.socket?.send(JSON.stringify(request));
  }

  tryNow(): void {
    if (this.socket) return;
    this.waits = false;
    window.clearTimeout(this.timer);
    this.connect();
  }

  again(): void {
    const { socket } = this;
    if (!socket) return;
    this.socket = null; // what it tells when it closes is no news
    socket.onclose = socket.onmessage = null;
    socket.close();
    this.connect();
  }

  private connect(): void {
    const url = new URL("bench", document.baseURI);
    url.protocol = location.protocol === "https:" ? "wss:" : "ws:";
    url.hash = ""; // A socket's address has none.
    url.searchParams.set("id", tab.bench);
    const author = new URLSearchParams(location.search).get("author");
    if (author) url.searchParams.set("author", author); // whom errors in files are told
    url.searchParams.set("lang", document.documentElement.lang);
    const whose = benchIsOf();
    if (whose) {
      url.searchParams.set("class", whose.code);
      url.searchParams.set("token", whose.token);
    }
    const socket = new WebSocket(url);
    socket.binaryType = "arraybuffer";
    // Only a bench that answers counts as a link that works.
    const hearing = new Hearing(this.events, () => (this.wait = FIRST_WAIT_S));
    this.socket = socket;
    this.hearing = hearing;
    socket.onopen = () => this.events.up();
    socket.onmessage = (event) => hearing.take(event.data);
    socket.onclose = ({ code, reason }) => {
      this.socket = null;
      const to = LOST_TO.get(code);
      if (to) {
        this.waits = true; // Two pages that take the bench from each other would never end.
        this.events.lost(to);
        return;
      }
      this.events.down(this.wait, code === LATER ? reason : "");
      this.timer = window.setTimeout(() => this.connect(), this.wait * 1000);
      this.wait = Math.min(this.wait * 2, LONGEST_WAIT_S);
    };
  }
}
