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

// BenchmarkBesideKDL reports how long forward with the Jacobian and the next pose of a jog take beside what Orocos KDL's
// C++ library takes for them (1.5, LGPL, Debian's liborocos-kdl-dev), both measured in the same run: its forward and Jacobian,
// and its iterations from the joints before, to the same accuracy: Newton's method, with its two decompositions, and Levenberg and
// Marquardt's, with lengths in mm and in metres. Its damping begins with a fixed number, so that in metres it takes four times as many steps.
// It is skipped where KDL or a C++ compiler is missing.
//
// All of it is measured a few poses at a time, each few many times, of which the least counts. Iterations over all poses take 5 ms,
// longer than the system leaves a busy processor to one program: their least time once grew sevenfold with what others did.
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
	const few = 32
	mean := func(run func(i int)) float64 {
		sum := time.Duration(0)
		for k := 0; k < poses; k += few {
			best := time.Hour
			for range 300 {
				start := time.Now()
				for i := k; i < k+few; i++ {
					run(i)
				}
				best = min(best, time.Since(start))
			}
			sum += best
		}
		return float64(sum.Nanoseconds()) / poses
	}
	iterations := [6]string{"Newton-mm", "Newton-Givens-mm", "Marquardt-mm", "Newton-m", "Newton-Givens-m", "Marquardt-m"}
	var forward, track, kdlForward float64
	var kdlTrack [len(iterations)]float64
	for b.Loop() {
		kdl := exec.Command(program)
		kdl.Stdin = bytes.NewReader(in.Bytes())
		var complaints bytes.Buffer
		kdl.Stderr = &complaints
		out, err := kdl.Output()
		if err != nil {
			b.Fatal(err)
		}
		if complaints.Len() > 0 {
			b.Log(complaints.String())
		}
		numbers := []any{&kdlForward}
		for i := range kdlTrack {
			numbers = append(numbers, &kdlTrack[i])
		}
		if _, err := fmt.Sscan(string(out), numbers...); err != nil {
			b.Fatalf("%q: %v", out, err)
		}
		forward = mean(func(i int) { a.Forward(qs[i]); a.Jacobian(qs[i], Identity) })
		track = mean(func(i int) { a.Track(next[i], qs[i]) })
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(forward, "ns/forward+Jacobian")
	b.ReportMetric(forward/kdlForward, "of-KDL/forward+Jacobian")
	b.ReportMetric(track, "ns/track")
	for i, name := range iterations {
		b.ReportMetric(kdlTrack[i]/track, "times-as-quick-as/"+name)
	}
}
