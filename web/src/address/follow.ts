import { embedded, tab } from "../basics/remember";
import { say } from "../basics/say";
import type { State } from "../link/state";
import type { Frame, Request, SceneRequest, Setup, ViewFrom } from "../wire";
import type { Playable } from "../embed/player";
import { type Address, formatAddress, type Jogs, parseAddress, RESULT } from "./address";

/** What the page opens with: the arm over its work, in a pose from which every direction has room. */
const opening: SceneRequest = { arm: "wren", cell: "glazing-bench", tool: "", joints_deg: [-20, 10, 10, 0, 70, 0] };

/** The pages that lie over the arm and have an address of their own. */
export type PageOver = "lessons" | "own-arm" | "real-arm";

const pageOf = (address: Address): PageOver | null => (address.of === "lessons" || address.of === "own-arm" || address.of === "real-arm" ? address.of : null);

export interface Places {
  ask: (request: Request) => void;
  /** Opens a lesson, "" for none; comes is whether the page has just come to its bench. */
  openLesson: (id: string, stage: number | null, comes: boolean) => void;
  /** Goes to another stage of the lesson that is open. */
  showStage: (stage: number) => void;
  /** Shows the result of a lesson that is open, or that is being opened. */
  showResult: (id: string) => void;
  /** Shows one of the pages that lie over the arm, or none. */
  showPage: (page: PageOver | null) => void;
  /** Shows the way into a class, the board of one, or neither; false where there are none. */
  showClass: (what: { join: string } | "board" | null) => boolean;
  look: (from: ViewFrom) => void;
  problem: (message: string) => void;
  /** What the address names to be played; null for nothing. */
  offer: (what: Playable | null) => void;
}

/** Opens what the page's address names, and lets the address tell which lesson is open at which stage. */
export class Follow {
  private waits: Extract<Address, { of: "arm" | "lesson" }> | null = null; // asked for, and not answered yet
  private first = true; // the bench is the first that this page has come to
  private bare = false; // the bench has only what it was made with
  private put = -1;
  private setup: Setup | null = null;
  private placed = false; // the arm stands where the address that is asked for has it, and its frame is not chosen yet
  private under = ""; // the address that a page over the arm was opened from
  private lesson: { id: string; stage: number | typeof RESULT } = { id: "", stage: 0 };

  constructor(private readonly places: Places) {
    window.addEventListener("hashchange", ({ oldURL }) => this.changed(parseAddress(location.hash), new URL(oldURL).hash));
  }

  /** A page over the arm is closed: the address tells again what lies under it. */
  left(page: PageOver): void {
    if (parseAddress(location.hash).of === page) replace(this.addressOfLesson());
  }

  /** The way into a class is closed, or its board. */
  leftClass(): void {
    if (isClass(parseAddress(location.hash))) replace(this.addressOfLesson());
  }

  /** Shows what an address has of a class; false where the server has none. */
  private showClass(address: Address): boolean {
    return this.places.showClass(address.of === "board" ? "board" : address.of === "class" ? { join: address.code } : null);
  }

  private changed(address: Address, before: string): void {
    const from = pageOf(parseAddress(before));
    if (pageOf(address) && !from) this.under = before;
    // Back from a page over it the arm is left as it stands.
    if (from && location.hash === this.under) this.places.showPage(null);
    else this.open(address);
  }

  private addressOfLesson(): string {
    return this.lesson.id === "" ? "" : formatAddress({ of: "lesson", ...this.lesson });
  }

  /** The page has come to a bench: a fresh one stands as it was made. A reload finds its bench again, and leaves it as it is. */
  welcome(fresh: boolean): void {
    const reloaded = (performance.getEntriesByType("navigation")[0] as PerformanceNavigationTiming | undefined)?.type !== "navigate";
    const follows = fresh || (this.first && !reloaded && tab.left === "");
    this.first = false;
    this.put = -1;
    const address = parseAddress(location.hash);
    this.bare = fresh && address.of === "arm";
    this.places.showPage(pageOf(address));
    if (!follows) {
      this.showClass(address);
      if (address.of === "lesson" && address.stage === RESULT) this.places.showResult(address.id);
      return;
    }
    if (fresh && address.of !== "arm") this.openScene(opening);
    this.open(address, true);
  }

  /** Whether a lesson's address is being opened. */
  get opensLesson(): boolean {
    return this.waits?.of === "lesson";
  }

  /** The arm as it is now: it may just have been put where the address has it. */
  setState(state: State): void {
    const elsewhere = this.put >= 0 && this.put !== state.put; // the first is told before anything is asked
    this.put = state.put;
    if (!elsewhere || this.waits?.of !== "arm" || this.placed) return;
    const { view, frame, task, jogs, scene } = this.waits;
    this.bare = false;
    this.placed = true;
    this.setSetup(this.setup); // as it is with the arm in its new place
    if (frame && this.placed) this.places.ask({ type: "frame", frame, task: frame === "task" ? task : "" });
    if (view) this.places.look(view);
    if (jogs) this.places.offer({ jogs, scene, frame, task });
  }

  /** What is chosen: with the address's frame all of it is open. */
  setSetup(setup: Setup | null): void {
    this.setup = setup;
    if (!this.placed || this.waits?.of !== "arm") return;
    const { frame, task } = this.waits;
    if (frame && (setup?.frame !== frame || (frame === "task" && setup.task !== task))) return;
    this.waitFor(null);
  }

  private waitFor(address: typeof this.waits): void {
    this.waits = address;
    this.placed = false;
  }

  /** A lesson has come to a stage, or to its result; chosen is whether the learner asked for it. */
  setLesson(id: string, stage: number | typeof RESULT, chosen: boolean): void {
    const before = this.lesson;
    this.lesson = { id, stage };
    if (id !== "" && this.waits?.of === "lesson" && this.waits.id === id) this.waitFor(null);
    if (before.id === id && before.stage === stage) return;
    const hash = formatAddress({ of: "lesson", id, stage });
    const named = parseAddress(location.hash);
    // One that was chosen elsewhere than in the address: the browser's Back leads to what was there before.
    if (id !== "" && chosen && before.id !== id && !embedded && !(named.of === "lesson" && named.id === id)) history.pushState(history.state, "", hash);
    else if (id !== "") replace(hash);
    else if (before.id !== "" && parseAddress(location.hash).of === "lesson") replace("");
  }

  /** The bench has refused something; true if it was what the address names, which is told then. */
  refused(message: string): boolean {
    const { waits, placed } = this;
    if (!waits) return false;
    this.waitFor(null);
    if (placed) this.places.offer(null); // jogs in a frame that is not there
    this.tell(message);
    if (this.bare) this.openScene(opening);
    this.bare = false;
    return true;
  }

  private open(address: Address, comes = false): void {
    this.places.offer(null);
    this.places.showPage(pageOf(address));
    if (!this.showClass(address) && isClass(address)) {
      this.tell(say("address.wrong.path", { what: location.hash.slice(0, 60) }));
      return;
    }
    switch (address.of) {
      case "lesson":
        if (address.id === this.lesson.id && (address.stage === null || address.stage === this.lesson.stage)) return;
        if (address.stage === RESULT) this.places.showResult(address.id);
        if (address.id === this.lesson.id && address.stage === RESULT) return;
        this.waitFor(address);
        if (address.id !== this.lesson.id) this.places.openLesson(address.id, address.stage === RESULT ? null : address.stage, comes);
        else this.places.showStage(address.stage as number);
        return;
      case "arm":
        this.waitFor(address);
        this.openScene(address.scene);
        return;
      case "opening":
        // Back from a lesson, to where none was open.
        if (!comes && this.lesson.id !== "") this.places.openLesson("", null, false);
        return;
      case "nothing":
        this.tell(say(`address.wrong.${address.wrong}`, { what: address.what }));
    }
  }

  private openScene(scene: SceneRequest): void {
    this.places.ask({ type: "scene", ...scene });
  }

  /** Says that the address leads nowhere, and goes back to one that tells what is there. */
  private tell(message: string): void {
    this.places.problem(say("address.not-opened", { message }));
    replace(this.addressOfLesson());
  }
}

/** What the learner has taught and found, which stays on this bench and is in no address. */
export interface Own {
  frames: ReadonlySet<string>;
  tools: ReadonlySet<string>;
}

const framed = ({ frame, task }: Setup, own: Own): { frame: Frame; task: string } => (frame === "task" && own.frames.has(task) ? { frame: "base", task: "" } : { frame, task });

/** What is on the screen and not in its address, in a sentence each. */
export function staysHere(hash: string, shown: { setup: Setup | null; own: Own; walk: boolean }): string {
  const { setup, own, walk } = shown;
  const { of } = parseAddress(hash);
  const said: string[] = [];
  if (of === "arm" && setup?.frame === "task" && own.frames.has(setup.task)) said.push(say("share.stays.frame"));
  if (of === "arm" && setup && own.tools.has(setup.tool)) said.push(say("share.stays.tcp"));
  if (walk && (of === "arm" || of === "lesson")) said.push(say("share.stays.walk"));
  return said.join(" ");
}

/** The address of jogs, from where the arm began them. */
export function addressOfJogs(text: string, start: readonly number[], setup: Setup, own: Own, rail: number | null, view: ViewFrom): string {
  const scene: SceneRequest = { arm: setup.arm, cell: setup.cell, tool: setup.tool, joints_deg: start as SceneRequest["joints_deg"] };
  if (rail !== null) scene.rail_mm = rail;
  const jogs: Jogs = { text: text.split("\n").map((line) => line.replace(/#.*/, "").trim()).filter(Boolean).join("\n") };
  return formatAddress({ of: "arm", scene, ...framed(setup, own), view, jogs });
}

/** The address of what is on the screen. */
export function addressNow(shown: { page: PageOver | null; lesson: { id: string; at: number | typeof RESULT } | null; setup: Setup; own: Own; state: State; rail: number | null; view: ViewFrom }): string {
  const { page, lesson, setup, own, state, rail, view } = shown;
  if (page) return formatAddress({ of: page });
  if (lesson && lesson.id !== "") return formatAddress({ of: "lesson", id: lesson.id, stage: lesson.at });
  const scene: SceneRequest = { arm: setup.arm, cell: setup.cell, tool: setup.tool, joints_deg: state.joints_deg as SceneRequest["joints_deg"] };
  if (rail !== null) scene.rail_mm = rail;
  return formatAddress({ of: "arm", scene, ...framed(setup, own), view, jogs: null });
}

const isClass = (address: Address): boolean => address.of === "class" || address.of === "board";

/** Changes the page's address without going anywhere. */
function replace(hash: string): void {
  if (location.hash !== hash) history.replaceState(history.state, "", hash || location.pathname + location.search);
}
