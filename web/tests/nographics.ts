// A browser's graphics that take everything and draw nothing: filling in pixels is slow without a graphics card.

/** Run in a page before its own scripts. The graphics are those of the page's WebGL 2 as far as a script can see, but for the pixels. */
export function withoutGraphics(): void {
  const real = HTMLCanvasElement.prototype.getContext as (this: HTMLCanvasElement, kind: string, ...rest: unknown[]) => unknown;
  const made = new WeakMap<HTMLCanvasElement, object>();
  HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, kind: string, ...rest: unknown[]) {
    if (kind !== "webgl2") return real.call(this, kind, ...rest);
    if (!made.has(this)) made.set(this, nothing(this));
    return made.get(this);
  } as typeof HTMLCanvasElement.prototype.getContext;
  // What is made ahead in idle time, so that it is there when it is to be drawn, is made when it is asked for.
  window.requestIdleCallback = () => 0;

  function nothing(canvas: HTMLCanvasElement): object {
    const kind = WebGL2RenderingContext.prototype;
    const gl: object = Object.create(kind); // with all its constants
    const has = (name: string, value: unknown): void => void Object.defineProperty(gl, name, { value, configurable: true });
    for (const [name, { value }] of Object.entries(Object.getOwnPropertyDescriptors(kind))) {
      if (typeof value === "function") has(name, name.startsWith("create") ? () => ({}) : () => null);
    }
    has("canvas", canvas);
    for (const [name, side] of [["drawingBufferWidth", "width"], ["drawingBufferHeight", "height"]] as const) Object.defineProperty(gl, name, { get: () => canvas[side] });
    has("getContextAttributes", () => ({ alpha: true, antialias: true, depth: true, stencil: false, premultipliedAlpha: true }));
    has("getParameter", (what: number) => {
      if (what === kind.VERSION) return "WebGL 2.0";
      if (what === kind.SHADING_LANGUAGE_VERSION) return "WebGL GLSL ES 3.00";
      return what === kind.VIEWPORT || what === kind.SCISSOR_BOX ? [0, 0, canvas.width, canvas.height] : 16; // a bound of sizes and counts
    });
    has("getSupportedExtensions", () => []);
    has("getShaderPrecisionFormat", () => ({ precision: 23, rangeMin: 127, rangeMax: 127 }));
    // Programs are ready, and have nothing that could be set.
    has("getShaderParameter", () => true);
    has("getProgramParameter", (_: unknown, what: number) => (what === kind.LINK_STATUS ? true : 0));
    for (const log of ["getShaderInfoLog", "getProgramInfoLog"]) has(log, () => "");
    has("checkFramebufferStatus", () => kind.FRAMEBUFFER_COMPLETE);
    has("isContextLost", () => false);
    has("getError", () => kind.NO_ERROR);
    return gl;
  }
}
