import { type BufferGeometry, Color, Group, Mesh, MeshBasicMaterial, Object3D, ShaderMaterial, SphereGeometry, Vector3 } from "three";
import type { ArmMessage, Ghost as GhostMessage, State } from "../wire";
import { Mark } from "./arrows";
import { type ArmForm, cornersOf } from "./form";
import { BlockedSign } from "./blocked";
import type { Palette } from "./palette";
import { matrixOf, moveTo } from "./place";
import { Stroke } from "./stroke";

/** Where the next step would end: the arm as tinted glass, a dashed line for the TCP's path, and a mark at its end. */
export class Ghost {
  readonly object = new Group();
  private readonly links: Group[] = [];
  private readonly path = new Stroke(400, { width: 3, behind: 0.45 });
  private readonly end = new Mark();
  readonly blocked = new BlockedSign();
  private readonly glass = Array.from({ length: 7 }, glassMaterial);
  // Drawing the depth first keeps the glass to one layer, however many parts lie behind each other.
  private readonly depth = new MeshBasicMaterial({ colorWrite: false, ...pushedBack });
  private readonly flange = new Object3D();
  private boxes: Vector3[][] = [];
  private clear = 1; // mm; a link that moves so far has a ghost of full strength
  private message: GhostMessage | null = null;

  constructor() {
    this.object.add(this.path.object, this.end.object, this.blocked.object);
    this.object.visible = false;
  }

  setArm(arm: ArmMessage, form: ArmForm): void {
    const reach = arm.reach_mm;
    for (const link of this.links) link.removeFromParent();
    this.links.length = 0;
    form.links.forEach((link, i) => {
      const group = new Group();
      for (const shape of [link.shell, link.fittings]) if (shape) group.add(...this.glazed(shape, i));
      this.links.push(group);
      this.object.add(group);
    });
    this.boxes = form.links.map(({ shell, fittings }) => cornersOf([shell, fittings]));
    this.clear = reach * 0.06;
    moveTo(this.flange, arm.flange);
    this.links[6]!.add(this.flange);
    this.path.setDash(reach * 0.011);
    this.end.setShape(new SphereGeometry(reach * 0.011, 24, 16));
    this.blocked.setSize(reach);
    this.set(null, null);
  }

  setTool(shape: BufferGeometry | null): void {
    this.flange.clear();
    if (shape) this.flange.add(...this.glazed(shape, 6));
  }

  private glazed(shape: BufferGeometry, link: number): Mesh[] {
    const depth = new Mesh(shape, this.depth);
    depth.renderOrder = 1;
    const glass = new Mesh(shape, this.glass[link]);
    glass.renderOrder = 2;
    return [depth, glass];
  }

  setPalette(p: Palette): void {
    for (const glass of this.glass) glass.uniforms.colour!.value.set(p.ghost);
    this.path.setColour(p.ghost);
    this.end.setColour(p.ghost, 1, 0.5);
    this.blocked.setPalette(p);
  }

  /** Shows the message over the arm's state; hides when nothing is aimed at. */
  set(message: GhostMessage | null, state: State | null): void {
    this.message = message;
    this.object.visible = !!message?.direction;
    if (!message?.direction) return;
    this.links.forEach((link, i) => moveTo(link, message.links[i]!));
    if (state) this.compare(state);
    const points = message.path_mm.map((p) => new Vector3().fromArray(p));
    this.path.through(thinned(points, 400));
    const end = new Vector3().fromArray(message.tcp_place.p);
    this.end.object.position.copy(end);
    this.end.object.visible = !message.stop;
    this.blocked.object.visible = !!message.stop;
    if (message.stop) this.blocked.place(end, wayAtEnd(points));
  }

  /** A link that would not move has no ghost, and one that would hardly move has a faint one. */
  compare(state: State): void {
    const { message } = this;
    if (!message?.direction) return;
    this.links.forEach((link, i) => {
      const [from, to] = [matrixOf(state.links[i]!), matrixOf(message.links[i]!)];
      let most = 0;
      for (const p of this.boxes[i]!) most = Math.max(most, p.clone().applyMatrix4(from).distanceTo(p.clone().applyMatrix4(to)));
      link.visible = most > 1e-3;
      this.glass[i]!.uniforms.strength!.value = Math.min(1, 0.25 + most / this.clear);
    });
  }

  dispose(): void {
    for (const part of [this.path, this.end, this.blocked, this.depth, ...this.glass]) part.dispose();
  }
}

/** The way the path goes at its end; null where it has no length. */
function wayAtEnd(points: Vector3[]): Vector3 | null {
  for (let i = points.length - 1; i > 0; i--) {
    const way = points[i]!.clone().sub(points[i - 1]!);
    if (way.length() > 1e-6) return way.normalize();
  }
  return null;
}

function thinned(points: Vector3[], most: number): Vector3[] {
  if (points.length <= most) return points;
  return Array.from({ length: most }, (_, i) => points[Math.round((i * (points.length - 1)) / (most - 1))]!);
}

// Where a ghost lies in the arm's own surface the arm wins.
const pushedBack = { polygonOffset: true, polygonOffsetFactor: 2, polygonOffsetUnits: 8 };

function glassMaterial(): ShaderMaterial {
  return new ShaderMaterial({
    uniforms: { colour: { value: new Color() }, strength: { value: 1 } },
    transparent: true,
    depthWrite: false,
    toneMapped: false,
    ...pushedBack,
    vertexShader: /* glsl */ `
varying vec3 n;
varying vec3 eye;
void main() {
  vec4 p = modelViewMatrix * vec4(position, 1.0);
  n = normalMatrix * normal;
  eye = -p.xyz;
  gl_Position = projectionMatrix * p;
}`,
    // Like glass, it is clearest where it faces the viewer and densest at its edges.
    fragmentShader: /* glsl */ `
uniform vec3 colour;
uniform float strength;
varying vec3 n;
varying vec3 eye;
void main() {
  float edge = 1.0 - abs(dot(normalize(n), normalize(eye)));
  gl_FragColor = vec4(colour, strength * (0.3 + 0.65 * edge * edge));
  #include <colorspace_fragment>
}`,
  });
}
