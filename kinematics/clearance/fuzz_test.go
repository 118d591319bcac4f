package clearance_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// Whatever a scene accepts, it answers with a number, and with the right one. Sizes of nothing, ends on one point,
// numbers at the edge of what floats can hold: all of them are tried from the start.
func FuzzBetween(f *testing.F) {
	f.Add(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
	f.Add(0.0, 0.0, 0.0, 100.0, 0.0, 0.0, 0.0, 50.0, 50.0, 0.0, 0.0, 0.0)
	f.Add(10.0, 0.0, 30.0, 10.0, 0.0, -30.0, 5.0, 10.0, 20.0, 30.0, 0.5, 1.0)
	f.Add(5e-324, 0.0, 1e-160, -5e-324, 1e-170, 0.0, 1e-300, 1e-160, 1e-320, 0.0, 1.0, 0.0)
	f.Add(1e6, -1e6, 1e6, -1e6, 1e6, -1e6, 1e6, 1e6, 1e6, 1e6, 3.0, 2.0)
	f.Add(10.0, 10.0, 0.0, 10.0, -10.0, 0.0, 0.0, 20.0, 20.0, 20.0, 0.0, 0.0)
	arm := testArm(f)
	f.Fuzz(func(t *testing.T, ax, ay, az, bx, by, bz, radius, x, y, z, rx, rz float64) {
		c := kinematics.Capsule{Link: 1, From: vec(ax, ay, az), To: vec(bx, by, bz), Radius: radius}
		if math.IsNaN(rx-rz) || math.IsInf(rx-rz, 0) {
			return
		}
		turned := kinematics.Pose{Rotation: kinematics.FixedXYZ(rx, 0, rz)}
		around := []clearance.Thing{
			{Name: "box", Shape: clearance.Box{Size: vec(x, y, z)}, Pose: turned},
			{Name: "cylinder", Shape: clearance.Cylinder{Radius: x, Height: y}, Pose: turned},
			{Name: "sphere", Shape: clearance.Sphere{Radius: x}, Pose: turned},
			{Name: "half-space", Shape: clearance.HalfSpace{}, Pose: turned},
		}
		for _, thing := range around {
			scene, err := clearance.NewScene(arm, []kinematics.Capsule{c}, kinematics.NoTool, []clearance.Thing{thing})
			if err != nil {
				continue
			}
			want := bruteBetween(c, thing)
			tolerance := 1e-9 + 1e-14*(r3.Norm(c.From)+r3.Norm(c.To)+x+y+z)
			for _, g := range []clearance.Gap{clearance.Between(c, thing), scene.Smallest(arm.Links(kinematics.Joints{})).Gap} {
				if !(math.Abs(g.Distance-want) <= tolerance) {
					t.Errorf("%s: distance %.15g, the search finds %.15g", thing.Name, g.Distance, want)
				}
				if off := r3.Norm(r3.Sub(g.OnA, g.OnB)) - math.Abs(g.Distance); !(math.Abs(off) <= tolerance) {
					t.Errorf("%s: the points of %+v are not as far apart as its distance", thing.Name, g)
				}
			}
		}
	})
}

func FuzzBetweenCapsules(f *testing.F) {
	f.Add(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
	f.Add(0.0, 0.0, 0.0, 100.0, 0.0, 0.0, 50.0, 0.0, 0.0, 150.0, 0.0, 0.0)
	f.Add(0.0, 0.0, 0.0, 100.0, 0.0, 0.0, 0.0, 1e-9, 0.0, 100.0, 1e-8, 0.0)
	f.Add(5e-324, 0.0, 0.0, 1e-160, 0.0, 1e-170, 0.0, 1e-200, 0.0, 0.0, 1e-155, 0.0)
	f.Add(1e6, 1e6, 1e6, -1e6, -1e6, -1e6, 1e6, -1e6, 1e6, -1e6, 1e6, -1e6)
	f.Fuzz(func(t *testing.T, ax, ay, az, bx, by, bz, cx, cy, cz, dx, dy, dz float64) {
		size := 0.0
		for _, x := range []float64{ax, ay, az, bx, by, bz, cx, cy, cz, dx, dy, dz} {
			if size += math.Abs(x); !(math.Abs(x) <= 1e6) {
				return
			}
		}
		a := kinematics.Capsule{From: vec(ax, ay, az), To: vec(bx, by, bz), Radius: 1}
		b := kinematics.Capsule{From: vec(cx, cy, cz), To: vec(dx, dy, dz), Radius: 2}
		g, want, tolerance := clearance.BetweenCapsules(a, b), bruteCapsules(a, b), 1e-9+1e-14*size
		if !(math.Abs(g.Distance-want) <= tolerance) {
			t.Errorf("distance %.15g, the search finds %.15g", g.Distance, want)
		}
		if off := r3.Norm(r3.Sub(g.OnA, g.OnB)) - math.Abs(g.Distance); !(math.Abs(off) <= tolerance) {
			t.Errorf("the points of %+v are not as far apart as its distance", g)
		}
	})
}
