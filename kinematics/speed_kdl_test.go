package kinematics

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"
)

// BenchmarkBesideKDL reports how long forward with the Jacobian and the next pose of a jog take as parts of what Orocos KDL's
// C++ library takes for them (1.5, LGPL, Debian's liborocos-kdl-dev), both measured in the same run: its forward and Jacobian,
// and its iteration after Levenberg and Marquardt from the joints before. It is skipped where that or a C++ compiler is missing.
func BenchmarkBesideKDL(b *testing.B) {
	program := filepath.Join(b.TempDir(), "kdl")
	compile := exec.Command("g++", "-O3", "-DNDEBUG", "-I/usr/include/eigen3", "-o", program, "testdata/speed/kdl.cpp", "-lorocos-kdl")
	if out, err := compile.CombinedOutput(); err != nil {
		b.Skipf("no C++ compiler, or Orocos KDL is not installed (liborocos-kdl-dev): %v\n%.300s", err, out)
	}
	a := tabletop()
	r := rand.New(rand.NewPCG(1, 3))
	const poses = 256
	var qs [poses]Joints
	var next [poses]Pose
	var in bytes.Buffer
	line := func(v r3.Vec) { fmt.Fprintf(&in, "%.17g %.17g %.17g\n", v.X, v.Y, v.Z) }
	for _, j := range a.Joints {
		line(j.At)
		line(j.Axis)
	}
	line(a.Flange.Position)
	rows := a.Flange.Rotation.Transpose()
	line(rows.X)
	line(rows.Y)
	line(rows.Z)
	fmt.Fprintln(&in, poses)
	for i := range qs {
		for qs[i] = randomJoints(r); a.Singularity(qs[i], Identity).Smallest < 0.05; {
			qs[i] = randomJoints(r)
		}
		next[i] = a.Forward(qs[i])
		next[i].Position = r3.Add(next[i].Position, randomUnit(r)) // the 1 mm of a tick at 250 mm/s
		for _, x := range qs[i] {
			fmt.Fprintf(&in, "%.17g ", x)
		}
		line(next[i].Position)
	}
	least := func(run func(i int)) float64 {
		best := time.Hour
		for range 200 {
			start := time.Now()
			for i := range poses {
				run(i)
			}
			best = min(best, time.Since(start))
		}
		return float64(best.Nanoseconds()) / poses
	}
	var forward, track, kdlForward, kdlTrack float64
	for b.Loop() {
		kdl := exec.Command(program)
		kdl.Stdin = bytes.NewReader(in.Bytes())
		out, err := kdl.Output()
		if err != nil {
			b.Fatal(err)
		}
		if _, err := fmt.Sscan(string(out), &kdlForward, &kdlTrack); err != nil {
			b.Fatalf("%q: %v", out, err)
		}
		forward = least(func(i int) { a.Forward(qs[i]); a.Jacobian(qs[i], Identity) })
		track = least(func(i int) { a.Track(next[i], qs[i]) })
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(forward, "ns/forward+Jacobian")
	b.ReportMetric(forward/kdlForward, "of-KDL/forward+Jacobian")
	b.ReportMetric(track, "ns/track")
	b.ReportMetric(kdlTrack/track, "times-as-quick/track")
}
