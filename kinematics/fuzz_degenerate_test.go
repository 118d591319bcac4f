package kinematics

import (
	"encoding/binary"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// Whatever the arm and the numbers: no panic, no end that does not come, nothing that is not finite, and no wrong answer.
// FuzzSolvers in fuzz_test.go takes arms of any numbers; here they are mostly small whole ones and each axis may be the
// one before, so that the fuzzer finds axes in one line and lengths of zero. Few bytes make an arm.

// byteReader makes numbers from bytes, and zeros when they are used up.
type byteReader struct{ bytes []byte }

func (b *byteReader) byte() byte {
	if len(b.bytes) == 0 {
		return 0
	}
	first := b.bytes[0]
	b.bytes = b.bytes[1:]
	return first
}

// number is mostly a small whole one, else any double at all.
func (b *byteReader) number() float64 {
	kind := b.byte()
	switch {
	case kind < 160:
		return float64(int8(b.byte()))
	case kind < 200:
		return float64(int8(b.byte())) * 100
	case kind < 240:
		return float64(int8(b.byte())) * math.Pow(10, float64(int8(b.byte()))/8)
	}
	var bits [8]byte
	for i := range bits {
		bits[i] = b.byte()
	}
	return math.Float64frombits(binary.LittleEndian.Uint64(bits[:]))
}

func (b *byteReader) vector() r3.Vec { return r3.Vec{X: b.number(), Y: b.number(), Z: b.number()} }

func (b *byteReader) joints() (q Joints) {
	for i := range q {
		q[i] = b.number() / 40
	}
	return q
}

// pose is anywhere; its rotation is one.
func (b *byteReader) pose() Pose {
	v := b.vector()
	axis, angle := b.vector(), b.number()
	r, err := FromAxisAngle(axis, angle)
	if err != nil || math.Abs(angle) > 1e6 {
		r = NoRotation
	}
	return Pose{Position: v, Rotation: r}
}

// arm reads an arm, false where New refuses it.
func (b *byteReader) arm() (*Arm, bool) {
	var joints [6]Joint
	for i := range joints {
		// From the joint before, by choice: the same point, the same direction or the opposite.
		how := b.byte()
		j := Joint{Min: -4, Max: 4, Speed: 1}
		if i > 0 && how&1 != 0 {
			j.At = joints[i-1].At
		} else {
			j.At = b.vector()
		}
		switch {
		case i > 0 && how&6 == 2:
			j.Axis = joints[i-1].Axis
		case i > 0 && how&6 == 4:
			j.Axis = r3.Scale(-1, joints[i-1].Axis)
		default:
			j.Axis = b.vector()
		}
		joints[i] = j
	}
	a, err := New(joints, b.pose())
	return a, err == nil
}

// fuzzArms checks arms that New does not refuse, with the bytes that are left for what is asked of them.
func fuzzArms(f *testing.F, check func(t *testing.T, a *Arm, b *byteReader)) {
	addArms(f)
	f.Fuzz(func(t *testing.T, bytes []byte) {
		b := &byteReader{bytes}
		if a, ok := b.arm(); ok {
			check(t, a, b)
		}
	})
}

// addArms adds seeds: the bytes of arms of common kinds. Each number is a byte 0 and a small whole one.
func addArms(f *testing.F) {
	line := func(how byte, numbers ...int8) (b []byte) {
		b = append(b, how)
		for _, n := range numbers {
			b = append(b, 0, byte(n))
		}
		return b
	}
	rest := []byte{0, 90, 0, 0, 0, 70, 0, 0, 0, 1, 0, 0, 0, 60} // the flange
	for _, lines := range [][][]byte{
		{line(0, 0, 0, 0, 0, 0, 1), line(0, 10, 0, 0, 0, 1, 0), line(2, 10, 0, 70), line(0, 20, 0, 80, 1, 0, 0), line(0, 80, 0, 80, 0, 1, 0), line(0, 90, 0, 80, 1, 0, 0)},
		{line(0, 0, 0, 0, 0, 0, 1), line(0, 0, 0, 30, 0, 1, 0), line(2, 50, 0, 30), line(4, 90, 0, 30), line(0, 90, 20, 30, 0, 0, -1), line(0, 90, 20, 10, 0, 1, 0)},
		{line(0, 0, 0, 0, 0, 0, 1), line(1, 1, 0, 0), line(1, 0, 1, 0), line(0, 50, 0, 0, 0, 1, 0), line(2, 90, 0, 0), line(0, 90, 20, 0, 1, 2, 3)},
		{line(0, 0, 0, 0, 0, 0, 1), line(3), line(3), line(3), line(3), line(3)},
		{line(0, 3, 1, 4, 1, 5, 9), line(0, 2, 6, 5, 3, 5, 8), line(0, 9, 7, 9, 3, 2, 3), line(0, 8, 4, 6, 2, 6, 4), line(0, 3, 3, 8, 3, 2, 7), line(0, 9, 5, 0, 2, 8, 8)},
	} {
		var all []byte
		for _, l := range lines {
			all = append(all, l...)
		}
		f.Add(append(all, rest...))
	}
}

// reasonable reports whether the arm and all the poses are such as an arm file and a page allow, so that answers can
// be held to the accuracy that is promised: lengths up to 100 m.
func reasonable(a *Arm, poses ...Pose) bool {
	const most = 1e5
	for _, j := range a.Joints {
		if !(r3.Norm(j.At) < most) {
			return false
		}
	}
	if !(r3.Norm(a.Flange.Position) < most) {
		return false
	}
	for _, p := range poses {
		if !(r3.Norm(p.Position) < most) {
			return false
		}
	}
	return true
}

// turnable reports whether joint angles are within some turns, so that they have digits after the point.
func turnable(q Joints) bool {
	for _, x := range q {
		if !(math.Abs(x) < 100) {
			return false
		}
	}
	return true
}

// isRotation reports whether r's axes are unit vectors at right angles, right-handed.
func isRotation(r Rotation) bool {
	return math.Abs(r3.Norm(r.X)-1) < 1e-12 && math.Abs(r3.Norm(r.Y)-1) < 1e-12 && math.Abs(r3.Dot(r.X, r.Y)) < 1e-12 &&
		r3.Norm(r3.Sub(r3.Cross(r.X, r.Y), r.Z)) < 1e-12
}

// accuracyFor is the accuracy of every solution, 1e-6 mm and 1e-9 rad, for arms of a usual length, and in proportion for longer ones.
func accuracyFor(a *Arm, flange Pose) (mm, rad float64) {
	size := 1000.0
	for _, j := range a.Joints {
		size = math.Max(size, r3.Norm(j.At))
	}
	return 1e-9 * math.Max(math.Max(size, a.length), r3.Norm(flange.Position)), 1e-9
}

func checkSolution(t *testing.T, a *Arm, q Joints, flange Pose) {
	t.Helper()
	if !q.finite() {
		t.Fatalf("%s: joints %v", a.Solver(), q)
	}
	most, mostTurn := accuracyFor(a, flange)
	if mm, rad := miss(a, q, flange); !(mm <= most && rad <= mostTurn) {
		t.Errorf("%s: %v is %g mm and %g rad off", a.Solver(), q, mm, rad)
	}
}

// checkFound fails where the joints that made a pose are not among its solutions seen from there, as well as they are determined,
// or Track does not stay there. What is free in more ways than one is left out, and what is longer than an arm file allows.
func checkFound(t *testing.T, a *Arm, q Joints, flange Pose) {
	t.Helper()
	if !q.finite() || !turnable(q) || !reasonable(a, flange) {
		return
	}
	values := singularValues(scaledJacobian(a, q, Identity))
	if values[4] < 1e-4 {
		return
	}
	nearest := math.Inf(1)
	all := a.Inverse(nil, flange, q)
	for _, s := range all {
		nearest = min(nearest, farthest(s.Joints[:], q[:]))
	}
	if !(nearest < play(values[5])) {
		t.Errorf("%s: of %d solutions the nearest to %v, which made the pose, is %g rad away; singular values %v", a.Solver(), len(all), q, nearest, values)
	}
	if next, ok := a.Track(flange, q); !ok || !(farthest(next[:], q[:]) < play(values[5])) {
		t.Errorf("%s: Track %v leaves %v for %v", a.Solver(), ok, q, next)
	}
}

// checkFollowed fails where small joint motions are not followed by small ones.
func checkFollowed(t *testing.T, a *Arm, q, to Joints) {
	t.Helper()
	if !q.finite() || !turnable(q) || !to.finite() || !reasonable(a) {
		return
	}
	far := farthest(to[:], q[:])
	if values := singularValues(scaledJacobian(a, q, Identity)); far > 0.01 || values[4] < 1e-2 {
		return
	}
	next, ok := a.Track(a.Forward(to), q)
	if !ok || !(farthest(next[:], q[:]) < 3*far+1e-3) {
		t.Errorf("%s: Track %v from %v to %v leads to %v, %g rad away", a.Solver(), ok, q, to, next, farthest(next[:], q[:]))
	}
}

func FuzzForward(f *testing.F) {
	fuzzArms(f, func(t *testing.T, a *Arm, b *byteReader) {
		q := b.joints()
		tool := b.pose()
		p, links := a.Forward(q), a.Links(q)
		tcp, jac := a.Jacobian(q, tool)
		if !q.finite() || !turnable(q) || !reasonable(a, tool) {
			return // nothing to hold it to
		}
		if !p.finite() || !isRotation(p.Rotation) {
			t.Fatalf("forward of %v: %v", q, p)
		}
		most, _ := accuracyFor(a, p)
		// The flange carried by link 6, turn by turn about the axes, is the same by another way.
		other := links[6].Mul(a.Flange)
		if move, turn := p.Twist(other); !(r3.Norm(move) <= most && r3.Norm(turn) <= 1e-9) {
			t.Errorf("forward of %v is %v, link 6 has it at %v", q, p, other)
		}
		if move, turn := tcp.Twist(p.Mul(tool)); !(r3.Norm(move) <= most && r3.Norm(turn) <= 1e-9) {
			t.Errorf("TCP at %v, forward has it at %v", tcp, p.Mul(tool))
		}
		for row := range jac {
			for _, x := range jac[row] {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Fatalf("Jacobian at %v: %v", q, jac)
				}
			}
		}
	})
}

func FuzzInverse(f *testing.F) {
	fuzzArms(f, func(t *testing.T, a *Arm, b *byteReader) {
		near := b.joints()
		flange := b.pose()
		reached := b.byte()&3 != 0
		hidden := b.joints()
		if reached {
			flange = a.Forward(hidden)
		}
		solutions := a.Inverse(nil, flange, near)
		short := a.OutOfReach(flange, near)
		if !near.finite() || !turnable(near) || !reasonable(a, flange) {
			return
		}
		if len(solutions) > mostSolutions {
			t.Errorf("%s: %d solutions", a.Solver(), len(solutions))
		}
		if reached {
			checkFound(t, a, hidden, flange)
		}
		for _, s := range solutions {
			checkSolution(t, a, s.Joints, flange)
			if math.IsNaN(s.Distance) || s.WithinLimits != a.Within(s.Joints) {
				t.Errorf("%s: %+v", a.Solver(), s)
			}
		}
		if !(short >= 0) || math.IsInf(short, 0) {
			t.Errorf("%s: out of reach by %v", a.Solver(), short)
		}
	})
}

func FuzzTrack(f *testing.F) {
	fuzzArms(f, func(t *testing.T, a *Arm, b *byteReader) {
		q := b.joints()
		small := math.Pow(10, -float64(b.byte())/16)
		flange := a.Forward(q)
		shift := b.vector()
		if to := moved(&q, small, (*Joints)(&[6]float64{shift.X, shift.Y, shift.Z, shift.Z, shift.X, shift.Y})); b.byte()&1 == 1 {
			checkFollowed(t, a, q, to)
		}
		flange.Position = r3.Add(flange.Position, r3.Scale(small, shift))
		next, ok := a.Track(flange, q)
		if !q.finite() || !turnable(q) || !reasonable(a, flange) {
			return
		}
		if !ok {
			if next != q {
				t.Errorf("%s: not reached, and %v instead of where the arm is, %v", a.Solver(), next, q)
			}
			return
		}
		checkSolution(t, a, next, flange)
		for i := range next {
			if !(math.Abs(next[i]-q[i]) <= math.Pi+1e-9) {
				t.Errorf("%s: joint %d goes from %v to %v, more than half a turn", a.Solver(), i+1, q[i], next[i])
			}
		}
	})
}

func FuzzSingularity(f *testing.F) {
	fuzzArms(f, func(t *testing.T, a *Arm, b *byteReader) {
		q, tool := b.joints(), b.pose()
		s := a.Singularity(q, tool)
		a.Posture(q)
		if !q.finite() || !turnable(q) || !reasonable(a, tool) {
			return
		}
		if !(s.Smallest >= 0) || !(s.Condition >= 1) || !(s.Manipulability >= 0) || !(s.Length >= 1) || math.IsInf(s.Manipulability, 0) {
			t.Fatalf("%s: %+v", a.Solver(), s)
		}
		var lost, racing float64
		for i := range s.Lost {
			lost += s.Lost[i] * s.Lost[i]
			racing += s.Racing[i] * s.Racing[i]
		}
		if !(math.Abs(lost-1) < 1e-9 && math.Abs(racing-1) < 1e-9) {
			t.Errorf("%s: lost %v, racing %v", a.Solver(), s.Lost, s.Racing)
		}
		values := singularValues(scaledJacobian(a, q, tool))
		if !(math.Abs(s.Smallest-values[5]) <= 1e-12*values[0]) {
			t.Errorf("%s: smallest %v, LAPACK %v", a.Solver(), s.Smallest, values)
		}
	})
}
