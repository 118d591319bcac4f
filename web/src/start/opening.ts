import type { Request, SceneRequest } from "../wire";

type Scene = { type: "scene" } & SceneRequest;

/** What the page opens with: the arm over its work, in a pose from which every direction has room. */
const opening: Scene = { type: "scene", arm: "wren", cell: "glazing-bench", tool: "", joints_deg: [-20, 10, 10, 0, 70, 0] };

/**
 * The scene that an address names after its "#", as "#/arm/wren?cell=wall-mount&tool=brush&joints=0,0,0,0,90,0", or else what
 * the page opens with. What an arm's address leaves out is none, the first tool, and zero.
 */
export function openingScene(address: string): Request {
  const [path = "", query = ""] = address.replace(/^#/, "").split("?");
  const arm = /^\/arm\/([\w-]+)$/.exec(path)?.[1];
  if (!arm) return opening;
  const named = new URLSearchParams(query);
  const joints = (named.get("joints") ?? "").split(",").map(Number);
  const whole = joints.length === 6 && joints.every(Number.isFinite);
  const [j1, j2, j3, j4, j5, j6] = whole ? joints : [0, 0, 0, 0, 0, 0];
  return { type: "scene", arm, cell: named.get("cell") ?? "", tool: named.get("tool") ?? "", joints_deg: [j1!, j2!, j3!, j4!, j5!, j6!] };
}
