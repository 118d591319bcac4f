import { BoxGeometry, Group, Quaternion, TorusGeometry, Vector3, type Camera } from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";
import { Mark } from "./arrows";
import type { Palette } from "./palette";

/** The end of a path that cannot go on: a barrier across it, and a cross in a ring that faces the viewer. */
export class BlockedSign {
  readonly object = new Group();
  private readonly cross = new Mark();
  private readonly barrier = new Mark();

  constructor() {
    this.object.add(this.cross.object, this.barrier.object);
  }

  setSize(reach: number): void {
    const r = reach * 0.042;
    const bar = (turn: number) => new BoxGeometry(r * 1.5, r * 0.3, r * 0.2).rotateZ(turn);
    this.cross.setShape(mergeGeometries([new TorusGeometry(r, r * 0.15, 10, 48), bar(Math.PI / 4), bar(-Math.PI / 4)]));
    this.barrier.setShape(new BoxGeometry(r * 3, r * 3, r * 0.16));
  }

  setPalette(p: Palette): void {
    this.cross.setColour(p.blocked, 1, 0.7);
    this.barrier.setColour(p.blocked, 0.36, 0.4);
  }

  place(at: Vector3, way: Vector3 | null): void {
    this.object.position.copy(at);
    this.barrier.object.visible = !!way;
    if (way) this.barrier.object.quaternion.setFromUnitVectors(new Vector3(0, 0, 1), way);
  }

  face(camera: Camera): void {
    this.cross.object.quaternion.copy(camera.getWorldQuaternion(scratch));
  }

  dispose(): void {
    this.cross.dispose();
    this.barrier.dispose();
  }
}

const scratch = new Quaternion();
