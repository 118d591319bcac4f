// What the page says about a lesson and its tasks. The lessons' own texts come from their files.
import { fixed, list, localised, MINUS, short, signed } from "../basics/format";
import { type Key, say } from "../basics/say";
import { lengthWithUnit, shortLength, shortSpeed } from "../basics/units";
import { frameName, increment, offArrow } from "../basics/words";
import type { FreeView, Frame, LessonMessage, LessonTask, PredictView, ReachView, ReadView, StageView, VerdictView } from "../wire";

/** A frame by its name in a lesson: "base", "task tile". */
export function namedFrame(name: string): string {
  const [frame, task = ""] = name.split(" ");
  return frameName({ frame: (frame || "base") as Frame, task });
}

/** A direction as an answer has it: "base y -" is read "−Y of the base frame", and "y -" as it was chosen, "Y −". */
function directionWords(answer: string): string {
  const [, frame, letter, sign] = /^(?:(.+) )?([xyz]) ([+-])$/.exec(answer) ?? [];
  if (!letter) return answer;
  const mark = sign === "+" ? "+" : MINUS;
  return frame ? say("task.direction", { axis: mark + letter.toUpperCase(), frame: namedFrame(frame) }) : `${letter.toUpperCase()} ${mark}`;
}

/** A stage in the list of stages, with how it stands; the one after the last is the result. */
export function stageName(lesson: LessonMessage, i: number): string {
  const stage = lesson.stages[i];
  if (!stage) return say("result.title");
  const name = stage.title ? say("lesson.stage.named", { number: i + 1, title: stage.title }) : say("lesson.stage", { number: i + 1 });
  return stage.done || stage.given_up ? say("lesson.stage.state", { name, state: outcome(stage) }) : name;
}

/** How a stage came out, in a word or two. */
export function outcome(stage: Pick<StageView, "task" | "done" | "given_up">): string {
  if (stage.task === "") return say("result.no-task");
  if (stage.done) return say("result.done");
  return stage.given_up ? say("result.given-up") : say("result.open");
}

export const minutes = (n: number): string => (n > 0 ? say("lesson.minutes", { minutes: n }) : "");

/** What the stage allows, where that is not everything. Which frames a motion asks for is among its rules. */
export function allowed({ allow, task }: Pick<LessonMessage, "allow" | "task">): string {
  const parts: string[] = [];
  if (allow.frames.length > 0 && !task?.reach?.frames.length) parts.push(say("lesson.allow.frames", { frames: frameList(allow.frames) }));
  if (allow.limited) {
    parts.push(say("lesson.allow.steps", { steps: list(allow.increments.map(increment)) }));
    const fastest = allow.speeds.at(-1);
    if (fastest) parts.push(say("lesson.allow.speed", { speed: shortSpeed(fastest.mm_s), deg: short(fastest.deg_s) }));
  }
  // What is only withheld until the answer is given is told where it would be.
  const hidden = allow.withheld ? allow.hidden.filter((h) => !["ghost", "share", "room"].includes(h)) : allow.hidden;
  if (hidden.length > 0) parts.push(say("lesson.allow.hidden", { aids: hidden.map((h) => say(`lesson.aid.${h}` as Key)).join(", ") }));
  return parts.join(" ");
}

const frameList = (frames: Frame[]): string => frames.map((f) => say(`jog.frame.${f}`)).join(", ");

export const withheld = ({ assessment, task }: LessonMessage): string =>
  say(assessment?.state === "waits" ? "next.begin-first" : task?.state === "failed" ? "next.again-first" : "next.answer-first");

// Reach.

export function reachGoal(reach: ReachView): string {
  const turn = `${short(reach.tolerance_deg)}°`;
  if (reach.joint) return say("task.reach.joint", { joint: reach.joint, angle: `${short(reach.angle_deg)}°`, turn });
  const parts: string[] = [];
  const frame = namedFrame(reach.frame);
  if (reach.position_mm) {
    const [x, y, z] = reach.position_mm.map((mm) => shortLength(mm));
    parts.push(say("task.reach.position", { x: x!, y: y!, z: z!, frame, length: shortLength(reach.tolerance_mm) }));
  }
  if (reach.rotation_deg) {
    const [x, y, z] = reach.rotation_deg.map((deg) => `${short(deg)}°`);
    parts.push(say("task.reach.rotation", { x: x!, y: y!, z: z!, frame, turn }));
  }
  return parts.join(" ");
}

/** How far there is to go; once it is done how it was done, where that is known: not where the stage was come back to. */
export function reachOff(reach: ReachView, done: boolean, jogs = 0, moved = true): string {
  const there = reach.off_mm <= reach.tolerance_mm && reach.off_deg <= reach.tolerance_deg;
  if (done && jogs > 0) return say("lesson.reached.jogs", { jogs });
  if (done) return say(there || moved ? "lesson.reached" : "lesson.reached.earlier");
  if (there && reach.posture.some((p) => p.word !== p.now)) return say("lesson.off.posture");
  const length = lengthWithUnit(reach.off_mm);
  const turn = `${fixed(reach.off_deg, 1)}°`;
  if (!reach.position_mm) return say("lesson.off", { length: turn });
  return reach.rotation_deg ? say("lesson.off.turn", { length, turn }) : say("lesson.off", { length });
}

const postureWord = (part: string, word: string): string => say(`posture.${part}.${word}` as Key);

/** The rules of a reach, and how many of its jogs are made. Once it is done nothing is counted any more: the arm may have gone elsewhere. */
export function reachRules(reach: ReachView, jogs: number, done: boolean): string[] {
  const rules = reach.posture.map((p) => {
    const word = postureWord(p.part, p.word);
    return done ? say("task.rule.posture.done", { word }) : say("task.rule.posture", { word, now: postureWord(p.part, p.now) });
  });
  if (reach.taught) rules.push(say("task.rule.taught"));
  else if (reach.frames.length > 0) rules.push(say("task.rule.frames", { frames: frameList(reach.frames) }));
  if (reach.most_jogs > 0) rules.push(done ? say("task.rule.jogs.most", { most: reach.most_jogs }) : say("task.rule.jogs", { most: reach.most_jogs, jogs }));
  if (reach.no_contact) rules.push(say("task.rule.contact"));
  if (reach.path_factor > 0) rules.push(say("task.rule.path", { factor: short(reach.path_factor) }));
  if (reach.keep_direction_deg > 0) rules.push(say("task.rule.direction", { turn: `${short(reach.keep_direction_deg)}°` }));
  return rules;
}

// Predict.

/** The ends of the axes on the ball in the picture are choices, too. */
export const tapKnob = (): string => say(matchMedia("(hover: none)").matches ? "task.knob.touch" : "task.knob");
export const knobFaces = (): string => say("task.knob.faces");

export function askDirection(p: PredictView): string {
  return say(p.point === "flange" ? "task.ask.flange" : "task.ask.tcp", { jog: p.jog, frame: namedFrame(p.frame) });
}
export const askJoints = (p: PredictView): string => say("task.ask.joints", { jog: p.jog });
export const askStop = (p: PredictView): string => say("task.ask.stop", { jog: p.jog });
export const arrowOwn = (): string => say("task.arrow");
export const arrowHalf = (): string => say("predict.half");
export const arrowHalves = (): [value: string, text: string][] => [["near", say("predict.half.near")], ["far", say("predict.half.far")]];
export const arrowTurn = (): string => say("task.arrow.turn");
export const arrowRise = (): string => say("task.arrow.rise");
export const wholeDegrees = (deg: number): string => `${short(deg)}°`;
export const noJoint = (): string => say("task.joints.none");
export const chooseOne = (): string => say("task.choose-one");

const stops: Record<string, Key> = {
  nothing: "task.stop.nothing",
  singularity: "task.stop.singularity",
  "out of reach": "task.stop.reach",
  contact: "task.stop.contact",
  "set distance": "task.stop.set-distance",
};

/** What stops a jog, by the grader's word for it. */
export function stopWord(word: string): string {
  const joint = /^limit (J\d)$/.exec(word)?.[1];
  if (joint) return say("task.stop.limit", { joint });
  const key = stops[word];
  return key ? say(key) : word;
}

// Read.

export const unitOf = (unit: string): string => (unit === "inch" ? "in" : unit);

export function askRead(read: ReadView): string {
  const what = say(`task.read.${read.measure}` as Key, { frame: namedFrame(read.frame), joint: read.joint });
  if (read.jogs.length === 0) return what;
  return say(["travel", "share", "path", "room"].includes(read.measure) ? "task.read.of" : "task.read.after", { what, jogs: read.jogs.join("; ") });
}

export function within(read: ReadView): string {
  return say("task.read.within", { tolerance: withUnit(localised(String(tolerance(read))), read.unit) });
}

// Choose and free.

export const severalRight = (): string => say("task.several");
export function askFree(free: FreeView): string {
  return free.enough < free.notice.length ? say("task.free.enough", { enough: free.enough }) : say("task.free");
}
export const happened = (yes: boolean): string => say(yes ? "task.free.happened" : "task.free.not-yet");

/** How far a task that is driven has come, in a line: on a phone the task itself lies below the jog buttons. "" for a question. */
export function glance(task: LessonTask): string {
  const { reach, free } = task;
  if (!reach && !free) return "";
  if (task.state === "done") return say("task.done");
  if (reach) {
    const far = say("task.glance.reach", { off: reachOff(reach, false), goal: reachGoal(reach) });
    return reach.most_jogs > 0 ? `${far} ${say("task.glance.jogs", { jogs: task.jogs, most: reach.most_jogs })}` : far;
  }
  const open = free!.notice.filter((n) => !n.happened);
  const some = free!.enough < free!.notice.length;
  return say(some ? "task.glance.some" : "task.glance.all", { happened: free!.notice.length - open.length, all: some ? free!.enough : free!.notice.length, first: open[0]?.text ?? "" });
}

/** On a phone the jog buttons are out of sight of the task. */
export const toJog = (): string => say("task.to-jog", { tab: say("places.strip") });

// Verdicts.

export interface Verdict {
  text: string;
  /** "part": all that was answered is right, and more is. */
  tone: "" | "right" | "part" | "wrong" | "over";
  /** What was computed for a right answer; it comes after what is to be learnt. */
  numbers?: string;
}

/** What to do where there is no answer, and how to go on without one. */
export function noAnswer(task: LessonTask | null): string {
  const first = say(task?.read ? "task.no-number" : "task.no-answer");
  return task?.tries === 0 ? `${first} ${say("task.skip")}` : first;
}

/** What was typed is no number; "" where nothing was typed. */
export const notANumber = (text: string): string => (text === "" ? "" : say("task.not-a-number", { text }));

/** What was said of an answer, once another is being given. */
export const lastTry = (said: string): string => say("task.last-try", { said });

export const mayTry = (): string => say("task.may-try");

export const againText = (task: LessonTask): string => say(task.state === "failed" ? "task.again" : "task.back");

/** An answer that is an arrow, by the axis of the task's frame that is nearest to it, and how far it is from that; null for any other. */
function arrowIn({ predict }: LessonTask, answer: string): { axis: string; angle: number } | null {
  const given = (predict?.ask === "direction" && answer.match(/-?\d+\.\d+/g)?.map(Number)) || [];
  if (!predict || given.length !== 3) return null;
  const angles = predict.ways.map((way) => (Math.acos(Math.max(-1, Math.min(1, way.reduce((sum, x, i) => sum + x * given[i]!, 0) / Math.hypot(...given)))) * 180) / Math.PI);
  const nearest = angles.indexOf(Math.min(...angles));
  const [letter, sign] = predict.options[nearest]!.split(" ");
  return { axis: (sign === "+" ? "+" : MINUS) + letter!.toUpperCase(), angle: Math.round(angles[nearest]!) };
}

/** An answer as it is shown. */
function shown(task: LessonTask, answer: string): string {
  if (task.predict?.ask === "stop") return stopWord(answer);
  if (task.predict?.ask === "joints") return answer === "none" ? say("task.joints.none") : answer;
  const arrow = arrowIn(task, answer);
  if (arrow) {
    const { axis, angle } = arrow;
    return angle === 0 ? say("task.arrow.along", { axis }) : say("task.arrow.given", { axis, angle: fixed(angle, 0) });
  }
  if (task.read) return localised(answer).replace(/ ?inch$/, " in");
  return task.choose ? answer : directionWords(answer);
}

/** What was to be read, to the digits of its tolerance, with its sign where it is a turn that has one, and its unit unless that stands beside it. */
export function rightNumber(read: ReadView, answer: string, bare = false): string {
  const number = Number.parseFloat(answer.replace(MINUS, "-"));
  const turn = read.measure === "joint" || read.measure.startsWith("about-");
  const shown = (turn ? signed : fixed)(number, digits(read));
  return bare ? shown : withUnit(shown, read.unit);
}

/** What is near enough, without what rounding left of it. */
const tolerance = (read: ReadView): number => Number(read.tolerance.toPrecision(3));

/** How many decimals a tolerance has. */
const digits = (read: ReadView): number => tolerance(read).toFixed(9).replace(/\.?0+$/, "").split(".")[1]?.length ?? 0;

const withUnit = (number: string, unit: string): string => (unit === "°" ? `${number}°` : `${number} ${unitOf(unit)}`.trim());

/** How far off an answer was; "" where that means nothing, as for a direction that was chosen by its name. */
function off(task: LessonTask): string {
  const { error, unit, given } = task.verdict ?? { error: null, unit: "", given: "" };
  const size = Math.abs(error ?? 0);
  if (task.choose || task.predict?.options.includes(given)) return "";
  if (unit === "joints" && size > 0) return say("task.off.joints", { count: size });
  const arrow = unit === "°" && arrowIn(task, given);
  if (arrow && size > 179.5) return say("task.off.opposite");
  const decimals = task.read ? digits(task.read) : arrow ? 0 : 1;
  if (Number(size.toFixed(decimals)) === 0) return "";
  if (arrow) return `${offArrow(size, task.predict!.within_deg)}.`;
  return say("task.off", { amount: !task.read && unit === "mm" ? lengthWithUnit(size, decimals) : withUnit(fixed(size, decimals), unit) });
}

/** What came of the last answer or jog. */
export function verdict(task: LessonTask): Verdict {
  const v = task.verdict;
  const words = v?.words ? [v.words] : [];
  const tries = task.tries > 1 ? [say("task.tries", { count: task.tries })] : [];
  const right = task.right && (task.read ? rightNumber(task.read, task.right) : shown(task, task.right));
  if (task.state === "done") {
    if (task.reach || task.free) return { text: [say("task.done"), ...tries].join(" "), tone: "right" };
    // An assessment does not show the answer before it is handed in; what was answered is right.
    const answer = right || shown(task, v?.given ?? "");
    if (!answer) return { text: [say("task.done"), ...tries].join(" "), tone: "right" };
    return { text: say("task.right", { answer }), numbers: [...(v?.done && off(task) ? [off(task)] : []), ...words, ...tries].join(" "), tone: "right" };
  }
  if (task.state === "given up" && task.left === 0 && !right) return { text: [...(v ? wrong(task, v) : []), ...words, say("task.no-try")].join(" "), tone: "over" };
  if (task.state === "given up" && task.left >= 0) return { text: right ? say("task.not-done.answer", { answer: right }) : say("task.not-done"), tone: "over" };
  if (task.state === "given up") {
    return { text: right ? say("task.given-up.answer", { answer: right }) : say("task.given-up"), numbers: task.why, tone: "over" };
  }
  if (!v || v.done) return { text: "", tone: "" };
  return { text: [...wrong(task, v), v.told ? "" : off(task), v.of_now && task.moved ? say("task.of-now", { back: say("task.back") }) : "", ...words, ...tries].filter(Boolean).join(" "), tone: v.part ? "part" : "wrong" };
}

/** That an answer is wrong, where its reason does not say so; of several things only that they are not right all together. */
function wrong(task: LessonTask, v: VerdictView): string[] {
  if (!v.given || v.told) return [];
  return [say(v.several ? "task.wrong.whole" : "task.wrong", { answer: shown(task, v.given) })];
}
