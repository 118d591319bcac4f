package kinematics

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// drawnArm is an arm of any family, and its family's name.
func drawnArm(t *rapid.T) (*Arm, string, *rand.Rand) {
	all := solvable()
	f := all[rapid.IntRange(0, len(all)-1).Draw(t, "family")]
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 21))
	a := f.make(r)
	if _, nearly := a.method.(approximate); nearly {
		t.SkipNow() // by chance; its measures are those of the form and not quite its own
	}
	return a, f.name, r
}

// factors returns the measures of the arm's singularities, also those of an arm solved from its flange.
func factors(a *Arm, q Joints) Indicators {
	if m, ok := a.method.(mirrored); ok {
		return m.image.indicators(backwards(q))
	}
	return a.method.indicators(q)
}

// singularities are the kinds and, counted from the base, the joint that each is reached by.
var singularities = map[string]int{"wrist": 4, "elbow": 2, "shoulder": 1}

func measure(i Indicators, kind string) float64 {
	return map[string]float64{"wrist": i.Wrist, "elbow": i.Elbow, "shoulder": i.Shoulder}[kind]
}

// singularAt turns one joint of q until the arm is this far from its singularity of that kind: rad, or mm for the
// shoulder. It reports false where the arm has no such singularity or the joint does not reach it.
func singularAt(a *Arm, q Joints, kind string, off float64) (Joints, bool) {
	j := singularities[kind]
	if _, ok := a.method.(mirrored); ok {
		j = 5 - j
	}
	at := func(x float64) float64 {
		q[j] = x
		return measure(factors(a, q), kind) - off
	}
	if math.IsNaN(at(0)) {
		return q, false
	}
	low, step := -math.Pi, math.Pi/16
	for range 32 {
		high := low + step
		f, g := at(low), at(high)
		if f*g <= 0 && math.Abs(f)+math.Abs(g) < math.Pi || kind == "shoulder" && f*g <= 0 {
			for range 200 {
				middle := (low + high) / 2
				if m := at(middle); m*f > 0 {
					low = middle
				} else {
					high = middle
				}
			}
			q[j] = (low + high) / 2
			return q, math.Abs(at(q[j])) < 1e-9
		}
		low = high
	}
	return q, false
}

// atOne reports whether the arm is near one singularity at most: where two come together rounding decides more than the
// tests can tell from an error.
func atOne(a *Arm, q Joints) bool {
	near := 0
	i := factors(a, q)
	for _, x := range []float64{math.Sin(i.Wrist), math.Sin(i.Elbow), i.Shoulder / a.length} {
		if math.Abs(x) < 0.1 {
			near++
		}
	}
	return near <= 1 && singularValues(scaledJacobian(a, q, Identity))[4] > 0.05
}

// scaledJacobian is the Jacobian at the TCP with its lengths divided by the arm's.
func scaledJacobian(a *Arm, q Joints, tool Pose) *mat.Dense {
	_, jac := a.Jacobian(q, tool)
	m := mat.NewDense(6, 6, nil)
	for row := range 6 {
		for col := range 6 {
			m.Set(row, col, jac[row][col])
			if row < 3 {
				m.Set(row, col, jac[row][col]/a.length)
			}
		}
	}
	return m
}

// singularValues are LAPACK's, the largest first.
func singularValues(m *mat.Dense) []float64 {
	var svd mat.SVD
	if !svd.Factorize(m, mat.SVDNone) {
		panic("no decomposition")
	}
	return svd.Values(nil)
}

// On every singularity and at every small distance from it, each solution gives the pose to the accuracy of the design,
// and the joints that made it are among them as well as they are determined there.
func TestSolutionsAtAndNearSingularPoses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, name, r := drawnArm(t)
		kind := rapid.SampledFrom([]string{"wrist", "elbow", "shoulder"}).Draw(t, "kind")
		off := math.Pow(10, rapid.Float64Range(-13, -2).Draw(t, "exponent"))
		if rapid.IntRange(0, 4).Draw(t, "exactly") == 0 {
			off = 0
		}
		scale := 1.0
		if kind == "shoulder" {
			scale = a.length
		}
		q, ok := singularAt(a, randomJoints(r), kind, off*scale)
		if !ok || !atOne(a, q) {
			t.SkipNow()
		}
		flange := a.Forward(q)
		solutions := a.Inverse(nil, flange, q)
		nearest := math.Inf(1)
		for i, s := range solutions {
			if mm, rad := miss(a, s.Joints, flange); !(mm <= 1e-6 && rad <= 1e-9) {
				t.Errorf("%s, %s off by %g: %v is %g mm and %g rad off", name, kind, off, s.Joints, mm, rad)
			}
			if indexOf(solutions[:i], &s.Joints, sameStand/2) >= 0 {
				t.Errorf("%s, %s off by %g: %v is given twice", name, kind, off, s.Joints)
			}
			nearest = min(nearest, farthest(s.Joints[:], q[:]))
		}
		smallest := a.Singularity(q, Identity).Smallest
		determined := math.Max(2e-6, 1e-12/smallest)
		if off == 0 {
			determined = 1e-4 // solutions that meet, or one of infinitely many, the nearest
		}
		if !(nearest < determined) {
			t.Errorf("%s, %s off by %g: the nearest of %d solutions is %g rad from what made the pose, smallest %g", name, kind, off, len(solutions), nearest, smallest)
		}
		// Track stays where the arm is.
		tracked, ok := a.Track(flange, q)
		if mm, rad := miss(a, tracked, flange); !ok || !(mm <= 1e-6 && rad <= 1e-9) {
			t.Errorf("%s, %s off by %g: Track %v is %g mm and %g rad off", name, kind, off, ok, mm, rad)
		} else if far := farthest(tracked[:], q[:]); !(far < determined) {
			t.Errorf("%s, %s off by %g: Track leaves the arm's joints by %g rad", name, kind, off, far)
		}
		if off == 0 && !(smallest < 1e-12) {
			t.Errorf("%s, exactly %s: smallest singular value %g", name, kind, smallest)
		}
		if smallest > 1e3*off+1e-12 {
			t.Errorf("%s, %s off by %g: smallest singular value %g", name, kind, off, smallest)
		}
	})
}

// A solution is called one of infinitely many exactly where the arm can move without its flange moving.
func TestFamilyIsWhereJointsAreFree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, name, r := drawnArm(t)
		q := randomJoints(r)
		if kind := rapid.SampledFrom([]string{"", "wrist", "elbow", "shoulder"}).Draw(t, "kind"); kind != "" {
			var ok bool
			if q, ok = singularAt(a, q, kind, 0); !ok {
				t.SkipNow()
			}
		}
		flange := a.Forward(q)
		for _, s := range a.Inverse(nil, flange, q) {
			smallest := a.Singularity(s.Joints, Identity).Smallest
			if smallest > 1e-9 && smallest < 1e-5 || !atOne(a, s.Joints) {
				continue // rounding decides, or the free motion is too crooked for canMove
			}
			if free := smallest < 1e-5 && canMove(a, s.Joints, flange); free != s.Family {
				t.Errorf("%s: %v: free %v, Family %v, smallest %g, %v", name, s.Joints, free, s.Family, smallest, factors(a, s.Joints))
			}
		}
	})
}

// canMove reports whether the arm can go along the joint speeds that do not move the flange, a little and more.
func canMove(a *Arm, q Joints, flange Pose) bool {
	s := a.Singularity(q, Identity)
	for _, way := range []float64{0.01, 0.03, 0.1, 0.3, -0.03, -0.1} {
		to := q
		for i := range to {
			to[i] += way * s.Racing[i]
		}
		moved, ok := numerically(a, flange, to)
		mm, rad := miss(a, moved, flange)
		if !ok || !(mm < 1e-12*a.length && rad < 1e-12) {
			return false // a solution nearly
		}
		if far := distance(&moved, &q); !(far > 0.5*math.Abs(way) && far < 2*math.Abs(way)) {
			return false // one that lies elsewhere
		}
	}
	return true
}

// Singular values and vectors of any arm, anywhere, are LAPACK's.
func TestSingularValuesOfAllFamilies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, name, r := drawnArm(t)
		q := randomJoints(r)
		if kind := rapid.SampledFrom([]string{"", "wrist", "elbow", "shoulder"}).Draw(t, "kind"); kind != "" {
			off := math.Pow(10, rapid.Float64Range(-16, -2).Draw(t, "exponent"))
			q, _ = singularAt(a, q, kind, off)
		}
		tool := Pose{Position: randomPoint(r), Rotation: RotationAbout(randomUnit(r), randomAngle(r))}
		got := a.Singularity(q, tool)
		m := scaledJacobian(a, q, tool)
		values := singularValues(m)
		if !(math.Abs(got.Smallest-values[5]) <= 1e-14*values[0]) {
			t.Errorf("%s: smallest %v, LAPACK %v", name, got.Smallest, values[5])
		}
		if want := values[0] / values[5]; values[5] > 1e-9 && !(math.Abs(got.Condition/want-1) < 1e-5) {
			t.Errorf("%s: condition %v, LAPACK %v", name, got.Condition, want)
		}
		product := 1.0
		for _, v := range values {
			product *= v
		}
		if !(math.Abs(got.Manipulability-product) <= 1e-13*math.Pow(values[0], 6)) {
			t.Errorf("%s: manipulability %v, LAPACK %v", name, got.Manipulability, product)
		}
		lost, racing := mat.NewVecDense(6, got.Lost[:]), mat.NewVecDense(6, got.Racing[:])
		if !(math.Abs(mat.Norm(lost, 2)-1) < 1e-13 && math.Abs(mat.Norm(racing, 2)-1) < 1e-13) {
			t.Errorf("%s: lost %v, racing %v are not of length one", name, got.Lost, got.Racing)
		}
		// J·racing = smallest·lost and Jᵀ·lost = smallest·racing: the two definitions of a singular pair.
		var forth, back mat.VecDense
		forth.MulVec(m, racing)
		forth.AddScaledVec(&forth, -got.Smallest, lost)
		back.MulVec(m.T(), lost)
		back.AddScaledVec(&back, -got.Smallest, racing)
		if e, f := mat.Norm(&forth, 2), mat.Norm(&back, 2); !(e < 1e-13*values[0] && f < 1e-12*values[0]) {
			t.Errorf("%s: smallest %v (next %v): J·racing is %g off, Jᵀ·lost %g", name, got.Smallest, values[4], e, f)
		}
	})
}

// Where the flange goes through a singular pose in small steps, Track has the joints follow it in small steps.
func TestTrackIsContinuousThroughSingularPoses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, name, r := drawnArm(t)
		kind := rapid.SampledFrom([]string{"wrist", "elbow", "shoulder"}).Draw(t, "kind")
		middle, ok := singularAt(a, randomJoints(r), kind, 0)
		if !ok || !atOne(a, middle) {
			t.SkipNow()
		}
		var speed Joints
		for i := range speed {
			speed[i] = r.NormFloat64()
		}
		const steps, dt = 41, 1e-3 // an odd number: the pose itself is one of them
		way := func(n int) (q Joints) {
			for i := range q {
				q[i] = middle[i] + speed[i]*dt*float64(n-steps/2)
			}
			return q
		}
		largest := 0.0
		for i := range speed {
			largest = max(largest, math.Abs(speed[i])*dt)
		}
		q := way(0)
		for n := 1; n < steps; n++ {
			flange := a.Forward(way(n))
			next, ok := a.Track(flange, q)
			if mm, rad := miss(a, next, flange); !ok || !(mm <= 1e-6 && rad <= 1e-9) {
				t.Fatalf("%s, %s, step %d: Track %v is %g mm and %g rad off", name, kind, n, ok, mm, rad)
			}
			// The joints that made the pose are within one step as long as Track has followed them, and on the other
			// branch, where it has changed to it, within much the same.
			if far := distance(&next, &q); !(far < 0.15) {
				t.Fatalf("%s, %s, step %d of %d: the joints jump by %g, the way's by %g, %v", name, kind, n, steps, far, largest, factors(a, q))
			}
			q = next
		}
	})
}

// The words of the posture change only where the arm passes a singularity: the shoulder's and the wrist's at their own,
// the elbow's at its own or, because what is above becomes below when the arm goes over to the other side, at the
// shoulder's.
func TestPostureChangesOnlyAtItsSingularity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, name, r := drawnArm(t)
		from, to := randomJoints(r), randomJoints(r)
		const steps = 400
		at := func(n int) (q Joints) {
			for i := range q {
				q[i] = from[i] + (to[i]-from[i])*float64(n)/steps
			}
			return q
		}
		passed := func(before, after float64) bool {
			return before < 0 != (after < 0)
		}
		for n := range steps {
			p, q := at(n), at(n+1)
			before, after := a.Posture(p), a.Posture(q)
			i, k := a.Indicators(p), a.Indicators(q)
			wrist, elbow, shoulder := passed(i.Wrist, k.Wrist), passed(i.Elbow, k.Elbow), passed(i.Shoulder, k.Shoulder)
			if wrist && math.Abs(math.Sin(i.Wrist)) > 0.1 || elbow && math.Abs(math.Sin(i.Elbow)) > 0.1 {
				t.Errorf("%s: the indicators jump from %v to %v", name, i, k)
			}
			if before.Wrist != after.Wrist != wrist {
				t.Errorf("%s: wrist %q to %q, indicator %v to %v", name, before.Wrist, after.Wrist, i.Wrist, k.Wrist)
			}
			if before.Shoulder != after.Shoulder != shoulder {
				t.Errorf("%s: shoulder %q to %q, indicator %v to %v", name, before.Shoulder, after.Shoulder, i.Shoulder, k.Shoulder)
			}
			if before.Elbow != after.Elbow != (elbow != shoulder) {
				t.Errorf("%s: elbow %q to %q, indicators %v to %v", name, before.Elbow, after.Elbow, i, k)
			}
		}
	})
}
