package kinematics_test

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/internal/reference"
	"handrule/kinematics"
)

// teaching is testdata/numpy/teaching.json, whose fields generate.py beside it describes.
type teaching struct {
	Source string `json:"source"`
	Frames []struct {
		Name   string     `json:"name"`
		Points [9]float64 `json:"points"`
		Matrix [9]float64 `json:"matrix"`
	} `json:"frames"`
	Tips []struct {
		Name      string     `json:"name"`
		Flanges   []frame    `json:"flanges"`
		TCP       [3]float64 `json:"tcp"`
		Tip       [3]float64 `json:"tip"`
		Residuals []float64  `json:"residuals"`
		Smallest  float64    `json:"smallest"`
	} `json:"tips"`
}

func readTeaching(t *testing.T) (file teaching) {
	t.Helper()
	reference.Read(t, "numpy/teaching.json", &file)
	if len(file.Frames) == 0 || len(file.Tips) == 0 {
		t.Fatal("testdata/numpy/teaching.json has no cases")
	}
	return file
}

func TestTeachFrameAgreesWithNumPysQR(t *testing.T) {
	for _, c := range readTeaching(t).Frames {
		p := c.Points
		got, err := kinematics.TeachFrame(vec([3]float64(p[:3])), vec([3]float64(p[3:6])), vec([3]float64(p[6:])))
		if err != nil {
			t.Errorf("%s: %v", c.Name, err)
			continue
		}
		if off := turnBetween(got.Rotation, rotation(c.Matrix)); !(off <= 1e-13) {
			t.Errorf("%s: %g rad off NumPy's", c.Name, off)
		}
		if got.Position != vec([3]float64(p[:3])) {
			t.Errorf("%s: the origin is %v", c.Name, got.Position)
		}
	}
}

func TestFitTCPAgreesWithNumPysLeastSquares(t *testing.T) {
	for _, c := range readTeaching(t).Tips {
		var flanges []kinematics.Pose
		for _, f := range c.Flanges {
			flanges = append(flanges, f.pose())
		}
		fit, err := kinematics.FitTCP(flanges)
		if err != nil {
			t.Errorf("%s: %v", c.Name, err)
			continue
		}
		if off := r3.Norm(r3.Sub(fit.TCP, vec(c.TCP))); !(off <= 1e-9) {
			t.Errorf("%s: the TCP %v is %g mm off NumPy's", c.Name, fit.TCP, off)
		}
		if off := r3.Norm(r3.Sub(fit.Tip, vec(c.Tip))); !(off <= 1e-9) {
			t.Errorf("%s: the tip %v is %g mm off NumPy's", c.Name, fit.Tip, off)
		}
		var squares, largest float64
		for i, want := range c.Residuals {
			if !(math.Abs(fit.Residuals[i]-want) <= 1e-9) {
				t.Errorf("%s: touch %d is %g mm off, NumPy has %g", c.Name, i+1, fit.Residuals[i], want)
			}
			squares, largest = squares+want*want, math.Max(largest, want)
		}
		if rms := math.Sqrt(squares / float64(len(c.Residuals))); !(math.Abs(fit.RMS-rms) <= 1e-9 && math.Abs(fit.Max-largest) <= 1e-9) {
			t.Errorf("%s: residuals of %g and at most %g mm, NumPy has %g and %g", c.Name, fit.RMS, fit.Max, rms, largest)
		}
		if !(math.Abs(fit.Magnification*c.Smallest-1) <= 1e-9) {
			t.Errorf("%s: magnification %g, NumPy has %g", c.Name, fit.Magnification, 1/c.Smallest)
		}
	}
}

func TestNumPyComputesTheCommittedTeaching(t *testing.T) {
	text := reference.Regenerate(t, "numpy", "python3-numpy", "numpy/generate.py")
	var committed, fresh any
	reference.Read(t, "numpy/teaching.json", &committed)
	reference.Unmarshal(t, text, &fresh)
	reference.CompareNumbers(t, "teaching.json", committed, fresh, func(string) float64 { return 1e-9 })
}

// pointNear draws a point of a cell.
func pointNear(t *rapid.T, what string, most float64) r3.Vec {
	one := rapid.Float64Range(-most, most)
	return r3.Vec{X: one.Draw(t, what+" x"), Y: one.Draw(t, what+" y"), Z: one.Draw(t, what+" z")}
}

// touches are flanges, the first upright and the others tilted by 15° to 150° about X, Y and then any axis, that put the TCP on
// the tip.
func touches(t *rapid.T, tcp, tip r3.Vec) (flanges []kinematics.Pose) {
	start := kinematics.FixedXYZ(rapid.Float64Range(-3, 3).Draw(t, "rx"), rapid.Float64Range(-3, 3).Draw(t, "ry"), rapid.Float64Range(-3, 3).Draw(t, "rz"))
	for i := range rapid.IntRange(4, 9).Draw(t, "touches") {
		turned := kinematics.NoRotation
		if i > 0 {
			axis := []r3.Vec{{X: 1}, {Y: 1}}[i%2]
			if i > 2 {
				axis = r3.Unit(r3.Add(r3.Vec{Z: 1.5}, pointNear(t, "axis", 1)))
			}
			turned = kinematics.RotationAbout(axis, kinematics.Radians(rapid.Float64Range(15, 150).Draw(t, "tilt")))
		}
		r := start.Mul(turned)
		flanges = append(flanges, kinematics.Pose{Position: r3.Sub(tip, r.Apply(tcp)), Rotation: r})
	}
	return flanges
}

// The lesson on finding a TCP tells of four touches, the error 3 mm and the largest 5.2 mm at the third. So it is where
// that touch is 7 mm off. The residuals of a fit add up to no vector at all (its tip is free: any textbook of least squares),
// so with four touches the largest is never more than √3 times the error.
func TestOneOfFourTouchesOff(t *testing.T) {
	tcp, tip, lean := r3.Vec{Z: 120}, r3.Vec{X: 320, Z: 110}, kinematics.Radians(30)
	var flanges []kinematics.Pose
	for _, tilt := range [][2]float64{{0, 0}, {0, lean}, {lean, 0}, {0, -lean}} {
		r := kinematics.FixedXYZ(tilt[0], tilt[1], 0).Mul(kinematics.FixedXYZ(math.Pi, 0, math.Pi))
		flanges = append(flanges, kinematics.Pose{Position: r3.Sub(tip, r.Apply(tcp)), Rotation: r})
	}
	flanges[2].Position.X += 7
	fit, err := kinematics.FitTCP(flanges)
	if err != nil {
		t.Fatal(err)
	}
	if !(math.Abs(fit.RMS-3) < 0.05 && math.Abs(fit.Max-5.2) < 0.05 && fit.Residuals[2] == fit.Max) {
		t.Errorf("error %g, largest %g mm, touches off by %v", fit.RMS, fit.Max, fit.Residuals)
	}
	if most := math.Sqrt(3) * fit.RMS; fit.Max > most+1e-9 {
		t.Errorf("the largest is %g mm, more than %g", fit.Max, most)
	}
}

func TestExactTouchesGiveTheExactTCP(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tcp, tip := pointNear(t, "tcp", 300), pointNear(t, "tip", 2000)
		fit, err := kinematics.FitTCP(touches(t, tcp, tip))
		if err != nil {
			t.Fatal(err)
		}
		if off := r3.Norm(r3.Sub(fit.TCP, tcp)); !(off <= 1e-9) {
			t.Fatalf("the TCP is %g mm off", off)
		}
		if off := r3.Norm(r3.Sub(fit.Tip, tip)); !(off <= 1e-9) || !(fit.Max <= 1e-9) {
			t.Fatalf("the tip is %g mm off, the residuals at most %g", off, fit.Max)
		}
	})
}

// The fit is linear in the touches' errors: with three times the error, the residuals and what the TCP is off by are three
// times as large. Least squares is never worse than the truth, and the TCP is off by no more than Magnification says
// of the whole error.
func TestErrorsOfTheTouchesShowInProportion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tcp, tip := pointNear(t, "tcp", 300), pointNear(t, "tip", 2000)
		exact := touches(t, tcp, tip)
		errs := make([]r3.Vec, len(exact))
		sum := 0.0
		for i := range errs {
			errs[i] = pointNear(t, "error", 0.5)
			sum += r3.Norm2(errs[i])
		}
		fit := func(times float64) kinematics.TCPFit {
			flanges := append([]kinematics.Pose(nil), exact...)
			for i := range flanges {
				flanges[i].Position = r3.Add(flanges[i].Position, r3.Scale(times, errs[i]))
			}
			fit, err := kinematics.FitTCP(flanges)
			if err != nil {
				t.Fatal(err)
			}
			return fit
		}
		once, thrice := fit(1), fit(3)
		for i, r := range once.Residuals {
			if !(math.Abs(thrice.Residuals[i]-3*r) <= 1e-9) {
				t.Fatalf("touch %d is %g mm off, and with three times the error %g", i+1, r, thrice.Residuals[i])
			}
		}
		off, far := r3.Sub(once.TCP, tcp), r3.Sub(thrice.TCP, tcp)
		if !(r3.Norm(r3.Sub(far, r3.Scale(3, off))) <= 1e-9) {
			t.Fatalf("the TCP is off by %v, and with three times the error by %v", off, far)
		}
		if !(once.RMS <= math.Sqrt(sum/float64(len(errs)))+1e-9) {
			t.Fatalf("the residuals' RMS is %g mm, more than the errors'", once.RMS)
		}
		if !(r3.Norm(off) <= once.Magnification*math.Sqrt(sum)+1e-9) {
			t.Fatalf("the TCP is %g mm off, with a magnification of %g and errors of %g mm in all", r3.Norm(off), once.Magnification, math.Sqrt(sum))
		}
	})
}

func TestTouchesTooMuchAlikeAreRefused(t *testing.T) {
	tcp, tip := r3.Vec{X: 5, Z: 120}, r3.Vec{X: 400, Z: 50}
	turned := func(axis r3.Vec, degrees ...float64) (flanges []kinematics.Pose) {
		for _, d := range degrees {
			r := kinematics.FixedXYZ(math.Pi, 0, 0).Mul(kinematics.RotationAbout(axis, kinematics.Radians(d)))
			flanges = append(flanges, kinematics.Pose{Position: r3.Sub(tip, r.Apply(tcp)), Rotation: r})
		}
		return flanges
	}
	broken := turned(r3.Vec{X: 1}, 0, 20, 40, 60)
	broken[2].Position.Y = math.NaN()
	for _, c := range []struct {
		name    string
		flanges []kinematics.Pose
		says    string
	}{
		{"none", nil, "0 touches are too few"},
		{"three", turned(r3.Vec{X: 1}, 0, 30, 60), "3 touches are too few; touch the tip from at least 4 directions"},
		{"four times the same", turned(r3.Vec{X: 1}, 0, 0, 0, 0), "differs by no more than 0.0° between any two"},
		// Only turning about the flange's Z leaves how far along it the TCP is unknown.
		{"about one axis", turned(r3.Vec{Z: 1}, 0, 40, 80, 120), "the flange's direction (0.00, 0.00, 1.00) differs by no more than 0.0°"},
		{"a little about a second", append(turned(r3.Vec{Z: 1}, 0, 90, 180), turned(r3.Vec{X: 1}, 6)...), "differs by no more than 6.0°"},
		{"not a number", broken, "touch 3 has a number that is not finite"},
	} {
		if _, err := kinematics.FitTCP(c.flanges); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: want %q in: %v", c.name, c.says, err)
		}
	}
	for tilt, weak := range map[float64]bool{6: true, 10: true, 14.7: true, 14.8: false, 15: false, 20: false} {
		flanges := append(turned(r3.Vec{X: 1}, tilt, -tilt), turned(r3.Vec{Y: 1}, tilt, -tilt)...)
		fit, err := kinematics.FitTCP(flanges)
		if err != nil {
			t.Errorf("%v°: %v", tilt, err)
			continue
		}
		if fit.Weak() != weak || math.Abs(kinematics.Degrees(fit.Spread)-2*tilt) > 1e-9 {
			t.Errorf("tilted by %v° either way: spread %v°, weak: %v", tilt, kinematics.Degrees(fit.Spread), fit.Weak())
		}
	}
}

// The origin stays, the second point is on +X, and the third on the +Y side of the X-Y plane.
func TestATaughtFrameHasItsPointsWhereTheyWereTaken(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := [3]r3.Vec{pointNear(t, "origin", 1500), pointNear(t, "on X", 1500), pointNear(t, "on XY", 1500)}
		frame, err := kinematics.TeachFrame(points[0], points[1], points[2])
		if err != nil {
			t.Skip(err)
		}
		r := frame.Rotation
		if off := turnBetween(r, r.Orthonormal()); !(off <= 1e-15*4) {
			t.Fatalf("the axes are %g rad off being at right angles", off)
		}
		on, beside := frame.Inverse().Apply(points[1]), frame.Inverse().Apply(points[2])
		if !(on.X > 0 && math.Hypot(on.Y, on.Z) < 1e-9) {
			t.Fatalf("the point on X is at %v", on)
		}
		if !(beside.Y > 0 && math.Abs(beside.Z) < 1e-9) {
			t.Fatalf("the point on the Y side is at %v", beside)
		}
	})
}

func TestPointsThatMakeNoFrameAreRefused(t *testing.T) {
	p := func(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }
	for _, c := range []struct {
		name              string
		origin, onX, onXY r3.Vec
		says              string
	}{
		{"one point", p(1, 2, 3), p(1, 2, 3), p(1, 2, 3), "the point on X is 0.00 mm from the origin; at least 10 mm are needed"},
		{"too close", p(0, 0, 0), p(3, 4, 0), p(0, 100, 0), "the point on X is 5.00 mm from the origin"},
		{"in line", p(0, 0, 0), p(100, 0, 0), p(50, 0, 0), "the third point is 0.00 mm beside the X axis"},
		{"in line backwards", p(0, 0, 0), p(100, 0, 0), p(-300, 9, 0), "the third point is 9.00 mm beside the X axis; at least 10 mm"},
		{"third at the origin", p(0, 0, 0), p(100, 0, 0), p(0, 0, 0), "the third point is 0.00 mm beside the X axis"},
		{"nearly in line", p(0, 0, 0), p(100, 0, 0), p(1000, 0, 20), "the third is only 1.1° off the X axis; at least 5° are needed"},
		{"nearly in line backwards", p(0, 0, 0), p(100, 0, 0), p(-1000, 0, 20), "the third is only 1.1° off the X axis"},
		{"not a number", p(0, 0, 0), p(math.Inf(1), 0, 0), p(0, 100, 0), "not finite"},
	} {
		if _, err := kinematics.TeachFrame(c.origin, c.onX, c.onXY); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: want %q in: %v", c.name, c.says, err)
		}
	}
}
