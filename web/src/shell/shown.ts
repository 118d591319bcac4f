// Which arm the page shows: that of its own bench, or another that it follows, as a class follows the one in front.
import { Quaternion, Vector3 } from "three";
import { Assembly, type OtherReply, type State } from "../link/state";
import type { CellMessage, Direction, Frame, Place, ReadInRequest, Reply, Request, SceneRequest, Setup } from "../wire";
import type { Told } from "./told";

/** What a bench tells of its arm, in the order in which it is told again; all else is about the learner, whatever arm is shown. */
const ofTheArm = ["arm", "cell", "setup", "teach", "log", "recording", "play", "ways", "room", "predictions", "lesson", "ghost"] as const;
/** What happens to an arm and is over: it is not told again. */
const passing = ["stop", "way"] as const;
/** What the page takes of an arm that it follows. */
const followed = new Set<OtherReply["type"]>(["arm", "cell", "setup", "teach", "ghost", "stop"]);

type FrameChoice = Pick<ReadInRequest, "frame" | "task">;

/** What a bench has told of its arm last. */
class Kept {
  state: State | null = null;
  private readonly messages = new Map<string, OtherReply>();

  /** Keeps a message; false if it is not about the arm. */
  take(message: OtherReply): boolean {
    if ((passing as readonly string[]).includes(message.type)) return true;
    if (!(ofTheArm as readonly string[]).includes(message.type)) return false;
    this.messages.set(message.type === "recording" ? `recording ${message.of_joint}` : message.type, message);
    return true;
  }

  get<T extends OtherReply["type"]>(type: T): Extract<OtherReply, { type: T }> | null {
    return (this.messages.get(type) as Extract<OtherReply, { type: T }> | undefined) ?? null;
  }

  /** All of it, in an order in which it can be told; the state comes after what it is a state of. */
  all(): { before: OtherReply[]; after: OtherReply[] } {
    const rank = (m: OtherReply): number => (ofTheArm as readonly string[]).indexOf(m.type);
    const sorted = [...this.messages.values()].sort((a, b) => rank(a) - rank(b));
    return { before: sorted.filter((m) => rank(m) < 3), after: sorted.filter((m) => rank(m) >= 3) };
  }
}

export interface ShownEvents {
  /** Sends to the page's own bench. */
  send: (request: Request) => void;
  /** The page's own arm as it is now, which was shown before if it is shown. */
  ownState: (state: State) => void;
  /** Something was to be moved that is not moved while another arm is followed. */
  refused: () => void;
  /** What is read of the arm that is followed, or how, has changed. */
  reads: () => void;
}

export class Shown {
  private readonly own = new Kept();
  private other: { kept: Kept; assembly: Assembly; shown: boolean } | null = null; // the arm that is followed; it is shown once all of it is there
  private press = 0; // that was refused last
  private readonly pictured = { arm: "", cell: "" };
  private chosen: FrameChoice | null = null; // by the follower; null: as the arm in front has it
  /** What positions of the followed arm are read in. */
  readIn: ReadInRequest = { frame: "base", task: "" };

  constructor(
    private readonly told: Told,
    private readonly events: ShownEvents,
  ) {}

  /** Another arm than one's own is shown, or is about to be. */
  get follows(): boolean {
    return this.other !== null;
  }

  /** What one's own arm stands in, whatever is shown. */
  get ownSetup(): Setup | null {
    return this.own.get("setup");
  }

  get ownCell(): CellMessage | null {
    return this.own.get("cell");
  }

  /** The followed arm as it is seen, to put another there; null where none is seen. */
  get scene(): SceneRequest | null {
    const kept = this.other?.shown ? this.other.kept : null;
    const [setup, cell, state] = [kept?.get("setup"), kept?.get("cell"), this.other?.assembly.state];
    if (!setup || !state) return null;
    const scene: SceneRequest = { arm: setup.arm, cell: setup.cell, tool: setup.tool, joints_deg: state.joints_deg as NonNullable<SceneRequest["joints_deg"]> };
    if (cell?.rail) scene.rail_mm = cell.rail.at_mm;
    return scene;
  }

  /** The frame in which the followed arm is seen. */
  get sceneFrame(): FrameChoice | null {
    const frame = this.other?.shown ? this.frame : null;
    return frame && { frame: frame.frame, task: frame.task };
  }

  /** A message of the page's own bench. */
  reply(message: OtherReply): void {
    const about = this.own.take(message);
    if (this.other?.shown && about) return;
    this.inPicture(message);
    this.told.reply(message);
  }

  state(state: State): void {
    this.own.state = state;
    if (!this.other?.shown) this.told.setState(state);
    this.events.ownState(state);
  }

  /** Shows another arm as soon as it is told of, until it is left again. */
  follow(): void {
    if (this.other) return;
    this.other = { kept: new Kept(), assembly: new Assembly(), shown: false };
    this.chosen = null;
    const own = this.own.get("setup");
    if (own) this.readIn = own.read_in;
  }

  /** Shows the page's own arm again. */
  leave(): void {
    if (!this.other) return;
    const { shown } = this.other;
    this.other = null;
    if (!shown) return;
    const { before, after } = this.own.all();
    for (const message of before) if (!this.inPicture(message)) this.told.reply(message);
    if (this.own.state) this.told.setState(this.own.state);
    for (const message of after) this.told.reply(message);
  }

  /** What a bench says of the arm that is followed: a text, or a frame as bytes. */
  hear(data: string | ArrayBuffer): void {
    const { other } = this;
    if (!other) return;
    if (data instanceof ArrayBuffer) {
      other.assembly.pose(data);
      return this.tellState();
    }
    const message = JSON.parse(data) as Reply;
    if (other.assembly.take(message)) return this.tellState();
    if (!followed.has(message.type)) return;
    other.kept.take(message);
    if (!other.shown) return;
    this.inPicture(message);
    this.tell(message);
  }

  /** Whether this arm or cell is in the picture already, as which it is taken from now on: one looks on from where one did. */
  private inPicture(message: OtherReply): boolean {
    if (message.type !== "arm" && message.type !== "cell") return false;
    const [text, before] = [JSON.stringify(message), this.pictured[message.type]];
    this.pictured[message.type] = text;
    return text === before;
  }

  /** Tells what is new of the arm that is followed. */
  private tell(message: OtherReply): void {
    if (message.type === "stop") this.told.seeStop(message);
    else if (message.type === "setup") this.told.reply(this.asRead(message));
    else if (message.type === "ghost") this.told.reply(this.aimed(message.direction) ? message : { ...message, direction: null });
    else this.told.reply(message);
  }

  /**
   * What the page asks for. Frames are the follower's to choose, and what is read. Nothing is moved: the arm that is seen is another's, and
   * the page's own is not seen.
   */
  send(request: Request): void {
    if (!this.other?.shown) return this.events.send(request);
    switch (request.type) {
      case "read-in":
        this.readIn = { frame: request.frame, task: request.task };
        this.tellAgain();
        this.events.reads();
        return;
      case "frame":
        this.chosen = { frame: request.frame, task: request.task };
        this.tellAgain();
        return;
      case "unit":
      case "show":
        this.events.send(request);
        this.events.reads();
        return;
      case "lesson":
      case "stage":
      case "answer":
      case "result":
      case "scene":
      case "extra-time":
      case "piece":
      case "predict-first":
        this.events.send(request);
        return;
    }
    if (request.type !== "aim" && request.type !== "release") this.refuse(request);
  }

  private refuse(request: Request): void {
    if (request.type === "hold") {
      if (request.press === this.press) return; // told already
      this.press = request.press;
    }
    this.events.refused();
  }

  /** The frame that the followed arm is shown with. */
  private get frame(): FrameChoice | null {
    return this.chosen ?? this.other?.kept.get("setup") ?? null;
  }

  private asRead(setup: Setup & { type: "setup" }): Setup & { type: "setup" } {
    const frame = this.frame;
    return { ...setup, ...(frame ? { frame: frame.frame, task: frame.task } : {}), read_in: this.readIn, unit: this.own.get("setup")?.unit ?? setup.unit };
  }

  /** An arrow of another frame than the one that is shown would point elsewhere. */
  private aimed(direction: Direction | null): boolean {
    const frame = this.frame;
    return !direction || !frame || (direction.frame === frame.frame && (direction.task ?? "") === frame.task);
  }

  private tellAgain(): void {
    const kept = this.other?.kept;
    const [setup, ghost] = [kept?.get("setup"), kept?.get("ghost")];
    if (setup) this.told.reply(this.asRead(setup));
    if (ghost) this.told.reply(this.aimed(ghost.direction) ? ghost : { ...ghost, direction: null });
    this.tellState();
  }

  /** Shows the arm that is followed in place of the page's own, as soon as there is all of it. */
  private begin(): void {
    const { kept } = this.other!;
    if (!kept.get("arm") || !kept.get("cell") || !kept.get("setup")) return;
    this.told.putAway(); // while requests still go to the page's own bench
    this.other!.shown = true;
    const { before, after } = kept.all();
    for (const message of before) if (!this.inPicture(message)) this.tell(message);
    this.tellState();
    for (const message of after) this.tell(message);
  }

  private tellState(): void {
    const { other } = this;
    const state = other?.assembly.state;
    if (!state) return;
    if (!other.shown) return this.begin();
    const active = this.chosen && placeOfFrame(this.chosen, other.kept.get("cell"), state.tcp_place);
    this.told.setState({
      ...state,
      ...(active ? { active_frame: active, active_axes: { p: state.tcp_place.p, q: active.q } } : {}),
      moving: this.aimed(state.moving) ? state.moving : null,
    });
  }
}

/** Where a frame is in the base frame, for a TCP that is there; see kinematics/jog/frame.go. */
export function placeOfFrame({ frame, task }: { frame: Frame; task: string }, cell: CellMessage | null, tcp: Place): Place {
  const base: Place = { p: [0, 0, 0], q: [0, 0, 0, 1] };
  if (frame === "tool") return tcp;
  if (frame === "world") return cell ? seenFrom(cell.base, base) : base;
  const named = frame === "task" && cell?.tasks.find((t) => t.name === task);
  return named ? seenFrom(cell!.base, named.place) : base;
}

/** A place of the world as it is in a frame of the world. */
function seenFrom(frame: Place, place: Place): Place {
  const back = new Quaternion().fromArray(frame.q).invert();
  const p = new Vector3().fromArray(place.p).sub(new Vector3().fromArray(frame.p)).applyQuaternion(back);
  const q = back.multiply(new Quaternion().fromArray(place.q));
  return { p: p.toArray(), q: q.toArray() as Place["q"] };
}
