// Made from server/class/wire.go by `go generate ./server/class`. Do not edit.
import type { Asks, Direction, Frame, Place, ReadInRequest, SceneRequest, ShowRequest, Unit, ViewFrom } from "../wire";

/** Kind is what is asked. */
export type Kind =
  | "way" // which way the TCP will start to go, or about which axis it turns
  | "joints" // which joints will turn
  | "stop" // what will stop the jog
  | "number" // a number to read
  | "choice" // a question with options;

/** Measure is a number that can be read of the arm. */
export interface Measure {
  /** "x", "y", "z", "about-x", "about-y", "about-z" of the TCP, or "joint" */
  of: string;
  /** base, world or a task frame, for a place */
  frame: Frame;
  /** the task frame's name */
  task: string;
  /** from 0, for a joint's angle */
  joint: number;
}

/** AskRequest asks the class about the demonstrated arm as it stands. */
export interface AskRequest {
  kind: Kind;
  /** as in a jog file, such as: base y +100; for AskWay, AskJoints and AskStop */
  jog: string;
  /** for AskNumber */
  measure: Measure;
  /** of the question, for AskChoice; for the others added to it */
  text: string;
  /** for AskChoice, at least two */
  options: string[];
  /** likewise, from 0; empty where no answer is the right one */
  right: number[];
}

/** AskAgainRequest begins another round of the question, after the class has talked about it. */
export type AskAgainRequest = Record<never, never>;

/** CloseRequest ends the class: nobody joins or answers any more. It is kept as long as it is told. */
export type CloseRequest = Record<never, never>;

/** CountdownRequest shows everybody how much time is left; 0 ends it. */
export interface CountdownRequest {
  seconds: number;
}

/** DeleteRequest deletes the class with everything that was kept of it. */
export type DeleteRequest = Record<never, never>;

/** EyesRequest calls all eyes to the front: every page shows the demonstrated arm, and the learners' own come to rest. */
export interface EyesRequest {
  on: boolean;
}

/** FinishedRequest hands in the result of a lesson that was done in this class, as the server signed it. */
export interface FinishedRequest {
  text: string;
}

/** FollowRequest asks for the messages of an arm: the demonstrated one (Front), for the instructor also a learner's by its id, or none (""). They are read as the page chooses. */
export interface FollowRequest {
  whom: string;
  read_in: ReadInRequest;
  /** of whose orientation is read, in which form; the rest is not looked at */
  shows: ShowRequest;
  unit: Unit;
}

/** HandRequest raises or lowers one's hand. */
export interface HandRequest {
  up: boolean;
}

/** HandOverRequest lets a learner drive the demonstrated arm; "" takes it back at once. */
export interface HandOverRequest {
  learner: string;
}

/** HintRequest sends a few words to one learner. */
export interface HintRequest {
  learner: string;
  text: string;
}

/** JoinRequest takes a seat in the class under a name, or changes the name. What the instructor asks for beside it may be left out; what was said of it before stays then. */
export interface JoinRequest {
  name: string;
  /** "" where none is asked for */
  number: string;
  email: string;
}

/** LeaveRequest leaves the class for good: name, answers and standing are forgotten. Results that were handed in stay. */
export type LeaveRequest = Record<never, never>;

/** LookRequest tells where the demonstrated arm is looked at from, by whoever drives it. It is to be told a few times a second at most. */
export interface LookRequest {
  view: ViewFrom;
}

/** OpenRequest opens a class. */
export interface OpenRequest {
  /** for the instructor's list; may be empty */
  title: string;
  /** beside the name: "number", "e-mail" */
  ask_for: string[];
}

/** RemoveRequest removes a learner, whose device cannot join this class again. */
export interface RemoveRequest {
  learner: string;
}

/** ReplyRequest answers the question of the class, or answers it otherwise while it is open. One of the fields after the round counts. */
export interface ReplyRequest {
  question: number;
  round: number;
  /** the direction or axis, in the base frame, of any length */
  arrow: [number, number, number] | null;
  /** the point will not move at all */
  stays: boolean;
  /** which will turn, from 0 */
  joints: number[];
  /** what will stop it, one of the options */
  stop: string;
  /** what is read, in the question's unit */
  number: number | null;
  /** which are chosen, from 0 */
  options: number[];
}

/** QuestionState is how far a question is. */
export type QuestionState =
  | "open" // answers are taken; only their number is told
  | "shown" // the answers are shown, not which is right
  | "told" // the right answer is told, and why
  | "ended" // it is off the screens;

/** RevealRequest decides what is shown of the question. */
export interface RevealRequest {
  state: QuestionState;
}

/** RulesRequest sets what the instructor decides for all. A field that is left out stays. */
export interface RulesRequest {
  /** nobody new joins */
  locked?: boolean | null;
  /** on the projector and the board */
  names_hidden?: boolean | null;
}

/** SendRequest sends everybody, or one learner, to an address of the page: a lesson, a stage, or an arm as it stands. */
export interface SendRequest {
  /** from the # on */
  address: string;
  /** "" for all */
  learner: string;
}

/** WatchOverRequest asks for the board, or no longer. */
export interface WatchOverRequest {
  on: boolean;
}

export type ClassRequest =
  | ({ type: "ask" } & AskRequest)
  | ({ type: "ask-again" } & AskAgainRequest)
  | ({ type: "close" } & CloseRequest)
  | ({ type: "countdown" } & CountdownRequest)
  | ({ type: "delete" } & DeleteRequest)
  | ({ type: "eyes" } & EyesRequest)
  | ({ type: "finished" } & FinishedRequest)
  | ({ type: "follow" } & FollowRequest)
  | ({ type: "hand" } & HandRequest)
  | ({ type: "hand-over" } & HandOverRequest)
  | ({ type: "hint" } & HintRequest)
  | ({ type: "join" } & JoinRequest)
  | ({ type: "leave" } & LeaveRequest)
  | ({ type: "look" } & LookRequest)
  | ({ type: "open" } & OpenRequest)
  | ({ type: "remove" } & RemoveRequest)
  | ({ type: "reply" } & ReplyRequest)
  | ({ type: "reveal" } & RevealRequest)
  | ({ type: "rules" } & RulesRequest)
  | ({ type: "send" } & SendRequest)
  | ({ type: "watch-over" } & WatchOverRequest);

/** GroupView is answers that reveal the same. */
export interface GroupView {
  /** what they answered, in a few words that do not tell what is right */
  given: string;
  /** what that reveals, in a few plain words; "" for learners until it is told */
  name: string;
  /** the same in a sentence; "" where there is nothing more to say */
  says: string;
  count: number;
  /** in every round of the question the groups with this number reveal the same */
  alike: number;
  /** their mean; null where there is none */
  arrow: [number, number, number] | null;
  /** once that is told */
  right: boolean | null;
}

/** RoundView is a round of a question. */
export interface RoundView {
  given: number;
  /** for AskWay, unit vectors in the base frame */
  arrows: [number, number, number][];
  /** the largest first */
  groups: GroupView[];
}

/** GivenView is an answer. */
export interface GivenView {
  /** a unit vector */
  arrow: [number, number, number] | null;
  stays: boolean;
  joints: number[];
  stop: string;
  number: number | null;
  options: number[];
  /** once that is told */
  right: boolean | null;
  /** it is not kept yet, and is tried again */
  pending: boolean;
}

/** AnswersView is what the class answered, for those who may see it now: the instructor at any time on the board, everybody once it is shown. Nobody is named. */
export interface AnswersView {
  /** of the question */
  count: number;
  /** of which each was answered */
  rounds: RoundView[];
  /** once it is told */
  truth: GivenView | null;
  /** the same in words */
  right: string;
  /** and why */
  why: string;
}

/** BoardRow is a learner. */
export interface BoardRow {
  learner: string;
  /** "" while names are hidden */
  name: string;
  here: boolean;
  hand: boolean;
  /** its title; "" where they jog freely */
  lesson: string;
  /** from 1 */
  stage: number;
  stages: number;
  /** of the stage */
  title: string;
  /** tasks */
  done: number;
  tasks: number;
  /** at this task */
  tries: number;
  /** seconds at this stage */
  at_s: number;
  /** since they did anything */
  quiet_s: number;
  /** why they seem to be, in a few words; "" where they do not */
  stuck: string;
  /** that have arrived */
  results: number;
  /** questions of the class answered rightly at last */
  right: number;
  /** the demonstrated arm */
  drives: boolean;
}

/** TroubleView is a task that goes wrong. */
export interface TroubleView {
  lesson: string;
  stage: string;
  /** learners at it */
  there: number;
  /** who have done it */
  done: number;
  /** tries, in all */
  failed: number;
  /** what the wrong answers reveal */
  how: GroupView[];
}

/** AskedView is a question that was asked. */
export interface AskedView {
  text: string;
  /** "" where there is none */
  right: string;
  rounds: RoundView[];
}

/** BoardView is the class as its instructor sees it. */
export interface BoardView {
  rows: BoardRow[];
  /** tasks that go wrong, the worst first */
  troubles: TroubleView[];
  /** questions so far */
  asked: AskedView[];
}

/** SentView is where everybody was sent last. */
export interface SentView {
  /** of the sendings; 0: nobody was sent anywhere */
  count: number;
  address: string;
}

/** ClassView is the class as everybody in it sees it. */
export interface ClassView {
  code: string;
  title: string;
  ended: boolean;
  locked: boolean;
  names_hidden: boolean;
  ask_for: string[];
  /** who joined */
  learners: number;
  /** of these, who are connected */
  here: number;
  /** that are up */
  hands: number;
  /** all look to the front */
  eyes: boolean;
  sent: SentView;
  /** left when this was told; null: none runs */
  countdown_ms: number | null;
  /** a learner drives the demonstrated arm */
  driven: boolean;
  /** their name; "" where names are hidden */
  driver: string;
  /** there is a demonstrated arm: its page is connected */
  front: boolean;
}

/** Opened is a class that was opened. */
export interface Opened {
  code: string;
}

/** Problem tells what could not be done. */
export interface Problem {
  message: string;
  /** the connection ends, and is not to be tried again as it is */
  fatal: boolean;
}

/** Wait comes before anything else where too many codes that are none came from the same address. Right or wrong, this one is looked at after some seconds. */
export interface Wait {
  seconds: number;
}

/** Role is who one is in a class. */
export type Role =
  | "instructor"
  | "learner";

/** Welcome is the first message of a connection that is let in. */
export interface Welcome {
  role: Role;
  /** of the class; "" where an instructor has none open */
  code: string;
  /** the learner's own, to come back with; "" for the instructor */
  token: string;
  /** what others know them by; "" for the instructor */
  learner: string;
  /** that learners open, with the code in it */
  address: string;
  /** that a class is kept after it ended */
  days: number;
  /** over https */
  secure: boolean;
}

/** Listing is a class in the list. */
export interface Listing {
  code: string;
  title: string;
  /** RFC 3339 */
  opened: string;
  ended: boolean;
  learners: number;
  results: number;
}

/** ClassesView lists the instructor's classes, the latest first. */
export interface ClassesView {
  classes: Listing[];
}

/** FrontView is the demonstrated arm where it stood last, exactly, so that one's own can be put there. */
export interface FrontView {
  scene: SceneRequest;
  /** that it is in, its id; "" for none */
  lesson: string;
  /** from 0 */
  stage: number;
}

/** LookView is where the demonstrated arm is looked at from, for pages that look at it likewise. */
export interface LookView {
  view: ViewFrom;
}

/** MineView is what only the learner is told. */
export interface MineView {
  joined: boolean;
  name: string;
  hand: boolean;
  /** the demonstrated arm is theirs to drive */
  drives: boolean;
  /** from the instructor; "" for none */
  hint: string;
  /** so many came */
  hints: number;
  /** where they alone were sent */
  sent: SentView;
  /** when a result of theirs arrived last, ms since 1970; 0: none has */
  arrived: number;
}

/** QuestionView is the question of the class; count 0: there is none. */
export interface QuestionView {
  /** of the questions of this class */
  count: number;
  /** from 1 */
  round: number;
  state: QuestionState;
  kind: Kind;
  /** "" where none is asked about */
  jog: string;
  /** the same */
  way: Direction | null;
  /** for AskWay: the way or the axis */
  asks: Asks;
  /** of the question, a sentence */
  text: string;
  /** the TCP, in the base frame */
  at: Place;
  /** for AskStop and AskChoice, as people read them */
  options: string[];
  /** for AskStop: as they are answered */
  words: string[];
  /** more than one option may be chosen */
  several: boolean;
  /** of a number: "mm", "inch" or "°" */
  unit: string;
  /** who could answer */
  here: number;
  /** who did, in this round */
  given: number;
  /** the learner's own answer in this round; null before */
  mine: GivenView | null;
}

export type ClassReply =
  | ({ type: "answers" } & AnswersView)
  | ({ type: "board" } & BoardView)
  | ({ type: "class" } & ClassView)
  | ({ type: "class-opened" } & Opened)
  | ({ type: "class-problem" } & Problem)
  | ({ type: "class-wait" } & Wait)
  | ({ type: "class-welcome" } & Welcome)
  | ({ type: "classes" } & ClassesView)
  | ({ type: "front" } & FrontView)
  | ({ type: "look" } & LookView)
  | ({ type: "mine" } & MineView)
  | ({ type: "question" } & QuestionView);
