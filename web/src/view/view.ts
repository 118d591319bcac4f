import { type BufferGeometry, Group, type Object3D, Quaternion, type Ray, Vector3 } from "three";
import type { State } from "../link/state";
import type { ArmMessage, AxisView, CellMessage, ClearanceView, Direction, Frame, Ghost as GhostMessage, ShownView, TargetView, TeachMessage, ViewFrom, WayMessage } from "../wire";
import { Aim } from "./aim";
import { Arm } from "./arm";
import { Axes } from "./axes";
import { type Box, Picture, type Point } from "./beside";
import { type Kept, Orbit } from "./camera";
import { Cell } from "./cell";
import { Crowd } from "./crowd";
import { Explained } from "./explained";
import { Floor } from "./floor";
import { type ArmForm, disposeForm, dressed, formOf, toolForm } from "./form";
import { Gap } from "./gap";
import { listenToGestures } from "./gestures";
import { Ghost } from "./ghost";
import { screenPoint, Sight } from "./grip";
import { type HandPlace, RightHand } from "./hand";
import { type Handle, Handles } from "./handles";
import { whenIdle } from "../basics/idle";
import { type Label, scaleOf, type Screen, screenOf } from "./labels";
import { LabelSheet } from "./labelsheet";
import { Motion } from "./motion";
import { JointNames } from "./names";
import { palettes, type Theme } from "./palette";
import type { Part } from "./part";
import { type Linework, lineworkOf } from "./linework";
import { matrixOf, moveTo } from "./place";
import { jointAt, means, pick, pickNearest, type Pointed } from "./pointing";
import { Prediction } from "./prediction";
import { Quality } from "./quality";
import { Replay } from "./replay";
import { type Ground, Stage } from "./scene";
import { inSight, over, settle } from "./settle";
import { Spot } from "./spot";
import type { Dot } from "./standoff";
import { Target } from "./target";
import { TaughtPoints } from "./taught";
import { TCPMarker } from "./tcp";
import { Trail } from "./trail";
import { Walk, type WalkChoice } from "./walk";

/** A named place to look from. "behind" is the cable side of the base: X points away, Y to the left, Z up. */
export type Viewpoint = "behind" | "front" | "left" | "right" | "above" | "corner";

/** A picture that is narrower than this is that of a phone. */
const NARROW_PX = 560;
/** Before a class, where it is so many times as wide as its type is high. */
const NARROW_LETTERS = 20;

/** So near to what is said of a contact no names stand, px: what touches is to be seen. */
const CONTACT_PX = 24;

/** Nothing has moved for so long: the picture is drawn whole. */
const SETTLED_MS = 200;

/** Pixels at each edge covered by panels; the arm is centred in what is free. */
export interface Insets {
  left: number;
  right: number;
  top: number;
  bottom: number;
}

export interface ViewOptions {
  /** What a direction is called in the picture. */
  nameOf: (direction: Direction) => string;
  /** How high above the floor the base frame's origin is, in words. */
  originSays: (mm: number) => string;
  /** By how much the TCP has moved in a turn about it, in words. */
  tipSays: (mm: number) => string;
  /** How near to touching two things are, in words. */
  gapSays: (gap: ClearanceView) => string;
  /** What the ghost of the next step is called. */
  ghostSays: string;
  /** Called when nothing can be drawn, because WebGL 2 is missing. */
  onUnavailable?: () => void;
  /** Camera moves jump instead of gliding. */
  reducedMotion?: boolean;
}

/**
 * The 3D view: it draws what the bench says, and works out no kinematics of its own. The arm and all that belongs to it
 * is in the base frame, the cell in the world frame, in mm. It draws a frame only when something has changed.
 */
export class View {
  /** Called before a frame is drawn, which may take long. */
  onDraw: () => void = () => {};
  /** Called after every frame that was drawn. */
  onDrawn: () => void = () => {};
  private readonly stage: Stage | null;
  private readonly orbitCamera: Orbit;
  private readonly world = new Group();
  private readonly base = new Group();
  private readonly gapPlace = new Group();
  private readonly parts: Part[] = [];
  private readonly floor = this.add(new Floor(), this.world, { kind: "floor" });
  private readonly cell = this.add(new Cell(), this.world);
  private readonly taught = this.add(new TaughtPoints(), this.world);
  private readonly gap = this.add(new Gap(), this.gapPlace);
  private readonly baseAxes = this.add(new Axes(21, true), this.base);
  private readonly activeAxes = this.add(new Axes(19, false), this.base);
  private readonly aim = this.add(new Aim(), this.base);
  private readonly handles = this.add(new Handles(), this.world);
  readonly hand = this.add(new RightHand(), this.base);
  private readonly ghost = this.add(new Ghost(), this.base, { kind: "ghost" });
  private readonly trail = this.add(new Trail(), this.base, { kind: "trail" });
  private readonly target = this.add(new Target(), this.base, { kind: "target" });
  private readonly goal = this.add(new Target(), this.base, { kind: "target" });
  private readonly replay = this.add(new Replay(), this.base);
  readonly explained = this.add(new Explained(), this.base);
  readonly prediction = this.add(new Prediction(), this.base);
  readonly crowd = this.add(new Crowd(), this.base);
  readonly walk = this.add(new Walk(), this.base);
  private readonly tcp = this.add(new TCPMarker(), this.base);
  private readonly names = this.add(new JointNames(), this.world);
  private readonly highlight = this.add(new Spot(), null);
  private readonly sheet = new LabelSheet();
  private readonly motion = new Motion();
  private readonly quality = new Quality();
  private sharp = false; // the next picture is drawn whole, because nothing moves
  private readonly gaveWay = new WeakMap<Label, Point>(); // by how much each label gave way last
  private settling = 0; // the timer until then
  private pointed: Pointed | null = null;
  private touched = false;
  private turnedAbout: readonly [number, number, number] | null = null; // where the TCP was when a turn about it began
  private least = 0;
  private arm: Arm | null = null;
  private form: ArmForm | null = null;
  private drawnAs: ArmForm | null = null; // the same, or what it is dressed as
  private toolsDrawnAs: ReadonlyMap<string, BufferGeometry> | null = null;
  private message: ArmMessage | null = null;
  private state: State | null = null;
  private ghostMessage: GhostMessage | null = null;
  private tool = "";
  private frame: Frame = "joint";
  private spokenOf: readonly number[] = []; // joints
  private predicting = false;
  private insets: Insets = { left: 0, right: 0, top: 0, bottom: 0 };
  private cellMessage: CellMessage | null = null;
  private footprint = 1;
  private toolShape: BufferGeometry | null = null;
  private armMoved = true;
  private fitWhenPosed = false;
  private authors: { sight: ViewFrom; kept: string } | null = null; // from where a lesson's author looks, and what that led to
  private scheduled = 0;
  private wanted = false; // a picture
  private drawn = 0;
  private place = 0; // counts up whenever what is to be seen is another arm, or an arm put elsewhere
  private readonly given: number[] = []; // of which of these the pictures are that are not drawn yet; -1 for an empty one
  private lost = false;
  private framed: { width: number; height: number } | null = null; // the picture that is being made
  private readonly observer: ResizeObserver;
  private readonly stopListening: () => void = () => {};

  constructor(
    private readonly host: HTMLElement,
    private readonly options: ViewOptions,
  ) {
    this.floor.says = options.originSays;
    this.ghost.says = options.ghostSays;
    this.gap.says = options.gapSays;
    this.orbitCamera = new Orbit(options.reducedMotion ?? false);
    this.stage = openStage(host, options.onUnavailable);
    this.world.add(this.base);
    this.base.add(this.gapPlace);
    this.baseAxes.belongTo("base");
    this.world.visible = false;
    if (this.stage) {
      this.stage.scene.add(this.world);
      this.stage.front.add(this.sheet.object);
      this.hand.onPrepared = () => this.stage?.prepare(this.orbitCamera.camera);
      this.stopListening = listenToGestures(this.stage.canvas, this);
      this.stage.canvas.addEventListener("webglcontextlost", this.contextLost);
      this.stage.canvas.addEventListener("webglcontextrestored", this.contextRestored);
    }
    this.setTheme("light");
    this.observer = new ResizeObserver(() => this.resize());
    this.observer.observe(host);
    this.resize();
  }

  /** Draws another arm; it appears with the first state that follows. */
  setArm(arm: ArmMessage): void {
    const another = this.message?.id !== arm.id;
    this.outdate();
    this.message = arm;
    if (this.form) disposeForm(this.form);
    this.arm?.dispose();
    this.spot(null);
    this.form = this.drawnAs = formOf(arm);
    this.toolsDrawnAs = null;
    this.arm = new Arm(arm, this.form);
    this.base.add(this.arm.object, this.arm.drawn);
    const reach = arm.reach_mm;
    const footprint = Math.max(...arm.body.filter((c) => c.link === 0).map((c) => c.radius_mm), reach * 0.08);
    this.footprint = footprint;
    this.orbitCamera.setReach(reach);
    this.cell.setReach(reach);
    this.gap.setReach(reach);
    this.taught.setReach(reach);
    this.stand();
    this.baseAxes.setSize(reach * 0.3, reach * 0.0062);
    this.activeAxes.setSize(reach * 0.22, reach * 0.0048);
    this.aim.setArm(arm, this.form.hubs, this.arm.links);
    this.hand.setSize(reach);
    this.walk.setArm(reach, arm.mount_height_mm);
    this.handles.setArm(arm, this.form.hubs, this.arm.links);
    this.names.setArm(arm, this.form.hubs, this.arm.links);
    this.ghost.setArm(arm, this.form);
    this.target.setSize(reach, -arm.mount_height_mm);
    this.goal.setSize(reach, -arm.mount_height_mm);
    this.replay.setArm(arm, this.form);
    this.explained.setSize(reach);
    if (another) this.prediction.clear();
    this.mountTool();
    this.motion.reset();
    this.state = null;
    this.turnedAbout = null;
    this.tcp.tell("");
    this.ghostMessage = null;
    this.world.visible = false;
    if (another) this.trail.clear();
    this.fitWhenPosed = another;
    this.invalidate();
  }

  /** Draws links and tools of an arm as other shapes, which stay those of who made them, if it is the one that is shown. */
  dress(arm: ArmMessage, { links, tools }: { links: readonly (BufferGeometry | null)[]; tools: ReadonlyMap<string, BufferGeometry> }): void {
    if (arm !== this.message || !this.form) return;
    this.spot(null);
    this.drawnAs = dressed(this.form, links);
    this.toolsDrawnAs = tools;
    this.arm!.dress(this.drawnAs);
    this.ghost.setArm(arm, this.drawnAs);
    this.replay.setArm(arm, this.drawnAs);
    this.mountTool();
    this.ghost.set(this.ghostMessage, this.state);
    this.armMoved = true;
    this.invalidate();
  }

  /** Puts the arm in a cell: where its base is in the world, and what stands around it. */
  setCell(cell: CellMessage): void {
    this.outdate();
    this.cellMessage = cell;
    moveTo(this.base, cell.base);
    this.cell.set(cell);
    this.stand();
    this.trail.clear();
    this.armMoved = true;
    this.fitWhenPosed = true;
    this.invalidate();
  }

  /** Shows the points that have been taken for a task frame. */
  setTaught(points: TeachMessage): void {
    this.taught.set(points);
    this.invalidate();
  }

  setState(state: State): void {
    if (this.state && this.state.put !== state.put) {
      this.outdate();
      this.motion.reset();
      this.state = null;
      this.turnedAbout = null;
    }
    const before = this.state;
    if (this.state) this.trail.add(this.state.tcp_place.p);
    if (this.state && state.moving && !sameAxis(state.moving, this.state.moving)) this.trail.begin(this.state.tcp_place.p);
    this.trail.add(state.tcp_place.p);
    this.state = state;
    this.motion.set(state, performance.now());
    this.ghost.compare(state);
    if (state.moving) this.replay.rest();
    this.gap.set(state.clearance);
    this.walk.setState(state);
    this.tellTip(state, before);
    this.explained.setTip(state.tcp_place.p);
    this.armMoved = true;
    this.world.visible = this.arm !== null;
    this.showAim();
    if (this.fitWhenPosed) {
      this.fitWhenPosed = false;
      this.pose();
      this.handles.place(this.activeAxes.object, this.seen());
      this.orbitCamera.open(this.points());
    }
    this.invalidate();
  }

  /** Shows where the next step would end; a ghost without a direction hides it. */
  setGhost(ghost: GhostMessage): void {
    this.ghostMessage = ghost;
    this.ghost.set(ghost, this.state);
    this.showAim();
    this.invalidate();
  }

  setFrame(frame: Frame, task: string): void {
    this.frame = frame;
    this.showAxes();
    this.aim.setFrame(frame);
    this.hand.setFrame(frame);
    this.handles.setFrame(frame, task);
    this.activeAxes.belongTo(frame === "task" ? task : frame);
    this.cell.choose(frame === "task" ? task : "");
    this.invalidate();
  }

  /** Lengths are read in another unit: says those in the picture again. */
  sayLengths(): void {
    this.stand();
    if (this.state) {
      this.gap.set(this.state.clearance);
      this.tellTip(this.state, this.state);
    }
    this.invalidate();
  }

  /** Where the right hand is held that shows the direction in hand. */
  setHand(where: HandPlace): void {
    this.hand.setPlace(where);
    this.invalidate();
  }

  /** Walks to what is read, or not at all. */
  setWalk(choice: WalkChoice | null): void {
    this.walk.choose(choice);
    if (this.state) this.walk.setState(this.state);
    this.showDimension();
    this.invalidate();
  }

  setTool(name: string): void {
    this.tool = name;
    this.mountTool();
    this.trail.lift();
    this.armMoved = true;
    this.invalidate();
  }

  setTarget(target: TargetView | null, reached: boolean): void {
    this.target.set(target, reached);
    this.invalidate();
  }

  /** Shows what an answer is explained by; null for none. */
  setExplained(shown: ShownView | null): void {
    this.explained.set(shown);
    this.invalidate();
  }

  /** Draws the axes of joints that are spoken of, while the arm moves too; none for an empty list. */
  showAxesOf(joints: readonly number[]): void {
    if (joints.length === 0 && this.spokenOf.length === 0) return;
    this.spokenOf = joints;
    if (joints.length === 0) this.explained.set(null);
    this.armMoved = true;
    this.invalidate();
  }

  /** Whether the trail is drawn. */
  setTrailShown(shown: boolean): void {
    this.trail.object.visible = shown;
    this.invalidate();
  }

  /** While the learner predicts, what would give the answer away is not drawn. */
  setPredicting(on: boolean): void {
    if (on === this.predicting) return;
    this.predicting = on;
    this.hand.setTold(!on);
    this.showAxes();
    this.invalidate();
  }

  /** The place that the learner has set to go to; null for none. */
  setGoal(goal: TargetView | null): void {
    this.goal.set(goal, goal?.reached ?? false);
    this.invalidate();
  }

  /** Plays a way as a ghost with its trail. */
  play(way: WayMessage, name: string): void {
    this.replay.play(way, name, performance.now(), !this.options.reducedMotion);
    this.invalidate();
  }

  /** Ends what is played, and wipes the trails of ways. */
  clearWays(): void {
    this.replay.clear();
    this.invalidate();
  }

  /** What the ghost is called from now on. */
  nameGhost(text: string): void {
    this.ghost.says = text;
    this.redraw();
  }

  /** Draws anew what was changed in a part of the view. */
  redraw(): void {
    this.invalidate();
  }

  setTheme(theme: Theme): void {
    const palette = palettes[theme];
    this.stage?.setPalette(palette);
    for (const part of this.parts) part.setPalette(palette);
    this.invalidate();
  }

  setInsets(insets: Insets): void {
    if (JSON.stringify(insets) === JSON.stringify(this.insets)) return;
    this.insets = insets;
    this.orbitCamera.setInsets(insets);
    this.refit();
    this.invalidate();
  }

  /** The edges of the part of the view that no panel covers, px from its top left corner. */
  get free(): Insets {
    const { left, right, top, bottom } = this.insets;
    return { left, right: this.host.clientWidth - right, top, bottom: this.host.clientHeight - bottom };
  }

  lookFrom(viewpoint: Viewpoint): void {
    this.orbitCamera.lookFrom(viewpoint, this.points(), performance.now());
    this.invalidate();
  }

  /** Where the eye is and what it looks at, mm in the world. */
  get sight(): ViewFrom {
    const { from, at } = this.orbitCamera.sight;
    return { from_mm: from.toArray(), at_mm: at.toArray() };
  }

  /** Where one looks from, to come back to on a page that is loaded again. */
  get kept(): Kept {
    return this.orbitCamera.kept;
  }

  comeBack(kept: Kept): void {
    this.orbitCamera.comeBack(kept, this.points());
    this.invalidate();
  }

  lookFromTo(sight: ViewFrom): void {
    this.orbitCamera.lookFromTo(new Vector3(...sight.from_mm), new Vector3(...sight.at_mm), performance.now());
    this.invalidate();
  }

  /** Looks at a lesson's stage from where its author does; on a projector from nearer, where all of the arm is seen from there too. */
  lookAsAuthor(sight: ViewFrom): void {
    if (!this.state) return;
    this.pose();
    const [from, at] = [new Vector3(...sight.from_mm), new Vector3(...sight.at_mm)];
    if (this.least > 0 && this.orbitCamera.fitsNearer(from, at, this.needed())) this.orbitCamera.face(from.sub(at).normalize(), this.needed(), performance.now());
    else this.orbitCamera.lookFromTo(from, at, performance.now());
    this.authors = { sight, kept: JSON.stringify(this.orbitCamera.kept) };
    this.invalidate();
  }

  /** Looks at a lesson's stage from a direction: at the arm, its tool and the target, and not at all that stands around. */
  face(toEye: readonly [number, number, number]): void {
    if (!this.state) return;
    this.pose();
    this.target.object.updateWorldMatrix(true, true);
    this.orbitCamera.face(new Vector3().fromArray(toEye), [...this.needed(), ...this.baseAxes.tips], performance.now());
    this.invalidate();
  }

  /** Fits the picture to the arm as it stands, from where one looks, unless the viewer has chosen a place. */
  fitAnew(): void {
    this.pose();
    this.orbitCamera.fit(this.points());
    this.invalidate();
  }

  /** Brings the learner's ball into the picture, in a view that the viewer has chosen, too: it is what is answered at. */
  bringBall(): void {
    if (!this.message) return;
    this.prediction.object.updateWorldMatrix(true, false);
    const middle = this.prediction.object.getWorldPosition(new Vector3());
    this.orbitCamera.bring(middle, this.ballAround(middle, 0.5), performance.now());
    this.invalidate();
  }

  /** Brings the tip into the middle, near enough to see what it does. */
  showTip(around = 0.3): void {
    if (!this.message || !this.state) return;
    this.pose();
    this.orbitCamera.lookAt(this.tcp.object.getWorldPosition(new Vector3()), this.message.reach_mm * around, performance.now());
    this.invalidate();
  }

  zoom(factor: number): void {
    this.orbitCamera.zoom(factor);
    this.invalidate();
  }

  orbit(dxDeg: number, dyDeg: number): void {
    this.orbitCamera.orbit(dxDeg, dyDeg);
    this.invalidate();
  }

  pan(dxPx: number, dyPx: number): void {
    this.orbitCamera.pan(dxPx, dyPx);
    this.invalidate();
  }

  clearTrail(): void {
    this.trail.clear();
    this.replay.clear();
    this.invalidate();
  }

  /** For those who sit far away: makes all type at least so high, in px, and leaves out dimensions. 0 for nobody. */
  setLeastType(px: number): void {
    const changed = (px > 0) !== this.least > 0;
    this.least = px;
    this.orbitCamera.margin = px > 0 ? 0.015 : 0.05;
    this.orbitCamera.beside = 0.45 * px;
    // Where the author looks from is kept unless the viewer has chosen another view since.
    if (changed && this.authors?.kept === JSON.stringify(this.orbitCamera.kept)) this.lookAsAuthor(this.authors.sight);
    else if (changed) this.fitAnew();
    this.gapPlace.visible = px === 0;
    this.showDimension();
    this.invalidate();
  }

  /** What is drawn at a place of the canvas, px from its top left corner; null where there is nothing that has a name. */
  pointAt(x: number, y: number): Pointed | null {
    const { clientWidth: width, clientHeight: height } = this.host;
    const { camera } = this.orbitCamera;
    if (!this.arm || !this.form || !this.world.visible) return null;
    const tcp = screenPoint(new Vector3().fromArray(this.motion.tcp.p).applyMatrix4(this.base.matrixWorld), this.seen());
    if (Math.hypot(tcp.x - x, tcp.y - y) < 11) return { kind: "tcp" };
    const hit = pick(this.world, camera, x, y, width, height);
    if (hit?.what.kind !== "link") return hit?.what ?? null;
    const index = jointAt(hit.point, this.form.hubs, this.arm.links);
    return index < 0 ? hit.what : { kind: "joint", index };
  }

  /** Tints the link or joint that is pointed at, until it is told another; null for none. */
  spot(what: Pointed | null): void {
    if (JSON.stringify(what) === JSON.stringify(this.pointed)) return;
    this.pointed = what;
    this.highlight.set(what, this.arm, this.drawnAs);
    this.invalidate();
  }

  /**
   * What can be dragged within so many px of a place of the canvas; it is drawn bold, with these words beside it. Null
   * for nothing, and where the pointer has left.
   */
  reachFor(place: { x: number; y: number } | null, within: number, words: (handle: Handle) => string): Handle | null {
    const sight = this.seen();
    // What is drawn on the ball on which an arrow is asked for is the arrow.
    const at = place && !this.prediction.covers(sight.ray(place.x, place.y)) ? place : null;
    const handle = at && this.state ? (this.handles.find(at.x, at.y, within, sight) ?? this.jointUnder(at)) : null;
    const near = at !== null && this.handles.isNear(at.x, at.y, sight);
    const changes = [this.handles.setNear(near || this.touched), this.handles.setShown(handle, handle ? words(handle) : "")];
    if (changes.includes(true)) this.invalidate();
    return handle;
  }

  /** In the joints, the joint whose dial or link is at a place of the canvas, to be dragged there. */
  private jointUnder({ x, y }: { x: number; y: number }): Handle | null {
    if (this.frame !== "joint" || !this.arm || !this.form) return null;
    const hit = pickNearest(this.arm.object, this.orbitCamera.camera, x, y, this.host.clientWidth, this.host.clientHeight);
    if (!hit) return null;
    const dial = jointAt(hit.point, this.form.hubs, this.arm.links);
    const link = hit.what.kind === "link" ? hit.what.index : 6; // which carries the tool
    return this.handles.through(dial >= 0 ? dial : link - 1, hit.point);
  }

  /** The ray of a place of the canvas, px from its top left corner. */
  ray(x: number, y: number): Ray {
    return this.seen().ray(x, y);
  }

  /** Takes hold of a handle at a place of the canvas; pull then says how far the pointer has drawn it, mm or degrees. */
  grab(handle: Handle, x: number, y: number): void {
    this.handles.grab(handle, x, y, this.seen());
    this.invalidate();
  }

  pull(x: number, y: number, words: (by: number) => string): number {
    this.invalidate();
    return this.handles.pull(x, y, words);
  }

  letGo(): void {
    this.handles.letGo();
    this.invalidate();
  }

  /** A finger cannot hover: once one has touched the view, what it can drag is always shown. */
  setTouched(touched: boolean): void {
    this.touched = touched;
    if (this.handles.setNear(touched)) this.invalidate();
  }

  /** Where the flange is drawn, in the world frame: mm, and a quaternion x, y, z, w. */
  drawnFlange(): { p: [number, number, number]; q: [number, number, number, number] } {
    const p = new Vector3();
    const q = new Quaternion();
    this.arm?.flange.matrixWorld.decompose(p, q, new Vector3());
    return { p: [p.x, p.y, p.z], q: [q.x, q.y, q.z, q.w] };
  }

  /** What is on the canvas, to be recorded; null where nothing can be drawn. */
  get canvas(): HTMLCanvasElement | null {
    return this.stage?.canvas ?? null;
  }

  /** While it is recorded the picture keeps its size in pixels. */
  setRecorded(on: boolean): void {
    this.quality.pinned = on;
    this.invalidate();
  }

  /** A picture of the scene as it stands and as one sees it, so many pixels wide and high; null where nothing can be drawn. */
  picture(width: number, height: number, ground: Ground): HTMLCanvasElement | null {
    const { stage } = this;
    if (!stage || this.lost) return null;
    const dense = density(width, height);
    this.floor.setGround(ground === "page");
    try {
      return this.inSize(width / dense, height / dense, () => {
        this.sheet.update(this.labels(), stage.renderer);
        return stage.picture(width, height, dense, this.orbitCamera.camera, ground);
      });
    } finally {
      this.floor.setGround(true);
      stage.resize(this.host.clientWidth, this.host.clientHeight);
      this.draw(performance.now()); // at once, so that nobody sees it
    }
  }

  /** The coordinate walk to what is read, and around it the arm and its cell, as lines; null before there is an arm. */
  linework(width: number, height: number, choice: WalkChoice): Linework | null {
    const { arm, message, form, state } = this;
    if (!arm || !message || !form || !state) return null;
    const before = this.walk.choice;
    this.setWalk(choice);
    try {
      return this.inSize(width, height, () => {
        const tool = message.tools.find((t) => t.name === this.tool);
        const read = matrixOf(state.read_frame).premultiply(this.base.matrixWorld);
        return lineworkOf({ width, height, camera: this.orbitCamera.camera, arm, message, hubs: form.hubs, tool, cell: this.cellMessage, walk: this.walk, read });
      });
    } finally {
      this.setWalk(before);
      this.draw(performance.now());
    }
  }

  /** Does something while all is laid out for a picture of that size, which has no panels on it. */
  private inSize<T>(width: number, height: number, make: () => T): T {
    const back = this.orbitCamera.frame(width, height);
    this.framed = { width, height };
    const now = performance.now();
    try {
      if (this.armMoved) this.pose();
      this.placeWalk();
      this.orbitCamera.update(now);
      this.compose();
      return make();
    } finally {
      this.framed = null;
      back();
      this.orbitCamera.update(now);
      this.armMoved = true; // The shadows are drawn anew.
    }
  }

  /** Whether graphics that take long are drawing. */
  get drawing(): boolean {
    return !this.lost && this.stage !== null && this.stage.underway.count > 0;
  }

  /** How many frames have been drawn. */
  frames(): number {
    return this.drawn;
  }

  dispose(): void {
    cancelAnimationFrame(this.scheduled);
    window.clearTimeout(this.settling);
    this.observer.disconnect();
    this.stopListening();
    this.stage?.canvas.removeEventListener("webglcontextlost", this.contextLost);
    this.stage?.canvas.removeEventListener("webglcontextrestored", this.contextRestored);
    this.arm?.dispose();
    this.toolShape?.dispose();
    if (this.form) disposeForm(this.form);
    for (const part of this.parts) part.dispose();
    this.sheet.dispose();
    this.stage?.dispose();
  }

  /** The floor, and the light above it: the cell's floor or, without a cell, the surface that the arm is mounted on. */
  private stand(): void {
    if (!this.message) return;
    const { reach_mm: reach, mount_height_mm: height } = this.message;
    const floor = this.cellMessage?.floor_mm ?? null;
    const base = this.cellMessage?.base ?? { p: [0, 0, 0], q: [0, 0, 0, 1] };
    const upright = Math.hypot(base.q[0]!, base.q[1]!) < 1e-9;
    const level = floor ?? base.p[2]! - height;
    this.stage?.setSize(reach, level);
    // The height of the base frame's origin is drawn where the arm stands on that floor.
    const stands = upright && Math.abs(base.p[2]! - height - level) < 0.05 && Math.hypot(base.p[0]!, base.p[1]!) < 0.05;
    this.floor.setSize(reach, level, stands ? height : 0, this.footprint);
  }

  private mountTool(): void {
    this.toolShape?.dispose();
    const tool = this.message?.tools.find((t) => t.name === this.tool);
    this.toolShape = tool ? toolForm(tool) : null;
    const drawn = this.toolsDrawnAs?.get(this.tool) ?? this.toolShape;
    this.arm?.setTool(this.toolShape, tool?.title ?? this.tool, drawn);
    this.ghost.setTool(drawn);
    this.replay.setTool(drawn);
    whenIdle(() => {
      this.ghost.prepare();
      this.stage?.prepare(this.orbitCamera.camera);
    });
  }

  /** The base frame's axes are drawn at the base; at the TCP they would answer which way a jog in it goes. */
  private showAxes(): void {
    this.activeAxes.object.visible = this.frame !== "joint" && !(this.predicting && this.frame === "base");
    this.prediction.setCrossed(this.activeAxes.object.visible);
  }

  /** During a turn about the TCP, and after it until another jog, the tip says by how much it has moved. */
  private tellTip({ moving, tcp_place: { p } }: State, before: State | null): void {
    if (moving && (moving.frame === "joint" || moving.axis < 3)) this.turnedAbout = null;
    else if (moving && !before?.moving) this.turnedAbout = before?.tcp_place.p ?? p;
    const from = this.turnedAbout;
    this.tcp.tell(from ? this.options.tipSays(Math.hypot(...p.map((mm, i) => mm - from[i]!))) : "");
  }

  /** The direction in hand is what moves, or else what is aimed at. */
  private get direction(): Direction | null {
    return this.state?.moving ?? this.ghostMessage?.direction ?? null;
  }

  private showAim(): void {
    const direction = this.direction;
    this.aim.setDirection(direction, direction ? this.options.nameOf(direction) : "");
    this.hand.setDirection(direction);
    const named = direction && direction.frame !== "joint" && direction.axis < 3 && direction.sign > 0;
    this.names.hide(direction?.frame === "joint" ? direction.axis : -1);
    this.activeAxes.hideLetter(named ? direction.axis : -1);
  }

  private pose(): void {
    if (!this.arm || this.motion.links.length === 0) return;
    this.base.updateWorldMatrix(true, false); // the cell may just have put it elsewhere
    this.arm.pose(this.motion.links);
    moveTo(this.activeAxes.object, this.motion.axes);
    this.activeAxes.object.updateMatrixWorld(true);
    this.tcp.object.position.fromArray(this.motion.tcp.p);
    if (this.spokenOf.length > 0) this.explained.set({ axes: this.spokenOf.map((joint) => this.axisOf(joint)), lever_mm: [], path_mm: [], line_mm: [], gap_mm: [], place_mm: null });
  }

  /** Where a joint's axis is, in the base frame. */
  private axisOf(joint: number): AxisView {
    const [hub, link] = [this.form!.hubs[joint]!, this.base.matrixWorld.clone().invert().multiply(this.arm!.links[joint]!.matrixWorld)];
    return { joint: this.message!.joints[joint]!.name, at_mm: hub.centre.clone().applyMatrix4(link).toArray(), along: hub.axis.clone().transformDirection(link).toArray() };
  }

  private placeHand(): void {
    const direction = this.direction;
    if (!this.state) return;
    const joint = direction?.frame === "joint" && this.arm && this.form
      ? { hub: this.form.hubs[direction.axis]!, link: this.base.matrixWorld.clone().invert().multiply(this.arm.links[direction.axis]!.matrixWorld) }
      : null;
    // The tool frame moves with the TCP, and so in step with what is drawn.
    this.hand.place(this.motion.axes, (direction?.frame ?? this.frame) === "tool" ? this.motion.axes : this.state.active_frame, joint);
  }

  private placeWalk(): void {
    if (!this.state || !this.arm) return;
    const flange = (): Vector3 => this.base.worldToLocal(this.arm!.flange.getWorldPosition(new Vector3()));
    this.walk.place(this.state.read_frame, this.walk.of === "flange" ? flange().toArray() : this.motion.tcp.p);
  }

  /** A narrow picture has room for the walk, and for no other words. */
  private get walkAlone(): boolean {
    return this.walk.on && this.size.width < NARROW_PX;
  }

  /** The walk has a dimension line of its own for the height of the base frame's origin. */
  private showDimension(): void {
    this.floor.dimension.visible = this.least === 0 && !this.walk.on;
  }

  /** What the camera is fitted to. On a projector the arm fills the picture, and what stands around it may be cut off. */
  private points(): Vector3[] {
    if (!this.arm || !this.message) return [];
    if (this.least > 0) return this.needed();
    // The direction in hand is drawn beyond the tip of its axis.
    const tcp = this.activeAxes.object.getWorldPosition(new Vector3());
    const beyond = this.activeAxes.tips.map((tip) => tip.lerp(tcp, -0.45));
    return [...this.needed(), ...this.handles.outline(), ...this.cell.corners(), ...this.baseAxes.tips, ...beyond];
  }

  /** What must not leave the free part of the picture. */
  private needed(): Vector3[] {
    if (!this.arm || !this.message) return [];
    // The learner's ball around the TCP needs room as well.
    const tcp = this.activeAxes.object.getWorldPosition(new Vector3());
    const ball = this.ballAround(tcp, this.predicting ? 1 : 0);
    const atTCP = this.frame === "joint" ? [] : [...this.activeAxes.tips, ...this.handles.outline()];
    const arm = this.least > 0 ? [...this.arm.outline(), ...this.baseAxes.tips] : this.arm.corners();
    return [...arm, ...this.target.points, ...this.ghost.corners(), ...atTCP, ...ball, ...(this.walk.on ? this.walk.stations : [])];
  }

  /** Points all around the learner's ball. */
  private ballAround(middle: Vector3, part = 1): Vector3[] {
    const size = part * this.message!.reach_mm * 0.2;
    return [-size, size].flatMap((s) => [new Vector3(s, 0, 0), new Vector3(0, s, 0), new Vector3(0, 0, s)].map((out) => out.add(middle)));
  }

  private seen(): Sight {
    return new Sight(this.orbitCamera.camera, this.size.width, this.size.height);
  }

  /** Of the canvas in px, or of the picture that is being made. */
  private get size(): { width: number; height: number } {
    return this.framed ?? { width: this.host.clientWidth, height: this.host.clientHeight };
  }

  private labels(): Label[] {
    return this.parts.flatMap((part) => part.labels ?? []);
  }

  /** Takes up a part of the picture: where it hangs, and what it is called to one who points at it. */
  private add<P extends Part>(part: P, parent: Object3D | null, what?: Pointed): P {
    if (part.object) parent?.add(part.object);
    if (part.object && what) means(part.object, what);
    this.parts.push(part);
    return part;
  }

  private refit(): void {
    if (!this.handles.held) this.orbitCamera.refit(this.needed());
  }

  private resize(): void {
    const { clientWidth: width, clientHeight: height } = this.host;
    if (width === 0 || height === 0) return;
    this.orbitCamera.resize(width, height);
    this.refit();
    this.stage?.resize(width, height);
    if (this.stage && !this.stage.drawsBehind) this.outdate(); // A canvas of a new size is empty until it is drawn.
    this.armMoved = true;
    // Drawing at once avoids a flash.
    this.draw(performance.now());
  }

  private invalidate(): void {
    this.wanted = true;
    this.lookNext();
  }

  /** What is to be seen is in none of the pictures so far: where the next takes long, the last is not to pass for it. */
  private outdate(): void {
    this.place++;
    this.host.classList.add("stale");
  }

  /** Pictures are there: of an arm, if not an empty one, and perhaps of what is to be seen. */
  private caughtUp(places: readonly number[]): void {
    if (places.some((place) => place >= 0)) this.host.classList.add("drawn");
    if (places.includes(this.place)) this.host.classList.remove("stale");
  }

  /** Before the browser shows its next frame: hears which pictures are drawn, and draws the next when it is time to. */
  private lookNext(): void {
    const { stage } = this;
    if (this.scheduled || !stage || this.lost) return;
    this.scheduled = requestAnimationFrame((now) => {
      this.scheduled = 0;
      const drawn = stage.drawn(performance.now());
      this.caughtUp(this.given.splice(0, drawn.length));
      for (const { ms, kind } of drawn) this.quality.took(ms, kind);
      // What is shown in this frame a browser may wait for, and for all that it is given with it.
      const shows = drawn.length > 0 && stage.drawsBehind;
      if (shows) this.drawn++;
      if (this.wanted && !shows && stage.underway.count < this.quality.ahead) this.draw(now);
      if (this.wanted || stage.underway.count > 0) this.lookNext();
    });
  }

  private draw(now: number): void {
    if (!this.stage || this.lost) return;
    this.onDraw();
    this.wanted = false;
    const whole = this.sharp;
    this.sharp = false;
    this.stage.setQuality(whole ? this.quality.still : this.quality.moving);
    window.clearTimeout(this.settling);
    this.settling = 0;
    const moving = this.motion.update(now);
    if (this.armMoved) this.pose();
    this.placeWalk();
    this.handles.place(this.activeAxes.object, this.seen());
    // What is dragged stays under the pointer.
    if (this.world.visible && !this.handles.held) this.orbitCamera.keepIn(() => this.needed(), now);
    const gliding = this.orbitCamera.update(now);
    const playing = this.replay.update(now);
    this.compose();
    this.sheet.update(this.labels(), this.stage.renderer);
    const moves = moving || gliding || playing;
    const kind = moves || this.state?.moving ? "moving" : whole || !this.quality.coarse ? "whole" : "other";
    this.stage.draw(this.orbitCamera.camera, this.armMoved, kind);
    this.given.push(this.world.visible ? this.place : -1);
    this.armMoved = moving;
    if (!this.stage.drawsBehind) this.drawn++;
    this.lookNext();
    if (moves) this.invalidate();
    else this.rest(whole);
    this.onDrawn();
  }

  /** Lays out what depends on where one looks from: sizes, labels, what faces the viewer. */
  private compose(): void {
    const { camera } = this.orbitCamera;
    const { width, height } = this.size;
    const screen = screenOf(camera, width, height, this.least);
    const wall = this.walk.on && this.orbitCamera.free.w < NARROW_LETTERS * this.least; // where the hand's words would take a third of the height
    this.hand.setLeftOut(wall || this.walkAlone || (this.spokenOf.length > 0 && width < NARROW_PX));
    this.walk.setOneUnit(this.least > 0 || this.walkAlone);
    const insets = this.framed ? { left: 0, right: 0, top: 0, bottom: 0 } : this.insets;
    this.floor.face(this.orbitCamera.azimuth);
    this.aim.place(this.motion.axes);
    this.placeHand();
    this.handles.place(this.activeAxes.object, this.seen());
    for (const label of this.labels()) label.fit(screen);
    const free = { width, height, ...insets };
    this.prediction.fit(camera, screen, free);
    this.crowd.fit(camera, screen, free);
    this.arrangeLabels(screen);
    this.ghost.blocked.face(camera);
    this.target.face(camera);
    this.goal.face(camera);
    this.tcp.fit(screen);
    this.trail.fit(this.seen());
  }

  /** Nothing moves any more. A picture that is coarse is soon drawn once more, whole. */
  private rest(whole: boolean): void {
    this.quality.rest();
    if (whole || !this.quality.coarse || this.state?.moving) return;
    this.settling = window.setTimeout(() => {
      this.settling = 0;
      this.sharp = true;
      this.invalidate();
    }, SETTLED_MS);
  }

  /** Keeps labels off each other: each gives way to those before it, the direction in hand first of what can move. */
  private arrangeLabels(screen: Screen): void {
    const { camera, free } = this.orbitCamera;
    const picture = new Picture(camera, screen.perPx);
    const all = this.labels();
    const aside = this.walkAlone ? [this.aim.label, this.ghost.label, ...this.activeAxes.labels, ...this.cell.labels, ...this.names.labels] : [];
    for (const label of all) {
      label.off.set(0, 0);
      label.crowded = aside.includes(label);
    }
    const here = all.filter((l) => l.text !== "" && shown(l.object) && !l.crowded);
    const [x, y] = picture.seen(this.tcp.object.getWorldPosition(new Vector3()));
    const dot = 26 * scaleOf(screen, 21);
    const taken: Box[] = [{ x, y, w: dot, h: dot }, ...this.prediction.dotBoxes(picture)];
    const settled = new Set<Label>();
    const place = (labels: readonly Label[], farthest: number, beside: readonly Box[] = []): void => {
      for (const label of labels) {
        if (!here.includes(label)) continue;
        settled.add(label);
        const box = this.settleLabel(label, picture, [...taken, ...beside], free, farthest * screen.type);
        if (box) taken.push(box);
      }
    };
    // What is said of what one does now; then the tip; then what is measured, the axes' letters, and what things are called.
    const said = [this.handles.label, ...this.prediction.answers, ...this.crowd.labels];
    for (const label of said) if (here.includes(label)) picture.keepIn(label, [], free);
    place(said, 240);
    place(this.prediction.letters, 40);
    // While the ball waits for an answer one frame alone has letters: the ball's, or the one that is jogged.
    const one = this.prediction.asking && (this.prediction.lettered || this.activeAxes.object.visible);
    for (const label of this.baseAxes.labels) label.crowded ||= one;
    const fixed = here.filter((l) => !said.includes(l) && l !== this.aim.label && l !== this.ghost.label && !l.crowded && !this.walk.labels.includes(l) && !this.names.labels.includes(l));
    const hand = this.hand.standOff(picture, this.dots(picture), [...taken, ...fixed.map((l) => picture.boxOf(l))], free);
    // Where the turn is to be seen, its name does not stand.
    const tool = this.dots(picture).filter(({ weight }) => weight >= 1).map(({ at: [x, y], radius }): Box => ({ x, y, w: 2 * radius, h: 2 * radius }));
    this.aim.arrange(picture, [...taken, ...hand, ...tool, ...this.tcp.labels.filter((l) => here.includes(l)).map((l) => picture.boxOf(l))], free);
    place([this.aim.label], 240, [...tool, ...hand]);
    place(this.tcp.labels, 240);
    place(this.gap.labels, 160);
    const contact = this.gap.contact && here.includes(this.gap.label) ? grown(picture.boxOf(this.gap.label), CONTACT_PX * screen.type) : null;
    if (contact) for (const label of this.cell.labels) label.crowded ||= over(picture.boxOf(label), contact);
    place(this.activeAxes.labels, 48);
    if (!one) place(this.baseAxes.labels, 48);
    place(fixed.filter((l) => !settled.has(l) && !l.crowded), 120, contact ? [contact] : []);
    const lines = this.walk.arrange(picture, [...taken, ...hand], free);
    if (lines.length > 0) place(this.walk.labels, 240);
    // In large type the dimensions leave little room, and they are what is looked at.
    const farthest = this.walkAlone ? -Infinity : this.least > 0 && lines.length > 0 ? 2 * this.least : Infinity;
    taken.push(...this.names.place(camera, screen, picture, [...taken, ...hand], free, farthest, contact), ...hand);
    place([this.ghost.label], 30);
  }

  /** Finds a label its place off what is taken, and returns what it covers there; null where there is none, or it is not to be seen. */
  private settleLabel(label: Label, picture: Picture, taken: readonly Box[], free: { w: number; h: number }, farthest: number): Box | null {
    const wish = picture.boxOf(label);
    if (!inSight(wish, free)) return null;
    const off = settle(wish, taken, free, farthest + (wish.w + wish.h) / 2, this.gaveWay.get(label) ?? null);
    label.crowded = off === null;
    if (!off) return null;
    this.gaveWay.set(label, off);
    label.off.set(off[0] / wish.w, off[1] / wish.h);
    return { ...wish, x: wish.x + off[0], y: wish.y + off[1] };
  }

  /** Points of the arm from foot to tip, and of the axes, that had better not be hidden; those of the tool above all. */
  private dots(picture: Picture): Dot[] {
    if (!this.arm || !this.form) return [];
    const dots: Dot[] = [];
    const line = (from: Vector3, to: Vector3, radius: number, weight: number): void => {
      for (let i = 0; i <= 8; i++) {
        const p = from.clone().lerp(to, i / 8);
        dots.push({ at: picture.seen(p), radius: radius * picture.pxPerMm(p), weight });
      }
    };
    const { links } = this.arm;
    const hubs = this.form.hubs.map((hub, i) => hub.centre.clone().applyMatrix4(links[i]!.matrixWorld));
    hubs.forEach((hub, i) => i > 0 && line(hubs[i - 1]!, hub, this.form!.hubs[i]!.radius * 0.8, i < 4 ? 0.4 : 1));
    const tip = this.tcp.object.getWorldPosition(new Vector3());
    const flange = this.arm.flange.getWorldPosition(new Vector3());
    line(hubs[5]!, flange, this.form.hubs[5]!.radius * 0.8, 1);
    line(flange, tip, this.form.hubs[5]!.radius * 0.3, 1.5);
    for (const axes of [this.activeAxes, this.baseAxes]) {
      if (!shown(axes.object)) continue;
      const origin = axes.object.getWorldPosition(new Vector3());
      for (const end of axes.tips) line(origin, end, 0, 0.4);
    }
    return dots;
  }

  private readonly contextLost = (): void => {
    this.lost = true;
  };

  private readonly contextRestored = (): void => {
    this.lost = false;
    this.stage?.surround();
    this.sheet.forget();
    this.armMoved = true;
    this.invalidate();
  };
}

function grown(box: Box, by: number): Box {
  return { ...box, w: box.w + 2 * by, h: box.h + 2 * by };
}

/** Whether two jogs go along or about the same axis; one that is dragged to and fro stays one jog. */
function sameAxis(a: Direction, b: Direction | null): boolean {
  return a.frame === b?.frame && a.task === b.task && a.axis === b.axis;
}

/** Whether neither an object nor anything it is part of is hidden. */
function shown(object: Object3D): boolean {
  for (let o: Object3D | null = object; o; o = o.parent) if (!o.visible) return false;
  return true;
}

/** How many pixels of a picture are one of a window, so that its letters are as large beside the arm as in a window of a usual size. */
function density(width: number, height: number): number {
  return Math.max(1, Math.min(width / 1280, height / 720));
}

function openStage(host: HTMLElement, onUnavailable?: () => void): Stage | null {
  try {
    return new Stage(host);
  } catch {
    onUnavailable?.();
    return null;
  }
}
