package jog_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/draws"
	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// searchedArm is testArm as a tape measure gives it, or with its joints set off so far that nothing of its form is left: there is no
// closed form for it.
func searchedArm(t *testing.T, r *rand.Rand) *kinematics.Arm {
	direction := func() r3.Vec { return r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}) }
	joints, off := testArm(t).Joints, 0.0
	if r.IntN(2) == 0 {
		off = 40
	}
	for i := range joints {
		j := &joints[i]
		j.At = r3.Add(j.At, r3.Scale(0.2+off*r.Float64(), direction()))
		j.Axis = kinematics.RotationAbout(direction(), 0.05*degree*r.Float64()).Apply(j.Axis)
	}
	arm, err := kinematics.New(joints, testArm(t).Flange)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(arm.Solver(), "search") {
		t.Fatal("it is solved by " + arm.Solver())
	}
	return arm
}

// A tick takes a bounded number of steps of iteration, also where an arm without a closed form comes to a place of which it takes
// thousands to say why the arm cannot go on. It leaves off after that many, and what it is at then ends soon.
func TestATickTakesACountedNumberOfSteps(t *testing.T) {
	most, total, asked := 0, 0, 0
	for n := range 400 {
		r := rand.New(rand.NewPCG(draws.Seed(), uint64(n)))
		arm := searchedArm(t, r)
		way := jog.Direction{Frame: []jog.Frame{jog.BaseFrame, jog.ToolFrame}[r.IntN(2)], Axis: r.IntN(6), Sign: 1 - 2*r.IntN(2)}
		j := jog.Jog{Direction: way, Amount: math.Inf(1), Speed: 250}
		if !way.Straight() {
			j.Amount, j.Speed = 2*math.Pi, 60*degree
		}
		d := jog.NewDrive(arm, pen, specialStart(r, arm))
		if err := d.Start(j); err != nil {
			t.Fatal(err)
		}
		asking := 0
		for goesOn := true; goesOn; {
			var steps int
			var explains bool
			goesOn, steps, explains = jog.CountedTick(d)
			if most = max(most, steps); steps > 2*jog.StepsPerTick {
				t.Errorf("case %d: a tick of %d steps, %.9g along until %v", n, steps, d.Travel(), d.Stop())
			}
			if explains {
				asking += steps
			}
		}
		total = max(total, asking)
		if asking > 2*jog.StepsPerTick {
			asked++
		}
	}
	t.Logf("at most %d steps; %d stops took longer than a tick to explain, the longest %d steps", most, asked, total)
	if asked < 20 {
		t.Errorf("%d stops took longer than a tick to explain: the test says little", asked)
	}
}

// What was being worked out when an arm was copied comes to the same in the copy, and in as many ticks.
func TestACopyExplainsTheSame(t *testing.T) {
	copied := 0
	for n := range 100 {
		r := rand.New(rand.NewPCG(draws.Seed()+1, uint64(n)))
		arm := searchedArm(t, r)
		d := jog.NewDrive(arm, pen, specialStart(r, arm))
		if err := d.Start(jog.Jog{Direction: base(r.IntN(3), 1), Amount: math.Inf(1), Speed: 250}); err != nil {
			t.Fatal(err)
		}
		var copies []*jog.Drive
		for goesOn := true; goesOn; {
			var asked bool
			if goesOn, _, asked = jog.CountedTick(d); goesOn && asked && len(copies) < 8 {
				copies = append(copies, d.Copy())
			}
		}
		for _, c := range copies {
			copied++
			for c.Tick() {
			}
			if c.Ticks != d.Ticks || c.Stop() != d.Stop() || c.Joints() != d.Joints() {
				t.Errorf("case %d: %v after %d ticks, its copy %v after %d", n, d.Stop(), d.Ticks, c.Stop(), c.Ticks)
			}
		}
	}
	if copied < 40 {
		t.Errorf("%d copies: the test says little", copied)
	}
}
