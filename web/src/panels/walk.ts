import { byId, write } from "../basics/dom";
import { MINUS } from "../basics/format";
import { say } from "../basics/say";
import { length, lengthWithUnit, unitSign } from "../basics/units";
import type { WalkChoice } from "../view/walk";
import { frameName } from "../basics/words";
import type { ArmMessage, CellMessage } from "../wire";

/** What a tape measure does not tell apart, mm. */
const TAPE_MM = 0.05;

/** Where the origin is that a coordinate walk begins at, in words under the numbers. */
export class WalkWords {
  private readonly line = byId("walk-says");
  private arm: ArmMessage | null = null;
  private cell: CellMessage | null = null;

  setArm(arm: ArmMessage): void {
    this.arm = arm;
  }

  setCell(cell: CellMessage): void {
    this.cell = cell;
  }

  show(choice: WalkChoice | null): void {
    this.line.hidden = choice === null;
    if (choice && this.arm && this.cell) write(this.line, `${this.origin(choice, this.arm, this.cell)} ${ends(choice)}`);
  }

  private origin({ inFrame }: WalkChoice, arm: ArmMessage, cell: CellMessage): string {
    const at = (p: readonly [number, number, number]) => {
      const [x, y, z] = p.map((mm) => length(mm)) as [string, string, string];
      return { x, y, z, unit: unitSign() };
    };
    const frame = frameName(inFrame);
    if (inFrame.frame === "task") {
      const task = cell.tasks.find((t) => t.name === inFrame.task);
      return task ? say("walk.task", { frame, ...at(task.place.p) }) : "";
    }
    if (inFrame.frame === "world" && cell.id) return say("walk.world", at(cell.base.p));
    const values = {
      arm: arm.name,
      height: lengthWithUnit(arm.mount_height_mm),
      below: MINUS + lengthWithUnit(arm.mount_height_mm),
      off: lengthWithUnit(arm.origin.from_j1_mm),
    };
    const same = inFrame.frame === "world" ? `${say("walk.world.alone")} ` : "";
    if (arm.origin.from_j1_mm > TAPE_MM) return same + say("walk.base.elsewhere", values);
    if (arm.mount_height_mm < TAPE_MM) return same + say("walk.base.surface", values);
    if (Math.abs(arm.origin.below_joint2_mm) < TAPE_MM) return same + say("walk.base.joint2", values);
    return same + say("walk.base.j1", values);
  }
}

const ends = ({ of }: WalkChoice): string => say(`walk.to.${of}`);
