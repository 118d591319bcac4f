import { byId, within, write } from "../basics/dom";
import { degrees, delta, jointDemand, jointSpeed, limit, rests } from "../basics/words";
import type { State } from "../link/state";
import type { ArmMessage, Ghost, JointView } from "../wire";

/** A share of the joint travel below this is no work worth showing. */
const IDLE_SHARE = 0.002;
/** A turn of less than this, in degrees, is told as 0.00°: none, also where a jog is refused. */
const LEAST_DEG = 0.005;
/** A joint this near a limit, in degrees, is marked. */
const NEAR_LIMIT_DEG = 2;

/** One joint: its angle within its limits, its speed, and its part in the next step. */
class JointRow {
  private readonly name: HTMLElement;
  private readonly track: HTMLElement;
  private readonly pin: HTMLElement;
  private readonly pinNext: HTMLElement;
  private readonly reachNext: HTMLElement;
  private readonly zero: HTMLElement;
  private readonly angle: HTMLElement;
  private readonly delta: HTMLElement;
  private readonly shareBar: HTMLElement;
  private readonly low: HTMLElement;
  private readonly high: HTMLElement;
  private readonly speedBar: HTMLElement;
  private readonly demand: HTMLElement;
  private readonly speed: HTMLElement;
  private limits: [number, number] = [-180, 180];
  private max = 1;
  private at = 0;
  private ahead = 0;

  constructor(private readonly root: HTMLElement) {
    const part = (selector: string) => within(root, selector);
    this.name = part(".joint-name");
    this.track = part(".joint-track");
    this.pin = part(".pin");
    this.pinNext = part(".pin-next");
    this.reachNext = part(".reach-next");
    this.zero = part(".zero");
    this.angle = part(".joint-angle");
    this.delta = part(".delta");
    this.shareBar = part(".share-bar > span");
    this.low = part(".low");
    this.high = part(".high");
    this.speedBar = part(".speed-bar > span");
    this.demand = part(".demand");
    this.speed = part(".joint-speed");
  }

  setJoint(joint: JointView): void {
    this.limits = joint.limits_deg;
    this.max = joint.speed_deg_s;
    write(this.name, joint.name);
    write(this.low, limit(this.limits[0]));
    write(this.high, limit(this.limits[1]));
    this.zero.style.left = this.along(0);
    this.zero.hidden = this.limits[0] > 0 || this.limits[1] < 0;
    this.track.setAttribute("aria-label", joint.name);
    this.track.setAttribute("aria-valuemin", this.limits[0].toFixed(1));
    this.track.setAttribute("aria-valuemax", this.limits[1].toFixed(1));
  }

  setState(angle: number, speed: number, demand: number): void {
    this.at = angle;
    write(this.angle, degrees(angle));
    this.track.setAttribute("aria-valuenow", angle.toFixed(2));
    this.track.setAttribute("aria-valuetext", degrees(angle));
    this.pin.style.left = this.along(angle);
    this.low.classList.toggle("at-limit", angle < this.limits[0] + NEAR_LIMIT_DEG);
    this.high.classList.toggle("at-limit", angle > this.limits[1] - NEAR_LIMIT_DEG);

    const part = Math.min(1, Math.abs(speed) / this.max) * 50;
    this.speedBar.style.width = `${part}%`;
    this.speedBar.style.left = speed < 0 ? `${50 - part}%` : "50%";
    // What the chosen speed would need of this joint, and by how much that is too much.
    const over = Math.abs(demand) > this.max * 1.005;
    this.demand.style.left = `${50 + 50 * Math.max(-1, Math.min(1, demand / this.max))}%`;
    this.root.classList.toggle("over", over);
    this.root.classList.toggle("turning", Math.abs(speed) > 0.005 || over);
    write(this.speed, over ? jointDemand(demand, this.max) : jointSpeed(speed, this.max));
    this.drawAhead();
  }

  /** Its change over the next step and its share of the work, or null where nothing is aimed at. */
  setNext(next: { delta: number; share: number } | null): void {
    this.ahead = next?.delta ?? 0;
    const works = !!next && next.share > IDLE_SHARE && Math.abs(next.delta) >= LEAST_DEG;
    this.root.classList.toggle("works", works);
    write(this.delta, next ? (works ? delta(next.delta) : rests()) : "");
    this.shareBar.style.width = works ? `${next.share * 100}%` : "0";
    this.drawAhead();
  }

  /** Plus, or minus where plus would soon end at the limit. */
  get free(): number {
    return this.at > this.limits[1] - NEAR_LIMIT_DEG ? -1 : 1;
  }

  private drawAhead(): void {
    if (this.ahead === 0) return; // not shown
    const end = this.at + this.ahead;
    this.pinNext.style.left = this.along(end);
    this.reachNext.style.left = this.along(Math.min(this.at, end));
    this.reachNext.style.right = `calc(100% - ${this.along(Math.max(this.at, end))})`;
  }

  private along(angle: number): string {
    const [low, high] = this.limits;
    return `${Math.min(100, Math.max(0, ((angle - low) / (high - low)) * 100))}%`;
  }
}

export class JointsPanel {
  private readonly heads = within(byId("joints"), ".joint-heads");
  private readonly rows: JointRow[];

  /** A row that is pressed leads to its joint's buttons. */
  constructor(toJoint: (joint: number) => void) {
    this.rows = [...byId("joints").querySelectorAll<HTMLElement>(".joint")].map((root, joint) => {
      root.addEventListener("click", () => toJoint(joint));
      return new JointRow(root);
    });
  }

  setArm(arm: ArmMessage): void {
    arm.joints.forEach((joint, i) => this.rows[i]?.setJoint(joint));
  }

  /** In which direction a joint leads away from the limit it is at; plus where it is at none. */
  free(joint: number): number {
    return this.rows[joint]?.free ?? 1;
  }

  setState(state: State): void {
    this.rows.forEach((row, i) => row.setState(state.joints_deg[i]!, state.speeds_deg_s[i]!, state.demand_deg_s[i]!));
  }

  setGhost(ghost: Ghost): void {
    this.heads.classList.toggle("told", ghost.direction !== null);
    this.rows.forEach((row, i) => row.setNext(ghost.direction && { delta: ghost.delta_deg[i]!, share: ghost.share[i]! }));
  }
}
