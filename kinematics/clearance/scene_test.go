package clearance_test

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// everyPair measures all pairs of the scene that Smallest looks at, without leaving any out early, from the parts as
// they are given.
func everyPair(arm *kinematics.Arm, q kinematics.Joints, body []kinematics.Capsule, tool kinematics.Tool, things []clearance.Thing) map[string]float64 {
	type part struct {
		name  string
		place int
		zero  kinematics.Capsule
		now   kinematics.Capsule
	}
	links := arm.Links(q)
	var parts []part
	for i, c := range body {
		parts = append(parts, part{fmt.Sprintf("link %d capsule %d", c.Link, i), c.Link, c, moved(links[c.Link], c)})
	}
	for i, c := range tool.Body {
		parts = append(parts, part{fmt.Sprintf("tool capsule %d", i), 7, moved(arm.Flange, c), moved(arm.Forward(q), c)})
	}
	distances := map[string]float64{}
	for i, a := range parts {
		for _, b := range parts[:i] {
			if p := a.place - b.place; p > 1 || p < -1 {
				if clearance.BetweenCapsules(a.zero, b.zero).Distance > 1e-6 {
					distances[a.name+" to "+b.name] = clearance.BetweenCapsules(a.now, b.now).Distance
				}
			}
		}
		for k, thing := range things {
			if a.place > 0 {
				distances[fmt.Sprintf("%s to thing %d", a.name, k)] = clearance.Between(a.now, thing).Distance
			}
		}
	}
	return distances
}

func anyJoints(rng *rand.Rand, most float64) (q kinematics.Joints) {
	for k := range q {
		q[k] = (2*rng.Float64() - 1) * most
	}
	return q
}

func TestSmallestLeavesNothingOut(t *testing.T) {
	arm, scene := testScene(t)
	rng := rand.New(rand.NewPCG(5, 6))
	touching := 0
	for range 3000 {
		q := anyJoints(rng, 3)
		pair := scene.Smallest(arm.Links(q))
		want := math.Inf(1)
		for _, d := range everyPair(arm, q, testBody, testTool, testThings()) {
			want = min(want, d)
		}
		if !(math.Abs(pair.Distance-want) <= 1e-9) {
			t.Fatalf("joints %v: the smallest distance is %.15g between %s and %s, but one of all is %.15g",
				q, pair.Distance, pair.A.Name, pair.B.Name, want)
		}
		if pair.Distance < 0 {
			touching++
		}
	}
	if touching < 300 || touching > 2700 {
		t.Errorf("%d of 3000 postures touch; the test wants many of both kinds", touching)
	}
}

// The same, with random bodies and things in random places, among them every degenerate one.
func TestSmallestOfRandomScenes(t *testing.T) {
	arm := testArm(t)
	rapid.Check(t, func(t *rapid.T) {
		body := rapid.SliceOfN(capsules, 0, 6).Draw(t, "body")
		for i := range body {
			body[i].Link = rapid.IntRange(0, 6).Draw(t, "link")
		}
		tool := kinematics.Tool{Name: "tool", TCP: kinematics.Identity, Body: rapid.SliceOfN(capsules, 0, 3).Draw(t, "tool")}
		around := rapid.SliceOfN(things, 0, 6).Draw(t, "things")
		scene, err := clearance.NewScene(arm, body, tool, around)
		if err != nil {
			t.Fatal(err)
		}
		var q kinematics.Joints
		for k := range q {
			q[k] = rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "joint")
		}
		want := math.Inf(1)
		for _, d := range everyPair(arm, q, body, tool, around) {
			want = min(want, d)
		}
		got := scene.Smallest(arm.Links(q)).Distance
		if got != want && !(math.Abs(got-want) <= 1e-9) {
			t.Fatalf("the smallest distance is %.15g, but one of all is %.15g", got, want)
		}
	})
}

func TestSmallestNamesTheParts(t *testing.T) {
	arm := testArm(t)
	peg := clearance.Thing{Name: "peg", Shape: clearance.Sphere{Radius: 10}, Pose: at(560, 0, 240)}
	scene, err := clearance.NewScene(arm, testBody, testTool, []clearance.Thing{clearance.Floor(-1000), peg})
	if err != nil {
		t.Fatal(err)
	}
	// At zero the tool's tip is at (530, 0, 240): the flange's X axis points down.
	pair := scene.Smallest(arm.Links(kinematics.Joints{}))
	if want := (clearance.Part{Name: "glazing brush", Link: 6, Tool: true, Index: 1}); pair.A != want {
		t.Errorf("A is %+v, want %+v", pair.A, want)
	}
	if want := (clearance.Part{Name: "peg", Link: clearance.Outside, Index: 1}); pair.B != want {
		t.Errorf("B is %+v, want %+v", pair.B, want)
	}
	if math.Abs(pair.Distance-12) > 1e-9 || r3.Norm(r3.Sub(pair.OnA, vec(538, 0, 240))) > 1e-9 || r3.Norm(r3.Sub(pair.OnB, vec(550, 0, 240))) > 1e-9 {
		t.Errorf("the gap is %+v", pair.Gap)
	}

	// Joint 3 folds the forearm down against the upper arm.
	folded := scene.Smallest(arm.Links(kinematics.Joints{0, 0, 150 * degree, 0, 0, 0}))
	if folded.A.Name != "link 2" || folded.B.Name != "link 4" || folded.Distance > 0 {
		t.Errorf("folded, the nearest are %+v and %+v", folded.A, folded.B)
	}
}

func TestNothingToTouch(t *testing.T) {
	arm := testArm(t)
	scene, err := clearance.NewScene(arm, nil, kinematics.NoTool, nil)
	if err != nil {
		t.Fatal(err)
	}
	if pair := scene.Smallest(arm.Links(kinematics.Joints{})); !math.IsInf(pair.Distance, 1) {
		t.Errorf("with nothing to touch, the distance is %v", pair.Distance)
	}
	if move := scene.MaxMove(kinematics.Joints{}, kinematics.Joints{1, 1, 1, 1, 1, 1}); move != 0 {
		t.Errorf("with no capsules, they move %v", move)
	}
}

// Neighbours are left out, and so are links two apart that are drawn into each other at zero; these are listed.
func TestExcepted(t *testing.T) {
	arm := testArm(t)
	body := slices.Clone(testBody)
	body[6].From = vec(320, 0, 300) // link 6 begins at the wrist's centre, 30 from the end of link 4
	scene, err := clearance.NewScene(arm, body, kinematics.NoTool, nil)
	if err != nil {
		t.Fatal(err)
	}
	listed := scene.Excepted()
	if len(listed) != 1 || listed[0].A.Name != "link 4" || listed[0].B.Name != "link 6" || math.Abs(listed[0].Distance+30) > 1e-9 {
		t.Errorf("listed are %+v, want link 4 and link 6, 30 mm into each other", listed)
	}
	rng := rand.New(rand.NewPCG(7, 8))
	for range 1000 {
		pair := scene.Smallest(arm.Links(anyJoints(rng, 3)))
		if pair.B.Link-pair.A.Link < 2 || pair.A.Link == 4 && pair.B.Link == 6 {
			t.Fatalf("the nearest are %+v and %+v", pair.A, pair.B)
		}
	}
}

// What a link is made of touches nothing at zero, but the tool bent back by joint 6 alone can reach link 5.
func TestToolAgainstLink5(t *testing.T) {
	arm := testArm(t)
	tool := kinematics.Tool{Name: "hook", TCP: kinematics.Identity, Body: []kinematics.Capsule{
		{From: vec(60, 0, 0), To: vec(60, 0, -80), Radius: 10},
	}}
	body := []kinematics.Capsule{{Link: 5, From: vec(320, 0, 300), To: vec(320, 60, 300), Radius: 10}}
	scene, err := clearance.NewScene(arm, body, tool, nil)
	if err != nil {
		t.Fatal(err)
	}
	nearest := math.Inf(1)
	for angle := -180.0; angle <= 180; angle++ {
		nearest = min(nearest, scene.Smallest(arm.Links(kinematics.Joints{5: angle * degree})).Distance)
	}
	if math.Abs(nearest+20) > 1e-9 {
		t.Errorf("the hook comes as near as %v to link 5, want both radii deep", nearest)
	}
}

func TestRefused(t *testing.T) {
	arm := testArm(t)
	nan := math.NaN()
	tilted := kinematics.Identity
	tilted.Rotation.X = vec(1, 0.01, 0)
	thing := func(s clearance.Shape) []clearance.Thing {
		return []clearance.Thing{clearance.Floor(0), {Name: "crate", Shape: s, Pose: kinematics.Identity}}
	}
	for _, c := range []struct {
		name   string
		body   []kinematics.Capsule
		tool   []kinematics.Capsule
		things []clearance.Thing
		want   string
	}{
		{"no such link", []kinematics.Capsule{{Link: 7}}, nil, nil, "capsule 1 of the arm: there is no link 7"},
		{"radius", []kinematics.Capsule{{Link: 1, Radius: -1}}, nil, nil, "capsule 1 of the arm: its radius of -1 mm"},
		{"end", []kinematics.Capsule{{Link: 1, To: vec(0, nan, 0)}}, nil, nil, "capsule 1 of the arm: its ends"},
		{"tool", nil, []kinematics.Capsule{{}, {Radius: nan}}, nil, "capsule 2 of the tool brush: its radius of NaN mm"},
		{"too many", make([]kinematics.Capsule, 60), make([]kinematics.Capsule, 5), nil, "65 capsules, more than 64"},
		{"no shape", nil, nil, thing(nil), "thing 2, crate: it has no shape"},
		{"box", nil, nil, thing(clearance.Box{Size: vec(1, 2, -3)}), "thing 2, crate: its size along Z of -3 mm"},
		{"sphere", nil, nil, thing(clearance.Sphere{Radius: math.Inf(1)}), "thing 2, crate: its radius of +Inf mm"},
		{"cylinder", nil, nil, thing(clearance.Cylinder{Radius: 1, Height: 1e7}), "thing 2, crate: its height of 1e+07 mm"},
		{"far", nil, nil, []clearance.Thing{clearance.Floor(-1e9)}, "thing 1, floor: its position"},
		{"pose", nil, nil, []clearance.Thing{{Name: "x", Shape: clearance.HalfSpace{}, Pose: tilted}}, "thing 1, x: the axes of its pose"},
	} {
		_, err := clearance.NewScene(arm, c.body, kinematics.Tool{Name: "brush", Body: c.tool}, c.things)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: the error is %v, want one with %q", c.name, err, c.want)
		}
	}
}

func TestSmallestDoesNotAllocate(t *testing.T) {
	arm, scene := testScene(t)
	links := arm.Links(kinematics.Joints{0.1, 0.2, 0.3})
	if n := testing.AllocsPerRun(100, func() { sink += scene.Smallest(links).Distance }); n != 0 {
		t.Errorf("Smallest allocates %v times", n)
	}
}

// What is said of single pairs is what is said of all together.
func TestPairsOneByOne(t *testing.T) {
	arm, scene := testScene(t)
	rapid.Check(t, func(t *rapid.T) {
		var q, p kinematics.Joints
		for i := range q {
			q[i] = rapid.Float64Range(-3, 3).Draw(t, "from")
			p[i] = q[i] + rapid.Float64Range(-0.3, 0.3).Draw(t, "turn")
		}
		links := arm.Links(q)
		ids, distances := scene.Nearer(&links, math.Inf(1), nil, nil)
		smallest := scene.Smallest(links)
		least := 0
		for i := range ids {
			if distances[i] < distances[least] {
				least = i
			}
			if pair := scene.Pair(links, ids[i]); math.Abs(pair.Distance-distances[i]) > 1e-9 {
				t.Fatalf("%v: %v mm and %v mm", ids[i], pair.Distance, distances[i])
			}
		}
		if smallest.Distance != scene.Pair(links, ids[least]).Distance {
			t.Fatalf("the smallest is %v, and not %v", smallest.Distance, distances[least])
		}
		// Leaving out the nearest ones one by one.
		order := make([]int, len(ids))
		for i := range order {
			order[i] = i
		}
		slices.SortFunc(order, func(i, j int) int { return cmp.Compare(distances[i], distances[j]) })
		var out []clearance.PairID
		bodies := scene.NewBodies()
		bodies.Put(&links)
		for _, i := range order[:10] {
			id, d := clearance.NoPair, math.Inf(1)
			for group := range bodies.Groups() {
				if other, far := bodies.Nearest(group, out); far < d {
					id, d = other, far
				}
			}
			if d != distances[i] || id != ids[i] && distances[i] != distances[order[len(out)+1]] {
				t.Fatalf("without %d pairs: %v at %v mm, want %v at %v", len(out), id, d, ids[i], distances[i])
			}
			for k, other := range order[:len(out)] {
				if read := bodies.Distance(out[k]); read != distances[other] {
					t.Fatalf("%v mm of a pair that is left out, and not %v", read, distances[other])
				}
			}
			out = append(out, ids[i])
		}
		moving, turn := arm.Links(p), kinematics.Joints{}
		for i := range turn {
			turn[i] = math.Abs(p[i] - q[i])
		}
		then, moved := scene.Nearer(&moving, math.Inf(1), nil, nil)
		for i, id := range then {
			if change, bound := math.Abs(moved[i]-distances[i]), scene.MaxMoveOf(id, &turn); change > bound+1e-9 {
				t.Fatalf("pair %v changed by %v mm, more than %v", scene.Pair(links, id), change, bound)
			}
		}
	})
}
