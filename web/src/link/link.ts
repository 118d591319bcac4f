// The one seam between the page and its bench. What the page asks and is told is the same wherever the bench is: behind a socket, or in a worker.
import type { Request } from "../wire";
import { WorkerLink } from "./alone";
import { SocketLink } from "./socket";
import type { OtherReply, State } from "./state";

/** The connection to the bench. */
export interface Link {
  readonly up: boolean;
  /** Whether the bench is another than the one that was asked for, if any was: it stands as it was made. */
  readonly fresh: boolean;
  /** Sends a request. While the link is down it is dropped: the arm must not do later what was asked earlier. */
  send(request: Request): void;
  /** Connects anew to the same bench, because whose it is has changed. */
  again(): void;
  /** Connects at once, unless there is a connection. */
  tryNow(): void;
}

export interface LinkEvents {
  reply: (reply: OtherReply) => void;
  /** The arm as it is now. */
  state: (state: State) => void;
  up: () => void;
  /** Another program answers than the one that this page came from. */
  outdated: () => void;
  /** The link is down, or the server could not take the page, and says why; the next try comes in so many seconds. */
  down: (seconds: number, why: string) => void;
  /** The bench is another's now, and the page waits until it is asked to come back. */
  lost: (to: Whom) => void;
  /** The bench itself is fetched, and so far it has come: from 0 to 1. */
  loading: (part: number) => void;
}

/** To whom a bench went: another page that opened it, or somebody else, because nothing was done here for long. */
export type Whom = "page" | "other";

/** The folder with a bench of the page's own, an address; "" where the page's server has it. */
export const ownBench = (): string => document.documentElement.dataset["own"] ?? "";

/** Opens the connection that there is. */
export const openLink = (events: LinkEvents): Link => (ownBench() === "" ? new SocketLink(events) : new WorkerLink(events, ownBench()));
