// What the scripts say on the page, in one place. The texts are in the catalogue; here they get their numbers.
import { andList, fixed, list, MINUS, short, signed, signMark } from "./format";
import { type Key, say } from "./say";
import { inUnit, length, lengthWithUnit, readingUnit, reducedSpeed, floorGrid, shortLength, shortSpeed, speedSign, unitSign } from "./units";
import type { Pointed } from "../view/pointing";
import type { Nearness, State } from "../link/state";
import type { AttemptView, ClearanceView, CostView, Direction, FaultsMessage, Frame, Ghost, GoalView, IncrementRequest, LogEntry, PlayMessage, PredictionsMessage, PredictionView, QuestionView, RoomMessage, SpeedRequest, StopMessage, TaskView, TeachMessage, ToolView, WayView } from "../wire";

export const LETTERS = ["X", "Y", "Z"] as const;
type Letter = (typeof LETTERS)[number];

/** Whether a direction is straight, and so measured in mm. */
export function straight(d: Direction): boolean {
  return d.frame !== "joint" && d.axis < 3;
}

/** The axis of the base or tool frame that a jog goes along or about. */
export function letterOf(axis: number): Letter {
  return LETTERS[axis % 3] ?? "X";
}

export const jointName = (axis: number): string => `J${axis + 1}`;
const along = (axis: number): "along" | "about" => (axis < 3 ? "along" : "about");

/** How far: a length, or an angle. */
export function amount(d: Direction, value: number, decimals: number): string {
  return straight(d) ? lengthWithUnit(value, decimals) : `${fixed(value, decimals)}°`;
}

/** A jog direction in full, as a button is called. */
export function directionName({ frame, axis, sign: s }: Direction): string {
  const sign = say(s > 0 ? "sign.plus" : "sign.minus");
  if (frame === "joint") return say("button.joint", { joint: jointName(axis), sign });
  return say(`button.${frame}.${along(axis)}`, { letter: letterOf(axis), sign });
}

/** A jog direction within a sentence. */
function directionPhrase({ frame, axis, sign }: Direction): string {
  if (frame === "joint") return say(sign > 0 ? "direction.joint.plus" : "direction.joint.minus", { joint: jointName(axis) });
  return say(`direction.${frame}.${along(axis)}`, { axis: signMark(sign) + letterOf(axis) });
}

/** A step as a person says it: "J5, +5°", "50 mm straight along +Y of the base frame". */
function jogWords(d: Direction, step: IncrementRequest): string {
  if (d.frame === "joint") return say("jog.joint", { joint: jointName(d.axis), turn: `${d.sign > 0 ? "+" : MINUS}${short(step.deg)}°` });
  return `${stepText(d, step)} ${directionPhrase(d)}`;
}

/** How far a step goes in a direction. */
export const stepText = (d: Direction, step: IncrementRequest): string => (straight(d) ? shortLength(step.mm) : `${short(step.deg)}°`);

/** What the buttons on the left and on the right are for, in a frame where they differ. */
export const halfText = (frame: Frame, half: number): string => (frame === "joint" ? "" : pairText(frame, 3 * half));

/** What a pair of jog buttons is for, after the letter of its axis. */
export function pairText(frame: Frame, axis: number): string {
  return frame === "joint" ? say("pair.joint", { joint: jointName(axis) }) : say(`pair.${frame}.${along(axis)}`);
}

/** The same in one word, where the letter and the frame are seen beside it. */
export const pairBrief = (frame: Frame, axis: number): string => (frame === "joint" ? "" : say(`pair.brief.${along(axis)}`));

const baseWays = ["x", "y", "z", "about-x", "about-y", "about-z"] as const;

/** Which way a jog button goes, where plain words can say it: seen from behind the base. */
export function way(d: Direction): string {
  const name = baseWays[d.axis];
  return d.frame === "base" && name ? say(`way.${name}.${d.sign > 0 ? "plus" : "minus"}`) : "";
}

export interface Legend {
  title: string;
  lines: { letter: Letter | ""; text: string }[];
}

/** What plus means in the active frame. */
export function legend(frame: Frame): Legend {
  if (frame === "joint") return { title: say("plus.joint"), lines: [{ letter: "", text: say("plus.joint.rule") }] };
  const lines = (["x", "y", "z"] as const).map((l, i) => ({ letter: letterOf(i), text: say(`plus.${frame}.${l}`) }));
  return { title: say(`plus.${frame}`), lines };
}

export function increment(i: IncrementRequest): string {
  return say("jog.increment", { length: shortLength(i.mm), deg: short(i.deg) });
}

export function speed(s: SpeedRequest): string {
  return say("jog.speed.choice", { speed: shortSpeed(s.mm_s), deg: short(s.deg_s) });
}

export const toolName = ({ name, title }: ToolView): string => (name === "none" ? say("bench.tool.none") : title);
export const noCell = (): string => say("bench.cell.none");
/** The choice of no lesson: in one it is the way out. */
export const chooseLesson = (inLesson: boolean): string => say(inLesson ? "lesson.leave" : "lesson.choose");
export const placeName = (place: "lesson" | "strip"): string => say(`places.${place}`);

/** What task frames are called in the page's language, by the names in the cell's file. */
const taskTitles = new Map<string, string>();

export function nameTasks(tasks: TaskView[]): void {
  for (const { name, title } of tasks) taskTitles.set(name, title);
}

export const taskTitle = (name: string): string => taskTitles.get(name) ?? name;

/** A frame by name, within a sentence. */
export function frameName({ frame, task }: { frame: Frame; task: string }): string {
  return frame === "task" ? say("frame.named", { name: taskTitle(task) }) : say(`jog.frame.${frame}`);
}

export function readingCaption(whose: "tcp" | "flange", inFrame: { frame: Frame; task: string }): string {
  return say(`where.caption.${whose}`, { frame: frameName(inFrame) });
}

export function readingBrief(whose: "tcp" | "flange", inFrame: { frame: Frame; task: string }): string {
  return say("where.brief", { whose: say(`where.${whose}`), frame: frameName(inFrame) });
}

/** Which finger of the right hand is which, or what its thumb and fingers say of a turn. */
export function handSays(turn: Direction | null): string {
  if (!turn) return say("hand.axes");
  const axis = turn.frame === "joint" ? jointName(turn.axis) : letterOf(turn.axis);
  return say(turn.sign > 0 ? "hand.turn.plus" : "hand.turn.minus", { axis });
}

export function tcpSpeed(state: State): string {
  return state.moving ? say("where.speed", { speed: `${length(state.tcp_speed_mm_s, 1)} ${speedSign()}` }) : say("where.rest");
}

export const degrees = (value: number): string => `${fixed(value, 2)}°`;
/** The same to a tenth, where there is little room. */
export const jointAt = (value: number): string => `${fixed(value, 1)}°`;
export const limit = (value: number): string => `${short(Math.round(value * 10) / 10)}°`;
export const delta = (value: number): string => `${signed(value, Math.abs(value) < 0.1 ? 2 : 1)}°`;
export const rests = (): string => say("joints.rests");
export const jointSpeed = (value: number, max: number): string => say("joints.speed", { speed: fixed(Math.abs(value), 0), max: fixed(max, 0) });

export const jointDemand = (value: number, max: number): string => say("joints.demand", { speed: fixed(Math.abs(value), 0), max: fixed(max, 0) });

/** Less room than this, mm or degrees, is none to speak of. */
export const NO_ROOM = 0.05;

/** How far a direction is free, in a few signs and in a sentence; null where the room is of another frame. */
export function roomText(d: Direction, { frame, task, room: all }: RoomMessage): { free: number; short: string; long: string; brief: string } | null {
  const room = all[2 * d.axis + (d.sign > 0 ? 0 : 1)];
  if (!room || frame !== d.frame || task !== (d.task ?? "")) return null;
  const free = amount(d, room.free, room.free < 10 ? 1 : 0);
  if (!room.cause) return { free: room.free, short: say("room.endless"), long: say("room.endless.long"), brief: "" };
  return { free: room.free, short: free, long: say("room.until", { free, cause: room.cause }), brief: room.brief };
}

export function gapText(gap: ClearanceView | null): string {
  if (!gap) return "";
  const { a, b } = gap;
  return gap.contact ? say("gap.contact", { a, b }) : say("gap.nearest", { a, b, distance: lengthWithUnit(gap.distance_mm, 1) });
}

/** The same in the picture, where one sees what it is that is so near. */
export const gapMark = ({ distance_mm, b, contact }: ClearanceView): string => (contact ? say("gap.mark.contact", { b }) : say("gap.mark", { distance: lengthWithUnit(distance_mm, 1), b }));

/** A distance to stop at before contact; at 0 it is contact itself. */
export const distanceText = (mm: number): string => (mm === 0 ? say("set-distance.off") : say("set-distance.at", { length: shortLength(mm) }));

export const crashCount = (n: number): string => say("crashes", { count: n });

export function teachState(m: TeachMessage): string {
  if (!m.fit) return m.touches > 0 ? say("teach.touches", { count: m.touches }) : "";
  const [x, y, z] = m.fit.tcp_mm.map((mm) => length(mm));
  const values = { count: m.touches, x: x!, y: y!, z: z!, unit: unitSign(), rms: lengthWithUnit(m.fit.rms_mm), max: lengthWithUnit(m.fit.max_mm), spread: fixed(m.fit.spread_deg, 0), off: lengthWithUnit(m.fit.from_file_mm) };
  return say("teach.fit", values) + (m.fit.weak ? ` ${say("teach.weak")}` : "");
}

/** The speed of a jog that was driven, and how it ended. */
export function logEntryWords(e: LogEntry): string {
  return say("log.entry", { speed: e.straight ? shortSpeed(e.speed) : `${short(e.speed)} °/s`, ended: e.ended });
}

/** Where a jog that was driven began and ended. */
export function logEntryTitle(e: LogEntry): string {
  const place = (mm: readonly number[]): string => list(mm.map((x) => length(x)));
  return say("log.entry.from", { from: place(e.from_mm), to: place(e.to_mm), unit: unitSign() });
}

/** How far the playing of a jog file has got. */
export function playState(m: PlayMessage): string {
  if (m.playing) return say("play.progress", { name: m.name, done: m.done, of: m.of, line: m.line, jog: m.jog });
  if (m.of === 0) return say("play.problem", { name: m.name });
  return m.done === m.of ? say("play.done", { name: m.name, of: m.of }) : say("play.stopped", { name: m.name, done: m.done, of: m.of });
}

/** What to do to see a next step: a finger cannot point at a button without pressing it, and who uses keys chooses one by them. */
export function aimAtSomething(holding: boolean): string {
  const touch = matchMedia("(hover: none)").matches;
  if (holding) return say(touch ? "next.aim.touch.held" : "next.aim.held");
  if (document.documentElement.hasAttribute("data-keys")) return say("next.aim.keys");
  return say(touch ? "next.aim.touch" : "next.aim");
}

/** What comes next, or has come, in one sentence: the part before a stop, and the stop. */
export interface Next {
  text: string;
  stop: string;
}

/** The last motion in one sentence, where something stopped it. */
export const stopped = (stop: StopMessage): Next => ({
  text: "",
  // What would be written as 0.0 is no way that it went.
  stop: Math.abs(stop.travel) < 0.05 ? `${stop.headline}.` : say("next.stopped", { travel: amount(stop.direction, stop.travel, 1), cause: stop.cause || stop.headline }),
});

/** What a held jog would do. Its room is told beside it, where there is some. */
export function nextHeld(d: Direction, ghost: Ghost): Next {
  const text = say("next.held", { direction: directionPhrase(d) });
  if (!ghost.stop || ghost.travel >= NO_ROOM) return { text: `${text}.`, stop: "" };
  return { text, stop: say("next.held.stops", { travel: amount(d, ghost.travel, 1), cause: ghost.stop.cause || ghost.stop.headline }) };
}

/** A joint that turns at least so far, degrees, for a jog that is not its own is worth a word, as near a singularity. */
const SWING_DEG = 45;

/** What is said of the joint that swings the farthest; "" where none swings far. */
function swing(d: Direction, turns: readonly number[], said: (joint: string, turn: string) => string): string {
  const most = turns.reduce((best, turn, i) => (Math.abs(turn) > Math.abs(turns[best]!) ? i : best), 0);
  return d.frame === "joint" || Math.abs(turns[most]!) < SWING_DEG ? "" : said(jointName(most), `${signed(turns[most]!, 0)}°`);
}

/** The next step in one sentence. */
export function nextStep(d: Direction, ghost: Ghost, chosen: IncrementRequest): Next {
  const step = say("next.step", { jog: jogWords(d, chosen) });
  if (!ghost.stop) return { text: swing(d, ghost.delta_deg, (joint, turn) => say("next.swing", { step, joint, turn })) || say("next.whole", { step }), stop: "" };
  const cause = ghost.stop.cause || ghost.stop.headline;
  return { text: step, stop: say("next.stops", { travel: amount(d, ghost.travel, 1), cause }) };
}

/** What can be dragged, in a few words on the picture. */
export function draggable({ frame, axis }: Direction): string {
  return frame === "joint" ? say("drag.joint", { joint: jointName(axis) }) : say(`drag.${along(axis)}`, { letter: letterOf(axis) });
}

/** What a jog goes along or about, on the picture. */
function axisName({ frame, axis }: Direction): string {
  return frame === "joint" ? jointName(axis) : say(`picture.${along(axis)}`, { letter: letterOf(axis) });
}

/** By how much the TCP has moved in a turn about it. */
export const tipMoved = (mm: number): string => say("view.tip-moved", { length: lengthWithUnit(mm) });

/** How high above the floor the base frame's origin is, on the picture. */
export const originHeight = (mm: number): string => say("picture.origin", { length: shortLength(mm) });

/** A jog direction, on the picture. */
export const directionMark = (d: Direction): string => `${axisName(d)} ${signMark(d.sign)}`;

/** How far it has been dragged. */
export function dragged(d: Direction, by: number): string {
  const decimals = Math.abs(by) < 10 ? 1 : 0;
  if (!straight(d)) return `${axisName(d)} ${signed(by, decimals)}°`;
  return `${axisName(d)} ${signed(inUnit(by), readingUnit() === "inch" ? 2 : decimals)} ${unitSign()}`;
}

export function moving(d: Direction): string {
  return say("next.moving", { direction: directionPhrase(d) });
}

export function slowed(by: string): string {
  return by === "reduced speed" ? say("where.slowed.reduced", { reduced: reducedSpeed() }) : say("where.slowed.joint", { joint: by });
}

type Said = Pick<StopMessage, "headline" | "numbers" | "advice" | "advised">;
export const noStopYet = (): Said => ({ headline: say("stops.none"), numbers: "", advice: "", advised: null });
export const motionUnderWay = (): Said => ({ headline: say("stops.moving"), numbers: "", advice: "", advised: null });

const singularities: Record<string, Key> = { wrist: "near.wrist", elbow: "near.elbow", shoulder: "near.shoulder" };

export function nearness(s: Nearness): string {
  return say(s.near ? (singularities[s.kind] ?? "near.other") : "near.none");
}

/** What is still to be done to go a way that a singularity was in. */
export const stillToDo = (stop: StopMessage): string => capital(say("stop.still", { way: directionPhrase(stop.direction), advice: stop.advice }));

/** Once the arm is away from the singularity at which it refused a way. */
export const mayAgain = (stop: StopMessage): string => capital(say("stop.may-again", { way: directionPhrase(stop.direction) }));

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** To which joint the advice leads. */
export const toJoint = (joint: number): string => say("stop.jog-joint", { joint: jointName(joint) });

/** The condition number, said as what it means for the joints. */
export function unevenness(s: Nearness): string {
  return s.condition >= 1e6 ? say("near.lost") : say("near.uneven", { number: condition(s.condition) });
}

/** A condition number, which may be large. */
function condition(value: number): string {
  if (value >= 1000) return say("near.thousand", { number: short(value / 1000, 1) });
  return fixed(value, value >= 10 ? 0 : 1);
}

export const connecting = (): string => say("link.connecting");
export function linkLost(seconds: number, why: string): string {
  if (why !== "") return seconds < 1 ? say("link.refused.now", { why }) : say("link.refused.soon", { why, seconds: Math.ceil(seconds) });
  return seconds < 1 ? say("link.lost.now") : say("link.lost.soon", { seconds: Math.ceil(seconds) });
}

export const foundAtRest = (): string => say("link.found");
export const benchLost = (to: "page" | "other"): string => say(`link.taken.${to}`);

export const oneStep = (): string => say("jog.one-step");
export const holdMeansHold = (): string => say(document.documentElement.hasAttribute("data-keys") ? "jog.hold-means-hold.keys" : "jog.hold-means-hold");
export const viewUnavailable = (): string => say("view.no-webgl");

/** How near to its place a way counts as there, mm. */
const WAYS_NEAR_MM = 1;
/** How far apart the points of a frame are best, mm. */
const POINTS_APART_MM = 100;

export const teachHow = (): string => say("teach.frame.how", { good: shortLength(POINTS_APART_MM) });

/** What a thing of the page is, in one or two sentences. */
export const help = (name: string): string => say(`help.${name}` as Key, { reduced: reducedSpeed(), near: shortLength(WAYS_NEAR_MM) });

const frames = ["base", "tool", "world"] as const;

/** What a thing in the view is called. */
export function pointedName(what: Pointed): string {
  switch (what.kind) {
    case "joint":
      return say("pointed.joint", { joint: jointName(what.index) });
    case "link":
      if (what.index === 0) return say("pointed.link.base");
      if (what.index === 6) return say("pointed.link.last");
      return say("pointed.link", { link: what.index, from: jointName(what.index - 1), to: jointName(what.index) });
    case "axis":
    case "plane": {
      const of = what.kind === "axis" ? what.letter : what.letters;
      const frame = frames.find((f) => f === what.frame);
      return frame ? say(`pointed.${what.kind}.${frame}`, { of }) : say(`pointed.${what.kind}.task`, { of, frame: taskTitle(what.frame) });
    }
    case "thing":
      return what.name;
    case "tool":
      return say("pointed.tool", { name: what.name });
    default:
      return say(`pointed.${what.kind}`, { lines: shortLength(floorGrid().fine) });
  }
}

/** What the errors in a file mean for what is open. */
export function faultsWhat(m: FaultsMessage): string {
  const file = m.id;
  if (!m.open) return say("faults.never", { file });
  return m.old ? say("faults.old", { file }) : say("faults.readable", { file });
}

const jogPhrase = (directions: Direction[]): string => andList(directions.map(directionPhrase));
const jogName = (directions: Direction[]): string => directions.map(directionName).join(" + ");
const jointNames = (joints: number[]): string => joints.map(jointName).join(", ") || say("predict.joints.none");

export const predictionIdle = (joints: boolean): string => say(joints ? "predict.idle.joints" : "predict.idle.way");

/** What is asked of a jog; in place of a hold the arm will make one step. */
export function predictionAsks({ asks, directions, step }: QuestionView): string {
  const asked = say(`predict.asks.${asks}` as Key, { jog: jogPhrase(directions) });
  return step === null ? asked : `${asked} ${say("predict.step", { step: stepText(directions[0]!, { mm: step, deg: step }) })}`;
}

/** What the arrow is called, with its angle to what happened, degrees, and what happened; null where there is no such thing. */
export function predictionNames(off: number | null, truth: "arm" | "stays" | null): [said: string, truth: string] {
  return [off === null ? say("predict.you") : say("predict.you.off", { off: fixed(off, 0) }), truth ? say(truth === "arm" ? "predict.arm" : "predict.stays.mark") : ""];
}

/** How a drawn arrow lies. */
export interface Lie {
  axis: number; // the nearest: X +, X −, Y +, Y −, Z +, Z −
  angle: number; // to it, degrees
  frame: string; // whose axis it is
  depth: number | null; // 1 towards the viewer, −1 away, 0 neither; null where that is not to be told
}

export function noArrow(): string {
  if (document.documentElement.hasAttribute("data-keys")) return say("predict.arrow.none.keys");
  return say(matchMedia("(hover: none)").matches ? "predict.arrow.none.touch" : "predict.arrow.none");
}

/** The arrow as it is drawn, for one who is to find out which axis it lies along. */
export const bareArrow = (depth: number): string => say(depth === 0 ? "predict.arrow.bare.across" : depth > 0 ? "predict.arrow.bare.towards" : "predict.arrow.bare.away");

/** The arrow as it is drawn, in words; where it is along no axis, in numbers of the base frame as well. */
export function drawnArrow(arrow: [number, number, number], { axis, angle, frame, depth }: Lie): string {
  const off = fixed(angle, 0);
  const lies = say(off === "0" ? "predict.arrow.along" : "predict.arrow.beside", { axis: `${LETTERS[axis >> 1]} ${signMark(axis % 2 ? -1 : 1)}`, angle: off, frame });
  const told = depth === null ? `${lies}.` : say(depth === 0 ? "predict.arrow.across" : depth > 0 ? "predict.arrow.towards" : "predict.arrow.away", { lies });
  if (off === "0") return told;
  const [x, y, z] = arrow.map((part) => signed(part, 2));
  return `${told} ${say("predict.arrow.numbers", { x: x!, y: y!, z: z! })}`;
}

/** How far an arrow is off, and how far off it may be to be right. */
export const offArrow = (off: number, within: number): string => say("predict.off", { off: fixed(off, 0), within: short(within) });

/** What came of a prediction, where an arrow may be so far off; in the list, with its jog. */
export function predictionLine(p: PredictionView, within: number, listed = false): string {
  const result = predictionResult(p, within);
  return listed ? `${jogName(p.directions)}: ${result}` : result;
}

function predictionResult(p: PredictionView, within: number): string {
  if (p.cause) return say(p.right ? "predict.stayed.right" : p.as_asked ? "predict.stayed.asked" : "predict.stayed.wrong", { cause: p.cause });
  if (p.asks === "joints") return say(p.right ? "predict.joints.right" : "predict.joints.wrong", { joints: jointNames(p.movers), count: p.wrong });
  if (p.right) return say("predict.off.right", { off: offArrow(p.off_deg!, within) });
  const wrong = p.off_deg === null ? say("predict.moves") : say("predict.off.wrong", { off: offArrow(p.off_deg, within) });
  const way = p.truth && plainWay(p.truth);
  return way ? `${wrong} ${say(p.asks === "axis" ? "predict.truth.axis" : "predict.truth.way", { way })}` : wrong;
}

/** A direction of the base frame as one of those to choose from; null where it is along none of them. */
function plainWay(direction: [number, number, number]): string | null {
  const axis = direction.findIndex((part) => Math.abs(part) > Math.cos(Math.PI / 12));
  if (axis < 0) return null;
  return say(`way.${"xyz"[axis]}.${direction[axis]! > 0 ? "plus" : "minus"}` as Key);
}

export function predictionScore(m: PredictionsMessage): string {
  const score = say("predict.score", { count: m.count, right: m.right });
  return m.mean_deg === null ? score : `${score} ${say("predict.mean", { mean: fixed(m.mean_deg, 0) })}`;
}

export const wayName = (way: string): string => say(`ways.way.${way}` as Key);

export function goalText(goal: GoalView | null, begun: boolean): string {
  if (!goal) return say("ways.none");
  const [x, y, z] = goal.position_mm.map((mm) => lengthWithUnit(mm));
  const text = say("ways.goal", { x: x!, y: y!, z: z! });
  return begun ? text : `${text} ${say("ways.move-away")}`;
}

/** The least clearance of a way, as a number. */
export const clearanceFigure = ({ clearance }: CostView): string => (clearance ? length(Math.max(0, clearance.distance_mm), 1) : "\u2013");

/** A way in words: its jogs, what it comes nearest to, and why it does not get there. */
export function wayNote(way: WayView | null): string {
  if (!way) return say("ways.working");
  if (way.nowhere) return say("ways.nowhere");
  if (way.jogs.length === 0) return say("ways.there");
  const jogs = `${way.jogs.join("; ")}.`;
  if (!way.stop) return jogs;
  const [x, y, z] = way.stop_at_mm.map((mm) => lengthWithUnit(mm));
  const stop = say("ways.stops", { cause: way.stop.cause || way.stop.headline, jog: way.jogs.length, x: x!, y: y!, z: z!, short: lengthWithUnit(way.short_mm) });
  return `${stop} ${jogs}`;
}

export const ownNote = (own: AttemptView): string => say(own.reached ? "ways.own.reached" : "ways.own.under-way");
