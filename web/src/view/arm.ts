import { type BufferGeometry, Group, Mesh, Object3D, type Vector3 } from "three";
import type { ArmMessage, Place } from "../wire";
import { type ArmForm, cornersOf } from "./form";
import { metal, stoneware } from "./materials";
import { moveTo } from "./place";
import { means } from "./pointing";

/** The arm as drawn: seven links, each moved from its zero pose to where the bench says, the flange, and the tool. */
export class Arm {
  readonly object = new Group();
  readonly links: Group[] = [];
  readonly flange = new Object3D();
  private readonly shellMaterial = stoneware();
  private readonly metalMaterial = metal();
  private tool: Mesh | null = null;

  constructor(
    arm: ArmMessage,
    form: ArmForm,
  ) {
    for (const [index, link] of form.links.entries()) {
      const group = new Group();
      means(group, { kind: "link", index });
      if (link.shell) group.add(solid(new Mesh(link.shell, this.shellMaterial)));
      if (link.fittings) group.add(solid(new Mesh(link.fittings, this.metalMaterial)));
      this.links.push(group);
      this.object.add(group);
    }
    moveTo(this.flange, arm.flange);
    this.links[6]!.add(this.flange);
  }

  /** Shows a tool at the flange, or none. */
  setTool(shape: BufferGeometry | null, name: string): void {
    this.tool?.removeFromParent();
    this.tool = shape && solid(new Mesh(shape, this.metalMaterial));
    if (!this.tool) return;
    means(this.tool, { kind: "tool", name });
    this.flange.add(this.tool);
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

  /** Frees what is the arm's own; the shapes belong to whoever made them. */
  dispose(): void {
    this.shellMaterial.dispose();
    this.metalMaterial.dispose();
    this.object.removeFromParent();
  }
}

function solid(mesh: Mesh): Mesh {
  mesh.castShadow = true;
  mesh.receiveShadow = true;
  return mesh;
}
