import { BufferAttribute, BufferGeometry, Camera, LinearFilter, Mesh, type PerspectiveCamera, type Scene, ShaderMaterial, SRGBColorSpace, WebGLRenderTarget, type WebGLRenderer } from "three";

const SAMPLES = 4; // as many as browsers take for what they show

/**
 * The next picture, drawn where nobody sees it, and brought to the canvas when it is done. What is on the canvas a browser takes when it
 * shows its next frame; one that has no graphics chip waits for it, and hears no key come up meanwhile.
 */
export class Behind {
  private readonly target = new WebGLRenderTarget(1, 1, { samples: SAMPLES, colorSpace: SRGBColorSpace, internalFormat: "RGBA8", magFilter: LinearFilter, minFilter: LinearFilter, resolveDepthBuffer: false });
  private readonly sheet: Mesh<BufferGeometry, ShaderMaterial>;
  private readonly camera = new Camera();

  constructor() {
    // Colours are made as for the canvas, by the same graphics programs, and stored as they are.
    Object.assign(this.target, { isXRRenderTarget: true });
    const corners = new BufferAttribute(new Float32Array([-1, -1, 0, 3, -1, 0, -1, 3, 0]), 3);
    const material = new ShaderMaterial({ uniforms: { picture: { value: this.target.texture } }, vertexShader, fragmentShader, depthTest: false, depthWrite: false, toneMapped: false });
    this.sheet = new Mesh(new BufferGeometry().setAttribute("position", corners), material);
    this.sheet.frustumCulled = false;
  }

  /** Draws a picture of so many pixels, with smooth edges or without. */
  draw(renderer: WebGLRenderer, scene: Scene, camera: PerspectiveCamera, width: number, height: number, smooth: boolean): void {
    const samples = smooth ? SAMPLES : 0;
    if (samples !== this.target.samples) this.target.dispose(); // made anew when it is drawn on
    this.target.samples = samples;
    this.target.setSize(width, height);
    renderer.setRenderTarget(this.target);
    renderer.render(scene, camera);
    renderer.setRenderTarget(null);
  }

  /** Brings it to the canvas, as large as that is. */
  show(renderer: WebGLRenderer): void {
    renderer.render(this.sheet, this.camera);
  }

  dispose(): void {
    this.target.dispose();
    this.sheet.geometry.dispose();
    this.sheet.material.dispose();
  }
}

const vertexShader = /* glsl */ `
varying vec2 at;
void main() {
  at = 0.5 * position.xy + 0.5;
  gl_Position = vec4(position.xy, 0.0, 1.0);
}`;

const fragmentShader = /* glsl */ `
uniform sampler2D picture;
varying vec2 at;
void main() {
  gl_FragColor = vec4(texture2D(picture, at).rgb, 1.0);
}`;
