// Made from server/bench/wire.go and frame.go by `go generate ./server/bench`. Do not edit.

export const WIRE_VERSION = 2;

/** Frame is what a jog's directions are measured in (ISO 9787). */
export type Frame =
  | "joint" // each joint about its own axis
  | "world" // along and about the axes of the world frame, which the arm may be mounted askew in
  | "base" // along and about the axes of the base frame
  | "task" // along and about the axes of a named frame of the cell
  | "tool" // along and about the axes of the tool frame as it stands when the jog starts;

/** Direction is one of the twelve ways to jog in a frame. In the joint frame Axis 0…5 is J1…J6. In the others 0, 1 and 2 are straight along X, Y and Z, and 3, 4 and 5 are turns about X, Y and Z through the TCP. Sign is +1 or -1. */
export interface Direction {
  frame: Frame;
  /** the name of the task frame, where Frame is one */
  task?: string;
  axis: number;
  sign: number;
}

/** AimRequest asks for the ghost of the next step in a direction; nothing is aimed at when it is null. */
export interface AimRequest {
  direction: Direction | null;
}

/** AnswerRequest answers the task of the stage. Only the part that it asks for is looked at. */
export interface AnswerRequest {
  /** which way a point will go, in the base frame */
  arrow: [number, number, number] | null;
  /** the same by name, one of the task's options */
  direction: string;
  /** which joints will move, from 0 */
  joints: number[];
  /** what will stop it, one of the task's options */
  stop: string;
  /** what is read, in the task's unit */
  number: number | null;
  /** which are chosen, from 0 */
  options: number[];
}

/** ArmRequest puts another shipped arm on the bench, at its start joints. It leaves the lesson. */
export interface ArmRequest {
  id: string;
}

/** CellRequest puts the arm in a shipped cell; an empty id leaves it alone on its mounting surface. It goes back to its start joints and leaves the lesson. */
export interface CellRequest {
  id: string;
}

/** ExtraTimeRequest asks for the time that an instructor's code gives. */
export interface ExtraTimeRequest {
  code: string;
}

/** FrameRequest chooses the active frame; a task frame by its name. */
export interface FrameRequest {
  frame: Frame;
  task: string;
}

/** HoldRequest starts a continuous jog, and renews its lease when it comes again with the same press number. A press that has ended, for whatever reason, cannot be renewed: the control must be let go and pressed again. Several directions of one frame move the arm along their sum. When the directions of a press change, it is a new press: the arm comes to rest and goes on the new way. Bound and speed part may change with every renewal. A bound is for a press of one direction: how far along it, mm or degrees from where the press began, the arm is to come. It stops exactly there and waits, held, until the bound moves on; a bound behind the arm brings it back. */
export interface HoldRequest {
  press: number;
  directions: Direction[];
  /** left out: as far as it is held */
  bound?: number | null;
  /** of the chosen speed, above 0 and at most 1; left out: all of it */
  speed_part?: number | null;
}

/** IncrementRequest sets the amount of a step jog: mm for straight ones, degrees for turns and joints. */
export interface IncrementRequest {
  mm: number;
  deg: number;
}

/** LessonRequest opens a lesson: its arm in its cell, at the named stage, or else at its first or where the progress leads. An empty id leaves the lesson. */
export interface LessonRequest {
  id: string;
  /** from a ProgressMessage; "" starts the lesson afresh */
  progress: string;
  /** to draw its numbers from; null lets the server choose */
  seed: number | null;
  /** from 0; left out: where the progress leads */
  stage?: number | null;
}

/** OwnArmKind says what a table of the learner's own arm holds. */
export type OwnArmKind =
  | "dh" // Denavit-Hartenberg parameters
  | "measures" // what was measured with a tape
  | "whole" // no table: an arm file, as the page makes one of a URDF file;

/** Convention is how a table is read. */
export type Convention =
  | "classic"
  | "modified";

/** OwnArmRequest asks what a table says of the learner's own arm so far, and where its joints are at those angles. An OwnArmMessage answers. */
export interface OwnArmRequest {
  kind: OwnArmKind;
  /** of a table, a row a line, its cells parted by tabs; of an arm file */
  text: string;
  name: string;
  convention: Convention;
  /** the axis of frame 0 that points forward; "" for x */
  forward: string;
  mount_height_mm: number;
  at_deg: [number, number, number, number, number, number];
}

/** OwnArmFileRequest hands in the learner's own arm file, which is then offered; no text takes it back. An OwnArmFileMessage answers. */
export interface OwnArmFileRequest {
  text: string;
  /** put it in the simulator */
  show: boolean;
}

/** PieceOf is what a piece of a lesson file is made of. */
export type PieceOf =
  | "pose" // where the arm stands, as the start of a stage
  | "target" // where the TCP is in the frame that positions are read in, as a place to reach
  | "view" // where the page looks from;

/** PieceRequest asks for a piece of a lesson file to copy. */
export interface PieceRequest {
  of: PieceOf;
  /** for PieceView: where the eye is, in the world */
  from_mm: [number, number, number];
  /** and what it looks at */
  at_mm: [number, number, number];
}

/** PlayRequest drives the jogs of a file from where the arm stands. */
export interface PlayRequest {
  /** of the file, for messages */
  name: string;
  text: string;
}

/** PredictRequest answers the question that waits, by one of its first three fields; the arm then makes the jog. */
export interface PredictRequest {
  /** the direction or axis, in the base frame, of any length */
  arrow: [number, number, number] | null;
  /** which will turn, from 0 */
  joints: number[];
  /** the arm will not move at all */
  stays: boolean;
  /** the jog is not to be made */
  withdraw: boolean;
  /** forgets all predictions given so far */
  forget: boolean;
}

/** PredictFirstRequest switches on or off that a jog is asked about before it is made. A hold then becomes a step in its direction, made when it has been answered. */
export interface PredictFirstRequest {
  on: boolean;
  /** asks which joints will turn, and not which way the TCP will go */
  joints: boolean;
}

/** RailRequest moves the carriage that the arm stands on to that place of its rail. The arm stands meanwhile, and the log begins anew. */
export interface RailRequest {
  mm: number;
}

/** ReadInRequest chooses the frame that positions are read in: base, world, or a task frame by its name. */
export interface ReadInRequest {
  frame: Frame;
  task: string;
}

/** RealArmReading is one pose of a real arm as its display shows it. */
export interface RealArmReading {
  joints_deg: [number, number, number, number, number, number];
  /** of the TCP in the base frame */
  at_mm: [number, number, number];
}

/** RealArmRequest asks for poses to jog the real arm to, where there are no readings; else what the readings say of the arm on the bench with its tool. A RealArmMessage answers. */
export interface RealArmRequest {
  /** 3 to 12 */
  poses: number;
  readings: RealArmReading[];
}

/** ReleaseRequest ends whatever moves. */
export type ReleaseRequest = Record<never, never>;

/** RestartRequest sets the arm back to its start joints, or to others, which are not its start joints then; in a lesson to where the stage began. */
export interface RestartRequest {
  /** left out: the start joints */
  joints_deg?: [number, number, number, number, number, number] | null;
}

/** ResultRequest asks for the signed result of a lesson; an assessment is handed in before. */
export interface ResultRequest {
  /** as they name themselves */
  learner: string;
  /** "" where none is asked for */
  number: string;
  email: string;
}

/** SaveLogRequest asks for the log as a file. */
export type SaveLogRequest = Record<never, never>;

/** SceneRequest puts an arm in a cell with a tool, standing at those joints: what the page opens with, or an address names. It leaves the lesson. */
export interface SceneRequest {
  arm: string;
  /** "" for none */
  cell: string;
  /** "" for the arm's first */
  tool: string;
  /** left out: where the arm starts */
  joints_deg?: [number, number, number, number, number, number] | null;
  /** where the carriage is on its rail; left out: where the cell has it */
  rail_mm?: number | null;
  /** the file of the arm where it is somebody's own; left out: it is among those that are offered */
  own?: string;
}

/** SetDistanceRequest sets the clearance in mm at which the arm stops; 0 lets it go until it touches. */
export interface SetDistanceRequest {
  mm: number;
}

/** Whose is whose orientation is read. */
export type Whose =
  | "tcp"
  | "flange";

/** Form is a way to write an orientation as numbers. */
export type Form =
  | "fixed_xyz" // three angles about the fixed X, Y, Z
  | "moving_zyx" // about Z, Y, X, each turned with the ones before
  | "zyz" // about Z, the turned Y, the turned Z
  | "axis_angle" // the axis, zeros where there is no turn, and the angle
  | "quaternion" // w, x, y, z
  | "matrix" // by rows;

/** ShowRequest says what the page shows, so that nothing is computed or sent that it does not. */
export interface ShowRequest {
  /** the room to move */
  room: boolean;
  /** the recordings of jogs */
  plot: boolean;
  /** whose orientation is read */
  of: Whose;
  /** in which form */
  form: Form;
}

/** SpeedRequest sets the speed: mm/s for straight jogs, at most 250; degrees/s for turns and joints. */
export interface SpeedRequest {
  mm_s: number;
  deg_s: number;
}

/** StageDo is what a StageRequest does. */
export type StageDo =
  | "go" // goes to a stage
  | "again" // puts the arm back to where the stage began, for the next try
  | "give-up" // gives the task up for good
  | "begin" // begins an assessment: its time runs from then on
  | "hand-in" // hands an assessment in: nothing counts after that
  | "show" // lets the arm make the jog that was to be predicted;

/** StageRequest does something about the stage of the open lesson. */
export interface StageRequest {
  do: StageDo;
  /** from 0, for StageGo */
  stage: number;
}

/** StepRequest asks for one step jog of the bench's increment. */
export interface StepRequest {
  direction: Direction;
}

/** TeachDo is what a TeachRequest does. */
export type TeachDo =
  | "origin" // the TCP is at the frame's origin
  | "x" // the TCP is on its +X axis
  | "xy" // the TCP is in its X-Y plane, on the side of +Y
  | "frame" // makes the frame of the three points
  | "touch" // the tool touches the tip
  | "forget" // forgets points and touches
  | "use-tcp" // takes the TCP that was found;

/** TeachRequest does one step of teaching a task frame or finding a TCP. */
export interface TeachRequest {
  do: TeachDo;
  /** of the frame, for TeachFrame */
  name: string;
}

/** ToolRequest mounts a tool of the arm by name; "none" is the bare flange. */
export interface ToolRequest {
  name: string;
}

/** UndoRequest drives the arm back along the path of the last jog. */
export type UndoRequest = Record<never, never>;

/** Unit is what lengths are read in. Everything is computed in mm; an inch reading is a mm reading divided, never another number. */
export type Unit =
  | "mm"
  | "inch";

/** UnitRequest chooses what lengths are read in, in all that the bench says. Numbers of messages stay mm. */
export interface UnitRequest {
  unit: Unit;
}

/** WaysDo is what a WaysRequest does. The first three set the place; where the arm is not there, the comparison begins at once. */
export type WaysDo =
  | "lesson" // the lesson's target
  | "here" // where the TCP is now
  | "numbers" // the place with these numbers
  | "begin" // begins the comparison anew, from where the arm stands
  | "clear" // forgets the place
  | "show" // sends a way to be shown;

/** WayName is one of the two ways. */
export type WayName =
  | "joints"
  | "straight";

/** WaysRequest compares two ways to a place, by single joints and straight along the base frame, with the learner's own. */
export interface WaysRequest {
  do: WaysDo;
  /** for WaysNumbers: position and fixed X-Y-Z angles, in the frame that positions are read in */
  numbers: [number, number, number, number, number, number] | null;
  /** for WaysShow */
  way: WayName;
}

export type Request =
  | ({ type: "aim" } & AimRequest)
  | ({ type: "answer" } & AnswerRequest)
  | ({ type: "arm" } & ArmRequest)
  | ({ type: "cell" } & CellRequest)
  | ({ type: "extra-time" } & ExtraTimeRequest)
  | ({ type: "frame" } & FrameRequest)
  | ({ type: "hold" } & HoldRequest)
  | ({ type: "increment" } & IncrementRequest)
  | ({ type: "lesson" } & LessonRequest)
  | ({ type: "own-arm" } & OwnArmRequest)
  | ({ type: "own-arm-file" } & OwnArmFileRequest)
  | ({ type: "piece" } & PieceRequest)
  | ({ type: "play" } & PlayRequest)
  | ({ type: "predict" } & PredictRequest)
  | ({ type: "predict-first" } & PredictFirstRequest)
  | ({ type: "rail" } & RailRequest)
  | ({ type: "read-in" } & ReadInRequest)
  | ({ type: "real-arm" } & RealArmRequest)
  | ({ type: "release" } & ReleaseRequest)
  | ({ type: "restart" } & RestartRequest)
  | ({ type: "result" } & ResultRequest)
  | ({ type: "save-log" } & SaveLogRequest)
  | ({ type: "scene" } & SceneRequest)
  | ({ type: "set-distance" } & SetDistanceRequest)
  | ({ type: "show" } & ShowRequest)
  | ({ type: "speed" } & SpeedRequest)
  | ({ type: "stage" } & StageRequest)
  | ({ type: "step" } & StepRequest)
  | ({ type: "teach" } & TeachRequest)
  | ({ type: "tool" } & ToolRequest)
  | ({ type: "undo" } & UndoRequest)
  | ({ type: "unit" } & UnitRequest)
  | ({ type: "ways" } & WaysRequest);

/** JointView is one joint at the measured pose; its limits are what the arm's own display shows. */
export interface JointView {
  name: string;
  at_mm: [number, number, number];
  axis: [number, number, number];
  /** its angle at the measured pose */
  measured_deg: number;
  limits_deg: [number, number];
  speed_deg_s: number;
}

/** OriginView says where on the arm the base frame's origin is, at the measured pose. */
export interface OriginView {
  /** from the axis of joint 1 */
  from_j1_mm: number;
  /** how much higher joint 2's axis is, where it passes joint 1's */
  below_joint2_mm: number;
}

/** Place is a frame in the base frame, for drawing. */
export interface Place {
  p: [number, number, number];
  q: [number, number, number, number];
}

/** Capsule is a cylinder with round ends, carried by a link. */
export interface Capsule {
  link: number;
  from_mm: [number, number, number];
  to_mm: [number, number, number];
  radius_mm: number;
}

/** ToolView is a tool in the flange's frame. */
export interface ToolView {
  name: string;
  /** its name in the language of the page */
  title: string;
  tcp: Place;
  /** its TCP, by the learner, so that no scene has it */
  found: boolean;
  body: Capsule[];
}

/** MeshView is a surface that is drawn instead of the bodies of a link or a tool. */
export interface MeshView {
  link: number;
  /** "" for a link's */
  tool: string;
  /** its path in the folder that the page gets the arm's files from */
  file: string;
  /** at the measured pose in the base frame; a tool's in the flange's frame */
  at: Place;
  scale: [number, number, number];
  /** where the file has none; "" for the page's own */
  colour: string;
}

/** ArmMessage describes the arm at the pose in which it was measured, in the base frame. */
export interface ArmMessage {
  id: string;
  name: string;
  about: string;
  /** base frame's origin above the floor it stands on */
  mount_height_mm: number;
  /** a rough size, for the camera */
  reach_mm: number;
  joints: [JointView, JointView, JointView, JointView, JointView, JointView];
  origin: OriginView;
  flange: Place;
  body: Capsule[];
  /** the bare flange, "none", is the last */
  tools: ToolView[];
  meshes: MeshView[];
}

/** RailView is the rail that the arm's carriage is on. */
export interface RailView {
  from_mm: number;
  to_mm: number;
  at_mm: number;
}

/** ThingView is something that the arm can touch. */
export interface ThingView {
  name: string;
  /** "box", "cylinder", "sphere" or "half-space" */
  shape: string;
  /** a box's edges; radius, radius and length; or the radius three times */
  size_mm: [number, number, number];
  place: Place;
}

/** TaskView is a task frame. */
export interface TaskView {
  name: string;
  /** what it is called in the page's language */
  title: string;
  place: Place;
  /** by the learner, so that no scene has it */
  taught: boolean;
}

/** CellMessage is what stands around the arm, in the world frame. Without a cell the world is the base frame. */
export interface CellMessage {
  id: string;
  name: string;
  about: string;
  /** the base frame in the world */
  base: Place;
  /** height of the floor; null where the arm's mounting surface is taken for it */
  floor_mm: number | null;
  /** null where the arm is bolted down */
  rail: RailView | null;
  things: ThingView[];
  tasks: TaskView[];
}

/** ClockMessage is how much time is left for an assessment, by the server's clock at the time it is told. */
export interface ClockMessage {
  running: boolean;
  left_s: number;
}

/** Fault is one thing that is wrong with a file. */
export interface Fault {
  file: string;
  /** from 1; 0 where the file as a whole is meant */
  line: number;
  column: number;
  message: string;
  /** the line and a mark under the column; may be empty */
  excerpt: string;
}

/** FaultsMessage is what is wrong with the file of what is open, or of the lesson that is to be opened; empty where nothing is. */
export interface FaultsMessage {
  /** of the file: its name without its ending */
  id: string;
  /** something by that id is open, and can be used */
  open: boolean;
  /** as it was before the file was saved */
  old: boolean;
  faults: Fault[];
}

/** FramesView is where the chosen frames are, in the base frame. */
export interface FramesView {
  /** the frame that positions are read in */
  read: Place;
  /** the active frame; the base frame for joints; null for the tool frame, which is where the TCP is */
  active: Place | null;
}

/** Reason is why a jog ended. */
export type Reason =
  | "done" // the step is complete
  | "released" // the control was let go
  | "link lost" // nobody renewed the hold in time
  | "joint limit" // a joint stands at its limit
  | "out of reach" // no joint angles put the TCP further along
  | "singularity" // going on at any useful speed needs a joint faster than it can turn
  | "contact" // the arm touches something, or itself
  | "set distance" // going on would bring the arm nearer to something than the set clearance
  | "not computed" // how the arm goes on was not found within the bound of work;

/** StopMessage says why a motion ended. */
export interface StopMessage {
  /** of the motions that have ended since the arm was put where it began, this one included */
  count: number;
  reason: Reason;
  direction: Direction;
  /** the joint at its limit or racing; "" where none */
  joint: string;
  /** how far the jog got, mm or degrees */
  travel: number;
  /** what made the arm stop, in a few words; "" for an ordinary end */
  cause: string;
  /** a few words */
  headline: string;
  /** what is special about the pose, which the numbers begin with; "" but at a singularity */
  means: string;
  /** what it was, by how much */
  numbers: string;
  /** what to do about it */
  advice: string;
  /** the joint that the advice says to move, 0 to 5; null where it names none */
  advised: number | null;
  /** true when the arm could not go on, false for an ordinary end */
  trouble: boolean;
}

/** Ghost is where the next step would end. */
export interface Ghost {
  /** null: nothing is aimed at */
  direction: Direction | null;
  links: [Place, Place, Place, Place, Place, Place, Place];
  tcp_place: Place;
  /** of the TCP, from where it is */
  path_mm: [number, number, number][];
  /** each joint's change over the step */
  delta_deg: [number, number, number, number, number, number];
  /** each joint's part of the joint travel, summing to 1 */
  share: [number, number, number, number, number, number];
  /** how far the step gets, mm or degrees */
  travel: number;
  /** why it ends early; null when it does not */
  stop: StopMessage | null;
  /** how far the arm goes on after a release at the chosen speed, mm or degrees */
  after_run: number;
  /** and for how long */
  after_s: number;
}

/** StageView is a stage in the list of stages. */
export interface StageView {
  title: string;
  /** its kind; "" where it has none */
  task: string;
  done: boolean;
  given_up: boolean;
  tries: number;
  seconds: number;
  jogs: number;
  contacts: number;
  /** that were shown */
  hints: number;
  /** Of an assessment: what it counts, at the first try and after it, how often it may be tried (0: any number), and what was earned, once all is handed in. */
  points: number;
  late: number;
  tries_may: number;
  earned: number;
}

/** TaskState is how a task stands. */
export type TaskState =
  | "open"
  | "failed" // this try; the next begins with StageAgain
  | "done"
  | "given up";

/** VerdictView is what came of an answer or a jog. */
export interface VerdictView {
  done: boolean;
  words: string;
  /** the answer in words */
  given: string;
  /** the answer is made up of several things, of which some may be right */
  several: boolean;
  /** the words tell the answer, too */
  told: boolean;
  /** all that was answered is right, and more is */
  part: boolean;
  /** right of where the arm stands now, and not of where the stage began */
  of_now: boolean;
  /** how far off it was; null where that means nothing or would give the answer away */
  error: number | null;
  /** of the error: "mm", "inch", "°", "joints", "options" or "" */
  unit: string;
}

/** AxisView is a line that is spoken of. */
export interface AxisView {
  at_mm: [number, number, number];
  /** a unit vector */
  along: [number, number, number];
  /** whose axis it is; "" for none */
  joint: string;
}

/** ShownView is what the picture shows of a task that was answered, in the base frame. */
export interface ShownView {
  axes: AxisView[];
  /** from an axis to the point that turns about it; empty for none */
  lever_mm: [number, number, number][];
  /** the way of the point, or the walk to what is read; empty before it may be told */
  path_mm: [number, number, number][];
  /** that the lesson draws; empty for none */
  line_mm: [number, number, number][];
  /** between the two parts that are nearest; empty for none */
  gap_mm: [number, number, number][];
  /** where a jog is stopped; null for none */
  place_mm: [number, number, number] | null;
}

/** Posture is a word of the arm's posture that is asked for, and the one it stands in. */
export interface Posture {
  /** "shoulder", "elbow" or "wrist" */
  part: string;
  word: string;
  now: string;
}

/** ReachView is the task to bring the TCP to a place, or a joint to an angle, and the rules for it. */
export interface ReachView {
  /** "base", "world" or "task NAME" */
  frame: string;
  position_mm: [number, number, number] | null;
  /** fixed X-Y-Z */
  rotation_deg: [number, number, number] | null;
  /** "" where a place is asked for */
  joint: string;
  angle_deg: number;
  tolerance_mm: number;
  tolerance_deg: number;
  /** how far it is from here */
  off_mm: number;
  off_deg: number;
  /** to be there in; empty: any */
  posture: Posture[];
  /** only jogs in these; empty: in any */
  frames: Frame[];
  /** only jogs in a task frame that the learner has taught */
  taught: boolean;
  most_jogs: number;
  no_contact: boolean;
  path_factor: number;
  keep_direction_deg: number;
}

/** PredictView is the task to say beforehand what a jog will do. */
export interface PredictView {
  /** as in a jog file */
  jog: string;
  /** "direction", "joints" or "stop" */
  ask: string;
  /** whose direction: "tcp" or "flange" */
  point: string;
  /** where it is when the stage begins */
  at: Place;
  /** that the directions are named in */
  frame: string;
  options: string[];
  /** how far off an arrow may be; 0 where no direction is asked */
  within_deg: number;
  /** The options' directions, and the way the point goes once it may be shown: unit vectors of the base frame. */
  ways: [number, number, number][];
  truth: [number, number, number] | null;
}

/** ReadView is the task to say a number. */
export interface ReadView {
  measure: string;
  frame: string;
  joint: string;
  /** "mm", "inch", "°" or "" */
  unit: string;
  tolerance: number;
  /** before which it is not read, as a person says them; or the one that it is of */
  jogs: string[];
}

/** ChooseView is a question with options. */
export interface ChooseView {
  question: string;
  several: boolean;
  options: string[];
}

/** NoticeView is one thing to notice. */
export interface NoticeView {
  text: string;
  happened: boolean;
}

/** FreeView is what is to be noticed while one drives. */
export interface FreeView {
  notice: NoticeView[];
  enough: number;
}

/** LessonTask is what a stage asks, and how it stands. */
export interface LessonTask {
  /** "reach", "predict", "read", "choose" or "free" */
  kind: string;
  state: TaskState;
  /** that came to an end */
  tries: number;
  /** in this try */
  jogs: number;
  /** the arm no longer stands where the stage began */
  moved: boolean;
  /** of the last answer or jog that decided something; null before */
  verdict: VerdictView | null;
  /** the right answer, once it may be shown */
  right: string;
  /** why it is so, once it may be shown: the lesson's words as HTML */
  explain: string;
  /** why the right answer is right, of a task that was given up */
  why: string;
  /** of the last answer; null before there is one */
  shown: ShownView | null;
  /** tries that are left; -1: any number */
  left: number;
  /** the question is about a jog, and the arm may make it before the answer */
  may_try: boolean;
  /** of the five that of its kind is there */
  reach: ReachView | null;
  predict: PredictView | null;
  read: ReadView | null;
  choose: ChooseView | null;
  free: FreeView | null;
}

/** TargetView is where the TCP should go, in the base frame. */
export interface TargetView {
  place: Place;
  reached: boolean;
  has_rotation: boolean;
  tolerance_mm: number;
  tolerance_deg: number;
}

/** ViewFrom is where the eye is and what it looks at, in the world. */
export interface ViewFrom {
  from_mm: [number, number, number];
  at_mm: [number, number, number];
}

/** AllowView is what the learner may use in the stage. */
export interface AllowView {
  /** empty: all */
  frames: Frame[];
  /** that are offered */
  increments: IncrementRequest[];
  speeds: SpeedRequest[];
  /** increments or speeds are not all there are */
  limited: boolean;
  /** aids that are not offered: "ghost", "trail", "share", "room", "walk", "readout" */
  hidden: string[];
  /** the arm waits: for an answer, or for the next try to begin */
  withheld: boolean;
}

/** AssessmentState is how far an assessment is. */
export type AssessmentState =
  | "waits" // for StageBegin; its tasks are not told before
  | "open"
  | "handed in";

/** AssessmentView is how a lesson counts, and how far it is. */
export interface AssessmentView {
  state: AssessmentState;
  /** that there are */
  points: number;
  /** once it is handed in */
  earned: number;
  /** 0: any number */
  minutes_allowed: number;
  /** by an instructor's code */
  extra_minutes: number;
  /** it was handed in because its time was up */
  time_up: boolean;
  /** what learners say of themselves: "name", "number", "e-mail" */
  ask_for: string[];
  drawn_order: boolean;
}

/** LessonMessage is the open lesson at its stage; its id is empty when none is open. */
export interface LessonMessage {
  id: string;
  title: string;
  aims: string[];
  /** where its facts come from */
  sources: string[];
  /** about how long it takes; 0 where it does not say */
  minutes: number;
  /** what is dealt in it was dealt by the seed */
  drawn: boolean;
  seed: number;
  /** counts how often it was read again while it was open */
  edition: number;
  /** the one the learner is in, from 0 */
  stage: number;
  stages: StageView[];
  /** of this stage, from Markdown, without raw HTML */
  html: string;
  /** null where the stage has none */
  task: LessonTask | null;
  target: TargetView | null;
  /** to be looked from when the stage begins; null where the learner chooses */
  view: ViewFrom | null;
  /** where it is best looked from when the stage begins: from the arm towards the eye, in the world frame; null without a lesson */
  face: [number, number, number] | null;
  /** that have appeared */
  hints: string[];
  /** the failed tries after which the next appears; 0 where none is left */
  next_hint: number;
  allow: AllowView;
  /** no task is left to be done */
  over: boolean;
  /** the title of another one that is about to be opened; "" for none */
  preparing: string;
  /** null where nothing counts */
  assessment: AssessmentView | null;
}

/** LogEntry is a jog that was driven. */
export interface LogEntry {
  /** as in a jog file, with how far it got, to 0.01 mm or 0.01° */
  line: string;
  /** it is measured in mm, else in degrees */
  straight: boolean;
  /** mm/s or degrees/s */
  speed: number;
  /** where the TCP was at its start, in the base frame */
  from_mm: [number, number, number];
  /** and at its end */
  to_mm: [number, number, number];
  /** why, in a few words */
  ended: string;
  /** the arm could not go on */
  trouble: boolean;
  /** a jog file that drives it once more */
  again: string;
}

/** LogMessage is what was driven last, less what was undone. The page keeps what it has of it between First and From, and nothing else. Both count entries since the log began. */
export interface LogMessage {
  first: number;
  /** where the entries that are told here begin */
  from: number;
  entries: LogEntry[];
  /** there is a jog that an undo would take back */
  undo: boolean;
  /** which log it is: another one begins when the arm was put elsewhere */
  log: number;
}

/** LogFile is the log as a jog file, the form that handrule trace reads. */
export interface LogFile {
  name: string;
  text: string;
  /** where the first jog began */
  start_deg: [number, number, number, number, number, number];
}

/** MotionView is what the arm is doing. */
export interface MotionView {
  /** null at rest */
  moving: Direction | null;
  /** what holds the jog below the chosen speed: a joint, "reduced speed", or "" for nothing */
  slowed_by: string;
  /** contacts in motion since the arm was put where it began */
  crashes: number;
  /** counts how often the arm was put elsewhere without having been driven there */
  put: number;
}

/** NearestView names the two parts of arm, tool and cell that are nearest to each other; both "" where nothing can be touched. */
export interface NearestView {
  /** a link or the tool, as it is spoken of */
  a: string;
  /** a link, the tool or a thing, likewise */
  b: string;
  contact: boolean;
}

/** NoteView says what is to be known about the orientation that is read. */
export interface NoteView {
  /** no other numbers would be as good */
  unique: boolean;
  /** where there are: what they still mean; where all three angles are new after a small turn: why; else "" */
  text: string;
}

/** Listing is a thing one can choose. */
export interface Listing {
  id: string;
  title: string;
  about: string;
  /** of the title; "" where the file does not say */
  lang: string;
}

/** LessonListing is a lesson one can choose. One whose file has never been right has no aims. */
export interface LessonListing {
  id: string;
  title: string;
  about: string;
  /** of the title and the aims; "" where the file does not say */
  lang: string;
  aims: string[];
  /** it takes; 0 where the file does not say */
  minutes: number;
  tasks: number;
}

/** OfferMessage is what one can choose. It changes when a file of the instructor's folder is saved. */
export interface OfferMessage {
  arms: Listing[];
  cells: Listing[];
  lessons: LessonListing[];
}

/** CellProblem is what is wrong with a table or a file, and where: both counted from 1, the column in characters. */
export interface CellProblem {
  line: number;
  column: number;
  message: string;
}

/** OwnJoint is a joint of an arm that is being written, as it stands. */
export interface OwnJoint {
  name: string;
  /** where the arm meets its axis */
  at_mm: [number, number, number];
  axis: [number, number, number];
  at_deg: number;
  limits_deg: [number, number];
}

/** OwnArmMessage is what a table says of the learner's own arm. */
export interface OwnArmMessage {
  problems: CellProblem[];
  notes: string[];
  /** that are known so far */
  joints: OwnJoint[];
  /** from the mounting surface from axis to axis, and to the end where that is known */
  way_mm: [number, number, number][];
  /** of the chain, the flange at last */
  end: Place | null;
  /** the whole arm file; "" until the table is whole */
  file: string;
  solver: string;
}

/** OwnArmFileMessage says what is wrong with an arm file that was handed in, or what it is. */
export interface OwnArmFileMessage {
  problems: CellProblem[];
  name: string;
  notes: string[];
}

/** PieceMessage is a piece of a lesson file. */
export interface PieceMessage {
  text: string;
}

/** PlayMessage is how far the playing of a jog file has got. */
export interface PlayMessage {
  name: string;
  /** of the files that were to be played */
  count: number;
  playing: boolean;
  /** jogs */
  done: number;
  of: number;
  /** of the file, that is being driven */
  line: number;
  /** what that says */
  jog: string;
  /** what is wrong with the file, or why it was not driven to its end; "" for nothing */
  problem: string;
}

/** Asks is what a question asks. */
export type Asks =
  | "way" // the direction in which the TCP starts
  | "axis" // the axis of the turn, by the right-hand rule
  | "joints" // the joints that will turn;

/** QuestionView is a jog that waits for a prediction. */
export interface QuestionView {
  directions: Direction[];
  asks: Asks;
  /** the TCP, in the base frame */
  at: Place;
  /** how far the arm will go, mm or degrees, where a hold was asked for; null for a step */
  step: number | null;
}

/** PredictionView is a prediction, and what came of it. */
export interface PredictionView {
  /** of the jog */
  directions: Direction[];
  asks: Asks;
  /** where the TCP was, in the base frame */
  at: Place;
  /** a unit vector in the base frame; null where none was given */
  arrow: [number, number, number] | null;
  /** the learner said that the arm would stay */
  stays: boolean;
  joints: number[];
  /** what the arrow should have been; null where the arm stayed, and for joints */
  truth: [number, number, number] | null;
  movers: number[];
  /** between arrow and truth; null where there are not both */
  off_deg: number | null;
  /** joints said wrongly */
  wrong: number;
  right: boolean;
  /** why the arm stayed, in a few words; "" where it moved */
  cause: string;
  /** the arm stayed, and the arrow is the way the jog asked of it */
  as_asked: boolean;
}

/** PredictionsMessage is how predicting first stands. */
export interface PredictionsMessage {
  on: boolean;
  joints: boolean;
  /** that waits; null for none */
  question: QuestionView | null;
  /** the latest last, at most twelve */
  given: PredictionView[];
  /** the latest is the last thing that the arm was moved for */
  fresh: boolean;
  /** all that were given */
  count: number;
  right: number;
  /** those with an angle to what happened, */
  measured: number;
  /** and the mean of these angles; null before the first */
  mean_deg: number | null;
  /** how far off an arrow may be to be right */
  within_deg: number;
}

/** Problem tells what could not be done. */
export interface Problem {
  message: string;
  /** a request was not done, and nothing has changed; false: there is only something to know */
  refused: boolean;
}

/** ProgressMessage is how far the learner has come, for the page to keep and to hand in when it opens the lesson again. */
export interface ProgressMessage {
  lesson: string;
  /** sealed by the server */
  token: string;
}

/** RealArmFit are zero offsets and a TCP that fit the readings best. */
export interface RealArmFit {
  /** root mean square */
  before_mm: number;
  after_mm: number;
  /** to what the joints show */
  add_deg: [number, number, number, number, number, number];
  /** in the flange's frame */
  tcp_mm: [number, number, number];
  /** the readings do not settle all of it; the rest is left as it was */
  unsure: boolean;
}

/** RealArmMessage holds the arm on the bench against a real one. */
export interface RealArmMessage {
  arm: string;
  tool: string;
  /** to jog to, where they were asked for */
  poses_deg: [number, number, number, number, number, number][];
  /** of each reading: shown less computed */
  off_mm: [number, number, number][];
  /** the verdict */
  said: string;
  /** that explain the readings; one where it is named */
  causes: string[];
  /** joints of which these readings show neither zero nor sign */
  unseen: string[];
  /** null where none was made */
  fit: RealArmFit | null;
  /** readings for a fit */
  enough: number;
  /** the arm file with the cause mended or the fit taken over; "" for none */
  file: string;
  /** what of the readings is left with it, root mean square */
  left_mm: number;
}

/** MomentView is where a joint was at a moment of a jog. */
export interface MomentView {
  /** from 0 */
  joint: number;
  travel: number;
  time_s: number;
  angle_deg: number;
}

/** LimitView is where a joint that approached a limit was nearest to it. */
export interface LimitView {
  at: MomentView;
  limit_deg: number;
  left_deg: number;
}

/** RecordingView is how the joints went through a jog: all samples are of the same moments, evenly spaced in time but for the last. It comes while the jog is under way, a few times a second, and when it has ended. */
export interface RecordingView {
  /** a jog in the joint frame */
  of_joint: boolean;
  direction: Direction;
  /** along several directions together, of which that is the first */
  several: boolean;
  /** an undo */
  back: boolean;
  done: boolean;
  /** along the jog's path, mm or degrees */
  travel: number[];
  time_s: number[];
  angles_deg: [number[], number[], number[], number[], number[], number[]];
  speeds_deg_s: [number[], number[], number[], number[], number[], number[]];
  /** how far each joint went, to and fro */
  work_deg: [number, number, number, number, number, number];
  /** where a joint changed its direction */
  turns: MomentView[];
  limits: LimitView[];
  /** joints, from 0, that at their highest speed held the jog back */
  slowed: number[];
}

/** ResultMessage is a signed result. */
export interface ResultMessage {
  /** for the file */
  name: string;
  text: string;
}

/** RoomView is how far the arm can go in one direction, and what stops it there. */
export interface RoomView {
  /** mm or degrees */
  free: number;
  /** in a few words; "" where nothing stops it within a whole turn */
  cause: string;
  /** the same in a word or two */
  brief: string;
}

/** RoomMessage is the room to move in the twelve directions of the active frame, plus and minus of each axis in turn. */
export interface RoomMessage {
  frame: Frame;
  task: string;
  /** at which the arm stood where it was asked for */
  tick: number;
  room: [RoomView, RoomView, RoomView, RoomView, RoomView, RoomView, RoomView, RoomView, RoomView, RoomView, RoomView, RoomView];
}

/** Setup is what the learner has chosen. */
export interface Setup {
  frame: Frame;
  /** the task frame's name, where the frame is one */
  task: string;
  read_in: ReadInRequest;
  /** that lengths are read in */
  unit: Unit;
  set_distance_mm: number;
  cell: string;
  increment: IncrementRequest;
  speed: SpeedRequest;
  tool: string;
  arm: string;
  lesson: string;
}

/** FitView is the TCP that the touches give, in the flange's frame. */
export interface FitView {
  tcp_mm: [number, number, number];
  /** of each touch */
  residuals_mm: number[];
  rms_mm: number;
  max_mm: number;
  /** how far the flange was turned between touches */
  spread_deg: number;
  /** more touches from other sides would help */
  weak: boolean;
  /** how far the found TCP is from the one in the tool's file */
  from_file_mm: number;
}

/** TeachMessage is how far teaching has got. */
export interface TeachMessage {
  /** in the world, null until it is taken */
  origin: [number, number, number] | null;
  x: [number, number, number] | null;
  xy: [number, number, number] | null;
  touches: number;
  /** null until there are touches enough */
  fit: FitView | null;
  /** why the points or touches do not do yet */
  problem: string;
}

/** FrameView is the arm at a moment of a way. */
export interface FrameView {
  links: [Place, Place, Place, Place, Place, Place, Place];
  tcp: Place;
}

/** WayMessage is a way to be shown: where the arm is, evenly in time. */
export interface WayMessage {
  way: WayName;
  seconds: number;
  /** at most 160 */
  frames: FrameView[];
}

/** GoalView is the place to go to. */
export interface GoalView {
  /** WaysLesson, WaysHere or WaysNumbers */
  kind: WaysDo;
  target: TargetView;
  /** in the frame that positions are read in */
  position_mm: [number, number, number];
  /** likewise */
  fixed_xyz_deg: [number, number, number];
}

/** ClearanceView is the smallest distance between the arm and what it could touch, itself included. */
export interface ClearanceView {
  distance_mm: number;
  /** a link or the tool, as it is spoken of */
  a: string;
  /** a link, the tool or a thing, likewise */
  b: string;
  on_a: [number, number, number];
  on_b: [number, number, number];
  contact: boolean;
}

/** CostView is what a way costs. */
export interface CostView {
  /** of the TCP's path */
  length_mm: number;
  /** in motion */
  seconds: number;
  /** the least on the way; null where nothing can be touched */
  clearance: ClearanceView | null;
}

/** WayView is a computed way. */
export interface WayView {
  /** as in a jog file; where it does not get there, the last is the one that stops */
  jogs: string[];
  cost: CostView;
  /** it gets there */
  done: boolean;
  /** no joint angles put the TCP there */
  nowhere: boolean;
  /** why it does not get there; null where it does */
  stop: StopMessage | null;
  /** where the TCP stands then, in the frame that positions are read in */
  stop_at_mm: [number, number, number];
  /** and how far that is from the goal */
  short_mm: number;
}

/** AttemptView is the learner's own way, until the goal is reached. */
export interface AttemptView {
  jogs: number;
  cost: CostView;
  reached: boolean;
}

/** WaysMessage is the comparison of ways. */
export interface WaysMessage {
  /** the lesson has a target that can be taken */
  lesson_goal: boolean;
  /** null while none is set */
  goal: GoalView | null;
  begun: boolean;
  /** null until it is computed */
  joint: WayView | null;
  straight: WayView | null;
  /** null until the comparison has begun */
  attempt: AttemptView | null;
}

/** Choices are the increments and speeds the page offers, from fine to coarse. */
export interface Choices {
  increments: IncrementRequest[];
  speeds: SpeedRequest[];
}

/** Welcome is the first message of a connection. */
export interface Welcome {
  /** the page hands it in when it comes back */
  bench: string;
  /** the version of the program; a page of another loads itself anew */
  program: string;
  /** see WireVersion */
  wire: number;
  /** a held control must be renewed within this time */
  lease_ms: number;
  /** the bench runs in the learner's own browser: it signs nothing, and an assessment is practice */
  alone: boolean;
  choices: Choices;
  /** of the files that are served: it is told what is wrong with them */
  author: boolean;
  /** the bench stands as it stood last at rest, before its server ended or the page came to another */
  found: boolean;
}

export type Reply =
  | ({ type: "arm" } & ArmMessage)
  | ({ type: "cell" } & CellMessage)
  | ({ type: "clock" } & ClockMessage)
  | ({ type: "faults" } & FaultsMessage)
  | ({ type: "frames" } & FramesView)
  | ({ type: "ghost" } & Ghost)
  | ({ type: "lesson" } & LessonMessage)
  | ({ type: "log" } & LogMessage)
  | ({ type: "log-file" } & LogFile)
  | ({ type: "motion" } & MotionView)
  | ({ type: "nearest" } & NearestView)
  | ({ type: "note" } & NoteView)
  | ({ type: "offer" } & OfferMessage)
  | ({ type: "own-arm" } & OwnArmMessage)
  | ({ type: "own-arm-file" } & OwnArmFileMessage)
  | ({ type: "piece" } & PieceMessage)
  | ({ type: "play" } & PlayMessage)
  | ({ type: "predictions" } & PredictionsMessage)
  | ({ type: "problem" } & Problem)
  | ({ type: "progress" } & ProgressMessage)
  | ({ type: "real-arm" } & RealArmMessage)
  | ({ type: "recording" } & RecordingView)
  | ({ type: "result" } & ResultMessage)
  | ({ type: "room" } & RoomMessage)
  | ({ type: "setup" } & Setup)
  | ({ type: "stop" } & StopMessage)
  | ({ type: "teach" } & TeachMessage)
  | ({ type: "way" } & WayMessage)
  | ({ type: "ways" } & WaysMessage)
  | ({ type: "welcome" } & Welcome);

/** A binary frame: the pose of the arm. */
export interface PoseFrame {
  tick: number;
  due: number;
  flags: number;
  singular: number;
  spare: number[];
  joints: number[];
  speeds: number[];
  demand: number[];
  links: number[];
  flange: number[];
  tcp: number[];
  flange_mm: number[];
  tcp_mm: number[];
  fixed_xyz: number[];
  tcp_speed: number;
  condition: number;
  clearance: number;
  on_a: number[];
  on_b: number[];
  /** Of the orientation, in the form that the page reads it in. */
  orientation: number[];
}

export const FRAME_NEAR = 1;
export const FRAME_CLEAR = 2;
export const FRAME_WAITING = 4;

export const SINGULAR_KINDS = ["", "wrist", "elbow", "shoulder", "other"];

/** Reads a frame. */
export function decodeFrame(buffer: ArrayBuffer): PoseFrame {
  const view = new DataView(buffer);
  const many = (count: number, read: (i: number) => number): number[] => Array.from({ length: count }, (_, i) => read(i));
  return {
    tick: view.getUint32(0, true),
    due: view.getUint32(4, true),
    flags: view.getUint8(8),
    singular: view.getUint8(9),
    spare: many(2, (i) => view.getUint8(10 + 1 * i)),
    joints: many(6, (i) => view.getInt32(12 + 4 * i, true) * 1e-05),
    speeds: many(6, (i) => view.getInt16(36 + 2 * i, true) * 0.02),
    demand: many(6, (i) => view.getFloat32(48 + 4 * i, true)),
    links: many(42, (i) => view.getFloat32(72 + 4 * i, true)),
    flange: many(7, (i) => view.getFloat32(240 + 4 * i, true)),
    tcp: many(7, (i) => view.getFloat32(268 + 4 * i, true)),
    flange_mm: many(3, (i) => view.getInt32(296 + 4 * i, true) * 0.0001),
    tcp_mm: many(3, (i) => view.getInt32(308 + 4 * i, true) * 0.0001),
    fixed_xyz: many(3, (i) => view.getInt32(320 + 4 * i, true) * 1e-05),
    tcp_speed: view.getFloat32(332, true),
    condition: view.getFloat32(336, true),
    clearance: view.getFloat32(340, true),
    on_a: many(3, (i) => view.getFloat32(344 + 4 * i, true)),
    on_b: many(3, (i) => view.getFloat32(356 + 4 * i, true)),
    orientation: many((buffer.byteLength - 368) / 4, (i) => view.getInt32(368 + 4 * i, true) * 1e-06),
  };
}
