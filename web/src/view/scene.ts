import {
  BackSide,
  BoxGeometry,
  Color,
  DirectionalLight,
  Mesh,
  MeshBasicMaterial,
  NeutralToneMapping,
  PCFShadowMap,
  type PerspectiveCamera,
  PMREMGenerator,
  Scene,
  SphereGeometry,
  WebGLRenderer,
  type WebGLRenderTarget,
} from "three";
import type { Palette } from "./palette";
import type { Drawn } from "./quality";

/**
 * More than this is not drawn, so that a frame stays in time on graphics that are part of the processor, also on a very
 * dense screen: a little more than 2560 × 1600.
 */
const mostPixels = 4.2e6;

/** The canvas, the lights and the surroundings that the arm stands in. */
export class Stage {
  readonly scene = new Scene();
  readonly renderer: WebGLRenderer;
  private readonly key = new DirectionalLight("#fff4e2", 2);
  private readonly fill = new DirectionalLight("#e8ecf4", 0.8);
  private surroundings: WebGLRenderTarget | null = null;
  private size = { width: 1, height: 1 };
  private quality: Drawn = { density: 1, shadow: 2048 };

  /** Throws where WebGL 2 is missing. */
  constructor(host: HTMLElement) {
    this.renderer = new WebGLRenderer({ antialias: true, powerPreference: "high-performance" });
    this.renderer.setPixelRatio(Math.min(2, window.devicePixelRatio || 1));
    this.renderer.toneMapping = NeutralToneMapping;
    this.renderer.debug.checkShaderErrors = false; // asking for a program's errors waits until it is made
    this.renderer.shadowMap.enabled = true;
    this.renderer.shadowMap.type = PCFShadowMap;
    // Shadows are drawn anew only when the arm has moved, not when the camera has.
    this.renderer.shadowMap.autoUpdate = false;
    const canvas = this.renderer.domElement;
    canvas.setAttribute("aria-hidden", "true"); // the host element carries the name
    canvas.style.display = "block";
    canvas.style.touchAction = "none";
    host.append(canvas);
    this.key.castShadow = true;
    this.key.shadow.mapSize.set(2048, 2048);
    this.key.shadow.radius = 9;
    this.scene.add(this.key, this.key.target, this.fill);
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
    this.size = { width, height };
    const dense = Math.min(2, window.devicePixelRatio || 1, Math.sqrt(mostPixels / (width * height)));
    this.renderer.setPixelRatio(dense * this.quality.density);
    this.renderer.setSize(width, height);
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
    if (quality.density !== before.density) this.resize(this.size.width, this.size.height);
  }

  /** Makes the graphics programs of all that the scene holds, shown or not, so that showing it later is no wait. */
  prepare(camera: PerspectiveCamera): void {
    this.renderer.compileAsync(this.scene, camera).catch(() => {}); // A lost context makes them anew when it draws.
  }

  draw(camera: PerspectiveCamera, shadows: boolean): void {
    if (shadows) this.renderer.shadowMap.needsUpdate = true;
    this.renderer.render(this.scene, camera);
  }

  dispose(): void {
    this.surroundings?.dispose();
    this.key.shadow.dispose();
    this.renderer.dispose();
    this.canvas.remove();
  }
}
