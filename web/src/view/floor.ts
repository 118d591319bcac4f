import {
  BufferGeometry,
  CanvasTexture,
  Color,
  Float32BufferAttribute,
  Group,
  Mesh,
  MeshBasicMaterial,
  PlaneGeometry,
  ShaderMaterial,
  ShadowMaterial,
  SRGBColorSpace,
  Vector2,
  Vector3,
} from "three";
import { short } from "../basics/format";
import { floorGrid, inUnit } from "../basics/units";
import { Label } from "./labels";
import type { Palette } from "./palette";
import { Stroke } from "./stroke";

/**
 * The floor with a grid that is round in the reading unit: fine and strong lines, numbers along the world frame's X and Y. Where the base frame's origin is right above the world's, a dimension line says how high above the floor.
 */
export class Floor {
  readonly object = new Group();
  private readonly uniforms = {
    paper: { value: new Color() },
    background: { value: new Color() },
    fine: { value: new Color() },
    strong: { value: new Color() },
    extent: { value: 1000 },
    grid: { value: new Vector2() }, // of the fine and the strong lines, mm
  };
  private readonly ground: Mesh;
  private readonly shadow: Mesh<PlaneGeometry, ShadowMaterial>;
  private readonly numbers = new Numerals();
  private readonly height = new Stroke(8, { width: 1.6, behind: 0.3 });
  /** The height of the base frame’s origin, as a drawing would show it. */
  readonly dimension = new Group();
  private readonly heightLabel = new Label("", { px: 13, colour: "#000", weight: 600 });
  private palette: Palette | null = null;
  private mountHeight = 0;

  /** How high the base frame's origin is, in words. */
  says: (mm: number) => string = String;

  constructor() {
    const plane = new PlaneGeometry(1, 1);
    this.ground = new Mesh(plane, new ShaderMaterial({ uniforms: this.uniforms, vertexShader, fragmentShader, toneMapped: false }));
    const shade = new ShadowMaterial({ transparent: true, depthWrite: false });
    // The shadow lies in the floor's own plane; the offset decides which of the two is on top.
    shade.polygonOffset = true;
    shade.polygonOffsetFactor = -1;
    shade.polygonOffsetUnits = -2;
    this.shadow = new Mesh(plane, shade);
    this.shadow.receiveShadow = true;
    this.dimension.add(this.height.object, this.heightLabel.object);
    this.object.add(this.ground, this.shadow, this.numbers.object, this.dimension);
  }

  /** The floor at that height in the world; mountHeight is 0 where there is no height to be shown. */
  setSize(reach: number, level: number, mountHeight: number, footprint: number): void {
    const extent = reach * 5;
    this.object.position.z = level;
    this.mountHeight = mountHeight;
    this.uniforms.extent.value = extent;
    this.ground.scale.set(2 * extent, 2 * extent, 1);
    this.shadow.scale.set(2 * extent, 2 * extent, 1);
    this.ground.updateMatrixWorld();

    const numerals: Numeral[] = [];
    const { fine, strong } = floorGrid();
    this.uniforms.grid.value.set(fine, strong);
    const each = reach < 1000 ? fine : strong;
    const most = Math.ceil((reach * 1.5) / strong) * strong;
    for (let n = 1; n * each < most + 1; n++) {
      const bold = Math.round((n * each) / fine) % Math.round(strong / fine) === 0;
      if (!bold && n * each > reach) continue;
      for (const at of [n * each, -n * each]) numerals.push({ x: at, y: 0, bold, size: reach * (bold ? 0.05 : 0.037) }, { x: 0, y: at, bold, size: reach * (bold ? 0.05 : 0.037) });
    }
    this.numbers.set(numerals);

    const raised = mountHeight > 1;
    this.height.object.visible = this.heightLabel.object.visible = raised;
    this.height.clear();
    if (raised) {
      // Off the base's left rear, where it is beside the base from most viewpoints.
      const off = footprint * 1.3;
      const tick = footprint * 0.1;
      const v = (d: number, z: number): Vector3 => new Vector3(-off - d, off + d, z);
      this.height.add(v(0, 0), v(0, mountHeight));
      this.height.add(v(tick, mountHeight - tick), v(-tick, mountHeight + tick));
      this.height.add(v(tick, -tick), v(-tick, tick));
      this.height.add(new Vector3(0, 0, mountHeight), v(tick * 2, mountHeight));
      this.heightLabel.object.position.copy(v(0, mountHeight * 0.5));
      this.heightLabel.set(this.says(mountHeight));
    }
    if (this.palette) this.setPalette(this.palette);
  }

  setPalette(p: Palette): void {
    this.palette = p;
    this.uniforms.paper.value.set(p.floor);
    this.uniforms.background.value.set(p.background);
    this.uniforms.fine.value.set(p.gridFine);
    this.uniforms.strong.value.set(p.gridStrong);
    this.shadow.material.opacity = p.shadow;
    this.numbers.setColour(p.floorText);
    this.height.setColour(p.floorText);
    this.heightLabel.set(this.says(this.mountHeight), { colour: p.ink, plate: p.floor });
  }

  /** On paper there is no floor; what stands on it throws its shadow all the same. */
  setGround(shown: boolean): void {
    this.ground.visible = this.numbers.object.visible = shown;
  }

  get labels(): Label[] {
    return [this.heightLabel];
  }

  /** Turns the numbers so that they are upright for a viewer who looks along this azimuth (rad). */
  face(azimuth: number): void {
    const turn = Math.round(azimuth / (Math.PI / 2)) * (Math.PI / 2) + Math.PI / 2;
    this.numbers.turn(turn);
    // The height's label goes from its line away from the arm, which is at the right of it where the line is seen at the left.
    this.heightLabel.object.center.x = Math.sin(azimuth) + Math.cos(azimuth) < 0 ? 0.9 : 0.1;
  }

  dispose(): void {
    this.numbers.dispose();
    this.height.dispose();
    this.heightLabel.dispose();
    this.ground.geometry.dispose();
    (this.ground.material as ShaderMaterial).dispose();
    this.shadow.material.dispose();
  }
}

/** A number that lies on the floor beside its grid line. */
interface Numeral {
  x: number;
  y: number;
  bold: boolean; // on a strong line
  size: number; // of its letters, mm
}

/** The numbers on the floor, drawn as one: a quad for each, with its part of one picture of all texts. */
class Numerals {
  readonly object = new Mesh(new BufferGeometry(), new MeshBasicMaterial({ transparent: true, depthWrite: false, toneMapped: false }));
  private numerals: Numeral[] = [];
  private aspects: number[] = []; // of their texts, wide by high
  private turned = NaN;

  constructor() {
    const { material } = this.object;
    material.polygonOffset = true;
    material.polygonOffsetFactor = -2;
    material.polygonOffsetUnits = -4;
    this.object.renderOrder = 1;
    this.object.raycast = () => {};
  }

  set(numerals: Numeral[]): void {
    this.numerals = numerals;
    this.turned = NaN;
    const texts = numerals.map((n) => short(inUnit(n.x + n.y), 1));
    const [px, line] = [64, 77];
    const canvas = document.createElement("canvas");
    const g = canvas.getContext("2d")!;
    const fontOf = (n: Numeral): string => `${n.bold ? 600 : 400} ${px}px system-ui, sans-serif`;
    const widths = texts.map((text, i) => {
      g.font = fontOf(numerals[i]!);
      return Math.ceil(g.measureText(text).width + 0.3 * px);
    });
    canvas.width = Math.max(1, ...widths);
    canvas.height = Math.max(1, numerals.length * line);
    const uv: number[] = [];
    const index: number[] = [];
    texts.forEach((text, i) => {
      g.font = fontOf(numerals[i]!);
      g.textAlign = "center";
      g.textBaseline = "middle";
      g.fillStyle = "#fff";
      g.fillText(text, widths[i]! / 2, (i + 0.5) * line);
      const [right, top, bottom] = [widths[i]! / canvas.width, 1 - (i * line) / canvas.height, 1 - ((i + 1) * line) / canvas.height];
      uv.push(0, bottom, right, bottom, right, top, 0, top);
      index.push(4 * i, 4 * i + 1, 4 * i + 2, 4 * i, 4 * i + 2, 4 * i + 3);
    });
    this.aspects = widths.map((width) => width / line);
    const { geometry, material } = this.object;
    geometry.setAttribute("position", new Float32BufferAttribute(new Float32Array(12 * numerals.length), 3));
    geometry.setAttribute("uv", new Float32BufferAttribute(uv, 2));
    geometry.setIndex(index);
    material.map?.dispose();
    material.map = new CanvasTexture(canvas);
    material.map.colorSpace = SRGBColorSpace;
    material.map.anisotropy = 8;
    material.needsUpdate = true;
  }

  setColour(colour: string): void {
    this.object.material.color.set(colour);
  }

  /** Upright for a viewer at this angle; beside the crossings of the lines, not on them. */
  turn(angle: number): void {
    if (angle === this.turned || this.numerals.length === 0) return;
    this.turned = angle;
    const at = this.object.geometry.getAttribute("position");
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    this.numerals.forEach(({ x, y, size }, i) => {
      const [high, wide] = [size * 1.2, size * 1.2 * this.aspects[i]!];
      const [left, low] = [0.25 * size, -0.72 * size - high / 2];
      [[left, low], [left + wide, low], [left + wide, low + high], [left, low + high]].forEach(([beside, below], k) => {
        at.setXYZ(4 * i + k, x + beside! * c - below! * s, y + beside! * s + below! * c, 0);
      });
    });
    at.needsUpdate = true;
    this.object.geometry.computeBoundingSphere();
  }

  dispose(): void {
    this.object.geometry.dispose();
    this.object.material.map?.dispose();
    this.object.material.dispose();
  }
}

const vertexShader = /* glsl */ `
varying vec2 at;
void main() {
  vec4 p = modelMatrix * vec4(position, 1.0);
  at = p.xy;
  gl_Position = projectionMatrix * viewMatrix * p;
}`;

// Grid lines are about a pixel wide at any distance, and fade before they would flicker.
const fragmentShader = /* glsl */ `
uniform vec3 paper;
uniform vec3 background;
uniform vec3 fine;
uniform vec3 strong;
uniform float extent;
uniform vec2 grid;
varying vec2 at;
float lines(float spacing, float width) {
  vec2 p = at / spacing;
  vec2 px = max(fwidth(p), 1e-6);
  vec2 d = abs(fract(p - 0.5) - 0.5) / px;
  vec2 on = clamp(0.5 * width + 0.5 - d, 0.0, 1.0) * (1.0 - smoothstep(0.12, 0.4, px));
  return max(on.x, on.y);
}
float axis(float width) {
  vec2 d = abs(at) / max(fwidth(at), 1e-6);
  vec2 on = clamp(0.5 * width + 0.5 - d, 0.0, 1.0);
  return max(on.x, on.y);
}
void main() {
  float r = length(at) / extent;
  vec3 c = mix(paper, fine, lines(grid.x, 1.0));
  c = mix(c, strong, lines(grid.y, 1.3) * 0.8);
  c = mix(c, strong, axis(2.0));
  float fade = smoothstep(0.16, 0.9, r);
  gl_FragColor = vec4(mix(c, background, fade), 1.0);
  #include <colorspace_fragment>
}`;
