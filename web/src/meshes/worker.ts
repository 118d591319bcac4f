// Reads the files of an arm's meshes, off the page's own thread: a large or a broken one must not hold up the arm.
import { type BufferGeometry, Color, Matrix4 } from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";
import { LARGEST_IN_ALL, MOST_TRIANGLES, opener, Refused } from "./open";
import { read, type Unpack } from "./read";
import type { Done, Failure, Job, Surface } from "./wire";

interface Scope {
  onmessage: ((event: MessageEvent<Job>) => void) | null;
  postMessage(done: Done, transfer: Transferable[]): void;
}

const self = globalThis as unknown as Scope;

/** A picture is looked at in so many pixels at most each way. */
const LARGEST_PICTURE = 2048;

const unpack: Unpack = async ({ bytes, type }) => {
  try {
    const picture = await createImageBitmap(new Blob([bytes], { type }));
    const size = Math.min(1, LARGEST_PICTURE / Math.max(picture.width, picture.height));
    const [width, height] = [Math.max(1, Math.round(picture.width * size)), Math.max(1, Math.round(picture.height * size))];
    const context = new OffscreenCanvas(width, height).getContext("2d")!;
    context.drawImage(picture, 0, 0, width, height);
    picture.close();
    return { width, height, data: context.getImageData(0, 0, width, height).data };
  } catch {
    return null;
  }
};

self.onmessage = async ({ data: { meshes, folder, files } }) => {
  const open = opener(folder, files);
  const of = new Map<string, BufferGeometry[]>();
  const failures: Failure[] = [];
  let left = MOST_TRIANGLES;
  for (const { file, by, place, colour } of meshes) {
    try {
      const shape = await read({ file, place: new Matrix4().fromArray(place), colour: new Color(colour), most: left }, open, unpack);
      left -= shape.index!.count / 3;
      of.set(by, [...(of.get(by) ?? []), shape]);
    } catch (error) {
      const told = error instanceof Refused ? { why: error.why, values: error.values } : { why: "mesh.unread" as const, values: { error: error instanceof Error ? error.message.slice(0, 200) : "" } };
      failures.push({ file, by, why: told.why, values: { file, most: MOST_TRIANGLES, mb: LARGEST_IN_ALL >> 20, ...told.values } });
    }
  }
  const surfaces: Surface[] = [];
  for (const [by, shapes] of of) {
    if (failures.some((f) => f.by === by)) continue; // It is drawn whole, or as its bodies.
    const whole = mergeGeometries(shapes);
    const array = (name: string): Float32Array => whole.getAttribute(name).array as Float32Array;
    surfaces.push({ by, position: array("position"), normal: array("normal"), color: array("color"), index: Uint32Array.from(whole.index!.array) });
  }
  self.postMessage({ surfaces, failures }, surfaces.flatMap((s) => [s.position.buffer, s.normal.buffer, s.color.buffer, s.index.buffer] as Transferable[]));
};
