package bench

import (
	"handrule/kinematics/jog"
	"handrule/scenarios/dhtable"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// This file and frame.go are the whole language between page and bench. The page's TypeScript is made from them (go generate
// ./server/bench); a test fails when they differ. Messages are JSON objects whose "type" names them; the pose of the arm, which
// comes up to sixty times a second, is a binary frame. Lengths are mm, angles degrees, quaternions x, y, z, w.

//go:generate go run ./wiregen ../../web/src/wire.ts

// WireVersion counts the forms of this language. A page of another version loads itself anew.
const WireVersion = 2

// Requests lists what the page may send, by type.
var Requests = map[string]any{
	"step":         StepRequest{},
	"hold":         HoldRequest{},
	"release":      ReleaseRequest{},
	"aim":          AimRequest{},
	"frame":        FrameRequest{},
	"read-in":      ReadInRequest{},
	"unit":         UnitRequest{},
	"set-distance": SetDistanceRequest{},
	"increment":    IncrementRequest{},
	"speed":        SpeedRequest{},
	"tool":         ToolRequest{},
	"arm":          ArmRequest{},
	"cell":         CellRequest{},
	"rail":         RailRequest{},
	"scene":        SceneRequest{},
	"lesson":       LessonRequest{},
	"stage":        StageRequest{},
	"answer":       AnswerRequest{},
	"result":       ResultRequest{},
	"extra-time":   ExtraTimeRequest{},
	"restart":      RestartRequest{},
	"undo":         UndoRequest{},
	"play":         PlayRequest{},
	"save-log":     SaveLogRequest{},
	"show":         ShowRequest{},
	"teach":        TeachRequest{},
	"piece":        PieceRequest{},
	"ways":         WaysRequest{},
	"own-arm":      OwnArmRequest{},
	"own-arm-file": OwnArmFileRequest{},
	"real-arm":     RealArmRequest{},

	"predict-first": PredictFirstRequest{},
	"predict":       PredictRequest{},
}

// Replies lists what the bench may send, by type.
var Replies = map[string]any{
	"welcome":  Welcome{},
	"arm":      ArmMessage{},
	"cell":     CellMessage{},
	"setup":    Setup{},
	"motion":   MotionView{},
	"frames":   FramesView{},
	"nearest":  NearestView{},
	"note":     NoteView{},
	"ghost":    Ghost{},
	"stop":     StopMessage{},
	"piece":    PieceMessage{},
	"offer":    OfferMessage{},
	"faults":   FaultsMessage{},
	"lesson":   LessonMessage{},
	"progress": ProgressMessage{},
	"result":   ResultMessage{},
	"clock":    ClockMessage{},
	"room":     RoomMessage{},
	"log":      LogMessage{},
	"log-file": LogFile{},
	"play":     PlayMessage{},
	"teach":    TeachMessage{},
	"ways":     WaysMessage{},
	"way":      WayMessage{},
	"own-arm":  OwnArmMessage{},

	"own-arm-file": OwnArmFileMessage{},
	"real-arm":     RealArmMessage{},

	"recording":   RecordingView{},
	"predictions": PredictionsMessage{},
	"problem":     Problem{},
}

// StepRequest asks for one step jog of the bench's increment.
type StepRequest struct {
	Direction jog.Direction `json:"direction"`
}

// HoldRequest starts a continuous jog, and renews its lease when it comes again with the same press number. A press
// that has ended, for whatever reason, cannot be renewed: the control must be let go and pressed again.
//
// Several directions of one frame move the arm along their sum. When the directions of a press change, it is a new
// press: the arm comes to rest and goes on the new way.
//
// Bound and speed part may change with every renewal. A bound is for a press of one direction: how far along it, mm or
// degrees from where the press began, the arm is to come. It stops exactly there and waits, held, until the bound moves
// on; a bound behind the arm brings it back.
type HoldRequest struct {
	Press      int             `json:"press"`
	Directions []jog.Direction `json:"directions"`
	Bound      *float64        `json:"bound,omitempty"`      // left out: as far as it is held
	SpeedPart  *float64        `json:"speed_part,omitempty"` // of the chosen speed, above 0 and at most 1; left out: all of it
}

// ReleaseRequest ends whatever moves.
type ReleaseRequest struct{}

// AimRequest asks for the ghost of the next step in a direction; nothing is aimed at when it is null.
type AimRequest struct {
	Direction *jog.Direction `json:"direction"`
}

// FrameRequest chooses the active frame; a task frame by its name.
type FrameRequest struct {
	Frame jog.Frame `json:"frame"`
	Task  string    `json:"task"`
}

// ReadInRequest chooses the frame that positions are read in: base, world, or a task frame by its name.
type ReadInRequest struct {
	Frame jog.Frame `json:"frame"`
	Task  string    `json:"task"`
}

// UnitRequest chooses what lengths are read in, in all that the bench says. Numbers of messages stay mm.
type UnitRequest struct {
	Unit words.Unit `json:"unit"`
}

// SetDistanceRequest sets the clearance in mm at which the arm stops; 0 lets it go until it touches.
type SetDistanceRequest struct {
	MM float64 `json:"mm"`
}

// IncrementRequest sets the amount of a step jog: mm for straight ones, degrees for turns and joints.
type IncrementRequest struct {
	MM  float64 `json:"mm"`
	Deg float64 `json:"deg"`
}

// SpeedRequest sets the speed: mm/s for straight jogs, at most 250; degrees/s for turns and joints.
type SpeedRequest struct {
	MMS  float64 `json:"mm_s"`
	DegS float64 `json:"deg_s"`
}

// ToolRequest mounts a tool of the arm by name; "none" is the bare flange.
type ToolRequest struct {
	Name string `json:"name"`
}

// ArmRequest puts another shipped arm on the bench, at its start joints. It leaves the lesson.
type ArmRequest struct {
	ID string `json:"id"`
}

// CellRequest puts the arm in a shipped cell; an empty id leaves it alone on its mounting surface. It goes back to its
// start joints and leaves the lesson.
type CellRequest struct {
	ID string `json:"id"`
}

// RailRequest moves the carriage that the arm stands on to that place of its rail. The arm stands meanwhile, and the log
// begins anew.
type RailRequest struct {
	MM float64 `json:"mm"`
}

// SceneRequest puts an arm in a cell with a tool, standing at those joints: what the page opens with, or an address
// names. It leaves the lesson.
type SceneRequest struct {
	Arm       string      `json:"arm"`
	Cell      string      `json:"cell"`                 // "" for none
	Tool      string      `json:"tool"`                 // "" for the arm's first
	JointsDeg *[6]float64 `json:"joints_deg,omitempty"` // left out: where the arm starts
	RailMM    *float64    `json:"rail_mm,omitempty"`    // where the carriage is on its rail; left out: where the cell has it
	Own       string      `json:"own,omitempty"`        // the file of the arm where it is somebody's own; left out: it is among those that are offered
}

// OwnArmKind says what a table of the learner's own arm holds.
type OwnArmKind string

const (
	OwnArmDH       OwnArmKind = "dh"       // Denavit-Hartenberg parameters
	OwnArmMeasures OwnArmKind = "measures" // what was measured with a tape
	OwnArmWhole    OwnArmKind = "whole"    // no table: an arm file, as the page makes one of a URDF file
)

// OwnArmRequest asks what a table says of the learner's own arm so far, and where its joints are at those angles. An OwnArmMessage answers.
type OwnArmRequest struct {
	Kind          OwnArmKind         `json:"kind"`
	Text          string             `json:"text"` // of a table, a row a line, its cells parted by tabs; of an arm file
	Name          string             `json:"name"`
	Convention    dhtable.Convention `json:"convention"`
	Forward       string             `json:"forward"` // the axis of frame 0 that points forward; "" for x
	MountHeightMM float64            `json:"mount_height_mm"`
	AtDeg         [6]float64         `json:"at_deg"`
}

// OwnArmFileRequest hands in the learner's own arm file, which is then offered; no text takes it back. An OwnArmFileMessage answers.
type OwnArmFileRequest struct {
	Text string `json:"text"`
	Show bool   `json:"show"` // put it in the simulator
}

// OwnArmMessage is what a table says of the learner's own arm.
type OwnArmMessage struct {
	Problems []CellProblem `json:"problems"`
	Notes    []string      `json:"notes"`
	Joints   []OwnJoint    `json:"joints"` // that are known so far
	WayMM    [][3]float64  `json:"way_mm"` // from the mounting surface from axis to axis, and to the end where that is known
	End      *Place        `json:"end"`    // of the chain, the flange at last
	File     string        `json:"file"`   // the whole arm file; "" until the table is whole
	Solver   string        `json:"solver"`
}

// OwnJoint is a joint of an arm that is being written, as it stands.
type OwnJoint struct {
	Name      string     `json:"name"`
	AtMM      [3]float64 `json:"at_mm"` // where the arm meets its axis
	Axis      [3]float64 `json:"axis"`
	AtDeg     float64    `json:"at_deg"`
	LimitsDeg [2]float64 `json:"limits_deg"`
}

// CellProblem is what is wrong with a table or a file, and where: both counted from 1, the column in characters.
type CellProblem struct {
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Message string `json:"message"`
}

// OwnArmFileMessage says what is wrong with an arm file that was handed in, or what it is.
type OwnArmFileMessage struct {
	Problems []CellProblem `json:"problems"`
	Name     string        `json:"name"`
	Notes    []string      `json:"notes"`
}

// RealArmRequest asks for poses to jog the real arm to, where there are no readings; else what the readings say of the arm on the bench with
// its tool. A RealArmMessage answers.
type RealArmRequest struct {
	Poses    int              `json:"poses"` // 3 to 12
	Readings []RealArmReading `json:"readings"`
}

// RealArmReading is one pose of a real arm as its display shows it.
type RealArmReading struct {
	JointsDeg [6]float64 `json:"joints_deg"`
	AtMM      [3]float64 `json:"at_mm"` // of the TCP in the base frame
}

// RealArmMessage holds the arm on the bench against a real one.
type RealArmMessage struct {
	Arm      string       `json:"arm"`
	Tool     string       `json:"tool"`
	PosesDeg [][6]float64 `json:"poses_deg"` // to jog to, where they were asked for
	OffMM    [][3]float64 `json:"off_mm"`    // of each reading: shown less computed
	Said     string       `json:"said"`      // the verdict
	Causes   []string     `json:"causes"`    // that explain the readings; one where it is named
	Unseen   []string     `json:"unseen"`    // joints of which these readings show neither zero nor sign
	Fit      *RealArmFit  `json:"fit"`       // null where none was made
	Enough   int          `json:"enough"`    // readings for a fit
	File     string       `json:"file"`      // the arm file with the cause mended or the fit taken over; "" for none
	LeftMM   float64      `json:"left_mm"`   // what of the readings is left with it, root mean square
}

// RealArmFit are zero offsets and a TCP that fit the readings best.
type RealArmFit struct {
	BeforeMM float64    `json:"before_mm"` // root mean square
	AfterMM  float64    `json:"after_mm"`
	AddDeg   [6]float64 `json:"add_deg"` // to what the joints show
	TCPMM    [3]float64 `json:"tcp_mm"`  // in the flange's frame
	Unsure   bool       `json:"unsure"`  // the readings do not settle all of it; the rest is left as it was
}

// LessonRequest opens a lesson: its arm in its cell, at the named stage, or else at its first or where the progress leads.
// An empty id leaves the lesson.
type LessonRequest struct {
	ID       string `json:"id"`
	Progress string `json:"progress"`        // from a ProgressMessage; "" starts the lesson afresh
	Seed     *int64 `json:"seed"`            // to draw its numbers from; null lets the server choose
	Stage    *int   `json:"stage,omitempty"` // from 0; left out: where the progress leads
}

// StageRequest does something about the stage of the open lesson.
type StageRequest struct {
	Do    StageDo `json:"do"`
	Stage int     `json:"stage"` // from 0, for StageGo
}

// StageDo is what a StageRequest does.
type StageDo string

const (
	StageGo     StageDo = "go"      // goes to a stage
	StageAgain  StageDo = "again"   // puts the arm back to where the stage began, for the next try
	StageGiveUp StageDo = "give-up" // gives the task up for good
	StageBegin  StageDo = "begin"   // begins an assessment: its time runs from then on
	StageHandIn StageDo = "hand-in" // hands an assessment in: nothing counts after that
	StageShow   StageDo = "show"    // lets the arm make the jog that was to be predicted
)

// AnswerRequest answers the task of the stage. Only the part that it asks for is looked at.
type AnswerRequest struct {
	Arrow     *[3]float64 `json:"arrow"`     // which way a point will go, in the base frame
	Direction string      `json:"direction"` // the same by name, one of the task's options
	Joints    []int       `json:"joints"`    // which joints will move, from 0
	Stop      string      `json:"stop"`      // what will stop it, one of the task's options
	Number    *float64    `json:"number"`    // what is read, in the task's unit
	Options   []int       `json:"options"`   // which are chosen, from 0
}

// ResultRequest asks for the signed result of a lesson; an assessment is handed in before.
type ResultRequest struct {
	Learner string `json:"learner"` // as they name themselves
	Number  string `json:"number"`  // "" where none is asked for
	Email   string `json:"email"`   //
}

// ExtraTimeRequest asks for the time that an instructor's code gives.
type ExtraTimeRequest struct {
	Code string `json:"code"`
}

// RestartRequest sets the arm back to its start joints, or to others, which are not its start joints then; in a lesson to where the stage
// began.
type RestartRequest struct {
	JointsDeg *[6]float64 `json:"joints_deg,omitempty"` // left out: the start joints
}

// UndoRequest drives the arm back along the path of the last jog.
type UndoRequest struct{}

// PlayRequest drives the jogs of a file from where the arm stands.
type PlayRequest struct {
	Name string `json:"name"` // of the file, for messages
	Text string `json:"text"`
}

// SaveLogRequest asks for the log as a file.
type SaveLogRequest struct{}

// ShowRequest says what the page shows, so that nothing is computed or sent that it does not.
type ShowRequest struct {
	Room bool        `json:"room"` // the room to move
	Plot bool        `json:"plot"` // the recordings of jogs
	Of   Whose       `json:"of"`   // whose orientation is read
	Form spoken.Form `json:"form"` // in which form
}

// Whose is whose orientation is read.
type Whose string

const (
	OfTCP    Whose = "tcp"
	OfFlange Whose = "flange"
)

// TeachRequest does one step of teaching a task frame or finding a TCP.
type TeachRequest struct {
	Do   TeachDo `json:"do"`
	Name string  `json:"name"` // of the frame, for TeachFrame
}

// TeachDo is what a TeachRequest does.
type TeachDo string

const (
	TeachOrigin TeachDo = "origin"  // the TCP is at the frame's origin
	TeachX      TeachDo = "x"       // the TCP is on its +X axis
	TeachXY     TeachDo = "xy"      // the TCP is in its X-Y plane, on the side of +Y
	TeachFrame  TeachDo = "frame"   // makes the frame of the three points
	TeachTouch  TeachDo = "touch"   // the tool touches the tip
	TeachForget TeachDo = "forget"  // forgets points and touches
	TeachUseTCP TeachDo = "use-tcp" // takes the TCP that was found
)

// Welcome is the first message of a connection.
type Welcome struct {
	Bench   string  `json:"bench"`    // the page hands it in when it comes back
	Program string  `json:"program"`  // the version of the program; a page of another loads itself anew
	Wire    int     `json:"wire"`     // see WireVersion
	LeaseMS int     `json:"lease_ms"` // a held control must be renewed within this time
	Alone   bool    `json:"alone"`    // the bench runs in the learner's own browser: it signs nothing, and an assessment is practice
	Choices Choices `json:"choices"`
	Author  bool    `json:"author"` // of the files that are served: it is told what is wrong with them
	Found   bool    `json:"found"`  // the bench stands as it stood last at rest, before its server ended or the page came to another
}

// PieceRequest asks for a piece of a lesson file to copy.
type PieceRequest struct {
	Of     PieceOf    `json:"of"`
	FromMM [3]float64 `json:"from_mm"` // for PieceView: where the eye is, in the world
	AtMM   [3]float64 `json:"at_mm"`   // and what it looks at
}

// PieceOf is what a piece of a lesson file is made of.
type PieceOf string

const (
	PiecePose   PieceOf = "pose"   // where the arm stands, as the start of a stage
	PieceTarget PieceOf = "target" // where the TCP is in the frame that positions are read in, as a place to reach
	PieceView   PieceOf = "view"   // where the page looks from
)

// PieceMessage is a piece of a lesson file.
type PieceMessage struct {
	Text string `json:"text"`
}

// OfferMessage is what one can choose. It changes when a file of the instructor's folder is saved.
type OfferMessage struct {
	Arms    []Listing       `json:"arms"`
	Cells   []Listing       `json:"cells"`
	Lessons []LessonListing `json:"lessons"`
}

// FaultsMessage is what is wrong with the file of what is open, or of the lesson that is to be opened; empty where nothing is.
type FaultsMessage struct {
	ID     string  `json:"id"`   // of the file: its name without its ending
	Open   bool    `json:"open"` // something by that id is open, and can be used
	Old    bool    `json:"old"`  // as it was before the file was saved
	Faults []Fault `json:"faults"`
}

// Fault is one thing that is wrong with a file.
type Fault struct {
	File    string `json:"file"`
	Line    int    `json:"line"` // from 1; 0 where the file as a whole is meant
	Column  int    `json:"column"`
	Message string `json:"message"`
	Excerpt string `json:"excerpt"` // the line and a mark under the column; may be empty
}

// Listing is a thing one can choose.
type Listing struct {
	ID    string `json:"id"`
	Title string `json:"title"`
	About string `json:"about"`
	Lang  string `json:"lang"` // of the title; "" where the file does not say
}

// LessonListing is a lesson one can choose. One whose file has never been right has no aims.
type LessonListing struct {
	ID      string   `json:"id"`
	Title   string   `json:"title"`
	About   string   `json:"about"`
	Lang    string   `json:"lang"` // of the title and the aims; "" where the file does not say
	Aims    []string `json:"aims"`
	Minutes int      `json:"minutes"` // it takes; 0 where the file does not say
	Tasks   int      `json:"tasks"`
}

// Choices are the increments and speeds the page offers, from fine to coarse.
type Choices struct {
	Increments []IncrementRequest `json:"increments"`
	Speeds     []SpeedRequest     `json:"speeds"`
}

// Place is a frame in the base frame, for drawing.
type Place struct {
	Position   [3]float64 `json:"p"`
	Quaternion [4]float64 `json:"q"`
}

// ArmMessage describes the arm at the pose in which it was measured, in the base frame.
type ArmMessage struct {
	ID            string       `json:"id"`
	Name          string       `json:"name"`
	About         string       `json:"about"`
	MountHeightMM float64      `json:"mount_height_mm"` // base frame's origin above the floor it stands on
	ReachMM       float64      `json:"reach_mm"`        // a rough size, for the camera
	Joints        [6]JointView `json:"joints"`
	Origin        OriginView   `json:"origin"`
	Flange        Place        `json:"flange"`
	Body          []Capsule    `json:"body"`
	Tools         []ToolView   `json:"tools"` // the bare flange, "none", is the last
	Meshes        []MeshView   `json:"meshes"`
}

// MeshView is a surface that is drawn instead of the bodies of a link or a tool.
type MeshView struct {
	Link   int        `json:"link"`
	Tool   string     `json:"tool"` // "" for a link's
	File   string     `json:"file"` // its path in the folder that the page gets the arm's files from
	At     Place      `json:"at"`   // at the measured pose in the base frame; a tool's in the flange's frame
	Scale  [3]float64 `json:"scale"`
	Colour string     `json:"colour"` // where the file has none; "" for the page's own
}

// OriginView says where on the arm the base frame's origin is, at the measured pose.
type OriginView struct {
	FromJ1MM      float64 `json:"from_j1_mm"`      // from the axis of joint 1
	BelowJoint2MM float64 `json:"below_joint2_mm"` // how much higher joint 2's axis is, where it passes joint 1's
}

// CellMessage is what stands around the arm, in the world frame. Without a cell the world is the base frame.
type CellMessage struct {
	ID      string      `json:"id"`
	Name    string      `json:"name"`
	About   string      `json:"about"`
	Base    Place       `json:"base"`     // the base frame in the world
	FloorMM *float64    `json:"floor_mm"` // height of the floor; null where the arm's mounting surface is taken for it
	Rail    *RailView   `json:"rail"`     // null where the arm is bolted down
	Things  []ThingView `json:"things"`
	Tasks   []TaskView  `json:"tasks"`
}

// RailView is the rail that the arm's carriage is on.
type RailView struct {
	FromMM float64 `json:"from_mm"`
	ToMM   float64 `json:"to_mm"`
	AtMM   float64 `json:"at_mm"`
}

// ThingView is something that the arm can touch.
type ThingView struct {
	Name   string     `json:"name"`
	Shape  string     `json:"shape"`   // "box", "cylinder", "sphere" or "half-space"
	SizeMM [3]float64 `json:"size_mm"` // a box's edges; radius, radius and length; or the radius three times
	Place  Place      `json:"place"`
}

// TaskView is a task frame.
type TaskView struct {
	Name   string `json:"name"`
	Title  string `json:"title"` // what it is called in the page's language
	Place  Place  `json:"place"`
	Taught bool   `json:"taught"` // by the learner, so that no scene has it
}

// ClearanceView is the smallest distance between the arm and what it could touch, itself included.
type ClearanceView struct {
	DistanceMM float64    `json:"distance_mm"`
	A          string     `json:"a"` // a link or the tool, as it is spoken of
	B          string     `json:"b"` // a link, the tool or a thing, likewise
	OnA        [3]float64 `json:"on_a"`
	OnB        [3]float64 `json:"on_b"`
	Contact    bool       `json:"contact"`
}

// JointView is one joint at the measured pose; its limits are what the arm's own display shows.
type JointView struct {
	Name        string     `json:"name"`
	AtMM        [3]float64 `json:"at_mm"`
	Axis        [3]float64 `json:"axis"`
	MeasuredDeg float64    `json:"measured_deg"` // its angle at the measured pose
	LimitsDeg   [2]float64 `json:"limits_deg"`
	SpeedDegS   float64    `json:"speed_deg_s"`
}

// Capsule is a cylinder with round ends, carried by a link.
type Capsule struct {
	Link     int        `json:"link"`
	FromMM   [3]float64 `json:"from_mm"`
	ToMM     [3]float64 `json:"to_mm"`
	RadiusMM float64    `json:"radius_mm"`
}

// ToolView is a tool in the flange's frame.
type ToolView struct {
	Name  string    `json:"name"`
	Title string    `json:"title"` // its name in the language of the page
	TCP   Place     `json:"tcp"`
	Found bool      `json:"found"` // its TCP, by the learner, so that no scene has it
	Body  []Capsule `json:"body"`
}

// Setup is what the learner has chosen.
type Setup struct {
	Frame         jog.Frame        `json:"frame"`
	Task          string           `json:"task"` // the task frame's name, where the frame is one
	ReadIn        ReadInRequest    `json:"read_in"`
	Unit          words.Unit       `json:"unit"` // that lengths are read in
	SetDistanceMM float64          `json:"set_distance_mm"`
	Cell          string           `json:"cell"`
	Increment     IncrementRequest `json:"increment"`
	Speed         SpeedRequest     `json:"speed"`
	Tool          string           `json:"tool"`
	Arm           string           `json:"arm"`
	Lesson        string           `json:"lesson"`
}

// MotionView is what the arm is doing.
type MotionView struct {
	Moving   *jog.Direction `json:"moving"`    // null at rest
	SlowedBy string         `json:"slowed_by"` // what holds the jog below the chosen speed: a joint, "reduced speed", or "" for nothing
	Crashes  int            `json:"crashes"`   // contacts in motion since the arm was put where it began
	Put      int            `json:"put"`       // counts how often the arm was put elsewhere without having been driven there
}

// FramesView is where the chosen frames are, in the base frame.
type FramesView struct {
	Read   Place  `json:"read"`   // the frame that positions are read in
	Active *Place `json:"active"` // the active frame; the base frame for joints; null for the tool frame, which is where the TCP is
}

// NearestView names the two parts of arm, tool and cell that are nearest to each other; both "" where nothing can be touched.
type NearestView struct {
	A       string `json:"a"` // a link or the tool, as it is spoken of
	B       string `json:"b"` // a link, the tool or a thing, likewise
	Contact bool   `json:"contact"`
}

// NoteView says what is to be known about the orientation that is read.
type NoteView struct {
	Unique bool   `json:"unique"` // no other numbers would be as good
	Text   string `json:"text"`   // where there are: what they still mean; where all three angles are new after a small turn: why; else ""
}

// Ghost is where the next step would end.
type Ghost struct {
	Direction *jog.Direction `json:"direction"` // null: nothing is aimed at
	Links     [7]Place       `json:"links"`
	TCPPlace  Place          `json:"tcp_place"`
	PathMM    [][3]float64   `json:"path_mm"`   // of the TCP, from where it is
	DeltaDeg  [6]float64     `json:"delta_deg"` // each joint's change over the step
	Share     [6]float64     `json:"share"`     // each joint's part of the joint travel, summing to 1
	Travel    float64        `json:"travel"`    // how far the step gets, mm or degrees
	Stop      *StopMessage   `json:"stop"`      // why it ends early; null when it does not
	AfterRun  float64        `json:"after_run"` // how far the arm goes on after a release at the chosen speed, mm or degrees
	AfterS    float64        `json:"after_s"`   // and for how long
}

// StopMessage says why a motion ended.
type StopMessage struct {
	Count     int           `json:"count"` // of the motions that have ended since the arm was put where it began, this one included
	Reason    jog.Reason    `json:"reason"`
	Direction jog.Direction `json:"direction"`
	Joint     string        `json:"joint"`    // the joint at its limit or racing; "" where none
	Travel    float64       `json:"travel"`   // how far the jog got, mm or degrees
	Cause     string        `json:"cause"`    // what made the arm stop, in a few words; "" for an ordinary end
	Headline  string        `json:"headline"` // a few words
	Means     string        `json:"means"`    // what is special about the pose, which the numbers begin with; "" but at a singularity
	Numbers   string        `json:"numbers"`  // what it was, by how much
	Advice    string        `json:"advice"`   // what to do about it
	Advised   *int          `json:"advised"`  // the joint that the advice says to move, 0 to 5; null where it names none
	Trouble   bool          `json:"trouble"`  // true when the arm could not go on, false for an ordinary end
}

// RoomMessage is the room to move in the twelve directions of the active frame, plus and minus of each axis in turn.
type RoomMessage struct {
	Frame jog.Frame    `json:"frame"`
	Task  string       `json:"task"`
	Tick  int64        `json:"tick"` // at which the arm stood where it was asked for
	Room  [12]RoomView `json:"room"`
}

// RoomView is how far the arm can go in one direction, and what stops it there.
type RoomView struct {
	Free  float64 `json:"free"`  // mm or degrees
	Cause string  `json:"cause"` // in a few words; "" where nothing stops it within a whole turn
	Brief string  `json:"brief"` // the same in a word or two
}

// RecordingView is how the joints went through a jog: all samples are of the same moments, evenly spaced in time but for
// the last. It comes while the jog is under way, a few times a second, and when it has ended.
type RecordingView struct {
	OfJoint    bool          `json:"of_joint"` // a jog in the joint frame
	Direction  jog.Direction `json:"direction"`
	Several    bool          `json:"several"` // along several directions together, of which that is the first
	Back       bool          `json:"back"`    // an undo
	Done       bool          `json:"done"`
	Travel     []float64     `json:"travel"` // along the jog's path, mm or degrees
	TimeS      []float64     `json:"time_s"`
	AnglesDeg  [6][]float64  `json:"angles_deg"`
	SpeedsDegS [6][]float64  `json:"speeds_deg_s"`
	WorkDeg    [6]float64    `json:"work_deg"` // how far each joint went, to and fro
	Turns      []MomentView  `json:"turns"`    // where a joint changed its direction
	Limits     []LimitView   `json:"limits"`
	Slowed     []int         `json:"slowed"` // joints, from 0, that at their highest speed held the jog back
}

// MomentView is where a joint was at a moment of a jog.
type MomentView struct {
	Joint    int     `json:"joint"` // from 0
	Travel   float64 `json:"travel"`
	TimeS    float64 `json:"time_s"`
	AngleDeg float64 `json:"angle_deg"`
}

// LimitView is where a joint that approached a limit was nearest to it.
type LimitView struct {
	At       MomentView `json:"at"`
	LimitDeg float64    `json:"limit_deg"`
	LeftDeg  float64    `json:"left_deg"`
}

// LogMessage is what was driven last, less what was undone. The page keeps what it has of it between First and From, and nothing
// else. Both count entries since the log began.
type LogMessage struct {
	First   int        `json:"first"`
	From    int        `json:"from"` // where the entries that are told here begin
	Entries []LogEntry `json:"entries"`
	Undo    bool       `json:"undo"` // there is a jog that an undo would take back
	Log     int        `json:"log"`  // which log it is: another one begins when the arm was put elsewhere
}

// LogEntry is a jog that was driven.
type LogEntry struct {
	Line     string     `json:"line"`     // as in a jog file, with how far it got, to 0.01 mm or 0.01°
	Straight bool       `json:"straight"` // it is measured in mm, else in degrees
	Speed    float64    `json:"speed"`    // mm/s or degrees/s
	FromMM   [3]float64 `json:"from_mm"`  // where the TCP was at its start, in the base frame
	ToMM     [3]float64 `json:"to_mm"`    // and at its end
	Ended    string     `json:"ended"`    // why, in a few words
	Trouble  bool       `json:"trouble"`  // the arm could not go on
	Again    string     `json:"again"`    // a jog file that drives it once more
}

// LogFile is the log as a jog file, the form that handrule trace reads.
type LogFile struct {
	Name     string     `json:"name"`
	Text     string     `json:"text"`
	StartDeg [6]float64 `json:"start_deg"` // where the first jog began
}

// PlayMessage is how far the playing of a jog file has got.
type PlayMessage struct {
	Name    string `json:"name"`
	Count   int    `json:"count"` // of the files that were to be played
	Playing bool   `json:"playing"`
	Done    int    `json:"done"` // jogs
	Of      int    `json:"of"`
	Line    int    `json:"line"`    // of the file, that is being driven
	Jog     string `json:"jog"`     // what that says
	Problem string `json:"problem"` // what is wrong with the file, or why it was not driven to its end; "" for nothing
}

// TeachMessage is how far teaching has got.
type TeachMessage struct {
	Origin  *[3]float64 `json:"origin"` // in the world, null until it is taken
	X       *[3]float64 `json:"x"`
	XY      *[3]float64 `json:"xy"`
	Touches int         `json:"touches"`
	Fit     *FitView    `json:"fit"`     // null until there are touches enough
	Problem string      `json:"problem"` // why the points or touches do not do yet
}

// FitView is the TCP that the touches give, in the flange's frame.
type FitView struct {
	TCPMM       [3]float64 `json:"tcp_mm"`
	ResidualsMM []float64  `json:"residuals_mm"` // of each touch
	RMSMM       float64    `json:"rms_mm"`
	MaxMM       float64    `json:"max_mm"`
	SpreadDeg   float64    `json:"spread_deg"`   // how far the flange was turned between touches
	Weak        bool       `json:"weak"`         // more touches from other sides would help
	FromFileMM  float64    `json:"from_file_mm"` // how far the found TCP is from the one in the tool's file
}

// LessonMessage is the open lesson at its stage; its id is empty when none is open.
type LessonMessage struct {
	ID       string      `json:"id"`
	Title    string      `json:"title"`
	Aims     []string    `json:"aims"`
	Sources  []string    `json:"sources"` // where its facts come from
	Minutes  int         `json:"minutes"` // about how long it takes; 0 where it does not say
	Drawn    bool        `json:"drawn"`   // what is dealt in it was dealt by the seed
	Seed     int64       `json:"seed"`
	Edition  int         `json:"edition"` // counts how often it was read again while it was open
	Stage    int         `json:"stage"`   // the one the learner is in, from 0
	Stages   []StageView `json:"stages"`
	HTML     string      `json:"html"` // of this stage, from Markdown, without raw HTML
	Task     *LessonTask `json:"task"` // null where the stage has none
	Target   *TargetView `json:"target"`
	View     *ViewFrom   `json:"view"`      // to be looked from when the stage begins; null where the learner chooses
	Face     *[3]float64 `json:"face"`      // where it is best looked from when the stage begins: from the arm towards the eye, in the world frame; null without a lesson
	Hints    []string    `json:"hints"`     // that have appeared
	NextHint int         `json:"next_hint"` // the failed tries after which the next appears; 0 where none is left
	Allow    AllowView   `json:"allow"`
	Over     bool        `json:"over"` // no task is left to be done

	Preparing  string          `json:"preparing"`  // the title of another one that is about to be opened; "" for none
	Assessment *AssessmentView `json:"assessment"` // null where nothing counts
}

// AssessmentView is how a lesson counts, and how far it is.
type AssessmentView struct {
	State          AssessmentState `json:"state"`
	Points         float64         `json:"points"`          // that there are
	Earned         float64         `json:"earned"`          // once it is handed in
	MinutesAllowed int             `json:"minutes_allowed"` // 0: any number
	ExtraMinutes   int             `json:"extra_minutes"`   // by an instructor's code
	TimeUp         bool            `json:"time_up"`         // it was handed in because its time was up
	AskFor         []string        `json:"ask_for"`         // what learners say of themselves: "name", "number", "e-mail"
	DrawnOrder     bool            `json:"drawn_order"`
}

// AssessmentState is how far an assessment is.
type AssessmentState string

const (
	AssessmentWaits    AssessmentState = "waits" // for StageBegin; its tasks are not told before
	AssessmentOpen     AssessmentState = "open"
	AssessmentHandedIn AssessmentState = "handed in"
)

// ClockMessage is how much time is left for an assessment, by the server's clock at the time it is told.
type ClockMessage struct {
	Running bool    `json:"running"`
	LeftS   float64 `json:"left_s"`
}

// ViewFrom is where the eye is and what it looks at, in the world.
type ViewFrom struct {
	FromMM [3]float64 `json:"from_mm"`
	AtMM   [3]float64 `json:"at_mm"`
}

// StageView is a stage in the list of stages.
type StageView struct {
	Title    string  `json:"title"`
	Task     string  `json:"task"` // its kind; "" where it has none
	Done     bool    `json:"done"`
	GivenUp  bool    `json:"given_up"`
	Tries    int     `json:"tries"`
	Seconds  float64 `json:"seconds"`
	Jogs     int     `json:"jogs"`
	Contacts int     `json:"contacts"`
	Hints    int     `json:"hints"` // that were shown

	// Of an assessment: what it counts, at the first try and after it, how often it may be tried (0: any number), and what was
	// earned, once all is handed in.
	Points   float64 `json:"points"`
	Late     float64 `json:"late"`
	TriesMay int     `json:"tries_may"`
	Earned   float64 `json:"earned"`
}

// LessonTask is what a stage asks, and how it stands.
type LessonTask struct {
	Kind    string       `json:"kind"` // "reach", "predict", "read", "choose" or "free"
	State   TaskState    `json:"state"`
	Tries   int          `json:"tries"`   // that came to an end
	Jogs    int          `json:"jogs"`    // in this try
	Moved   bool         `json:"moved"`   // the arm no longer stands where the stage began
	Verdict *VerdictView `json:"verdict"` // of the last answer or jog that decided something; null before
	Right   string       `json:"right"`   // the right answer, once it may be shown
	Explain string       `json:"explain"` // why it is so, once it may be shown: the lesson's words as HTML
	Why     string       `json:"why"`     // why the right answer is right, of a task that was given up
	Shown   *ShownView   `json:"shown"`   // of the last answer; null before there is one
	Left    int          `json:"left"`    // tries that are left; -1: any number
	MayTry  bool         `json:"may_try"` // the question is about a jog, and the arm may make it before the answer
	Reach   *ReachView   `json:"reach"`   // of the five that of its kind is there
	Predict *PredictView `json:"predict"`
	Read    *ReadView    `json:"read"`
	Choose  *ChooseView  `json:"choose"`
	Free    *FreeView    `json:"free"`
}

// ShownView is what the picture shows of a task that was answered, in the base frame.
type ShownView struct {
	Axes    []AxisView   `json:"axes"`
	LeverMM [][3]float64 `json:"lever_mm"` // from an axis to the point that turns about it; empty for none
	PathMM  [][3]float64 `json:"path_mm"`  // the way of the point, or the walk to what is read; empty before it may be told
	LineMM  [][3]float64 `json:"line_mm"`  // that the lesson draws; empty for none
	GapMM   [][3]float64 `json:"gap_mm"`   // between the two parts that are nearest; empty for none
	PlaceMM *[3]float64  `json:"place_mm"` // where a jog is stopped; null for none
}

// AxisView is a line that is spoken of.
type AxisView struct {
	AtMM  [3]float64 `json:"at_mm"`
	Along [3]float64 `json:"along"` // a unit vector
	Joint string     `json:"joint"` // whose axis it is; "" for none
}

// TaskState is how a task stands.
type TaskState string

const (
	TaskOpen    TaskState = "open"
	TaskFailed  TaskState = "failed" // this try; the next begins with StageAgain
	TaskDone    TaskState = "done"
	TaskGivenUp TaskState = "given up"
)

// VerdictView is what came of an answer or a jog.
type VerdictView struct {
	Done  bool   `json:"done"`
	Words string `json:"words"`
	Given string `json:"given"` // the answer in words

	Several bool `json:"several"` // the answer is made up of several things, of which some may be right
	Told    bool `json:"told"`    // the words tell the answer, too
	Part    bool `json:"part"`    // all that was answered is right, and more is
	OfNow   bool `json:"of_now"`  // right of where the arm stands now, and not of where the stage began

	Error *float64 `json:"error"` // how far off it was; null where that means nothing or would give the answer away
	Unit  string   `json:"unit"`  // of the error: "mm", "inch", "°", "joints", "options" or ""
}

// ReachView is the task to bring the TCP to a place, or a joint to an angle, and the rules for it.
type ReachView struct {
	Frame         string      `json:"frame"` // "base", "world" or "task NAME"
	PositionMM    *[3]float64 `json:"position_mm"`
	RotationDeg   *[3]float64 `json:"rotation_deg"` // fixed X-Y-Z
	Joint         string      `json:"joint"`        // "" where a place is asked for
	AngleDeg      float64     `json:"angle_deg"`
	ToleranceMM   float64     `json:"tolerance_mm"`
	ToleranceDeg  float64     `json:"tolerance_deg"`
	OffMM         float64     `json:"off_mm"`  // how far it is from here
	OffDeg        float64     `json:"off_deg"` //
	Posture       []Posture   `json:"posture"` // to be there in; empty: any
	Frames        []jog.Frame `json:"frames"`  // only jogs in these; empty: in any
	Taught        bool        `json:"taught"`  // only jogs in a task frame that the learner has taught
	MostJogs      int         `json:"most_jogs"`
	NoContact     bool        `json:"no_contact"`
	PathFactor    float64     `json:"path_factor"`
	KeepDirection float64     `json:"keep_direction_deg"`
}

// Posture is a word of the arm's posture that is asked for, and the one it stands in.
type Posture struct {
	Part string `json:"part"` // "shoulder", "elbow" or "wrist"
	Word string `json:"word"`
	Now  string `json:"now"`
}

// PredictView is the task to say beforehand what a jog will do.
type PredictView struct {
	Jog     string   `json:"jog"`   // as in a jog file
	Ask     string   `json:"ask"`   // "direction", "joints" or "stop"
	Point   string   `json:"point"` // whose direction: "tcp" or "flange"
	At      Place    `json:"at"`    // where it is when the stage begins
	Frame   string   `json:"frame"` // that the directions are named in
	Options []string `json:"options"`
	Within  float64  `json:"within_deg"` // how far off an arrow may be; 0 where no direction is asked
	// The options' directions, and the way the point goes once it may be shown: unit vectors of the base frame.
	Ways  [][3]float64 `json:"ways"`
	Truth *[3]float64  `json:"truth"`
}

// ReadView is the task to say a number.
type ReadView struct {
	Measure   string   `json:"measure"`
	Frame     string   `json:"frame"`
	Joint     string   `json:"joint"`
	Unit      string   `json:"unit"` // "mm", "inch", "°" or ""
	Tolerance float64  `json:"tolerance"`
	Jogs      []string `json:"jogs"` // before which it is not read, as a person says them; or the one that it is of
}

// ChooseView is a question with options.
type ChooseView struct {
	Question string   `json:"question"`
	Several  bool     `json:"several"`
	Options  []string `json:"options"`
}

// FreeView is what is to be noticed while one drives.
type FreeView struct {
	Notice []NoticeView `json:"notice"`
	Enough int          `json:"enough"`
}

// NoticeView is one thing to notice.
type NoticeView struct {
	Text     string `json:"text"`
	Happened bool   `json:"happened"`
}

// AllowView is what the learner may use in the stage.
type AllowView struct {
	Frames     []jog.Frame        `json:"frames"`     // empty: all
	Increments []IncrementRequest `json:"increments"` // that are offered
	Speeds     []SpeedRequest     `json:"speeds"`
	Limited    bool               `json:"limited"`  // increments or speeds are not all there are
	Hidden     []string           `json:"hidden"`   // aids that are not offered: "ghost", "trail", "share", "room", "walk", "readout"
	Withheld   bool               `json:"withheld"` // the arm waits: for an answer, or for the next try to begin
}

// ProgressMessage is how far the learner has come, for the page to keep and to hand in when it opens the lesson again.
type ProgressMessage struct {
	Lesson string `json:"lesson"`
	Token  string `json:"token"` // sealed by the server
}

// ResultMessage is a signed result.
type ResultMessage struct {
	Name string `json:"name"` // for the file
	Text string `json:"text"`
}

// TargetView is where the TCP should go, in the base frame.
type TargetView struct {
	Place        Place   `json:"place"`
	Reached      bool    `json:"reached"`
	HasRotation  bool    `json:"has_rotation"`
	ToleranceMM  float64 `json:"tolerance_mm"`
	ToleranceDeg float64 `json:"tolerance_deg"`
}

// PredictFirstRequest switches on or off that a jog is asked about before it is made. A hold then becomes a step in its
// direction, made when it has been answered.
type PredictFirstRequest struct {
	On     bool `json:"on"`
	Joints bool `json:"joints"` // asks which joints will turn, and not which way the TCP will go
}

// PredictRequest answers the question that waits, by one of its first three fields; the arm then makes the jog.
type PredictRequest struct {
	Arrow    *[3]float64 `json:"arrow"`    // the direction or axis, in the base frame, of any length
	Joints   []int       `json:"joints"`   // which will turn, from 0
	Stays    bool        `json:"stays"`    // the arm will not move at all
	Withdraw bool        `json:"withdraw"` // the jog is not to be made
	Forget   bool        `json:"forget"`   // forgets all predictions given so far
}

// Asks is what a question asks.
type Asks string

const (
	AsksWay    Asks = "way"    // the direction in which the TCP starts
	AsksAxis   Asks = "axis"   // the axis of the turn, by the right-hand rule
	AsksJoints Asks = "joints" // the joints that will turn
)

// PredictionsMessage is how predicting first stands.
type PredictionsMessage struct {
	On       bool             `json:"on"`
	Joints   bool             `json:"joints"`
	Question *QuestionView    `json:"question"` // that waits; null for none
	Given    []PredictionView `json:"given"`    // the latest last, at most twelve
	Fresh    bool             `json:"fresh"`    // the latest is the last thing that the arm was moved for
	Count    int              `json:"count"`    // all that were given
	Right    int              `json:"right"`
	Measured int              `json:"measured"`   // those with an angle to what happened,
	MeanDeg  *float64         `json:"mean_deg"`   // and the mean of these angles; null before the first
	Within   float64          `json:"within_deg"` // how far off an arrow may be to be right
}

// QuestionView is a jog that waits for a prediction.
type QuestionView struct {
	Directions []jog.Direction `json:"directions"`
	Asks       Asks            `json:"asks"`
	At         Place           `json:"at"`   // the TCP, in the base frame
	Step       *float64        `json:"step"` // how far the arm will go, mm or degrees, where a hold was asked for; null for a step
}

// PredictionView is a prediction, and what came of it.
type PredictionView struct {
	Directions []jog.Direction `json:"directions"` // of the jog
	Asks       Asks            `json:"asks"`
	At         Place           `json:"at"`    // where the TCP was, in the base frame
	Arrow      *[3]float64     `json:"arrow"` // a unit vector in the base frame; null where none was given
	Stays      bool            `json:"stays"` // the learner said that the arm would stay
	Joints     []int           `json:"joints"`
	Truth      *[3]float64     `json:"truth"` // what the arrow should have been; null where the arm stayed, and for joints
	Movers     []int           `json:"movers"`
	OffDeg     *float64        `json:"off_deg"` // between arrow and truth; null where there are not both
	Wrong      int             `json:"wrong"`   // joints said wrongly
	Right      bool            `json:"right"`
	Cause      string          `json:"cause"`    // why the arm stayed, in a few words; "" where it moved
	AsAsked    bool            `json:"as_asked"` // the arm stayed, and the arrow is the way the jog asked of it
}

// WaysRequest compares two ways to a place, by single joints and straight along the base frame, with the learner's own.
type WaysRequest struct {
	Do      WaysDo      `json:"do"`
	Numbers *[6]float64 `json:"numbers"` // for WaysNumbers: position and fixed X-Y-Z angles, in the frame that positions are read in
	Way     WayName     `json:"way"`     // for WaysShow
}

// WaysDo is what a WaysRequest does. The first three set the place; where the arm is not there, the comparison begins at once.
type WaysDo string

const (
	WaysLesson  WaysDo = "lesson"  // the lesson's target
	WaysHere    WaysDo = "here"    // where the TCP is now
	WaysNumbers WaysDo = "numbers" // the place with these numbers
	WaysBegin   WaysDo = "begin"   // begins the comparison anew, from where the arm stands
	WaysClear   WaysDo = "clear"   // forgets the place
	WaysShow    WaysDo = "show"    // sends a way to be shown
)

// WayName is one of the two ways.
type WayName string

const (
	WayByJoints WayName = "joints"
	WayStraight WayName = "straight"
)

// WaysMessage is the comparison of ways.
type WaysMessage struct {
	LessonGoal bool         `json:"lesson_goal"` // the lesson has a target that can be taken
	Goal       *GoalView    `json:"goal"`        // null while none is set
	Begun      bool         `json:"begun"`
	Joint      *WayView     `json:"joint"` // null until it is computed
	Straight   *WayView     `json:"straight"`
	Attempt    *AttemptView `json:"attempt"` // null until the comparison has begun
}

// GoalView is the place to go to.
type GoalView struct {
	Kind        WaysDo     `json:"kind"` // WaysLesson, WaysHere or WaysNumbers
	Target      TargetView `json:"target"`
	PositionMM  [3]float64 `json:"position_mm"`   // in the frame that positions are read in
	FixedXYZDeg [3]float64 `json:"fixed_xyz_deg"` // likewise
}

// CostView is what a way costs.
type CostView struct {
	LengthMM  float64        `json:"length_mm"` // of the TCP's path
	Seconds   float64        `json:"seconds"`   // in motion
	Clearance *ClearanceView `json:"clearance"` // the least on the way; null where nothing can be touched
}

// WayView is a computed way.
type WayView struct {
	Jogs     []string     `json:"jogs"` // as in a jog file; where it does not get there, the last is the one that stops
	Cost     CostView     `json:"cost"`
	Done     bool         `json:"done"`       // it gets there
	Nowhere  bool         `json:"nowhere"`    // no joint angles put the TCP there
	Stop     *StopMessage `json:"stop"`       // why it does not get there; null where it does
	StopAtMM [3]float64   `json:"stop_at_mm"` // where the TCP stands then, in the frame that positions are read in
	ShortMM  float64      `json:"short_mm"`   // and how far that is from the goal
}

// AttemptView is the learner's own way, until the goal is reached.
type AttemptView struct {
	Jogs    int      `json:"jogs"`
	Cost    CostView `json:"cost"`
	Reached bool     `json:"reached"`
}

// WayMessage is a way to be shown: where the arm is, evenly in time.
type WayMessage struct {
	Way     WayName     `json:"way"`
	Seconds float64     `json:"seconds"`
	Frames  []FrameView `json:"frames"` // at most 160
}

// FrameView is the arm at a moment of a way.
type FrameView struct {
	Links [7]Place `json:"links"`
	TCP   Place    `json:"tcp"`
}

// Problem tells what could not be done.
type Problem struct {
	Message string `json:"message"`
	Refused bool   `json:"refused"` // a request was not done, and nothing has changed; false: there is only something to know
}
