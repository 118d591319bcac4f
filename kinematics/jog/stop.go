package jog

import (
	"fmt"
	"slices"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// Reason is why a jog ended.
type Reason string

const (
	Done        Reason = "done"         // the step is complete
	Released    Reason = "released"     // the control was let go
	LinkLost    Reason = "link lost"    // nobody renewed the hold in time
	JointLimit  Reason = "joint limit"  // a joint stands at its limit
	OutOfReach  Reason = "out of reach" // no joint angles put the TCP further along
	Singularity Reason = "singularity"  // going on at any useful speed needs a joint faster than it can turn
	Contact     Reason = "contact"      // the arm touches something, or itself
	SetDistance Reason = "set distance" // going on would bring the arm nearer to something than the set clearance
	Uncomputed  Reason = "not computed" // how the arm goes on was not found within the bound of work
)

// ReasonTraits is what a reason means. Whoever treats reasons alike or apart goes by this, and by no list of their own.
type ReasonTraits struct {
	Reason   Reason
	Trouble  bool   // the arm could not go on, as against an ordinary end
	Foreseen bool   // it can be computed beforehand, because it does not depend on who jogs, nor when they let go
	Answer   string // of one that is foreseen: what lessons call it where they ask what will stop a jog
	OfJoint  bool   // Stop.Joint is told, and belongs to the answer

	code byte // stands for it in the bytes of a log, and is never given to another
}

// reasonTable has a row for every reason.
var reasonTable = []ReasonTraits{
	{Reason: Done, code: 'd', Foreseen: true, Answer: "nothing"},
	{Reason: Released, code: 'r'},
	{Reason: LinkLost, code: 'l', Trouble: true},
	{Reason: JointLimit, code: 'j', Trouble: true, Foreseen: true, Answer: "limit", OfJoint: true},
	{Reason: OutOfReach, code: 'o', Trouble: true, Foreseen: true, Answer: "out of reach"},
	{Reason: Singularity, code: 's', Trouble: true, Foreseen: true, Answer: "singularity"},
	{Reason: Contact, code: 'c', Trouble: true, Foreseen: true, Answer: "contact"},
	{Reason: SetDistance, code: 'g', Trouble: true, Foreseen: true, Answer: "set distance"},
	{Reason: Uncomputed, code: 'u', Trouble: true},
}

// Reasons are all of them.
var Reasons = ReasonsWith(func(ReasonTraits) bool { return true })

// ReasonsWith returns the reasons of which that is true.
func ReasonsWith(wanted func(ReasonTraits) bool) (reasons []Reason) {
	for _, row := range reasonTable {
		if wanted(row) {
			reasons = append(reasons, row.Reason)
		}
	}
	return reasons
}

// Traits returns what the reason means; the zero value for a word that is no reason.
func (r Reason) Traits() ReasonTraits {
	i := slices.IndexFunc(reasonTable, func(row ReasonTraits) bool { return row.Reason == r })
	if i < 0 {
		return ReasonTraits{}
	}
	return reasonTable[i]
}

// reasonOf returns the reason that the byte of a log stands for, "" where there is none.
func reasonOf(code byte) Reason {
	for _, row := range reasonTable {
		if row.code == code {
			return row.Reason
		}
	}
	return ""
}

// Key is the reason as one word, as the texts about it are named.
func (r Reason) Key() string { return strings.ReplaceAll(string(r), " ", "-") }

// Answers are the answers to the question what will stop a jog, for reasons that can be foreseen.
func Answers() (answers []string) {
	for _, row := range reasonTable {
		switch {
		case row.OfJoint:
			for joint := range kinematics.JointNames {
				answers = append(answers, Stop{Reason: row.Reason, Joint: joint}.Answer())
			}
		case row.Foreseen:
			answers = append(answers, row.Answer)
		}
	}
	return answers
}

// Answer is the one that says why the jog ended; "" where that cannot be foreseen.
func (s Stop) Answer() string {
	traits := s.Reason.Traits()
	if traits.OfJoint {
		return traits.Answer + " " + kinematics.JointNames[s.Joint]
	}
	return traits.Answer
}

// Stop is why a jog ended, in numbers. Fields that the reason gives no meaning are zero.
type Stop struct {
	Reason  Reason
	Jog     Jog
	Travel  float64 // how far the jog got, mm or rad
	Strayed float64 // mm from where the TCP was when the jog began, for a turn about it

	Turned kinematics.Joints // by how much each joint, rad, from the jog's beginning to its end

	Joint int     // the joint at its limit, or the one that would have raced
	Limit float64 // of that joint, rad: the angle limit it stands at

	Kind    string  // of singularity: "wrist", "elbow", "shoulder", or "other"
	Turn    float64 // what that joint would have had to turn, rad,
	Over    float64 // over this much of the path, mm or rad,
	AtOnce  bool    // or at once, whatever the path speed,
	Needed  float64 // which is this speed at the chosen path speed, rad/s,
	Allowed float64 // and this is its highest, rad/s
	Wrist   float64 // joint 5's angle, rad, where the wrist is the trouble
	InLine  bool    // the axes of J4 and J6 lie in one line there, and are not only parallel

	Short float64 // mm that the arm is too short for the end of the step, or for the next 10 mm or 10° of a held jog

	Touch       clearance.Pair // what is touched, or too near to the set distance, by what, and where in the base frame
	SetDistance float64        // the set clearance, mm
	Began       bool           // the arm stood like this when the jog began
}

// String is the stop in short, for programs' own messages: "joint limit: J3, after 12.5 mm of base X +".
func (s Stop) String() string {
	travel, unit := s.Travel, " mm"
	if !s.Jog.Straight() {
		travel, unit = kinematics.Degrees(s.Travel), "°"
	}
	what := ""
	switch s.Reason {
	case JointLimit:
		what = ": " + kinematics.JointNames[s.Joint]
	case Singularity:
		what = fmt.Sprintf(": %s, %s needs %.0f°/s", s.Kind, kinematics.JointNames[s.Joint], kinematics.Degrees(s.Needed))
	case Contact, SetDistance:
		what = fmt.Sprintf(": %s and %s, %.3g mm apart", s.Touch.A.Name, s.Touch.B.Name, s.Touch.Distance)
	}
	return fmt.Sprintf("%s%s, after %.6g%s of %s", s.Reason, what, travel, unit, s.Jog)
}

// Crash reports whether a real arm would have crashed here: it came into contact in motion.
func (s Stop) Crash() bool { return s.Reason == Contact && s.Travel > 0 }

// Refused reports whether the arm could not go at all: something stopped it before it had moved.
func (s Stop) Refused() bool {
	return s.Trouble() && s.Reason != LinkLost && s.Travel <= smallestAmount
}

// Trouble reports whether the arm could not go on, as against an ordinary end.
func (s Stop) Trouble() bool { return s.Reason.Traits().Trouble }

// Advised is the joint that the advice says to move; false where it names none.
func (s Stop) Advised() (joint int, ok bool) {
	switch {
	case s.Reason == JointLimit:
		return s.Joint, true
	case s.Reason == Singularity && s.Kind == "wrist":
		return 4, true
	case s.Reason == Singularity && s.Kind == "elbow":
		return 2, true
	}
	return 0, false
}
