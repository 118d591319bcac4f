import { Matrix4, type Object3D, Quaternion, Vector3 } from "three";
import type { Place } from "../wire";

/** Puts an object where the place says. */
export function moveTo(object: Object3D, place: Place): void {
  object.position.fromArray(place.p);
  object.quaternion.fromArray(place.q);
}

/** The place as a matrix. */
export function matrixOf(place: Place): Matrix4 {
  return new Matrix4().compose(
    new Vector3().fromArray(place.p),
    new Quaternion().fromArray(place.q),
    new Vector3(1, 1, 1),
  );
}

/** The turn that takes +Z to a unit vector. */
export function turnFromZ(direction: Vector3): Quaternion {
  return new Quaternion().setFromUnitVectors(new Vector3(0, 0, 1), direction);
}

/** Writes the place that is that part of the way from one place to another. */
export function between(from: Place, to: Place, t: number, out: Place): void {
  if (t === 1) {
    out.p = [...to.p];
    out.q = [...to.q];
    return;
  }
  for (let i = 0; i < 3; i++) out.p[i] = from.p[i]! + (to.p[i]! - from.p[i]!) * t;
  Quaternion.slerpFlat(out.q, 0, from.q, 0, to.q, 0, t);
}

/** The place of the frame itself. */
export function nowhere(): Place {
  return { p: [0, 0, 0], q: [0, 0, 0, 1] };
}
