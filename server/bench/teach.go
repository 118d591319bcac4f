package bench

import (
	"errors"
	"fmt"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/pattern"
	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/spoken"
)

// teaching are the points and touches that a learner has taken.
type teaching struct {
	origin, x, xy *r3.Vec           // TCP positions in the world
	touches       []kinematics.Pose // of the flange in the base frame
	problem       string
}

// mostTouches is more than any fit needs.
const mostTouches = 20

var frameName = pattern.Of(`^[A-Za-z0-9-]{1,20}$`)

// teach does one step of teaching. What the points lack is told in the message, and is no error.
func (b *Bench) teach(r *TeachRequest) error {
	if b.drive().Moving() {
		return errors.New(b.in.Say("problem.moving"))
	}
	t := &b.mounted.teaching
	t.problem = ""
	here := b.base().Apply(b.drive().TCP().Position)
	switch r.Do {
	case TeachOrigin:
		t.origin = &here
	case TeachX:
		t.x = &here
	case TeachXY:
		t.xy = &here
	case TeachForget:
		*t = teaching{}
	case TeachTouch:
		if len(t.touches) == mostTouches {
			return errors.New(b.in.Say("problem.touches", "most", strconv.Itoa(mostTouches)))
		}
		t.touches = append(t.touches, b.mounted.arm.Geometry.Forward(b.drive().Joints()))
	case TeachFrame:
		if err := b.teachFrame(r.Name); err != nil {
			t.problem = spoken.Tell(err, b.in)
		}
	case TeachUseTCP:
		if err := b.useTCP(); err != nil {
			t.problem = spoken.Tell(err, b.in)
		}
	default:
		return fmt.Errorf("there is nothing to teach by %q", r.Do)
	}
	return nil
}

func (b *Bench) teachFrame(name string) error {
	t := &b.mounted.teaching
	if b.lesson != nil && slices.ContainsFunc(b.surroundings().Tasks, func(f jog.TaskFrame) bool { return f.Name == name }) {
		return errors.New(b.in.Say("problem.lesson-task", "name", name))
	}
	if t.origin == nil || t.x == nil || t.xy == nil {
		return errors.New(b.in.Say("problem.three-points"))
	}
	if !frameName.In(name) {
		return errors.New(b.in.Say("problem.frame-name"))
	}
	taught, err := cellfile.TeachFrame(name, *t.origin, *t.x, *t.xy)
	if err != nil {
		return err
	}
	stand := b.stand()
	if err := stand.Teach(taught); err != nil {
		return err
	}
	around := b.drive().Setup()
	around.Tasks = stand.Tasks()
	if err := b.drive().Refit(around); err != nil {
		return err
	}
	b.mounted.taught = stand.Taught
	t.origin, t.x, t.xy = nil, nil, nil
	return b.chooseFrame(jog.TaskFrames, name)
}

// useTCP makes a tool of the mounted one with the TCP that was found, and mounts it.
func (b *Bench) useTCP() error {
	if b.lesson != nil {
		return errors.New(b.in.Say("problem.lesson-tool"))
	}
	fit, err := kinematics.FitTCP(b.mounted.teaching.touches)
	if err != nil {
		return err
	}
	tool := cellfile.WithTCP(b.drive().Setup().Tool, fit.TCP)
	b.mounted.found = &tool
	return b.chooseTool(tool.Name)
}

func (b *Bench) teachMessage() TeachMessage {
	t := &b.mounted.teaching
	point := func(p *r3.Vec) *[3]float64 {
		if p == nil {
			return nil
		}
		a := array(*p)
		return &a
	}
	m := TeachMessage{Origin: point(t.origin), X: point(t.x), XY: point(t.xy), Touches: len(t.touches), Problem: t.problem}
	if len(t.touches) == 0 {
		return m
	}
	fit, err := kinematics.FitTCP(t.touches)
	if err != nil {
		if m.Problem == "" {
			m.Problem = spoken.Tell(err, b.in)
		}
		return m
	}
	m.Fit = &FitView{
		TCPMM: array(fit.TCP), ResidualsMM: fit.Residuals, RMSMM: fit.RMS, MaxMM: fit.Max,
		SpreadDeg: kinematics.Degrees(fit.Spread), Weak: fit.Weak(),
		FromFileMM: r3.Norm(r3.Sub(fit.TCP, b.drive().Tool().Position)),
	}
	return m
}
