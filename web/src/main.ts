// The page, room by room: what it is made of, and what each part does to the others. What the bench says goes through Told.
import { addressNow, addressOfJogs, Follow, staysHere } from "./address/follow";
import { Share } from "./address/share";
import { Aim } from "./input/aim";
import { Ball } from "./predict/ball";
import { byId, write } from "./basics/dom";
import { embedded } from "./basics/remember";
import { leave } from "./shell/comeback";
import { LateController } from "./input/latecontroller";
import { watchChoices } from "./input/choices";
import { Drag } from "./input/drag";
import { LatePlayer } from "./embed/lateplayer";
import { watchWhole } from "./embed/frame";
import { FaultsPanel } from "./panels/faults";
import { watchForget } from "./shell/forget";
import { Glossary } from "./shell/glossary";
import { Help } from "./shell/help";
import { Hold } from "./input/holds";
import { JointsPanel } from "./panels/joints";
import { Keyboard } from "./input/keyboard";
import { watchLanguage } from "./shell/language";
import { watchLayout } from "./shell/layout";
import { LessonPanel } from "./lesson/lesson";
import { Lessons } from "./lesson/lessons";
import { LogPanel } from "./panels/log";
import { Notices } from "./shell/notices";
import { OwnArm } from "./ownarm/ownarm";
import { Comparing } from "./ownarm/comparing";
import { PiecesPanel } from "./panels/pieces";
import { ClassDoor } from "./class/door";
import { Drawers } from "./shell/drawers";
import { bring, watchPlaces } from "./shell/places";
import { Plot } from "./panels/plot";
import { Pointer } from "./input/pointer";
import { BOTH_WAYS, PredictPanel } from "./predict/predict";
import { projectedType, Projector } from "./shell/projector";
import { ReadingPanel } from "./panels/reading";
import { Sentence } from "./jog/sentence";
import { HandChooser, Switch } from "./shell/switch";
import { goAhead, toNumber, watchAhead } from "./shell/ahead";
import { openLink } from "./link/link";
import { keepOffline } from "./link/offline";
import { LatePictures } from "./pictures/latepictures";
import { platformAround } from "./platform/around";
import { Guide } from "./start/guide";
import { Shown } from "./shell/shown";
import { StopPanel } from "./panels/stop";
import { say } from "./basics/say";
import { Vector3 } from "three";
import { readingUnit } from "./basics/units";
import { Strip } from "./jog/strip";
import { TeachPanel } from "./panels/teach";
import { Theme } from "./shell/theme";
import { Told } from "./shell/told";
import { WalkWords } from "./panels/walk";
import { View, type Viewpoint } from "./view/view";
import { WaysPanel } from "./panels/ways";
import { directionMark, gapMark, handSays, holdMeansHold, oneStep, originHeight, tipMoved, viewUnavailable } from "./basics/words";
import type { State } from "./link/state";
import type { Direction, Request, Setup } from "./wire";

const notices = new Notices();
const platform = await platformAround((message) => notices.showProblem(message)); // before anything reads what was kept
const view = new View(byId("view"), {
  nameOf: directionMark,
  originSays: originHeight,
  tipSays: tipMoved,
  gapSays: gapMark,
  ghostSays: say("view.next-step"),
  onUnavailable: () => notices.showUnavailable(viewUnavailable()),
  reducedMotion: window.matchMedia("(prefers-reduced-motion: reduce)").matches,
});

const pointer = new Pointer(view);
view.hand.onShown = (what) => write(byId("hand-says"), what ? handSays(what.turn) : "");
view.onDraw = () => hold.renewAhead();
view.onDrawn = () => {
  hold.renewAhead(); // Styles and layout come next.
  pointer.drawn();
  drag.drawn();
  ball.drawn();
};
let secondAxis = -1; // of the pair that was chosen before the one in hand

const send = (request: Request): void => shown.send(request);
const hold = new Hold(
  send,
  () => drag.ended(),
  tapped,
);
const aim = new Aim(send, (direction) => {
  told.markStrip();
  if (direction) door.aimed(direction);
});
const drag = new Drag(view, hold, (direction) => aim.drawn(direction));
const controller = new LateController({
  begin: (directions, part) => {
    settle(directions[0]!);
    hold.begin(directions, "controller", { part });
  },
  steer: (part) => hold.steer("controller", { part }),
  end: () => hold.end("controller"),
  aim: settle,
  orbit: (dx) => view.orbit(dx, 0),
});
const joints = new JointsPanel(toJoint);
const sentence: Sentence = new Sentence({
  ask,
  openLesson: (id) => lessonPanel.open(id),
  mannerChanged: () => {
    stops.setManner();
    log.setManner();
    view.nameGhost(say(sentence.holding ? "view.held-step" : "view.next-step"));
  },
});
const stops = new StopPanel({
  ask,
  holding: () => sentence.holding,
  toJoint,
});
const reading = new ReadingPanel(() => {
  askShown();
  told.showWalk();
}, () => told.sayLengths(), ask);
const guide = new Guide({
  ask,
  play: (lines) => ask({ type: "play", name: say("guide.title"), text: lines }),
  aim: (direction) => aim.settle(direction),
  showAxesOf: (joints) => view.showAxesOf(joints),
  clearTrail: () => view.clearTrail(),
  nearTip: (on) => {
    if (on) before = view.kept;
    if (on) view.showTip(0.5);
    else if (before) view.comeBack(before);
  },
});
let before: View["kept"] | null = null; // the guided start came near to the tip
const walkWords = new WalkWords();
const ball = new Ball(view);
const lessonPanel: LessonPanel = new LessonPanel(ask, ball, (lesson) => lessons.after(lesson), lessonOpened, (lesson, at, chosen) => follow.setLesson(lesson, at, chosen));
const lessons: Lessons = new Lessons({ closed: () => follow.left("lessons"), lesson: () => lessonPanel.here?.id ?? "", leave: () => lessonPanel.open("") });
const ownArm: OwnArm = new OwnArm({ send: (request) => link.send(request), closed: () => follow.left("own-arm") });
const realArm: Comparing = new Comparing({ send: (request) => link.send(request), take: (text) => ownArm.handIn(text, true), closed: () => follow.left("real-arm") });
const player = new LatePlayer(ask, () => told.state?.joints_deg ?? [], (message) => notices.showProblem(message));
const follow: Follow = new Follow({
  ask,
  openLesson: (id, stage, comes) => lessonPanel.open(id, stage, comes),
  showStage: (stage) => lessonPanel.showStage(stage),
  showResult: (id) => lessonPanel.showResult(id),
  showPage: (page) => {
    lessons.show(page === "lessons");
    ownArm.show(page === "own-arm");
    realArm.show(page === "real-arm");
  },
  showClass: (what) => door.show(what),
  look: (from) => view.lookFromTo(from),
  problem: (message) => notices.showProblem(message),
  offer: (what) => player.offer(what),
});
const share = new Share(addressHere, () => staysHere(addressHere(), { setup: told.setup, own: told.own, walk: walk.on && told.walkable !== null }));
const log = new LogPanel(ask, {
  holding: () => sentence.holding,
  again: (direction) => {
    const { frame, task = "" } = direction;
    if (told.setup?.frame !== frame || told.setup.task !== task) ask({ type: "frame", frame, task });
    aim.settle(direction);
  },
  share: ({ text, start_deg }) => {
    if (told.setup) share.share(addressOfJogs(text, start_deg, told.setup, told.own, told.rail, view.sight));
  },
});
const pictures = new LatePictures({
  view,
  ask,
  walk: () => told.walkable,
  arm: () => ({ id: told.setup?.arm ?? "arm", name: told.armName }),
});
const teach = new TeachPanel(ask);
const faults = new FaultsPanel();
const pieces = new PiecesPanel(ask, () => view.sight);
const ways = new WaysPanel(ask, () => told.state?.tcp ?? null);
let toldOneStep = false; // that a press makes one step, however long it is
const strip = new Strip(aim, {
  press,
  release: (holder) => hold.end(holder),
  tap: (direction) => tapped([direction]),
  keptDown: (direction) => {
    if (toldOneStep || predict.on || strip.blocked(direction)) return;
    toldOneStep = true;
    notices.showProblem(oneStep(), true);
  },
  holding: () => sentence.holding,
});

const link = openLink({
  reply: (message) => {
    if (!door.takes(message)) shown.reply(message);
  },
  state: (state) => {
    hold.renewAhead(); // A timer may wait for all that is told meanwhile.
    shown.state(state);
  },
  outdated: () => {
    leave(view); // The bench is found again, too.
    location.reload();
  },
  up: () => notices.linkUp(),
  loading: (part) => notices.loading(part),
  down: (seconds, why) => {
    hold.forget();
    log.forget();
    player.forget();
    notices.linkDown(seconds, why);
  },
  lost: (to) => {
    hold.forget();
    log.forget();
    notices.linkLost(to, () => link.tryNow());
  },
});

const told = new Told({
  link: {
    get fresh() {
      return link.fresh;
    },
    send,
  },
  hold, aim, controller, view, sentence, strip, joints, reading, stops, log, player, pictures, teach, pieces, faults, ways, walkWords, lessonPanel, lessons, ownArm, realArm, follow, guide, notices, platform, askShown,
  get walk() {
    return walk;
  },
  get plot() {
    return plot;
  },
  get plotSwitch() {
    return plotSwitch;
  },
  get predict() {
    return predict;
  },
  get predictFirst() {
    return predictFirst;
  },
});

const shown = new Shown(told, {
  send: (request) => link.send(request),
  ownState: (state) => follow.setState(state),
  refused: () => notices.showProblem(say("follow.refused")),
  reads: () => door.reads(),
});

const projector = new Projector((on) => {
  theme.setProjected(on);
  view.setLeastType(on ? projectedType() : 0);
}, stop);

new Keyboard({
  used: () => {
    stops.sayNext();
    glossary.showKey();
  },
  show: (what) => (!embedded || what === "hand" || what === "walk") && shows[what](),
  frame: (frame) => sentence.askFrame(frame),
  pair: (axis) => {
    if (aim.direction && aim.direction.axis !== axis) secondAxis = aim.direction.axis;
    strip.choosePair(axis);
  },
  jog: (sign, second, holder) => {
    if (ball.nudge(second ? (sign > 0 ? "right" : "left") : sign > 0 ? "up" : "down") || predict.waits) return true;
    if (!aim.direction || (second && secondAxis < 0)) return false;
    const direction = { ...aim.direction, axis: second ? secondAxis : aim.direction.axis, sign };
    if (!second) settle(direction);
    press(direction, holder);
    return true;
  },
  undo: () => log.undo(),
  redo: () => log.redo(),
  again: () => log.again(),
  drawer: (key) => !embedded && drawers.key(key),
  release: (holder) => hold.end(holder),
  stop,
  escape: () => {
    const stopped = stop();
    if (predict.waits || glossary.shown) return; // which Esc withdraws, and puts away
    if (!stopped && stops.putAway()) return;
    const inPanel = document.activeElement?.closest(".panel"); // which is what is left there
    if ((aim.clear() && !inPanel) || stopped) return;
    if (projector.on) projector.leave();
    else drawers.close();
  },
  increment: (by) => sentence.changeIncrement(by),
  manner: () => sentence.toggleManner(),
  look: (viewpoint) => view.lookFrom(viewpoint),
  orbit: (dx, dy) => view.orbit(dx, dy),
  zoom: (factor) => view.zoom(factor),
  tip: () => view.showTip(),
  ahead: goAhead,
  number: toNumber,
  lessons: () => !embedded && byId("lessons-open").click(),
  leaveLesson: () => byId("lesson-leave").click(),
  share: () => !embedded && byId("share-box").showPopover(),
  pointer: () => pointer.toggle(),
  projector: () => !embedded && projector.toggle(),
  bare: () => !embedded && projector.toggleBare(),
  term: (by) => glossary.next(by),
});
const help = new Help();
const glossary = new Glossary(() => help.hide());

watchLanguage(() => leave(view));
watchPlaces();
watchAhead();
watchChoices();
watchForget();
keepOffline();
watchWhole(addressHere);
const drawers = new Drawers(() => notices.showProblem("")); // what was told of the last jog
const door = new ClassDoor({
  shown,
  ball,
  view,
  link,
  told,
  ask,
  notices,
  shows: () => showsNow(),
  addressHere,
  left: () => follow.leftClass(),
  entered: () => guide.putAway(),
  openDrawer: () => drawers.open("class"),
  vector: (v) => new Vector3(...v),
  bothWays: BOTH_WAYS,
});
const shows = { hand: () => handChooser.next(), walk: () => walk.toggle(), plot: () => plotSwitch.toggle(), predict: () => predictFirst.toggle() };
const handChooser = new HandChooser((where) => view.setHand(where));
const walk: Switch = new Switch("walk", (on) => told.showWalk(on));
const plot = new Plot(() => plotSwitch.toggle());
const plotSwitch: Switch = new Switch("plot-switch", (on) => {
  plot.show(on);
  askShown(on);
});
const predict = new PredictPanel(ball, ask);
const predictFirst = new Switch("predict-switch", (on) => predict.setOn(on));

const theme = new Theme((theme) => {
  view.setTheme(theme);
  plot.draw();
});
watchLayout((insets) => view.setInsets(insets));

for (const button of document.querySelectorAll<HTMLButtonElement>("[data-look]")) {
  button.addEventListener("click", () => view.lookFrom(button.dataset["look"] as Viewpoint));
}
byId("show-tip").addEventListener("click", () => view.showTip());
byId("clear-trail").addEventListener("click", () => view.clearTrail());
byId("restart").addEventListener("click", () => ask({ type: "restart" }));
// A drag in the view must not take the arrow keys away from jogging; the Tab key still reaches the view.
byId("view").addEventListener("mousedown", (event) => event.preventDefault());

/** The address of what is on the screen. In a frame with jogs to be played that stays what it is. */
function addressHere(): string {
  const { setup, state } = told;
  if (!setup || !state || player.has) return location.hash;
  return addressNow({ page: lessons.shown ? "lessons" : ownArm.shown ? "own-arm" : realArm.shown ? "real-arm" : null, lesson: lessonPanel.here, setup, own: told.own, state, rail: told.rail, view: view.sight });
}

/** Tells the bench what the page shows, so that it computes nothing else, and in which unit lengths are read. */
function askShown(withPlot = plotSwitch.on): void {
  send({ type: "unit", unit: readingUnit() });
  send(showsNow(withPlot));
}

function showsNow(plot = plotSwitch.on): Extract<Request, { type: "show" }> {
  return { type: "show", room: true, plot, of: reading.choice.of, form: reading.orientation };
}

/** What was got out or drawn before would stand in the lesson's way. An instructor's class goes on. */
function lessonOpened(): void {
  if (drawers.out !== "class") drawers.close();
  walk.off();
}

/** Leads to the buttons of a joint, and of them to the one that leads away from its limit. */
function toJoint(joint: number): void {
  sentence.askFrame("joint");
  strip.goTo(joint, joints.free(joint));
  bring(byId("strip"));
}

/** A tap moves nothing while jogs are held: that is said, or why a longer press would not either. */
function tapped(directions: Direction[]): void {
  notices.showProblem(strip.blocked(directions[0]!) || holdMeansHold());
}

/** Asks the bench for something that is no motion; whatever is held is let go first. */
function ask(request: Request): void {
  hold.end();
  send(request);
}

/** Stops whatever moves; false if nothing does. */
function stop(): boolean {
  hold.end();
  if (!told.state?.moving && !log.playing) return false;
  send({ type: "release" });
  return true;
}

/** Takes in hand what was chosen neither by pointing nor by the focus, which goes along: what Enter presses is what is announced. */
function settle(direction: Direction): void {
  aim.settle(direction);
  strip.follow(direction);
}

/** Jogs: a step, or for as long as the holder holds. */
function press(direction: Direction, holder: string): void {
  if (sentence.holding && predict.on) hold.begin([direction], holder); // which asks first, and moves nothing
  else if (sentence.holding) hold.hold([direction], holder);
  else send({ type: "step", direction });
}

declare global {
  interface Window {
    /** For tests and the curious. */
    handrule: { view: View; readonly state: State | null; readonly setup: Setup | null };
  }
}

window.handrule = {
  view,
  get state() {
    return told.state;
  },
  get setup() {
    return told.setup;
  },
};
