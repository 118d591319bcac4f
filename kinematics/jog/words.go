package jog

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/words"
)

// This file says why a jog ended. The texts are in the catalogues under "stop." and the reason's name; here are their
// numbers.

// Headline is the reason in a few words.
func (s Stop) Headline(in *words.Language) string {
	switch {
	case s.Reason == Done:
		return in.Say("stop.done")
	case s.Reason == Released:
		return in.Say("stop.released")
	case s.Trouble():
		return in.Say("stop.trouble", "cause", s.Cause(in))
	}
	return ""
}

// Cause is what made the arm stop, in a few words; empty for an ordinary end.
func (s Stop) Cause(in *words.Language) string {
	switch s.Reason {
	case LinkLost:
		return in.Say("stop.link-lost.cause")
	case JointLimit:
		return in.Say("stop.joint-limit.cause", "joint", kinematics.JointNames[s.Joint])
	case OutOfReach:
		return in.Say("stop.out-of-reach.cause")
	case Singularity:
		return in.Say("stop.singularity." + s.kind() + ".cause")
	case Contact, SetDistance:
		if s.Touch.A.Name == "" {
			return in.Say("stop." + s.Reason.key())
		}
		return in.Say("stop."+s.Reason.key()+".cause", "a", PartName(s.Touch.A, in), "b", PartName(s.Touch.B, in))
	}
	return ""
}

// Brief is the cause in a word or two, for where there is little room.
func (s Stop) Brief(in *words.Language) string {
	if !s.Trouble() {
		return ""
	}
	return in.Say("stop.brief."+s.Reason.key(), "joint", kinematics.JointNames[s.Joint])
}

// PartName is a part of the arm or the cell as it is spoken of.
func PartName(p clearance.Part, in *words.Language) string {
	if p.Link != clearance.Outside && !p.Tool {
		if p.Link == 0 {
			return in.Say("part.base")
		}
		return in.Say("part.link", "link", strconv.Itoa(p.Link))
	}
	if p.Name == clearance.MountingSurface {
		return in.Say("part.mounting-surface")
	}
	return in.Say("part.named", "name", p.Name)
}

// Numbers says what it was and by how much.
func (s Stop) Numbers(in *words.Language) string {
	var said []string
	say := func(key string, values ...string) { said = append(said, in.Say(key, values...)) }
	switch s.Reason {
	case JointLimit:
		say("stop.joint-limit.numbers", "joint", kinematics.JointNames[s.Joint], "limit", degrees(s.Limit))
	case OutOfReach:
		say("stop.out-of-reach.numbers")
		if s.Short > 0 {
			say("stop.out-of-reach.short", "short", fmt.Sprintf("%.1f", s.Short))
		}
	case Singularity:
		switch {
		case s.Kind != "wrist":
			say("stop.singularity." + s.kind() + ".means")
		case s.InLine:
			say("stop.singularity.in-line", "wrist", degrees(s.Wrist))
		default:
			say("stop.singularity.parallel", "wrist", degrees(s.Wrist))
		}
		say("stop.singularity.numbers", "joint", kinematics.JointNames[s.Joint],
			"turn", fmt.Sprintf("%.1f°", kinematics.Degrees(s.Turn)), "over", s.Jog.amount(s.Over),
			"needed", thousands(kinematics.Degrees(s.Needed)), "allowed", fmt.Sprintf("%.0f", kinematics.Degrees(s.Allowed)))
	case Contact:
		said = append(said, s.contact(in))
	case SetDistance:
		key := "stop.set-distance.numbers"
		if s.Began {
			key = "stop.set-distance.began"
		}
		said = append(said, capital(in.Say(key, "a", PartName(s.Touch.A, in), "b", PartName(s.Touch.B, in),
			"distance", fmt.Sprintf("%.1f", s.Touch.Distance), "set-distance", plain(s.SetDistance))))
	case LinkLost:
		say("stop.link-lost.numbers")
	}
	return strings.Join(append(said, s.progress(in)), " ")
}

// contact says what it would have been that two touch, or how they stood before.
func (s Stop) contact(in *words.Language) string {
	key := "stop.contact.numbers"
	switch {
	case s.Began && s.Touch.Distance < -0.05:
		key = "stop.contact.deep"
	case s.Began:
		key = "stop.contact.began"
	}
	return in.Say(key, "depth", fmt.Sprintf("%.1f", -s.Touch.Distance))
}

// capital writes the first letter large.
func capital(text string) string {
	if text == "" {
		return text
	}
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[size:]
}

// plain writes a number without needless zeros.
func plain(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// Advice says what to do about it; empty where nothing is amiss.
func (s Stop) Advice(in *words.Language) string {
	switch s.Reason {
	case LinkLost:
		return in.Say("stop.link-lost.advice")
	case JointLimit:
		return in.Say("stop.joint-limit.advice", "joint", kinematics.JointNames[s.Joint])
	case Contact, SetDistance:
		return in.Say("stop." + s.Reason.key() + ".advice")
	case OutOfReach:
		return in.Say("stop.out-of-reach.advice")
	case Singularity:
		kind := s.kind()
		if s.Kind == "wrist" && s.InLine && math.Abs(s.Wrist) < kinematics.Radians(1) {
			kind = "straight-wrist"
		}
		return in.Say("stop.singularity."+kind+".advice", "wrist", degrees(s.Wrist))
	}
	return ""
}

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

// Sentence is headline, numbers and advice in one line of English.
func (s Stop) Sentence() string {
	in := words.English
	return strings.TrimSpace(strings.Join([]string{s.Headline(in) + ".", s.Numbers(in), s.Advice(in)}, " "))
}

// Trouble reports whether the arm could not go on, as against an ordinary end.
func (s Stop) Trouble() bool {
	switch s.Reason {
	case JointLimit, OutOfReach, Singularity, LinkLost, Contact, SetDistance:
		return true
	}
	return false
}

// kind is the singularity's kind as the catalogues have it.
func (s Stop) kind() string {
	switch s.Kind {
	case "wrist", "elbow", "shoulder":
		return s.Kind
	}
	return "other"
}

func (s Stop) progress(in *words.Language) string {
	gone, way := s.Jog.amount(s.Travel), s.Jog.phrase(in)
	var text string
	switch {
	case s.Jog.Held():
		text = in.Say("stop.travel.held", "travel", gone, "way", way)
	case s.Reason == Done:
		text = in.Say("stop.travel.whole", "travel", gone, "way", way)
	default:
		text = in.Say("stop.travel.part", "travel", gone, "amount", s.Jog.amount(s.Jog.Amount), "way", way)
	}
	if turned := s.turned(); turned != "" && s.Jog.Frame != JointFrame {
		text += " " + in.Say("stop.turned", "joints", turned)
	}
	if s.Jog.AboutTCP() && s.Travel > 0 {
		text += " " + in.Say("stop.turn.stayed", "off", fmt.Sprintf("%.2f", s.Strayed))
	}
	return text
}

// turned lists the joints that read otherwise than when the jog began, and by how much: "J1 +1.8°, J6 −0.3°".
func (s Stop) turned() string {
	var all []string
	for i, turn := range s.Turned {
		switch text := degrees(turn); {
		case text == degrees(0):
		case turn > 0:
			all = append(all, kinematics.JointNames[i]+" +"+text)
		default:
			all = append(all, kinematics.JointNames[i]+" "+text)
		}
	}
	return strings.Join(all, ", ")
}

// phrase is the way of the jog within a sentence: "straight along +X of the base frame".
func (j Jog) phrase(in *words.Language) string {
	var all []string
	for _, d := range j.Directions() {
		sign := map[int]string{1: "+", -1: "−"}[d.Sign]
		switch {
		case d.Frame == JointFrame:
			name := map[int]string{1: "sign.plus", -1: "sign.minus"}[d.Sign]
			all = append(all, in.Say("direction.joint", "joint", kinematics.JointNames[d.Axis], "sign", in.Say(name)))
		case d.Axis < 3:
			all = append(all, in.Say("direction."+string(d.Frame)+".along", "axis", sign+string("XYZ"[d.Axis])))
		default:
			all = append(all, in.Say("direction."+string(d.Frame)+".about", "axis", sign+string("XYZ"[d.Axis-3])))
		}
	}
	return strings.Join(all, " + ")
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

// thousands writes a whole number with its digits in threes, apart by a narrow space: a comma or a point there would
// read as a decimal sign in one language or another (ISO 80000-1, 7.3.1).
func thousands(x float64) string {
	text := fmt.Sprintf("%.0f", x)
	for at := len(text) - 3; at > 0; at -= 3 {
		text = text[:at] + "\u202f" + text[at:]
	}
	return text
}

// key is the reason as the catalogues have it.
func (r Reason) key() string { return strings.ReplaceAll(string(r), " ", "-") }
