import { type Aim, same } from "../input/aim";
import { byId, tell, within, write } from "../basics/dom";
import { say } from "../basics/say";
import { directionName, jointAt, halfText, letterOf, NO_ROOM, pairBrief, pairText, roomText, way } from "../basics/words";
import type { Direction, Frame, RoomMessage } from "../wire";

export interface StripEvents {
  /** A button was pressed: make a step, or begin a hold. */
  press: (direction: Direction, holder: string) => void;
  /** What holds a button has let go. */
  release: (holder: string) => void;
  /** A press without duration, as a screen reader makes it. */
  tap: (direction: Direction) => void;
  /** A button is kept down in steps, as if the arm would go on. */
  keptDown: (direction: Direction) => void;
  /** Whether a press lasts as long as it is held. */
  holding: () => boolean;
}

/** A finger or mouse may wander this far off a held button before it counts as let go. */
const SLOP_PX = 10;
const KEPT_MS = 600; // from which a press in steps looks as if it were held

const TICK_RATE = 250; // ticks a second
const AGE_TOLD_S = 0.2; // a room that is younger is as good as new
const AGE_SHOWN_S = 2; // an older one is not shown

/** The six pairs of jog buttons. */
export class Strip {
  private frame: Frame = "joint";
  private task = "";
  private room: RoomMessage | null = null;
  private roomShown = true;
  private aimed: Direction | null = null;
  private joints_deg: readonly number[] = []; // where they are, also while another frame is active
  private pointer: [number, number] = [-1, -1]; // where it was last
  private came: Element | null = null; // the button that came to lie under it
  private going: { joint: number; sign: number } | null = null; // the button to choose when its frame is the active one
  private readonly root = byId("strip");
  private readonly buttons = [...this.root.querySelectorAll<HTMLButtonElement>(".jog")];
  private readonly titles = [...this.root.querySelectorAll<HTMLElement>(".pairs-title")];
  private readonly angles = [...this.root.querySelectorAll<HTMLElement>(".pair-at")];
  private readonly pairs = [...this.root.querySelectorAll<HTMLElement>(".pair")];

  constructor(
    private readonly aim: Aim,
    private readonly events: StripEvents,
  ) {
    for (const button of this.buttons) this.listen(button);
    this.root.addEventListener("contextmenu", (event) => event.preventDefault());
    document.addEventListener("pointermove", (event) => (this.pointer = [event.clientX, event.clientY]), { capture: true, passive: true });
    // What was chosen by keys stays in hand when they lead elsewhere, and looks less pressing than what has the focus then.
    document.addEventListener("focusin", (event) => {
      const target = event.target as Element;
      this.root.classList.toggle("left", !target.matches(".jog") && target.matches(":focus-visible"));
    });
  }

  setFrame(frame: Frame, task: string): void {
    this.frame = frame;
    this.task = task;
    this.forgetRoom();
    this.root.dataset["frame"] = frame;
    this.titles.forEach((title, half) => write(title, halfText(frame, half)));
    this.pairs.forEach((pair, axis) => {
      const letter = frame === "joint" ? "" : letterOf(axis);
      const chip = within(pair, ".chip");
      chip.className = letter ? `chip chip-${letter}` : "chip";
      write(chip, letter || `J${axis + 1}`);
      write(within(pair, ".pair-text"), pairBrief(frame, axis));
      pair.setAttribute("aria-label", `${letter} ${pairText(frame, axis)}`.trim());
    });
    for (const button of this.buttons) {
      const direction = this.directionOf(button);
      button.setAttribute("aria-label", directionName(direction));
      write(within(button, ".way"), way(direction));
    }
    this.showJoints();
    if (frame === "joint" && this.going) this.choosePair(this.going.joint, this.going.sign);
    this.going = null;
  }

  /** The arm waits for something else: the buttons look it, and a press says for what. */
  setWaits(waits: boolean): void {
    for (const button of this.buttons) button.ariaDisabled = waits ? "true" : null;
  }

  /** Marks the button whose direction is in hand, and the one whose direction moves. */
  mark(aimed: Direction | null, moving: Direction | null): void {
    if (!same(aimed, this.aimed)) this.root.classList.remove("left");
    this.aimed = aimed;
    for (const button of this.buttons) {
      const is = (d: Direction | null) => !!d && d.frame === this.frame && d.axis === axisOf(button) && d.sign === signOf(button);
      button.classList.toggle("aimed", is(aimed));
      button.classList.toggle("moving", is(moving));
    }
  }

  /** Whether the buttons show their room; a lesson may do without, and it would give a prediction away. */
  setRoomShown(shown: boolean): void {
    if (shown === this.roomShown) return;
    this.roomShown = shown;
    this.forgetRoom();
    if (this.room) this.setRoom(this.room);
  }

  /** The buttons have come back: the one that lies under the pointer now is not pointed at before the pointer leaves it, or presses. */
  comeBack(): void {
    this.came = document.elementFromPoint(...this.pointer)?.closest(".jog") ?? null;
  }

  /** Shows on every button how far it can go from here, and what stops it there. */
  setRoom(message: RoomMessage): void {
    this.room = message;
    if (!this.roomShown) return;
    for (const button of this.buttons) {
      const text = roomText(this.directionOf(button), message);
      if (!text) continue;
      const none = text.free < NO_ROOM;
      write(within(button, ".room"), none && text.brief ? text.brief : text.short);
      tell(button, "aria-description", text.long);
      button.classList.toggle("no-room", none);
      button.classList.toggle("some-room", !none && text.brief !== "");
    }
  }

  /** Why a direction cannot be gone at all, where its room is shown; "" where it can. */
  blocked(direction: Direction): string {
    const text = this.room && this.roomShown && roomText(direction, this.room);
    return text && text.free < NO_ROOM ? text.long : "";
  }

  /** Says where each joint is, beside its name while joints are what is jogged. */
  setJoints(joints_deg: readonly number[]): void {
    this.joints_deg = joints_deg;
    this.showJoints();
  }

  private showJoints(): void {
    if (this.frame !== "joint") return; // they are not seen
    this.joints_deg.forEach((deg, joint) => write(this.angles[joint]!, jointAt(deg)));
  }

  /** Says how old the room is where the arm has moved on since; one that is too old is not shown. */
  setTick(tick: number): void {
    const age = this.room ? (tick - this.room.tick) / TICK_RATE : 0;
    if (age < AGE_TOLD_S) delete this.root.dataset["roomAge"];
    else tell(this.root, "data-room-age", say("room.age"));
    this.root.classList.toggle("room-old", age >= AGE_SHOWN_S);
  }

  /** Says the room again, in another unit. */
  sayAgain(): void {
    if (this.room) this.setRoom(this.room);
  }

  private forgetRoom(): void {
    for (const button of this.buttons) {
      write(within(button, ".room"), "");
      button.removeAttribute("aria-description");
      button.classList.remove("no-room", "some-room");
    }
  }

  /** Goes to a button of a joint, as soon as joints are what is jogged. */
  goTo(joint: number, sign: number): void {
    if (this.frame === "joint") this.choosePair(joint, sign);
    else this.going = { joint, sign };
  }

  /** Chooses a pair from the keyboard; one button of it takes the focus and so is aimed at. */
  choosePair(axis: number, sign = 1): void {
    const button = this.buttons.find((b) => axisOf(b) === axis && signOf(b) === sign);
    if (!button) return;
    button.focus();
    this.aim.settle(this.directionOf(button)); // also where it has the focus already
  }

  /** A direction was chosen without its button: what has the focus here is no other. */
  follow(direction: Direction): void {
    const at = document.activeElement;
    if (direction.frame !== this.frame || (at !== document.body && !at?.matches("#strip .jog"))) return;
    this.buttons.find((b) => axisOf(b) === direction.axis && signOf(b) === direction.sign)?.focus({ preventScroll: true });
  }

  private directionOf(button: HTMLButtonElement): Direction {
    return { frame: this.frame, task: this.task, axis: axisOf(button), sign: signOf(button) };
  }

  private listen(button: HTMLButtonElement): void {
    const direction = () => this.directionOf(button);
    // Not on entering: a button that comes to lie under a resting pointer is not pointed at.
    button.addEventListener("pointermove", (event) => {
      if (event.pointerType === "touch" || this.came === button) return;
      this.root.classList.remove("left");
      this.aim.over(direction());
    });
    button.addEventListener("pointerleave", () => {
      const came = this.came === button;
      this.came = null;
      // A button that gave way to a question was not left: what was jogged stays in hand.
      if (!came && button.checkVisibility({ visibilityProperty: true })) this.aim.away();
    });
    // A pointer that presses gives a button the focus too; that it only points.
    button.addEventListener("focus", () => {
      if (button.matches(":focus-visible")) this.aim.settle(direction());
    });

    // A pointer holds from down to up, or until it leaves the button.
    let pointer = 0;
    let kept = 0; // until it looks as if it were held
    const letGo = (event: PointerEvent) => {
      if (event.pointerId !== pointer) return;
      pointer = 0;
      this.events.release(`pointer ${event.pointerId}`);
    };
    button.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      this.came = null;
      // A finger cannot point: what it has pressed stays in hand.
      if (event.pointerType === "touch") this.aim.settle(direction());
      else this.aim.press(direction());
      if (!this.events.holding()) {
        window.clearTimeout(kept);
        kept = window.setTimeout(() => this.events.keptDown(direction()), KEPT_MS);
        return;
      }
      pointer = event.pointerId;
      button.setPointerCapture(pointer);
      this.events.press(direction(), `pointer ${pointer}`);
    });
    button.addEventListener("pointermove", (event) => {
      if (event.pointerId === pointer && !near(button, event)) letGo(event);
    });
    for (const end of ["pointerup", "pointerleave", "pointercancel"]) button.addEventListener(end, () => window.clearTimeout(kept));
    button.addEventListener("pointerup", letGo);
    button.addEventListener("pointercancel", letGo);
    button.addEventListener("lostpointercapture", letGo);

    // Space and Enter on the button. In steps the browser's click does it, but a key kept down must not repeat it.
    let keyed = false;
    button.addEventListener("keydown", (event) => {
      if (event.key !== " " && event.key !== "Enter") return;
      if (event.repeat || this.events.holding()) event.preventDefault();
      if (event.repeat || !this.events.holding()) return;
      keyed = true;
      this.aim.settle(direction());
      this.events.press(direction(), event.code);
    });
    button.addEventListener("keyup", (event) => {
      if (event.key !== " " && event.key !== "Enter") return;
      if (this.events.holding()) event.preventDefault();
      this.events.release(event.code);
      keyed = false;
    });
    button.addEventListener("click", (event) => {
      if (event.detail === 0) this.aim.settle(direction()); // by a key, or a screen reader
      if (!this.events.holding()) this.events.press(direction(), "click");
      else if (event.detail === 0 && !keyed) this.events.tap(direction());
    });
  }
}

const axisOf = (button: HTMLButtonElement): number => Number(button.dataset["axis"]);
const signOf = (button: HTMLButtonElement): number => Number(button.dataset["sign"]);

function near(element: HTMLElement, event: PointerEvent): boolean {
  const box = element.getBoundingClientRect();
  return (
    event.clientX >= box.left - SLOP_PX &&
    event.clientX <= box.right + SLOP_PX &&
    event.clientY >= box.top - SLOP_PX &&
    event.clientY <= box.bottom + SLOP_PX
  );
}
