import { CylinderGeometry, Group, Mesh, MeshBasicMaterial, Quaternion, Vector3 } from "three";
import type { Arm } from "./arm";
import type { ArmForm } from "./form";
import type { Palette } from "./palette";
import { hubReach, type Pointed, unseen } from "./pointing";

/** A tint over the link or the joint that is pointed at. */
export class Spot {
  private readonly group = new Group();
  private readonly tint = new MeshBasicMaterial({
    transparent: true,
    opacity: 0.42,
    depthWrite: false,
    polygonOffset: true,
    polygonOffsetFactor: -2,
    polygonOffsetUnits: -2,
    toneMapped: false,
  });
  private own: CylinderGeometry | null = null;

  setPalette(p: Palette): void {
    this.tint.color.set(p.joint);
  }

  /** Tints what is pointed at; nothing for null, or for what is neither a link nor a joint. */
  set(what: Pointed | null, arm: Arm | null, form: ArmForm | null): void {
    this.clear();
    if (!what || !arm || !form) return;
    if (what.kind === "link") {
      const { shell, fittings } = form.links[what.index]!;
      for (const shape of [shell, fittings]) if (shape) this.add(new Mesh(shape, this.tint));
      arm.links[what.index]!.add(this.group);
    } else if (what.kind === "joint") {
      const hub = form.hubs[what.index]!;
      const half = hubReach(hub);
      this.own = new CylinderGeometry(hub.radius * 1.1, hub.radius * 1.1, 2 * half, 48);
      const drum = new Mesh(this.own, this.tint);
      drum.position.copy(hub.centre);
      drum.quaternion.copy(new Quaternion().setFromUnitVectors(new Vector3(0, 1, 0), hub.axis));
      this.add(drum);
      arm.links[what.index]!.add(this.group);
    }
    this.group.updateMatrixWorld(true);
  }

  dispose(): void {
    this.clear();
    this.tint.dispose();
  }

  private add(mesh: Mesh): void {
    unseen(mesh);
    mesh.renderOrder = 4;
    this.group.add(mesh);
  }

  private clear(): void {
    this.group.removeFromParent();
    this.group.clear();
    this.own?.dispose();
    this.own = null;
  }
}
