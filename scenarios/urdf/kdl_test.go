package urdf_test

import (
	"fmt"
	"math"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"handrule/internal/reference"
	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/urdf"
)

// kdlTrees is testdata/urdf/trees.json, whose fields generate.cpp beside it describes.
type kdlTrees struct {
	Source string `json:"source"`
	Trees  []struct {
		Text   string   `json:"text"`
		Base   string   `json:"base"`
		Tip    string   `json:"tip"`
		Joints []string `json:"joints"`
		Poses  []struct {
			Q   kinematics.Joints `json:"q"`
			Tip [12]float64       `json:"tip"`
		} `json:"poses"`
	} `json:"trees"`
}

// Where Orocos KDL puts the tip of a random tree, the arm that is read from the same text, written as an arm file and read
// again puts its flange, to 1e-9 of its size.
func TestTreesStandAsKDLSays(t *testing.T) {
	var all kdlTrees
	reference.Read(t, "urdf/trees.json", &all)
	if len(all.Trees) < 200 {
		t.Fatalf("only %d trees", len(all.Trees))
	}
	worst, read := 0.0, 0
	for n, tree := range all.Trees {
		arm, _, err := urdf.Parse("tree.urdf", []byte(tree.Text), urdf.Options{Base: tree.Base, Tip: tree.Tip, Out: "z", AsWritten: true})
		if err != nil {
			if !strings.Contains(err.Error(), "an arm that is singular in every pose") {
				t.Errorf("tree %d: %v", n, err)
			}
			continue
		}
		read++
		if arm, err = armfile.Parse("tree.yaml", arm.Text()); err != nil {
			t.Fatalf("tree %d: %v", n, err)
		}
		for i, j := range arm.Geometry.Joints {
			if j.Name != tree.Joints[i] {
				t.Errorf("tree %d: joint %d is %s, KDL has %s", n, i+1, j.Name, tree.Joints[i])
			}
		}
		for _, p := range tree.Poses {
			got := arm.Geometry.Forward(p.Q)
			for i := range 3 {
				p.Tip[i] *= 1000 // KDL counts in metres
			}
			off := reference.Off(got.Position, got.Rotation.Matrix(), p.Tip)
			worst = math.Max(worst, off)
			if !(off <= 1e-9) {
				t.Errorf("tree %d: at %v the flange is off by %.2g", n, p.Q, off)
			}
		}
	}
	t.Logf("%d trees, at most %.2g off", read, worst)
	if read < 200 {
		t.Errorf("only %d trees are arms", read)
	}
}

// The committed values are what the generator writes.
func TestKDLGenerator(t *testing.T) {
	probe := exec.Command("g++", "-I/usr/include/eigen3", "-fsyntax-only", "-x", "c++", "-")
	probe.Stdin = strings.NewReader("#include <kdl_parser/kdl_parser.hpp>\n#include <urdf_parser/urdf_parser.h>\n")
	if probe.Run() != nil {
		reference.Skip(t, "needs g++ and the packages libkdl-parser-dev and liburdfdom-dev to make the reference values anew")
	}
	program := filepath.Join(t.TempDir(), "generate")
	build := exec.Command("g++", "-O0", "-std=c++17", "-I/usr/include/eigen3", "../../testdata/urdf/generate.cpp", "-lkdl_parser", "-lorocos-kdl", "-lurdfdom_model", "-o", program)
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %v\n%s", build.Args, err, out)
	}
	text, err := exec.Command(program).Output()
	if err != nil {
		t.Fatal(err)
	}
	var made, kept kdlTrees
	reference.Unmarshal(t, text, &made)
	reference.Read(t, "urdf/trees.json", &kept)
	if len(made.Trees) != len(kept.Trees) {
		t.Fatalf("the generator writes %d trees, the file has %d", len(made.Trees), len(kept.Trees))
	}
	for i := range made.Trees {
		a, b := made.Trees[i], kept.Trees[i]
		for p := range a.Poses {
			for k := range a.Poses[p].Tip {
				if math.Abs(a.Poses[p].Tip[k]-b.Poses[p].Tip[k]) > 1e-10 {
					t.Errorf("tree %d, pose %d: the generator writes %v, the file has %v", i, p, a.Poses[p].Tip, b.Poses[p].Tip)
					break
				}
			}
		}
		a.Poses, b.Poses = nil, nil
		if fmt.Sprint(a) != fmt.Sprint(b) {
			t.Errorf("tree %d differs", i)
		}
	}
}
