import { Color, Group, Mesh, MeshBasicMaterial, SphereGeometry, TorusGeometry, Vector3, type Camera, Quaternion } from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";
import type { TargetView } from "../wire";
import { Mark } from "./arrows";
import { Axes } from "./axes";
import type { Label } from "./labels";
import type { Palette } from "./palette";
import { moveTo } from "./place";
import { Stroke } from "./stroke";
import { tickShape } from "./tick";

/**
 * Where the lesson wants the TCP: a sphere of the tolerance, a broken ring that faces the viewer, a pin down to the
 * floor, and axes where the orientation counts. When it is reached the ring closes around a tick.
 */
export class Target {
  readonly object = new Group();
  private readonly sphere = new Mesh(new SphereGeometry(1, 32, 24), new MeshBasicMaterial({ transparent: true, opacity: 0.3, depthWrite: false, toneMapped: false }));
  private readonly ring = new Mark();
  private readonly done = new Mark();
  private readonly axes = new Axes(15, false);
  private readonly pin = new Stroke(4, { width: 1.6, behind: 0.4 });
  private readonly atTarget = new Group();
  private palette: Palette | null = null;
  private reached = false;
  private floor = 0;
  private radius = 0;

  constructor() {
    this.atTarget.add(this.sphere, this.ring.object, this.done.object, this.axes.object);
    this.object.add(this.atTarget, this.pin.object);
    this.object.visible = false;
  }

  get labels(): Label[] {
    return this.axes.labels;
  }

  /** Points around it, in the world; none while there is no target. */
  get points(): Vector3[] {
    if (!this.object.visible) return [];
    const r = this.radius * 1.2;
    return [-r, r].flatMap((d) => [new Vector3(d, 0, 0), new Vector3(0, d, 0), new Vector3(0, 0, d)].map((p) => this.atTarget.localToWorld(p)));
  }

  setSize(reach: number, floor: number): void {
    this.floor = floor;
    const r = (this.radius = reach * 0.04);
    const arc = Math.PI / 2;
    const broken = [0, 1, 2, 3].map((i) => new TorusGeometry(r, r * 0.13, 10, 24, arc * 0.62).rotateZ(arc * (i + 0.19)));
    this.ring.setShape(mergeGeometries(broken));
    this.done.setShape(mergeGeometries([new TorusGeometry(r, r * 0.15, 10, 64), tickShape(r)]));
    this.axes.setSize(reach * 0.09, reach * 0.003);
    this.pin.setDash(reach * 0.008);
  }

  set(target: TargetView | null, reached: boolean): void {
    this.object.visible = !!target;
    if (!target) return;
    this.reached = reached;
    moveTo(this.atTarget, target.place);
    this.sphere.scale.setScalar(Math.max(target.tolerance_mm, 0.5));
    this.ring.object.visible = !reached;
    this.done.object.visible = reached;
    this.axes.object.visible = target.has_rotation && !reached;
    const [x, y, z] = target.place.p;
    this.pin.through([new Vector3(x, y, z), new Vector3(x, y, this.floor)]);
    if (this.palette) this.setPalette(this.palette);
  }

  setPalette(p: Palette): void {
    this.palette = p;
    const colour = this.reached ? p.reached : p.target;
    this.sphere.material.color = new Color(colour);
    this.ring.setColour(p.target, 1, 0.7);
    this.done.setColour(p.reached, 1, 0.8);
    this.pin.setColour(colour);
    this.axes.setPalette(p);
  }

  face(camera: Camera): void {
    const inverse = this.atTarget.getWorldQuaternion(new Quaternion()).invert();
    const facing = inverse.multiply(camera.getWorldQuaternion(new Quaternion()));
    this.ring.object.quaternion.copy(facing);
    this.done.object.quaternion.copy(facing);
  }

  dispose(): void {
    this.sphere.geometry.dispose();
    this.sphere.material.dispose();
    for (const part of [this.ring, this.done, this.axes, this.pin]) part.dispose();
  }
}
