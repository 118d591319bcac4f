package jog_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/internal/draws"
	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
)

// testBody are the capsules of testArm, testPen its tool: a handle and a tip of 3 mm radius that ends 3 mm short of
// the TCP, so that the TCP is the tip's outermost point.
var (
	testBody = []kinematics.Capsule{
		{Link: 0, From: r3.Vec{Z: -300}, To: r3.Vec{Z: -130}, Radius: 70},
		{Link: 1, From: r3.Vec{Z: -30}, To: r3.Vec{X: 40}, Radius: 60},
		{Link: 2, From: r3.Vec{X: 40}, To: r3.Vec{X: 40, Z: 270}, Radius: 45},
		{Link: 3, From: r3.Vec{X: 40, Y: -30, Z: 285}, To: r3.Vec{X: 40, Y: 30, Z: 285}, Radius: 45},
		{Link: 4, From: r3.Vec{X: 140, Z: 300}, To: r3.Vec{X: 260, Z: 300}, Radius: 30},
		{Link: 5, From: r3.Vec{X: 320, Y: -20, Z: 300}, To: r3.Vec{X: 320, Y: 20, Z: 300}, Radius: 32},
		{Link: 6, From: r3.Vec{X: 365, Z: 300}, To: r3.Vec{X: 368, Z: 300}, Radius: 22},
	}
	testPen = kinematics.Tool{Name: "pen", TCP: pen, Body: []kinematics.Capsule{
		{Link: 6, From: r3.Vec{Z: 12}, To: r3.Vec{Z: 80}, Radius: 12},
		{Link: 6, From: r3.Vec{Z: 80}, To: r3.Vec{Z: 117}, Radius: 3},
	}}
	bent = kinematics.Joints{0, 0, 0, 0, 90 * degree, 0} // the pen points straight down, its tip at X 320, Z 110
)

func place(x, y, z float64) kinematics.Pose {
	return kinematics.Pose{Position: r3.Vec{X: x, Y: y, Z: z}, Rotation: kinematics.NoRotation}
}

// inCell returns testArm with the pen among these things, which are given in the base frame.
func inCell(t rapid.TB, q kinematics.Joints, setDistance float64, things ...clearance.Thing) *jog.Drive {
	t.Helper()
	arm := testArm(t)
	scene, err := jog.Scene(arm, testBody, testPen, kinematics.Identity, things)
	if err != nil {
		t.Fatal(err)
	}
	d, err := jog.New(jog.Setup{Arm: arm, Tool: testPen, Mount: kinematics.Identity, Scene: scene, SetDistance: setDistance}, q)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// table is one whose top is at that height in the base frame.
func table(top float64) clearance.Thing {
	return clearance.Thing{Name: "table", Shape: clearance.Box{Size: r3.Vec{X: 500, Y: 800, Z: 400}}, Pose: place(400, 0, top-200)}
}

func nearest(t rapid.TB, d *jog.Drive) float64 {
	t.Helper()
	pair, ok := d.Clearance()
	if !ok {
		t.Fatal("there is nothing to touch")
	}
	return pair.Distance
}

// The pen's tip starts at a height of 110 mm; the table's top is at 50, by hand 60 mm below.
func TestContactStopsAtFirstTouch(t *testing.T) {
	for _, speed := range []float64{1, 50, 250} {
		for _, amount := range []float64{100, math.Inf(1)} {
			d := inCell(t, bent, 0, table(50))
			stop := run(t, d, jog.Jog{Direction: base(2, -1), Amount: amount, Speed: speed}, func() {
				if gap := nearest(t, d); gap < 0 {
					t.Fatalf("%.3g mm deep", -gap)
				}
			})
			if stop.Reason != jog.Contact || !stop.Crash() || stop.Began {
				t.Fatal(stop)
			}
			if math.Abs(stop.Travel-60) > 1e-6 || nearest(t, d) > 1e-6 {
				t.Errorf("stands after %.9f mm with %.3g mm of room, want 60 and none", stop.Travel, nearest(t, d))
			}
			if stop.Touch.A.Name != "pen" || stop.Touch.B.Name != "table" || r3.Norm(r3.Sub(stop.Touch.OnB, r3.Vec{X: 320, Z: 50})) > 1e-6 {
				t.Errorf("touches %+v", stop.Touch)
			}
			again := run(t, d, jog.Jog{Direction: base(2, -1), Amount: 1, Speed: speed}, nil)
			if again.Reason != jog.Contact || again.Travel > 1e-6 || !again.Began || nearest(t, d) < 0 {
				t.Errorf("pushed on: %+v", again)
			}
			if back := run(t, d, jog.Jog{Direction: base(2, 1), Amount: 10, Speed: 50}, nil); back.Reason != jog.Done {
				t.Errorf("cannot leave: %s", back)
			}
		}
	}
}

// The set distance brings the arm to rest at the set clearance, without a jump in speed.
func TestSetDistanceStopsBeforeContact(t *testing.T) {
	d := inCell(t, bent, 5, table(50))
	j := jog.Jog{Direction: base(2, -1), Amount: math.Inf(1), Speed: 250}
	pace := newPace(j)
	var last float64
	stop := run(t, d, j, func() {
		pace.tick(t, d)
		if d.Moving() {
			last, _ = d.PathSpeed()
		}
	})
	if stop.Reason != jog.SetDistance || stop.Crash() || math.Abs(stop.Travel-55) > 1e-6 || math.Abs(nearest(t, d)-5) > 1e-6 {
		t.Fatalf("%s: %.9f mm of room", stop, nearest(t, d))
	}
	if last > 2 {
		t.Errorf("still %v mm/s in the last tick", last)
	}
	if again := run(t, d, j, nil); again.Reason != jog.SetDistance || again.Travel > 1e-6 {
		t.Errorf("pushed on: %s", again)
	}
	// Along the table the clearance stays, so that is allowed.
	if along := run(t, d, jog.Jog{Direction: base(1, 1), Amount: 20, Speed: 50}, nil); along.Reason != jog.Done {
		t.Error(along)
	}
}

// A thing that is always inside the set distance, as a box at the arm's foot, does not weaken it for any other: the pen stops at the
// whole set distance above the table, and the foot may come no nearer to the box.
func TestTheSetDistanceIsKeptByEveryPair(t *testing.T) {
	post := clearance.Thing{Name: "post", Shape: clearance.Cylinder{Radius: 10, Height: 60}, Pose: place(0, 73, 0)} // 3 mm beside link 1
	for _, speed := range []float64{20, 250} {
		d := inCell(t, bent, 8, table(50), post)
		if gap := nearest(t, d); math.Abs(gap-3) > 1e-9 {
			t.Fatalf("the post is %v mm away, want 3", gap)
		}
		stop := run(t, d, jog.Jog{Direction: base(2, -1), Amount: math.Inf(1), Speed: speed}, nil)
		if stop.Reason != jog.SetDistance || stop.Touch.B.Name != "table" || stop.Began || math.Abs(stop.Travel-52) > 1e-6 || math.Abs(stop.Touch.Distance-8) > 1e-6 {
			t.Errorf("%s: went %v mm", stop, stop.Travel)
		}
		// Link 1 reaches out towards +X, so turning J1 brings it to the post.
		turn := run(t, d, jog.Jog{Direction: joint(0, 1), Amount: 30 * degree, Speed: 1}, nil)
		if turn.Reason != jog.SetDistance || turn.Touch.B.Name != "post" || math.Abs(turn.Touch.Distance-3) > 1e-6 {
			t.Errorf("towards the post: %s", turn)
		}
		back := run(t, d, jog.Jog{Direction: joint(0, -1), Amount: 10 * degree, Speed: 1}, nil)
		if back.Reason != jog.Done {
			t.Errorf("away from the post: %s", back)
		}
	}
}

// More pairs inside the set distance than have a floor of their own: none comes nearer all the same.
func TestManyPairsInsideTheSetDistance(t *testing.T) {
	var things []clearance.Thing
	for i := range 60 {
		angle := float64(i) * 6 * degree
		things = append(things, clearance.Thing{Name: "bead", Shape: clearance.Sphere{Radius: 2}, Pose: place(320+30*math.Cos(angle), 30*math.Sin(angle), 150)})
	}
	d := inCell(t, bent, 17, things...)
	before := nearest(t, d)
	stop := run(t, d, jog.Jog{Direction: base(0, 1), Amount: 10, Speed: 50}, func() {
		if gap := nearest(t, d); gap < before-1e-6 {
			t.Fatalf("%v mm, and %v before", gap, before)
		}
	})
	if stop.Reason != jog.SetDistance || !stop.Began {
		t.Error(stop)
	}
	if up := run(t, d, jog.Jog{Direction: base(2, 1), Amount: 30, Speed: 50}, nil); up.Reason != jog.Done {
		t.Error(up)
	}
}

// An arm that stands in contact, or inside the set distance, can go to where it has more room, and no deeper.
func TestStartingTooNear(t *testing.T) {
	for _, c := range []struct {
		name             string
		top, setDistance float64
		reason           jog.Reason
	}{
		{"tool in the table", 130, 0, jog.Contact},
		{"tool in the table, set distance", 130, 5, jog.Contact},
		{"inside the set distance", 107, 5, jog.SetDistance},
	} {
		d := inCell(t, bent, c.setDistance, table(c.top))
		before := nearest(t, d)
		down := run(t, d, jog.Jog{Direction: base(2, -1), Amount: 5, Speed: 50}, nil)
		if down.Reason != c.reason || down.Travel > 1e-6 || !down.Began || down.Crash() {
			t.Errorf("%s: %s", c.name, down)
		}
		last := before
		up := run(t, d, jog.Jog{Direction: base(2, 1), Amount: 60, Speed: 50}, func() {
			if gap := nearest(t, d); gap < math.Min(last, 5)-1e-6 {
				t.Fatalf("%s: the clearance fell from %v to %v", c.name, last, gap)
			} else {
				last = gap
			}
		})
		if up.Reason != jog.Done {
			t.Errorf("%s: cannot leave: %s", c.name, up)
		}
	}
}

// A wire of 0.02 mm across the path is not jumped over, however large the steps of the arm.
func TestNothingIsJumpedOver(t *testing.T) {
	wire := clearance.Thing{Name: "wire", Shape: clearance.Cylinder{Radius: 0.01, Height: 400}, Pose: kinematics.Pose{
		Position: r3.Vec{X: 320, Y: 37.123, Z: 130}, Rotation: kinematics.RotationAbout(r3.Vec{Y: 1}, 90*degree)}}
	d := inCell(t, bent, 0, wire)
	stop := run(t, d, jog.Jog{Direction: base(1, 1), Amount: 100, Speed: 250}, nil)
	// The tip's radius and the wire's, by hand.
	if want := 37.123 - 3.01; stop.Reason != jog.Contact || math.Abs(stop.Travel-want) > 1e-6 {
		t.Fatalf("%s, want contact after %v mm", stop, want)
	}
}

// A contact that is only grazed is seen where it is deeper than 2e-5 mm, however the strides fall: with the arm stretched out the tip, of
// 3 mm radius, turns past a wire of 0.02 mm beyond it, into which it dips by hardly more than that. By hand it touches where the wire's
// axis is 3.01 mm from the middle of the tip. A wire that it hardly misses stops nothing.
func TestWhatIsGrazedIsSeen(t *testing.T) {
	r := rand.New(rand.NewPCG(draws.Seed(), 91))
	stretched := kinematics.Joints{0, 90 * degree, -90 * degree, 0, 0, 0}
	tip := inCell(t, stretched, 0).TCP().Position
	out := tip.X - 3 // of the middle of the tip
	for range 400 {
		deep, around := 2.001e-5+1e-5*r.Float64(), 0.05+0.4*r.Float64()
		wire := clearance.Thing{Name: "wire", Shape: clearance.Cylinder{Radius: 0.01, Height: 40}}
		beyond := func(deep float64) *jog.Drive {
			at := out + 3.01 - deep
			wire.Pose = place(at*math.Cos(around), at*math.Sin(around), tip.Z)
			return inCell(t, stretched, 0, wire)
		}
		j := jog.Jog{Direction: joint(0, 1), Amount: 0.5, Speed: 0.02 + 0.3*r.Float64()}
		stop := run(t, beyond(deep), j, nil)
		// The triangle of axis 1, the middle of the tip and the wire.
		at := out + 3.01 - deep
		want := around - math.Acos((out*out+at*at-3.01*3.01)/(2*out*at))
		if stop.Reason != jog.Contact || math.Abs(stop.Travel-want) > 1e-6 {
			t.Errorf("a wire %.9g rad around, grazed %.3g mm deep: %v; by hand it touches after %.9g rad", around, deep, stop, want)
		}
		if stop := run(t, beyond(-1e-6), j, nil); stop.Reason != jog.Done {
			t.Errorf("a wire %.9g rad around, missed by 1e-6 mm: %v", around, stop)
		}
	}
}

// Two things that overlap each other are no concern of the arm's.
func TestThingsMayOverlap(t *testing.T) {
	d := inCell(t, bent, 0, table(50), table(45))
	if stop := run(t, d, jog.Jog{Direction: base(2, -1), Amount: 100, Speed: 250}, nil); stop.Reason != jog.Contact || math.Abs(stop.Travel-60) > 1e-6 {
		t.Fatal(stop)
	}
}

// someThings draws a cell of up to so many boxes, cylinders and spheres in the arm's reach.
func someThings(t *rapid.T, most int) (things []clearance.Thing) {
	for range rapid.IntRange(0, most).Draw(t, "things") {
		size := func(what string) float64 { return rapid.Float64Range(5, 120).Draw(t, what) }
		var shape clearance.Shape
		switch rapid.IntRange(0, 2).Draw(t, "shape") {
		case 0:
			shape = clearance.Box{Size: r3.Vec{X: size("x"), Y: size("y"), Z: size("z")}}
		case 1:
			shape = clearance.Cylinder{Radius: size("r") / 2, Height: size("h")}
		default:
			shape = clearance.Sphere{Radius: size("r") / 2}
		}
		angle := func(what string) float64 { return rapid.Float64Range(-3, 3).Draw(t, what) }
		far, around := rapid.Float64Range(250, 600).Draw(t, "far"), angle("around")
		things = append(things, clearance.Thing{Name: "block", Shape: shape, Pose: kinematics.Pose{
			Position: r3.Vec{X: far * math.Cos(around), Y: far * math.Sin(around), Z: rapid.Float64Range(-300, 500).Draw(t, "height")},
			Rotation: kinematics.FixedXYZ(angle("rx"), angle("ry"), angle("rz")),
		}})
	}
	return things
}

// somewhere draws one of the twelve directions of any frame that needs no name.
func somewhere(t *rapid.T) jog.Direction {
	return jog.Direction{
		Frame: rapid.SampledFrom([]jog.Frame{jog.JointFrame, jog.BaseFrame, jog.WorldFrame, jog.ToolFrame}).Draw(t, "frame"),
		Axis:  rapid.IntRange(0, 5).Draw(t, "axis"),
		Sign:  rapid.SampledFrom([]int{-1, 1}).Draw(t, "sign"),
	}
}

// What the room to move says is what happens when one drives there, at any speed, and nothing is ever penetrated.
func TestRoomIsWhatHappens(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		setDistance := rapid.SampledFrom([]float64{0, 0, 3, 20}).Draw(t, "set distance")
		q := joints(t, testArm(t))
		roomIsWhatHappens(t, inCell(t, q, setDistance, someThings(t, 8)...))
	})
}

// The same for arms of all forms, with bodies of capsules, in any pose and cell.
func TestRoomIsWhatHappensToAnyArm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		arm, body := randomArm(t)
		scene, err := jog.Scene(arm, body, kinematics.NoTool, kinematics.Identity, someThings(t, 6))
		if err != nil {
			t.Fatal(err)
		}
		around := jog.Setup{Arm: arm, Tool: kinematics.NoTool, Mount: kinematics.Identity, Scene: scene}
		around.SetDistance = rapid.SampledFrom([]float64{0, 0, 3, 20}).Draw(t, "set distance")
		q := joints(t, arm)
		if rapid.Bool().Draw(t, "special") {
			q = specialStart(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 72)), arm)
		}
		d, err := jog.New(around, q)
		if err != nil {
			t.Fatal(err)
		}
		roomIsWhatHappens(t, d)
	})
}

// roomIsWhatHappens drives in some direction as far as that goes. No pair may come nearer than the set distance or, where it begins
// nearer, than it began, until the two have been clear of the set distance.
func roomIsWhatHappens(t *rapid.T, d *jog.Drive) {
	way := somewhere(t)
	speed := rapid.Float64Range(20, 250).Draw(t, "mm/s")
	if !way.Straight() {
		speed = rapid.Float64Range(10, 60).Draw(t, "deg/s") * degree
	}
	room := roomIn(t, d, way, speed)
	amount := math.Inf(1)
	if room.Endless {
		amount = room.Free
	}
	setup := d.Setup()
	distances := func() ([]clearance.PairID, []float64) {
		links := d.Arm().Links(d.Joints())
		return setup.Scene.Nearer(&links, math.Inf(1), nil, nil)
	}
	_, least := distances()
	for i := range least {
		least[i] = math.Min(least[i], setup.SetDistance)
	}
	stop := run(t, d, jog.Jog{Direction: way, Amount: amount, Speed: speed}, func() {
		pairs, now := distances()
		for i, gap := range now {
			if gap < least[i]-1e-6 {
				pair := setup.Scene.Pair(d.Arm().Links(d.Joints()), pairs[i])
				t.Fatalf("%v: %s and %s are %v mm apart, nearer than %v", way, pair.A.Name, pair.B.Name, gap, least[i])
			}
			if gap > setup.SetDistance+1e-3 {
				least[i] = setup.SetDistance
			}
		}
	})
	exact := 0.1
	if !way.Straight() {
		exact = 0.01 * degree
	}
	want := room.Stop.Reason
	if room.Endless {
		want = jog.Done
	}
	if math.Abs(stop.Travel-room.Free) > exact || stop.Reason != want {
		t.Fatalf("%v: room of %v until %s, but went %v until %s", way, room.Free, room.Stop, stop.Travel, stop)
	}
	if stop.Touch.A != room.Stop.Touch.A || stop.Touch.B != room.Stop.Touch.B || stop.Joint != room.Stop.Joint {
		t.Fatalf("%v: room until %s, but went until %s", way, room.Stop, stop)
	}
}

// A survey in the smallest pieces finds what one in a single piece finds, whatever the arm does meanwhile.
func TestASurveyGoesOnWhereItWasLeft(t *testing.T) {
	d := inCell(t, bent, 5, footed()...)
	speeds := jog.Speeds{Straight: 50, Turn: 0.5}
	whole, err := d.Survey(jog.BaseFrame, "", speeds)
	if err != nil {
		t.Fatal(err)
	}
	for !whole.Advance(1 << 30) {
	}
	pieces, _ := d.Survey(jog.BaseFrame, "", speeds)
	if err := d.Start(jog.Jog{Direction: base(2, 1), Amount: 50, Speed: 50}); err != nil {
		t.Fatal(err)
	}
	calls := 1
	for ; !pieces.Advance(1); calls++ {
		d.Tick()
	}
	if pieces.Rooms() != whole.Rooms() || pieces.Joints != bent || calls < 100 {
		t.Errorf("in %d pieces %+v, at once %+v", calls, pieces.Rooms(), whole.Rooms())
	}
	if _, err := d.Survey(jog.TaskFrames, "moon", speeds); err == nil {
		t.Error("there is no such task frame")
	}
}
