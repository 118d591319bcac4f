import { byId, within } from "../basics/dom";
import { recall, remember } from "../basics/remember";
import { leftByKeys } from "../shell/comeback";
import type { Viewpoint } from "../view/view";
import type { Frame } from "../wire";

export interface KeyActions {
  /** Keys are used for the first time. */
  used: () => void;
  frame: (frame: Frame) => void;
  pair: (axis: number) => void;
  /** Moves the chosen pair, or the second one, chosen before it; false if there is none. */
  jog: (sign: 1 | -1, second: boolean, holder: string) => boolean;
  undo: () => void;
  redo: () => void;
  again: () => void;
  /** Opens or closes the drawer of that key; false if it is none of theirs. */
  drawer: (key: string) => boolean;
  release: (holder: string) => void;
  /** Stops whatever moves; false if nothing does. */
  stop: () => boolean;
  /** Stops whatever moves, and aims at nothing; where there is nothing of either, leaves the projector view or closes a drawer. */
  escape: () => void;
  increment: (by: 1 | -1) => void;
  manner: () => void;
  show: (what: Shown) => unknown;
  look: (viewpoint: Viewpoint) => void;
  orbit: (dxDeg: number, dyDeg: number) => void;
  zoom: (factor: number) => void;
  /** Brings the tip into the middle of the picture. */
  tip: () => void;
  /** Leads to what is next, as the button before all others does. */
  ahead: () => void;
  /** Where what is typed belongs into the field for a number beside it, leads it there; false where it does not. */
  number: () => boolean;
  /** Opens the page of lessons. */
  lessons: () => void;
  leaveLesson: () => void;
  /** Gives the address of what is on the screen. */
  share: () => void;
  pointer: () => void;
  projector: () => unknown;
  /** All but the arm and its numbers is hidden, or shown again. */
  bare: () => unknown;
  /** Explains the next word of the trade in sight, or the one before. */
  term: (by: 1 | -1) => void;
}

const VIEWPOINTS: Viewpoint[] = ["behind", "front", "left", "right", "above", "corner"];
const SHOWN = { r: "hand", c: "walk", g: "plot", a: "predict" } as const;
type Shown = (typeof SHOWN)[keyof typeof SHOWN];
const ORBIT_DEG = 6;
const MODIFIERS = new Set(["Shift", "Control", "Alt", "AltGraph", "Meta"]);
/** Leads to what is next. */
const AHEAD = "f";
const NUMERAL = /^[\d.,−-]$/;
const ZOOM = 1.15;
const ARROWS: Record<string, [x: number, y: number]> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};

/** What a finger does stands first, and all that takes keys or a game controller is folded below it. */
function foldKeys(folded: HTMLDetailsElement): void {
  const sections = [...byId("keys-pointing").parentElement!.children].filter((section) => section.id !== "keys-pointing");
  within(folded, ".keys-columns").append(...sections);
  folded.hidden = false;
}

/** The page's keys. They give way to a control that has the focus and needs the key for itself. */
export class Keyboard {
  private readonly dialog = byId<HTMLDialogElement>("keys");
  private readonly use = byId<HTMLInputElement>("keys-use");
  private readonly view = byId("view");
  /** The frames by the keys that choose them, as the server offers them. */
  private readonly frames = new Map(
    [...document.querySelectorAll<HTMLInputElement>("input[name=frame]")].map((input) => [input.dataset["key"], input.value as Frame]),
  );
  private taken = "";

  constructor(private readonly actions: KeyActions) {
    byId("keys-open").addEventListener("click", () => this.dialog.showModal());
    const folded = byId<HTMLDetailsElement>("keys-folded");
    if (matchMedia("(hover: none)").matches) foldKeys(folded); // There is a finger, and perhaps no key.
    byId("keys-print").addEventListener("click", () => {
      folded.open = true;
      window.print();
    });
    this.use.checked = recall("keys") !== "off";
    this.use.addEventListener("change", () => {
      remember("keys", this.use.checked ? "on" : "off");
      if (!this.use.checked) document.documentElement.removeAttribute("data-keys");
    });
    if (this.use.checked && leftByKeys()) document.documentElement.dataset["keys"] = "";
    document.addEventListener("pointerdown", () => document.documentElement.removeAttribute("data-keys"), { capture: true });
    document.addEventListener("keydown", (event) => this.down(event), { capture: true });
    document.addEventListener("keyup", (event) => this.up(event), { capture: true });
  }

  /** Whoever uses keys is told where they lead, until a pointer is pressed again. What is typed into a field is none, and Escape is not: it is how one leaves something. */
  private seen(event: KeyboardEvent): void {
    const { dataset } = document.documentElement;
    const none = MODIFIERS.has(event.key) || event.key === "Escape" || event.ctrlKey || event.metaKey || (event.key !== "Tab" && keysNeededBy(document.activeElement, event.key) === "all");
    if ("keys" in dataset || none || !this.use.checked) return;
    dataset["keys"] = "";
    this.actions.used();
  }

  private down(event: KeyboardEvent): void {
    this.seen(event);
    const over = document.querySelector("dialog[open]"); // It is what the keys are for then; in the page of lessons, too, one leads to what is next.
    if (over && !(over.id === "lessons" && event.key.toLowerCase() === AHEAD)) return;
    if (event.key === "Escape") {
      this.actions.escape();
      return;
    }
    if (!this.use.checked) {
      if (document.activeElement === this.view && this.turnView(event)) event.preventDefault();
      return;
    }
    const typed = event.getModifierState("AltGraph"); // Brackets need it on many keyboards.
    if (event.metaKey || (event.ctrlKey && !typed)) return;
    const needs = keysNeededBy(document.activeElement, event.key);
    if (needs === "all") return;
    if (NUMERAL.test(event.key) && !event.altKey && this.actions.number()) return; // the field takes it
    const done = (event.altKey && !typed) || document.activeElement === this.view ? this.turnView(event) : false;
    if (done || (!(event.altKey && !typed) && this.act(event, needs))) {
      event.preventDefault();
      event.stopPropagation();
      this.taken = event.code;
    }
  }

  private up(event: KeyboardEvent): void {
    this.actions.release(event.code);
    // A key that stopped the arm must not press the button that has the focus when it comes up.
    if (event.code === this.taken) event.preventDefault();
    this.taken = "";
  }

  /** Turns the view by the arrow keys. */
  private turnView(event: KeyboardEvent): boolean {
    const arrow = ARROWS[event.key];
    if (!arrow) return false;
    this.actions.orbit(arrow[0] * ORBIT_DEG, arrow[1] * ORBIT_DEG);
    return true;
  }

  /** Does what the key is for, and reports whether it is for anything. */
  private act(event: KeyboardEvent, needs: Needs): boolean {
    const digit = /^Digit([1-6])$/.exec(event.code)?.[1];
    if (digit) {
      const at = Number(digit) - 1;
      if (event.shiftKey) this.actions.look(VIEWPOINTS[at]!);
      else this.actions.pair(at);
      return true;
    }
    switch (event.key) {
      case "Enter": {
        const at = document.activeElement;
        if (event.repeat && at?.matches("button")) return true; // kept down it presses once, wherever the focus has gone
        // Frames look like buttons, and are pressed like them, too.
        if (!at?.matches("#strip .option > input")) return false;
        (at as HTMLInputElement).click();
        return true;
      }
      case "ArrowUp":
      case "ArrowDown":
        if (needs === "arrows") return false;
        return event.repeat || this.actions.jog(event.key === "ArrowUp" ? 1 : -1, false, event.code);
      case "ArrowLeft":
      case "ArrowRight":
        if (needs === "arrows") return false;
        return event.repeat || this.actions.jog(event.key === "ArrowRight" ? 1 : -1, true, event.code);
      case " ":
        // On a button that has the focus, Space stops first and presses only when nothing moves.
        if (event.repeat) return false;
        return this.actions.stop() || needs === "nothing";
      case "[":
      case ",":
        this.actions.increment(-1);
        return true;
      case "]":
      case ".":
        this.actions.increment(1);
        return true;
      case "+":
      case "=":
        this.actions.zoom(ZOOM);
        return true;
      case "-":
        this.actions.zoom(1 / ZOOM);
        return true;
      case "?":
        this.dialog.showModal();
        return true;
    }
    if (event.repeat) return false;
    const key = event.key.toLowerCase();
    const frame = this.frames.get(key);
    if (frame) this.actions.frame(frame);
    else if (key === "h") this.actions.manner();
    else if (key === AHEAD) this.actions.ahead();
    else if (key === "s" && event.shiftKey) this.actions.share();
    else if (key === "l" && event.shiftKey) this.actions.lessons();
    else if (key === "x" && event.shiftKey) this.actions.leaveLesson();
    else if (key === "l") this.actions.pointer();
    else if (key === "p") this.actions.projector();
    else if (key === "o") this.actions.bare();
    else if (key === "m") this.actions.term(event.shiftKey ? -1 : 1);
    else if (key === "u") this.actions.undo();
    else if (key === "i") this.actions.tip();
    else if (key === "y") this.actions.redo();
    else if (key === "e") this.actions.again();
    else if (key in SHOWN) this.actions.show(SHOWN[key as keyof typeof SHOWN]);
    else return this.actions.drawer(key);
    return true;
  }
}

type Needs = "nothing" | "space" | "arrows" | "all";

/** Which keys a control needs for itself while it has the focus, of which one was pressed. In a list letters choose by name; the one that leads on leads out of it. */
function keysNeededBy(element: Element | null, key: string): Needs {
  // Beside the jog buttons a number is a pair's key: it must not become another step or speed.
  if (element instanceof HTMLSelectElement) return element.closest("#strip") ? "arrows" : key.toLowerCase() === AHEAD ? "nothing" : "all";
  if (element instanceof HTMLTextAreaElement) return "all";
  if (element instanceof HTMLInputElement) return element.type === "radio" ? "arrows" : element.type === "checkbox" ? "space" : "all";
  if (element instanceof HTMLButtonElement || element?.tagName === "SUMMARY") return "space";
  return "nothing";
}
