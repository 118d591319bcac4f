import { type BufferGeometry, Group, Mesh, Object3D, Vector3 } from "three";
import type { ArmMessage, Place } from "../wire";
import { type ArmForm, toolForm } from "./form";
import { metal, stoneware } from "./materials";
import { moveTo } from "./place";

/** The arm as drawn: seven links, each moved from its zero pose to where the bench says, the flange, and the tool. */
export class Arm {
  readonly object = new Group();
  readonly links: Group[] = [];
  readonly flange = new Object3D();
  private readonly shellMaterial = stoneware();
  private readonly metalMaterial = metal();
  private tool: Mesh | null = null;

  constructor(
    private readonly arm: ArmMessage,
    form: ArmForm,
  ) {
    for (const link of form.links) {
      const group = new Group();
      if (link.shell) group.add(solid(new Mesh(link.shell, this.shellMaterial)));
      if (link.fittings) group.add(solid(new Mesh(link.fittings, this.metalMaterial)));
      this.links.push(group);
      this.object.add(group);
    }
    moveTo(this.flange, arm.flange);
    this.links[6]!.add(this.flange);
  }

  /** Shows the tool of that name at the flange. */
  setTool(name: string): void {
    this.removeTool();
    const tool = this.arm.tools.find((t) => t.name === name);
    const shape = tool && toolForm(tool);
    if (!shape) return;
    this.tool = solid(new Mesh(shape, this.metalMaterial));
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
      if (!(o instanceof Mesh)) return;
      const geometry = o.geometry as BufferGeometry;
      if (!geometry.boundingBox) geometry.computeBoundingBox();
      const { min, max } = geometry.boundingBox!;
      for (const x of [min.x, max.x])
        for (const y of [min.y, max.y])
          for (const z of [min.z, max.z]) found.push(new Vector3(x, y, z).applyMatrix4(o.matrixWorld));
    });
    return found;
  }

  private removeTool(): void {
    this.tool?.geometry.dispose();
    this.tool?.removeFromParent();
    this.tool = null;
  }

  /** Frees what is the arm's own; the form belongs to whoever made it. */
  dispose(): void {
    this.removeTool();
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
