package lesson

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// Reach is the task to bring the TCP to a place, an orientation or both, or a joint to an angle, under rules.
type Reach struct {
	form.Block
	Frame         FrameName            `field:"frame" about:"What position and rotation are stated in: base, world or task NAME. The base frame unless told otherwise."`
	Position      *r3.Vec              `field:"position_mm" about:"Where the TCP should be: x, y, z in mm."`
	Tolerance     form.Tolerance       `field:"tolerance_mm" about:"How far off the TCP may be, mm."`
	Rotation      *kinematics.Rotation `field:"rotation_deg" about:"How the tool frame should stand: fixed X-Y-Z angles in degrees."`
	TurnTolerance form.TurnTolerance   `field:"tolerance_deg" about:"How far off the orientation, or the joint, may be, degrees."`
	Joint         *JointIndex          `field:"joint" about:"The joint to turn, instead of a place."`
	Angle         *form.Angle          `field:"angle_deg" about:"The angle the joint should stand at, degrees."`

	Shoulder ShoulderWord `field:"shoulder" about:"The posture to be there in: on which side of J1's axis the arm reaches, front or behind. Any, unless told otherwise."`
	Elbow    ElbowWord    `field:"elbow" about:"The posture to be there in: the elbow up or down. Any, unless told otherwise."`
	Wrist    WristWord    `field:"wrist" about:"The posture to be there in: J5 bent to plus or to minus of its straight pose. Any, unless told otherwise."`

	Frames        []jog.Frame        `field:"frames" most:"5" about:"Rule: only jogs in these frames."`
	Taught        bool               `field:"taught" about:"Rule: only jogs in a task frame that the learner has taught. It goes with frames: [task]. To check the lesson, the cell's task frames stand in for it."`
	MostJogs      form.Count         `field:"most_jogs" about:"Rule: at most so many jogs."`
	NoContact     bool               `field:"no_contact" about:"Rule: nothing may be touched."`
	PathFactor    form.Factor        `field:"path_factor" about:"Rule: the TCP's path may be at most so many times as long as the straight line, such as 1.2."`
	KeepDirection form.TurnTolerance `field:"keep_direction_deg" about:"Rule: the tool keeps pointing the way it does at the start, within so many degrees."`
}

// Kind is "reach".
func (*Reach) Kind() string { return "reach" }

func (r *Reach) validate(l *Lesson, s *Stage) {
	place := r.Given("position_mm") || r.Given("rotation_deg")
	switch {
	case r.Given("joint") && place:
		r.Add("joint", "does not go with position_mm and rotation_deg; reach either a place or an angle")
	case !r.Given("joint") && !place:
		r.Add("", "needs position_mm, rotation_deg or both, or joint and angle_deg")
	case r.Given("joint") != r.Given("angle_deg"):
		r.Add("", "needs both joint and angle_deg")
	}
	pair := func(what, tolerance, example string, needed bool) {
		switch given := r.Given(tolerance); {
		case needed && !given:
			r.Add(what, "goes with %s, such as %s", tolerance, example)
		case !needed && given:
			r.Add(tolerance, "means nothing without %s", what)
		}
	}
	pair("position_mm", "tolerance_mm", "1", r.Given("position_mm"))
	turned := "rotation_deg"
	if r.Given("joint") {
		turned = "joint"
	}
	pair(turned, "tolerance_deg", "2", r.Given("rotation_deg") || r.Given("joint"))
	if r.Given("path_factor") && !r.Given("position_mm") {
		r.Add("path_factor", "means nothing without position_mm")
	}
	if r.Joint != nil && r.Angle != nil {
		j := l.Arm.Geometry.Joints[*r.Joint]
		if a := float64(*r.Angle); a < j.Min || a > j.Max {
			r.Add("angle_deg", "is outside the limits of %s, %.4g° to %.4g°", j.Name, kinematics.Degrees(j.Min), kinematics.Degrees(j.Max))
		}
	}
	for _, p := range r.Posture(l.Arm.Geometry.Posture(s.Begin)) {
		switch {
		case !place:
			r.Add(p.Part, "goes with position_mm and rotation_deg")
		case p.Now == "":
			r.Add(p.Part, "means nothing for %s, whose postures have no word for it", l.Arm.Name)
		}
	}
	for _, f := range r.Frames {
		if !s.Uses.Permits(f) {
			r.Add("frames", "asks for the %s frame, which the learner may not use; see allow", f)
		}
	}
	if r.Taught && !slices.Equal(r.Frames, []jog.Frame{jog.TaskFrames}) {
		r.Add("taught", "goes with frames: [task]")
	}
	if word, task, _ := strings.Cut(string(r.Frame), " "); word == string(jog.TaskFrames) {
		l.checkFrame(&r.Block, "frame", task)
	}
}

// noteRules notes a rule that can never be broken.
func (l *Lesson) noteRules() {
	tool, err := l.Mounted()
	if err != nil || len(l.Arm.Body)+len(tool.Body) > 0 {
		return
	}
	for i := range l.Stages {
		if r := l.Stages[i].Reach; r != nil && r.NoContact {
			l.Notes = append(l.Notes, r.Note("stage %d: no_contact means nothing, because neither %s nor its tool has a body that could touch", i+1, l.Arm.Name))
		}
	}
}

// Goal returns where the TCP should be, in the base frame; the parts that were not given are identity.
func (r *Reach) Goal(l *Lesson, d *jog.Drive) (kinematics.Pose, error) {
	goal := kinematics.Identity
	if r.Position != nil {
		goal.Position = *r.Position
	}
	if r.Rotation != nil {
		goal.Rotation = *r.Rotation
	}
	frame, err := l.frame(r.Frame, d)
	return frame.Mul(goal), err
}

// Target returns where the TCP should go, nil where the task asks for no position.
func (r *Reach) Target(l *Lesson) *Target {
	d, err := l.Drive(l.Start)
	if err != nil || r.Position == nil {
		return nil
	}
	goal, err := r.Goal(l, d)
	if err != nil {
		return nil
	}
	t := &Target{Position: goal.Position, Tolerance: float64(r.Tolerance), TurnTolerance: math.Pi}
	if r.Rotation != nil {
		t.Rotation, t.TurnTolerance = &goal.Rotation, float64(r.TurnTolerance)
	}
	return t
}

// Off returns how far the arm at d is from the goal: mm, and rad. What the task does not ask for is zero.
func (r *Reach) Off(l *Lesson, d *jog.Drive) (mm, rad float64) {
	if r.Joint != nil {
		return 0, math.Abs(d.Joints()[*r.Joint] - float64(*r.Angle))
	}
	goal, err := r.Goal(l, d)
	if err != nil {
		return math.Inf(1), math.Inf(1)
	}
	move, turn := d.TCP().Twist(goal)
	if r.Position != nil {
		mm = r3.Norm(move)
	}
	if r.Rotation != nil {
		rad = r3.Norm(turn)
	}
	return mm, rad
}

// OffWords says how far the arm at d is from the goal, and what the tolerance is.
func (r *Reach) OffWords(l *Lesson, d *jog.Drive) string {
	mm, rad := r.Off(l, d)
	var off []string
	if r.Position != nil {
		off = append(off, fmt.Sprintf("%s mm off where %s mm are allowed", form.Decimal(mm), form.Decimal(float64(r.Tolerance))))
	}
	if r.Rotation != nil || r.Joint != nil {
		off = append(off, fmt.Sprintf("%s° off where %s° are allowed", form.Decimal(kinematics.Degrees(rad)), form.Decimal(kinematics.Degrees(float64(r.TurnTolerance)))))
	}
	return form.AllOf(off)
}

// Reached reports whether the arm at d is at the goal.
func (r *Reach) Reached(l *Lesson, d *jog.Drive) bool {
	mm, rad := r.Off(l, d)
	return within(mm, float64(r.Tolerance)) && within(rad, float64(r.TurnTolerance)) && r.stands(d)
}

// Wanted is a word of the posture that a task asks for, and the one that the arm stands in now.
type Wanted struct {
	Part      string // "shoulder", "elbow" or "wrist"
	Word, Now string
}

// Posture returns what is asked for of a posture.
func (r *Reach) Posture(now kinematics.Posture) (wanted []Wanted) {
	for _, w := range []Wanted{
		{"shoulder", string(r.Shoulder), now.Shoulder}, {"elbow", string(r.Elbow), now.Elbow}, {"wrist", string(r.Wrist), now.Wrist},
	} {
		if w.Word != "" {
			wanted = append(wanted, w)
		}
	}
	return wanted
}

// stands reports whether the arm at d is in the posture that is asked for.
func (r *Reach) stands(d *jog.Drive) bool { return r.Suits(d.Arm(), d.Joints()) }

// Suits reports whether joint angles are in that posture.
func (r *Reach) Suits(arm *kinematics.Arm, q kinematics.Joints) bool {
	return !slices.ContainsFunc(r.Posture(arm.Posture(q)), func(w Wanted) bool { return w.Word != w.Now })
}

// Permits reports whether jogs in this frame keep to the rules.
func (r *Reach) Permits(s *Stage, f jog.Frame) bool {
	return s.Uses.Permits(f) && (len(r.Frames) == 0 || slices.Contains(r.Frames, f))
}

// taught reports whether a jog went in a task frame that the learner has taught.
func taught(d *jog.Drive, j jog.Jog) bool {
	return slices.ContainsFunc(d.Setup().Tasks, func(f jog.TaskFrame) bool { return f.Name == j.Task && f.Taught != nil })
}

// AsTaught returns the drive with its task frames as if the learner had taught them.
func AsTaught(d *jog.Drive) (*jog.Drive, error) {
	c, setup := d.Copy(), d.Setup()
	setup.Tasks = slices.Clone(setup.Tasks)
	for i := range setup.Tasks {
		o, x, y := setup.Tasks[i].Pose.Position, setup.Tasks[i].Pose.Rotation.X, setup.Tasks[i].Pose.Rotation.Y
		setup.Tasks[i].Taught = &[3]r3.Vec{o, r3.Add(o, r3.Scale(100, x)), r3.Add(o, r3.Scale(100, y))}
	}
	return c, c.Refit(setup)
}

// reachTry follows one try.
type reachTry struct {
	lesson *Lesson
	stage  *Stage
	reach  *Reach
	in     *words.Language
	from   kinematics.Pose // the TCP when the try began
	at     r3.Vec
	length float64 // of the TCP's path so far, mm
	turned float64 // the most the tool's direction has been off, rad
	jogs   int
}

func (r *Reach) watch(run *Run, d *jog.Drive) watcher {
	from := d.TCP()
	return &reachTry{lesson: run.Lesson, stage: run.Stage(), reach: r, in: run.In, from: from, at: from.Position}
}

func (t *reachTry) moved(d *jog.Drive) {
	tcp := d.TCP()
	t.length += r3.Norm(r3.Sub(tcp.Position, t.at))
	t.at = tcp.Position
	t.turned = math.Max(t.turned, kinematics.AngleBetween(tcp.Rotation.Z, t.from.Rotation.Z))
}

func (t *reachTry) jogged(d *jog.Drive) Verdict {
	t.jogs++
	if broken := t.broken(d); broken != "" {
		return Verdict{Failed: true, Words: broken}
	}
	if t.reach.Reached(t.lesson, d) {
		return Verdict{Done: true, Words: t.in.Say("lesson.reached")}
	}
	if most := int(t.reach.MostJogs); most > 0 && t.jogs >= most {
		return Verdict{Failed: true, Words: t.in.Say("grade.jogs", "jogs", strconv.Itoa(t.jogs), "most", strconv.Itoa(most))}
	}
	return Verdict{}
}

// broken says which rule was broken; "" where none was.
func (t *reachTry) broken(d *jog.Drive) string {
	r, stop := t.reach, d.Stop()
	switch {
	case !r.Permits(t.stage, stop.Jog.Frame):
		return t.in.Say("grade.frame", "frame", t.in.Say("jog.frame."+string(stop.Jog.Frame)))
	case r.Taught && !taught(d, stop.Jog):
		return t.in.Say("grade.taught", "frame", stop.Jog.Task)
	case r.NoContact && stop.Reason == jog.Contact:
		return t.in.Say("grade.contact", "cause", spoken.Cause(stop, t.in), "numbers", spoken.Numbers(stop, t.in))
	case r.KeepDirection > 0 && t.turned > float64(r.KeepDirection)+1e-9:
		return t.in.Say("grade.direction", "turned", t.in.Fixed(kinematics.Degrees(t.turned), 1), "most", t.in.Fixed(kinematics.Degrees(float64(r.KeepDirection)), 1))
	}
	if r.PathFactor > 0 {
		goal, err := r.Goal(t.lesson, d)
		line := r3.Norm(r3.Sub(goal.Position, t.from.Position))
		if most := float64(r.PathFactor)*line + float64(r.Tolerance); err != nil || t.length > most+1e-6 {
			return t.in.Say("grade.path", "length", t.in.Length(t.length, 1), "line", t.in.Length(line, 1), "most", t.in.Length(most, 1))
		}
	}
	return ""
}
