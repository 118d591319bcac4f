package spoken

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/words"
)

// This file says why a jog ended. The texts are in the catalogues under "stop." and the reason's key.

// Headline is the reason in a few words.
func Headline(s jog.Stop, in *words.Language) string {
	switch {
	case s.Reason == "":
		return ""
	case s.Refused():
		return in.Say("stop.refused", "cause", Cause(s, in))
	case s.Trouble():
		return in.Say("stop.trouble", "cause", Cause(s, in))
	}
	return in.Say("stop." + s.Reason.Key())
}

// Cause is what made the arm stop, in a few words; empty for an ordinary end.
func Cause(s jog.Stop, in *words.Language) string {
	switch s.Reason {
	case jog.JointLimit:
		return in.Say("stop.joint-limit.cause", "joint", kinematics.JointNames[s.Joint])
	case jog.Singularity:
		return in.Say("stop.singularity." + kind(s) + ".cause")
	case jog.Contact, jog.SetDistance:
		if s.Touch.A.Name == "" {
			return in.Say("stop." + s.Reason.Key())
		}
		return in.Say("stop."+s.Reason.Key()+".cause", "a", PartName(s.Touch.A, in), "b", PartName(s.Touch.B, in))
	}
	if !s.Trouble() {
		return ""
	}
	return in.Say("stop." + s.Reason.Key() + ".cause")
}

// Brief is the cause in a word or two, for where there is little room.
func Brief(s jog.Stop, in *words.Language) string {
	if !s.Trouble() {
		return ""
	}
	return in.Say("stop.brief."+s.Reason.Key(), "joint", kinematics.JointNames[s.Joint])
}

// StopWord is an answer to the question what will stop a jog, as it is offered; see jog.Answers.
func StopWord(answer string, in *words.Language) string {
	switch {
	case strings.HasPrefix(answer, "limit "):
		return in.Say("task.stop.limit", "joint", strings.TrimPrefix(answer, "limit "))
	case answer == "out of reach":
		return in.Say("task.stop.reach")
	case answer == "set distance":
		return in.Say("task.stop.set-distance")
	}
	return in.Say("task.stop." + answer)
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
	return in.Say("part.named", "name", in.Named(p.Name))
}

// Means says what is special about the pose at a singularity; empty for other reasons.
func Means(s jog.Stop, in *words.Language) string {
	switch {
	case s.Reason != jog.Singularity:
		return ""
	case s.Kind != "wrist":
		return in.Say("stop.singularity." + kind(s) + ".means")
	case s.InLine:
		return in.Say("stop.singularity.in-line", "wrist", Angle(s.Wrist, in))
	}
	return in.Say("stop.singularity.parallel", "wrist", Angle(s.Wrist, in))
}

// Numbers says what it was and by how much.
func Numbers(s jog.Stop, in *words.Language) string {
	var said []string
	say := func(key string, values ...string) { said = append(said, in.Say(key, values...)) }
	switch s.Reason {
	case jog.JointLimit:
		say("stop.joint-limit.numbers", "joint", kinematics.JointNames[s.Joint], "limit", Angle(s.Limit, in))
	case jog.OutOfReach:
		say("stop.out-of-reach.numbers")
		if s.Short > 0 {
			say("stop.out-of-reach.short", "short", in.Length(s.Short, 1))
		}
	case jog.Singularity:
		said = append(said, Means(s, in))
		key := "stop.singularity.numbers"
		if s.AtOnce {
			key = "stop.singularity.at-once"
		}
		say(key, "joint", kinematics.JointNames[s.Joint],
			"turn", Angle(s.Turn, in), "over", Amount(s.Jog, s.Over, in),
			"needed", in.Fixed(kinematics.Degrees(s.Needed), 0), "allowed", in.Fixed(kinematics.Degrees(s.Allowed), 0))
	case jog.Contact:
		said = append(said, contact(s, in))
	case jog.SetDistance:
		key := "stop.set-distance.numbers"
		if s.Began {
			key = "stop.set-distance.began"
		}
		said = append(said, capital(in.Say(key, "a", PartName(s.Touch.A, in), "b", PartName(s.Touch.B, in),
			"distance", in.Length(s.Touch.Distance, 1), "set-distance", in.ShortLength(s.SetDistance, 2))))
	default:
		if s.Trouble() {
			say("stop." + s.Reason.Key() + ".numbers")
		}
	}
	if done := progress(s, in); done != "" {
		said = append(said, done)
	}
	return strings.Join(said, " ")
}

// Undone says which jog it was that the motion has taken back, after the word for it.
func Undone(s jog.Stop, in *words.Language) string {
	if unseen(s) {
		return in.Say("stop.undone.unseen")
	}
	return in.Say("stop.undone.jog", "way", driven(s.Jog.Reversed(), s, in))
}

// contact says what it would have been that two touch, or how they stood before.
func contact(s jog.Stop, in *words.Language) string {
	key := "stop.contact.numbers"
	switch {
	case s.Began && s.Touch.Distance < -0.05:
		key = "stop.contact.deep"
	case s.Began:
		key = "stop.contact.began"
	}
	return in.Say(key, "depth", in.Length(-s.Touch.Distance, 1))
}

// capital writes the first letter large.
func capital(text string) string {
	if text == "" {
		return text
	}
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[size:]
}

// Advice says what to do about it; empty where nothing is amiss.
func Advice(s jog.Stop, in *words.Language) string {
	switch s.Reason {
	case jog.JointLimit:
		return in.Say("stop.joint-limit.advice", "joint", kinematics.JointNames[s.Joint])
	case jog.Singularity:
		key := kind(s)
		if s.Kind == "wrist" && s.InLine && math.Abs(s.Wrist) < kinematics.Radians(1) {
			key = "straight-wrist"
		}
		return in.Say("stop.singularity."+key+".advice", "wrist", Angle(s.Wrist, in))
	}
	if !s.Trouble() {
		return ""
	}
	return in.Say("stop." + s.Reason.Key() + ".advice")
}

// Sentence is headline, numbers and advice in one line.
func Sentence(s jog.Stop, in *words.Language) string {
	mark := "."
	if s.Reason != "" && !s.Trouble() {
		mark = ":" // "Moved: J5, +5°."
	}
	return strings.TrimSpace(strings.Join([]string{Headline(s, in) + mark, Numbers(s, in), Advice(s, in)}, " "))
}

// kind is the singularity's kind as the catalogues have it.
func kind(s jog.Stop) string {
	switch s.Kind {
	case "wrist", "elbow", "shoulder":
		return s.Kind
	}
	return "other"
}

func progress(s jog.Stop, in *words.Language) string {
	var text string
	switch held := s.Jog.Held(); {
	case held && s.Trouble() && unseen(s):
		return ""
	case held && s.Trouble() && s.Jog.Straight():
		text = in.Say("stop.went", "way", driven(s.Jog, s, in))
	case held && s.Trouble():
		text = in.Say("stop.went.turned", "way", driven(s.Jog, s, in))
	case held || s.Reason == jog.Done:
		text = in.Say("stop.travel", "way", driven(s.Jog, s, in))
	default:
		text = in.Say("stop.travel.part", "travel", Amount(s.Jog, s.Travel, in), "amount", Amount(s.Jog, s.Jog.Amount, in))
	}
	if joints := Turns(s.Turned, in); joints != "" && s.Jog.Frame.Traits().Axes {
		text += " " + in.Say("stop.turned", "joints", joints)
	}
	if s.Jog.AboutTCP() && s.Travel > 0 {
		text += " " + in.Say("stop.turn.stayed", "off", in.Length(s.Strayed, 2))
	}
	return text
}

// driven is the way of a jog with how far it went.
func driven(j jog.Jog, s jog.Stop, in *words.Language) string {
	return measured(j, j.Amounts(s.Travel), decimals(told(s)), in)
}

// unseen reports whether what the jog went would be told as nothing.
func unseen(s jog.Stop) bool { return told(s) < 0.005 }

// told is how far the jog went in the unit that is told.
func told(s jog.Stop) float64 {
	if s.Jog.Straight() {
		return s.Travel
	}
	return kinematics.Degrees(s.Travel)
}
