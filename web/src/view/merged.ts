import { type Bone, BufferAttribute, BufferGeometry, type Color, type Material, Matrix4, type Object3D, Skeleton, SkinnedMesh, Sphere, Uint16BufferAttribute } from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";

// What moves together is drawn together: every call of the graphics costs, however small the thing.

/** The layer of what is there to be pointed at, and is drawn as a part of something larger. */
export const POINTED_AT = 1;

/** Takes an object out of the picture, but not out of what can be pointed at. */
export function pointedAt<T extends Object3D>(object: T): T {
  object.layers.set(POINTED_AT);
  return object;
}

/** A shape and the number of what carries it. */
export interface Carried {
  shape: BufferGeometry;
  by: number;
}

/**
 * Shapes in one, each carried by one of several objects: the vertex attributes of these names, and which object carries a
 * vertex. Shapes without an index get one.
 */
export function carriedShape(parts: readonly Carried[], attributes: readonly string[]): BufferGeometry {
  if (parts.length === 0) return new BufferGeometry();
  const whole = mergeGeometries(
    parts.map(({ shape, by }) => {
      const part = new BufferGeometry();
      for (const name of attributes) part.setAttribute(name, shape.getAttribute(name));
      const { count } = shape.getAttribute("position");
      part.setIndex(shape.index ?? [...Array(count).keys()]);
      const index = new Uint16Array(4 * count);
      const weight = new Float32Array(4 * count);
      for (let i = 0; i < count; i++) [index[4 * i], weight[4 * i]] = [by, 1];
      part.setAttribute("skinIndex", new Uint16BufferAttribute(index, 4));
      part.setAttribute("skinWeight", new BufferAttribute(weight, 4));
      return part;
    }),
  );
  return whole;
}

/** What carries shapes: objects whose place in the world a shape follows that was made where they were at no place at all. */
export function skeletonOf(carriers: readonly Object3D[]): Skeleton {
  return new Skeleton(
    carriers as Bone[],
    carriers.map(() => new Matrix4()),
  );
}

/** Draws carried shapes. They go where their carriers go, and nothing is worked out for what is out of sight. */
export function carriedMesh(shape: BufferGeometry, material: Material, skeleton: Skeleton): SkinnedMesh {
  const mesh = new SkinnedMesh(shape, material);
  mesh.bind(skeleton, new Matrix4());
  mesh.frustumCulled = false;
  mesh.boundingSphere = new Sphere(); // or it is worked out from every vertex when it is first drawn, only to be sorted by
  mesh.raycast = () => {};
  return mesh;
}

/** Gives a shape one colour, as the vertex attribute of that name. */
export function coloured(shape: BufferGeometry, colour: Color): BufferGeometry {
  const { count } = shape.getAttribute("position");
  const colours = new Float32Array(3 * count);
  for (let i = 0; i < count; i++) colour.toArray(colours, 3 * i);
  return shape.setAttribute("color", new BufferAttribute(colours, 3));
}
