package jog_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// pace checks from tick to tick that a motion keeps to the bounds on its speed, acceleration and jerk.
type pace struct {
	jog          jog.Jog
	accel, speed float64
	v, a         float64
}

func newPace(j jog.Jog) pace {
	p := pace{jog: j, accel: jog.TurnAccel, speed: j.Speed}
	if j.Straight() {
		p.accel, p.speed = jog.PathAccel, math.Min(j.Speed, jog.ReducedSpeed)
	}
	return p
}

func (p *pace) tick(t rapid.TB, d *jog.Drive) {
	t.Helper()
	v, a := d.PathSpeed()
	if !d.Moving() {
		return // the last, shorter part of the profile ended within the tick
	}
	const rounding = 1 + 1e-6
	switch jerk := p.accel / jog.RampTime; {
	case v < -1e-9 || v > p.speed*rounding:
		t.Fatalf("%v: path speed %v of at most %v", p.jog, v, p.speed)
	case math.Abs(a) > p.accel*rounding || math.Abs(v-p.v) > p.accel*jog.Tick*rounding:
		t.Fatalf("%v: acceleration %v, from speed %v to %v, of at most %v", p.jog, a, p.v, v, p.accel)
	case math.Abs(a-p.a) > jerk*jog.Tick*rounding:
		t.Fatalf("%v: acceleration from %v to %v in a tick, jerk %v", p.jog, p.a, a, jerk)
	}
	p.v, p.a = v, a
}

// doubleS returns the time of a move from rest to rest by the closed form of the double-S profile with equal bounds
// both ways (Biagiotti and Melchiorri, Trajectory Planning for Automatic Machines and Robots, 2008, section 3.4.1, from
// memory), and how long the acceleration phase of it is.
func doubleS(way, v, a, j float64) (total, ramp float64) {
	ramp = v/a + a/j
	if v*j < a*a {
		ramp = 2 * math.Sqrt(v/j)
	}
	if way >= v*ramp {
		return way/v + ramp, ramp // the speed is reached: way/v of cruise, less what both ramps cover, plus both ramps
	}
	// It is not: both ramps to the highest speed u that the way allows, u·ramp(u) = way.
	if way >= 2*a*a*a/(j*j) {
		u := a * (-a/j + math.Sqrt(a*a/(j*j)+4*way/a)) / 2
		ramp = u/a + a/j
	} else {
		ramp = 2 * math.Cbrt(way/(2*j))
	}
	return 2 * ramp, ramp
}

// Steps take as long as the textbook says, to the ticks on which the profile's parts begin: three switches, each at
// most a tick late, and the last tick.
func TestStepsTakeTheTimeOfTheDoubleS(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		way := math.Exp(rapid.Float64Range(math.Log(0.01), math.Log(150)).Draw(t, "log way"))
		speed := rapid.Float64Range(1, jog.ReducedSpeed).Draw(t, "mm/s")
		d := jog.NewDrive(testArm(t), pen, kinematics.Joints{0, 0, 0, 0, 90 * degree, 0})
		j := jog.Jog{Direction: base(2, -1), Amount: way, Speed: speed}
		pace := newPace(j)
		stop := run(t, d, j, func() { pace.tick(t, d) })
		if stop.Reason != jog.Done {
			t.Fatal(stop)
		}
		want, _ := doubleS(way, speed, jog.PathAccel, jog.PathAccel/jog.RampTime)
		if took := float64(d.Ticks) * jog.Tick; took < want-1e-6 || took > want+4*jog.Tick {
			t.Fatalf("%v mm at %v mm/s took %v s, want %v", way, speed, took, want)
		}
	})
}

// A single joint keeps to its own acceleration where the arm file names one.
func TestAJointKeepsToItsOwnAcceleration(t *testing.T) {
	arm := *testArm(t)
	arm.Joints[0].Accel = 100 * degree
	d := jog.NewDrive(&arm, pen, kinematics.Joints{})
	j := jog.Jog{Direction: joint(0, 1), Amount: 60 * degree, Speed: 20 * degree}
	most := 0.0
	run(t, d, j, func() {
		_, a := d.PathSpeed()
		most = math.Max(most, math.Abs(a))
	})
	if want, _ := doubleS(60, 20, 100, 1000); math.Abs(float64(d.Ticks)*jog.Tick-want) > 4*jog.Tick {
		t.Errorf("took %v s, want %v", float64(d.Ticks)*jog.Tick, want)
	}
	if most > 100*degree*(1+1e-9) || most < 99*degree {
		t.Errorf("accelerated by %v °/s², want 100", most/degree)
	}
}

// The stopping distances that the constants' comment states, by the closed form and by the drive.
func TestStoppingDistances(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{0, 0, 0, 0, 90 * degree, 0})
	for _, c := range []struct{ speed, distance, time float64 }{
		{250, 43.75, 0.35}, // v·T/2, T = v/a + a/j
		{50, 50 * math.Sqrt(0.005), 2 * math.Sqrt(0.005)}, // T = 2·√(v/j)
		{5, 5 * math.Sqrt(0.0005), 2 * math.Sqrt(0.0005)},
	} {
		distance, time, err := d.LongestStop(jog.Jog{Direction: base(1, 1), Amount: math.Inf(1), Speed: c.speed})
		if err != nil || math.Abs(distance-c.distance) > 1e-12*c.distance || math.Abs(time-c.time) > 1e-12 {
			t.Errorf("from %v mm/s: %v mm in %v s, want %v in %v (%v)", c.speed, distance, time, c.distance, c.time, err)
		}
	}
}
