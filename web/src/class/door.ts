// What every page has of a class: whether there are any, and what fetches the rest when it is wanted.
import { styled } from "../basics/dom";
import type { Vector3 } from "three";
import { sayAlso, wanted } from "../basics/say";
import { embedded } from "../basics/remember";
import { ownBench, type Link } from "../link/link";
import type { OtherReply } from "../link/state";
import type { Ball } from "../predict/ball";
import type { Notices } from "../shell/notices";
import type { Shown } from "../shell/shown";
import type { Told } from "../shell/told";
import type { View } from "../view/view";
import type { Direction, Request } from "../wire";
import type { Room } from "./room";
import { seat } from "./seat";

/** What a class does to the rest of the page. */
export interface Seams {
  readonly shown: Shown;
  readonly ball: Ball;
  readonly view: View;
  readonly link: Link;
  readonly told: Told;
  readonly notices: Notices;
  ask: (request: Request) => void;
  shows: () => Extract<Request, { type: "show" }>;
  addressHere: () => string;
  /** What the address has of a class is closed. */
  left: () => void;
  /** The page is in a class now. */
  entered: () => void;
  openDrawer: () => void;
  // What the class's own script is not to fetch another copy of.
  vector: (v: readonly [number, number, number]) => Vector3;
  bothWays: readonly Vector3[];
}

/** What an address shows of a class: the way into one, or the board. */
export type Wanted = { join: string } | "board";

export class ClassDoor {
  private readonly offered = document.documentElement.dataset["classOffered"] !== undefined && ownBench() === "" && !embedded;
  private readonly teaches = this.offered && document.documentElement.dataset["teaches"] !== undefined;
  private room: Room | null = null;
  private wished: Wanted | null = null;
  private last: Direction | null = null; // that was aimed at

  constructor(private readonly seams: Seams) {
    if (this.teaches || (this.offered && seat.code !== "")) void this.load();
  }

  /** Shows what an address has of a class; false where the server has none, or it is for instructors. */
  show(what: Wanted | null): boolean {
    if (what !== null && (!this.offered || (what === "board" && !this.teaches))) return false;
    const before = this.wished;
    this.wished = what;
    if (what === null && before === null) return true;
    void this.load();
    this.room?.show(what);
    return true;
  }

  /** A direction is aimed at. */
  aimed(direction: Direction): void {
    this.last = direction;
    this.room?.aimed(direction);
  }

  /** What is read of an arm, or how, has changed. */
  reads(): void {
    this.room?.reads();
  }

  /** A message of the page's own bench; true if it is for the class alone. */
  takes(message: OtherReply): boolean {
    return this.room?.takes(message) ?? false;
  }

  private readonly load = wanted(async () => {
    const [{ Room }] = await Promise.all([import("./room"), sayAlso("class"), styled("class")]);
    this.room = new Room(this.seams, this.teaches);
    if (this.wished) this.room.show(this.wished);
    if (this.last) this.room.aimed(this.last);
    return this.room;
  });
}
