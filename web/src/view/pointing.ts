import { type Camera, type Object3D, Raycaster, Sprite, Vector2, Vector3 } from "three";
import type { Hub } from "./hubs";
import { POINTED_AT } from "./merged";

/** What a thing in the view is. The page has the words for it. */
export type Pointed =
  | { kind: "joint" | "link"; index: number } // joints from 0, links from 0 for the base
  | { kind: "axis"; letter: string; frame: string } // of the base, tool, world or active frame, or of a task frame by its name
  | { kind: "plane"; letters: string; frame: string }
  | { kind: "thing" | "tool"; name: string }
  | { kind: "tcp" | "floor" | "ghost" | "trail" | "target" | "guess" | "hand" };

/** Says what an object, and all that is part of it and says nothing else, is. */
export function means(object: Object3D, what: Pointed): void {
  object.userData["means"] = what;
}

/** Takes an object out of what can be pointed at. */
export function unseen(object: Object3D): void {
  object.raycast = () => {};
}

/** What was hit, and where in the world. */
export interface Hit {
  what: Pointed;
  object: Object3D;
  point: Vector3;
}

/** Thin things, such as an axis, are hit this many px beside them too. */
const SLOP_PX = 7;
const AROUND = 8;

const ray = new Raycaster();
ray.layers.enable(POINTED_AT);

/** What is drawn at a place of a canvas, or null where there is nothing that has a name. */
export function pick(world: Object3D, camera: Camera, x: number, y: number, width: number, height: number): Hit | null {
  // What is hidden need not be looked at.
  const drawn: Object3D[] = [];
  world.traverseVisible((o) => !(o instanceof Sprite) && drawn.push(o));
  const at = (px: number, py: number): Hit | null => {
    ray.setFromCamera(new Vector2((2 * px) / width - 1, 1 - (2 * py) / height), camera);
    ray.params.Line.threshold = 0;
    let plane: Hit | null = null;
    for (const { object, point } of ray.intersectObjects(drawn, false)) {
      const what = meaning(object);
      if (!what) continue;
      // A plane is seen through: it is what is pointed at only where nothing but the floor is behind it.
      if (what.kind === "plane") plane ??= { what, object, point };
      else return what.kind === "floor" && plane ? plane : { what, object, point };
    }
    return plane;
  };
  const middle = at(x, y);
  if (middle?.what.kind === "axis") return middle;
  for (let i = 0; i < AROUND; i++) {
    const turn = (2 * Math.PI * i) / AROUND;
    const beside = at(x + SLOP_PX * Math.cos(turn), y + SLOP_PX * Math.sin(turn));
    if (beside?.what.kind === "axis") return beside;
  }
  return middle;
}

/** The nearest thing of an object at a place of a canvas, looked for along one ray. */
export function pickNearest(object: Object3D, camera: Camera, x: number, y: number, width: number, height: number): Hit | null {
  ray.setFromCamera(new Vector2((2 * x) / width - 1, 1 - (2 * y) / height), camera);
  for (const hit of ray.intersectObject(object, true)) {
    const what = meaning(hit.object);
    if (what) return { what, object: hit.object, point: hit.point };
  }
  return null;
}

/** The joint whose hub a point of a link is on, or -1. A hub is carried by the link before its joint. */
export function jointAt(point: Vector3, hubs: readonly Hub[], carriers: readonly Object3D[]): number {
  return hubs.findIndex((hub, i) => {
    const out = carriers[i]!.worldToLocal(point.clone()).sub(hub.centre);
    const along = out.dot(hub.axis);
    const off = Math.sqrt(Math.max(0, out.lengthSq() - along * along));
    return Math.abs(along) < hubReach(hub) && off < hub.radius * 1.12;
  });
}

/** How far along its axis a hub can be pointed at; a collar is thin, so a little of the links beside it counts. */
export const hubReach = (hub: Hub): number => Math.max(hub.half * 1.08, hub.radius * 0.42);

function meaning(object: Object3D): Pointed | null {
  for (let o: Object3D | null = object; o; o = o.parent) if (o.userData["means"]) return o.userData["means"] as Pointed;
  return null;
}
