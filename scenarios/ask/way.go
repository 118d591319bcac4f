package ask

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// way is the question which way the TCP will start to go or, where it only turns, about which axis.
type way struct{}

// withinArrow is how far off an arrow may be, rad.
var withinArrow = kinematics.Radians(lesson.ArrowWithin)

func (way) begin(a *Asked) error {
	if err := a.readJog(); err != nil {
		return err
	}
	return a.follow(a.d, a.jog, belief{})
}

func (way) clear(a *Asked) error { return nil }

func (way) take(_ *Asked, given Answer) (Answer, error) { return takeArrow(given) }

// Arrows of whole degrees within the tolerance are right, as they are where one predicts alone.
func (way) apart(_ *Asked, x, y *Answer) float64 {
	if x.Arrow == nil || y.Arrow == nil {
		return equal(x.Arrow == nil && y.Arrow == nil && x.Stays == y.Stays)
	}
	off := kinematics.AngleBetween(*x.Arrow, *y.Arrow)
	if lesson.RightArrow(kinematics.Degrees(off)) {
		return math.Min(off/withinArrow, 1)
	}
	return off / withinArrow
}

// beliefs are those about the start of the jog. Where the arm refuses it, whoever draws what it was asked for has that in mind.
func (w way) beliefs(a *Asked) []belief {
	if a.flange {
		return a.flangeBeliefs()
	}
	all := w.about(a)
	if !a.truth.Stays || a.lead.Asked == zero {
		return all
	}
	asked := belief{key: askedFor, answer: pointing(a.lead.Asked)}
	return append([]belief{asked}, slices.DeleteFunc(all, func(b belief) bool { return w.apart(a, &b.answer, &asked.answer) <= 1 })...)
}

// askedFor is the key of the belief that the arm goes where it is asked to.
const askedFor = "asked"

// about asks the drive which way other jogs lead, and turns and mirrors what this one asks for.
func (way) about(a *Asked) (all []belief) {
	j, asked, turns := a.jog, a.lead.Asked, a.lead.Axis || !a.jog.Straight()
	if asked == zero { // the joints cancel each other out
		return nil
	}
	add := func(key string, v r3.Vec, fill ...any) {
		if size := r3.Norm(v); size > 1e-6 {
			all = append(all, belief{key: key, fill: fill, answer: pointing(r3.Scale(1/size, v))})
		}
	}
	lead := func(d *jog.Drive, j jog.Jog) (way, turn r3.Vec) {
		way, turn, _ = d.Leads(j)
		return way, turn
	}
	which := func(way, turn r3.Vec) r3.Vec { // the same that is asked of the jog itself
		if a.lead.Axis {
			return turn
		}
		return way
	}
	tcp := a.d.TCP()
	goes, turn := lead(a.d, j)

	all = append(all, belief{key: stayKey(a), answer: Answer{Stays: true}})
	add("minus", r3.Scale(-1, asked))
	if turns {
		add("left", r3.Scale(-1, asked))
	}
	if j.Frame.Traits().Axes {
		frame, _ := a.d.Frame(j.Frame, j.Task, tcp)
		for i := range 3 {
			if axis := frame.Rotation.Axis(i); !turns && math.Abs(r3.Dot(axis, asked)) > 1e-6 {
				add("mirror", r3.Sub(asked, r3.Scale(2*r3.Dot(axis, asked), axis)), "axis", axisName(i))
			}
		}
		for _, other := range a.otherFrames() {
			add("frame", which(lead(a.d, in(j, other))), "frame", other, "own", frameOf(j))
		}
		vertical, _ := a.d.Frame(jog.WorldFrame, "", tcp)
		add("front", kinematics.RotationAbout(vertical.Rotation.Z, math.Pi).Apply(asked))
		switch {
		case a.lead.Axis:
			add("flange-way", r3.Cross(asked, r3.Sub(a.d.Arm().Forward(a.d.Joints()).Position, tcp.Position)))
		case j.Frame != jog.ToolFrame:
			add("turned", r3.Cross(asked, r3.Sub(tcp.Position, frame.Position)))
		}
		if !j.Several() {
			own := j.Axis % 3
			for i := range 6 {
				if i%3 != own {
					sign := 1 - 2*(i/3)
					add("axis", r3.Scale(float64(sign), frame.Rotation.Axis(i%3)), "axis", signOf(float64(sign))+axisName(i%3), "own", signOf(float64(j.Sign))+axisName(own))
				}
			}
		}
		return all
	}

	// Of joints.
	vertical, _ := a.d.Frame(jog.WorldFrame, "", tcp)
	bare := a.withoutTool()
	switch flange, _ := lead(bare, j); {
	case a.lead.Axis:
		add("flange-way", flange)
	default:
		add("flange", flange)
		add("about", turn)
		if !j.Several() {
			add("outward", r3.Cross(goes, turn))
			add("inward", r3.Cross(turn, goes))
		}
		if a.heading.Whole != zero && kinematics.AngleBetween(a.heading.Whole, asked) > withinArrow {
			add("whole", a.heading.Whole)
		}
	}
	add("front", kinematics.RotationAbout(vertical.Rotation.Z, math.Pi).Apply(asked))
	if j.Several() {
		for _, d := range j.Directions() {
			alone := jog.Jog{Direction: d, Amount: j.Amount, Speed: j.Speed}
			add("alone", which(lead(a.d, alone)), "joint", kinematics.JointNames[d.Axis])
		}
		return all
	}
	for i := range kinematics.JointNames {
		if other := j; i != j.Axis {
			other.Axis = i
			add("joint", which(lead(a.d, other)), "joint", kinematics.JointNames[i], "own", kinematics.JointNames[j.Axis])
		}
	}
	return all
}

// stayKey is the belief that nothing moves. Of a turn about the TCP it is half right: the point stays.
func stayKey(a *Asked) string {
	if a.lead.Axis {
		return "point"
	}
	return "stays"
}

func (way) asks(a *Asked, in *words.Language) string {
	key := "predict.asks.way"
	switch {
	case a.flange:
		key = "ask.asks.flange"
	case a.lead.Axis:
		key = "predict.asks.axis"
	}
	return in.Say(key, "jog", spoken.Jog(a.jog, in))
}

func (way) why(a *Asked, in *words.Language) string {
	if a.truth.Stays {
		if !a.ahead.Stop.Trouble() {
			return in.Say("ask.why.cancels")
		}
		return lesson.WhyStop(a.d, a.jog, &a.ahead, in)
	}
	var said []string
	circling := lesson.PointTCP
	if a.lead.Axis {
		circling = lesson.PointFlange
	}
	circle := lesson.WhyCircle(a.d, a.jog, circling, in)
	switch {
	case a.lead.Axis && a.jog.Frame == jog.JointFrame && !a.jog.Several():
		said = append(said, in.Say("ask.why.on-axis", "joint", kinematics.JointNames[a.jog.Axis]))
	case circle != "":
		said = append(said, circle)
	case !a.lead.Axis && a.jog.Straight():
		said = append(said, in.Say("ask.why.straight"))
	}
	if a.lead.Axis {
		return strings.Join(append(said, in.Say("ask.why.thumb", "axis", a.along(a.lead.Comes, in))), " ")
	}
	frame, name := kinematics.Identity, spoken.FrameName(jog.BaseFrame, "", in)
	if a.jog.Frame.Traits().Axes {
		frame, _ = a.d.Frame(a.jog.Frame, a.jog.Task, a.d.TCP())
		name = spoken.FrameName(a.jog.Frame, a.jog.Task, in)
	}
	path := a.ahead.Path
	by := frame.Rotation.Transpose().Apply(r3.Sub(path[len(path)-1], path[0]))
	return strings.Join(append(said, lesson.WhyGoes(lesson.PointTCP, by, name, in)), " ")
}

func (way) tell(a *Asked, given *Answer, in *words.Language) string {
	if given.Arrow == nil {
		return in.Say("predict.stays")
	}
	return a.along(*given.Arrow, in)
}

// along says a direction by the axes of the jog's frame, or the base frame's, that are nearest to it.
func (a *Asked) along(v r3.Vec, in *words.Language) string {
	f := frameOf(a.jog)
	if !f.Frame.Traits().Axes {
		f = named{Frame: jog.BaseFrame}
	}
	frame, _ := a.d.Frame(f.Frame, f.Task, a.d.TCP())
	local := array(frame.Rotation.Transpose().Apply(v))
	axes := []int{0, 1, 2}
	slices.SortStableFunc(axes, func(i, k int) int { // to a part that no arrow shows
		return cmp.Compare(math.Round(1e6*math.Abs(local[k])), math.Round(1e6*math.Abs(local[i])))
	})
	name := func(i int) string { return signOf(local[i]) + axisName(i) }
	off := math.Round(kinematics.Degrees(math.Acos(math.Min(1, math.Abs(local[axes[0]])))))
	if off == 0 {
		return in.Say("predict.arrow.along", "axis", name(axes[0]), "frame", f.say(in))
	}
	return in.Say("ask.given.arrow", "angle", in.Fixed(off, 0), "axis", name(axes[0]), "other", name(axes[1]), "frame", f.say(in))
}

func array(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }

func axisName(i int) string { return string("XYZ"[i]) }

func signOf(x float64) string {
	if x < 0 {
		return words.Minus
	}
	return "+"
}
