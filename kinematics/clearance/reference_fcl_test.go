package clearance_test

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/reference"
	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

const fcl = "../../testdata/fcl"

// fclGap is one case of testdata/fcl/gaps.json, whose fields generate.cpp beside it describes.
type fclGap struct {
	Shape    string     `json:"shape"`
	Size     []float64  `json:"size"`
	At       [3]float64 `json:"at"`
	Turn     [4]float64 `json:"turn"`
	Capsule  [2]float64 `json:"capsule"`
	Place    [3]float64 `json:"place"`
	Way      [4]float64 `json:"way"`
	On       []float64  `json:"on"`
	How      string     `json:"how"`
	Distance float64    `json:"distance"`
}

func fclGaps(t testing.TB, text []byte) []fclGap {
	t.Helper()
	var file struct {
		Source string   `json:"source"`
		Gaps   []fclGap `json:"gaps"`
	}
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&file); err != nil {
		t.Fatal(err)
	}
	if len(file.Gaps) < 800 {
		t.Fatalf("there are %d cases, fewer than 800", len(file.Gaps))
	}
	return file.Gaps
}

func readFCL(t testing.TB) []fclGap {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(fcl, "gaps.json"))
	if err != nil {
		t.Fatal(err)
	}
	return fclGaps(t, text)
}

func pose(at [3]float64, turn [4]float64) kinematics.Pose {
	q := quat.Number{Real: turn[0], Imag: turn[1], Jmag: turn[2], Kmag: turn[3]}
	q = quat.Scale(1/quat.Abs(q), q)
	rotated := func(v r3.Vec) r3.Vec { return r3.Rotation(q).Rotate(v) }
	return kinematics.Pose{
		Position: r3.Vec{X: at[0], Y: at[1], Z: at[2]},
		Rotation: kinematics.Rotation{X: rotated(r3.Vec{X: 1}), Y: rotated(r3.Vec{Y: 1}), Z: rotated(r3.Vec{Z: 1})},
	}
}

// upright returns the capsule of this length and radius along the Z axis of the pose, about its origin.
func upright(p kinematics.Pose, length, radius float64) kinematics.Capsule {
	return kinematics.Capsule{
		From: p.Apply(r3.Vec{Z: -length / 2}), To: p.Apply(r3.Vec{Z: length / 2}), Radius: radius,
	}
}

func (g fclGap) capsule() kinematics.Capsule {
	return upright(pose(g.Place, g.Way), g.Capsule[0], g.Capsule[1])
}

// gap returns what this package makes of the case; the thing is empty where the other is a capsule.
func (g fclGap) gap(t testing.TB) (clearance.Gap, clearance.Thing) {
	t.Helper()
	thing := clearance.Thing{Name: g.Shape, Pose: pose(g.At, g.Turn)}
	switch g.Shape {
	case "capsule":
		return clearance.BetweenCapsules(g.capsule(), upright(thing.Pose, g.Size[0], g.Size[1])), clearance.Thing{}
	case "sphere":
		thing.Shape = clearance.Sphere{Radius: g.Size[0]}
	case "box":
		thing.Shape = clearance.Box{Size: r3.Vec{X: g.Size[0], Y: g.Size[1], Z: g.Size[2]}}
	case "cylinder":
		thing.Shape = clearance.Cylinder{Radius: g.Size[0], Height: g.Size[1]}
	case "halfspace":
		thing.Shape = clearance.HalfSpace{}
	default:
		t.Fatalf("the reference has a shape %q that this test does not know", g.Shape)
	}
	return clearance.Between(g.capsule(), thing), thing
}

// Where FCL has a closed form, both agree to rounding, however deep the overlap. Where it iterates, it is good to its
// own tolerance: apart, its nearest points are some pair of points, so its distance is never too small; overlapping,
// its depth is the shortest move that separates, which is this package's depth while the capsule's axis is outside,
// and at least as much once it is inside.
func TestFCL(t *testing.T) {
	seen := map[string]int{}
	for i, g := range readFCL(t) {
		got, thing := g.gap(t)
		state := "apart"
		switch {
		case g.Distance < -g.Capsule[1] && g.Shape != "capsule":
			state = "deep"
		case g.Distance < 0:
			state = "shallow"
		}
		seen[g.Shape+" "+g.How+" "+state]++
		low, high := -1e-11, 1e-11
		if g.How == "iterated" {
			switch state {
			case "apart":
				low = -1e-7
			case "shallow":
				low, high = -1e-8, 1e-8
			case "deep":
				low, high = -1e-8, -g.Capsule[1]-g.Distance+1e-8 // up to the radius: the axis is inside
			}
		}
		if off := got.Distance - g.Distance; off < low || off > high {
			t.Errorf("case %d, %+v: distance %.15g, off by %g", i, g, got.Distance, off)
		}
		if len(g.On) == 0 {
			continue
		}
		// Iterated points are good to the root of the tolerance only, and no check of ours.
		if g.How == "closed" {
			onA, onB := vec(g.On[0], g.On[1], g.On[2]), vec(g.On[3], g.On[4], g.On[5])
			if d := r3.Norm(r3.Sub(onA, got.OnA)); d > 1e-10 {
				t.Errorf("case %d, %+v: point on the capsule is %v, off by %g", i, g, got.OnA, d)
			}
			if d := r3.Norm(r3.Sub(onB, got.OnB)); d > 1e-10 {
				t.Errorf("case %d, %+v: point on the %s is %v, off by %g", i, g, thing.Name, got.OnB, d)
			}
		}
	}
	for _, kind := range []string{
		"capsule closed apart", "capsule closed shallow", "sphere closed apart", "sphere closed shallow",
		"sphere closed deep", "halfspace closed apart", "halfspace closed shallow", "halfspace closed deep",
		"box closed apart", "box closed shallow", "box closed deep",
		"cylinder closed apart", "cylinder closed shallow", "cylinder closed deep",
		"box iterated apart", "box iterated shallow", "box iterated deep",
		"cylinder iterated apart", "cylinder iterated shallow", "cylinder iterated deep",
	} {
		if seen[kind] < 5 {
			t.Errorf("the reference has only %d cases of %s", seen[kind], kind)
		}
	}
}

// The committed values are what the generator writes, to the last digits that another FCL or compiler may change.
func TestFCLGenerator(t *testing.T) {
	compiler, err := exec.LookPath("g++")
	if err != nil {
		reference.Skip(t, "needs g++ to make the reference values anew")
	}
	program := filepath.Join(t.TempDir(), "generate")
	build := exec.Command(compiler, "-O1", "-std=c++17", "-I/usr/include/eigen3", filepath.Join(fcl, "generate.cpp"), "-lfcl", "-lccd", "-o", program)
	probe := exec.Command(compiler, "-I/usr/include/eigen3", "-fsyntax-only", "-x", "c++", "-")
	probe.Stdin = strings.NewReader("#include <fcl/config.h>\n#include <Eigen/Core>\n")
	if probe.Run() != nil {
		reference.Skip(t, "needs the package libfcl-dev to make the reference values anew")
	}
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %v\n%s", build.Args, err, out)
	}
	text, err := exec.Command(program).Output()
	if err != nil {
		t.Fatal(err)
	}
	made, kept := fclGaps(t, text), readFCL(t)
	if len(made) != len(kept) {
		t.Fatalf("the generator writes %d cases, the file has %d", len(made), len(kept))
	}
	for i := range made {
		a, b := made[i], kept[i]
		tolerance := 1e-11
		if a.How == "iterated" {
			tolerance = 1e-6
		}
		if math.Abs(a.Distance-b.Distance) > tolerance {
			t.Errorf("case %d: the generator writes the distance %v, the file has %v", i, a.Distance, b.Distance)
		}
		a.On, a.Distance, b.On, b.Distance = nil, 0, nil, 0
		if !reflect.DeepEqual(a, b) {
			t.Errorf("case %d: the generator writes %+v, the file has %+v", i, a, b)
		}
	}
}
