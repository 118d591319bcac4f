package jog

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// Headline is the reason in a few words.
func (s Stop) Headline() string {
	switch {
	case s.Reason == Done:
		return "Step complete"
	case s.Reason == Released:
		return "Released"
	case s.Trouble():
		return "Stopped: " + s.Cause()
	}
	return ""
}

// Cause is what made the arm stop, in a few words; empty for an ordinary end.
func (s Stop) Cause() string {
	switch s.Reason {
	case LinkLost:
		return "the link was lost"
	case JointLimit:
		return fmt.Sprintf("J%d is at its limit", s.Joint+1)
	case OutOfReach:
		return "out of reach"
	case Singularity:
		return strings.TrimSpace(s.Kind + " singularity")
	case Contact:
		if s.Touch.A.Name == "" {
			return "contact"
		}
		return fmt.Sprintf("%s touches %s", partName(s.Touch.A), partName(s.Touch.B))
	case Guard:
		if s.Touch.A.Name == "" {
			return "the guard"
		}
		return fmt.Sprintf("the guard keeps %s from %s", partName(s.Touch.A), partName(s.Touch.B))
	}
	return ""
}

// partName is a part of the arm or the cell as it is spoken of.
func partName(p clearance.Part) string {
	if p.Link != clearance.Outside && !p.Tool {
		return p.Name
	}
	return "the " + p.Name
}

// Numbers says what it was and by how much.
func (s Stop) Numbers() string {
	switch s.Reason {
	case JointLimit:
		return fmt.Sprintf("J%d stands at its limit of %s. %s", s.Joint+1, degrees(s.Limit), s.progress())
	case OutOfReach:
		short := ""
		if s.Short > 0 {
			short = fmt.Sprintf(" For the rest the arm is %.1f mm too short.", s.Short)
		}
		return "No joint angles put the tool further along this way." + short + " " + s.progress()
	case Singularity:
		need := fmt.Sprintf("J%d would have to turn %.1f° within the next %s: %s °/s at this speed. Its highest is %.0f °/s.",
			s.Joint+1, kinematics.Degrees(s.Turn), s.Jog.amount(s.Over), thousands(kinematics.Degrees(s.Needed)), kinematics.Degrees(s.Allowed))
		if s.Kind == "wrist" {
			lie := "are parallel"
			if s.InLine {
				lie = "lie in one line"
			}
			need = fmt.Sprintf("J5 is at %s, so the axes of J4 and J6 %s. ", degrees(s.Wrist), lie) + need
		}
		return need + " " + s.progress()
	case Contact:
		return s.contact() + " " + s.progress()
	case Guard:
		far := fmt.Sprintf("%.1f mm", s.Touch.Distance)
		if s.Began {
			return fmt.Sprintf("%s and %s are %s apart, nearer than the guard of %s mm lets them come. %s", capital(partName(s.Touch.A)), partName(s.Touch.B), far, plain(s.Guard), s.progress())
		}
		return fmt.Sprintf("%s and %s are %s apart; the guard is set to %s mm. %s", capital(partName(s.Touch.A)), partName(s.Touch.B), far, plain(s.Guard), s.progress())
	case LinkLost:
		return "Nobody renewed the hold in time. " + s.progress()
	default:
		return s.progress()
	}
}

// contact says what touches what, and what that would have been.
func (s Stop) contact() string {
	a, b := capital(partName(s.Touch.A)), partName(s.Touch.B)
	switch deep := -s.Touch.Distance; {
	case s.Began && deep > 0.05:
		return fmt.Sprintf("%s is %.1f mm deep in %s already, and this way leads deeper.", a, deep, b)
	case s.Began:
		return fmt.Sprintf("%s touches %s already, and this way leads into it.", a, b)
	}
	return fmt.Sprintf("%s touches %s. On a real arm this would have been a crash.", a, b)
}

// capital writes the first letter large.
func capital(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

// plain writes a number without needless zeros.
func plain(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// Advice says what to do about it; empty where nothing is amiss.
func (s Stop) Advice() string {
	switch s.Reason {
	case LinkLost:
		return "Press the control again when the link is back."
	case JointLimit:
		return fmt.Sprintf("Jog the other way, or move J%d back from its limit in the joint frame.", s.Joint+1)
	case Contact:
		return "Jog back the way you came; ways that lead apart are open. Before you move on a real arm, look at the room along the whole path."
	case Guard:
		return "Jog another way, or take a smaller guard if there is room to see."
	case OutOfReach:
		return "Jog back towards the base, or fold the arm a little first."
	case Singularity:
		switch s.Kind {
		case "wrist":
			by := "by 45°"
			if s.InLine && math.Abs(s.Wrist) < kinematics.Radians(1) {
				by = "to 90°"
			}
			return fmt.Sprintf("Bend J5 away from %s in the joint frame, %s for example. Then jog this way again.", degrees(s.Wrist), by)
		case "elbow":
			return "Bend J3 in the joint frame, so that the arm is not straight. Then jog this way again."
		case "shoulder":
			return "Move the wrist away from the line of J1's axis. Then jog this way again."
		}
		return "Move a joint or two away from here in the joint frame. Then jog this way again."
	}
	return ""
}

// Sentence is headline, numbers and advice in one line.
func (s Stop) Sentence() string {
	return strings.TrimSpace(strings.Join([]string{s.Headline() + ".", s.Numbers(), s.Advice()}, " "))
}

// Trouble reports whether the arm could not go on, as against an ordinary end.
func (s Stop) Trouble() bool {
	switch s.Reason {
	case JointLimit, OutOfReach, Singularity, LinkLost, Contact, Guard:
		return true
	}
	return false
}

func (s Stop) progress() string {
	gone := s.Jog.amount(s.Travel)
	switch {
	case s.Jog.Held():
		return gone + " done."
	case s.Reason == Done:
		return gone + "."
	default:
		return fmt.Sprintf("%s of %s done.", gone, s.Jog.amount(s.Jog.Amount))
	}
}

// amount writes a distance along the jog's path with its unit.
func (j Jog) amount(a float64) string {
	unit, decimals := " mm", 1
	if !j.Straight() {
		a, unit, decimals = kinematics.Degrees(a), "°", 1
	}
	if a != 0 && a < 1 {
		decimals = 2
	}
	return fmt.Sprintf("%.*f%s", decimals, a, unit)
}

// degrees writes an angle with a true minus sign and without a negative zero.
func degrees(rad float64) string {
	text := fmt.Sprintf("%.1f°", math.Abs(kinematics.Degrees(rad)))
	if kinematics.Degrees(rad) <= -0.05 {
		return "−" + text
	}
	return text
}

// thousands writes a whole number with its digits in threes.
func thousands(x float64) string {
	text := fmt.Sprintf("%.0f", x)
	for at := len(text) - 3; at > 0; at -= 3 {
		text = text[:at] + "," + text[at:]
	}
	return text
}
