// Made from server/wire.go by `go generate ./server`. Do not edit.

export type Frame = "joint" | "base" | "world" | "tool" | "task";

export type Reason = "done" | "released" | "link lost" | "joint limit" | "out of reach" | "singularity" | "contact" | "guard";

export interface Direction {
  frame: Frame;
  task?: string;
  axis: number;
  sign: number;
}

export interface AimRequest {
  direction: Direction | null;
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

export interface GuardRequest {
  mm: number;
}

export interface HoldRequest {
  press: number;
  directions: Direction[];
}

export interface IncrementRequest {
  mm: number;
  deg: number;
}

export interface LessonRequest {
  id: string;
}

export interface ReadInRequest {
  frame: Frame;
  task: string;
}

export type ReleaseRequest = Record<never, never>;

export type RestartRequest = Record<never, never>;

export interface SpeedRequest {
  mm_s: number;
  deg_s: number;
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

export type Request =
  | ({ type: "aim" } & AimRequest)
  | ({ type: "arm" } & ArmRequest)
  | ({ type: "cell" } & CellRequest)
  | ({ type: "frame" } & FrameRequest)
  | ({ type: "guard" } & GuardRequest)
  | ({ type: "hold" } & HoldRequest)
  | ({ type: "increment" } & IncrementRequest)
  | ({ type: "lesson" } & LessonRequest)
  | ({ type: "read-in" } & ReadInRequest)
  | ({ type: "release" } & ReleaseRequest)
  | ({ type: "restart" } & RestartRequest)
  | ({ type: "speed" } & SpeedRequest)
  | ({ type: "step" } & StepRequest)
  | ({ type: "teach" } & TeachRequest)
  | ({ type: "tool" } & ToolRequest)
  | ({ type: "undo" } & UndoRequest);

export interface JointView {
  name: string;
  at_mm: [number, number, number];
  axis: [number, number, number];
  limits_deg: [number, number];
  speed_deg_s: number;
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
  flange: Place;
  body: Capsule[];
  tools: ToolView[];
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
  things: ThingView[];
  tasks: TaskView[];
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

export interface TargetView {
  place: Place;
  has_rotation: boolean;
  tolerance_mm: number;
  tolerance_deg: number;
}

export interface LessonMessage {
  id: string;
  title: string;
  html: string;
  target: TargetView | null;
  reached: boolean;
  off_mm: number;
  off_deg: number;
}

export interface LogMessage {
  lines: string[];
  undo: string;
}

export interface Problem {
  message: string;
}

export interface RoomView {
  free: number;
  cause: string;
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
  guard_mm: number;
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

export interface Listing {
  id: string;
  title: string;
  about: string;
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
  | ({ type: "ghost" } & Ghost)
  | ({ type: "lesson" } & LessonMessage)
  | ({ type: "log" } & LogMessage)
  | ({ type: "problem" } & Problem)
  | ({ type: "room" } & RoomMessage)
  | ({ type: "setup" } & Setup)
  | ({ type: "state" } & State)
  | ({ type: "stop" } & StopMessage)
  | ({ type: "teach" } & TeachMessage)
  | ({ type: "welcome" } & Welcome);
