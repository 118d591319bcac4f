import {
  BufferAttribute,
  CanvasTexture,
  DynamicDrawUsage,
  FramebufferTexture,
  InstancedBufferGeometry,
  InstancedInterleavedBuffer,
  InterleavedBufferAttribute,
  LinearFilter,
  Mesh,
  type Object3D,
  ShaderMaterial,
  SRGBColorSpace,
  Vector2,
  Vector3,
  type WebGLRenderer,
} from "three";
import type { Label } from "./labels";

const SIZE = 2048; // px, of the sheet
const MOST = 128; // labels at a time
const GAP = 4; // px between two of them
const SPARE = 48; // px more than a label needs, for longer numbers
const STRIDE = 11; // place, size, centre, and the part of the sheet: left, top, width, height

/** The part of the sheet that a label has, and which edition of it is there. */
interface Slot {
  x: number;
  y: number;
  w: number;
  h: number;
  room: { w: number; h: number }; // it may grow to
  edition: number;
}

/**
 * All labels of the picture in one draw. Their pictures stand in one texture, each in a slot of its own that is filled anew
 * when it says something else; where there is no room, all that is shown is laid out anew.
 */
export class LabelSheet {
  readonly object: Mesh;
  private readonly texture = new FramebufferTexture(SIZE, SIZE);
  private readonly buffer = new InstancedInterleavedBuffer(new Float32Array(MOST * STRIDE), STRIDE, 1);
  private readonly geometry = new InstancedBufferGeometry();
  private readonly material: ShaderMaterial;
  private slots = new WeakMap<Label, Slot>();
  private next = { x: 0, y: 0, high: 0 }; // where the next slot begins, and how high the row is
  private readonly place = new Vector3();

  constructor() {
    this.texture.colorSpace = SRGBColorSpace;
    this.texture.minFilter = this.texture.magFilter = LinearFilter;
    this.texture.generateMipmaps = false;
    this.texture.flipY = false;
    this.buffer.setUsage(DynamicDrawUsage);
    const corners = new Float32Array([0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0]);
    this.geometry.setAttribute("position", new BufferAttribute(corners, 3));
    const part = (name: string, size: number, at: number) => this.geometry.setAttribute(name, new InterleavedBufferAttribute(this.buffer, size, at));
    part("place", 3, 0);
    part("size", 2, 3);
    part("centre", 2, 5);
    part("slot", 4, 7);
    this.geometry.setIndex([0, 1, 2, 0, 2, 3]);
    this.geometry.instanceCount = 0;
    this.material = new ShaderMaterial({ uniforms: { sheet: { value: this.texture } }, vertexShader, fragmentShader, transparent: true, depthTest: false, depthWrite: false, toneMapped: false });
    this.object = new Mesh(this.geometry, this.material);
    this.object.frustumCulled = false;
    this.object.renderOrder = 20;
    this.object.raycast = () => {};
  }

  /** Takes up the labels that are shown, those of a higher order over the others. */
  update(labels: readonly Label[], renderer: WebGLRenderer): void {
    const seen = labels.filter((label) => label.text !== "" && !label.crowded && shown(label.object)).slice(0, MOST);
    if (!seen.every((label) => this.fill(label, renderer))) {
      this.forget();
      for (const label of seen) this.fill(label, renderer);
    }
    const data = this.buffer.array;
    let count = 0;
    for (const label of seen.sort((a, b) => a.object.renderOrder - b.object.renderOrder)) {
      const slot = this.slots.get(label);
      if (!slot) continue;
      const { object } = label;
      object.getWorldPosition(this.place).toArray(data, count * STRIDE);
      data.set([object.scale.x, object.scale.y, object.center.x - label.off.x, object.center.y - label.off.y, slot.x / SIZE, slot.y / SIZE, slot.w / SIZE, slot.h / SIZE], count * STRIDE + 3);
      count++;
    }
    this.buffer.needsUpdate = true;
    this.geometry.instanceCount = count;
  }

  /** The texture's pictures are lost, or in the way. */
  forget(): void {
    this.slots = new WeakMap();
    this.next = { x: 0, y: 0, high: 0 };
  }

  dispose(): void {
    this.geometry.dispose();
    this.material.dispose();
    this.texture.dispose();
  }

  /** Puts a label's picture into its slot, unless it is there; false where there is no room. */
  private fill(label: Label, renderer: WebGLRenderer): boolean {
    const { width: w, height: h } = label.canvas;
    let slot = this.slots.get(label);
    if (slot?.edition === label.edition) return true;
    if (!slot || w > slot.room.w || h > slot.room.h) slot = this.allot(w, h) ?? undefined;
    if (!slot) return false;
    Object.assign(slot, { w, h, edition: label.edition });
    this.slots.set(label, slot);
    const picture = new CanvasTexture(label.canvas);
    renderer.copyTextureToTexture(picture, this.texture, null, new Vector2(slot.x, slot.y));
    picture.dispose();
    return true;
  }

  /** Rows from the top, each as high as its highest. */
  private allot(w: number, h: number): Slot | null {
    const room = { w: Math.min(SIZE, w + SPARE), h };
    let { x, y, high } = this.next;
    if (x + room.w > SIZE) [x, y, high] = [0, y + high + GAP, 0];
    if (w > SIZE || y + h > SIZE) return null;
    this.next = { x: x + room.w + GAP, y, high: Math.max(high, h) };
    return { x, y, w, h, room, edition: 0 };
  }
}

function shown(object: Object3D): boolean {
  for (let o: Object3D | null = object; o; o = o.parent) if (!o.visible) return false;
  return true;
}

const vertexShader = /* glsl */ `
attribute vec3 place;
attribute vec2 size;
attribute vec2 centre;
attribute vec4 slot;
varying vec2 at;
void main() {
  vec4 p = viewMatrix * vec4(place, 1.0);
  p.xy += (position.xy - centre) * size * -p.z;
  gl_Position = projectionMatrix * p;
  at = slot.xy + vec2(position.x, 1.0 - position.y) * slot.zw;
}`;

const fragmentShader = /* glsl */ `
uniform sampler2D sheet;
varying vec2 at;
void main() {
  gl_FragColor = texture2D(sheet, at);
  if (gl_FragColor.a < 0.004) discard;
  #include <colorspace_fragment>
}`;
