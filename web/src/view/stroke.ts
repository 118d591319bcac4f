import {
  Color,
  DynamicDrawUsage,
  GreaterDepth,
  Group,
  InstancedBufferGeometry,
  InstancedInterleavedBuffer,
  InterleavedBufferAttribute,
  BufferAttribute,
  LessEqualDepth,
  Mesh,
  ShaderMaterial,
  Vector2,
  type Vector3,
} from "three";

/** How a stroke looks. */
export interface StrokeStyle {
  width: number; // px
  opacity?: number;
  dash?: number; // mm drawn and left out in turn; 0 for none
  behind?: number; // how much still shows where something is in front, 0 to 1
  fade?: number; // how much of the opacity the oldest piece has lost, 0 to 1
}

const stride = 8; // x, y, z and length so far of the start; x, y, z and number of the end

/**
 * A line of a width in pixels through any number of points, in a ring: when it is full the oldest piece goes. Each
 * piece is a quad that faces the viewer, so that the width does not depend on what the graphics driver allows.
 */
export class Stroke {
  readonly object = new Group();
  private readonly buffer: InstancedInterleavedBuffer;
  private readonly geometry = new InstancedBufferGeometry();
  private readonly materials: ShaderMaterial[] = [];
  private readonly uniforms;
  private pieces = 0; // ever added
  private length = 0;

  constructor(
    private readonly capacity: number,
    style: StrokeStyle,
  ) {
    this.buffer = new InstancedInterleavedBuffer(new Float32Array(capacity * stride), stride, 1);
    this.buffer.setUsage(DynamicDrawUsage);
    const corners = new Float32Array([0, -1, 0, 1, -1, 0, 1, 1, 0, 0, 1, 0]);
    this.geometry.setAttribute("position", new BufferAttribute(corners, 3));
    this.geometry.setAttribute("start", new InterleavedBufferAttribute(this.buffer, 4, 0));
    this.geometry.setAttribute("end", new InterleavedBufferAttribute(this.buffer, 4, 4));
    this.geometry.setIndex([0, 1, 2, 0, 2, 3]);
    this.geometry.instanceCount = 0;
    this.uniforms = {
      colour: { value: new Color() },
      width: { value: style.width },
      canvas: { value: new Vector2(1, 1) },
      dash: { value: style.dash ?? 0 },
      fade: { value: style.fade ?? 0 },
      newest: { value: 0 },
      count: { value: 1 },
    };
    const { opacity = 1, behind = 0 } = style;
    if (behind === 1) this.addPass(opacity, "everywhere");
    else this.addPass(opacity, "front");
    if (behind > 0 && behind < 1) this.addPass(opacity * behind, "behind");
  }

  private addPass(opacity: number, where: "front" | "behind" | "everywhere"): void {
    const material = new ShaderMaterial({
      uniforms: { ...this.uniforms, opacity: { value: opacity } },
      vertexShader,
      fragmentShader,
      transparent: true,
      depthWrite: false,
      depthTest: where !== "everywhere",
      depthFunc: where === "behind" ? GreaterDepth : LessEqualDepth,
      toneMapped: false,
    });
    const mesh = new Mesh(this.geometry, material);
    mesh.frustumCulled = false;
    mesh.renderOrder = where === "front" ? 3 : 4;
    // The width is in pixels of the canvas, whose size is only known when it is drawn.
    mesh.onBeforeRender = (renderer) => void renderer.getSize(this.uniforms.canvas.value);
    this.materials.push(material);
    this.object.add(mesh);
  }

  setColour(colour: string): void {
    this.uniforms.colour.value.set(colour);
  }

  setDash(mm: number): void {
    this.uniforms.dash.value = mm;
  }

  clear(): void {
    this.pieces = 0;
    this.length = 0;
    this.geometry.instanceCount = 0;
  }

  /** Draws a straight piece. */
  add(from: Vector3, to: Vector3): void {
    const slot = this.pieces % this.capacity;
    const data = this.buffer.array;
    from.toArray(data, slot * stride);
    data[slot * stride + 3] = this.length;
    to.toArray(data, slot * stride + 4);
    data[slot * stride + 7] = this.pieces;
    this.length += from.distanceTo(to);
    this.pieces++;
    this.buffer.addUpdateRange(slot * stride, stride);
    this.buffer.needsUpdate = true;
    this.geometry.instanceCount = Math.min(this.pieces, this.capacity);
    this.uniforms.newest.value = this.pieces;
    this.uniforms.count.value = this.geometry.instanceCount;
  }

  /** Moves the end of the newest piece. */
  moveTip(to: Vector3): void {
    if (this.pieces === 0) return;
    const slot = (this.pieces - 1) % this.capacity;
    to.toArray(this.buffer.array, slot * stride + 4);
    this.buffer.addUpdateRange(slot * stride, stride);
    this.buffer.needsUpdate = true;
  }

  /** Replaces everything by a line through the points. */
  through(points: Vector3[]): void {
    this.clear();
    for (let i = 1; i < points.length; i++) this.add(points[i - 1]!, points[i]!);
  }

  dispose(): void {
    this.geometry.dispose();
    for (const material of this.materials) material.dispose();
  }
}

const vertexShader = /* glsl */ `
attribute vec4 start;
attribute vec4 end;
uniform vec2 canvas;
uniform float width;
varying float along;
varying float across;
varying float number;
void main() {
  vec4 a = modelViewMatrix * vec4(start.xyz, 1.0);
  vec4 b = modelViewMatrix * vec4(end.xyz, 1.0);
  // What reaches behind the viewer is cut off just in front of the eye.
  float near = -1.0;
  if (a.z > near && b.z < near) a.xyz = mix(b.xyz, a.xyz, (near - b.z) / (a.z - b.z));
  if (b.z > near && a.z < near) b.xyz = mix(a.xyz, b.xyz, (near - a.z) / (b.z - a.z));
  vec4 ca = projectionMatrix * a;
  vec4 cb = projectionMatrix * b;
  vec2 direction = (cb.xy / cb.w - ca.xy / ca.w) * canvas;
  direction = length(direction) < 1e-6 ? vec2(1.0, 0.0) : normalize(direction);
  vec2 normal = vec2(-direction.y, direction.x);
  float half_width = 0.5 * width + 0.75;
  vec4 p = position.x < 0.5 ? ca : cb;
  // A little longer at both ends, so that a bend leaves no gap.
  vec2 shift = normal * position.y * half_width + direction * (position.x - 0.5) * 0.6;
  p.xy += shift * 2.0 / canvas * p.w;
  gl_Position = p;
  along = start.w + position.x * distance(start.xyz, end.xyz);
  across = position.y * half_width;
  number = end.w;
}`;

const fragmentShader = /* glsl */ `
uniform vec3 colour;
uniform float opacity;
uniform float width;
uniform float dash;
uniform float fade;
uniform float newest;
uniform float count;
varying float along;
varying float across;
varying float number;
void main() {
  float alpha = opacity * clamp(0.5 * width + 0.5 - abs(across), 0.0, 1.0);
  if (dash > 0.0 && mod(along, 2.0 * dash) > dash) discard;
  float age = clamp((newest - number) / max(count, 200.0), 0.0, 1.0);
  alpha *= 1.0 - fade * sqrt(age);
  gl_FragColor = vec4(colour, alpha);
  #include <colorspace_fragment>
}`;
