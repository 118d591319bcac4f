import {
  BufferGeometry,
  ConeGeometry,
  CylinderGeometry,
  GreaterDepth,
  Group,
  Mesh,
  MeshBasicMaterial,
  type Skeleton,
  TorusGeometry,
} from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";
import { carriedMesh } from "./merged";

/** A straight arrow along +Z from the origin. */
export function straightArrow(length: number, thickness: number): BufferGeometry {
  const head = Math.min(thickness * 5, length * 0.4);
  const shaft = new CylinderGeometry(thickness, thickness, length - head, 20).translate(0, (length - head) / 2, 0);
  const tip = new ConeGeometry(thickness * 2.4, head, 28).translate(0, length - head / 2, 0);
  return joined([shaft.rotateX(Math.PI / 2), tip.rotateX(Math.PI / 2)]);
}

/** An arrow around +Z, in the plane of X and Y, the way a right hand's fingers curl when its thumb points along +Z. */
export function turningArrow(radius: number, thickness: number, sweep: number): BufferGeometry {
  const head = thickness * 5.5;
  const headSweep = head / radius;
  const arc = new TorusGeometry(radius, thickness, 12, 72, sweep - headSweep * 0.9);
  const tip = new ConeGeometry(thickness * 2.5, head, 28);
  // The cone's own axis is Y, which at (radius, 0) is the way of the turn; half of it lies before the arc's end.
  tip.translate(0, head / 2, 0).rotateZ(headSweep * 0.5).translate(radius, 0, 0).rotateZ(sweep - headSweep);
  return joined([arc, tip]);
}

function joined(parts: BufferGeometry[]): BufferGeometry {
  for (const p of parts) p.deleteAttribute("uv");
  const whole = mergeGeometries(parts);
  for (const p of parts) p.dispose();
  return whole;
}

/**
 * A shape in one plain colour that is the same under any light, and that still shows faintly where the arm is in
 * front of it.
 */
export class Mark {
  readonly object = new Group();
  private readonly front = new MeshBasicMaterial({ toneMapped: false, transparent: true });
  private readonly behind = new MeshBasicMaterial({
    toneMapped: false,
    transparent: true,
    opacity: 0.35,
    depthFunc: GreaterDepth,
    depthWrite: false,
  });
  private readonly meshes: [Mesh, Mesh];

  /** A shape that several objects carry says so by their skeleton. A small one is drawn everywhere alike, in one go. */
  constructor(geometry: BufferGeometry = new BufferGeometry(), skeleton: Skeleton | null = null, everywhere = false) {
    const meshOf = (material: MeshBasicMaterial): Mesh => (skeleton ? carriedMesh(geometry, material, skeleton) : new Mesh(geometry, material));
    const hidden = meshOf(this.behind);
    hidden.renderOrder = 5;
    const shown = meshOf(this.front);
    shown.renderOrder = 6;
    this.meshes = [hidden, shown];
    this.object.add(shown);
    if (everywhere) this.front.depthTest = false;
    else this.object.add(hidden);
  }

  setShape(geometry: BufferGeometry): void {
    this.meshes[0].geometry.dispose();
    for (const mesh of this.meshes) mesh.geometry = geometry;
  }

  /** Null for a shape whose vertices have colours of their own. */
  setColour(colour: string | null, opacity = 1, behind = 0.35): void {
    for (const material of [this.front, this.behind]) {
      material.color.set(colour ?? "#fff");
      if (material.vertexColors !== (colour === null)) [material.vertexColors, material.needsUpdate] = [colour === null, true];
    }
    this.front.opacity = opacity;
    this.behind.opacity = opacity * behind;
  }

  dispose(): void {
    this.meshes[0].geometry.dispose();
    this.front.dispose();
    this.behind.dispose();
  }
}
