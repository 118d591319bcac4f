// What the plot says.
import { fixed, short, signed } from "../basics/format";
import { say } from "../basics/say";
import { unitSign } from "../basics/units";
import { amount, directionName, jointName, straight } from "../basics/words";
import type { Direction, RecordingView } from "../wire";

/** So many changes of direction are told one by one. */
const MOST_TURNS = 6;

const names = (joints: number[]): string => joints.map(jointName).join(", ");

export const plotText = {
  none: (of: "frame" | "joint"): string => say(`plot.${of}.none`),

  /** Which jog the lines are of, and how far it went. */
  jog(r: RecordingView): string {
    const way = r.several ? say("plot.several", { first: directionName(r.direction) }) : directionName(r.direction);
    const jog = `${way}: ${amount(r.direction, r.travel.at(-1) ?? 0, 1)}`;
    return r.back ? say("plot.back", { jog }) : jog;
  },

  works: (working: number[]): string =>
    working.length === 0 ? say("plot.works.none") : say("plot.works", { count: working.length, joints: names(working) }),

  /** The same where there is little room, and the lines name the joints. */
  count: (working: number[]): string => (working.length === 0 ? say("plot.works.none") : say("plot.works.count", { count: working.length })),

  rest: (working: number[]): string => {
    const resting = [0, 1, 2, 3, 4, 5].filter((i) => !working.includes(i));
    return resting.length === 0 ? "" : say("plot.rest", { joints: names(resting) });
  },

  xTitle: (over: "travel" | "time", d: Direction): string => (over === "time" ? say("plot.x.time") : straight(d) ? say("plot.x.length", { unit: unitSign() }) : say("plot.x.deg")),

  xUnit: (over: "travel" | "time", d: Direction): string => (over === "time" ? "s" : straight(d) ? unitSign() : "°"),

  turned: (joint: number, deg: number, decimals: number): string => `${jointName(joint)} ${signed(deg, decimals)}°`,
  peak: (joint: number, speed: number): string => `${jointName(joint)} ${signed(speed, 0)}`,
  angles: (lines: string[]): string => say("plot.angle.label", { lines: lines.join(", ") }),
  speeds: (lines: string[]): string => say("plot.speed.label", { lines: lines.join(", ") }),

  /** What is marked on the lines, and what slowed the jog. */
  notes(r: RecordingView): { sign: string; text: string }[] {
    const turns = r.turns.slice(0, MOST_TURNS).map((at) => say("plot.turn.one", { joint: jointName(at.joint), after: amount(r.direction, at.travel, 1) }));
    if (r.turns.length > MOST_TURNS) turns.push(say("plot.turn.more", { count: r.turns.length - MOST_TURNS }));
    return [
      ...r.limits.map(({ at, left_deg, limit_deg }) => ({
        sign: "■",
        text: say("plot.limit", { joint: jointName(at.joint), left: `${fixed(left_deg, 1)}°`, limit: `${short(limit_deg)}°` }),
      })),
      ...r.slowed.map((joint) => ({ sign: "", text: say("plot.slowed", { joint: jointName(joint) }) })),
      ...(turns.length > 0 ? [{ sign: "◇", text: say("plot.turn", { turns: turns.join(", ") }) }] : []),
    ];
  },
};
