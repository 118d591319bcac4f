import { BufferAttribute, type BufferGeometry, Color, Group, Mesh, MeshBasicMaterial, type PerspectiveCamera, Quaternion, SphereGeometry, TorusGeometry, Vector3 } from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";
import { Mark, straightArrow, turningArrow } from "./arrows";
import { Label, scaleOf, type Screen } from "./labels";
import type { Palette } from "./palette";
import { turnFromZ } from "./place";
import { type Free, roomAround } from "./prediction";

type V3 = readonly [number, number, number];

/** What a class has answered. */
export interface Answered {
  at: V3; // in the base frame
  turn: boolean; // the arrows are axes of turns
  arrows: readonly V3[]; // unit vectors in the base frame
  /** In the order of their colours; the name says how many. */
  groups: readonly { arrow: V3 | null; name: string }[];
  truth: V3 | null;
  truthName: string;
}

const RADIUS_PX = 105;
const LEAST_PX = 40;
/** An arrow that is farther than this from the mean of every group is of none that has one. */
const GROUP = Math.PI / 4;

/**
 * What a class has answered, as arrows on the ball: each answer thin and translucent, so that many in one place are dense; the mean of
 * each group bold, in the group's colour, with its name. What the arm does stands out from all of them.
 */
export class Crowd {
  readonly object = new Group();
  readonly labels: Label[] = [];
  private readonly ball = new Group(); // of radius 1
  private readonly glass = new Mesh(new SphereGeometry(1, 48, 32), new MeshBasicMaterial({ transparent: true, opacity: 0.1, depthWrite: false, toneMapped: false }));
  private readonly outline = new Mark(new TorusGeometry(1, 0.01, 10, 96));
  private readonly each = new Mark(); // all answers as one shape
  private readonly means: Mark[] = [];
  private readonly truth = new Mark(straightArrow(1.18, 0.045));
  private answered: Answered | null = null;
  private palette: Palette | null = null;

  constructor() {
    this.ball.add(this.glass, this.outline.object, this.each.object, this.truth.object);
    this.object.add(this.ball);
    this.object.visible = false;
  }

  /** Shows the answers; null for none. */
  set(answered: Answered | null): void {
    this.answered = answered;
    this.object.visible = answered !== null;
    this.draw();
  }

  setPalette(p: Palette): void {
    this.palette = p;
    this.glass.material.color.set(p.ink);
    this.outline.setColour(p.ink, 0.6, 0.6);
    this.truth.setColour(p.ink, 1, 0.8);
    this.draw();
  }

  /** Keeps the ball the same size on the screen, its outline round and the names at the tips. */
  fit(camera: PerspectiveCamera, screen: Screen, free: Free): void {
    if (!this.answered) return;
    const centre = this.object.getWorldPosition(new Vector3());
    const depth = centre.clone().sub(camera.position).dot(camera.getWorldDirection(new Vector3()));
    const px = Math.min(RADIUS_PX * scaleOf(screen, RADIUS_PX), Math.max(LEAST_PX, roomAround(centre.clone().project(camera), free)));
    const radius = px * screen.perPx * Math.max(depth, 1);
    this.ball.scale.setScalar(radius);
    const back = this.object.getWorldQuaternion(new Quaternion()).invert();
    this.outline.object.quaternion.copy(back).multiply(camera.quaternion);
    const toScreen = camera.quaternion.clone().invert().multiply(back.invert());
    for (const { object } of this.labels) {
      const way = object.userData["way"] as Vector3;
      object.position.copy(way).multiplyScalar(radius * (way.length() > 0 ? 1.1 : 0));
      const tip = way.clone().applyQuaternion(toScreen);
      object.center.set(0.5 - 0.6 * tip.x, 0.5 - 0.8 * tip.y);
    }
  }

  private draw(): void {
    const { answered, palette } = this;
    for (const part of [...this.means, ...this.labels]) {
      part.object.removeFromParent();
      part.dispose();
    }
    this.means.length = this.labels.length = 0;
    this.truth.object.visible = !!answered?.truth;
    if (!answered || !palette) return;
    this.object.position.fromArray(answered.at);
    const colour = (group: number): string => (group < 0 ? palette.ghost : palette.crowd[group % palette.crowd.length]!);
    const means = answered.groups.map((g) => g.arrow && new Vector3().fromArray(g.arrow));
    const groupOf = (arrow: Vector3): number => {
      const angles = means.map((mean) => (mean ? mean.angleTo(arrow) : Infinity));
      const least = Math.min(...angles);
      return least < GROUP ? angles.indexOf(least) : -1;
    };
    const thin = straightArrow(1, 0.011);
    const shapes = answered.arrows.map((v) => {
      const way = new Vector3().fromArray(v);
      return coloured(thin.clone().applyQuaternion(turnFromZ(way)), colour(groupOf(way)));
    });
    thin.dispose();
    this.each.object.visible = shapes.length > 0;
    if (shapes.length > 0) {
      this.each.setShape(mergeGeometries(shapes));
      this.each.setColour(null, 0.38, 0.6);
    }
    for (const shape of shapes) shape.dispose();
    answered.groups.forEach((group, i) => {
      const mean = means[i];
      if (!mean) return;
      const straight = straightArrow(1, 0.026);
      const mark = new Mark(answered.turn ? mergeGeometries([straight, turningArrow(0.4, 0.026, 1.6 * Math.PI).translate(0, 0, 0.35)]) : straight);
      mark.object.quaternion.copy(turnFromZ(mean));
      mark.setColour(colour(i), 1, 0.8);
      this.ball.add(mark.object);
      this.means.push(mark);
      this.name(group.name, mean, colour(i), palette);
    });
    if (!answered.truth) return;
    const truth = new Vector3().fromArray(answered.truth);
    this.truth.object.quaternion.copy(turnFromZ(truth));
    this.name(answered.truthName, truth.clone().multiplyScalar(1.15), palette.ink, palette);
  }

  private name(text: string, way: Vector3, colour: string, p: Palette): void {
    const label = new Label(text, { px: 15, colour: p.paper, plate: colour, weight: 800 });
    label.object.renderOrder = 30;
    label.object.userData["way"] = way;
    this.object.add(label.object);
    this.labels.push(label);
  }

  dispose(): void {
    this.glass.geometry.dispose();
    this.glass.material.dispose();
    for (const part of [this.outline, this.each, this.truth, ...this.means, ...this.labels]) part.dispose();
  }
}

/** A shape whose vertices have a colour. */
function coloured(shape: BufferGeometry, colour: string): BufferGeometry {
  const { r, g, b } = new Color(colour);
  const count = shape.getAttribute("position").count;
  const colours = new Float32Array(count * 3);
  for (let i = 0; i < count; i++) colours.set([r, g, b], i * 3);
  shape.setAttribute("color", new BufferAttribute(colours, 3));
  return shape;
}
