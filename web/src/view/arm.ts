import { BackSide, type BufferGeometry, DoubleSide, FrontSide, Group, Mesh, Object3D, type SkinnedMesh, Vector3 } from "three";
import type { ArmMessage, Place } from "../wire";
import { type ArmForm, cornersOf } from "./form";
import { metal, stoneware } from "./materials";
import { type Carried, carriedMesh, carriedShape, pointedAt, skeletonOf } from "./merged";
import { matrixOf, moveTo } from "./place";
import { means } from "./pointing";

/**
 * The arm as drawn: seven links, each moved from its measured pose to where the bench says, the flange, and the tool. All
 * castings are drawn as one, and all turned parts; what is pointed at are the links one by one.
 */
export class Arm {
  readonly object = new Group();
  readonly drawn = new Group();
  readonly links: Group[] = [];
  readonly flange = new Object3D();
  private readonly shellMaterial = stoneware();
  private readonly metalMaterial = metal();
  private readonly shells: SkinnedMesh;
  private readonly fittings: SkinnedMesh;
  private tool: Mesh | null = null;
  private held: BufferGeometry | null = null; // as it is drawn

  constructor(
    private readonly arm: ArmMessage,
    private form: ArmForm,
  ) {
    for (const [index, link] of form.links.entries()) {
      const group = new Group();
      means(group, { kind: "link", index });
      for (const shape of [link.shell, link.fittings]) if (shape) group.add(pointedAt(new Mesh(shape)));
      this.links.push(group);
      this.object.add(group);
    }
    moveTo(this.flange, arm.flange);
    this.links[6]!.add(this.flange);
    const skeleton = skeletonOf(this.links);
    this.shells = solid(carriedMesh(this.cast(), this.shellMaterial, skeleton));
    this.fittings = solid(carriedMesh(this.turned(), this.metalMaterial, skeleton));
    this.drawn.add(this.shells, this.fittings);
  }

  /** Draws the links as other shapes. What is pointed at stays. */
  dress(form: ArmForm): void {
    this.form = form;
    this.shells.geometry.dispose();
    this.shells.geometry = this.cast();
    this.shells.visible = form.links.some((link) => link.shell);
    // Nobody knows which side of a file's triangles is out. Shadows are thrown by one side all the same, or it would shade itself in stripes.
    this.metalMaterial.side = form.found ? DoubleSide : FrontSide;
    this.metalMaterial.shadowSide = BackSide;
    this.metalMaterial.needsUpdate = true;
  }

  /** Shows a tool at the flange, or none, drawn as another shape where there is one. */
  setTool(shape: BufferGeometry | null, name: string, drawn = shape): void {
    this.tool?.removeFromParent();
    this.tool = shape && pointedAt(new Mesh(shape));
    this.held = drawn;
    this.fittings.geometry.dispose();
    this.fittings.geometry = this.turned();
    if (!this.tool) return;
    means(this.tool, { kind: "tool", name });
    this.flange.add(this.tool);
  }

  /** The castings in one. */
  private cast(): BufferGeometry {
    return carriedShape(carried(this.form, "shell"), ["position", "normal", "shade", "dip"]);
  }

  /** The turned parts in one, the tool among them, which the last link carries. */
  private turned(): BufferGeometry {
    const parts = carried(this.form, "fittings");
    const held = this.held?.clone().applyMatrix4(matrixOf(this.arm.flange));
    if (held) parts.push({ shape: held, by: 6 });
    const whole = carriedShape(parts, ["position", "normal", "color"]);
    held?.dispose();
    return whole;
  }

  /** Moves every link to its place. */
  pose(places: readonly Place[]): void {
    this.links.forEach((link, i) => moveTo(link, places[i]!));
    this.object.updateMatrixWorld(true);
  }

  /** Corners of boxes around the links as they stand: enough to know what the camera must see. */
  corners(): Vector3[] {
    const found: Vector3[] = [];
    this.object.traverse((o) => {
      if (o instanceof Mesh) found.push(...cornersOf([o.geometry]).map((p) => p.applyMatrix4(o.matrixWorld)));
    });
    return found;
  }

  /** Points all over its surface, few enough to be seen to one by one. */
  outline(): Vector3[] {
    const found: Vector3[] = [];
    this.object.traverse((o) => {
      if (!(o instanceof Mesh)) return;
      const points = o.geometry.getAttribute("position");
      const every = Math.max(1, Math.floor(points.count / 160));
      for (let i = 0; i < points.count; i += every) found.push(new Vector3().fromBufferAttribute(points, i).applyMatrix4(o.matrixWorld));
    });
    return found;
  }

  /** Frees what is the arm's own; the shapes of the single links belong to whoever made them. */
  dispose(): void {
    for (const part of [this.shells, this.fittings]) {
      part.geometry.dispose();
      part.skeleton.dispose();
    }
    this.shellMaterial.dispose();
    this.metalMaterial.dispose();
    this.object.removeFromParent();
    this.drawn.removeFromParent();
  }
}

/** Which shapes of that kind the links carry. */
function carried(form: ArmForm, kind: "shell" | "fittings"): Carried[] {
  return form.links.flatMap((link, by) => (link[kind] ? [{ shape: link[kind], by }] : []));
}

function solid(mesh: SkinnedMesh): SkinnedMesh {
  mesh.castShadow = true;
  mesh.receiveShadow = true;
  return mesh;
}
