// What the bench has told, and which rooms of the page hear of it.
import type { Follow } from "../address/follow";
import { byId, tell } from "../basics/dom";
import { nameTasks } from "../basics/words";
import { type Aim, same } from "../input/aim";
import type { LateController } from "../input/latecontroller";
import type { Hold } from "../input/holds";
import type { Sentence } from "../jog/sentence";
import type { Strip } from "../jog/strip";
import type { LessonPanel } from "../lesson/lesson";
import type { Lessons } from "../lesson/lessons";
import { withheld } from "../lesson/lessonwords";
import type { Link } from "../link/link";
import type { OtherReply, State } from "../link/state";
import type { LatePlayer } from "../embed/lateplayer";
import type { FaultsPanel } from "../panels/faults";
import type { JointsPanel } from "../panels/joints";
import type { LogPanel } from "../panels/log";
import type { OwnArm } from "../ownarm/ownarm";
import type { Comparing } from "../ownarm/comparing";
import type { PiecesPanel } from "../panels/pieces";
import type { Plot } from "../panels/plot";
import type { ReadingPanel } from "../panels/reading";
import type { StopPanel } from "../panels/stop";
import type { TeachPanel } from "../panels/teach";
import type { WalkWords } from "../panels/walk";
import type { WaysPanel } from "../panels/ways";
import type { LatePictures } from "../pictures/latepictures";
import type { Platform } from "../platform/platform";
import type { PredictPanel } from "../predict/predict";
import type { Guide } from "../start/guide";
import type { View } from "../view/view";
import type { WalkChoice } from "../view/walk";
import type { Frame, Ghost, LessonMessage, Setup, StopMessage } from "../wire";
import { comeBack } from "./comeback";
import type { Notices } from "./notices";
import { Pace } from "./pace";
import type { Switch } from "./switch";

/** All that hears of what the bench says. */
export interface Rooms {
  readonly link: Pick<Link, "fresh" | "send">;
  readonly hold: Hold;
  readonly aim: Aim;
  readonly controller: LateController;
  readonly view: View;
  readonly sentence: Sentence;
  readonly strip: Strip;
  readonly joints: JointsPanel;
  readonly reading: ReadingPanel;
  readonly stops: StopPanel;
  readonly log: LogPanel;
  readonly player: LatePlayer;
  readonly pictures: LatePictures;
  readonly teach: TeachPanel;
  readonly pieces: PiecesPanel;
  readonly faults: FaultsPanel;
  readonly ways: WaysPanel;
  readonly walk: Switch;
  readonly walkWords: WalkWords;
  readonly plot: Plot;
  readonly plotSwitch: Switch;
  readonly predict: PredictPanel;
  readonly predictFirst: Switch;
  readonly lessonPanel: LessonPanel;
  readonly lessons: Lessons;
  readonly ownArm: OwnArm;
  readonly realArm: Comparing;
  readonly follow: Follow;
  readonly guide: Guide;
  readonly notices: Notices;
  readonly platform: Platform | null; // around a page of one lesson
  /** Tells the bench what the page shows. */
  readonly askShown: () => void;
}

/** Keeps the newest of what the bench has told, and passes it on. */
export class Told {
  state: State | null = null;
  setup: Setup | null = null;
  armName = "";
  /** Where the carriage is on its rail, mm; null without one. */
  rail: number | null = null;
  /** What the learner has taught and found. */
  readonly own = { frames: new Set<string>(), tools: new Set<string>() };
  private done = ""; // which stages of the lesson were done when it was told last
  private lesson: LessonMessage | null = null;
  private ghost: Ghost | null = null;
  private stop: { count: number; put: number | undefined } | null = null; // that was told last
  private wraps = ""; // of the last jog
  private scheduled = 0;
  private readonly pace = new Pace();
  private meshed: Promise<typeof import("../meshes/meshed")> | null = null; // what draws an arm's meshes, since there was one
  private asked = false; // a class is asked what the next jog will do

  constructor(private readonly rooms: Rooms) {}

  /** Takes the arm as it is now. */
  setState(state: State): void {
    if (this.state && this.state.put !== state.put) {
      this.rooms.stops.clear();
      this.rooms.log.clear();
      this.rooms.aim.reset();
      this.forgetGhost(); // it was that of another place
    }
    if (state.moving && !this.state?.moving) {
      this.rooms.notices.moves();
      this.rooms.log.setMoving(state.moving);
    }
    this.state = state;
    this.rooms.reading.follow(state);
    this.rooms.view.setState(state);
    this.rooms.pictures.setState(state);
    this.showSoon();
  }

  /** Another arm is about to be shown: what the page shows of this one's lesson goes out of the picture. */
  putAway(): void {
    const { view, stops, hold, aim } = this.rooms;
    hold.end();
    aim.clear();
    stops.clear();
    this.stop = null;
    this.ghost = null;
    view.setTarget(null, false);
    view.setExplained(null);
    view.setGoal(null);
    view.clearTrail();
    view.setTrailShown(true);
    view.setPredicting(this.asked);
    tell(document.body, "data-hides", "");
  }

  /** A class is asked what a jog will do, or no longer: what would tell is not shown. */
  setAsked(on: boolean): void {
    if (on === this.asked) return;
    this.asked = on;
    if (on) {
      this.rooms.aim.clear();
      this.rooms.stops.clear(); // of a jog like the one that is asked about
    }
    this.showPredicting();
    this.showGhost();
    this.showRoom();
  }

  /** Takes one message of the bench. */
  reply(message: OtherReply): void {
    switch (message.type) {
      case "welcome":
        this.stop = null;
        this.rooms.hold.setLease(message.lease_ms);
        this.rooms.lessonPanel.setAlone(message.alone);
        this.rooms.ownArm.welcome(); // before an address that names the arm
        this.rooms.follow.welcome(this.rooms.link.fresh);
        this.rooms.guide.welcome();
        this.rooms.askShown();
        this.rooms.sentence.setWelcome(message);
        if (message.found) this.rooms.notices.found();
        if (!this.rooms.follow.opensLesson) this.rooms.lessonPanel.welcome();
        this.rooms.aim.reset();
        this.rooms.predict.setOn(this.rooms.predictFirst.on);
        break;
      case "arm":
        this.armName = message.name;
        this.own.tools = new Set(message.tools.filter((t) => t.found).map((t) => t.name));
        this.rooms.view.setArm(message);
        if (message.meshes.length > 0 || this.meshed) void (this.meshed ??= import("../meshes/meshed")).then(({ dress }) => dress(this.rooms.view, message));
        this.rooms.joints.setArm(message);
        this.rooms.walkWords.setArm(message);
        this.rooms.plot.setArm(message.id, !this.rooms.link.fresh);
        this.rooms.sentence.setArm(message);
        this.rooms.stops.clear();
        this.rooms.log.clear();
        this.rooms.aim.reset();
        break;
      case "cell":
        this.rail = message.rail?.at_mm ?? null;
        nameTasks(message.tasks); // before any room speaks of one
        this.own.frames = new Set(message.tasks.filter((t) => t.taught).map((t) => t.name));
        this.rooms.view.setCell(message);
        this.rooms.sentence.setCell(message);
        this.rooms.reading.setCell(message);
        this.rooms.walkWords.setCell(message);
        this.showWalk();
        break;
      case "setup":
        this.applySetup(message);
        break;
      case "ghost":
        this.ghost = message;
        // What was queued or played has ended; nobody aims at where it went.
        if (message.direction && !this.rooms.aim.direction) this.rooms.link.send({ type: "aim", direction: null });
        this.showGhost();
        break;
      case "stop":
        this.applyStop(message);
        break;
      case "lesson":
        this.applyLesson(message);
        break;
      case "progress":
        this.rooms.lessonPanel.keep(message);
        this.rooms.platform?.keep(message);
        break;
      case "clock":
        this.rooms.lessonPanel.setClock(message);
        break;
      case "result":
        this.rooms.lessonPanel.setResult(message);
        break;
      case "room":
        this.rooms.strip.setRoom(message);
        if (this.state) this.rooms.strip.setTick(this.state.tick); // of an arm that stands, nothing more is told
        this.rooms.stops.setRoom(message);
        break;
      case "recording":
        this.rooms.plot.setRecording(message);
        break;
      case "log":
        this.rooms.log.setLog(message);
        this.rooms.pictures.setLog(message);
        break;
      case "log-file":
        this.rooms.log.saveFile(message);
        break;
      case "play":
        this.rooms.log.setPlay(message);
        this.rooms.player.set(message);
        this.rooms.pictures.setPlay(message);
        break;
      case "teach":
        this.rooms.teach.setTeach(message);
        this.rooms.view.setTaught(message);
        break;
      case "piece":
        this.rooms.pieces.setPiece(message);
        break;
      case "offer":
        this.rooms.sentence.setOffer(message);
        this.rooms.lessons.setOffer(message.lessons);
        break;
      case "real-arm":
        this.rooms.realArm.set(message);
        break;
      case "own-arm":
        this.rooms.ownArm.set(message);
        break;
      case "own-arm-file":
        this.rooms.ownArm.setFile(message);
        break;
      case "faults":
        this.rooms.faults.setFaults(message);
        break;
      case "predictions":
        if (message.question) this.rooms.view.clearWays(); // what was played is over, and would hide the ball
        if (this.rooms.predict.set(message)) this.rooms.strip.comeBack();
        this.showPredicting();
        this.showRoom();
        break;
      case "ways":
        this.rooms.ways.set(message);
        this.rooms.view.setGoal(this.rooms.ways.marked(message));
        if (!message.joint) this.rooms.view.clearWays();
        break;
      case "way":
        this.rooms.view.play(message, this.rooms.ways.name(message));
        break;
      case "problem":
        this.rooms.pictures.setProblem(message.message);
        if (!message.refused || !this.rooms.follow.refused(message.message)) this.rooms.notices.showProblem(message.message);
        break;
      default:
        message satisfies never; // The compiler names what is not handled.
    }
  }

  /** The learner has chosen something. */
  private applySetup(message: Setup): void {
    const before = this.setup;
    this.setup = message;
    this.rooms.follow.setSetup(message);
    this.rooms.sentence.setSetup(message);
    this.rooms.stops.setSetup(message);
    this.rooms.log.setSetup(message);
    this.rooms.reading.setSetup(message);
    this.showWalk();
    if (before?.tool !== message.tool || before.arm !== message.arm) this.rooms.view.setTool(message.tool);
    if (before?.frame === message.frame && before.task === message.task) return;
    this.forgetGhost(); // until that of the same button in the new frame is there
    this.rooms.view.setFrame(message.frame, message.task);
    this.rooms.strip.setFrame(message.frame, message.task);
    this.rooms.controller.setFrame(message.frame, message.task);
    this.rooms.reading.setFrame(message.frame);
    this.rooms.guide.setFrame(message.frame);
    this.rooms.aim.turn(message.frame, message.task);
  }

  /** A motion has ended, or how it ended is only said in other words. */
  private applyStop(message: StopMessage): void {
    const again = this.stop?.count === message.count && this.stop.put === this.state?.put;
    this.stop = { count: message.count, put: this.state?.put };
    if (again) {
      this.rooms.stops.setStop(this.withWraps(message));
      return;
    }
    this.rooms.hold.stopped(message);
    this.wraps = this.rooms.reading.takeWraps();
    this.showNow();
    this.rooms.stops.setStop(this.withWraps(message));
    this.rooms.log.setStop(message);
    this.rooms.pictures.setStop(message);
    // What was played or undone has gone another way than that of the button in hand, which is the next step again.
    const { direction } = this.rooms.aim;
    if (direction && !message.trouble && !same(direction, message.direction)) this.rooms.link.send({ type: "aim", direction });
    this.rooms.guide.setStop(message, this.wraps);
  }

  /** Beside its numbers, which angles of the reading went past 180° in the jog and how they are written. */
  private withWraps(message: StopMessage): StopMessage {
    return { ...message, numbers: `${message.numbers} ${this.wraps}`.trim() };
  }

  /** A motion of another arm has ended, which is shown here and was not made here. */
  seeStop(message: StopMessage): void {
    this.showNow();
    this.rooms.stops.setStop(message);
  }

  /** The lesson, or where it stands, has changed: what it hides is hidden, and what it allows is offered. */
  private applyLesson(message: LessonMessage): void {
    const before = this.lesson;
    this.lesson = message;
    this.rooms.notices.showPreparing(message.preparing);
    this.rooms.platform?.setLesson(message);
    const { hidden, frames, withheld: waits } = message.allow;
    const may = (frame: Frame): boolean => frames.length === 0 || frames.includes(frame);
    // A stage, or a try of it, has begun with the arm in another place.
    const begun = before?.id !== message.id || before.stage !== message.stage || (before.task?.jogs ?? 0) > (message.task?.jogs ?? 0);
    if (begun && message.id !== "") {
      this.rooms.guide.close();
      this.rooms.view.clearTrail();
      this.rooms.stops.clear();
      this.rooms.log.clear();
    }
    // What was aimed at in the stage before is gone from the picture at once, with its hand and its ghost.
    if (before && (before.id !== message.id || before.stage !== message.stage)) {
      if (this.ghost) this.ghost = { ...this.ghost, direction: null };
      this.rooms.aim.clear();
    }
    this.showPredicting();
    tell(document.body, "data-hides", hidden.join(" "));
    this.rooms.view.setTarget(message.target, message.target?.reached ?? false);
    // A stage is seen from where nothing is hidden when it begins, or from where its author says; then that is left to the learner.
    if (before?.id !== message.id || before.stage !== message.stage) {
      if (message.view) this.rooms.view.lookAsAuthor(message.view);
      else if (message.face && message.id !== "") this.rooms.view.face(message.face);
    }
    this.rooms.view.setExplained(message.task?.shown ?? null);
    this.rooms.view.setTrailShown(!hidden.includes("trail"));
    this.rooms.sentence.setAllow(message.allow, message.id !== "");
    this.showRoom();
    this.rooms.strip.setWaits(waits);
    if (before?.allow.withheld && !waits) this.rooms.notices.showProblem(""); // the answer that was asked for is there
    this.rooms.stops.setAllow(hidden, waits ? withheld(message) : "", may("joint"));
    byId<HTMLButtonElement>("walk").disabled = hidden.includes("walk");
    this.showGhost();
    this.showWalk();
    this.showLesson();
    if (!before) this.comeBackSoon();
  }

  /** The page has all it shows of the bench; where it was left, it is when that is laid out and drawn. */
  private comeBackSoon(): void {
    requestAnimationFrame(() => (this.state ? comeBack(this.rooms.view) : this.comeBackSoon()));
  }

  /** Leaves out of the picture what would give the direction away that is asked for. */
  private showPredicting(): void {
    this.rooms.view.setPredicting(this.asked || this.rooms.predict.on || this.lesson?.task?.predict?.ask === "direction");
  }

  /** Shows the room to move, unless the lesson does without or it would give a prediction away. */
  private showRoom(): void {
    this.rooms.strip.setRoomShown(!this.asked && !this.rooms.predict.on && !this.lesson?.allow.hidden.includes("room"));
  }

  /** Shows the ghost as far as the lesson lets it be seen. */
  private showGhost(): void {
    if (!this.ghost) return;
    const hidden = this.lesson?.allow.hidden ?? [];
    const without: Ghost = { ...this.ghost, direction: null };
    this.rooms.view.setGhost(this.asked || hidden.includes("ghost") ? without : this.ghost);
    this.rooms.joints.setGhost(this.asked || hidden.includes("share") ? without : this.ghost);
    this.rooms.stops.setGhost(this.asked ? without : this.ghost);
  }

  /** What was aimed at is shown no more. */
  private forgetGhost(): void {
    if (!this.ghost?.direction) return;
    this.ghost = { ...this.ghost, direction: null };
    this.showGhost();
  }

  /** Shows the newest state in the panels once a frame, however often it comes. */
  private showSoon(): void {
    this.scheduled ||= requestAnimationFrame((now) => {
      this.scheduled = 0;
      if (this.pace.due(now, !!this.state?.moving)) this.showNow();
      else this.showSoon();
    });
  }

  private showNow(): void {
    cancelAnimationFrame(this.scheduled);
    this.scheduled = 0;
    if (!this.state) return;
    this.rooms.joints.setState(this.state);
    this.rooms.reading.setState(this.state);
    this.rooms.stops.setState(this.state);
    this.rooms.strip.setTick(this.state.tick);
    this.rooms.strip.setJoints(this.state.joints_deg);
    this.markStrip();
  }

  /** What the coordinate walk leads to; null where the lesson does without. */
  get walkable(): WalkChoice | null {
    return this.lesson?.allow.hidden.includes("walk") ? null : this.rooms.reading.choice;
  }

  /** Draws the coordinate walk of what is read, and says where it begins. */
  showWalk(on = this.rooms.walk.on): void {
    const choice = on ? this.walkable : null;
    this.rooms.view.setWalk(choice);
    this.rooms.walkWords.show(choice);
  }

  /** Lengths are read in another unit: says again what the page says of them. What the bench says, it says again itself. */
  sayLengths(): void {
    this.rooms.view.sayLengths();
    this.rooms.teach.sayAgain();
    this.rooms.ways.sayAgain();
    this.rooms.strip.sayAgain();
    this.rooms.log.sayAgain();
    this.rooms.plot.draw();
    this.showLesson();
    this.showNow();
  }

  showLesson(): void {
    if (this.lesson) this.rooms.lessonPanel.setLesson(this.lesson, this.rooms.sentence.lessonLang);
    // One may be done now. While an arm moves the lesson is told again and again, and nothing of that has changed.
    const done = this.lesson ? `${this.lesson.id} ${this.lesson.stages.map((stage) => stage.done).join()}` : "";
    if (done !== this.done) this.rooms.sentence.offerLessons();
    this.done = done;
  }

  markStrip(): void {
    this.rooms.strip.mark(this.rooms.aim.direction, this.state?.moving ?? null);
  }
}
