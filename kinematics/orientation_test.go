package kinematics_test

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	_ "handrule/internal/draws"

	"handrule/kinematics"
)

var angleForms = []angleForm{fixedXYZ, movingZYX, zyz}

var anyAngle = rapid.Float64Range(-math.Pi, math.Pi)

// anyRotation turns about the three main axes one after the other, by any angles and now and then by right ones.
var anyRotation = rapid.Custom(func(t *rapid.T) kinematics.Rotation {
	angle := rapid.OneOf(anyAngle, rapid.SampledFrom([]float64{0, math.Pi / 2, math.Pi, -math.Pi / 2, -math.Pi}))
	r := kinematics.NoRotation
	for i := range 3 {
		r = r.Mul(kinematics.RotationAbout(kinematics.NoRotation.Axis(i), angle.Draw(t, "angle")))
	}
	return r
})

var anyAxis = rapid.Custom(func(t *rapid.T) r3.Vec {
	part := rapid.OneOf(rapid.Float64Range(-1, 1), rapid.SampledFrom([]float64{0, 0, 1, -1}))
	v := r3.Vec{X: part.Draw(t, "x"), Y: part.Draw(t, "y"), Z: part.Draw(t, "z")}
	if r3.Norm(v) < 0.1 {
		return alongZ
	}
	return r3.Unit(v)
})

// small is a positive angle in rad, of any size from the rounding up to where nothing is special.
var small = rapid.Custom(func(t *rapid.T) float64 {
	return math.Pow(10, rapid.Float64Range(-15, -3).Draw(t, "log of the angle"))
})

// aboutMovingAxes turns a frame about its own axes, by turning the whole frame about where the axis is at the time.
func aboutMovingAxes(axes string, angles [3]float64) kinematics.Rotation {
	r := kinematics.NoRotation
	for i, letter := range axes {
		axis := r.Axis(strings.IndexRune("XYZ", letter))
		r = kinematics.RotationAbout(axis, angles[i]).Mul(r)
	}
	return r
}

// By their definitions: Craig, Introduction to Robotics, ch. 2, "X-Y-Z fixed angles", "Z-Y-X Euler angles", "Z-Y-Z
// Euler angles" (chapter and names from memory; SciPy's Rotation, which turns about fixed axes for "xyz" and about moving ones for
// "ZYX" and "ZYZ", gives the same matrices: reference_scipy_test.go).
func TestAnglesTurnInTheOrderOfTheirName(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := [3]float64{anyAngle.Draw(t, "first"), anyAngle.Draw(t, "second"), anyAngle.Draw(t, "third")}
		fixed := kinematics.NoRotation
		for i := range 3 {
			fixed = kinematics.RotationAbout(kinematics.NoRotation.Axis(i), a[i]).Mul(fixed)
		}
		for _, c := range []struct {
			form angleForm
			want kinematics.Rotation
		}{
			{fixedXYZ, fixed},
			{movingZYX, aboutMovingAxes("ZYX", a)},
			{zyz, aboutMovingAxes("ZYZ", a)},
		} {
			if off := turnBetween(c.form.write(a), c.want); !(off <= rotationTolerance) {
				t.Fatalf("%s %v is %g rad off the turns by its name", c.form.name, a, off)
			}
		}
	})
}

func TestEveryFormGivesTheRotationBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRotation.Draw(t, "rotation")
		checkRoundTrips(t, r)
	})
}

// checkRoundTrips reads r in every form, checks the ranges, and writes it again: to rounding where the numbers are
// unique, and to where they leave something out in the other cases and at half turns.
func checkRoundTrips(t *rapid.T, r kinematics.Rotation) {
	for _, form := range angleForms {
		a, unique := form.read(r)
		tolerance := rotationTolerance
		if !unique {
			tolerance += 2 * form.fromSpecial(a[1])
			if a[form.zero] != 0 {
				t.Fatalf("%s: %v is not unique and has no zero", form.name, a)
			}
		}
		for i, x := range a {
			if i != 1 && !(x > -math.Pi && x <= math.Pi) || i == 1 && !(form.fromSpecial(x) >= 0 && math.Abs(x) <= math.Pi) {
				t.Fatalf("%s: %v is out of its range", form.name, a)
			}
			if x == math.Pi {
				tolerance += atSpecial // may have been a little above −π
			}
		}
		if off := turnBetween(form.write(a), r); !(off <= tolerance) {
			t.Fatalf("%s: %v is %g rad off", form.name, a, off)
		}
	}

	q := r.Quaternion()
	if q.Real < 0 || !(math.Abs(quat.Abs(q)-1) <= rotationTolerance) {
		t.Fatalf("%v has a negative real part or not length one", q)
	}
	tolerance := rotationTolerance
	if q.Real == 0 {
		tolerance += atSpecial
	}
	back, err := kinematics.FromQuaternion(q)
	if off := turnBetween(back, r); err != nil || !(off <= tolerance) {
		t.Fatalf("quaternion %v is %g rad off (%v)", q, off, err)
	}

	axis, angle, unique := r.AxisAngle()
	if !(angle >= 0 && angle <= math.Pi) {
		t.Fatalf("angle %v is out of its range", angle)
	}
	if !unique {
		tolerance += atSpecial
	}
	back, err = kinematics.FromAxisAngle(axis, angle)
	if off := turnBetween(back, r); err != nil || !(off <= tolerance) {
		t.Fatalf("%v about %v is %g rad off (%v)", angle, axis, off, err)
	}

	back, err = kinematics.FromMatrix(r.Matrix())
	if off := turnBetween(back, r); err != nil || !(off <= rotationTolerance) {
		t.Fatalf("the matrix is %g rad off (%v)", off, err)
	}
}

func TestAnglesNearWhereTheyAreNotUnique(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		off, first, last := small.Draw(t, "off"), anyAngle.Draw(t, "first"), anyAngle.Draw(t, "last")
		for _, form := range angleForms {
			specials := []float64{math.Pi/2 - off, off - math.Pi/2}
			if form.name == zyz.name {
				specials = []float64{off, math.Pi - off}
			}
			for _, middle := range specials {
				r := form.write([3]float64{first, middle, last})
				checkRoundTrips(t, r)
				a, unique := form.read(r)
				// Rounding decides in a band of its own size.
				if unique != (off > atSpecial) && math.Abs(off-atSpecial) > rotationTolerance {
					t.Fatalf("%s, %g rad from where it is not unique: unique is %v", form.name, off, unique)
				}
				if !(math.Abs(a[1]-middle) <= rotationTolerance) {
					t.Fatalf("%s: the middle angle %v is read as %v", form.name, middle, a[1])
				}
				if unique {
					tolerance := rotationTolerance / off
					for i, want := range map[int]float64{0: first, 2: last} {
						if d := math.Abs(math.Remainder(a[i]-want, 2*math.Pi)); !(d <= tolerance+atSpecial) {
							t.Fatalf("%s, %g rad from where it is not unique: %v is read as %v", form.name, off, want, a[i])
						}
					}
				}
			}
		}
	})
}

func TestAxisAndAngleNearNoTurnAndHalfATurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		off, along := small.Draw(t, "off"), anyAxis.Draw(t, "axis")
		band := math.Abs(off-atSpecial) > rotationTolerance

		r := kinematics.RotationAbout(along, off)
		checkRoundTrips(t, r)
		axis, angle, unique := r.AxisAngle()
		if unique != (off > atSpecial) && band || unique && !(math.Abs(angle-off) <= rotationTolerance) || !unique && angle != 0 {
			t.Fatalf("%g about %v: read as %v about %v, unique: %v", off, along, angle, axis, unique)
		}
		if unique && !(r3.Norm(r3.Sub(axis, along)) <= rotationTolerance/off) {
			t.Fatalf("%g about %v: the axis is read as %v", off, along, axis)
		}

		r = kinematics.RotationAbout(along, math.Pi-off)
		checkRoundTrips(t, r)
		axis, angle, unique = r.AxisAngle()
		if unique != (off > atSpecial) && band || !(math.Abs(angle-(math.Pi-off)) <= rotationTolerance+atSpecial) {
			t.Fatalf("half a turn less %g about %v: read as %v about %v, unique: %v", off, along, angle, axis, unique)
		}
		if unique && !(r3.Norm(r3.Sub(axis, along)) <= rotationTolerance) {
			t.Fatalf("half a turn less %g about %v: the axis is read as %v", off, along, axis)
		}
	})
}

// The pose with the tool pointing straight down is a half turn; rounding must not make its numbers jump.
func TestReadingsOfHalfTurnsDoNotJump(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		axis := anyAxis.Draw(t, "axis")
		noise := rapid.Float64Range(-1e-12, 1e-12)
		a := kinematics.RotationAbout(axis, math.Pi+noise.Draw(t, "noise"))
		b := kinematics.RotationAbout(axis, math.Pi+noise.Draw(t, "noise"))
		if d := quat.Abs(quat.Sub(a.Quaternion(), b.Quaternion())); !(d <= 1e-11) {
			t.Fatalf("the quaternion jumps from %v to %v", a.Quaternion(), b.Quaternion())
		}
		axisA, angleA, _ := a.AxisAngle()
		axisB, angleB, _ := b.AxisAngle()
		if d := r3.Norm(r3.Sub(axisA, axisB)); !(d <= 1e-11 && math.Abs(angleA-angleB) <= 1e-11) {
			t.Fatalf("jumps from %v about %v to %v about %v", angleA, axisA, angleB, axisB)
		}
	})
	for i := range 3 {
		for _, noise := range []float64{-1e-10, -1e-16, 0, 1e-16, 1e-10} {
			r := kinematics.RotationAbout(kinematics.NoRotation.Axis(i), math.Pi+noise)
			angles, _ := r.FixedXYZ()
			for _, x := range [3]float64{angles.X, angles.Y, angles.Z} {
				if x < -math.Pi/2-1e-9 {
					t.Errorf("half a turn about axis %d with %g of noise is read as %v", i, noise, angles)
				}
			}
		}
	}
}

func TestNumbersThatAreNoRotationAreRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, q := range []quat.Number{{}, {Real: 2}, {Real: 0.9}, {Real: nan}, {Imag: inf}, {Real: 1, Imag: 1}, {Real: 1e-300}} {
		if r, err := kinematics.FromQuaternion(q); err == nil {
			t.Errorf("quaternion %v is taken for %v", q, r)
		}
	}
	for _, c := range []struct {
		axis  r3.Vec
		angle float64
	}{{r3.Vec{}, 1}, {r3.Vec{X: nan}, 1}, {alongX, nan}, {alongX, inf}, {r3.Vec{Z: inf}, 0}} {
		if r, err := kinematics.FromAxisAngle(c.axis, c.angle); err == nil {
			t.Errorf("%v about %v is taken for %v", c.angle, c.axis, r)
		}
	}
	for what, m := range map[string][3][3]float64{
		"column 3 must have length 1, not 2": {{1, 0, 0}, {0, 1, 0}, {0, 0, 2}},
		"columns 1 and 3 must be at right":   {{1, 0, 0.6}, {0, 1, 0}, {0, 0, 0.8}},
		"left-handed":                        {{1, 0, 0}, {0, 1, 0}, {0, 0, -1}},
		"column 2 must have length 1":        {{1, nan, 0}, {0, 1, 0}, {0, 0, 1}},
	} {
		if _, err := kinematics.FromMatrix(m); err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("matrix %v: %v, want %q", m, err, what)
		}
	}
}

// People type four decimals, or two.
func TestRoundedNumbersAreMended(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRotation.Draw(t, "rotation")
		unit := rapid.SampledFrom([]float64{1e-2, 1e-3, 1e-4}).Draw(t, "last decimal")
		round := func(x float64) float64 { return math.Round(x/unit) * unit }
		q := r.Quaternion()
		back, err := kinematics.FromQuaternion(quat.Number{Real: round(q.Real), Imag: round(q.Imag), Jmag: round(q.Jmag), Kmag: round(q.Kmag)})
		if off := turnBetween(back, r); err != nil || !(off <= 3*unit) {
			t.Fatalf("quaternion to %g: %g rad off (%v)", unit, off, err)
		}
		if unit > 1e-3 {
			return // a matrix to two decimals may be off by more than a hundredth in length
		}
		m := r.Matrix()
		for i := range m {
			for j := range m[i] {
				m[i][j] = round(m[i][j])
			}
		}
		back, err = kinematics.FromMatrix(m)
		if off := turnBetween(back, r); err != nil || !(off <= 3*unit) {
			t.Fatalf("matrix to %g: %g rad off (%v)", unit, off, err)
		}
		for i := range 3 {
			if l := r3.Norm(back.Axis(i)); math.Abs(l-1) > rotationTolerance {
				t.Fatalf("axis %d has length %v", i, l)
			}
		}
	})
}
