package jog_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/draws"
	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
)

// limited is testArm with one joint's limit moved to an angle that it comes to with that sign, and the others far away.
func limited(t *testing.T, joint int, sign, angle float64) *kinematics.Arm {
	joints := testArm(t).Joints
	for i := range joints {
		joints[i].Min, joints[i].Max = -50, 50
	}
	switch {
	case sign > 0:
		joints[joint].Max = angle
	case sign < 0:
		joints[joint].Min = angle
	}
	arm, err := kinematics.New(joints, testArm(t).Flange)
	if err != nil {
		t.Fatal(err)
	}
	return arm
}

// ended is how a jog ended, where, and how the joints moved last.
type ended struct {
	stop   jog.Stop
	q      kinematics.Joints
	tcp    kinematics.Pose
	speeds kinematics.Joints
	gap    clearance.Pair
}

func endOf(t *testing.T, arm *kinematics.Arm, q kinematics.Joints, j jog.Jog, things ...clearance.Thing) (e ended) {
	setup := jog.Setup{Arm: arm, Tool: testPen, Mount: kinematics.Identity}
	if len(things) > 0 {
		var err error
		if setup.Scene, err = jog.Scene(arm, nil, testPen, kinematics.Identity, things); err != nil {
			t.Fatal(err)
		}
	}
	d, err := jog.New(setup, q)
	if err != nil {
		t.Fatal(err)
	}
	e.stop = run(t, d, j, func() {
		if d.Moving() {
			e.speeds = d.Speeds
		}
	})
	e.q, e.tcp = d.Joints(), d.TCP()
	e.gap, _ = d.Clearance()
	return e
}

// Of what ends a jog the nearest along the path is told and, of several at the same place, the first of: joint limit, contact,
// singularity or end of reach. A limit is set where a joint is when something else ends the jog, or a thing where the tip then is;
// and both a little before that and after it.
func TestOfSeveralThingsTheNearestIsTold(t *testing.T) {
	told := map[jog.Reason]int{}
	seed := draws.Seed()
	free := limited(t, 0, 0, 0)
	touching := 0
	for n := range 50 {
		r := rand.New(rand.NewPCG(seed, uint64(n)))
		q := specialStart(r, testArm(t))
		if n%2 == 0 {
			for i, j := range testArm(t).Joints {
				q[i] = j.Min + r.Float64()*(j.Max-j.Min)
			}
		}
		way := jog.Direction{Frame: []jog.Frame{jog.BaseFrame, jog.ToolFrame}[r.IntN(2)], Axis: r.IntN(3), Sign: 1 - 2*r.IntN(2)}
		j := jog.Jog{Direction: way, Amount: math.Inf(1), Speed: 50}
		first := endOf(t, free, q, j)
		if s := first.stop; s.Travel < 5 || s.Reason != jog.Singularity && s.Reason != jog.OutOfReach {
			continue // it goes nowhere
		}
		ahead := r3.Unit(r3.Sub(first.tcp.Position, free.Forward(q).Mul(pen).Position))
		ball := func(beyond float64) clearance.Thing {
			at := r3.Sub(first.tcp.Position, r3.Scale(3, first.tcp.Rotation.Z)) // the middle of the pen's tip
			return clearance.Thing{Name: "ball", Shape: clearance.Sphere{Radius: 2}, Pose: kinematics.Pose{Position: r3.Add(at, r3.Scale(5+beyond, ahead)), Rotation: kinematics.NoRotation}}
		}
		expect := func(what string, e ended, reason jog.Reason, travel, within float64) {
			told[e.stop.Reason]++
			if e.stop.Reason != reason || math.Abs(e.stop.Travel-travel) > within {
				t.Errorf("seed %d, case %d: %s: %v, %.3g mm apart, %.3g mm further, not %v after %.9g; without it %v at %.12g°", seed, n, what, e.stop, e.gap.Distance, e.stop.Travel-travel, reason, travel, first.stop, first.q.Degrees())
			}
		}
		// A thing. Where the joints race to the end of reach, that is found to a millionth of a millimetre.
		const same = 2e-6
		touch := endOf(t, free, q, j, ball(-same))
		if touch.stop.Reason == jog.Contact && touch.stop.Travel < first.stop.Travel-1e-4 {
			continue // another part of the tool touches it before
		}
		expect("a ball there", touch, jog.Contact, first.stop.Travel, 2*same)
		// At the very place, where contact is as near as it need come.
		for _, beyond := range []float64{-1e-7, 1e-7, 2e-7, 3e-7} {
			if e := endOf(t, free, q, j, ball(beyond)); e.gap.Distance < 4.5e-7 {
				touching++
				expect("a ball at the very place", e, jog.Contact, first.stop.Travel, 2*same)
			}
		}
		expect("a ball before", endOf(t, free, q, j, ball(-0.01)), jog.Contact, first.stop.Travel-0.01, 1e-4)
		expect("a ball after", endOf(t, free, q, j, ball(0.01)), first.stop.Reason, first.stop.Travel, same)
		// A limit of the joint that moves most.
		most := 0
		for i, speed := range first.speeds {
			if math.Abs(speed) > math.Abs(first.speeds[most]) {
				most = i
			}
		}
		sign := first.speeds[most]
		if math.Abs(sign) < 0.01 {
			continue
		}
		there := limited(t, most, sign, first.q[most])
		if e := endOf(t, there, q, j); math.Abs(e.q[most]-first.q[most]) < 1e-6 { // else it does not quite stand at it
			expect("a limit there", e, jog.JointLimit, first.stop.Travel, 1e-4)
		}
		expect("a limit after", endOf(t, limited(t, most, sign, first.q[most]+math.Copysign(0.05, sign)), q, j), first.stop.Reason, first.stop.Travel, same)
		// Both, half way, where no joint races.
		if touch.stop.Reason != jog.Contact {
			continue
		}
		half := j
		half.Amount = first.stop.Travel / 2
		middle := endOf(t, free, q, half)
		half.Amount += 0.5
		beyond := endOf(t, free, q, half)
		for i := range q {
			if math.Abs(beyond.q[i]-middle.q[i]) > math.Abs(beyond.q[most]-middle.q[most]) {
				most = i
			}
		}
		both := limited(t, most, beyond.q[most]-middle.q[most], middle.q[most])
		expect("a limit and a ball half way", endOf(t, both, q, j, ball(-first.stop.Travel/2)), jog.JointLimit, first.stop.Travel/2, same)
	}
	if t.Log(told, touching); touching < 10 {
		t.Errorf("%d ends in contact at the very place of another reason: the test says little", touching)
	}
	for _, reason := range []jog.Reason{jog.JointLimit, jog.Contact, jog.Singularity, jog.OutOfReach} {
		if told[reason] < 3 {
			t.Errorf("%d ends by %s only: the test says little", told[reason], reason)
		}
	}
}
