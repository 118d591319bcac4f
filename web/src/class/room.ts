// The class as this page has it: what the server tells of it, and which parts of the page hear of it.
import { recall, remember, tab } from "../basics/remember";
import { say } from "../basics/say";
import type { OtherReply } from "../link/state";
import { formatAddress, parseAddress } from "../address/address";
import { readingUnit } from "../basics/units";
import type { Direction, LessonMessage, SceneRequest } from "../wire";
import { AskPanel } from "./ask";
import { Bar } from "./bar";
import { Board } from "./board";
import { Desk } from "./desk";
import type { Seams, Wanted } from "./door";
import { Join } from "./join";
import { ClassLink } from "./link";
import { listClasses, openClass } from "./office";
import { QuestionSheet } from "./question";
import { benchIsOf, seat, tidy } from "./seat";
import type { AnswersView, BoardView, ClassReply, ClassRequest, ClassView, FrontView, Listing, LookView, MineView, Problem, QuestionView, SentView, Welcome } from "./wire";

/** From where the demonstrated arm is looked at is told so often, where that changes. */
const LOOK_MS = 300;

/** What is known of the class now. */
export interface Known {
  welcome: Welcome | null;
  room: ClassView | null;
  mine: MineView | null;
  front: FrontView | null;
  question: QuestionView | null;
  answers: AnswersView | null;
  board: BoardView | null;
  /** When the countdown ends, by this page's clock, ms; null where none runs. */
  ends: number | null;
  /** Whose arm an instructor looks at, other than the one in front, by the learner's id; "" for none. */
  looksAt: string;
  up: boolean;
}

const nothing = (): Known => ({ welcome: null, room: null, mine: null, front: null, question: null, answers: null, board: null, ends: null, looksAt: "", up: false });

export class Room {
  readonly now: Known = nothing();
  /** The instructor's, the latest first. */
  classes: Listing[] = [];
  private link: ClassLink | null = null;
  private token = ""; // as the server gave it on this connection
  private readonly join: Join;
  private readonly bar: Bar;
  private readonly question: QuestionSheet;
  private readonly desk: Desk | null = null;
  private readonly asking: AskPanel | null = null;
  private readonly board: Board | null = null;
  private follows = ""; // whom the server was told
  private deletes = false; // the class is about to be gone, as it should be
  private takesFront = false; // the class that is being opened sees this tab's arm
  private wanted: Wanted | null = null;
  private readonly asked = new Map<string, "asked" | "sent">(); // results that the class is to get, by what they are remembered as
  private cameBack = false; // what was sent on the connection before may be lost
  private lesson: LessonMessage | null = null;
  private look: LookView | null = null; // from where the demonstrated arm is looked at
  private looked = ""; // what was told of where this page looks from
  /** The page looks at the demonstrated arm from where whoever drives it does. */
  looksAlong = false;

  constructor(
    readonly seams: Seams,
    readonly teaches: boolean,
  ) {
    this.join = new Join(this);
    this.bar = new Bar(this);
    this.question = new QuestionSheet(this);
    window.setInterval(() => this.tellLook(), LOOK_MS);
    if (teaches) {
      this.desk = new Desk(this);
      this.asking = new AskPanel(this);
      this.board = new Board(this);
      void this.list().then(() => {
        const open = this.classes.find((c) => !c.ended);
        if (open && !this.link) this.connect(open.code);
      });
    } else if (seat.code !== "") this.connect(seat.code);
  }

  send(request: ClassRequest): void {
    if (!this.link?.send(request)) this.seams.notices.showProblem(say("class.no-link"));
  }

  /** The code of the class that the page is in; "" for none. */
  get code(): string {
    return this.now.room && !(this.teaches && this.now.room.ended) ? this.now.room.code : "";
  }

  /** A learner who has joined. */
  get joined(): boolean {
    return !this.teaches && (this.now.mine?.joined ?? false);
  }

  /** The class sees this tab's arm. */
  get inFront(): boolean {
    return this.teaches && this.code !== "" && tab.inFront === this.code;
  }

  /** The page shows the demonstrated arm: it is its own, or it is followed. */
  get seesFront(): boolean {
    return this.follows === "front" || (this.teaches ? this.inFront && this.follows === "" : (this.now.mine?.drives ?? false));
  }

  /** Shows what an address has of a class. */
  show(what: Wanted | null): void {
    this.wanted = what;
    this.board?.show(what === "board");
    if (what === null || what === "board") return this.join.close();
    const code = tidy(what.join);
    if (this.teaches) {
      this.seams.openDrawer();
      this.seams.left();
    } else if (this.joined && (code === "" || code === this.code)) this.seams.left();
    else this.join.open(code);
  }

  /** Enters a class as a learner's, who has yet to say a name. */
  enter(code: string): void {
    this.connect(code);
  }

  /** The learner does not come in after all, and stays where they were. */
  giveUp(): void {
    this.disconnect();
    if (seat.code !== "") this.connect(seat.code);
  }

  /** Deletes the class with all that was kept of it. */
  delete(): void {
    this.deletes = true;
    this.send({ type: "delete" });
  }

  /** An instructor goes to one of their classes. */
  comeBackTo(code: string): void {
    this.connect(code);
  }

  /** Leaves the class; for good, the server forgets the learner too. */
  leave(forGood: boolean): void {
    const { code } = this.link ?? { code: "" };
    if (forGood) this.link?.send({ type: "leave" });
    seat.leave(code, forGood);
    this.disconnect();
  }

  aimed(direction: Direction): void {
    this.asking?.aimed(direction);
  }

  /** What is read of an arm, or how, has changed. */
  reads(): void {
    this.tellFollow(true);
  }

  /** A message of the page's own bench; true if it is for the class alone. */
  takes(message: OtherReply): boolean {
    if (message.type === "lesson") this.setLesson(message);
    if (message.type !== "result" || !this.joined) return false;
    const key = [...this.asked].find(([, state]) => state === "asked")?.[0];
    if (key) this.asked.set(key, "sent");
    this.link?.send({ type: "finished", text: message.text });
    return key !== undefined;
  }

  /** The learner chooses which arm is shown. */
  showArm(which: "front" | "own"): void {
    tab.shownArm = which;
    this.settle();
  }

  /** Puts the learner's own arm where the one in front stands, and shows it. */
  tryFromHere(): void {
    const { shown } = this.seams;
    const scene = sceneOf(shown.scene, this.now.front?.scene ?? null);
    if (!scene) return;
    const frame = shown.sceneFrame;
    this.showArm("own");
    this.seams.ask({ type: "scene", ...scene });
    if (frame) this.seams.ask({ type: "frame", ...frame });
  }

  /** Opens the stage of the lesson that the arm in front is in; the arm stands where that begins. */
  tryStage(): void {
    const { front } = this.now;
    if (!front?.lesson) return;
    this.showArm("own");
    goTo(formatAddress({ of: "lesson", id: front.lesson, stage: front.stage }));
  }

  /** Looks at the demonstrated arm as whoever drives it does, or from where one likes. */
  lookAlong(on: boolean): void {
    this.looksAlong = on;
    if (on && this.look) this.seams.view.lookFromTo(this.look.view);
    this.bar.set();
  }

  /** Tells from where the demonstrated arm is looked at here, if it is this page's. */
  private tellLook(): void {
    if (!this.link?.up || !(this.inFront ? this.now.room?.driven === false && !this.seams.shown.follows : this.now.mine?.drives)) return;
    const view = this.seams.view.sight;
    const looked = JSON.stringify([this.code, view]);
    if (looked === this.looked) return;
    this.looked = looked;
    this.link.send({ type: "look", view });
  }

  /** Shows a learner's arm to the instructor; "" shows the instructor's own again. */
  lookAt(learner: string): void {
    this.now.looksAt = learner;
    this.settle();
  }

  /** This tab's arm is the one that the class sees. */
  takeFront(): void {
    if (!this.code) return;
    tab.inFront = this.code;
    this.seams.link.again();
    this.changed();
  }

  /** Opens a class, of which this tab's arm is in front. */
  async open(title: string, askFor: string[]): Promise<void> {
    try {
      const code = await openClass({ title, ask_for: askFor });
      this.takesFront = true;
      this.connect(code);
      void this.list();
    } catch (error) {
      this.seams.notices.showProblem(error instanceof Error ? error.message : String(error));
    }
  }

  /** Asks for the instructor's classes. */
  private async list(): Promise<void> {
    try {
      this.classes = await listClasses();
      this.desk?.set();
    } catch (error) {
      this.seams.notices.showProblem(error instanceof Error ? error.message : String(error));
    }
  }

  private connect(code: string): void {
    this.disconnect();
    this.token = code === "" ? "" : seat.token(code);
    this.link = new ClassLink(code, () => this.token, !this.teaches, {
      reply: (message) => this.take(message),
      arm: (data) => this.takeArm(data),
      up: (up) => {
        this.now.up = up;
        if (up) this.follows = "";
        if (up) this.cameBack = true;
        this.changed();
      },
      over: (problem) => this.over(code, problem),
    });
  }

  private disconnect(): void {
    this.link?.close();
    this.link = null;
    Object.assign(this.now, nothing());
    this.changed();
  }

  /** The server has ended the connection: there is no such class, or this learner is not to come in. */
  private over(code: string, problem: Problem): void {
    const had = this.joined || seat.code === code;
    if (code !== "" && !this.teaches) seat.leave(code, true);
    this.ended(code);
    this.disconnect();
    if (this.join.shown) this.join.problem(problem.message);
    else if ((had || this.teaches) && !this.deletes) this.seams.notices.showProblem(problem.message);
    this.deletes = false;
  }

  private take(message: ClassReply): void {
    const { now } = this;
    switch (message.type) {
      case "class-wait": {
        const says = say("class.wait", { seconds: message.seconds });
        if (this.join.shown) this.join.problem(says);
        else this.seams.notices.showProblem(says);
        return;
      }
      case "class-welcome":
        if (!now.welcome) this.join.problem(""); // such as that it was to wait
        now.welcome = message;
        if (message.token) this.token = message.token;
        break;
      case "class":
        now.ends = message.countdown_ms === null ? null : performance.now() + message.countdown_ms;
        if (message.ended && !now.room?.ended) this.ended(message.code);
        if (!message.ended && now.room?.code !== message.code) this.seams.entered();
        now.room = message;
        break;
      case "mine":
        if (now.mine && message.arrived > now.mine.arrived) this.arrived();
        if (this.cameBack) this.asked.clear(); // What has not arrived is handed in again.
        this.cameBack = false;
        now.mine = message;
        break;
      case "front":
        now.front = message;
        break;
      case "question":
        now.question = message.count === 0 || message.state === "ended" ? null : message;
        break;
      case "answers":
        now.answers = message;
        break;
      case "board":
        now.board = message;
        break;
      case "look":
        if (this.looksAlong && this.follows === "front") this.seams.view.lookFromTo(message.view);
        this.look = message;
        return;
      case "classes":
      case "class-opened":
        return; // They are asked for otherwise.
      case "class-problem":
        if (this.join.shown && !now.welcome) this.disconnect(); // A code is tried once.
        if (this.join.shown) this.join.problem(message.message);
        else this.seams.notices.showProblem(message.message);
        return;
      default:
        message satisfies never;
    }
    this.settleIn();
    this.changed();
  }

  /** The learner has come in, or the instructor's class is there: the server is told whose the page's bench is. */
  private settleIn(): void {
    const { room, mine } = this.now;
    if (!room) return;
    if (this.teaches) {
      // Whoever opens a class is in front of it, and so is the first page that comes back to one without anybody there.
      if (!room.ended && tab.inFront !== room.code && (this.takesFront || !room.front) && this.wanted !== "board") {
        this.takesFront = false;
        this.takeFront();
      }
      return;
    }
    if (!mine?.joined) return;
    const before = benchIsOf();
    if (seat.code !== room.code || seat.token(room.code) !== this.token) seat.take(room.code, this.token);
    if (before?.code !== room.code || before.token !== this.token) this.seams.link.again();
    if (this.join.shown) {
      this.join.close();
      this.seams.left();
    }
    this.goWhereSent(room.code, room.sent, mine.sent);
    if (this.lesson) this.setLesson(this.lesson); // it may have ended while the class was not here
  }

  private ended(code: string): void {
    if (this.teaches) void this.list();
    if (tab.inFront === code) {
      tab.inFront = "";
      this.seams.link.again();
    }
  }

  /** Opens by itself what everybody, or this learner alone, was sent to since the page looked last. */
  private goWhereSent(code: string, all: SentView, alone: SentView): void {
    const counts = `${code} ${all.count} ${alone.count}`;
    if (tab.sent === counts) return;
    const [of, seenAll, seenAlone] = tab.sent.split(" ");
    const [before, beforeAlone] = of === code ? [Number(seenAll), Number(seenAlone)] : [0, 0];
    tab.sent = counts;
    const last = alone.count > beforeAlone ? alone : all.count > before ? all : null;
    const to = parseAddress(last?.address ?? "");
    if (!last || !/^#/.test(last.address) || !["lessons", "lesson", "arm"].includes(to.of)) return;
    tab.shownArm = "own";
    this.bar.news(say(last === alone ? "class.sent.alone" : "class.sent"));
    const own = this.now.front?.scene.own;
    if (to.of === "arm" && to.scene.arm === this.now.front?.scene.arm && own) this.seams.ask({ type: "scene", ...to.scene, own }); // no address holds a whole arm
    else goTo(last.address);
  }

  /** A lesson that ends in a class has its result handed in. */
  private setLesson(lesson: LessonMessage): void {
    this.lesson = lesson;
    const { mine, room } = this.now;
    if (!this.joined || !mine || !room || room.ended || !lesson.over || lesson.id === "") return;
    if (lesson.assessment && lesson.assessment.state !== "handed in") return;
    const key = `finished-${room.code}-${lesson.id}-${lesson.seed}`;
    if (recall(key) !== null || this.asked.has(key)) return;
    this.asked.set(key, "asked");
    const asked = (field: string, kept: string): string => (room.ask_for.includes(field) || lesson.assessment?.ask_for.includes(field) ? (recall(kept) ?? "") : "");
    this.seams.ask({ type: "result", learner: mine.name, number: asked("number", "learner-number"), email: asked("e-mail", "learner-mail") });
  }

  /** A result has come to where results are kept. */
  private arrived(): void {
    for (const [key, state] of this.asked) if (state === "sent") remember(key, "arrived");
    this.bar.news(say("class.result.arrived"));
  }

  /** What the arm that is followed tells. */
  private takeArm(data: string | ArrayBuffer): void {
    this.seams.shown.hear(data);
    if (typeof data === "string" && data.includes('"type":"arm"')) this.question.armChanged();
  }

  private changed(): void {
    this.settle();
    this.join.set();
    this.bar.set();
    this.question.set();
    this.desk?.set();
    this.asking?.set();
    this.board?.set();
    keepFocus();
  }

  /** Whom the page follows: the arm in front while all look there, while it is asked about, or as long as the learner likes. */
  private get whom(): string {
    const { room, question, mine, looksAt } = this.now;
    // Who drives the demonstrated arm drives their own, which all others follow, the instructor too.
    if (this.teaches) return looksAt || (room && !room.ended && room.driven ? "front" : "");
    if (!this.joined || !room?.front || room.ended || mine?.drives) return "";
    return room.eyes || (question && question.kind !== "choice") || tab.shownArm !== "own" ? "front" : "";
  }

  private settle(): void {
    const { shown } = this.seams;
    const { whom } = this;
    if (whom !== "") shown.follow();
    else shown.leave();
    document.documentElement.classList.toggle("following", whom !== "");
    this.tellFollow(false);
    this.bar.set();
    keepFocus();
  }

  /** Tells the server whom the page follows, and how it reads their arm. */
  private tellFollow(anew: boolean): void {
    const { whom } = this;
    if (!this.link?.up || (whom === this.follows && !(anew && whom !== ""))) return;
    this.follows = whom;
    const { type: _, ...shows } = this.seams.shows();
    this.link.send({ type: "follow", whom, read_in: this.seams.shown.readIn, shows, unit: readingUnit() });
  }
}

/** What had the focus may be out of sight now: whoever goes by keys is at the class then, from where all of it is near. */
function keepFocus(): void {
  const at = document.activeElement;
  if (at instanceof HTMLElement && at !== document.body && !at.checkVisibility()) document.getElementById("class-bar")?.focus({ preventScroll: true });
}

/** Opens an address of the page, once more if it is open. */
function goTo(address: string): void {
  if (location.hash === address) history.replaceState(history.state, "", location.pathname + location.search);
  location.hash = address;
}

/** What is seen has rounded joints; the server tells them exactly, up to a second later. */
const ROUNDED_DEG = 1e-4;

/** Where one's own arm is put to stand like the one in front: where that is seen, exactly if the server has told just that. */
function sceneOf(seen: SceneRequest | null, told: SceneRequest | null): SceneRequest | null {
  if (!seen || !told) return seen ?? told;
  const same = told.arm === seen.arm && told.cell === seen.cell && told.tool === seen.tool;
  const near = seen.joints_deg?.every((deg, i) => Math.abs(deg - (told.joints_deg?.[i] ?? Infinity)) < ROUNDED_DEG) ?? false;
  return same && near ? told : same && told.own ? { ...seen, own: told.own } : seen;
}
