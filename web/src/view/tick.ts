import { BoxGeometry, type BufferGeometry } from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";

/** A tick mark in the plane of X and Y, to stand in a ring of that radius. */
export function tickShape(radius: number): BufferGeometry {
  const width = radius * 0.2;
  const stroke = (from: [number, number], to: [number, number]): BufferGeometry => {
    const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    return new BoxGeometry(Math.hypot(dx, dy) + width, width, width)
      .rotateZ(Math.atan2(dy, dx))
      .translate((from[0] + to[0]) / 2, (from[1] + to[1]) / 2, 0);
  };
  const corner: [number, number] = [-radius * 0.1, -radius * 0.35];
  return mergeGeometries([
    stroke([-radius * 0.45, radius * 0.02], corner),
    stroke(corner, [radius * 0.48, radius * 0.4]),
  ]);
}
