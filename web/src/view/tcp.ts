import { CanvasTexture, Group, Sprite, SpriteMaterial, SRGBColorSpace } from "three";
import { Label, scaleOf, type Screen } from "./labels";
import type { Palette } from "./palette";

/** The tool centre point: a dot in a ring, always seen, with what is to be told of it beside it. */
export class TCPMarker {
  readonly object = new Group();
  private readonly label = new Label("", { px: 13, colour: "#000", weight: 650 });
  private readonly sprite = new Sprite(
    new SpriteMaterial({ sizeAttenuation: false, depthTest: false, depthWrite: false, transparent: true, toneMapped: false }),
  );


  constructor() {
    this.sprite.renderOrder = 15;
    this.label.object.center.set(-0.13, 0.5);
    this.label.object.visible = false;
    this.object.add(this.sprite, this.label.object);
  }

  get labels(): Label[] {
    return [this.label];
  }

  /** Says something beside it; nothing for "". */
  tell(words: string): void {
    this.label.object.visible = words !== "";
    this.label.set(words);
  }

  setPalette(p: Palette): void {
    this.label.set(this.label.text, { colour: p.ink, plate: p.paper });
    const px = 96;
    const canvas = document.createElement("canvas");
    canvas.width = canvas.height = px;
    const g = canvas.getContext("2d")!;
    const circle = (radius: number): void => {
      g.beginPath();
      g.arc(px / 2, px / 2, radius * px, 0, 2 * Math.PI);
    };
    g.fillStyle = p.paper;
    circle(0.4);
    g.fill();
    g.strokeStyle = p.ink;
    g.lineWidth = 0.11 * px;
    circle(0.36);
    g.stroke();
    g.fillStyle = p.ink;
    circle(0.15);
    g.fill();
    this.sprite.material.map?.dispose();
    const map = new CanvasTexture(canvas);
    map.colorSpace = SRGBColorSpace;
    this.sprite.material.map = map;
    this.sprite.material.needsUpdate = true;
  }

  fit(screen: Screen): void {
    this.sprite.scale.setScalar(15 * scaleOf(screen, 21) * screen.perPx);
  }

  dispose(): void {
    this.label.dispose();
    this.sprite.material.map?.dispose();
    this.sprite.material.dispose();
  }
}
