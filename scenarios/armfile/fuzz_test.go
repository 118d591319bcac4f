package armfile_test

import (
	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// An arm file is refused with problems at their places, or gives an arm whose answers are numbers and right.
func FuzzArmFile(f *testing.F) {
	for _, id := range []string{"wren", "curlew", "plover"} {
		text, err := os.ReadFile("../arms/" + id + ".yaml")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte(`name: A
mount_height_mm: 0
flange: {at_mm: [1, 0, 0], rotation_deg: [0, 90, 0]}
joints:
- {name: a, at_mm: [0, 0, 0], axis: [0, 0, 1], limits_deg: [-180, 180], speed_deg_s: 90}
- {name: b, at_mm: [0, 0, 0], axis: [0, 1, 0], limits_deg: [-180, 180], speed_deg_s: 90}
- {name: c, at_mm: [0, 0, 0], axis: [0, 1, 1e-4], limits_deg: [-180, 180], speed_deg_s: 90}
- {name: d, at_mm: [1e5, 0, 0], axis: [1, 0, 0], limits_deg: [-3600, 3600], speed_deg_s: 90}
- {name: e, at_mm: [1e-5, 0, 0], axis: [0, -1e-5, 0], limits_deg: [-1, 1], speed_deg_s: 90}
- {name: f, at_mm: [0, 0, 0], axis: [1, 0, 0], limits_deg: [-180, 180], speed_deg_s: 90}
`))
	f.Fuzz(func(t *testing.T, text []byte) {
		arm, err := armfile.Parse("arm.yaml", text)
		if err != nil {
			problems, ok := err.(form.Errors)
			if !ok || len(problems) == 0 {
				t.Fatalf("%T, not a list of problems: %v", err, err)
			}
			return
		}
		g := arm.Geometry
		q := kinematics.Joints{0.3, -0.5, 0.7, -0.2, 0.9, -1.1}
		flange := g.Forward(q)
		// A length in the file may be 100 m, where the last digit is a hundred times that at 1 m.
		size := 1000 + r3.Norm(flange.Position)
		for _, j := range g.Joints {
			size = math.Max(size, r3.Norm(j.At))
		}
		for _, s := range g.Inverse(nil, flange, q) {
			move, turn := g.Forward(s.Joints).Twist(flange)
			if !(r3.Norm(move) <= 1e-9*size && r3.Norm(turn) <= 1e-9) {
				t.Errorf("%s: %v is %v mm and %v rad off", g.Solver(), s.Joints, move, turn)
			}
		}
		if s := g.Singularity(q, kinematics.Identity); !(s.Smallest >= 0) {
			t.Errorf("%s: %+v", g.Solver(), s)
		}
		if short := g.OutOfReach(flange, q); !(short >= 0) {
			t.Errorf("%s: out of reach by %v", g.Solver(), short)
		}
	})
}
