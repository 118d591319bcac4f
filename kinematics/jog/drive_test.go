package jog_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// The accuracy every tick keeps (design, "what good is here").
const (
	onPath = 1e-6 // mm
	held   = 1e-9 // rad
)

// The first minute's lesson: with every joint at zero the wrist is straight, and a jog along Y cannot start.
func TestStraightWristRefusesY(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{})
	for _, sign := range []int{1, -1} {
		stop := run(t, d, jog.Jog{Direction: base(1, sign), Amount: 10, Speed: 50}, nil)
		if stop.Reason != jog.Singularity || stop.Kind != "wrist" {
			t.Fatalf("stopped by %q %q, want the wrist singularity", stop.Kind, stop.Reason)
		}
		if d.Joints() != (kinematics.Joints{}) {
			t.Errorf("the arm moved to %v", d.Joints())
		}
		// J4 must turn a quarter before the wrist can bend sideways at all.
		if stop.Joint != 3 || math.Abs(stop.Turn-90*degree) > 1*degree {
			t.Errorf("J%d would turn %.1f°, want J4 by 90°", stop.Joint+1, stop.Turn/degree)
		}
		if want := stop.Turn / jog.Tick; math.Abs(stop.Needed-want) > 1e-9 || stop.Allowed != 360*degree {
			t.Errorf("needed %v of %v rad/s, want %v of 360°/s", stop.Needed, stop.Allowed, want)
		}
	}
}

// After joint 5 is bent to 90° the same jog runs straight, and several joints work for it.
func TestBentWristRunsStraight(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{})
	if stop := run(t, d, jog.Jog{Direction: joint(4, 1), Amount: 90 * degree, Speed: 30 * degree}, nil); stop.Reason != jog.Done {
		t.Fatal(stop)
	}
	// Common practice, no source: bending joint 5 by 90° points a forward-looking tool straight down.
	if down := d.TCP().Rotation.Z; r3.Norm(r3.Sub(down, r3.Vec{Z: -1})) > 1e-12 {
		t.Errorf("the tool points along %v, want straight down", down)
	}
	ahead, err := d.Ahead(jog.Jog{Direction: base(1, 1), Amount: 100, Speed: 50})
	if err != nil {
		t.Fatal(err)
	}
	working := 0
	for _, share := range ahead.Share() {
		if share > 0.01 {
			working++
		}
	}
	if working < 3 {
		t.Errorf("joint shares %v: want several joints at work", ahead.Share())
	}
	stop := straight(t, d, jog.Jog{Direction: base(1, 1), Amount: 100, Speed: 50})
	if stop.Reason != jog.Done {
		t.Fatal(stop)
	}
	if d.Joints() != ahead.Joints {
		t.Error("the jog ended elsewhere than it was told ahead")
	}
}

// straight runs a jog and checks that every tick's TCP is on the line, at a pace it may have, its orientation held;
// or for a turn that the TCP is held and the axis kept.
func straight(t rapid.TB, d *jog.Drive, j jog.Jog, also ...func()) jog.Stop {
	t.Helper()
	from := d.TCP()
	axis := kinematics.NoRotation.Axis(j.Axis % 3)
	if j.Frame == jog.ToolFrame {
		axis = from.Rotation.Axis(j.Axis % 3)
	}
	axis = r3.Scale(float64(j.Sign), axis)
	last := 0.0
	before := d.Joints()
	pace := newPace(j)
	return run(t, d, j, func() {
		now := d.TCP()
		move, turn := from.Twist(now)
		along, off, other := 0.0, 0.0, 0.0
		if j.Straight() {
			along = r3.Dot(move, axis)
			off = r3.Norm(r3.Sub(move, r3.Scale(along, axis)))
			other = r3.Norm(turn)
			if off > onPath || other > held {
				t.Fatalf("%v: %.3g mm off the line, turned by %.3g rad", j.Direction, off, other)
			}
		} else {
			along = r3.Dot(turn, axis)
			off = r3.Norm(r3.Sub(turn, r3.Scale(along, axis)))
			if r3.Norm(move) > onPath || off > held {
				t.Fatalf("%v: TCP drifted %.3g mm, axis off by %.3g rad", j.Direction, r3.Norm(move), off)
			}
		}
		if math.Abs(along-d.Travel()) > 1e-6 {
			t.Fatalf("%v: is %.9g along its path, says %.9g", j.Direction, along, d.Travel())
		}
		pace.tick(t, d)
		if along < last-1e-7 { // a joint may be set on its limit from 2e-10 rad beyond it
			t.Fatalf("%v: went back from %.9g to %.9g", j.Direction, last, along)
		}
		last = along
		for i, limits := range d.Arm().Joints {
			q := d.Joints()[i]
			if q < limits.Min || q > limits.Max {
				t.Fatalf("%v: J%d at %.9g° is beyond its limits", j.Direction, i+1, q/degree)
			}
			if speed := math.Abs(q-before[i]) / jog.Tick; speed > limits.Speed*(1+1e-6) {
				t.Fatalf("%v: J%d turned at %.4g °/s of %.4g", j.Direction, i+1, speed/degree, limits.Speed/degree)
			}
		}
		before = d.Joints()
		for _, f := range also {
			f()
		}
	})
}

// joints draws joint angles within the limits.
func joints(t *rapid.T, arm *kinematics.Arm) (q kinematics.Joints) {
	for i, j := range arm.Joints {
		q[i] = rapid.Float64Range(j.Min, j.Max).Draw(t, j.Name)
	}
	return q
}

// cartesian draws one of the twelve directions of the base or the tool frame.
func cartesian(t *rapid.T) jog.Direction {
	return jog.Direction{
		Frame: rapid.SampledFrom([]jog.Frame{jog.BaseFrame, jog.ToolFrame}).Draw(t, "frame"),
		Axis:  rapid.IntRange(0, 5).Draw(t, "axis"),
		Sign:  rapid.SampledFrom([]int{-1, 1}).Draw(t, "sign"),
	}
}

func someJog(t *rapid.T, d jog.Direction) jog.Jog {
	if d.Straight() {
		return jog.Jog{Direction: d, Amount: rapid.Float64Range(0.1, 400).Draw(t, "mm"), Speed: rapid.Float64Range(20, 250).Draw(t, "mm/s")}
	}
	return jog.Jog{
		Direction: d,
		Amount:    rapid.Float64Range(0.1, 170).Draw(t, "deg") * degree,
		Speed:     rapid.Float64Range(10, 60).Draw(t, "deg/s") * degree,
	}
}

func TestEveryTickKeepsThePath(t *testing.T) {
	arm := testArm(t)
	rapid.Check(t, func(t *rapid.T) {
		d := jog.NewDrive(arm, pen, joints(t, arm))
		straight(t, d, someJog(t, cartesian(t)))
	})
}

func TestReversingReturnsToTheStart(t *testing.T) {
	arm := testArm(t)
	rapid.Check(t, func(t *rapid.T) {
		start := joints(t, arm)
		d := jog.NewDrive(arm, pen, start)
		j := someJog(t, cartesian(t))
		from := d.TCP()
		stop := straight(t, d, j)
		if stop.Travel == 0 {
			t.Skip("it did not move")
		}
		j.Sign, j.Amount = -j.Sign, stop.Travel
		if back := straight(t, d, j); back.Reason != jog.Done {
			t.Skip("it stopped at the edge of what the arm can do") // on the way back from a singular place
		}
		move, turn := from.Twist(d.TCP())
		if r3.Norm(move) > 1e-6 || r3.Norm(turn) > 1e-9 {
			t.Fatalf("came back %.3g mm and %.3g rad off", r3.Norm(move), r3.Norm(turn))
		}
	})
}

// Next to a straight wrist J4 turns ever faster, and the arm must go ever slower. It comes to rest in time, and each tick
// goes on along the path, also where J4 stands on its limit.
func TestTicksGoOnNextToTheStraightWrist(t *testing.T) {
	arm := testArm(t)
	for _, c := range []struct {
		from kinematics.Joints
		way  jog.Direction
	}{
		{kinematics.Joints{-1.075659387015063, 0, -1.4649057766818625, 195 * degree, 0.00011839364968044622, 4.125}, base(0, -1)},
		{kinematics.Joints{1.875, -0.042322400041088004, -1.9281800363704802, -0.625, 0.00017565408477841955, 1.623341444314705}, base(2, 1)},
		{kinematics.Joints{-0.5074115258940064, -1.1779109261645069, -2.5608012450818247, 195 * degree, -0.0008288091648285651, 0.2}, tool(4, 1)},
		{kinematics.Joints{1.269480453358514, 1.6509066811627895, 1.3656171840497304, -195 * degree, 0, 5.63840489182388}, base(0, 1)},
		{kinematics.Joints{-2.487801162684995, -0.5362000179920798, -0.5834206732880385, 195 * degree, 0, 2.75}, tool(1, 1)},
	} {
		c.from[3] = math.Min(math.Max(c.from[3], arm.Joints[3].Min), arm.Joints[3].Max) // degrees are rounded
		for _, speed := range []float64{25, 50, 100, 150, 200, 250} {
			j := jog.Jog{Direction: c.way, Amount: 15, Speed: speed}
			if !c.way.Straight() {
				j.Amount, j.Speed = 15*degree, speed/5*degree
			}
			d := jog.NewDrive(arm, pen, c.from)
			stop := straight(t, d, j)
			if stop.Travel == 0 {
				continue
			}
			j = j.Reversed()
			j.Amount = stop.Travel
			straight(t, d, j)
		}
	}
}

// With the tool's axes along the base's, a jog in either frame is the same motion.
func TestBaseAndToolAgreeWhenAligned(t *testing.T) {
	arm := testArm(t)
	aligned := kinematics.Pose{Rotation: arm.Flange.Rotation.Transpose()}
	start := kinematics.Joints{0.2, 0.3, -0.2, 0.1, 0.8, 0.4}
	// Turn the tool so that its axes lie along the base's at the start pose.
	aligned.Rotation = arm.Forward(start).Rotation.Transpose()
	for axis := range 6 {
		for _, sign := range []int{1, -1} {
			a, b := jog.NewDrive(arm, aligned, start), jog.NewDrive(arm, aligned, start)
			amount, speed := 20.0, 50.0
			if axis > 2 {
				amount, speed = 20*degree, 30*degree
			}
			run(t, a, jog.Jog{Direction: base(axis, sign), Amount: amount, Speed: speed}, nil)
			run(t, b, jog.Jog{Direction: tool(axis, sign), Amount: amount, Speed: speed}, nil)
			move, turn := a.TCP().Twist(b.TCP())
			if r3.Norm(move) > 1e-9 || r3.Norm(turn) > 1e-12 {
				t.Errorf("axis %d sign %d: ends %.3g mm and %.3g rad apart", axis, sign, r3.Norm(move), r3.Norm(turn))
			}
		}
	}
}

func TestJointLimitStopsOnTheLimit(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{})
	stop := run(t, d, jog.Jog{Direction: joint(1, 1), Amount: 200 * degree, Speed: 60 * degree}, nil)
	if stop.Reason != jog.JointLimit || stop.Joint != 1 || stop.Limit != 110*degree {
		t.Fatalf("%+v, want J2 at its limit of 110°", stop)
	}
	if gap := 110*degree - d.Joints()[1]; gap < 0 || gap > 1e-9 {
		t.Errorf("stands %.3g rad before the limit", gap)
	}
	again := run(t, d, jog.Jog{Direction: joint(1, 1), Amount: 5 * degree, Speed: 60 * degree}, nil)
	if again.Reason != jog.JointLimit || again.Travel > 1e-9 {
		t.Errorf("pushed on by %v rad: %s", again.Travel, again)
	}
	if back := run(t, d, jog.Jog{Direction: joint(1, -1), Amount: 5 * degree, Speed: 60 * degree}, nil); back.Reason != jog.Done {
		t.Errorf("cannot leave the limit: %s", back)
	}
}

func TestOutOfReachStopsWhereTheArmIsStraight(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{0, 0, 0, 0, 90 * degree, 0})
	stop := straight(t, d, jog.Jog{Direction: base(0, 1), Amount: 1000, Speed: 100})
	if stop.Reason != jog.OutOfReach {
		t.Fatal(stop)
	}
	// The wrist centre cannot be farther from joint 2 than the upper arm and the forearm laid end to end.
	wrist := r3.Sub(d.Arm().Forward(d.Joints()).Apply(r3.Vec{Z: -70}), d.Arm().Joints[1].At)
	longest := 270 + math.Hypot(280, 30)
	if short := longest - r3.Norm(wrist); short < 0 || short > 1e-3 {
		t.Errorf("stopped %.4g mm before the arm was straight", short)
	}
	if stop.Short <= 0 {
		t.Errorf("does not say how much too short the arm is: %s", stop)
	}
}

// A path that leads exactly through the straight wrist in the plane of the arm is allowed to.
func TestPassesThroughAStraightWristWhereThePathAllows(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{0, 0, 0, 0, 10 * degree, 0})
	stop := straight(t, d, jog.Jog{Direction: base(4, -1), Amount: 20 * degree, Speed: 30 * degree})
	if stop.Reason != jog.Done {
		t.Fatal(stop)
	}
	if q := d.Joints(); q[4] >= 0 || math.Abs(q[3]) > 1e-6 {
		t.Errorf("ended at %v, want joint 5 bent the other way and joint 4 still", q)
	}
}

// A path that passes close by the straight wrist slows down until joint 4 can follow, and stays on its line.
func TestSlowsNearTheStraightWrist(t *testing.T) {
	arm := testArm(t)
	d := jog.NewDrive(arm, pen, kinematics.Joints{0, 0, 0, 0, 20 * degree, 0})
	run(t, d, jog.Jog{Direction: base(5, 1), Amount: 2 * degree, Speed: 30 * degree}, nil)
	slowed := false
	stop := straight(t, d, jog.Jog{Direction: base(4, -1), Amount: 60 * degree, Speed: 60 * degree}, func() {
		slowed = slowed || d.Slowed == 3 || d.Slowed == 5
	})
	if stop.Reason != jog.Done {
		t.Fatal(stop)
	}
	if !slowed {
		t.Error("no joint slowed the path")
	}
}

// Reduced speed: neither TCP nor flange is faster than 250 mm/s, whatever is asked for (ISO 10218-1).
func TestReducedSpeedIsTheCeiling(t *testing.T) {
	arm := testArm(t)
	rapid.Check(t, func(t *rapid.T) {
		d := jog.NewDrive(arm, pen, joints(t, arm))
		direction := cartesian(t)
		if rapid.Bool().Draw(t, "joint frame") {
			direction = joint(rapid.IntRange(0, 5).Draw(t, "joint"), 1)
		}
		tcp, flange := d.TCP().Position, arm.Forward(d.Joints()).Position
		run(t, d, jog.Jog{Direction: direction, Amount: 1, Speed: 5000}, func() {
			nowTCP, nowFlange := d.TCP().Position, arm.Forward(d.Joints()).Position
			for _, moved := range []r3.Vec{r3.Sub(nowTCP, tcp), r3.Sub(nowFlange, flange)} {
				if speed := r3.Norm(moved) / jog.Tick; speed > jog.ReducedSpeed*(1+1e-6) {
					t.Fatalf("%v: %.3f mm/s", direction, speed)
				}
			}
			tcp, flange = nowTCP, nowFlange
		})
	})
}

func TestStepsEndExactly(t *testing.T) {
	for _, amount := range []float64{0.1, 1, 7.3, 100} {
		d := jog.NewDrive(testArm(t), pen, kinematics.Joints{0, 0, 0, 0, 90 * degree, 0})
		from := d.TCP().Position
		stop := run(t, d, jog.Jog{Direction: base(2, 1), Amount: amount, Speed: 37}, nil)
		if stop.Reason != jog.Done || stop.Travel != amount {
			t.Fatal(stop)
		}
		if off := math.Abs(d.TCP().Position.Z - from.Z - amount); off > 1e-9 {
			t.Errorf("a step of %g mm ends %.3g mm off", amount, off)
		}
	}
}

func TestSameJogsGiveTheSameMotion(t *testing.T) {
	trace := func() (all []kinematics.Joints) {
		d := jog.NewDrive(testArm(t), pen, kinematics.Joints{0, 0, 0, 0, 90 * degree, 0})
		for _, direction := range []jog.Direction{base(0, 1), tool(5, -1), joint(2, 1), base(1, -1)} {
			run(t, d, jog.Jog{Direction: direction, Amount: 0.5, Speed: 1}, func() { all = append(all, d.Joints()) })
		}
		return all
	}
	first, second := trace(), trace()
	for i := range first {
		if first[i] != second[i] {
			t.Fatalf("tick %d: %v and %v", i, first[i], second[i])
		}
	}
}

// A release, and a lost link the same way, brings the arm to rest on its path at the distance and in the time that
// were told before.
func TestReleaseAndLostLink(t *testing.T) {
	for _, end := range []struct {
		how  func(*jog.Drive)
		want jog.Reason
	}{{(*jog.Drive).Release, jog.Released}, {(*jog.Drive).LoseLink, jog.LinkLost}} {
		for _, ticks := range []int{1, 7, 30, 60, 200} {
			d := jog.NewDrive(testArm(t), pen, kinematics.Joints{0, 0, 0, 0, 90 * degree, 0})
			from := d.TCP().Position
			if err := d.Start(jog.Jog{Direction: base(1, 1), Amount: math.Inf(1), Speed: 50}); err != nil {
				t.Fatal(err)
			}
			for range ticks {
				d.Tick()
			}
			at := d.Travel()
			distance, time := d.StoppingDistance()
			end.how(d)
			more := 0
			for d.Tick() {
				more++
			}
			if got := d.Stop(); got.Reason != end.want || math.Abs(got.Travel-at-distance) > 1e-9 {
				t.Errorf("%+v, want %q after %v + %v mm", got, end.want, at, distance)
			}
			if took := float64(more+1) * jog.Tick; took < time-1e-9 || took > time+jog.Tick+1e-9 {
				t.Errorf("took %v s to rest, told %v", took, time)
			}
			if moved := r3.Sub(d.TCP().Position, from); math.Abs(moved.Y-d.Stop().Travel) > onPath || math.Hypot(moved.X, moved.Z) > onPath {
				t.Errorf("stands at %v, off the path", moved)
			}
			where := d.Joints()
			if d.Tick() || d.Joints() != where || d.Speeds != (kinematics.Joints{}) {
				t.Error("the arm moves after it came to rest")
			}
		}
	}
}

// However a hold ends: an arm that stands where it could not have gone on stopped for that reason, and where it has room for its own.
func TestWhereThereIsNoRoomThatIsWhyAHoldEnded(t *testing.T) {
	const noRoom = 0.05 // mm or degrees
	for _, hold := range []struct {
		name  string
		from  kinematics.Joints
		way   jog.Direction
		speed float64
		want  jog.Reason
	}{
		{"joint limit", kinematics.Joints{0, 0, 0, 0, 90 * degree, 0}, joint(4, 1), 0.5, jog.JointLimit},
		{"singularity", kinematics.Joints{60 * degree, -40 * degree, -50 * degree, 10 * degree, -40 * degree, -10 * degree}, base(2, 1), 100, jog.Singularity},
		{"end of reach", kinematics.Joints{0, 0, 0, 0, 20 * degree, 0}, base(0, 1), 100, jog.OutOfReach},
	} {
		t.Run(hold.name, func(t *testing.T) {
			held := jog.Jog{Direction: hold.way, Amount: math.Inf(1), Speed: hold.speed}
			start := func() *jog.Drive {
				d := jog.NewDrive(testArm(t), pen, hold.from)
				if err := d.Start(held); err != nil {
					t.Fatal(err)
				}
				return d
			}
			d, ticks := start(), 1
			for d.Tick() {
				ticks++
			}
			far := d.Stop()
			if far.Reason != hold.want {
				t.Fatalf("held to its end it stops so: %v", far)
			}
			stood := 0
			for tick := 1; tick < ticks; tick++ {
				for how, own := range map[string]jog.Reason{"let go": jog.Released, "its link lost": jog.LinkLost} {
					d := start()
					for range tick {
						d.Tick()
					}
					if own == jog.Released {
						d.Release()
					} else {
						d.LoseLink()
					}
					for d.Tick() {
					}
					got, want, left := d.Stop(), own, far.Travel-d.Travel()
					if !held.Straight() {
						left = kinematics.Degrees(left)
					}
					if left < noRoom {
						want = far.Reason
						stood++
					}
					if got.Reason != want || got.Joint != far.Joint && want == far.Reason {
						t.Fatalf("%s after tick %d of %d it stands %.3g from the end and says %v, want %s", how, tick, ticks, left, got, want)
					}
				}
			}
			if stood == 0 {
				t.Error("it never came to rest at the end: nothing was tested")
			}
		})
	}
}

func TestRefusesWhatIsNoJog(t *testing.T) {
	good := jog.Jog{Direction: base(0, 1), Amount: 1, Speed: 1}
	for name, spoil := range map[string]func(*jog.Jog){
		"frame":           func(j *jog.Jog) { j.Frame = "moon" },
		"axis":            func(j *jog.Jog) { j.Axis = 6 },
		"negative axis":   func(j *jog.Jog) { j.Axis = -1 },
		"sign":            func(j *jog.Jog) { j.Sign = 0 },
		"no amount":       func(j *jog.Jog) { j.Amount = 0 },
		"NaN amount":      func(j *jog.Jog) { j.Amount = math.NaN() },
		"no speed":        func(j *jog.Jog) { j.Speed = 0 },
		"NaN speed":       func(j *jog.Jog) { j.Speed = math.NaN() },
		"infinite speed":  func(j *jog.Jog) { j.Speed = math.Inf(1) },
		"negative amount": func(j *jog.Jog) { j.Amount = -1 },
	} {
		bad := good
		spoil(&bad)
		d := jog.NewDrive(testArm(t), pen, kinematics.Joints{})
		if err := d.Start(bad); err == nil || d.Moving() {
			t.Errorf("%s: accepted", name)
		}
	}
}
