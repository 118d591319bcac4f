// What the scripts say on the page, in one place. All other text is in the templates.
import { condition, fixed, lengthWithUnit, short, signed, type Unit } from "./format";
import type { Direction, Frame, Ghost, IncrementRequest, LessonMessage, SingularityView, SpeedRequest, State, TargetView } from "./wire";

export const LETTERS = ["X", "Y", "Z"] as const;
type Letter = (typeof LETTERS)[number];

const frameNames: Record<Frame, string> = { joint: "joints", base: "base frame", world: "world frame", tool: "tool frame", task: "task frame" };

/** Whether a direction is straight, and so measured in mm. */
export function straight(d: Direction): boolean {
  return d.frame !== "joint" && d.axis < 3;
}

/** The axis of the base or tool frame that a jog goes along or about. */
export function letterOf(axis: number): Letter {
  return LETTERS[axis % 3] ?? "X";
}

/** How far, in the direction's own unit. */
function amount(d: Direction, value: number, decimals: number): string {
  return straight(d) ? `${fixed(value, decimals)} mm` : `${fixed(value, decimals)}°`;
}

/** A jog direction in full, as a button is called. */
export function directionName(d: Direction): string {
  const sign = d.sign > 0 ? "plus" : "minus";
  if (d.frame === "joint") return `joint J${d.axis + 1}, ${sign}`;
  return `${frameNames[d.frame]}, ${straight(d) ? "straight along" : "turn about"} ${letterOf(d.axis)}, ${sign}`;
}

/** A jog direction within a sentence. */
function directionPhrase(d: Direction): string {
  const sign = d.sign > 0 ? "+" : "−";
  if (d.frame === "joint") return `of J${d.axis + 1} to ${d.sign > 0 ? "plus" : "minus"}`;
  return `${straight(d) ? "straight along" : "about"} ${sign}${letterOf(d.axis)} of the ${frameNames[d.frame]}`;
}

/** What a pair of jog buttons is for, after the letter of its axis. */
export function pairText(frame: Frame, axis: number): string {
  if (frame === "joint") return `turn J${axis + 1}`;
  const whose = frame === "tool" ? " of the tool" : "";
  return (axis < 3 ? "straight" : "turn about") + whose;
}

/** Which way a jog button goes, where plain words can say it: seen from behind the base. */
export function way(d: Direction): string {
  if (d.frame !== "base") return "";
  const [minus, plus] = baseWays[d.axis] ?? ["", ""];
  return d.sign > 0 ? plus : minus;
}

const baseWays: readonly (readonly [minus: string, plus: string])[] = [
  ["back", "forward"],
  ["right", "left"],
  ["down", "up"],
  ["tip left", "tip right"],
  ["tip back", "tip forward"],
  ["turn right", "turn left"],
];

export interface Legend {
  title: string;
  lines: { letter: Letter | ""; text: string }[];
}

/** What plus means in the active frame. */
export function legend(frame: Frame): Legend {
  switch (frame) {
    case "joint":
      return {
        title: "Plus on a joint",
        lines: [{ letter: "", text: "Right hand: thumb along the joint’s axis, the fingers curl the plus way." }],
      };
    case "base":
      return {
        title: "Plus in the base frame",
        lines: [
          { letter: "X", text: "forward" },
          { letter: "Y", text: "to the left" },
          { letter: "Z", text: "up" },
        ],
      };
    case "world":
    case "task":
      return {
        title: `Plus in the ${frameNames[frame]}`,
        lines: [
          { letter: "X", text: "its own X" },
          { letter: "Y", text: "its own Y" },
          { letter: "Z", text: "its own Z" },
        ],
      };
    case "tool":
      return {
        title: "Plus in the tool frame",
        lines: [
          { letter: "X", text: "the tool’s own X" },
          { letter: "Y", text: "its own Y" },
          { letter: "Z", text: "its own Z" },
        ],
      };
  }
}

export function increment(i: IncrementRequest): string {
  return `${short(i.mm)} mm · ${short(i.deg)}°`;
}

export function speed(s: SpeedRequest): string {
  return `${short(s.mm_s)} mm/s · ${short(s.deg_s)} °/s`;
}

export const toolName = (name: string): string => (name === "none" ? "none (bare flange)" : name);
export const noLesson = "none";

export function readingCaption(whose: "tcp" | "flange"): string {
  return whose === "tcp" ? "The tool centre point (TCP) in the base frame" : "The flange in the base frame";
}

export function tcpSpeed(state: State): string {
  if (!state.moving) return "TCP at rest";
  return `TCP at ${fixed(state.tcp_speed_mm_s, 1)} mm/s`;
}

export const degrees = (value: number): string => `${fixed(value, 2)}°`;
export const limit = (value: number): string => `${short(Math.round(value * 10) / 10)}°`;
export const delta = (value: number): string => `${signed(value, Math.abs(value) < 0.1 ? 2 : 1)}°`;
export const rests = "rests";
export const jointSpeed = (value: number, max: number): string => `${fixed(Math.abs(value), 0)} of ${fixed(max, 0)} °/s`;

export const aimAtSomething = "Point at a button to see where its step would end.";

/** The next step in one sentence, the part before the stop. */
export function nextStep(d: Direction, ghost: Ghost, chosen: IncrementRequest): { text: string; stop: string } {
  const full = straight(d) ? chosen.mm : chosen.deg;
  const text = `Next step: ${straight(d) ? short(full) + " mm" : short(full) + "°"} ${directionPhrase(d)}`;
  if (!ghost.stop) return { text: `${text}.`, stop: "" };
  return { text: `${text}`, stop: `would stop after ${amount(d, ghost.travel, 1)}: ${ghost.stop.cause || ghost.stop.headline}` };
}

export function moving(d: Direction): string {
  return `Moving ${directionPhrase(d)}.`;
}

export function slowed(by: string): string {
  return by === "reduced speed" ? "Held to the reduced speed of 250 mm/s." : `${by} can turn no faster, so the path slows.`;
}

export const noStopYet = { headline: "Nothing has stopped the arm yet.", numbers: "", advice: "" };
export const motionUnderWay = { headline: "Moving …", numbers: "", advice: "" };

export function nearness(s: SingularityView): string {
  const number = `condition ${condition(s.condition)}`;
  if (!s.near) return `No singularity near (${number})`;
  return `${s.kind === "other" ? "A" : s.kind === "elbow" ? "An elbow" : `A ${s.kind}`} singularity is near (${number})`;
}

export function targetOff(lesson: LessonMessage, target: TargetView, unit: Unit): string {
  const turn = target.has_rotation ? ` and ${fixed(lesson.off_deg, 1)}°` : "";
  return `${lengthWithUnit(lesson.off_mm, unit)}${turn} off`;
}

export function targetGoal(target: TargetView, unit: Unit): string {
  const [x, y, z] = target.place.p;
  const turn = target.has_rotation ? ` and ${short(target.tolerance_deg)}°` : "";
  return `Target X ${lengthWithUnit(x, unit)}, Y ${lengthWithUnit(y, unit)}, Z ${lengthWithUnit(z, unit)}; within ${lengthWithUnit(target.tolerance_mm, unit)}${turn}.`;
}

export const reached = "Reached";
export const reachedNews = "The target is reached.";

export const connecting = "Connecting to the bench …";
export function linkLost(seconds: number): string {
  return `The link to the bench is lost, and the arm has stopped. Trying again ${seconds < 1 ? "now" : `in ${Math.ceil(seconds)} s`}.`;
}

export const holdMeansHold = "“While held” moves the arm as long as a button is kept down. For single presses choose “in steps of”.";
export const viewUnavailable = (why: string): string => `The arm cannot be drawn here: ${why} The numbers and buttons still work.`;
