// Made from server/wire.go by `go generate ./server`. Do not edit.

export type Frame = "joint" | "world" | "base" | "task" | "tool";

export type Reason = "done" | "released" | "link lost" | "joint limit" | "out of reach" | "singularity" | "contact" | "set distance";

export interface Direction {
  frame: Frame;
  task?: string;
  axis: number;
  sign: number;
}

export interface AimRequest {
  direction: Direction | null;
}

export interface AnswerRequest {
  arrow: [number, number, number] | null;
  direction: string;
  joints: number[];
  stop: string;
  number: number | null;
  options: number[];
}

export interface ArmRequest {
  id: string;
}

export interface CellRequest {
  id: string;
}

export interface FrameRequest {
  frame: Frame;
  task: string;
}

export interface HoldRequest {
  press: number;
  directions: Direction[];
  bound?: number | null;
  speed_part?: number | null;
}

export interface IncrementRequest {
  mm: number;
  deg: number;
}

export interface LessonRequest {
  id: string;
  progress: string;
  seed: number | null;
}

export interface PieceRequest {
  of: string;
  from_mm: [number, number, number];
  at_mm: [number, number, number];
}

export interface PlayRequest {
  name: string;
  text: string;
}

export interface PlotRequest {
  on: boolean;
}

export interface PredictRequest {
  arrow: [number, number, number] | null;
  joints: number[];
  stays: boolean;
  withdraw: boolean;
  forget: boolean;
}

export interface PredictFirstRequest {
  on: boolean;
  joints: boolean;
}

export interface RailRequest {
  mm: number;
}

export interface ReadInRequest {
  frame: Frame;
  task: string;
}

export type ReleaseRequest = Record<never, never>;

export type RestartRequest = Record<never, never>;

export interface ResultRequest {
  learner: string;
}

export type SaveLogRequest = Record<never, never>;

export interface SetDistanceRequest {
  mm: number;
}

export interface SpeedRequest {
  mm_s: number;
  deg_s: number;
}

export interface StageRequest {
  do: string;
  stage: number;
}

export interface StepRequest {
  direction: Direction;
}

export interface TeachRequest {
  do: string;
  name: string;
}

export interface ToolRequest {
  name: string;
}

export type UndoRequest = Record<never, never>;

export interface WaysRequest {
  do: string;
  numbers: [number, number, number, number, number, number] | null;
  way: string;
}

export type Request =
  | ({ type: "aim" } & AimRequest)
  | ({ type: "answer" } & AnswerRequest)
  | ({ type: "arm" } & ArmRequest)
  | ({ type: "cell" } & CellRequest)
  | ({ type: "frame" } & FrameRequest)
  | ({ type: "hold" } & HoldRequest)
  | ({ type: "increment" } & IncrementRequest)
  | ({ type: "lesson" } & LessonRequest)
  | ({ type: "piece" } & PieceRequest)
  | ({ type: "play" } & PlayRequest)
  | ({ type: "plot" } & PlotRequest)
  | ({ type: "predict" } & PredictRequest)
  | ({ type: "predict-first" } & PredictFirstRequest)
  | ({ type: "rail" } & RailRequest)
  | ({ type: "read-in" } & ReadInRequest)
  | ({ type: "release" } & ReleaseRequest)
  | ({ type: "restart" } & RestartRequest)
  | ({ type: "result" } & ResultRequest)
  | ({ type: "save-log" } & SaveLogRequest)
  | ({ type: "set-distance" } & SetDistanceRequest)
  | ({ type: "speed" } & SpeedRequest)
  | ({ type: "stage" } & StageRequest)
  | ({ type: "step" } & StepRequest)
  | ({ type: "teach" } & TeachRequest)
  | ({ type: "tool" } & ToolRequest)
  | ({ type: "undo" } & UndoRequest)
  | ({ type: "ways" } & WaysRequest);

export interface JointView {
  name: string;
  at_mm: [number, number, number];
  axis: [number, number, number];
  limits_deg: [number, number];
  speed_deg_s: number;
}

export interface OriginView {
  from_j1_mm: number;
  below_joint2_mm: number;
}

export interface Place {
  p: [number, number, number];
  q: [number, number, number, number];
}

export interface Capsule {
  link: number;
  from_mm: [number, number, number];
  to_mm: [number, number, number];
  radius_mm: number;
}

export interface ToolView {
  name: string;
  tcp: Place;
  body: Capsule[];
}

export interface ArmMessage {
  id: string;
  name: string;
  about: string;
  mount_height_mm: number;
  reach_mm: number;
  joints: [JointView, JointView, JointView, JointView, JointView, JointView];
  origin: OriginView;
  flange: Place;
  body: Capsule[];
  tools: ToolView[];
}

export interface RailView {
  from_mm: number;
  to_mm: number;
  at_mm: number;
}

export interface ThingView {
  name: string;
  shape: string;
  size_mm: [number, number, number];
  place: Place;
}

export interface TaskView {
  name: string;
  place: Place;
}

export interface CellMessage {
  id: string;
  name: string;
  about: string;
  base: Place;
  floor_mm: number | null;
  rail: RailView | null;
  things: ThingView[];
  tasks: TaskView[];
}

export interface Fault {
  file: string;
  line: number;
  column: number;
  message: string;
  excerpt: string;
}

export interface FaultsMessage {
  id: string;
  open: boolean;
  old: boolean;
  faults: Fault[];
}

export interface StopMessage {
  reason: Reason;
  direction: Direction;
  joint: string;
  travel: number;
  cause: string;
  headline: string;
  numbers: string;
  advice: string;
  advised: number | null;
  trouble: boolean;
}

export interface Ghost {
  direction: Direction | null;
  links: [Place, Place, Place, Place, Place, Place, Place];
  tcp_place: Place;
  path_mm: [number, number, number][];
  delta_deg: [number, number, number, number, number, number];
  share: [number, number, number, number, number, number];
  travel: number;
  stop: StopMessage | null;
  after_run: number;
  after_s: number;
}

export interface StageView {
  title: string;
  task: string;
  done: boolean;
  given_up: boolean;
  tries: number;
  seconds: number;
  jogs: number;
  contacts: number;
  hints: number;
}

export interface VerdictView {
  done: boolean;
  words: string;
  given: string;
  error: number | null;
  unit: string;
}

export interface Posture {
  part: string;
  word: string;
  now: string;
}

export interface ReachView {
  frame: string;
  position_mm: [number, number, number] | null;
  rotation_deg: [number, number, number] | null;
  joint: string;
  angle_deg: number;
  tolerance_mm: number;
  tolerance_deg: number;
  off_mm: number;
  off_deg: number;
  posture: Posture[];
  frames: Frame[];
  most_jogs: number;
  no_contact: boolean;
  path_factor: number;
  keep_direction_deg: number;
}

export interface PredictView {
  jog: string;
  ask: string;
  point: string;
  at: Place;
  frame: string;
  options: string[];
  ways: [number, number, number][];
  truth: [number, number, number] | null;
}

export interface ReadView {
  measure: string;
  frame: string;
  joint: string;
  unit: string;
  tolerance: number;
}

export interface ChooseView {
  question: string;
  several: boolean;
  options: string[];
}

export interface NoticeView {
  text: string;
  happened: boolean;
}

export interface FreeView {
  notice: NoticeView[];
  enough: number;
}

export interface LessonTask {
  kind: string;
  state: string;
  tries: number;
  jogs: number;
  moved: boolean;
  verdict: VerdictView | null;
  right: string;
  reach: ReachView | null;
  predict: PredictView | null;
  read: ReadView | null;
  choose: ChooseView | null;
  free: FreeView | null;
}

export interface TargetView {
  place: Place;
  reached: boolean;
  has_rotation: boolean;
  tolerance_mm: number;
  tolerance_deg: number;
}

export interface ViewFrom {
  from_mm: [number, number, number];
  at_mm: [number, number, number];
}

export interface AllowView {
  frames: Frame[];
  increments: IncrementRequest[];
  speeds: SpeedRequest[];
  limited: boolean;
  hidden: string[];
  withheld: boolean;
}

export interface LessonMessage {
  id: string;
  title: string;
  aims: string[];
  sources: string[];
  minutes: number;
  drawn: boolean;
  seed: number;
  edition: number;
  stage: number;
  stages: StageView[];
  html: string;
  task: LessonTask | null;
  target: TargetView | null;
  view: ViewFrom | null;
  hints: string[];
  next_hint: number;
  allow: AllowView;
  over: boolean;
}

export interface LogEntry {
  line: string;
  straight: boolean;
  speed: number;
  from_mm: [number, number, number];
  to_mm: [number, number, number];
  ended: string;
  trouble: boolean;
}

export interface LogMessage {
  from: number;
  entries: LogEntry[];
  undo: boolean;
}

export interface LogFile {
  name: string;
  text: string;
}

export interface Listing {
  id: string;
  title: string;
  about: string;
  lang: string;
}

export interface OfferMessage {
  arms: Listing[];
  cells: Listing[];
  lessons: Listing[];
}

export interface PieceMessage {
  text: string;
}

export interface PlayMessage {
  name: string;
  playing: boolean;
  done: number;
  of: number;
  line: number;
  jog: string;
  problem: string;
}

export interface QuestionView {
  directions: Direction[];
  asks: string;
  at: Place;
}

export interface PredictionView {
  directions: Direction[];
  asks: string;
  at: Place;
  arrow: [number, number, number] | null;
  stays: boolean;
  joints: number[];
  truth: [number, number, number] | null;
  movers: number[];
  off_deg: number | null;
  wrong: number;
  right: boolean;
  cause: string;
  as_asked: boolean;
}

export interface PredictionsMessage {
  on: boolean;
  joints: boolean;
  question: QuestionView | null;
  given: PredictionView[];
  fresh: boolean;
  count: number;
  right: number;
  measured: number;
  mean_deg: number | null;
}

export interface Problem {
  message: string;
}

export interface ProgressMessage {
  lesson: string;
  token: string;
}

export interface MomentView {
  joint: number;
  travel: number;
  time_s: number;
  angle_deg: number;
}

export interface LimitView {
  at: MomentView;
  limit_deg: number;
  left_deg: number;
}

export interface RecordingView {
  of_joint: boolean;
  direction: Direction;
  several: boolean;
  back: boolean;
  done: boolean;
  travel: number[];
  time_s: number[];
  angles_deg: [number[], number[], number[], number[], number[], number[]];
  speeds_deg_s: [number[], number[], number[], number[], number[], number[]];
  work_deg: [number, number, number, number, number, number];
  turns: MomentView[];
  limits: LimitView[];
  slowed: number[];
}

export interface ResultMessage {
  name: string;
  text: string;
}

export interface RoomView {
  free: number;
  cause: string;
  brief: string;
}

export interface RoomMessage {
  frame: Frame;
  task: string;
  room: [RoomView, RoomView, RoomView, RoomView, RoomView, RoomView, RoomView, RoomView, RoomView, RoomView, RoomView, RoomView];
}

export interface Setup {
  frame: Frame;
  task: string;
  read_in: ReadInRequest;
  set_distance_mm: number;
  cell: string;
  increment: IncrementRequest;
  speed: SpeedRequest;
  tool: string;
  arm: string;
  lesson: string;
}

export interface AxisAngle {
  axis: [number, number, number];
  angle_deg: number;
}

export interface UniqueForms {
  fixed_xyz: boolean;
  moving_zyx: boolean;
  zyz: boolean;
  axis_angle: boolean;
  quaternion: boolean;
}

export interface OrientationNotes {
  fixed_xyz: string;
  moving_zyx: string;
  zyz: string;
  axis_angle: string;
  quaternion: string;
}

export interface Reading {
  position_mm: [number, number, number];
  fixed_xyz_deg: [number, number, number];
  moving_zyx_deg: [number, number, number];
  zyz_deg: [number, number, number];
  axis_angle: AxisAngle;
  quaternion_wxyz: [number, number, number, number];
  rotation: [[number, number, number], [number, number, number], [number, number, number]];
  unique: UniqueForms;
  notes: OrientationNotes;
}

export interface SingularityView {
  near: boolean;
  kind: string;
  condition: number;
}

export interface ClearanceView {
  distance_mm: number;
  a: string;
  b: string;
  on_a: [number, number, number];
  on_b: [number, number, number];
  contact: boolean;
}

export interface State {
  tick: number;
  joints_deg: [number, number, number, number, number, number];
  speeds_deg_s: [number, number, number, number, number, number];
  demand_deg_s: [number, number, number, number, number, number];
  links: [Place, Place, Place, Place, Place, Place, Place];
  flange_place: Place;
  tcp_place: Place;
  active_axes: Place;
  active_frame: Place;
  read_frame: Place;
  flange: Reading;
  tcp: Reading;
  tcp_speed_mm_s: number;
  slowed_by: string;
  moving: Direction | null;
  singularity: SingularityView;
  clearance: ClearanceView | null;
  crashes: number;
}

export interface FitView {
  tcp_mm: [number, number, number];
  residuals_mm: number[];
  rms_mm: number;
  max_mm: number;
  spread_deg: number;
  weak: boolean;
  from_file_mm: number;
}

export interface TeachMessage {
  origin: [number, number, number] | null;
  x: [number, number, number] | null;
  xy: [number, number, number] | null;
  touches: number;
  fit: FitView | null;
  problem: string;
}

export interface FrameView {
  links: [Place, Place, Place, Place, Place, Place, Place];
  tcp: Place;
}

export interface WayMessage {
  way: string;
  seconds: number;
  frames: FrameView[];
}

export interface GoalView {
  kind: string;
  target: TargetView;
  position_mm: [number, number, number];
  fixed_xyz_deg: [number, number, number];
}

export interface CostView {
  length_mm: number;
  seconds: number;
  clearance: ClearanceView | null;
}

export interface WayView {
  jogs: string[];
  cost: CostView;
  done: boolean;
  nowhere: boolean;
  stop: StopMessage | null;
  stop_at_mm: [number, number, number];
  short_mm: number;
}

export interface AttemptView {
  jogs: number;
  cost: CostView;
  reached: boolean;
}

export interface WaysMessage {
  lesson_goal: boolean;
  goal: GoalView | null;
  begun: boolean;
  joint: WayView | null;
  straight: WayView | null;
  attempt: AttemptView | null;
}

export interface Choices {
  increments: IncrementRequest[];
  speeds: SpeedRequest[];
}

export interface Welcome {
  bench: string;
  arms: Listing[];
  cells: Listing[];
  lessons: Listing[];
  lease_ms: number;
  choices: Choices;
}

export type Reply =
  | ({ type: "arm" } & ArmMessage)
  | ({ type: "cell" } & CellMessage)
  | ({ type: "faults" } & FaultsMessage)
  | ({ type: "ghost" } & Ghost)
  | ({ type: "lesson" } & LessonMessage)
  | ({ type: "log" } & LogMessage)
  | ({ type: "log-file" } & LogFile)
  | ({ type: "offer" } & OfferMessage)
  | ({ type: "piece" } & PieceMessage)
  | ({ type: "play" } & PlayMessage)
  | ({ type: "predictions" } & PredictionsMessage)
  | ({ type: "problem" } & Problem)
  | ({ type: "progress" } & ProgressMessage)
  | ({ type: "recording" } & RecordingView)
  | ({ type: "result" } & ResultMessage)
  | ({ type: "room" } & RoomMessage)
  | ({ type: "setup" } & Setup)
  | ({ type: "state" } & State)
  | ({ type: "stop" } & StopMessage)
  | ({ type: "teach" } & TeachMessage)
  | ({ type: "way" } & WayMessage)
  | ({ type: "ways" } & WaysMessage)
  | ({ type: "welcome" } & Welcome);
