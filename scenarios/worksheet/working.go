package worksheet

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// This file writes the key: the answer of every task, and the arithmetic that leads to it.

// answer is the answer of a stage, and how it is come by, a line each.
func (w *writer) answer(s *lesson.Stage, solution solve.Solution) (answer string, working []string, err error) {
	d, err := w.l.Drive(solution.Begin)
	if err != nil {
		return "", nil, err
	}
	k := key{w, d, nil}
	answer = lesson.ByKind(s.Task, func(t *lesson.Reach) string {
		return k.reach(t, solution)
	}, func(t *lesson.Predict) string {
		return k.predict(t, solution.Truth)
	}, func(t *lesson.Read) string {
		return k.read(t, solution.Truth)
	}, func(t *lesson.Choose) string {
		return k.choose(t, solution.Truth)
	}, func(*lesson.Free) string {
		return w.in.Say("sheet.key.free", "jogs", w.jogs(solution.Jogs))
	})
	return answer, k.lines, nil
}

// key collects the lines of a stage, whose arm stands at d.
type key struct {
	*writer
	d     *jog.Drive
	lines []string
}

func (k *key) line(format string, args ...any) {
	k.lines = append(k.lines, fmt.Sprintf(format, args...))
}

func (k *key) say(text string, values ...string) {
	k.lines = append(k.lines, k.in.Say(text, values...))
}

// num writes a number of the arithmetic.
func (w *writer) num(x float64) string { return w.in.Short(x, 2) }

// jogs writes jogs in a row, with how often one is made in succession.
func (w *writer) jogs(all []jog.Jog) string {
	var lines []string
	for i := 0; i < len(all); {
		said, times := spoken.Jog(all[i], w.in), 1
		for i+times < len(all) && spoken.Jog(all[i+times], w.in) == said {
			times++
		}
		if i += times; times > 1 {
			said = w.in.Say("sheet.times", "times", fmt.Sprint(times), "jog", said)
		}
		lines = append(lines, said)
	}
	return strings.Join(lines, "; ")
}

// reach tells where the TCP is after each jog, in the frame of the task.
func (k *key) reach(t *lesson.Reach, s solve.Solution) string {
	frame := k.frame(string(t.Frame), k.d)
	k.line("%s: %s", k.in.Say("sheet.key.start"), k.stands(t, frame, k.d))
	d := k.d.Copy()
	for i := 0; i < len(s.Jogs); {
		from := i
		for said := spoken.Jog(s.Jogs[i], k.in); i < len(s.Jogs) && spoken.Jog(s.Jogs[i], k.in) == said; i++ {
			if d.Start(s.Jogs[i]) != nil {
				return k.jogs(s.Jogs)
			}
			for d.Tick() {
			}
		}
		k.line("%s: %s", k.jogs(s.Jogs[from:i]), k.stands(t, frame, d))
	}
	return k.jogs(s.Jogs)
}

// stands is where the arm at d stands, as far as a task asks for it.
func (k *key) stands(t *lesson.Reach, frame kinematics.Pose, d *jog.Drive) string {
	if t.Joint != nil {
		return kinematics.JointNames[*t.Joint] + " " + k.in.Short(kinematics.Degrees(d.Joints()[*t.Joint]), 2) + "°"
	}
	at := frame.Inverse().Mul(d.TCP())
	said := k.place(at.Position, 1)
	if t.Rotation != nil {
		a, _ := at.Rotation.FixedXYZ()
		said += "; " + k.in.Short(kinematics.Degrees(a.X), 1) + "°, " + k.in.Short(kinematics.Degrees(a.Y), 1) + "°, " + k.in.Short(kinematics.Degrees(a.Z), 1) + "°"
	}
	return said
}

// frame is the pose of a frame by its word in a lesson, in the base frame; the identity where there is none.
func (w *writer) frame(word string, d *jog.Drive) kinematics.Pose {
	name, task, _ := strings.Cut(word, " ")
	if name == "" {
		return kinematics.Identity
	}
	setup := d.Setup()
	pose, err := setup.Frame(jog.Frame(name), task, d.TCP())
	if err != nil {
		return kinematics.Identity
	}
	return pose
}

func (k *key) predict(t *lesson.Predict, truth lesson.Truth) string {
	j := t.Jog[0]
	ahead, err := k.d.Ahead(j)
	if err != nil {
		return truth.Words
	}
	switch t.Ask {
	case "joints":
		k.work(ahead)
		if len(truth.Answer.Joints) == 0 {
			return k.in.Say("task.joints.none")
		}
		return truth.Words
	case "stop":
		k.stopped(ahead)
		return spoken.StopWord(ahead.Stop.Answer(), k.in)
	}
	k.direction(t, truth)
	axis, sign, _ := strings.Cut(truth.Answer.Direction, " ")
	return k.in.Say("task.direction", "axis", strings.ToUpper(axis)+" "+strings.Replace(sign, "-", "−", 1), "frame", k.frameName(string(t.Frame)))
}

// direction shows the way of the point: of a turn the cross product with which it begins, of a straight jog its axis.
func (k *key) direction(t *lesson.Predict, truth lesson.Truth) {
	j, frame := t.Jog[0], k.frame(string(t.Frame), k.d)
	point := k.d.TCP().Position
	if t.Point == "flange" {
		point = k.d.Arm().Forward(k.d.Joints()).Position
	}
	if axis, at, turns := k.axisOf(j); turns {
		arm := r3.Sub(point, at)
		k.line("%s × %s = %s", k.vector(axis, 3), k.vector(arm, 1), k.vector(r3.Cross(axis, arm), 1))
	}
	way := frame.Rotation.Transpose().Apply(*truth.Answer.Arrow)
	k.say("sheet.key.way", "frame", k.frameName(string(t.Frame)), "way", k.vector(way, 2))
}

// axisOf is the axis about which a jog turns, with its sign, and a point of it, in the base frame; false for a straight jog.
func (k *key) axisOf(j jog.Jog) (axis, at r3.Vec, turns bool) {
	if j.Straight() || j.Sign == 0 {
		return axis, at, false
	}
	if j.Frame == jog.JointFrame {
		links := k.d.Arm().Links(k.d.Joints())
		joint := k.d.Arm().Joints[j.Axis]
		return r3.Scale(float64(j.Sign), links[j.Axis+1].Rotation.Apply(r3.Unit(joint.Axis))), links[j.Axis+1].Apply(joint.At), true
	}
	frame := k.frame(strings.TrimSpace(string(j.Frame)+" "+j.Task), k.d)
	return r3.Scale(float64(j.Sign), frame.Rotation.Axis(j.Axis-3)), k.d.TCP().Position, true
}

func (k *key) vector(v r3.Vec, decimals int) string {
	between := k.in.Say("sheet.between")
	return "(" + k.in.Short(v.X, decimals) + between + k.in.Short(v.Y, decimals) + between + k.in.Short(v.Z, decimals) + ")"
}

// work tells how far each joint turns.
func (k *key) work(ahead jog.Ahead) {
	var all []string
	for i, turn := range ahead.Work {
		all = append(all, kinematics.JointNames[i]+" "+k.in.Short(kinematics.Degrees(turn), 1)+"°")
	}
	k.line("%s", strings.Join(all, k.in.Say("sheet.between")))
}

// stopped tells what ends a jog: where it begins and ends, and each joint's angle against its limits.
func (k *key) stopped(ahead jog.Ahead) {
	if ahead.Stop.Trouble() {
		k.lines = append(k.lines, spoken.Numbers(ahead.Stop, k.in))
	}
	if ahead.Stop.Reason == jog.Singularity && ahead.Stop.Travel == 0 {
		return
	}
	k.say("sheet.key.joints-end", "joints", k.joints(ahead.Joints))
}

func (k *key) read(t *lesson.Read, truth lesson.Truth) string {
	k.measured(&t.Quantity, *truth.Answer.Number)
	x, unit := *truth.Answer.Number, k.unit(t.AnswerUnit())
	if t.AnswerUnit() == "inch" {
		k.line("%s mm : 25%s4 = %s %s", k.num(x*words.MMPerInch), k.in.Say("number.decimal"), k.in.Short(x, 3), unit)
	}
	return k.withUnit(k.in.Short(x, 3), unit)
}

// measured shows how a number is come by.
func (k *key) measured(q *lesson.Quantity, x float64) {
	switch q.Measure {
	case "x", "y", "z":
		k.coordinate(q)
	case "about-x", "about-y", "about-z":
		k.orientation(q)
	case "joint":
	case "share", "travel":
		k.worked(q)
	case "path":
		k.path(q)
	case "room":
		k.room(q)
	case "clearance":
		if pair, near := k.after(q).Clearance(); near {
			k.say("sheet.key.nearest", "a", spoken.PartName(pair.A, k.in), "b", spoken.PartName(pair.B, k.in), "distance", k.num(pair.Distance))
			sign := 1.0
			if pair.Distance < 0 {
				sign = -1
			}
			k.distance(pair.OnB, pair.OnA, sign)
		}
	}
}

// distance shows how far one place is from another, in the base frame: the root of the sum of the squares. A negative sign is of bodies
// that are in each other.
func (k *key) distance(to, from r3.Vec, sign float64) {
	way := r3.Sub(to, from)
	minus := ""
	if sign < 0 {
		minus = words.Minus
	}
	k.line("%s: %s − %s = %s", k.frameName(""), k.vector(to, 2), k.vector(from, 2), k.vector(way, 2))
	k.line("%s√(%s² + %s² + %s²) = %s mm", minus, inBrackets(k.num(way.X)), inBrackets(k.num(way.Y)), inBrackets(k.num(way.Z)), k.num(sign*r3.Norm(way)))
}

// after is the arm after the jogs that a quantity begins with.
func (k *key) after(q *lesson.Quantity) *jog.Drive {
	if d, err := lesson.After(k.d, q.After); err == nil {
		return d
	}
	return k.d
}

// coordinate shows a coordinate of the TCP: from that in the base frame to that in another, and what every jog adds.
func (k *key) coordinate(q *lesson.Quantity) {
	axis := strings.Index("xyz", string(q.Measure))
	frame := k.frame(string(q.Frame), k.d)
	name := strings.ToUpper(string(q.Measure))
	now := part(frame.Inverse().Apply(k.d.TCP().Position), axis)
	if frame != kinematics.Identity {
		from := frame.Inverse()
		base := k.d.TCP().Position
		var sum []string
		for i, c := range []float64{base.X, base.Y, base.Z} {
			if m := from.Rotation.Matrix()[axis][i]; math.Abs(m) > 1e-9 && math.Abs(c) > 1e-9 {
				sum = append(sum, k.num(c)+times(k, m))
			}
		}
		sum = append(sum, k.num(part(from.Position, axis)))
		k.line("%s: %s = %s", k.quantity(&lesson.Quantity{Measure: q.Measure, Frame: q.Frame}), plus(sum), k.num(now))
	} else {
		k.line("%s: %s", k.quantity(&lesson.Quantity{Measure: q.Measure, Frame: q.Frame}), k.num(now))
	}
	d, sum := k.d.Copy(), []string{k.num(now)}
	for _, j := range q.After {
		before := part(frame.Inverse().Apply(d.TCP().Position), axis)
		along := r3.Vec{}
		if j.Straight() && j.Sign != 0 {
			along = r3.Scale(float64(j.Sign), k.frame(strings.TrimSpace(string(j.Frame)+" "+j.Task), d).Rotation.Axis(j.Axis))
		}
		if d.Start(j) != nil {
			return
		}
		for d.Tick() {
		}
		adds := part(frame.Inverse().Apply(d.TCP().Position), axis) - before
		if j.Straight() && j.Sign != 0 {
			c := r3.Dot(along, frame.Rotation.Axis(axis))
			k.line("%s: %s%s = %s", spoken.Jog(j, k.in), k.num(j.Amount), times(k, c), k.num(adds))
		} else {
			k.line("%s: %s %s", spoken.Jog(j, k.in), name, k.in.SignedShort(adds, 2))
		}
		sum = append(sum, k.num(adds))
	}
	if len(q.After) > 0 {
		k.line("%s = %s mm", plus(sum), k.num(part(frame.Inverse().Apply(d.TCP().Position), axis)))
	}
}

// times is a factor as it follows a number; nothing where it is 1.
func times(k *key, c float64) string {
	if math.Abs(c-1) < 1e-9 {
		return ""
	}
	if c < 0 {
		return " · (" + k.in.Short(c, 4) + ")"
	}
	return " · " + k.in.Short(c, 4)
}

// plus joins the parts of a sum.
func plus(parts []string) string {
	return strings.ReplaceAll(strings.Join(parts, " + "), "+ −", "− ")
}

func part(v r3.Vec, axis int) float64 { return [3]float64{v.X, v.Y, v.Z}[axis] }

// orientation shows an angle of the tool frame before and after.
func (k *key) orientation(q *lesson.Quantity) {
	angles := func(d *jog.Drive) string {
		a, _ := k.frame(string(q.Frame), d).Inverse().Mul(d.TCP()).Rotation.FixedXYZ()
		return k.in.Short(kinematics.Degrees(a.X), 1) + "°, " + k.in.Short(kinematics.Degrees(a.Y), 1) + "°, " + k.in.Short(kinematics.Degrees(a.Z), 1) + "°"
	}
	if len(q.After) > 0 {
		k.line("%s: %s", k.in.Say("sheet.key.start"), angles(k.d))
	}
	k.line("%s: %s", k.in.Say("sheet.key.end"), angles(k.after(q)))
}

// worked shows how far the joints turn in a jog, and a joint's part of it.
func (k *key) worked(q *lesson.Quantity) {
	ahead, err := k.after(q).Ahead(q.Jog[0])
	if err != nil {
		return
	}
	before := k.after(q).Joints()
	k.line("%s: %s", k.in.Say("sheet.key.start"), k.joints(before))
	k.say("sheet.key.joints-end", "joints", k.joints(ahead.Joints))
	k.work(ahead)
	if q.Measure == "travel" {
		k.travel(before, ahead, int(*q.Joint))
	}
	if q.Measure == "share" {
		sum := 0.0
		for _, turn := range ahead.Work {
			sum += turn
		}
		one := ahead.Work[*q.Joint]
		k.line("%s° : %s° = %s", k.num(kinematics.Degrees(one)), k.num(kinematics.Degrees(sum)), k.in.Short(one/sum, 3))
	}
}

// travel shows how far a joint turns: from its angle before to that afterwards, where it turns one way all the time.
func (k *key) travel(before kinematics.Joints, ahead jog.Ahead, joint int) {
	from, to, turn := kinematics.Degrees(before[joint]), kinematics.Degrees(ahead.Joints[joint]), kinematics.Degrees(ahead.Work[joint])
	if math.Abs(math.Abs(to-from)-turn) > toAndFro {
		k.say("sheet.key.to-and-fro", "joint", kinematics.JointNames[joint], "turn", k.num(turn)+"°")
		return
	}
	k.line("%s: |%s° − %s| = %s°", kinematics.JointNames[joint], k.num(to), inBrackets(k.num(from)+"°"), k.num(turn))
}

// toAndFro is by how many degrees more a joint turns that does not turn one way all the time.
const toAndFro = 0.02

// inBrackets is a number as it stands after a minus sign or before a square: in brackets where it has a minus sign itself.
func inBrackets(shown string) string {
	if strings.HasPrefix(shown, words.Minus) {
		return "(" + shown + ")"
	}
	return shown
}

// path shows the length of the TCP's way: of one joint's turn radius times angle, else that of the jog.
func (k *key) path(q *lesson.Quantity) {
	j, d := q.Jog[0], k.after(q)
	at := key{k.writer, d, nil}
	axis, on, turns := at.axisOf(j)
	switch {
	case turns && j.Frame == jog.JointFrame:
		radius := r3.Norm(r3.Cross(axis, r3.Sub(d.TCP().Position, on)))
		k.line("r · φ = %s mm · %s = %s mm", k.num(radius), k.in.Short(j.Amount, 4), k.num(radius*j.Amount))
	case turns:
		k.say("sheet.key.about-tcp")
	}
}

// room shows how far a direction goes, and what ends it.
func (k *key) room(q *lesson.Quantity) {
	d := k.after(q)
	j := jog.Jog{Direction: *q.Toward, Amount: kinematics.Radians(lesson.MostRoom), Speed: kinematics.Radians(90)}
	if j.Straight() {
		j.Amount, j.Speed = lesson.MostRoom, jog.ReducedSpeed
	}
	ahead, err := d.Ahead(j)
	if err != nil {
		return
	}
	if s := ahead.Stop; s.Reason == jog.JointLimit && j.Frame == jog.JointFrame {
		k.line("|%s° − %s| = %s°", k.num(kinematics.Degrees(s.Limit)), inBrackets(k.num(kinematics.Degrees(d.Joints()[s.Joint]))+"°"), k.num(kinematics.Degrees(s.Travel)))
		return
	}
	k.lines = append(k.lines, k.in.Say("sheet.key.until", "cause", spoken.Cause(ahead.Stop, k.in)))
	k.say("sheet.key.joints-end", "joints", k.joints(ahead.Joints))
	if j.Straight() {
		k.distance(ahead.Path[len(ahead.Path)-1], d.TCP().Position, 1)
	}
}

func (k *key) choose(t *lesson.Choose, truth lesson.Truth) string {
	for i := range t.Options {
		o := &t.Options[i]
		if o.When != nil {
			v, err := o.When.Of(k.l, k.d)
			if err != nil {
				continue
			}
			k.line("%s: %s", o.Text, k.value(&o.When.Quantity, v))
		}
	}
	for _, i := range truth.Answer.Options {
		if why := t.Options[i].Why; why != "" {
			k.lines = append(k.lines, why)
		}
	}
	var right []string
	for _, i := range truth.Answer.Options {
		right = append(right, t.Options[i].Text)
	}
	return strings.Join(right, "; ")
}

// value says what a quantity comes to: "Z in the base frame 131.1 mm".
func (k *key) value(q *lesson.Quantity, v lesson.Value) string {
	what := k.quantity(&lesson.Quantity{Measure: q.Measure, Joint: q.Joint, Frame: q.Frame})
	switch {
	case q.Measure == "stop":
		ahead, err := k.after(q).Ahead(q.Jog[0])
		if err != nil {
			return v.Word
		}
		return spoken.StopWord(ahead.Stop.Answer(), k.in)
	case v.Word != "" && v.Word != "none" && (q.Measure == "shoulder" || q.Measure == "elbow" || q.Measure == "wrist"):
		return spoken.PostureWord(string(q.Measure), v.Word, k.in)
	case v.Word != "":
		return v.Word
	}
	return what + ": " + k.withUnit(k.num(v.X), v.Unit)
}
