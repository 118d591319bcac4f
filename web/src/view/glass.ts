import { type BufferGeometry, Color, Group, MeshBasicMaterial, type Material, ShaderMaterial, type SkinnedMesh } from "three";
import type { ArmMessage, Place } from "../wire";
import type { ArmForm } from "./form";
import { type Carried, carriedMesh, carriedShape, skeletonOf } from "./merged";
import { matrixOf, moveTo } from "./place";

/** The arm as tinted glass, to be seen where it does not stand. It is made when the page is idle, or when it is first posed. */
export class GlassArm {
  readonly object = new Group();
  readonly links = Array.from({ length: 7 }, () => new Group());
  private readonly skeleton = skeletonOf(this.links);
  private readonly glass = glassMaterial();
  // Drawing the depth first keeps the glass to one layer, however many parts lie behind each other.
  private readonly depth = new MeshBasicMaterial({ colorWrite: false, ...pushedBack });
  private meshes: SkinnedMesh[] = [];
  private arm: ArmMessage | null = null;
  private form: ArmForm | null = null;
  private tool: BufferGeometry | null = null;

  constructor() {
    this.object.add(...this.links);
  }

  setArm(arm: ArmMessage, form: ArmForm): void {
    [this.arm, this.form] = [arm, form];
    this.clear();
  }

  setTool(shape: BufferGeometry | null): void {
    this.tool = shape;
    this.clear();
  }

  setColour(colour: string): void {
    this.glass.uniforms.colour!.value.set(colour);
  }

  /** How dense the glass of a link is, from 0 to 1. */
  setStrength(link: number, strength: number): void {
    this.glass.uniforms.strength!.value[link] = strength;
  }

  /** Whether a link is there at all. */
  setShown(link: number, shown: boolean): void {
    this.links[link]!.scale.setScalar(shown ? 1 : 0);
  }

  /** Makes it, if that is yet to be done, so that the first pose is no wait. */
  prepare(): void {
    if (this.meshes.length === 0) this.build();
  }

  pose(places: readonly Place[]): void {
    this.prepare();
    this.links.forEach((link, i) => moveTo(link, places[i]!));
  }

  dispose(): void {
    this.clear();
    this.skeleton.dispose();
    for (const part of [this.depth, this.glass]) part.dispose();
  }

  private build(): void {
    if (!this.arm || !this.form) return;
    const parts: Carried[] = this.form.links.flatMap(({ shell, fittings }, by) => [shell, fittings].flatMap((shape) => (shape ? [{ shape, by }] : [])));
    const held = this.tool?.clone().applyMatrix4(matrixOf(this.arm.flange));
    if (held) parts.push({ shape: held, by: 6 });
    const shape = carriedShape(parts, ["position", "normal"]);
    held?.dispose();
    this.meshes = ([this.depth, this.glass] as Material[]).map((material, i) => {
      const mesh = carriedMesh(shape, material, this.skeleton);
      mesh.renderOrder = 1 + i;
      return mesh;
    });
    this.object.add(...this.meshes);
  }

  private clear(): void {
    this.meshes[0]?.geometry.dispose();
    for (const mesh of this.meshes) mesh.removeFromParent();
    this.meshes = [];
  }
}

// Where a ghost lies in the arm's own surface the arm wins.
const pushedBack = { polygonOffset: true, polygonOffsetFactor: 2, polygonOffsetUnits: 8 };

function glassMaterial(): ShaderMaterial {
  return new ShaderMaterial({
    uniforms: { colour: { value: new Color() }, strength: { value: [1, 1, 1, 1, 1, 1, 1] } },
    transparent: true,
    depthWrite: false,
    toneMapped: false,
    ...pushedBack,
    vertexShader: /* glsl */ `
#include <skinning_pars_vertex>
uniform float strength[7];
varying vec3 n;
varying vec3 eye;
varying float dense;
void main() {
  #include <beginnormal_vertex>
  #include <skinbase_vertex>
  #include <skinnormal_vertex>
  #include <begin_vertex>
  #include <skinning_vertex>
  vec4 p = modelViewMatrix * vec4(transformed, 1.0);
  n = normalMatrix * objectNormal;
  eye = -p.xyz;
  dense = strength[int(skinIndex.x + 0.5)];
  gl_Position = projectionMatrix * p;
}`,
    // Like glass, it is clearest where it faces the viewer and densest at its edges.
    fragmentShader: /* glsl */ `
uniform vec3 colour;
varying vec3 n;
varying vec3 eye;
varying float dense;
void main() {
  float edge = 1.0 - abs(dot(normalize(n), normalize(eye)));
  gl_FragColor = vec4(colour, dense * (0.3 + 0.65 * edge * edge));
  #include <colorspace_fragment>
}`,
  });
}
