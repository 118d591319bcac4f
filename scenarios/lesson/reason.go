package lesson

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// This file says why an answer is right or wrong, in a sentence or two with what was computed. What is said of a wrong
// answer does not tell the right one.

// Reason says why the answer is right, or why it is wrong, for the arm as it stands at d; "" where there is nothing to say.
func (r *Run) Reason(d *jog.Drive, a Answer) string {
	task, ok := r.Stage().Task.(Asked)
	if !ok || !r.Reveals() {
		return ""
	}
	v, err := task.grade(r.Lesson, d, a)
	if err != nil {
		return ""
	}
	return task.reason(r.Lesson, d, a, v.Done, r.In)
}

// Recall returns the last answer that was given to the task of the stage, and what came of it, as Answer told it then. It
// counts nothing; false where there was none, or where it is told in words only.
func (r *Run) Recall(d *jog.Drive) (a Answer, v Verdict, ok bool) {
	task, asked := r.Stage().Task.(Asked)
	given := r.here().Answers
	if !asked || len(given) == 0 || given[len(given)-1].Packed == nil {
		return a, v, false
	}
	packed := given[len(given)-1].Packed
	if a, ok = task.unpack(packed); !ok {
		return a, v, false
	}
	v, err := task.grade(r.Lesson, d, a)
	if err != nil {
		return a, v, false
	}
	v.Failed, v.Given = !v.Done, task.told(packed)
	r.explain(&v, task, d, a)
	return a, v, true
}

// explain adds to a verdict why it is so, where that may be told.
func (r *Run) explain(v *Verdict, task Asked, d *jog.Drive, a Answer) {
	v.Several, v.Part = severalRight(task), false
	if !r.Reveals() {
		return
	}
	v.Words = task.reason(r.Lesson, d, a, v.Done, r.In)
	_, chooses := task.(*Choose)
	v.Told = !v.Done && v.Words != "" && (chooses || v.Several)
	if truth, err := task.Truth(r.Lesson, d); v.Told && v.Several && err == nil {
		given, all := unique(append(slices.Clone(a.Options), a.Joints...)), append(slices.Clone(truth.Answer.Options), truth.Answer.Joints...)
		right, _ := partOf(given, all)
		v.Part = len(given) > 0 && len(right) == len(given)
	}
}

// severalRight reports whether several things make up an answer, of which some can be right.
func severalRight(task Asked) bool {
	switch t := task.(type) {
	case *Choose:
		return t.Several
	case *Predict:
		return t.Ask == askJoints
	}
	return false
}

// axisOfJog returns a point of the line that a jog goes along or turns about, and the line's direction, a unit vector, in
// the base frame; false for a jog along several directions.
func axisOfJog(d *jog.Drive, j jog.Jog) (at, along r3.Vec, ok bool) {
	directions := j.Directions()
	if len(directions) != 1 {
		return at, along, false
	}
	way := directions[0]
	if way.Frame == jog.JointFrame {
		at, along = jointAxis(d, way.Axis)
	} else {
		frame, err := d.Frame(way.Frame, way.Task, d.TCP())
		if err != nil {
			return at, along, false
		}
		at, along = d.TCP().Position, frame.Rotation.Axis(way.Axis%3)
	}
	return at, r3.Scale(float64(way.Sign), along), true
}

// jointAxis returns the axis of a joint of the arm as it stands.
func jointAxis(d *jog.Drive, joint int) (at, along r3.Vec) {
	arm, links := d.Arm(), d.Arm().Links(d.Joints())
	j := &arm.Joints[joint]
	return links[joint].Apply(j.At), links[joint].Rotation.Apply(j.Axis)
}

// foot returns the point of a line that is nearest to p.
func foot(at, along, p r3.Vec) r3.Vec {
	return r3.Add(at, r3.Scale(r3.Dot(r3.Sub(p, at), along), along))
}

// turns reports whether a jog turns about its line, so that a point beside it goes on an arc.
func turns(j jog.Jog) bool { return !j.Several() && !j.Straight() }

func (p *Predict) reason(l *Lesson, d *jog.Drive, a Answer, done bool, in *words.Language) string {
	switch p.Ask {
	case askDirection:
		return p.whyDirection(l, d, a, done, in)
	case askJoints:
		ahead, err := d.Ahead(p.Jog[0])
		if err != nil {
			return ""
		}
		movers := ahead.Movers(p.turn())
		if done {
			return WhyJoints(&ahead, p.turn(), in)
		}
		return p.whyNotJoints(a.Joints, movers, in)
	}
	return p.whyStop(d, a, done, in)
}

// whyNotJoints tells how many of the joints that were named turn. Where all do, and others too, it says so: they are not wrong.
func (p *Predict) whyNotJoints(named, movers []int, in *words.Language) string {
	right, missing := partOf(named, movers)
	least := in.Short(kinematics.Degrees(p.turn()), 2)
	if len(right) > 0 && len(right) == len(unique(named)) {
		return in.Say("reason.joints.right", "count", strconv.Itoa(len(right)), "joints", jointWords(right)) + " " +
			in.Say("reason.joints.more", "count", strconv.Itoa(missing), "least", least)
	}
	key, answer := "task.wrong", jointWords(unique(named))
	switch {
	case len(named) == 0:
		answer = in.Say("task.joints.none")
	case len(right) > 0:
		key = "task.wrong.whole"
	}
	return in.Say(key, "answer", answer) + " " +
		in.Say("reason.joints.wrong", "count", strconv.Itoa(len(movers)), "right", strconv.Itoa(len(right)), "least", least)
}

// partOf returns those of an answer that are right, and how many right ones it lacks.
func partOf(given, truth []int) (right []int, missing int) {
	for _, i := range unique(given) {
		if slices.Contains(truth, i) {
			right = append(right, i)
		}
	}
	return right, len(truth) - len(right)
}

func unique(given []int) []int { return slices.Compact(slices.Sorted(slices.Values(given))) }

// WhyJoints tells by how much the joints turn in a jog of which is known what it does; more than least, rad, counts.
func WhyJoints(ahead *jog.Ahead, least float64, in *words.Language) string {
	if len(ahead.Movers(least)) == 0 {
		return in.Say("reason.joints.none", "least", in.Short(kinematics.Degrees(least), 2))
	}
	return in.Say("reason.joints.turn", "turns", spoken.Turns(ahead.Stop.Turned, in))
}

// WhyCircle tells of the circle that a point goes on in a jog that turns, and how it starts; "" for any other jog.
func WhyCircle(d *jog.Drive, j jog.Jog, of Point, in *words.Language) string {
	circle := circleOf(d, j, of, in)
	if circle != "" && j.Directions()[0].Frame == jog.JointFrame {
		circle += " " + in.Say("reason.circle.across")
	}
	return circle
}

// whyNotOnCircle tells what of a turn rules out a direction, a unit vector: whichever it mostly has of the axis, of the line from it, and
// of the way that a turn to the other side starts.
func whyNotOnCircle(d *jog.Drive, j jog.Jog, of Point, arrow r3.Vec, in *words.Language) string {
	at, along, ok := axisOfJog(d, j)
	if !ok {
		return ""
	}
	point := of.at(d)
	out := r3.Unit(r3.Sub(point, foot(at, along, point)))
	onAxis, outward, back := math.Abs(r3.Dot(arrow, along)), math.Abs(r3.Dot(arrow, out)), -r3.Dot(arrow, r3.Cross(along, out))
	switch {
	case back > math.Max(onAxis, outward):
		return in.Say("reason.circle.back")
	case outward >= onAxis:
		return in.Say("reason.circle.out")
	case upright(d, along):
		return in.Say("reason.circle.level")
	}
	return in.Say("reason.circle.along")
}

// upright reports whether a unit vector of the base frame points straight up or down in the world.
func upright(d *jog.Drive, along r3.Vec) bool {
	world, err := d.Frame(jog.WorldFrame, "", d.TCP())
	return err == nil && math.Abs(r3.Dot(world.Rotation.Axis(2), along)) > 1-1e-6
}

// circleOf tells where the circle is that a point goes on in a jog that turns; "" for any other jog.
func circleOf(d *jog.Drive, j jog.Jog, of Point, in *words.Language) string {
	at, along, ok := axisOfJog(d, j)
	if !ok || !turns(j) {
		return ""
	}
	point := of.at(d)
	radius := in.Length(r3.Norm(r3.Sub(point, foot(at, along, point))), 0)
	way := j.Directions()[0]
	if way.Frame == jog.JointFrame {
		return in.Say("reason.circle.joint."+of.whose(), "joint", kinematics.JointNames[way.Axis], "radius", radius)
	}
	return in.Say("reason.circle.frame", "axis", string("XYZ"[way.Axis-3]), "frame", spoken.FrameName(way.Frame, way.Task, in), "radius", radius)
}

// WhyGoes tells by how much a point goes in the whole of a jog, in the frame of that name.
func WhyGoes(of Point, by r3.Vec, frame string, in *words.Language) string {
	return in.Say("reason.goes."+of.whose(), "x", in.SignedLengthNumber(by.X, 1), "y", in.SignedLengthNumber(by.Y, 1), "z", in.SignedLengthNumber(by.Z, 1), "unit", in.Sign(), "frame", frame)
}

// explains reports whether the lesson itself says why the right answer to a task is right.
func (l *Lesson) explains(task Task) bool {
	return slices.ContainsFunc(l.Stages, func(s Stage) bool { return s.Task == task && s.Explain != "" })
}

// whyDirection speaks of the circle that the point goes on, or of the straight line, and of where it goes in all. Why a right answer is
// right it leaves to a lesson that says so itself.
func (p *Predict) whyDirection(l *Lesson, d *jog.Drive, a Answer, done bool, in *words.Language) string {
	j, point := p.Jog[0], p.point(d)
	var said []string
	arrow, named := p.arrowOf(l, d, a)
	if circle := circleOf(d, j, p.Point, in); circle != "" && !done && named {
		said = append(said, circle, whyNotOnCircle(d, j, p.Point, r3.Unit(arrow), in))
	} else if circle != "" && !(done && l.explains(p)) {
		said = append(said, WhyCircle(d, j, p.Point, in))
	} else if !done && named {
		if heading, err := p.heading(d); err == nil {
			angle := kinematics.Degrees(kinematics.AngleBetween(arrow, heading.First))
			said = append(said, in.Say("reason.straight.wrong", "angle", in.Fixed(angle, 0)))
		}
	}
	if done {
		frame, err := l.frame(p.Frame, d)
		after, also := After(d, p.Jog)
		if err == nil && also == nil {
			move := frame.Rotation.Transpose().Apply(r3.Sub(p.point(after), point))
			said = append(said, WhyGoes(p.Point, move, frameWords(p.Frame, in), in))
		}
	}
	return strings.Join(said, " ")
}

// whose is the point's word in the keys of texts.
func (p Point) whose() string {
	if p == PointFlange {
		return "flange"
	}
	return "tcp"
}

// arrowOf returns the direction that was answered, in the base frame.
func (p *Predict) arrowOf(l *Lesson, d *jog.Drive, a Answer) (r3.Vec, bool) {
	if a.Arrow != nil {
		return *a.Arrow, true
	}
	way, err := p.Named(l, d, a.Direction)
	return way, err == nil
}

// whyStop tells the numbers of the stop, or why what was answered does not stop the jog.
func (p *Predict) whyStop(d *jog.Drive, a Answer, done bool, in *words.Language) string {
	ahead, err := d.Ahead(p.Jog[0])
	if err != nil {
		return ""
	}
	if done {
		return WhyStop(d, p.Jog[0], &ahead, in)
	}
	travel := spoken.Amount(p.Jog[0], ahead.Stop.Travel, in)
	if a.Stop == NothingStops {
		return in.Say("reason.stop.early", "travel", travel, "whole", spoken.Amount(p.Jog[0], p.Jog[0].Amount, in))
	}
	for i := range d.Arm().Joints {
		if a.Stop == (jog.Stop{Reason: jog.JointLimit, Joint: i}).Answer() {
			return stands(&d.Arm().Joints[i], ahead.Joints[i], in)
		}
	}
	return in.Say("reason.stop.other", "travel", travel)
}

// WhyStop tells the numbers of what ends a jog of which is known what it does.
func WhyStop(d *jog.Drive, j jog.Jog, ahead *jog.Ahead, in *words.Language) string {
	if way := j.Directions()[0]; ahead.Stop.Reason == jog.Done && way.Frame == jog.JointFrame {
		return stands(&d.Arm().Joints[way.Axis], ahead.Joints[way.Axis], in)
	}
	return brief(spoken.Numbers(ahead.Stop, in))
}

// stands tells where a joint stands within its limits.
func stands(joint *kinematics.Joint, at float64, in *words.Language) string {
	return in.Say("reason.stop.limit", "joint", joint.Name, "at", spoken.Angle(at, in), "from", spoken.Angle(joint.Min, in), "to", spoken.Angle(joint.Max, in))
}

// NothingStops is the answer that a jog is made whole.
var NothingStops = jog.Stop{Reason: jog.Done}.Answer()

// frameWords is a frame of a lesson's file within a sentence.
func frameWords(name FrameName, in *words.Language) string {
	word, task, _ := strings.Cut(string(name), " ")
	if word == "" {
		word = string(jog.BaseFrame)
	}
	return spoken.FrameName(jog.Frame(word), task, in)
}

func (r *Read) reason(l *Lesson, d *jog.Drive, a Answer, done bool, in *words.Language) string {
	in = in.Reading(words.MM) // the answer is in the unit of the task, whatever else is read in
	if !done {
		return r.whyNot(l, d, *a.Number, in)
	}
	value, err := r.Of(l, d)
	if err != nil {
		return ""
	}
	var said []string
	switch {
	case r.After != nil && r.Measure.about().frame:
		if before, err := r.before().Of(l, d); err == nil {
			said = append(said, in.Say("reason.read.after", "before", told(before, in), "after", told(value, in)))
		}
	case r.Measure.about().frame:
		said = append(said, r.walk(l, d, in))
	case len(r.Jog) > 0:
		said = append(said, r.said(l, d, in))
	case r.Toward != nil:
		if ahead, err := d.Ahead(roomJog(*r.Toward)); err == nil {
			said = append(said, brief(spoken.Numbers(ahead.Stop, in)))
		}
	case r.Measure == "clearance":
		if pair, ok := d.Clearance(); ok {
			said = append(said, in.Say("reason.read.clearance", "a", spoken.PartName(pair.A, in), "b", spoken.PartName(pair.B, in), "distance", in.Fixed(pair.Distance, 1)))
		}
	default:
		said = append(said, in.Say("reason.read.is", "what", r.Quantity.Words(in), "value", told(value, in)))
	}
	if r.Unit == unitInch && value.Unit == "mm" {
		said = append(said, in.Say("reason.read.inch", "mm", in.Fixed(value.X, 2), "inch", in.Fixed(value.X/words.MMPerInch, 3)))
	}
	return strings.Join(said, " ")
}

// brief is the first two sentences of a text.
func brief(text string) string {
	if parts := strings.SplitAfterN(text, ". ", 3); len(parts) == 3 {
		return strings.TrimSpace(parts[0] + parts[1])
	}
	return text
}

// before is the quantity for the arm where it stands, without the jogs.
func (r *Read) before() *Quantity {
	q := r.Quantity
	q.After = nil
	return &q
}

// walk tells where the TCP is, or how the tool is turned, by all three numbers.
func (r *Read) walk(l *Lesson, d *jog.Drive, in *words.Language) string {
	key, parts := "reason.read.walk", []Measure{"x", "y", "z"}
	if strings.HasPrefix(string(r.Measure), "about-") {
		key, parts = "reason.read.turned", []Measure{"about-x", "about-y", "about-z"}
	}
	values := []string{"frame", frameWords(r.Frame, in), "unit", in.Sign()}
	for i, part := range parts {
		q := r.Quantity
		q.Measure = part
		v, err := q.Of(l, d)
		if err != nil {
			return ""
		}
		values = append(values, string("xyz"[i]), in.Fixed(v.X, 1))
	}
	return in.Say(key, values...)
}

// whyNot recognises a number that is right for another question than the one that is asked.
func (r *Read) whyNot(l *Lesson, d *jog.Drive, given float64, in *words.Language) string {
	is := func(q Quantity, scale float64) bool {
		v, err := q.Of(l, d)
		return err == nil && math.Abs(Value{X: v.X * scale, half: v.half}.Off(given)) <= math.Max(float64(r.Tolerance), 1e-9)
	}
	scale := 1.0
	if r.AnswerUnit() == string(unitInch) {
		scale = 1 / words.MMPerInch
	}
	if scale != 1 && is(r.Quantity, 1) {
		return in.Say("reason.read.in-mm")
	}
	if r.unit() == string(unitMM) && scale == 1 && is(r.Quantity, 1/words.MMPerInch) {
		return in.Say("reason.read.in-inch")
	}
	if is(r.Quantity, -scale) {
		return in.Say("reason.read.sign")
	}
	if len(r.After) > 0 && is(*r.before(), scale) {
		return in.Say("reason.read.before")
	}
	if r.Measure.about().frame {
		for _, frame := range []FrameName{"base", "world"} {
			q := r.Quantity
			q.Frame = frame
			if is(q, scale) {
				return in.Say("reason.read.frame", "frame", frameWords(frame, in))
			}
		}
		for _, other := range []Measure{"x", "y", "z", "about-x", "about-y", "about-z"} {
			q := r.Quantity
			q.Measure = other
			if other != r.Measure && other.about().unit == r.unit() && is(q, scale) {
				return in.Say("reason.read.other", "what", q.Words(in))
			}
		}
		if len(r.After) > 0 {
			if v, err := r.before().Of(l, d); err == nil {
				return in.Say("reason.read.begin", "before", told(v, in), "what", r.Quantity.Words(in))
			}
		}
		return in.Say("reason.read.from", "frame", frameWords(r.Frame, in), "what", r.Quantity.Words(in))
	}
	return in.Say("reason.read.what", "what", r.Quantity.Words(in))
}

// Words is the quantity as the page asks for it.
func (q *Quantity) Words(in *words.Language) string {
	joint := ""
	if q.Joint != nil {
		joint = kinematics.JointNames[*q.Joint]
	}
	return in.Say("task.read."+string(q.Measure), "frame", frameWords(q.Frame, in), "joint", joint)
}

// told is a value as a learner reads it.
func told(v Value, in *words.Language) string {
	switch {
	case v.Word != "":
		return v.Word
	case v.Unit == "°":
		return in.Fixed(v.X, 1) + "°"
	case v.Unit == "":
		return in.Fixed(v.X, 2)
	}
	return in.Fixed(v.X, 1) + " " + v.Unit
}

// reason tells what the file says of each option that was chosen, and what was computed for it. Of a wrong answer it also says which
// options are meant: a learner takes all that stands under "not correct" for wrong.
func (c *Choose) reason(l *Lesson, d *jog.Drive, a Answer, done bool, in *words.Language) string {
	chosen := unique(a.Options)
	var said []string
	if done {
		for _, i := range chosen {
			if why := c.why(i, l, d, in); why != "" && !slices.Contains(said, why) {
				said = append(said, why)
			}
		}
		return strings.Join(said, " ")
	}
	truth, _ := c.Truth(l, d)
	right, missing := partOf(chosen, truth.Answer.Options)
	if len(right) > 0 {
		var texts []string
		for _, i := range right {
			texts = append(texts, c.Options[i].Text)
		}
		said = append(said, in.Say("reason.options.right", "count", strconv.Itoa(len(texts)), "options", in.List(texts)))
	}
	for _, i := range chosen {
		if slices.Contains(right, i) {
			continue
		}
		text, why := c.Options[i].Text, c.why(i, l, d, in)
		if !strings.HasPrefix(why, text) {
			why = strings.TrimSpace(sentence(text) + " " + why)
		}
		said = append(said, in.Say("task.wrong.why", "why", why))
	}
	switch {
	case missing > 0 && len(right) > 0:
		said = append(said, in.Say("reason.options.more", "count", strconv.Itoa(missing)))
	case missing > 0 && c.Several:
		said = append(said, in.Say("reason.options.missing", "count", strconv.Itoa(missing)))
	}
	return strings.Join(said, " ")
}

// sentence is a text that ends with a mark.
func sentence(text string) string {
	if strings.HasSuffix(text, "…") || strings.ContainsAny(text[len(text)-1:], ".!?") {
		return text
	}
	return text + "."
}

// why tells what the file says of an option, and what was computed for it.
func (c *Choose) why(i int, l *Lesson, d *jog.Drive, in *words.Language) string {
	o := &c.Options[i]
	if o.When == nil {
		return o.Why
	}
	computed := ""
	if q := &o.When.Quantity; q.Measure == "path" && len(q.Jog) > 0 {
		if v, err := q.Of(l, d); err == nil {
			computed = in.Say("reason.value.path.this", "value", told(v, in))
			if c.ofJogs() {
				computed = in.Say("reason.value.path", "jog", o.Text, "value", told(v, in))
			}
		}
	} else {
		computed = q.said(l, d, in)
	}
	return strings.TrimSpace(o.Why + " " + computed)
}

// ofJogs reports whether each option is a jog of its own, and not a thing that may come of one.
func (c *Choose) ofJogs() bool {
	var jogs []string
	for i := range c.Options {
		if when := c.Options[i].When; when != nil && len(when.Jog) > 0 {
			jogs = append(jogs, spoken.Jog(when.Jog[0], words.English))
		}
	}
	slices.Sort(jogs)
	return len(jogs) == len(c.Options) && len(slices.Compact(jogs)) == len(c.Options)
}

// said tells what a quantity comes to, of a jog or of the arm as it stands.
func (q *Quantity) said(l *Lesson, d *jog.Drive, in *words.Language) string {
	v, err := q.Of(l, d)
	if err != nil {
		return ""
	}
	switch {
	case q.Measure == "stop":
		run, err := After(d, q.After)
		if err != nil {
			return ""
		}
		ahead, err := run.Ahead(q.Jog[0])
		if err != nil {
			return ""
		}
		return in.Say("reason.value.stop", "jog", spoken.Jog(q.Jog[0], in), "numbers", spoken.Headline(ahead.Stop, in))
	case q.Measure == "singularity":
		return ""
	case q.Measure.Words() != nil:
		return in.Say("reason.value.posture", "value", spoken.PostureWord(string(q.Measure), v.Word, in))
	case q.Measure == "share":
		return in.Say("reason.value.share", "joint", kinematics.JointNames[*q.Joint], "value", told(v, in))
	case q.Measure == "travel":
		return in.Say("reason.value.travel", "joint", kinematics.JointNames[*q.Joint], "value", told(v, in))
	case len(q.After) > 0:
		return in.Say("reason.value.after", "what", q.Words(in), "value", told(v, in))
	case len(q.Jog) > 0:
		return in.Say("reason.value.jog", "jog", spoken.Jog(q.Jog[0], in), "what", q.Words(in), "value", told(v, in))
	}
	return in.Say("reason.read.is", "what", q.Words(in), "value", told(v, in))
}
