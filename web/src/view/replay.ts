import { type BufferGeometry, Group, Vector3 } from "three";
import type { ArmMessage, FrameView, Place, WayMessage } from "../wire";
import type { ArmForm } from "./form";
import { GlassArm } from "./glass";
import { Label } from "./labels";
import type { Palette } from "./palette";
import { between, nowhere } from "./place";
import { Stroke } from "./stroke";

const ways = ["joints", "straight"] as const;
type WayName = (typeof ways)[number];

/**
 * Ways that are played: a glass arm that goes them at the speed of the motion, and the trail of its TCP, by single joints
 * in a whole line, by straight jogs in a dashed one. The trails stay until they are cleared.
 */
export class Replay {
  readonly object = new Group();
  private readonly arm = new GlassArm();
  private readonly trails = { joints: new WayTrail(0), straight: new WayTrail(1) };
  private playing: WayMessage | null = null;
  private began = 0;
  private readonly places = Array.from({ length: 8 }, nowhere); // of the links and the TCP, now

  constructor() {
    this.arm.object.visible = false;
    this.object.add(this.arm.object, ...ways.map((w) => this.trails[w].object));
  }

  get labels(): Label[] {
    return ways.map((w) => this.trails[w].label);
  }

  setArm(arm: ArmMessage, form: ArmForm): void {
    this.arm.setArm(arm, form);
    for (let link = 0; link < 7; link++) this.arm.setStrength(link, 0.8);
    this.trails.straight.setDash(arm.reach_mm * 0.014);
    this.clear();
  }

  setTool(shape: BufferGeometry | null): void {
    this.arm.setTool(shape);
  }

  setPalette(p: Palette): void {
    this.arm.setColour(p.ghost);
    this.trails.joints.setColour(p.joint, p);
    this.trails.straight.setColour(p.target, p);
  }

  /** Plays a way from its beginning. Without motion its end is shown at once, with the whole trail. */
  play(message: WayMessage, name: string, now: number, motion: boolean): void {
    if (message.frames.length === 0) return;
    this.rest();
    this.playing = message;
    this.began = motion ? now : -Infinity;
    this.trail(message).set(message.frames, name);
    this.arm.object.visible = true;
    this.update(now);
    this.arm.object.visible = true;
  }

  /** Goes on to this moment; true until the end is reached. */
  update(now: number): boolean {
    const way = this.playing;
    if (!way) return false;
    const last = way.frames.length - 1;
    // A frame may be stamped a little before the moment in which the play began.
    const at = way.seconds > 0 ? Math.min(last, Math.max(0, ((now - this.began) / 1000 / way.seconds) * last)) : last;
    const index = Math.min(Math.floor(at), last);
    const [from, to] = [way.frames[index]!, way.frames[Math.min(index + 1, last)]!];
    this.places.forEach((place, i) => between([...from.links, from.tcp][i]!, [...to.links, to.tcp][i]!, at - index, place));
    this.arm.pose(this.places);
    this.trail(way).draw(index, this.places[7]!);
    if (at < last) return true;
    this.playing = null;
    this.arm.object.visible = false;
    return false;
  }

  /** The glass arm goes, the trails stay. */
  rest(): void {
    if (this.playing) this.update(Infinity);
    this.arm.object.visible = false;
  }

  clear(): void {
    this.playing = null;
    this.arm.object.visible = false;
    for (const w of ways) this.trails[w].set([], "");
  }

  dispose(): void {
    this.arm.dispose();
    for (const w of ways) this.trails[w].dispose();
  }

  private trail(message: WayMessage): WayTrail {
    return this.trails[message.way as WayName];
  }
}

/** The TCP's path along a way, with the way's name beside it. */
class WayTrail {
  readonly object = new Group();
  readonly label = new Label("", { px: 14, colour: "#fff", plate: "#000", weight: 700 });
  private readonly stroke = new Stroke(200, { width: 3.4, behind: 0.5 });
  private points: Vector3[] = [];

  /** The label stands above the middle of the path, or below it. */
  constructor(side: 0 | 1) {
    this.label.object.center.set(0.5, side ? 1.5 : -0.5);
    this.object.add(this.stroke.object, this.label.object);
    this.object.visible = false;
  }

  setDash(mm: number): void {
    this.stroke.setDash(mm);
  }

  setColour(colour: string, p: Palette): void {
    this.stroke.setColour(colour);
    this.label.set(this.label.text, { colour: p.paper, plate: colour });
  }

  set(frames: FrameView[], name: string): void {
    this.points = frames.map((f) => new Vector3().fromArray(f.tcp.p));
    this.object.visible = frames.length > 0;
    if (frames.length === 0) return;
    this.label.set(name);
    this.label.object.position.copy(this.points[Math.floor(this.points.length / 2)]!);
  }

  /** Draws the path up to the point of that number, and on to the tip. */
  draw(upTo: number, tip: Place): void {
    this.stroke.through([...this.points.slice(0, upTo + 1), new Vector3().fromArray(tip.p)]);
  }

  dispose(): void {
    this.stroke.dispose();
    this.label.dispose();
  }
}
