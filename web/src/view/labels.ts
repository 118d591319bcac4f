import { Object3D, type PerspectiveCamera, Vector2 } from "three";

/** How a label looks. */
export interface LabelStyle {
  px: number; // height of the letters' line on the screen
  colour: string;
  halo?: string; // an outline, so that the letters stand out from whatever is behind
  plate?: string; // a filled rounded rectangle behind the letters
  edge?: string; // the plate's edge
  weight?: number;
}

/** Where a label stands, and which part of it stands there: 0 to 1 from its left and its lower edge. */
export class Anchor extends Object3D {
  readonly center = new Vector2(0.5, 0.5);
}

/** Text that always faces the viewer, always has the same size on the screen, and is in front of everything. A sheet draws it. */
export class Label {
  readonly object = new Anchor();
  /** Its picture. */
  readonly canvas = document.createElement("canvas");
  /** By how much it gives way to others, in parts of its own width and height. */
  readonly off = new Vector2();
  /** There is no room for it in the picture. */
  crowded = false;
  /** Counts how often it was drawn. */
  edition = 0;
  private drawn = "";
  private aspect = 1;

  constructor(
    public text: string,
    private style: LabelStyle,
  ) {
    this.object.renderOrder = 20;
    this.draw();
  }

  set(text: string, style: Partial<LabelStyle> = {}): void {
    this.text = text;
    this.style = { ...this.style, ...style };
    this.draw();
  }

  /** Sets the size for what the camera sees now. */
  fit(screen: Screen): void {
    const height = boxHeight(this.style) * scaleOf(screen, this.style.px) * screen.perPx;
    this.object.scale.set(height * this.aspect, height, 1);
  }

  private draw(): void {
    const { text, style } = this;
    const key = JSON.stringify([text, style]);
    if (key === this.drawn) return;
    this.drawn = key;
    const sharp = 4; // canvas pixels per CSS pixel, enough for the largest type on a dense screen
    const { canvas } = this;
    const g = canvas.getContext("2d")!;
    const font = `${style.weight ?? 700} ${style.px * sharp}px system-ui, sans-serif`;
    g.font = font;
    const height = boxHeight(style) * sharp;
    const width = Math.ceil(g.measureText(text).width + (style.plate ? 0.9 : 0.5) * style.px * sharp);
    canvas.width = width;
    canvas.height = Math.ceil(height);
    if (style.plate) {
      g.fillStyle = style.plate;
      g.beginPath();
      g.roundRect(0, 0, width, height, height * 0.3);
      g.fill();
      if (style.edge) {
        const thick = style.px * sharp * 0.14;
        g.strokeStyle = style.edge;
        g.lineWidth = thick;
        g.beginPath();
        g.roundRect(thick / 2, thick / 2, width - thick, height - thick, height * 0.3 - thick / 2);
        g.stroke();
      }
    }
    g.font = font;
    g.textAlign = "center";
    g.textBaseline = "alphabetic";
    const baseline = height * 0.5 + style.px * sharp * 0.36;
    if (style.halo) {
      g.strokeStyle = style.halo;
      g.lineWidth = style.px * sharp * 0.26;
      g.lineJoin = "round";
      g.strokeText(text, width / 2, baseline);
    }
    g.fillStyle = style.colour;
    g.fillText(text, width / 2, baseline);
    this.aspect = width / height;
    this.edition++;
  }

  dispose(): void {
    this.object.removeFromParent();
    [this.canvas.width, this.canvas.height] = [0, 0];
  }
}

/** What labels need to know of the canvas. */
export interface Screen {
  perPx: number; // size of a CSS pixel at distance 1 from the camera
  type: number; // type grows with the canvas, so that it is readable on a projector and not too big on a phone
  least: number; // no type is smaller than this, px
}

/** By how much type of that size is enlarged. */
export function scaleOf(screen: Screen, px: number): number {
  return Math.max(screen.type, screen.least / px);
}

export function screenOf(camera: PerspectiveCamera, width: number, height: number, least: number): Screen {
  return {
    perPx: (2 * Math.tan((camera.fov * Math.PI) / 360)) / height,
    type: Math.min(1.5, Math.max(0.82, Math.min(height, width * 1.6) / 720)),
    least,
  };
}

function boxHeight(style: LabelStyle): number {
  return style.px * 1.5;
}
