// The arm as the page has it: the newest frame, put together with what the bench tells only when it changes.
import {
  type ClearanceView, decodeFrame, type Direction, FRAME_CLEAR, FRAME_NEAR, type FramesView, type MotionView, type NearestView, type NoteView, type Place, type PoseFrame,
  type Reply, SINGULAR_KINDS,
} from "../wire";

/** The arm at a tick. */
export interface State {
  tick: number;
  joints_deg: number[];
  speeds_deg_s: number[];
  demand_deg_s: number[];
  /** The displacement of each link from the measured pose. */
  links: Place[];
  flange_place: Place;
  tcp_place: Place;
  /** The active frame's axes, at the TCP, where they act. */
  active_axes: Place;
  active_frame: Place;
  read_frame: Place;
  /** Where they are in the frame that positions are read in. */
  flange: { position_mm: number[] };
  tcp: { position_mm: number[]; fixed_xyz_deg: number[] };
  /** The orientation that is read, in the form that was asked for. */
  orientation: number[];
  note: NoteView;
  tcp_speed_mm_s: number;
  slowed_by: string;
  moving: Direction | null;
  singularity: Nearness;
  /** Null where nothing can be touched. */
  clearance: ClearanceView | null;
  crashes: number;
  /** Counts how often the arm was put elsewhere without having been driven there. */
  put: number;
}

/** How near the arm is to a singularity. */
export interface Nearness {
  near: boolean;
  kind: string;
  condition: number;
}

const nowhere: Place = { p: [0, 0, 0], q: [0, 0, 0, 1] };

const vector = (from: number[], at = 0): [number, number, number] => [from[at]!, from[at + 1]!, from[at + 2]!];

const placeAt = (from: number[], at = 0): Place => ({ p: vector(from, at), q: [from[at + 3]!, from[at + 4]!, from[at + 5]!, from[at + 6]!] });

/** A message that is a part of the state. */
export type StateReply = Extract<Reply, { type: "frames" | "motion" | "nearest" | "note" }>;

/** Any other. */
export type OtherReply = Exclude<Reply, StateReply>;

/** Puts the parts together. */
export class Assembly {
  private frame: PoseFrame | null = null;
  private frames: FramesView | null = null;
  private motion: MotionView | null = null;
  private nearest: NearestView = { a: "", b: "", contact: false };
  private note: NoteView = { unique: true, text: "" };

  /** Takes a frame. */
  pose(buffer: ArrayBuffer): void {
    this.frame = decodeFrame(buffer);
  }

  /** Takes a message, if it is a part of the state; false for any other. */
  take(message: Reply): message is StateReply {
    switch (message.type) {
      case "frames":
        this.frames = message;
        return true;
      case "motion":
        if (message.put !== this.motion?.put) this.frame = null; // of where the arm was before
        this.motion = message;
        return true;
      case "nearest":
        this.nearest = message;
        return true;
      case "note":
        this.note = message;
        return true;
      default:
        return false;
    }
  }

  /** Null until all parts are there. */
  get state(): State | null {
    const { frame: f, frames, motion } = this;
    if (!f || !frames || !motion) return null;
    const tcp = placeAt(f.tcp);
    const active = frames.active ?? tcp;
    return {
      tick: f.tick,
      joints_deg: f.joints,
      speeds_deg_s: f.speeds,
      demand_deg_s: f.demand,
      links: [nowhere, ...Array.from({ length: 6 }, (_, i) => placeAt(f.links, 7 * i))],
      flange_place: placeAt(f.flange),
      tcp_place: tcp,
      active_axes: { p: tcp.p, q: active.q },
      active_frame: active,
      read_frame: frames.read,
      flange: { position_mm: f.flange_mm },
      tcp: { position_mm: f.tcp_mm, fixed_xyz_deg: f.fixed_xyz },
      orientation: f.orientation,
      note: this.note,
      tcp_speed_mm_s: f.tcp_speed,
      slowed_by: motion.slowed_by,
      moving: motion.moving,
      singularity: { near: (f.flags & FRAME_NEAR) !== 0, kind: SINGULAR_KINDS[f.singular] ?? "other", condition: f.condition },
      clearance:
        (f.flags & FRAME_CLEAR) !== 0
          ? { distance_mm: f.clearance, a: this.nearest.a, b: this.nearest.b, on_a: vector(f.on_a), on_b: vector(f.on_b), contact: this.nearest.contact }
          : null,
      crashes: motion.crashes,
      put: motion.put,
    };
  }
}
