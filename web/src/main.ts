// Wires the page together: the bench's replies go to the view and the panels, the learner's doing goes to the bench.
import { Aim } from "./input/aim";
import { Ball } from "./predict/ball";
import { byId, write } from "./basics/dom";
import { comeBack, leave } from "./shell/comeback";
import { Controller } from "./input/controller";
import { Drag } from "./input/drag";
import { FaultsPanel } from "./panels/faults";
import { Glossary } from "./shell/glossary";
import { Help } from "./shell/help";
import { Hold } from "./input/holds";
import { JointsPanel } from "./panels/joints";
import { Keyboard } from "./input/keyboard";
import { watchLanguage } from "./shell/language";
import { watchLayout } from "./shell/layout";
import { LessonPanel } from "./lesson/lesson";
import { LogPanel } from "./panels/log";
import { Notices } from "./shell/notices";
import { PiecesPanel } from "./panels/pieces";
import { bring, watchPlaces } from "./shell/places";
import { Plot } from "./panels/plot";
import { Pointer } from "./input/pointer";
import { PredictPanel } from "./predict/predict";
import { projectedType, Projector } from "./shell/projector";
import { ReadingPanel } from "./panels/reading";
import { Sentence } from "./jog/sentence";
import { HandChooser, Switch } from "./shell/show";
import { Link } from "./link/socket";
import { StopPanel } from "./panels/stop";
import { Strip } from "./jog/strip";
import { TeachPanel } from "./panels/teach";
import { watchTheme } from "./shell/theme";
import { WalkWords } from "./panels/walk";
import { View, type Viewpoint } from "./view/view";
import { withheld } from "./lesson/lessonwords";
import { WaysPanel } from "./panels/ways";
import { directionMark, handSays, holdMeansHold, originHeight, viewUnavailable } from "./basics/words";
import type { Direction, Frame, Ghost, LessonMessage, Reply, Request, Setup } from "./wire";
import type { State } from "./link/state";

const notices = new Notices();
const view = new View(byId("view"), {
  nameOf: directionMark,
  originSays: originHeight,
  onUnavailable: () => notices.showUnavailable(viewUnavailable()),
  reducedMotion: window.matchMedia("(prefers-reduced-motion: reduce)").matches,
});

const pointer = new Pointer(view);
view.hand.onShown = (what) => write(byId("hand-says"), what ? handSays(what.turn) : "");
view.onDrawn = () => {
  pointer.drawn();
  drag.drawn();
  ball.drawn();
};
let state: State | null = null;
let setup: Setup | null = null;
let lesson: LessonMessage | null = null;
let ghost: Ghost | null = null;
let secondAxis = -1; // of the pair that was chosen before the one in hand

const hold = new Hold(
  (request) => link.send(request),
  () => drag.ended(),
);
const aim = new Aim((request) => link.send(request), markStrip);
const drag = new Drag(view, hold, (direction) => aim.drawn(direction));
const controller = new Controller({
  begin: (directions, part) => {
    aim.settle(directions[0]!);
    hold.begin(directions, "controller", { part });
  },
  steer: (part) => hold.steer("controller", { part }),
  end: () => hold.end("controller"),
  aim: (direction) => aim.settle(direction),
  orbit: (dx) => view.orbit(dx, 0),
});
const joints = new JointsPanel(toJoint);
const stops = new StopPanel({
  ask,
  holding: () => sentence.holding,
  toJoint,
});
const reading = new ReadingPanel(() => {
  askShown();
  showLesson();
  showWalk();
  ways.setUnit(reading.unit);
}, ask);
const walkWords = new WalkWords();
const ball = new Ball(view);
const lessonPanel = new LessonPanel(ask, ball);
const sentence = new Sentence({ ask, openLesson: (id) => lessonPanel.open(id), mannerChanged: () => stops.sayNext() });
const log = new LogPanel(ask);
const teach = new TeachPanel(ask);
const faults = new FaultsPanel();
const pieces = new PiecesPanel(ask, () => view.sight);
const ways = new WaysPanel(ask, () => state?.tcp ?? null);
const strip = new Strip(aim, {
  press,
  release: (holder) => hold.end(holder),
  tap: () => notices.showProblem(holdMeansHold()),
  holding: () => sentence.holding,
});

const link = new Link({
  reply,
  state: (message) => {
    if (state && state.put !== message.put) {
      stops.clear();
      aim.reset();
    }
    state = message;
    view.setState(message);
    showSoon();
  },
  outdated: () => {
    leave(view); // The bench is found again, too.
    location.reload();
  },
  up: () => notices.linkUp(),
  down: (seconds) => {
    hold.forget();
    log.forget();
    notices.linkDown(seconds);
  },
});

const projector = new Projector((on) => view.setLeastType(on ? projectedType() : 0), stop);

new Keyboard({
  show: (what) => shows[what](),
  frame: (frame) => sentence.askFrame(frame),
  pair: (axis) => {
    if (aim.direction && aim.direction.axis !== axis) secondAxis = aim.direction.axis;
    strip.choosePair(axis);
  },
  jog: (sign, second, holder) => {
    if (ball.nudge(second ? (sign > 0 ? "right" : "left") : sign > 0 ? "up" : "down") || predict.waits) return true;
    if (!aim.direction || (second && secondAxis < 0)) return false;
    const direction = { ...aim.direction, axis: second ? secondAxis : aim.direction.axis, sign };
    if (!second) aim.settle(direction);
    press(direction, holder);
    return true;
  },
  undo: () => ask({ type: "undo" }),
  release: (holder) => hold.end(holder),
  stop,
  escape: () => {
    const stopped = stop();
    if (predict.waits) return; // which Esc withdraws
    if (!aim.clear() && !stopped) projector.leave();
  },
  increment: (by) => sentence.changeIncrement(by),
  manner: () => sentence.toggleManner(),
  look: (viewpoint) => view.lookFrom(viewpoint),
  orbit: (dx, dy) => view.orbit(dx, dy),
  zoom: (factor) => view.zoom(factor),
  pointer: () => pointer.toggle(),
  projector: () => projector.toggle(),
  bare: () => projector.toggleBare(),
  term: (by) => glossary.next(by),
});
new Help();
const glossary = new Glossary();

watchLanguage(() => leave(view));
watchPlaces();
const shows = { hand: () => handChooser.next(), walk: () => walk.toggle(), plot: () => plotSwitch.toggle(), predict: () => predictFirst.toggle() };
const handChooser = new HandChooser((where) => view.setHand(where));
const walk: Switch = new Switch("walk", (on) => showWalk(on));
const plot = new Plot(() => plotSwitch.toggle());
const plotSwitch: Switch = new Switch("plot-switch", (on) => {
  plot.show(on);
  askShown(on);
});
const predict = new PredictPanel(ball, ask);
const predictFirst = new Switch("predict-switch", (on) => predict.setOn(on));

watchTheme((theme) => {
  view.setTheme(theme);
  plot.draw();
});
watchLayout((insets) => view.setInsets(insets));

for (const button of document.querySelectorAll<HTMLButtonElement>("[data-look]")) {
  button.addEventListener("click", () => view.lookFrom(button.dataset["look"] as Viewpoint));
}
byId("clear-trail").addEventListener("click", () => view.clearTrail());
byId("restart").addEventListener("click", () => ask({ type: "restart" }));
// A drag in the view must not take the arrow keys away from jogging; the Tab key still reaches the view.
byId("view").addEventListener("mousedown", (event) => event.preventDefault());

/** Tells the bench what the page shows, so that it computes nothing else. */
function askShown(withPlot = plotSwitch.on): void {
  link.send({ type: "show", room: true, plot: withPlot, of: reading.choice.of, form: reading.orientation });
}

/** Leads to the buttons of a joint. */
function toJoint(joint: number): void {
  sentence.askFrame("joint");
  strip.goTo(joint);
  bring(byId("strip"));
}

/** Asks the bench for something that is no motion; whatever is held is let go first. */
function ask(request: Request): void {
  hold.end();
  link.send(request);
}

/** Stops whatever moves; false if nothing does. */
function stop(): boolean {
  hold.end();
  if (!state?.moving && !log.playing) return false;
  link.send({ type: "release" });
  return true;
}

/** Jogs: a step, or for as long as the holder holds. */
function press(direction: Direction, holder: string): void {
  if (sentence.holding) hold.begin([direction], holder);
  else link.send({ type: "step", direction });
}

function reply(message: Reply): void {
  switch (message.type) {
    case "welcome":
      hold.setLease(message.lease_ms);
      askShown();
      sentence.setWelcome(message);
      lessonPanel.welcome();
      aim.reset();
      predict.setOn(predictFirst.on);
      break;
    case "arm":
      view.setArm(message);
      joints.setArm(message);
      walkWords.setArm(message);
      plot.setArm(message.id);
      sentence.setArm(message);
      stops.clear();
      aim.reset();
      break;
    case "cell":
      view.setCell(message);
      sentence.setCell(message);
      reading.setCell(message);
      walkWords.setCell(message);
      showWalk();
      break;
    case "setup":
      applySetup(message);
      break;
    case "ghost":
      ghost = message;
      // What was queued or played has ended; nobody aims at where it went.
      if (message.direction && !aim.direction) link.send({ type: "aim", direction: null });
      showGhost();
      break;
    case "stop":
      hold.stopped(message);
      showNow();
      stops.setStop(message);
      break;
    case "lesson":
      applyLesson(message);
      break;
    case "progress":
      lessonPanel.keep(message);
      break;
    case "result":
      lessonPanel.setResult(message);
      break;
    case "room":
      strip.setRoom(message);
      stops.setRoom(message);
      break;
    case "recording":
      plot.setRecording(message);
      break;
    case "log":
      log.setLog(message);
      break;
    case "log-file":
      log.saveFile(message);
      break;
    case "play":
      log.setPlay(message);
      break;
    case "teach":
      teach.setTeach(message);
      view.setTaught(message);
      break;
    case "piece":
      pieces.setPiece(message);
      break;
    case "offer":
      sentence.setOffer(message);
      break;
    case "faults":
      faults.setFaults(message);
      break;
    case "predictions":
      if (message.question) view.clearWays(); // what was played is over, and would hide the ball
      predict.set(message);
      showPredicting();
      showRoom();
      break;
    case "ways":
      ways.set(message, reading.unit);
      view.setGoal(ways.marked(message));
      if (!message.joint) view.clearWays();
      break;
    case "way":
      view.play(message, ways.name(message));
      break;
    case "problem":
      notices.showProblem(message.message);
      break;
  }
}

function applySetup(message: Setup): void {
  const before = setup;
  setup = message;
  sentence.setSetup(message);
  stops.setSetup(message);
  reading.setSetup(message);
  showWalk();
  if (before?.tool !== message.tool || before.arm !== message.arm) view.setTool(message.tool);
  if (before?.frame === message.frame && before.task === message.task) return;
  view.setFrame(message.frame, message.task);
  strip.setFrame(message.frame, message.task);
  controller.setFrame(message.frame, message.task);
  reading.setFrame(message.frame);
  aim.turn(message.frame, message.task);
}

function applyLesson(message: LessonMessage): void {
  const before = lesson;
  lesson = message;
  const { hidden, frames, withheld: waits } = message.allow;
  const may = (frame: Frame): boolean => frames.length === 0 || frames.includes(frame);
  // A stage, or a try of it, has begun with the arm in another place.
  const begun = before?.id !== message.id || before.stage !== message.stage || (before.task?.jogs ?? 0) > (message.task?.jogs ?? 0);
  if (begun && message.id !== "") {
    view.clearTrail();
    stops.clear();
  }
  showPredicting();
  // A stage's view is taken up when it begins, and then left to the learner.
  if (message.view && (before?.id !== message.id || before.stage !== message.stage)) view.lookFromTo(message.view);
  document.body.dataset["hides"] = hidden.join(" ");
  view.setTarget(message.target, message.target?.reached ?? false);
  view.setTrailShown(!hidden.includes("trail"));
  sentence.setAllow(message.allow, message.id !== "");
  showRoom();
  stops.setAllow(hidden, waits ? withheld(message.task?.state === "failed") : "", may("joint"));
  byId<HTMLButtonElement>("walk").disabled = hidden.includes("walk");
  showGhost();
  showWalk();
  showLesson();
  if (!before) comeBackSoon();
}

/** The page has all it shows of the bench; where it was left, it is when that is laid out and drawn. */
function comeBackSoon(): void {
  requestAnimationFrame(() => comeBack(view));
}

/** Leaves out of the picture what would give the direction away that is asked for. */
function showPredicting(): void {
  view.setPredicting(predict.on || lesson?.task?.predict?.ask === "direction");
}

/** Shows the room to move, unless the lesson does without or it would give a prediction away. */
function showRoom(): void {
  strip.setRoomShown(!predict.on && !lesson?.allow.hidden.includes("room"));
}

/** Shows the ghost as far as the lesson lets it be seen. */
function showGhost(): void {
  if (!ghost) return;
  const hidden = lesson?.allow.hidden ?? [];
  const without: Ghost = { ...ghost, direction: null };
  view.setGhost(hidden.includes("ghost") ? without : ghost);
  joints.setGhost(hidden.includes("share") ? without : ghost);
  stops.setGhost(ghost);
}

let scheduled = 0;

/** Shows the newest state in the panels once a frame, however often it comes. */
function showSoon(): void {
  scheduled ||= requestAnimationFrame(showNow);
}

function showNow(): void {
  cancelAnimationFrame(scheduled);
  scheduled = 0;
  if (!state) return;
  joints.setState(state);
  reading.setState(state);
  stops.setState(state);
  strip.setTick(state.tick);
  markStrip();
}

/** Draws the coordinate walk of what is read, and says where it begins. */
function showWalk(on = walk.on): void {
  const choice = on && !lesson?.allow.hidden.includes("walk") ? reading.choice : null;
  view.setWalk(choice);
  walkWords.show(choice);
}

function showLesson(): void {
  if (lesson) lessonPanel.setLesson(lesson, reading.unit, sentence.lessonLang);
}

function markStrip(): void {
  strip.mark(aim.direction, state?.moving ?? null);
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
    return state;
  },
  get setup() {
    return setup;
  },
};
