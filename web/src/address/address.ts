// What an address of the page names after its "#", so that it serves as well on a static host, below a path and in a file:
//   #/lessons                          the page of lessons
//   #/own-arm                          the page on which a learner's own arm is written
//   #/real-arm                         the page that holds the arm against a real one
//   #/lessons/first-straight-line/2    a lesson at its second stage; without a number, where it was left
//   #/lessons/first-straight-line/result   and at its end, with what whoever opens it has done there
//   #/class                            to join a class
//   #/class/KTRWPN                     that class
//   #/class/board                      the class at a glance, for its instructor
//   #/arm/wren?cell=glazing-bench&tool=pen&joints=0,0,0,0,90,0&frame=task&task=tile&view=-900,700,800,200,0,300
//   #/arm/wren?joints=0,0,0,0,90,0&jogs=base%20z%20-50%0Abase%20y%20+80   and jogs to be played from there, as lines of a jog file
//   #/arm/wren?joints=0,0,0,0,90,0&play=square.txt                        and a jog file that lies beside the page, in jogs/
// What an arm's address leaves out is no cell, the first tool, the joints with which the arm starts, and the frame and view that are there. Joints are
// degrees; rail is mm; a view is where the eye is and what it looks at, mm in the world.
import type { Frame, SceneRequest, ViewFrom } from "../wire";

export type Address =
  | { of: "opening" } // nothing in particular
  | { of: "lessons" }
  | { of: "own-arm" | "real-arm" }
  | { of: "lesson"; id: string; stage: number | typeof RESULT | null } // from 0
  | { of: "class"; code: string } // "": whichever
  | { of: "board" }
  | { of: "arm"; scene: SceneRequest; frame: Frame | null; task: string; view: ViewFrom | null; jogs: Jogs | null }
  | { of: "nothing"; wrong: Wrong; what: string };

/** What comes after the last stage of a lesson. */
export const RESULT = "result";

/** Jogs to be played: the lines of a jog file, or the name of a file that lies beside the page. */
export type Jogs = { text: string } | { file: string };

/** What is wrong with an address that leads nowhere. */
export type Wrong = "path" | "stage" | "joints" | "rail" | "frame" | "view" | "play" | "field";

const frames: Frame[] = ["joint", "world", "base", "task", "tool"];
const fields = ["cell", "tool", "joints", "rail", "frame", "task", "view", "jogs", "play"];
const most = 1e5; // mm or degrees
const jogFile = /^[^\s./\\][^/\\]{0,80}\.txt$/; // a file of the one folder, and not one that is hidden

/** Reads an address from its "#" on. */
export function parseAddress(hash: string): Address {
  const [path = "", query = ""] = split(hash.replace(/^#/, ""), "?");
  const parts = path.split("/").filter(Boolean).map(decoded);
  const [place, name, part, more] = parts;
  if (parts.length === 0) return query === "" ? { of: "opening" } : nothing("path", hash);
  if (place === "lessons" && name === undefined) return { of: "lessons" };
  if ((place === "own-arm" || place === "real-arm") && name === undefined) return { of: place };
  if (place === "lessons" && more === undefined) {
    if (part === undefined) return { of: "lesson", id: name!, stage: null };
    if (part === RESULT) return { of: "lesson", id: name!, stage: RESULT };
    return /^[1-9]\d{0,3}$/.test(part) ? { of: "lesson", id: name!, stage: Number(part) - 1 } : nothing("stage", part);
  }
  if (place === "class" && part === undefined && query === "") return name === "board" ? { of: "board" } : { of: "class", code: name ?? "" };
  if (place !== "arm" || name === undefined || part !== undefined) return nothing("path", hash);
  return parseArm(name, new URLSearchParams(query.replaceAll("+", "%2B"))); // a plus sign is one
}

function parseArm(arm: string, query: URLSearchParams): Address {
  for (const field of query.keys()) if (!fields.includes(field)) return nothing("field", field);
  const text = (field: string): string => query.get(field) ?? "";
  const joints = query.has("joints") ? numbers(text("joints"), 6) : undefined;
  if (joints === null) return nothing("joints", text("joints"));
  const scene: SceneRequest = { arm, cell: text("cell"), tool: text("tool") };
  if (joints) scene.joints_deg = joints as SceneRequest["joints_deg"];
  if (query.has("rail")) {
    const rail = numbers(text("rail"), 1);
    if (!rail) return nothing("rail", text("rail"));
    scene.rail_mm = rail[0]!;
  }
  const frame = query.has("frame") ? (text("frame") as Frame) : null;
  if (frame && !frames.includes(frame)) return nothing("frame", frame);
  let view: ViewFrom | null = null;
  if (query.has("view")) {
    const [a, b, c, d, e, f] = numbers(text("view"), 6) ?? [];
    if (f === undefined || Math.hypot(a! - d!, b! - e!, c! - f) < 1) return nothing("view", text("view"));
    view = { from_mm: [a!, b!, c!], at_mm: [d!, e!, f] };
  }
  let jogs: Jogs | null = query.has("jogs") ? { text: text("jogs") } : null;
  if (query.has("play")) {
    if (jogs || !jogFile.test(text("play"))) return nothing("play", text("play"));
    jogs = { file: text("play") };
  }
  return { of: "arm", scene, frame, task: text("task"), view, jogs };
}

/** Writes an address, from its "#" on; "" for nothing in particular. */
export function formatAddress(address: Exclude<Address, { of: "nothing" }>): string {
  switch (address.of) {
    case "opening":
      return "";
    case "lessons":
      return "#/lessons";
    case "own-arm":
    case "real-arm":
      return `#/${address.of}`;
    case "class":
      return address.code === "" ? "#/class" : `#/class/${encodeURIComponent(address.code)}`;
    case "board":
      return "#/class/board";
    case "lesson":
      return ["#/lessons", encodeURIComponent(address.id), ...part(address.stage)].join("/");
    case "arm": {
      const { scene, frame, task, view, jogs } = address;
      const query: string[] = [];
      const add = (field: string, value: string): void => void (value && query.push(`${field}=${value}`));
      add("cell", encodeURIComponent(scene.cell));
      add("tool", encodeURIComponent(scene.tool));
      if (scene.joints_deg) add("joints", scene.joints_deg.map((deg) => rounded(deg, 6)).join(","));
      if (scene.rail_mm !== undefined && scene.rail_mm !== null) add("rail", rounded(scene.rail_mm, 1));
      add("frame", frame ?? "");
      if (frame === "task") add("task", encodeURIComponent(task));
      if (jogs) add("text" in jogs ? "jogs" : "play", encodeURIComponent("text" in jogs ? jogs.text : jogs.file));
      if (view) add("view", [...view.from_mm, ...view.at_mm].map((mm) => rounded(mm, 0)).join(","));
      return `#/arm/${encodeURIComponent(scene.arm)}?${query.join("&")}`;
    }
  }
}

const part = (stage: number | typeof RESULT | null): string[] => (stage === null ? [] : [stage === RESULT ? RESULT : String(stage + 1)]);

const nothing = (wrong: Wrong, what: string): Address => ({ of: "nothing", wrong, what: what.slice(0, 60) });

/** So many numbers between commas; null for anything else. */
function numbers(text: string, count: number): number[] | null {
  const parts = text.split(",").map((part) => part.trim());
  if (parts.length !== count || parts.some((part) => !/^[+-]?(\d+\.?\d*|\.\d+)$/.test(part))) return null;
  const all = parts.map(Number);
  return all.every((x) => Math.abs(x) <= most) ? all : null;
}

/** A number as short as it can be written to so many decimals, and never "-0". */
const rounded = (x: number, decimals: number): string => String(Number(x.toFixed(decimals)) + 0);

function split(text: string, at: string): [string, string] {
  const i = text.indexOf(at);
  return i < 0 ? [text, ""] : [text.slice(0, i), text.slice(i + 1)];
}

/** What was written with percent signs; as it is where that makes no sense. */
function decoded(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}
