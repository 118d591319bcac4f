package class

import (
	"handrule/kinematics/jog"
	"handrule/scenarios/ask"
	"handrule/server/bench"
	"handrule/words"
)

// This file is the language between a class and its pages, beside that of the bench (see package bench). The page's TypeScript is
// made from it (go generate ./server/class). Messages are JSON objects whose "type" names them. A page that follows an arm gets
// that arm's messages on the same connection, word for word as its own page gets them: texts of package bench, and binary frames.

//go:generate go run ../bench/wiregen -class ../../web/src/class/wire.ts

// Requests lists what a page may send, by type. Those of the second part are the instructor's alone.
var Requests = map[string]any{
	"join":     JoinRequest{},
	"hand":     HandRequest{},
	"reply":    ReplyRequest{},
	"follow":   FollowRequest{},
	"leave":    LeaveRequest{},
	"finished": FinishedRequest{},
	"look":     LookRequest{},

	"open":       OpenRequest{},
	"close":      CloseRequest{},
	"delete":     DeleteRequest{},
	"rules":      RulesRequest{},
	"remove":     RemoveRequest{},
	"eyes":       EyesRequest{},
	"send":       SendRequest{},
	"countdown":  CountdownRequest{},
	"hand-over":  HandOverRequest{},
	"ask":        AskRequest{},
	"ask-again":  AskAgainRequest{},
	"reveal":     RevealRequest{},
	"hint":       HintRequest{},
	"watch-over": WatchOverRequest{},
}

// Replies lists what a class may send, by type.
var Replies = map[string]any{
	"class-wait":    Wait{},
	"class-welcome": Welcome{},
	"class":         ClassView{},
	"mine":          MineView{},
	"front":         FrontView{},
	"look":          LookView{},
	"question":      QuestionView{},
	"answers":       AnswersView{},
	"board":         BoardView{},
	"classes":       ClassesView{},
	"class-opened":  Opened{},
	"class-problem": Problem{},
}

// JoinRequest takes a seat in the class under a name, or changes the name. What the instructor asks for beside it may be left out; what was
// said of it before stays then.
type JoinRequest struct {
	Name   string `json:"name"`
	Number string `json:"number"` // "" where none is asked for
	Email  string `json:"email"`
}

// HandRequest raises or lowers one's hand.
type HandRequest struct {
	Up bool `json:"up"`
}

// ReplyRequest answers the question of the class, or answers it otherwise while it is open. One of the fields after the round counts.
type ReplyRequest struct {
	Question int         `json:"question"`
	Round    int         `json:"round"`
	Arrow    *[3]float64 `json:"arrow"`   // the direction or axis, in the base frame, of any length
	Stays    bool        `json:"stays"`   // the point will not move at all
	Joints   []int       `json:"joints"`  // which will turn, from 0
	Stop     string      `json:"stop"`    // what will stop it, one of the options
	Number   *float64    `json:"number"`  // what is read, in the question's unit
	Options  []int       `json:"options"` // which are chosen, from 0
}

// FollowRequest asks for the messages of an arm: the demonstrated one (Front), for the instructor also a learner's by its id, or
// none (""). They are read as the page chooses.
type FollowRequest struct {
	Whom   string              `json:"whom"`
	ReadIn bench.ReadInRequest `json:"read_in"`
	Shows  bench.ShowRequest   `json:"shows"` // of whose orientation is read, in which form; the rest is not looked at
	Unit   words.Unit          `json:"unit"`
}

// Front is whom a page follows that follows the demonstrated arm, whoever drives it.
const Front = "front"

// LeaveRequest leaves the class for good: name, answers and standing are forgotten. Results that were handed in stay.
type LeaveRequest struct{}

// FinishedRequest hands in the result of a lesson that was done in this class, as the server signed it.
type FinishedRequest struct {
	Text string `json:"text"`
}

// LookRequest tells where the demonstrated arm is looked at from, by whoever drives it. It is to be told a few times a second at most.
type LookRequest struct {
	View bench.ViewFrom `json:"view"`
}

// OpenRequest opens a class.
type OpenRequest struct {
	Title  string   `json:"title"`   // for the instructor's list; may be empty
	AskFor []string `json:"ask_for"` // beside the name: "number", "e-mail"
}

// CloseRequest ends the class: nobody joins or answers any more. It is kept as long as it is told.
type CloseRequest struct{}

// DeleteRequest deletes the class with everything that was kept of it.
type DeleteRequest struct{}

// RulesRequest sets what the instructor decides for all. A field that is left out stays.
type RulesRequest struct {
	Locked      *bool `json:"locked,omitempty"`       // nobody new joins
	NamesHidden *bool `json:"names_hidden,omitempty"` // on the projector and the board
}

// RemoveRequest removes a learner, whose device cannot join this class again.
type RemoveRequest struct {
	Learner string `json:"learner"`
}

// EyesRequest calls all eyes to the front: every page shows the demonstrated arm, and the learners' own come to rest.
type EyesRequest struct {
	On bool `json:"on"`
}

// SendRequest sends everybody, or one learner, to an address of the page: a lesson, a stage, or an arm as it stands.
type SendRequest struct {
	Address string `json:"address"` // from the # on
	Learner string `json:"learner"` // "" for all
}

// CountdownRequest shows everybody how much time is left; 0 ends it.
type CountdownRequest struct {
	Seconds int `json:"seconds"`
}

// HandOverRequest lets a learner drive the demonstrated arm; "" takes it back at once.
type HandOverRequest struct {
	Learner string `json:"learner"`
}

// AskRequest asks the class about the demonstrated arm as it stands.
type AskRequest struct {
	Kind    Kind     `json:"kind"`
	Jog     string   `json:"jog"`     // as in a jog file, such as: base y +100; for AskWay, AskJoints and AskStop
	Measure Measure  `json:"measure"` // for AskNumber
	Text    string   `json:"text"`    // of the question, for AskChoice; for the others added to it
	Options []string `json:"options"` // for AskChoice, at least two
	Right   []int    `json:"right"`   // likewise, from 0; empty where no answer is the right one
}

// What is asked, and a number that can be read, are those of package ask.
type (
	Kind    = ask.Kind
	Measure = ask.Measure
)

const (
	AskWay    = ask.Way
	AskJoints = ask.Joints
	AskStop   = ask.Stop
	AskNumber = ask.Number
	AskChoice = ask.Choice
)

// AskAgainRequest begins another round of the question, after the class has talked about it.
type AskAgainRequest struct{}

// RevealRequest decides what is shown of the question.
type RevealRequest struct {
	State QuestionState `json:"state"`
}

// QuestionState is how far a question is.
type QuestionState string

const (
	QuestionOpen  QuestionState = "open"  // answers are taken; only their number is told
	QuestionShown QuestionState = "shown" // the answers are shown, not which is right
	QuestionTold  QuestionState = "told"  // the right answer is told, and why
	QuestionEnded QuestionState = "ended" // it is off the screens
)

// HintRequest sends a few words to one learner.
type HintRequest struct {
	Learner string `json:"learner"`
	Text    string `json:"text"`
}

// WatchOverRequest asks for the board, or no longer.
type WatchOverRequest struct {
	On bool `json:"on"`
}

// Wait comes before anything else where too many codes that are none came from the same address. Right or wrong, this one is looked at
// after some seconds.
type Wait struct {
	Seconds int `json:"seconds"`
}

// Welcome is the first message of a connection that is let in.
type Welcome struct {
	Role    Role   `json:"role"`
	Code    string `json:"code"`    // of the class; "" where an instructor has none open
	Token   string `json:"token"`   // the learner's own, to come back with; "" for the instructor
	Learner string `json:"learner"` // what others know them by; "" for the instructor
	Address string `json:"address"` // that learners open, with the code in it
	Days    int    `json:"days"`    // that a class is kept after it ended
	Secure  bool   `json:"secure"`  // over https
}

// Role is who one is in a class.
type Role string

const (
	Instructor Role = "instructor"
	Learner    Role = "learner"
)

// ClassView is the class as everybody in it sees it.
type ClassView struct {
	Code        string   `json:"code"`
	Title       string   `json:"title"`
	Ended       bool     `json:"ended"`
	Locked      bool     `json:"locked"`
	NamesHidden bool     `json:"names_hidden"`
	AskFor      []string `json:"ask_for"`
	Learners    int      `json:"learners"` // who joined
	Here        int      `json:"here"`     // of these, who are connected
	Hands       int      `json:"hands"`    // that are up
	Eyes        bool     `json:"eyes"`     // all look to the front
	Sent        SentView `json:"sent"`
	CountdownMS *int     `json:"countdown_ms"` // left when this was told; null: none runs
	Driven      bool     `json:"driven"`       // a learner drives the demonstrated arm
	Driver      string   `json:"driver"`       // their name; "" where names are hidden
	Front       bool     `json:"front"`        // there is a demonstrated arm: its page is connected
}

// SentView is where everybody was sent last.
type SentView struct {
	Count   int    `json:"count"` // of the sendings; 0: nobody was sent anywhere
	Address string `json:"address"`
}

// MineView is what only the learner is told.
type MineView struct {
	Joined  bool     `json:"joined"`
	Name    string   `json:"name"`
	Hand    bool     `json:"hand"`
	Drives  bool     `json:"drives"`  // the demonstrated arm is theirs to drive
	Hint    string   `json:"hint"`    // from the instructor; "" for none
	Hints   int      `json:"hints"`   // so many came
	Sent    SentView `json:"sent"`    // where they alone were sent
	Arrived int64    `json:"arrived"` // when a result of theirs arrived last, ms since 1970; 0: none has
}

// FrontView is the demonstrated arm where it stood last, exactly, so that one's own can be put there.
type FrontView struct {
	Scene  bench.SceneRequest `json:"scene"`
	Lesson string             `json:"lesson"` // that it is in, its id; "" for none
	Stage  int                `json:"stage"`  // from 0
}

// LookView is where the demonstrated arm is looked at from, for pages that look at it likewise.
type LookView struct {
	View bench.ViewFrom `json:"view"`
}

// QuestionView is the question of the class; count 0: there is none.
type QuestionView struct {
	Count   int            `json:"count"` // of the questions of this class
	Round   int            `json:"round"` // from 1
	State   QuestionState  `json:"state"`
	Kind    Kind           `json:"kind"`
	Jog     string         `json:"jog"`     // "" where none is asked about
	Way     *jog.Direction `json:"way"`     // the same
	Asks    bench.Asks     `json:"asks"`    // for AskWay: the way or the axis
	Text    string         `json:"text"`    // of the question, a sentence
	At      bench.Place    `json:"at"`      // the TCP, in the base frame
	Options []string       `json:"options"` // for AskStop and AskChoice, as people read them
	Words   []string       `json:"words"`   // for AskStop: as they are answered
	Several bool           `json:"several"` // more than one option may be chosen
	Unit    string         `json:"unit"`    // of a number: "mm", "inch" or "°"
	Here    int            `json:"here"`    // who could answer
	Given   int            `json:"given"`   // who did, in this round
	Mine    *GivenView     `json:"mine"`    // the learner's own answer in this round; null before
}

// GivenView is an answer.
type GivenView struct {
	Arrow   *[3]float64 `json:"arrow"` // a unit vector
	Stays   bool        `json:"stays"`
	Joints  []int       `json:"joints"`
	Stop    string      `json:"stop"`
	Number  *float64    `json:"number"`
	Options []int       `json:"options"`
	Right   *bool       `json:"right"`   // once that is told
	Pending bool        `json:"pending"` // it is not kept yet, and is tried again
}

// AnswersView is what the class answered, for those who may see it now: the instructor at any time on the board, everybody once
// it is shown. Nobody is named.
type AnswersView struct {
	Count  int         `json:"count"`  // of the question
	Rounds []RoundView `json:"rounds"` // of which each was answered
	Truth  *GivenView  `json:"truth"`  // once it is told
	Right  string      `json:"right"`  // the same in words
	Why    string      `json:"why"`    // and why
}

// RoundView is a round of a question.
type RoundView struct {
	Given  int          `json:"given"`
	Arrows [][3]float64 `json:"arrows"` // for AskWay, unit vectors in the base frame
	Groups []GroupView  `json:"groups"` // the largest first
}

// GroupView is answers that reveal the same.
type GroupView struct {
	Given string      `json:"given"` // what they answered, in a few words that do not tell what is right
	Name  string      `json:"name"`  // what that reveals, in a few plain words; "" for learners until it is told
	Says  string      `json:"says"`  // the same in a sentence; "" where there is nothing more to say
	Count int         `json:"count"`
	Alike int         `json:"alike"` // in every round of the question the groups with this number reveal the same
	Arrow *[3]float64 `json:"arrow"` // their mean; null where there is none
	Right *bool       `json:"right"` // once that is told
}

// BoardView is the class as its instructor sees it.
type BoardView struct {
	Rows     []BoardRow    `json:"rows"`
	Troubles []TroubleView `json:"troubles"` // tasks that go wrong, the worst first
	Asked    []AskedView   `json:"asked"`    // questions so far
}

// BoardRow is a learner.
type BoardRow struct {
	Learner string  `json:"learner"`
	Name    string  `json:"name"` // "" while names are hidden
	Here    bool    `json:"here"`
	Hand    bool    `json:"hand"`
	Lesson  string  `json:"lesson"` // its title; "" where they jog freely
	Stage   int     `json:"stage"`  // from 1
	Stages  int     `json:"stages"`
	Title   string  `json:"title"` // of the stage
	Done    int     `json:"done"`  // tasks
	Tasks   int     `json:"tasks"`
	Tries   int     `json:"tries"`   // at this task
	AtS     float64 `json:"at_s"`    // seconds at this stage
	QuietS  float64 `json:"quiet_s"` // since they did anything
	Stuck   string  `json:"stuck"`   // why they seem to be, in a few words; "" where they do not
	Results int     `json:"results"` // that have arrived
	Right   int     `json:"right"`   // questions of the class answered rightly at last
	Drives  bool    `json:"drives"`  // the demonstrated arm
}

// TroubleView is a task that goes wrong.
type TroubleView struct {
	Lesson string      `json:"lesson"`
	Stage  string      `json:"stage"`
	There  int         `json:"there"`  // learners at it
	Done   int         `json:"done"`   // who have done it
	Failed int         `json:"failed"` // tries, in all
	How    []GroupView `json:"how"`    // what the wrong answers reveal
}

// AskedView is a question that was asked.
type AskedView struct {
	Text   string      `json:"text"`
	Right  string      `json:"right"` // "" where there is none
	Rounds []RoundView `json:"rounds"`
}

// ClassesView lists the instructor's classes, the latest first.
type ClassesView struct {
	Classes []Listing `json:"classes"`
}

// Listing is a class in the list.
type Listing struct {
	Code     string `json:"code"`
	Title    string `json:"title"`
	Opened   string `json:"opened"` // RFC 3339
	Ended    bool   `json:"ended"`
	Learners int    `json:"learners"`
	Results  int    `json:"results"`
}

// Opened is a class that was opened.
type Opened struct {
	Code string `json:"code"`
}

// Problem tells what could not be done.
type Problem struct {
	Message string `json:"message"`
	Fatal   bool   `json:"fatal"` // the connection ends, and is not to be tried again as it is
}
