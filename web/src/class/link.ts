import type { Reply } from "../wire";
import type { ClassReply, ClassRequest, Problem } from "./wire";

const FIRST_WAIT_S = 0.3;
const LONGEST_WAIT_S = 5;

const ofTheClass = new Set<string>(["class-wait", "class-welcome", "class", "mine", "front", "look", "question", "answers", "board", "classes", "class-opened", "class-problem"] satisfies ClassReply["type"][]);

export interface ClassEvents {
  reply: (message: ClassReply) => void;
  /** What the arm that is followed tells, as a bench does. */
  arm: (data: string | ArrayBuffer) => void;
  up: (up: boolean) => void;
  /** The connection is not to be tried again as it is. */
  over: (problem: Problem) => void;
}

/** The page's connection to its class. It comes back by itself, until it is told not to. */
export class ClassLink {
  private socket: WebSocket | null = null;
  private wait = FIRST_WAIT_S;
  private timer = 0;
  private closed = false;

  /** token is asked for at each try, because the first may be answered with one. */
  constructor(
    readonly code: string,
    private readonly token: () => string,
    private readonly learner: boolean,
    private readonly events: ClassEvents,
  ) {
    window.addEventListener("online", this.online);
    this.connect();
  }

  get up(): boolean {
    return this.socket?.readyState === WebSocket.OPEN;
  }

  /** Sends a request; false while there is no connection. */
  send(request: ClassRequest | { type: string }): boolean {
    if (this.up) this.socket?.send(JSON.stringify(request));
    return this.up;
  }

  close(): void {
    this.closed = true;
    window.clearTimeout(this.timer);
    window.removeEventListener("online", this.online);
    this.socket?.close();
    this.socket = null;
  }

  private readonly online = (): void => {
    if (this.socket || this.closed) return;
    window.clearTimeout(this.timer);
    this.connect();
  };

  private connect(): void {
    const url = new URL("class", document.baseURI);
    url.protocol = location.protocol === "https:" ? "wss:" : "ws:";
    url.hash = "";
    url.searchParams.set("code", this.code);
    url.searchParams.set("token", this.token());
    if (this.learner) url.searchParams.set("as", "learner"); // whoever else uses this browser
    url.searchParams.set("lang", document.documentElement.lang);
    const socket = new WebSocket(url);
    socket.binaryType = "arraybuffer";
    this.socket = socket;
    socket.onmessage = ({ data }: MessageEvent<string | ArrayBuffer>) => this.take(data);
    socket.onclose = () => {
      this.socket = null;
      if (this.closed) return;
      this.events.up(false);
      this.timer = window.setTimeout(() => this.connect(), this.wait * 1000);
      this.wait = Math.min(this.wait * 2, LONGEST_WAIT_S);
    };
  }

  private take(data: string | ArrayBuffer): void {
    if (this.closed) return;
    if (typeof data !== "string") return this.events.arm(data);
    const message = JSON.parse(data) as ClassReply | Reply;
    if (!ofTheClass.has(message.type)) return this.events.arm(data);
    const reply = message as ClassReply;
    if (reply.type === "class-problem" && reply.fatal) {
      this.close();
      this.events.over(reply);
      return;
    }
    if (reply.type === "class-welcome") {
      this.wait = FIRST_WAIT_S;
      this.events.up(true);
    }
    this.events.reply(reply);
  }
}
