import { PerspectiveCamera, Vector3 } from "three";
import type { Insets, Viewpoint } from "./view";

/** Where the camera is: looking at a point from an azimuth and an elevation (rad), that far away (mm). */
interface Shot {
  target: Vector3;
  azimuth: number;
  elevation: number;
  distance: number;
}

/** What a camera can come back to: the direction it looks from, or the shot the viewer has chosen by hand. */
export interface Kept {
  facing: [number, number];
  own: Shot | null;
}

const deg = Math.PI / 180;

/** Directions from the arm to the camera. From behind, X points away, Y to the left, Z up; from above, X points up. */
const viewpoints: Record<Viewpoint, [azimuth: number, elevation: number]> = {
  behind: [180, 18],
  front: [0, 18],
  left: [90, 14],
  right: [-90, 14],
  above: [180, 89.99],
  corner: [180 + 33, 28],
};

/**
 * A camera that circles the arm with Z up, and keeps it in the part of the canvas that no panel covers. It keeps still while
 * the arm does not leave that part, and draws back where it does; it never draws nearer by itself.
 */
export class Orbit {
  readonly camera = new PerspectiveCamera(30, 1, 10, 10000);
  private shot: Shot = { target: new Vector3(), azimuth: viewpoints.corner[0] * deg, elevation: viewpoints.corner[1] * deg, distance: 2000 };
  private glide: { from: Shot; to: Shot; start: number } | null = null;
  private size = { width: 1, height: 1 };
  private insets: Insets = { left: 0, right: 0, top: 0, bottom: 0 };
  private ownHand = false; // the viewer has moved the camera; it is then left alone
  private facing: [number, number] = viewpoints.corner;
  private subject: Vector3[] = []; // what the shot was fitted to
  private follow: { to: Shot; last: number } | null = null; // drawing back after the arm

  constructor(private readonly reducedMotion: boolean) {
    this.camera.up.set(0, 0, 1);
  }

  get azimuth(): number {
    return this.shot.azimuth;
  }

  /** The size in px of the free part of the canvas, in whose middle the camera's target is seen. */
  get free(): { w: number; h: number } {
    const { left, right, top, bottom } = this.insets;
    return { w: Math.max(0, this.size.width - left - right), h: Math.max(0, this.size.height - top - bottom) };
  }

  resize(width: number, height: number): void {
    this.size = { width, height };
    this.camera.aspect = width / height;
  }

  setInsets(insets: Insets): void {
    this.insets = insets;
  }

  /** Sees what is seen in the free part of the canvas in a picture of that size instead; what is returned goes back. */
  frame(width: number, height: number): () => void {
    const { size, insets, camera } = this;
    const { fov, aspect } = camera;
    const [tanX, tanY] = this.tangents();
    this.size = { width, height };
    this.insets = { left: 0, right: 0, top: 0, bottom: 0 };
    camera.aspect = width / height;
    camera.fov = (2 * Math.atan(Math.max((tanX * height) / width, tanY))) / deg;
    return () => {
      [this.size, this.insets, camera.fov, camera.aspect] = [size, insets, fov, aspect];
    };
  }

  /** Looks from the opening view, at once. */
  open(points: Vector3[]): void {
    this.facing = viewpoints.corner;
    this.ownHand = false;
    this.cut(points);
  }

  lookFrom(viewpoint: Viewpoint, points: Vector3[], now: number): void {
    this.facing = viewpoints[viewpoint];
    this.ownHand = false;
    this.subject = points;
    this.moveTo(this.fitted(), now);
  }

  /** The eye and the point in the middle of the picture, mm in the world. */
  get sight(): { from: Vector3; at: Vector3 } {
    const { target, distance } = this.shot;
    return { from: target.clone().addScaledVector(directions(this.shot).back, distance), at: target.clone() };
  }

  /** Looks from one point to another, and leaves it at that as if the viewer had moved there. */
  lookFromTo(from: Vector3, at: Vector3, now: number): void {
    this.ownHand = true;
    const back = from.clone().sub(at);
    const distance = back.length();
    const elevation = Math.min(89.99 * deg, Math.asin(back.z / distance));
    this.moveTo({ target: at.clone(), azimuth: Math.atan2(back.y, back.x), elevation, distance }, now);
  }

  /** Looks at a ball from the direction one looks from now, and leaves it at that as if the viewer had moved there. */
  lookAt(middle: Vector3, radius: number, now: number): void {
    this.ownHand = true;
    const { azimuth, elevation } = this.glide?.to ?? this.shot;
    this.moveTo({ target: middle, azimuth, elevation, distance: radius / Math.min(...this.tangents()) }, now);
  }

  get kept(): Kept {
    return { facing: this.facing, own: this.ownHand ? (this.glide?.to ?? this.shot) : null };
  }

  /** Comes back to what was kept, at once. */
  comeBack({ facing, own }: Kept, points: Vector3[]): void {
    this.facing = facing;
    this.ownHand = own !== null;
    this.cut(points);
    if (own) this.shot = { ...own, target: new Vector3().copy(own.target) };
  }

  /** Fits the same things again, and what must be seen now, after the canvas or the panels have changed. */
  refit(points: Vector3[]): void {
    if (this.ownHand) return;
    this.cut(this.subject);
    this.cut([...this.subject, ...this.outside(points)]);
  }

  /** Looks from a direction, a unit vector from the arm towards the eye, so near that all points are just seen. */
  face(toEye: Vector3, points: Vector3[], now: number): void {
    this.facing = facingOf(toEye);
    this.ownHand = false;
    this.subject = points;
    this.moveTo(this.fitted(), now);
  }

  /** Whether all points would be seen from the same direction from nearer. */
  fitsNearer(from: Vector3, at: Vector3, points: Vector3[]): boolean {
    const back = from.clone().sub(at);
    const distance = back.length();
    return this.fitted(points, facingOf(back.divideScalar(distance))).distance < distance;
  }

  /** Fits other things from the direction one looks from, at once, unless the viewer has chosen a view. */
  fit(points: Vector3[]): void {
    if (!this.ownHand) this.cut(points);
  }

  /** Draws back as far as it takes to have all points in the free part of the canvas, unless the viewer has chosen a view. */
  keepIn(points: () => Vector3[], now: number): void {
    if (this.ownHand) return;
    const outside = this.outside(points());
    if (outside.length === 0) return;
    this.subject = [...this.subject, ...outside];
    const to = this.fitted();
    if (this.reducedMotion || this.glide) return this.moveTo(to, now);
    to.azimuth += turns(this.shot, to);
    this.follow = { to, last: this.follow?.last ?? now };
  }

  /** In a view that was chosen, brings a place into the middle, unless all points around it are in the free part of the canvas. */
  bring(middle: Vector3, around: Vector3[], now: number): void {
    if (!this.ownHand || this.outside(around).length === 0) return;
    this.moveTo({ ...(this.glide?.to ?? this.shot), target: middle }, now);
  }

  /** The points that are not in the free part of the canvas, or will not be when the camera is where it goes. */
  private outside(points: Vector3[]): Vector3[] {
    const shot = this.follow?.to ?? this.glide?.to ?? this.shot;
    const [tanX, tanY] = this.tangents();
    const { right: r, up: u, back: b } = directions(shot);
    return points.filter((p) => {
      const from = p.clone().sub(shot.target);
      const depth = shot.distance - from.dot(b);
      return Math.abs(from.dot(r)) > depth * tanX || Math.abs(from.dot(u)) > depth * tanY;
    });
  }

  private cut(points: Vector3[]): void {
    this.subject = points;
    this.glide = this.follow = null;
    this.shot = this.fitted();
  }

  private moveTo(to: Shot, now: number): void {
    const from = this.current(now);
    this.follow = null;
    to.azimuth += turns(from, to);
    if (this.reducedMotion) {
      this.shot = to;
      this.glide = null;
    } else {
      this.glide = { from, to, start: now };
    }
  }

  orbit(dx: number, dy: number): void {
    this.take();
    this.shot.azimuth -= dx * deg;
    this.shot.elevation = Math.min(89.99, Math.max(-8, this.shot.elevation / deg + dy)) * deg;
  }

  zoom(factor: number): void {
    this.take();
    this.shot.distance = Math.min(this.far, Math.max(this.near, this.shot.distance / factor));
  }

  pan(dx: number, dy: number): void {
    this.take();
    const perPx = (2 * this.shot.distance * Math.tan((this.camera.fov * deg) / 2)) / this.size.height;
    const { right, up } = directions(this.shot);
    this.shot.target.addScaledVector(right, -dx * perPx).addScaledVector(up, dy * perPx);
    this.shot.target.clampLength(0, this.far);
  }

  /** How much room is left around what is fitted, a part of its size. */
  margin = 0.05;
  /** And how many px beside it, so that the sign at the TCP is not under a panel. */
  beside = 0;
  private near = 50;
  private far = 20000;

  setReach(reach: number): void {
    this.near = reach * 0.25;
    this.far = reach * 12;
  }

  private take(): void {
    this.ownHand = true;
    this.glide = this.follow = null;
  }

  /** Places the camera for this moment; true while it is still gliding. */
  update(now: number): boolean {
    this.shot = this.current(now);
    this.drawBack(now);
    if (this.glide && now >= this.glide.start + glideTime) this.glide = null;
    const { target, distance } = this.shot;
    const { back } = directions(this.shot);
    const c = this.camera;
    c.position.copy(target).addScaledVector(back, distance);
    // Straight from above, the up direction must not be the way one looks.
    const { up } = directions(this.shot);
    c.up.copy(up);
    c.lookAt(target);
    c.near = Math.max(5, distance * 0.05);
    c.far = distance + this.far;
    // The middle of the free part of the canvas, not of the canvas, is where the target is seen.
    const { width, height } = this.size;
    const { left, right, top, bottom } = this.insets;
    c.setViewOffset(width, height, (right - left) / 2, (bottom - top) / 2, width, height);
    c.updateMatrixWorld();
    return this.glide !== null || this.follow !== null;
  }

  /** Goes a part of the rest of the way, the more the more time has passed, so that where it goes may change under way. */
  private drawBack(now: number): void {
    if (!this.follow) return;
    const { to, last } = this.follow;
    const part = 1 - Math.exp(-Math.max(0, now - last) / followTime);
    const near = this.shot.target.distanceTo(to.target) + Math.abs(this.shot.distance - to.distance) < 5e-4 * to.distance;
    this.shot = near ? to : between(this.shot, to, part);
    this.follow = near ? null : { to, last: now };
  }

  private current(now: number): Shot {
    const g = this.glide;
    if (!g) return { ...this.shot, target: this.shot.target.clone() };
    const t = Math.min(1, Math.max(0, (now - g.start) / glideTime));
    return between(g.from, g.to, t * t * t * (t * (6 * t - 15) + 10));
  }

  /** The tangents of half the angles under which the free part of the canvas is seen, across and upright. */
  private tangents(): [number, number] {
    const { width, height } = this.size;
    const { left, right, top, bottom } = this.insets;
    const perPx = Math.tan((this.camera.fov * deg) / 2) / height;
    return [Math.max(width * 0.2, width - left - right - 2 * this.beside) * perPx, Math.max(height * 0.2, height - top - bottom) * perPx];
  }

  /** The nearest shot from the direction one looks from that has all of the subject in the free part of the canvas. */
  private fitted(points = this.subject, [azimuth, elevation] = this.facing): Shot {
    const [tanX, tanY] = this.tangents();
    const shot: Shot = { target: new Vector3(), azimuth: azimuth * deg, elevation: elevation * deg, distance: 1000 };
    if (points.length === 0) return shot;
    const { right: r, up: u, back: b } = directions(shot);
    const seen = points.map((p) => [p.dot(r), p.dot(u), p.dot(b)] as const);
    // Along each side of the free part, the distance and the shift at which the outermost points just touch it.
    const span = (i: 0 | 1, tan: number): { shift: number; distance: number } => {
      const high = Math.max(...seen.map((s) => s[i] + s[2] * tan));
      const low = Math.min(...seen.map((s) => s[i] - s[2] * tan));
      return { shift: (high + low) / 2, distance: (high - low) / (2 * tan) };
    };
    const across = span(0, tanX);
    const upright = span(1, tanY);
    shot.distance = Math.max(across.distance, upright.distance) * (1 + this.margin);
    // The distance counts from the origin's depth; the target is put at the points' middle depth.
    const depth = (Math.max(...seen.map((s) => s[2])) + Math.min(...seen.map((s) => s[2]))) / 2;
    shot.target.addScaledVector(r, across.shift).addScaledVector(u, upright.shift).addScaledVector(b, depth);
    shot.distance -= depth;
    return shot;
  }
}

const glideTime = 700; // ms
const followTime = 150; // ms

/** The azimuth and elevation of a unit vector towards the eye, degrees; never quite straight above. */
function facingOf(toEye: Vector3): [number, number] {
  return [Math.atan2(toEye.y, toEye.x) / deg, Math.min(89.99, Math.asin(Math.max(-1, Math.min(1, toEye.z))) / deg)];
}

/** The whole turns that make it the short way round from one shot to another. */
function turns(from: Shot, to: Shot): number {
  return Math.round((from.azimuth - to.azimuth) / (2 * Math.PI)) * 2 * Math.PI;
}

function between(from: Shot, to: Shot, part: number): Shot {
  const mix = (a: number, b: number): number => a + (b - a) * part;
  return {
    target: from.target.clone().lerp(to.target, part),
    azimuth: mix(from.azimuth, to.azimuth),
    elevation: mix(from.elevation, to.elevation),
    distance: Math.exp(mix(Math.log(from.distance), Math.log(to.distance))),
  };
}

/** The camera's right, up and back as unit vectors. */
function directions(shot: Shot): { right: Vector3; up: Vector3; back: Vector3 } {
  const [ca, sa] = [Math.cos(shot.azimuth), Math.sin(shot.azimuth)];
  const [ce, se] = [Math.cos(shot.elevation), Math.sin(shot.elevation)];
  return {
    back: new Vector3(ca * ce, sa * ce, se),
    right: new Vector3(-sa, ca, 0),
    up: new Vector3(-ca * se, -sa * se, ce),
  };
}
