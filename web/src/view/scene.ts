import {
  BackSide,
  BoxGeometry,
  Color,
  DirectionalLight,
  Mesh,
  MeshBasicMaterial,
  NeutralToneMapping,
  PCFShadowMap,
  PerspectiveCamera,
  PMREMGenerator,
  Scene,
  SphereGeometry,
  WebGLRenderer,
  type WebGLRenderTarget,
} from "three";
import { embedded } from "../basics/remember";
import { Behind } from "./behind";
import type { Palette } from "./palette";
import { all, type Drawn, type Kind } from "./quality";
import { Underway } from "./underway";

/**
 * More than this is not drawn, so that a frame stays in time on graphics that are part of the processor, also on a very
 * dense screen: a little more than 2560 × 1600.
 */
const mostPixels = 4.2e6;

/** What a picture is made on: what the page has behind the arm, white, or nothing at all. */
export type Ground = "page" | "white" | "none";

/** Makes of the same picture on white and on black the one on nothing, in the first of the two. */
export function keepOpaque(white: Uint8ClampedArray, black: Uint8ClampedArray): void {
  for (let i = 0; i < white.length; i += 4) {
    const seen = 255 - Math.max(0, Math.min(white[i]! - black[i]!, white[i + 1]! - black[i + 1]!, white[i + 2]! - black[i + 2]!));
    for (let c = i; c < i + 3; c++) white[c] = seen === 0 ? 0 : (black[c]! * 255) / seen;
    white[i + 3] = seen;
  }
}

/** The canvas, the lights and the surroundings that the arm stands in. */
export class Stage {
  readonly scene = new Scene();
  /** What is read: it stands in front of all, and is never coarse. */
  readonly front = new Scene();
  readonly renderer: WebGLRenderer;
  private readonly key = new DirectionalLight("#fff4e2", 2);
  private readonly fill = new DirectionalLight("#e8ecf4", 0.8);
  private surroundings: WebGLRenderTarget | null = null;
  private quality: Drawn = all;
  private readonly behind = new Behind();
  private readonly seenFrom = new PerspectiveCamera(); // from where the last picture was drawn
  /** Pictures that are not drawn yet. */
  readonly underway: Underway<Kind>;

  /** Throws where WebGL 2 is missing. */
  constructor(host: HTMLElement) {
    this.renderer = new WebGLRenderer({ antialias: true, powerPreference: "high-performance" });
    this.renderer.setPixelRatio(Math.min(2, window.devicePixelRatio || 1));
    this.renderer.toneMapping = NeutralToneMapping;
    this.renderer.debug.checkShaderErrors = false; // asking for a program's errors waits until it is made
    this.renderer.info.autoReset = false; // one picture is drawn in two parts
    this.renderer.shadowMap.enabled = true;
    this.renderer.shadowMap.type = PCFShadowMap;
    // Shadows are drawn anew only when the arm has moved, not when the camera has.
    this.renderer.shadowMap.autoUpdate = false;
    const canvas = this.renderer.domElement;
    canvas.setAttribute("aria-hidden", "true"); // the host element carries the name
    canvas.style.display = "block";
    canvas.style.touchAction = embedded ? "pan-y" : "none"; // A finger that goes up or down scrolls the page around a frame.
    host.append(canvas);
    this.key.castShadow = true;
    this.key.shadow.mapSize.set(2048, 2048);
    this.key.shadow.radius = 9;
    this.scene.add(this.key, this.key.target, this.fill);
    this.underway = new Underway(this.renderer.getContext() as WebGL2RenderingContext);
    this.surround();
  }

  get canvas(): HTMLCanvasElement {
    return this.renderer.domElement;
  }

  /** Lights an arm of that size, which stands on a floor at that height. */
  setSize(reach: number, floor: number): void {
    const span = reach * 1.45;
    this.key.position.set(-0.9 * reach, 1.15 * reach, 2.4 * reach);
    this.key.target.position.set(0.15 * reach, 0, floor);
    this.fill.position.set(1.4 * reach, -1.6 * reach, 1.1 * reach);
    const { camera } = this.key.shadow;
    camera.left = camera.bottom = -span;
    camera.right = camera.top = span;
    camera.near = 0.2 * reach;
    camera.far = 6 * reach;
    camera.updateProjectionMatrix();
    this.key.shadow.bias = -0.0004;
    this.key.shadow.normalBias = reach * 0.0022;
  }

  setPalette(p: Palette): void {
    this.scene.background = new Color(p.background);
    this.scene.environmentIntensity = p.environment;
    this.key.intensity = p.key;
  }

  /** What the glaze mirrors: a bright room with large windows. Made anew after the graphics context was lost. */
  surround(): void {
    const room = new Scene();
    const wall = (color: string, brightness: number): MeshBasicMaterial =>
      new MeshBasicMaterial({ color: new Color(color).multiplyScalar(brightness), side: BackSide });
    const sky = new Mesh(new SphereGeometry(10, 24, 16), wall("#e9e4dc", 0.62));
    const ground = new Mesh(new BoxGeometry(19, 19, 0.5), wall("#b9aa94", 0.55));
    ground.position.z = -4;
    const windows = [
      [-6, 3, 4.5, 3.5, 8],
      [5, -6, 5, 2.5, 5],
      [0, 2, 8, 5, 3],
    ].map(([x, y, z, size, brightness]) => {
      const pane = new Mesh(new BoxGeometry(size, size, 0.1), wall("#fffaf0", brightness!));
      pane.position.set(x!, y!, z!);
      pane.lookAt(0, 0, 0);
      return pane;
    });
    room.add(sky, ground, ...windows);
    const generator = new PMREMGenerator(this.renderer);
    this.surroundings = generator.fromScene(room, 0.03);
    this.scene.environment = this.surroundings.texture;
    generator.dispose();
    room.traverse((o) => {
      if (!(o instanceof Mesh)) return;
      o.geometry.dispose();
      (o.material as MeshBasicMaterial).dispose();
    });
  }

  resize(width: number, height: number): void {
    const dense = Math.min(2, window.devicePixelRatio || 1, Math.sqrt(mostPixels / (width * height)));
    this.renderer.setPixelRatio(dense);
    this.renderer.setSize(width, height);
    if (this.quality.behind) this.show(); // A canvas of a new size is empty.
  }

  /** Draws less than it could, where the browser cannot keep up. */
  setQuality(quality: Drawn): void {
    const before = this.quality;
    this.quality = quality;
    if (quality.shadow !== before.shadow) {
      const { shadow } = this.key;
      shadow.mapSize.setScalar(quality.shadow);
      shadow.map?.dispose(); // made anew in that size; no graphics program changes by it
      shadow.map = null;
      this.renderer.shadowMap.needsUpdate = true;
    }
  }

  /** Makes the graphics programs of all that the scene holds, shown or not, so that showing it later is no wait. */
  prepare(camera: PerspectiveCamera): void {
    for (const scene of [this.scene, this.front]) this.renderer.compileAsync(scene, camera).catch(() => {}); // A lost context makes them anew when it draws.
  }

  /**
   * Draws a picture of so many pixels, of which so many are one of the page: on what is behind the arm there, on white, or on nothing. The canvas has
   * that size until it is resized.
   */
  picture(width: number, height: number, dense: number, camera: PerspectiveCamera, ground: Ground): HTMLCanvasElement {
    const { renderer, scene } = this;
    renderer.setPixelRatio(dense);
    renderer.setSize((width + 0.01) / dense, (height + 0.01) / dense, false); // as large on the page as before; rounded down to whole pixels
    renderer.shadowMap.needsUpdate = true;
    const before = scene.background;
    const drawn = (on: string | null): CanvasRenderingContext2D => {
      if (on) scene.background = new Color(on);
      renderer.render(scene, camera);
      this.drawFront(camera);
      const copy = document.createElement("canvas");
      [copy.width, copy.height] = [width, height];
      const g = copy.getContext("2d", { willReadFrequently: true })!;
      g.drawImage(renderer.domElement, 0, 0);
      return g;
    };
    const g = drawn(ground === "page" ? null : "#fff");
    if (ground === "none") {
      const white = g.getImageData(0, 0, width, height);
      // What is on black as it is on white hides what is behind it; what differs by all of it is nothing.
      keepOpaque(white.data, drawn("#000").getImageData(0, 0, width, height).data);
      g.putImageData(white, 0, 0);
    }
    scene.background = before;
    return g.canvas;
  }

  draw(camera: PerspectiveCamera, shadows: boolean, kind: Kind): void {
    if (shadows) this.renderer.shadowMap.needsUpdate = true;
    const given = performance.now();
    const { canvas, quality, renderer, scene } = this;
    renderer.info.reset();
    this.seenFrom.copy(camera, false);
    if (quality.behind) this.behind.draw(renderer, scene, camera, Math.ceil(canvas.width * quality.density), Math.ceil(canvas.height * quality.density), quality.smooth);
    else {
      renderer.render(scene, camera);
      this.drawFront(camera);
    }
    this.underway.add(given, kind);
  }

  /** Which pictures are drawn by now; the last of them is shown. */
  drawn(now: number): { ms: number; kind: Kind }[] {
    const drawn = this.underway.drawn(now);
    if (drawn.length > 0 && this.drawsBehind) this.show();
    return drawn;
  }

  /** Whether the picture is on the canvas only when it is done. */
  get drawsBehind(): boolean {
    return this.quality.behind;
  }

  private show(): void {
    this.behind.show(this.renderer);
    this.drawFront(this.seenFrom);
  }

  /** Draws what is read over what is on the canvas, as fine as that is. */
  private drawFront(camera: PerspectiveCamera): void {
    const { renderer } = this;
    renderer.autoClear = false;
    renderer.render(this.front, camera);
    renderer.autoClear = true;
  }

  dispose(): void {
    this.surroundings?.dispose();
    this.behind.dispose();
    this.key.shadow.dispose();
    this.renderer.dispose();
    this.canvas.remove();
  }
}
