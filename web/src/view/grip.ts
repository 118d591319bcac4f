import { type PerspectiveCamera, Quaternion, type Ray, Raycaster, Vector2, Vector3 } from "three";

/** How the world is seen on the canvas. */
export class Sight {
  constructor(
    readonly camera: PerspectiveCamera,
    readonly width: number,
    readonly height: number,
  ) {}

  /** The same, whatever the camera does from now on. */
  kept(): Sight {
    return new Sight(this.camera.clone(), this.width, this.height);
  }

  /** What a pixel measures at a point. */
  mmPerPx(point: Vector3): number {
    return (2 * Math.tan((this.camera.fov * Math.PI) / 360) * this.camera.position.distanceTo(point)) / this.height;
  }

  /** The ray of a place of the canvas, px from its top left corner. */
  ray(x: number, y: number): Ray {
    const caster = new Raycaster();
    caster.setFromCamera(new Vector2((2 * x) / this.width - 1, 1 - (2 * y) / this.height), this.camera);
    return caster.ray;
  }
}

/**
 * Whether a point of a ring, seen from its middle, is on the half that is far from the viewer and mostly behind the arm. Of a
 * ring that faces the viewer no half is.
 */
export function isFar(out: Vector3, { axis, radius }: Pick<Ring, "axis" | "radius">, back: Vector3): boolean {
  return Math.abs(axis.dot(back)) < facing && out.dot(back) < -0.12 * radius;
}

const facing = 0.7;

/** Where a point of the world is on the canvas, px from its top left corner. */
export function screenPoint(point: Vector3, { camera, width, height }: Sight): { x: number; y: number } {
  const p = point.clone().project(camera);
  return { x: ((p.x + 1) * width) / 2, y: ((1 - p.y) * height) / 2 };
}

interface Shape {
  at: Vector3; // a point of the line, or the ring's middle
  axis: Vector3; // unit
  /** How far a place of the canvas is from it, px; Infinity where it cannot be dragged. */
  distance: (x: number, y: number, sight: Sight) => number;
  /** Its end, or the point of it that is seen highest. */
  top: (sight: Sight) => Vector3;
}

export interface Line extends Shape {
  kind: "line";
}

export interface Ring extends Shape {
  kind: "ring";
  radius: number;
}

const tooSteep = 0.03; // a pointer's ray that is so nearly along a line says nothing of where on it one points
const tooFlat = 0.3; // a ring seen at a lower angle than this is followed along its tangent
const far = 4000; // mm or degrees; more is no pointing any more

/**
 * A handle that a pointer has taken hold of. All is as it was seen then, so that only the pointer moves the arm, and not a
 * change of the camera or of the page.
 */
export class Grip {
  private readonly sight: Sight;
  private by = 0; // mm or rad
  private readonly start: Vector3; // the point of the shape that is held
  private readonly from: { x: number; y: number };
  private readonly flat: boolean;
  private last = 0;
  private readonly beginning: number;

  constructor(
    private readonly shape: Line | Ring,
    x: number,
    y: number,
    seen: Sight,
  ) {
    const sight = (this.sight = seen.kept());
    this.from = { x, y };
    const { direction: way } = sight.ray(x, y);
    this.flat = shape.kind === "ring" && Math.abs(way.dot(shape.axis)) < tooFlat;
    if (shape.kind === "line") {
      this.beginning = this.alongLine(x, y, sight) ?? 0;
      this.start = shape.at.clone().addScaledVector(shape.axis, this.beginning);
    } else {
      this.start = this.nearestOf(shape, x, y, sight);
      this.beginning = 0;
      this.last = this.around(x, y, sight) ?? 0;
    }
  }

  /** How far a pointer at this place has gone since it took hold, mm or degrees. */
  move(x: number, y: number): number {
    const { shape, sight } = this;
    if (shape.kind === "line") {
      const along = this.alongLine(x, y, sight);
      if (along !== null) this.by = clamp(along - this.beginning);
      return this.by;
    }
    if (this.flat) {
      // Along the ring, which is seen nearly as a line.
      const small = 0.01;
      const [a, b] = [screenPoint(this.start, sight), screenPoint(this.turned(small), sight)];
      const [tx, ty] = [(b.x - a.x) / small, (b.y - a.y) / small];
      const square = tx * tx + ty * ty;
      if (square > 100) this.by = ((x - this.from.x) * tx + (y - this.from.y) * ty) / square;
    } else {
      const now = this.around(x, y, sight);
      if (now !== null) {
        let step = now - this.last;
        step -= 2 * Math.PI * Math.round(step / (2 * Math.PI));
        this.by += step;
        this.last = now;
      }
    }
    return clamp((this.by * 180) / Math.PI);
  }

  /** The point of the line or ring that the pointer has drawn along. */
  pointer(): Vector3 {
    if (this.shape.kind === "line") return this.start.clone().addScaledVector(this.shape.axis, this.by);
    return this.turned(this.by);
  }

  /** The way from where it took hold to there. */
  way(): Vector3[] {
    if (this.shape.kind === "line") return [this.start, this.pointer()];
    const pieces = Math.min(120, 2 + Math.ceil(Math.abs(this.by) * 12));
    return Array.from({ length: pieces + 1 }, (_, i) => this.turned((this.by * i) / pieces));
  }

  private turned(by: number): Vector3 {
    return this.start.clone().sub(this.shape.at).applyQuaternion(new Quaternion().setFromAxisAngle(this.shape.axis, by)).add(this.shape.at);
  }

  /** Where on the line is nearest to the pointer's ray. */
  private alongLine(x: number, y: number, sight: Sight): number | null {
    const { at, axis } = this.shape;
    const { origin: from, direction: way } = sight.ray(x, y);
    const between = from.clone().sub(at);
    const cos = axis.dot(way);
    const sin2 = 1 - cos * cos;
    return sin2 < tooSteep ? null : (between.dot(axis) - cos * between.dot(way)) / sin2;
  }

  /** The angle about the ring's middle at which the pointer's ray meets its plane, from any beginning. */
  private around(x: number, y: number, sight: Sight): number | null {
    const { at, axis } = this.shape;
    const { origin: from, direction: way } = sight.ray(x, y);
    const slope = way.dot(axis);
    if (Math.abs(slope) < tooFlat / 2) return null;
    const meets = from.addScaledVector(way, at.clone().sub(from).dot(axis) / slope).sub(at);
    const first = this.start.clone().sub(at).normalize();
    const [u, v] = [meets.dot(first), meets.dot(axis.clone().cross(first))];
    // Near the middle the least tremble is a large turn.
    return Math.hypot(u, v) < 0.2 * (this.shape as Ring).radius ? null : Math.atan2(v, u);
  }

  private nearestOf(ring: Ring, x: number, y: number, sight: Sight): Vector3 {
    const side = new Vector3(1, 0, 0).cross(ring.axis);
    if (side.length() < 0.1) side.set(0, 1, 0).cross(ring.axis);
    side.setLength(ring.radius);
    let best = side.clone().add(ring.at);
    let least = Infinity;
    const back = sight.camera.position.clone().sub(ring.at).normalize();
    for (let i = 0; i < 180; i++) {
      const out = side.clone().applyAxisAngle(ring.axis, (Math.PI * i) / 90);
      if (isFar(out, ring, back)) continue;
      const p = out.add(ring.at);
      const at = screenPoint(p, sight);
      const off = Math.hypot(at.x - x, at.y - y);
      if (off < least) [best, least] = [p, off];
    }
    return best;
  }
}

const clamp = (by: number): number => Math.min(far, Math.max(-far, by));
