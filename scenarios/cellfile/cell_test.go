package cellfile_test

import (
	"fmt"
	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// armsFor are the arms that each shipped cell is meant for.
var armsFor = map[string][]string{
	"glazing-bench": {"wren", "plover"},
	"wall-mount":    {"wren", "plover"},
	"ceiling-mount": {"wren", "plover"},
	"tilted-stand":  {"wren", "plover"},
	"bench-rail":    {"wren", "plover"},
}

// forEachCell calls the test for every shipped cell with every arm that it is meant for, and every tool.
func forEachCell(t *testing.T, test func(t *testing.T, c *cellfile.Cell, arm *armfile.Arm, tool kinematics.Tool, scene *clearance.Scene)) {
	for _, c := range scenarios.ShippedCells() {
		for _, name := range armsFor[c.ID] {
			arm, err := scenarios.OpenArm(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, tool := range append(c.ToolsFor(arm), kinematics.NoTool) {
				scene, err := c.Scene(arm, tool)
				if err != nil {
					t.Fatal(err)
				}
				t.Run(c.ID+"/"+name+"/"+tool.Name, func(t *testing.T) { test(t, c, arm, tool, scene) })
			}
		}
	}
}

func TestShippedCellsAreClearAtTheZeroPose(t *testing.T) {
	forEachCell(t, func(t *testing.T, c *cellfile.Cell, arm *armfile.Arm, tool kinematics.Tool, scene *clearance.Scene) {
		if pair := scene.Smallest(arm.Geometry.Links(kinematics.Joints{})); !(pair.Distance > 15) {
			t.Errorf("%s is %.1f mm from %s", pair.A.Name, pair.Distance, pair.B.Name)
		}
		if contacts := c.Contacts(arm, tool, kinematics.Joints{}); len(contacts) > 0 {
			t.Error(contacts)
		}
		if len(c.Notes) > 0 {
			t.Error(c.Notes)
		}
		if len(c.Tasks) == 0 || c.About == "" {
			t.Error("a shipped cell has a task frame and says what it is")
		}
	})
}

// A lesson can use the task frames: every pen, brush, cup and sponge can point down onto each from 10 mm above, at its
// origin and 60 mm on along X and along Y, without touching anything.
func TestTaskFramesOfShippedCellsAreWithinReach(t *testing.T) {
	forEachCell(t, func(t *testing.T, c *cellfile.Cell, arm *armfile.Arm, tool kinematics.Tool, scene *clearance.Scene) {
		if tool.Name == kinematics.NoTool.Name {
			t.Skip("the bare flange draws nothing")
		}
		base := c.Base(arm).Inverse()
		for _, frame := range c.Tasks {
			for _, at := range []r3.Vec{{Z: 10}, {X: 60, Z: 10}, {Y: 60, Z: 10}} {
				if !reachable(c, arm, tool, scene, base.Mul(frame.Pose), at) {
					t.Errorf("the TCP cannot be at %v in task frame %s", at, frame.Name)
				}
			}
		}
	})
}

// reachable reports whether the tool can point along -Z of the frame with its TCP at the point, turned any way about that.
func reachable(c *cellfile.Cell, arm *armfile.Arm, tool kinematics.Tool, scene *clearance.Scene, frame kinematics.Pose, at r3.Vec) bool {
	for turn := 0; turn < 360; turn += 15 {
		down := kinematics.FixedXYZ(math.Pi, 0, kinematics.Radians(float64(turn)))
		tcp := frame.Mul(kinematics.Pose{Position: at, Rotation: down})
		for _, s := range arm.Geometry.Inverse(nil, tcp.Mul(tool.TCP.Inverse()), kinematics.Joints{}) {
			if s.WithinLimits && scene.Smallest(arm.Geometry.Links(s.Joints)).Distance > 0 {
				return true
			}
		}
	}
	return false
}

// Ordinary poses, in which people work with an arm of this form: the forearm not folded back against the upper arm or the
// base; the wrist anywhere, but for the parallel arm's, which is bent outwards. Common practice, no source.
func TestArmsDoNotTouchThemselvesInOrdinaryPoses(t *testing.T) {
	for id, ranges := range map[string][6][2]float64{
		"wren":   {{}, {-60, 60}, {-90, 30}, {-195, 195}, {-120, 120}, {-90, 90}},
		"curlew": {{}, {-60, 60}, {-90, 30}, {-185, 185}, {-125, 125}, {-90, 90}},
		"plover": {{}, {-90, 100}, {-120, 40}, {-180, 180}, {0, 180}, {-90, 90}},
	} {
		arm, err := scenarios.OpenArm(id)
		if err != nil {
			t.Fatal(err)
		}
		for _, tool := range append([]kinematics.Tool{kinematics.NoTool}, arm.Tools...) {
			scene, err := clearance.NewScene(arm.Geometry, arm.Body, tool, nil)
			if err != nil {
				t.Fatal(err)
			}
			for _, pair := range scene.Excepted() {
				t.Errorf("%s: %s and %s overlap at the zero pose", id, pair.A.Name, pair.B.Name)
			}
			for _, q := range grid(ranges, 7) {
				if pair := scene.Smallest(arm.Geometry.Links(q)); !(pair.Distance > 0) {
					t.Errorf("%s at %.0f°: %s is %.1f mm inside %s", id, q.Degrees(), pair.A.Name, -pair.Distance, pair.B.Name)
					break
				}
			}
		}
	}
}

// grid returns joint angles in steps over ranges in degrees.
func grid(ranges [6][2]float64, steps int) []kinematics.Joints {
	all := []kinematics.Joints{{}}
	for k, r := range ranges {
		if r[0] == r[1] {
			continue
		}
		var more []kinematics.Joints
		for _, q := range all {
			for i := range steps + 1 {
				q[k] = kinematics.Radians(r[0] + (r[1]-r[0])*float64(i)/float64(steps))
				more = append(more, q)
			}
		}
		all = more
	}
	return all
}

// Where the base frame is in the world, by hand: 300 mm along where the mount's Z points.
func TestTheBaseFrameIsTheMountRaised(t *testing.T) {
	wren, err := scenarios.OpenArm("wren")
	if err != nil {
		t.Fatal(err)
	}
	half := math.Sqrt(3) / 2
	for id, want := range map[string]struct{ at, x, z r3.Vec }{
		"glazing-bench": {r3.Vec{Z: 300}, r3.Vec{X: 1}, r3.Vec{Z: 1}},
		"wall-mount":    {r3.Vec{X: 300, Z: 1500}, r3.Vec{Z: -1}, r3.Vec{X: 1}},
		"ceiling-mount": {r3.Vec{X: 600, Z: 1400}, r3.Vec{X: 1}, r3.Vec{Z: -1}},
		"bench-rail":    {r3.Vec{Y: 400, Z: 1000}, r3.Vec{X: 1}, r3.Vec{Z: 1}},
		"tilted-stand":  {r3.Vec{X: 150, Z: 500 + 300*half}, r3.Vec{X: half, Z: -0.5}, r3.Vec{X: 0.5, Z: half}},
	} {
		c, err := scenarios.OpenCell(id)
		if err != nil {
			t.Fatal(err)
		}
		base := c.Base(wren)
		for _, v := range [][2]r3.Vec{{base.Position, want.at}, {base.Rotation.X, want.x}, {base.Rotation.Z, want.z}} {
			if !(r3.Norm(r3.Sub(v[0], v[1])) < 1e-9) {
				t.Errorf("%s: %v, want %v", id, v[0], v[1])
			}
		}
	}
}

// A cell moved as a whole, mount and things together, is the same to its arm.
func TestOnlyTheMountAndTheThingsTogetherCount(t *testing.T) {
	arm := scenarios.ShippedArms()[0]
	bench := scenarios.ShippedCells()[0]
	moved := *bench
	move := kinematics.Pose{Position: r3.Vec{X: 700, Y: -300, Z: 1200}, Rotation: kinematics.FixedXYZ(0.3, -1.1, 2)}
	moved.Mount = move.Mul(bench.Mount)
	moved.Things = slices.Clone(bench.Things)
	for i := range moved.Things {
		moved.Things[i].Pose = move.Mul(moved.Things[i].Pose)
	}
	here, err := bench.Scene(arm, arm.Tools[0])
	if err != nil {
		t.Fatal(err)
	}
	there, err := moved.Scene(arm, arm.Tools[0])
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range []kinematics.Joints{{}, {1, 0.5, 0, 1, 1, 1}, {-0.8, 0.9, 0.2, 0, 0.7, 0}} {
		links := arm.Geometry.Links(q)
		a, b := here.Smallest(links), there.Smallest(links)
		if !(math.Abs(a.Distance-b.Distance) < 1e-9) || a.B.Name != b.B.Name {
			t.Errorf("%v: %v to %s, and %v to %s", q, a.Distance, a.B.Name, b.Distance, b.B.Name)
		}
	}
}

const yard = `name: Yard
things:
  - {name: floor, at_mm: [0, 0, -150], facing: [0, 0, 2]}
  - {name: slope, at_mm: [-900, 0, 0], facing: [3, 0, 4]}
  - {name: crate, at_mm: [500, 0, 0], rotation_deg: [0, 0, 90], box_mm: [100, 200, 300]}
  - {name: drum, at_mm: [0, 900, 0], radius_mm: 50, length_mm: 80}
  - {name: ball, at_mm: [0, -900, 0], radius_mm: 50}
task_frames:
  - {name: crate-top, at_mm: [500, 0, 150], rotation_deg: [0, 0, 90]}
tools:
  - {name: chalk, tcp_mm: [0, 0, 50]}
`

func TestEveryShapeOfThing(t *testing.T) {
	c, err := cellfile.Parse("yard.yaml", []byte(yard))
	if err != nil {
		t.Fatal(err)
	}
	shapes := []clearance.Shape{clearance.HalfSpace{}, clearance.HalfSpace{}, clearance.Box{Size: r3.Vec{X: 100, Y: 200, Z: 300}},
		clearance.Cylinder{Radius: 50, Height: 80}, clearance.Sphere{Radius: 50}}
	for i, want := range shapes {
		if c.Things[i].Shape != want {
			t.Errorf("%s is %#v", c.Things[i].Name, c.Things[i].Shape)
		}
	}
	out := c.Things[1].Pose.Rotation
	if r3.Norm(r3.Sub(out.Z, r3.Vec{X: 0.6, Z: 0.8})) > 1e-15 || r3.Norm(r3.Sub(r3.Cross(out.X, out.Y), out.Z)) > 1e-15 {
		t.Errorf("the slope faces %v", out)
	}
	if y := c.Things[2].Pose.Rotation.Y; r3.Norm(r3.Sub(y, r3.Vec{X: -1})) > 1e-15 {
		t.Errorf("the crate's Y points along %v", y)
	}
	if c.Mount != kinematics.Identity || len(c.Notes) != 0 || c.Tasks[0].Name != "crate-top" || c.Tools[0].Name != "chalk" {
		t.Errorf("%+v", c)
	}
}

func TestBadCellFilesSayWhereAndWhat(t *testing.T) {
	many := "things:\n" + strings.Repeat("  - {name: a, at_mm: [0, 0, 0], radius_mm: 1}\n", 101)
	for _, test := range []struct{ old, new, says string }{
		{"things:", "thnigs:", `bad.yaml:2:1: cell: unknown field "thnigs"; did you mean "things"`},
		{"name: Yard\n", "", "bad.yaml:1:1: cell: name is missing"},
		{"box_mm: [100", "boxmm: [100", `bad.yaml:5:65: thing 3: unknown field "boxmm"; did you mean "box_mm"`},
		{"[100, 200, 300]", "[100, 200]", "bad.yaml:5:73: thing 3: box_mm must be 3 numbers [x, y, z], not 2"},
		{"[100, 200, 300]", "[100, -200, 300]", "thing 3: box_mm must be three lengths more than 0, not -200"},
		{"box_mm: [100, 200, 300]", "box_mm: [100, 200, 300], radius_mm: 5", "bad.yaml:5:5: thing 3 must have one shape"},
		{"radius_mm: 50, length_mm: 80", "length_mm: 80", "thing 4 must have one shape"},
		{", radius_mm: 50}", "}", "thing 5 must have one shape"},
		{"radius_mm: 50}", "radius_mm: 1e9}", "thing 5: radius_mm must be more than 0 and at most 100000"},
		{"facing: [3, 0, 4]", "facing: [0, 0, 0]", "thing 2: facing must have a direction"},
		{"facing: [3, 0, 4]", "facing: [3, 0, 4], rotation_deg: [0, 0, 0]", "thing 2: rotation_deg does not go with facing"},
		{"name: drum", "name: ball", `bad.yaml:7:12: thing 5: name "ball" is taken already, on line 6`},
		{"[500, 0, 150]", "[500, .inf, 150]", "task frame 1: at_mm, number 2, must be a number"},
		{"crate-top", "crate top", `task frame 1: name must be one word of letters, digits and hyphens, such as "tile-stand", not "crate top"`},
		{"crate-top", "World", `task frame 1: name must not be "World", which is another frame`},
		{"tools:", "  - {name: crate-top, at_mm: [0, 0, 0]}\ntools:", `bad.yaml:10:12: task frame 2: name "crate-top" is taken already, on line 9`},
		{"chalk", "none", "tool 1: name must not be"},
		{"things:", "mount: {at_m: [0, 0, 0]}\nthings:", `mount: unknown field "at_m"; did you mean "at_mm"`},
		{"things:", "mount: up\nthings:", `bad.yaml:2:8: mount must be fields (at_mm), not "up"`},
		{yard, "name: A\n" + many, "bad.yaml:3:3: there are 101 things; 100 are plenty"},
		{yard, "name: A\nthings: {}\n", "bad.yaml:2:9: cell: things must be a list"},
	} {
		_, err := cellfile.Parse("bad.yaml", []byte(strings.Replace(yard, test.old, test.new, 1)))
		if err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("want %q in\n%v", test.says, err)
		}
	}
	_, err := cellfile.Parse("bad.yaml", []byte(strings.NewReplacer("length_mm: 80", "length_mm: -1", "crate-top", "crate/top").Replace(yard)))
	if problems, ok := err.(form.Errors); !ok || len(problems) != 2 || problems[0].Line != 6 || problems[1].Line != 9 {
		t.Errorf("want problems on lines 6 and 9:\n%v", err)
	}
}

// What a file may say but hardly means is told at its place, and the cell is read.
func TestThingsInOnePlaceAreNoted(t *testing.T) {
	for _, test := range []struct{ old, new, says string }{
		{"[0, 900, 0]", "[500, 80, 0]", "6:5: note: drum and crate are in one place: a ball of 10.0 mm radius fits into both"},
		{"box_mm: [100, 200, 300]", "box_mm: [100, 200, 340]", "5:5: note: crate and floor are in one place: a ball of 10.0 mm radius"},
		{"things:", "mount: {at_mm: [0, 0, -170]}\nthings:", "4:5: note: the mount is 20.0 mm inside floor"},
	} {
		c, err := cellfile.Parse("yard.yaml", []byte(strings.Replace(yard, test.old, test.new, 1)))
		if err != nil {
			t.Fatal(err)
		}
		if len(c.Notes) != 1 || !strings.Contains(c.Notes[0].Error(), test.says) {
			t.Errorf("want %q in\n%v", test.says, c.Notes)
		}
	}
	heap := strings.Builder{}
	heap.WriteString("name: Heap\nthings:\n")
	for i := range 100 {
		fmt.Fprintf(&heap, "  - {name: t%d, at_mm: [%d, 0, 0], box_mm: [1000, 1e5, 0.001]}\n", i, i)
	}
	c, err := cellfile.Parse("heap.yaml", []byte(heap.String()))
	if err != nil || len(c.Things) != 100 {
		t.Errorf("%v", err)
	}
}

func TestAnArmInAThingIsTold(t *testing.T) {
	// Wren's pen is at (390…507, 0, 600) in the world, its base on the ground.
	text := strings.Replace(yard, "[500, 0, 0]", "[500, 0, 600]", 1)
	text = strings.Replace(text, "[0, 900, 0]", "[60, 0, 100]", 1)
	c, err := cellfile.Parse("yard.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	told := strings.Join(c.Standing(scenarios.ShippedArms()[0]), "\n")
	for _, says := range []string{"at the zero pose, Wren with tool pen: pen is ", " mm inside crate", "link 0 is ", " mm inside drum", "Wren with tool chalk"} {
		if !strings.Contains(told, says) {
			t.Errorf("want %q in\n%s", says, told)
		}
	}
}

func TestACellsToolStandsInForTheArms(t *testing.T) {
	c := &cellfile.Cell{Tools: []kinematics.Tool{{Name: "brush"}, {Name: "hook"}}}
	var names []string
	for _, tool := range c.ToolsFor(scenarios.ShippedArms()[0]) {
		names = append(names, fmt.Sprint(tool.Name, len(tool.Body)))
	}
	if got := strings.Join(names, " "); got != "pen2 brush0 hook0" {
		t.Error(got)
	}
}

func TestOpenCell(t *testing.T) {
	if _, err := scenarios.OpenCell("glazing-bensh"); err == nil || !strings.Contains(err.Error(), `no cell "glazing-bensh" ships with handrule; did you mean "glazing-bench"`) {
		t.Error(err)
	}
}

// A carriage moves the base along the rail and nothing else, within its travel, and not through a thing.
func TestTheCarriageOfARail(t *testing.T) {
	cell, err := scenarios.OpenCell("bench-rail")
	if err != nil {
		t.Fatal(err)
	}
	wren, err := scenarios.OpenArm("wren")
	if err != nil {
		t.Fatal(err)
	}
	there, err := cell.Slide(wren, wren.Tools[0], kinematics.Joints{}, 1700)
	if err != nil {
		t.Fatal(err)
	}
	if at := there.Base(wren); at.Position != (r3.Vec{Y: 1700, Z: 1000}) || at.Rotation != cell.Base(wren).Rotation || cell.Rail.At != 400 {
		t.Errorf("the base is at %v", at)
	}
	for _, outside := range []float64{199, 1801, math.NaN(), math.Inf(1)} {
		if _, err := cell.OnRail(outside); err == nil || !strings.Contains(err.Error(), "from 200 mm to 1800 mm") {
			t.Errorf("%v: %v", outside, err)
		}
	}
	// Bent down beside the pots, the pen would run into the first of them, whose far side ends at Y 1060.
	down := kinematics.Pose{Position: r3.Vec{X: 400, Z: -240}, Rotation: kinematics.FixedXYZ(math.Pi, 0, 0)}
	ways := wren.Geometry.Inverse(nil, down.Mul(wren.Tools[0].TCP.Inverse()), kinematics.Joints{})
	if len(ways) == 0 {
		t.Fatal("out of reach")
	}
	low := ways[0].Joints
	if contacts := cell.Contacts(wren, wren.Tools[0], low); len(contacts) > 0 {
		t.Fatal(contacts)
	}
	for _, to := range []float64{1000, 1700} {
		if _, err := cell.Slide(wren, wren.Tools[0], low, to); err == nil || !strings.Contains(err.Error(), "would touch the slip pot") {
			t.Errorf("to %v: %v", to, err)
		}
	}
	glazing := scenarios.ShippedCells()[0]
	if _, err := glazing.OnRail(0); err == nil {
		t.Error("a bolted mount moved")
	}
}

func TestBadRails(t *testing.T) {
	for _, c := range []struct{ rail, says string }{
		{"{along: [0, 0, 0], travel_mm: [0, 100], at_mm: 0}", "rail: along must have a direction"},
		{"{along: [0, 1, 0], travel_mm: [100, 0], at_mm: 0}", "rail: travel_mm must be two places, the smaller first"},
		{"{along: [0, 1, 0], travel_mm: [0, 100], at_mm: 101}", "rail: at_mm must be within the travel, from 0 to 100, not 101"},
		{"{along: [0, 1, 0], travel_mm: [0, 100]}", "at_mm is missing"},
		{"{along: [0, 1, 0], travel_mm: [0], at_mm: 1}", "must be 2 numbers [from, to]"},
		{"7", "rail"},
	} {
		_, err := cellfile.Parse("c.yaml", []byte("name: C\nthings: []\nmount: {at_mm: [0, 0, 0], rail: "+c.rail+"}\n"))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: want %q in %v", c.rail, c.says, err)
		}
	}
}
