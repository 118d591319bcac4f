package jog

import (
	"fmt"
	"math"
	"strings"

	"handrule/kinematics"
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
	}
	return ""
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
	case LinkLost:
		return "Nobody renewed the hold in time. " + s.progress()
	default:
		return s.progress()
	}
}

// Advice says what to do about it; empty where nothing is amiss.
func (s Stop) Advice() string {
	switch s.Reason {
	case LinkLost:
		return "Press the control again when the link is back."
	case JointLimit:
		return fmt.Sprintf("Jog the other way, or move J%d back from its limit in the joint frame.", s.Joint+1)
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
	case JointLimit, OutOfReach, Singularity, LinkLost:
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
