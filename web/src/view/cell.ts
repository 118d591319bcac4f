import {
  BoxGeometry,
  BufferGeometry,
  CylinderGeometry,
  EdgesGeometry,
  Float32BufferAttribute,
  Group,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  MeshStandardMaterial,
  Object3D,
  SphereGeometry,
  Vector3,
} from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";
import type { CellMessage, ThingView } from "../wire";
import { Axes } from "./axes";
import { Label } from "./labels";
import type { Palette } from "./palette";
import { pointedAt } from "./merged";
import { matrixOf, moveTo } from "./place";
import { means } from "./pointing";

/** What stands around the arm, in the world frame: things that can be touched, and task frames. */
export class Cell {
  readonly object = new Group();
  private readonly things = new Group(); // what is pointed at
  private readonly drawn = new Group();
  private readonly frames = new Group();
  private readonly surface = new MeshStandardMaterial({ roughness: 0.9, metalness: 0 });
  private readonly edge = new LineBasicMaterial({ transparent: true, opacity: 0.7, toneMapped: false });
  private axes: { name: string; axes: Axes; label: Label; at: Object3D }[] = [];
  private palette: Palette | null = null;
  private reach = 500;
  private readonly base = new Vector3();
  private active = "";

  constructor() {
    this.object.add(this.things, this.drawn, this.frames);
  }

  get labels(): Label[] {
    return this.axes.flatMap((f) => [...f.axes.labels, f.label]);
  }

  setReach(reach: number): void {
    this.reach = reach;
  }

  set(cell: CellMessage): void {
    this.clear();
    this.base.fromArray(cell.base.p);
    const shapes: BufferGeometry[] = [];
    const edges: BufferGeometry[] = [];
    for (const thing of cell.things) {
      const shape = shapeOf(thing);
      if (!shape) continue; // a half-space is the floor or a wall
      const group = new Group();
      moveTo(group, thing.place);
      means(group, { kind: "thing", name: thing.name });
      const mesh = pointedAt(new Mesh(shape));
      mesh.name = thing.name;
      group.add(mesh);
      this.things.add(group);
      // It does not move: all things are drawn as one, and all their edges.
      const place = matrixOf(thing.place);
      shapes.push(plain(shape).applyMatrix4(place));
      edges.push(edgesOf(thing, shape).applyMatrix4(place));
    }
    if (shapes.length > 0) {
      const whole = new Mesh(mergeGeometries(shapes), this.surface);
      whole.castShadow = whole.receiveShadow = true;
      whole.raycast = () => {};
      const lines = new LineSegments(mergeGeometries(edges), this.edge);
      lines.raycast = () => {};
      this.drawn.add(whole, lines);
    }
    for (const part of [...shapes, ...edges]) part.dispose();
    for (const task of cell.tasks) {
      const at = new Group();
      moveTo(at, task.place);
      const axes = new Axes(15, true);
      axes.belongTo(task.name);
      axes.setSize(this.reach * 0.13, this.reach * 0.004);
      const label = new Label(task.title, { px: 12.5, colour: "#000", weight: 650 });
      label.object.center.set(0.5, 1.6);
      at.add(axes.object, label.object);
      this.axes.push({ name: task.name, axes, label, at });
      this.frames.add(at);
    }
    if (this.palette) this.setPalette(this.palette);
    this.choose(this.active);
    this.object.updateMatrixWorld(true);
  }

  /** The task frame in use is drawn whole, the others without letters. */
  choose(task: string): void {
    this.active = task;
    for (const f of this.axes) for (const letter of f.axes.labels) letter.object.visible = f.name === task;
  }

  setPalette(p: Palette): void {
    this.palette = p;
    this.surface.color.set(p.thing);
    this.edge.color.set(p.gridStrong);
    for (const f of this.axes) {
      f.axes.setPalette(p);
      f.label.set(f.label.text, { colour: p.ink, plate: p.paper });
    }
  }

  /** Corners of what the camera should see: what the arm works at, and not the floor, table or wall that it stands on. */
  corners(): Vector3[] {
    const found: Vector3[] = [];
    this.things.traverse((o) => {
      if (!(o instanceof Mesh)) return;
      o.geometry.computeBoundingBox();
      const { min, max } = (o.geometry as BufferGeometry).boundingBox!;
      if (Math.max(...max.clone().sub(min).toArray()) > this.reach * 0.6) return;
      for (const x of [min.x, max.x]) for (const y of [min.y, max.y]) for (const z of [min.z, max.z]) found.push(new Vector3(x, y, z).applyMatrix4(o.matrixWorld));
    });
    // What is far from the arm is background.
    return found.filter((p) => p.distanceTo(this.base) < this.reach * 1.15);
  }

  dispose(): void {
    this.clear();
    this.surface.dispose();
    this.edge.dispose();
  }

  private clear(): void {
    for (const group of [this.things, this.drawn, this.frames]) {
      group.traverse((o) => {
        if (o instanceof Mesh || o instanceof LineSegments) o.geometry.dispose();
      });
      group.clear();
    }
    for (const f of this.axes) {
      f.axes.dispose();
      f.label.dispose();
    }
    this.axes = [];
  }
}

function shapeOf({ shape, size_mm: [x, y, z] }: ThingView): BufferGeometry | null {
  switch (shape) {
    case "box":
      return new BoxGeometry(x, y, z);
    case "cylinder":
      return new CylinderGeometry(x, x, z, 64).rotateX(Math.PI / 2);
    case "sphere":
      return new SphereGeometry(x, 48, 32);
    default:
      return null;
  }
}

/** A copy of a shape with no more than is drawn of it. */
function plain(shape: BufferGeometry): BufferGeometry {
  const copy = shape.toNonIndexed();
  copy.deleteAttribute("uv");
  return copy;
}

/** The lines a drawing would show: a box's edges, a cylinder's rims; a sphere has none. */
function edgesOf(thing: ThingView, shape: BufferGeometry): BufferGeometry {
  if (thing.shape === "box") return new EdgesGeometry(shape);
  const [radius, , length] = thing.size_mm;
  const points: number[] = [];
  const steps = 64;
  if (thing.shape === "cylinder") {
    for (const z of [-length / 2, length / 2]) {
      for (let i = 0; i < steps; i++) {
        for (const k of [i, i + 1]) points.push(radius * Math.cos((2 * Math.PI * k) / steps), radius * Math.sin((2 * Math.PI * k) / steps), z);
      }
    }
  }
  const lines = new BufferGeometry();
  lines.setAttribute("position", new Float32BufferAttribute(points, 3));
  return lines;
}
