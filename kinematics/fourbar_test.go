package kinematics

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// barOf is a fourBar with these links, closed with these angles.
func barOf(length [3]float64, b bar) *fourBar {
	f := &fourBar{length: length}
	f.x, f.y, _, _ = f.miss(&b)
	f.ground = hypot(f.x, f.y)
	return f
}

func randomBar(r *rand.Rand) (*fourBar, bar) {
	var length [3]float64
	var b bar
	for i := range length {
		length[i], b[i] = 30+500*r.Float64(), randomAngle(r)
	}
	if r.IntN(4) == 0 {
		length[1] = length[0] // where it folds the elbow can be on axis 2
	}
	if r.IntN(2) == 0 { // nearly straight, or nearly folded
		off := math.Pow(10, -1-5*r.Float64())
		for i := range b {
			b[i] = b[0] + off*r.NormFloat64() + math.Pi*float64(r.IntN(4)/3)
		}
	}
	return barOf(length, b), b
}

// A four-bar closes exactly where its longest side is no longer than the others together: as a look at all angles of its hand tells.
func TestFourBarClosesWhereItCan(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 91))
	closing := 0
	for range 2000 {
		f, _ := randomBar(r)
		f.ground *= 2 * r.Float64()
		f.x, f.y = f.ground, 0
		least, most := math.Inf(1), 0.0
		for k := range 361 {
			sin, cos := math.Sincos(Radians(float64(k)))
			distance := math.Hypot(f.x-f.length[2]*cos, f.y-f.length[2]*sin)
			least, most = min(least, distance), max(most, distance)
		}
		upper, fore := f.length[0], f.length[1]
		closes := least <= upper+fore && most >= math.Abs(upper-fore)
		if closes {
			closing++
		}
		if closes != (f.slack() >= 0) {
			t.Errorf("%+v: slack %g mm, but closes: %v", f, f.slack(), closes)
		}
	}
	if closing < 200 || closing > 1800 {
		t.Errorf("%d of 2000 close: the test says little", closing)
	}
}

// From any way to close it goes on to one next to which no other is nearer to home.
func TestFourBarGoesToTheNearest(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 92))
	for n := range 2000 {
		f, b := randomBar(r)
		if f.slack() < 1e-6 {
			continue
		}
		home := b
		for i := range home {
			home[i] += r.NormFloat64() * math.Pow(10, -3*r.Float64())
		}
		to, ok := f.towards(b, home)
		if !ok {
			t.Errorf("case %d: %+v at %v does not go on", n, f, b)
			continue
		}
		if x, y, _, _ := f.miss(&to); hypot(x, y) > 1e-11 {
			t.Errorf("case %d: %+v misses by %g mm at %v", n, f, hypot(x, y), to)
		}
		far := func(b *bar) (sum float64) {
			at, there := b.joints(), home.joints()
			for i := range 3 {
				d := at[i] - there[i]
				d -= turnsOff(d, 0)
				sum += d * d
			}
			return math.Sqrt(sum)
		}
		// Where the way bends sharply a long step leads to another.
		on, reach, _ := f.onward(&to, &bar{1, 1, 1})
		for _, step := range []float64{1e-3, -1e-3, 1e-5, -1e-5} {
			step = math.Copysign(min(math.Abs(step), reach), step)
			beside := to
			for i := range beside {
				beside[i] += step * on[i]
			}
			if beside, ok := f.closed(beside); ok && far(&beside) < far(&to)-1e-6 {
				t.Errorf("case %d: %+v from %v stops at %v, %.12g from home, but %.12g is next to it", n, f, b, to, far(&to), far(&beside))
			}
		}
	}
}

// Where axis 6 is parallel to axes 2, 3 and 4, a step to another such pose leads to what iteration by all joints leads to, or nearer to
// home, and takes less than a third of the steps.
func TestFamilyInThePlane(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 93))
	compared, slow, quick := 0, 0, 0
	for range thorough(400) {
		a := roundArm(r)
		image, fromFlange := a.method.(mirrored)
		p, ok := a.method.(*parallelArm)
		bend := 4
		if fromFlange {
			p, ok = image.image.(*parallelArm)
			bend = 1
		}
		if !ok || p.form == parallel56 {
			continue
		}
		for range 8 {
			q := specialJoints(r)
			q[bend] = Radians(90 * float64(r.IntN(4)))
			if !a.Free(q) {
				continue
			}
			home, to := q, q
			for i := range to {
				if i != bend {
					to[i] += 1e-3 * r.NormFloat64()
					home[i] += 0.3 * r.NormFloat64()
				}
			}
			flange := a.Forward(to)
			got, steps, ok := a.Follow(flange, q, home)
			w := work{steps: mostFollowed}
			want, wantOk := a.orByWork(Joints{}, math.Inf(1), flange, q, home, &w)
			slow, quick = slow+mostFollowed-w.steps, quick+steps
			if !ok || !a.at(&flange, a.Forward(got)) {
				t.Errorf("%s at %v to %v: %v after %d steps, %v there", a.Solver(), q.Degrees(), to.Degrees(), got.Degrees(), steps, ok)
				continue
			}
			compared++
			sum := func(q *Joints) (sum float64) {
				for i := range q {
					if i != a.spare {
						d := q[i] - home[i]
						d -= turnsOff(d, 0)
						sum += d * d
					}
				}
				return sum
			}
			if wantOk && farthest(want[:], q[:]) < smallStep && sum(&got) > sum(&want)+1e-9 && farthest(got[:], q[:]) > 0 {
				t.Errorf("%s at %v to %v, home at %v: %v, but %v is nearer", a.Solver(), q.Degrees(), to.Degrees(), home.Degrees(), got.Degrees(), want.Degrees())
			}
		}
	}
	if t.Logf("%d, by %d steps of iteration instead of %d", compared, quick, slow); compared < 50 {
		t.Error("the test says little")
	}
	if quick > slow/3 {
		t.Errorf("%d steps of iteration instead of %d", quick, slow)
	}
}

// The nearest member may lie much farther along than it seems from where one sets out: the way to it hardly got shorter, and it was left
// before its end.
func TestAFamilyIsGoneAlongToItsNearest(t *testing.T) {
	a := mustArm([6]Joint{
		joint(r3.Vec{X: -180, Y: -180, Z: 260}, r3.Scale(-1, x)), joint(r3.Vec{X: -180, Y: -180, Z: 40}, r3.Scale(-1, z)), joint(r3.Vec{X: 290, Y: 60, Z: 130}, z),
		joint(r3.Vec{X: 130, Y: 130, Z: 300}, r3.Scale(-1, z)), joint(r3.Vec{X: 130, Y: 130, Z: 300}, x), joint(r3.Vec{X: -290, Y: -60, Z: 20}, r3.Scale(-1, y)),
	}, Pose{Position: r3.Vec{X: -510, Y: -240, Z: -140}, Rotation: Rotation{X: z, Y: r3.Scale(-1, y), Z: x}})
	q := Joints{0.2617993877991494, 0.5235987755982988, 0, 3.141592653589793, 4.71238898038469, -1.5707963267948966}
	home := Joints{0.5046214756595027, 0.3052497733559265, -0.272491671379943, 2.865065233802334, 4.71238898038469, -2.0668961175071554}
	to := Joints{0.2622925083844169, 0.5242454280915562, -0.0011701432976245034, 3.1423024257731957, 4.71238898038469, -1.5692247915758393}
	flange := a.Forward(to)
	got, _, ok := a.Follow(flange, q, home)
	if !ok || !a.at(&flange, a.Forward(got)) {
		t.Fatalf("%v, %v", got, ok)
	}
	on, free := a.free(flange, got, &work{steps: mostStepsEach})
	if way := a.wayAlong(&on, &got, &home); !free || math.Abs(way) > 1e-6 {
		t.Errorf("%v: the nearest to home is %g rad farther along", got.Degrees(), way)
	}
}
