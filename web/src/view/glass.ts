import { type BufferGeometry, Color, Group, Mesh, MeshBasicMaterial, Object3D, ShaderMaterial } from "three";
import type { ArmMessage, Place } from "../wire";
import type { ArmForm } from "./form";
import { moveTo } from "./place";

/** The arm as tinted glass, to be seen where it does not stand. */
export class GlassArm {
  readonly object = new Group();
  readonly links: Group[] = [];
  private readonly glass = Array.from({ length: 7 }, glassMaterial);
  // Drawing the depth first keeps the glass to one layer, however many parts lie behind each other.
  private readonly depth = new MeshBasicMaterial({ colorWrite: false, ...pushedBack });
  private readonly flange = new Object3D();

  setArm(arm: ArmMessage, form: ArmForm): void {
    for (const link of this.links) link.removeFromParent();
    this.links.length = 0;
    form.links.forEach((link, i) => {
      const group = new Group();
      for (const shape of [link.shell, link.fittings]) if (shape) group.add(...this.glazed(shape, i));
      this.links.push(group);
      this.object.add(group);
    });
    moveTo(this.flange, arm.flange);
    this.links[6]!.add(this.flange);
  }

  setTool(shape: BufferGeometry | null): void {
    this.flange.clear();
    if (shape) this.flange.add(...this.glazed(shape, 6));
  }

  setColour(colour: string): void {
    for (const glass of this.glass) glass.uniforms.colour!.value.set(colour);
  }

  /** How dense the glass of a link is, from 0 to 1. */
  setStrength(link: number, strength: number): void {
    this.glass[link]!.uniforms.strength!.value = strength;
  }

  pose(places: readonly Place[]): void {
    this.links.forEach((link, i) => moveTo(link, places[i]!));
  }

  dispose(): void {
    for (const part of [this.depth, ...this.glass]) part.dispose();
  }

  private glazed(shape: BufferGeometry, link: number): Mesh[] {
    const depth = new Mesh(shape, this.depth);
    depth.renderOrder = 1;
    const glass = new Mesh(shape, this.glass[link]);
    glass.renderOrder = 2;
    return [depth, glass];
  }
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
