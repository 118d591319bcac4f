package scenarios_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/draws"
	"handrule/internal/reference"
	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
)

// The referee judges why an arm stands still, by Forward and Jacobian, which are held against an independent library. It goes on along the path from where the arm stands, by steps of least joint motion, and looks
// for other ways to stand from many places. Distances it measures itself (referee_contact_test.go).
type referee struct {
	arm  *kinematics.Arm
	tool kinematics.Pose
	path func(s float64) kinematics.Pose // of the TCP
	size float64                         // mm that count as one rad
}

// missing is what a TCP misses of its place, lengths as parts of size, and the Jacobian in the same units.
func (r *referee) missing(q kinematics.Joints, to kinematics.Pose) ([6]float64, [6][6]float64) {
	now, jac := r.arm.Jacobian(q, r.tool)
	axes := func(r kinematics.Rotation) [3]r3.Vec { return [3]r3.Vec{r.X, r.Y, r.Z} }
	for row := range 3 {
		for col := range jac[row] {
			jac[row][col] /= r.size
		}
	}
	return reference.Residual(r3.Scale(1/r.size, r3.Sub(to.Position, now.Position)), axes(now.Rotation), axes(to.Rotation)), jac
}

// stand returns joint angles at a place, by damped steps of least joint motion from near. Where two ways to stand meet and end, what is
// missed grows slowly: a place that is out of reach by 1e-9 mm is no end yet to whoever takes 5e-9 for none.
func (r *referee) stand(near kinematics.Joints, to kinematics.Pose, steps int) (kinematics.Joints, bool) {
	d := reference.Descent{Steps: steps, Damping: 1e-6, Gentle: true, Enough: 2e-13}
	q, size := d.Descend(near, func(q [6]float64) ([6]float64, [6][6]float64) { return r.missing(q, to) })
	return q, size < 1e-12
}

// decomposed is the Jacobian at q, its singular values, the largest first, and the joint motions that belong to them.
func (r *referee) decomposed(q kinematics.Joints) (values []float64, motions *mat.Dense) {
	_, jac := r.missing(q, kinematics.Identity)
	m := mat.NewDense(6, 6, nil)
	for row := range jac {
		m.SetRow(row, jac[row][:])
	}
	var svd mat.SVD
	if !svd.Factorize(m, mat.SVDFull) {
		panic("no decomposition")
	}
	motions = new(mat.Dense)
	svd.VTo(motions)
	return svd.Values(nil), motions
}

// ways is what going on comes to: joint angles a little further along, ignoring limits.
type ways struct {
	on     []kinematics.Joints // after each step, of the way that needs the least joint speed
	needed float64             // the most that a joint needs of its speed on it, at the jog's speed; +Inf where there is none
}

// goOn follows the path from q at s over so much of it.
func (r *referee) goOn(q kinematics.Joints, s, over, speed float64) (best ways) {
	best.needed = math.Inf(1)
	values, v := r.decomposed(q)
	starts := []kinematics.Joints{q}
	for k, value := range values {
		if value < 1e-3 {
			for _, by := range []float64{1e-4, -1e-4, 1e-2, -1e-2} {
				beside := q
				for i := range beside {
					beside[i] += by * v.At(i, k)
				}
				starts = append(starts, beside)
			}
		}
	}
	const steps = 8
	for _, start := range starts {
		w := ways{}
		last, lastS := q, s
		near := start
		for k := range steps {
			to := s + over*float64(k+1)/steps
			next, ok := r.stand(near, r.path(to), 60)
			if !ok {
				w.needed = math.Inf(1)
				break
			}
			for i, j := range r.arm.Joints {
				w.needed = math.Max(w.needed, math.Abs(next[i]-last[i])/(to-lastS)*speed/j.Speed)
			}
			w.on = append(w.on, next)
			last, lastS, near = next, to, next
		}
		if w.needed < best.needed {
			best = w
		}
	}
	return best
}

// elsewhere reports whether the arm can stand at a place at all, limits aside, as far as many starts tell: some close by, in the
// directions in which the Jacobian has least to say, some in mirror images of where it stands, and the rest anywhere.
func (r *referee) elsewhere(rnd *rand.Rand, near kinematics.Joints, to kinematics.Pose, starts int) bool {
	_, least := r.decomposed(near)
	for n := range starts {
		q := near
		switch {
		case n < 24:
			by := []float64{1e-3, -1e-3, 0.03, -0.03, 0.3, -0.3}[n%6]
			for i := range q {
				q[i] += by * (least.At(i, 5) + float64(n/6%2)*least.At(i, 4) - float64(n/12)*least.At(i, 3))
			}
		case n%2 == 0:
			for i := range q {
				q[i] = float64(1-2*rnd.IntN(2))*q[i] + float64(rnd.IntN(2))*math.Pi + 0.1*rnd.NormFloat64()
			}
		default:
			for i := range q {
				q[i] = (2*rnd.Float64() - 1) * math.Pi
			}
		}
		if _, ok := r.stand(q, to, 80); ok {
			return true
		}
	}
	return false
}

// free reports whether the arm can stand in infinitely many ways. Which of them it takes is a rule (package jog, "What a stop
// promises") and no fact: the one nearest to where the jog began, whose joints may come to a limit where those of another would not.
func (r *referee) free(q kinematics.Joints) bool {
	values, _ := r.decomposed(q)
	return values[5] < 1e-9
}

// ends reports whether there is no way to stand 1e-5 mm or rad further on, or none a tick further on at the jog's speed: with joints
// that race on the last stretch to where an arm is straight, its reach ends all the same.
func (r *referee) ends(rnd *rand.Rand, near kinematics.Joints, s, speed float64, starts int) bool {
	for _, further := range []float64{1e-5, speed * jog.Tick} {
		if !r.elsewhere(rnd, near, r.path(s+further), starts) {
			return true
		}
	}
	return false
}

// The places from which the referee looks for another way to stand: before it agrees that there is none, and before it says so on its own.
const fewStarts, manyStarts = 120, 3000

// judge says what is wrong with a stop; "" where nothing is.
func (r *referee) judge(rnd *rand.Rand, d *jog.Drive, stop jog.Stop, speed float64) string {
	q := d.Joints()
	unit := 1.0
	if !stop.Jog.Straight() {
		unit = 1e-2
	}
	over := 1e-2 * unit
	w := r.goOn(q, stop.Travel, over, speed)
	// Where a joint would have to turn at once, by however little, the shorter stretch tells.
	short := r.goOn(q, stop.Travel, over/100, speed)
	needed := math.Max(w.needed, short.needed)
	rounding := 3e-10 // rad that a joint may be beyond its limit
	if stop.Reason == jog.JointLimit {
		rounding = 2e-10 // what the arm may set back on it
	}
	beyondIn := func(on []kinematics.Joints) int {
		for _, on := range on {
			for i, j := range r.arm.Joints {
				if on[i] > math.Max(j.Max, q[i])+rounding || on[i] < math.Min(j.Min, q[i])-rounding {
					return i
				}
			}
		}
		return -1
	}
	beyond := beyondIn(append(w.on, r.goOn(q, stop.Travel, 50*over, speed).on...))
	const slow = 300 // times its speed: what is called standing still
	switch stop.Reason {
	case jog.JointLimit:
		if off := math.Abs(q[stop.Joint] - stop.Limit); off > 1e-6 {
			return fmt.Sprintf("J%d is %.3g° from its limit", stop.Joint+1, kinematics.Degrees(off))
		}
		// It may come back soon.
		soon := func() bool {
			return beyondIn(short.on) >= 0 || beyondIn(append(r.goOn(q, stop.Travel, 1e-4*over, speed).on, r.goOn(q, stop.Travel, 1e-6*over, speed).on...)) >= 0
		}
		if beyond < 0 && needed < slow && !r.free(q) && !soon() {
			return fmt.Sprintf("no joint would go beyond its limit: it can go on at %.3g of the speeds", needed)
		}
	case jog.Singularity:
		if !stop.AtOnce && stop.Needed <= stop.Allowed {
			return fmt.Sprintf("needs %.3g °/s of %.3g", kinematics.Degrees(stop.Needed), kinematics.Degrees(stop.Allowed))
		}
		if needed < slow && beyond < 0 {
			return fmt.Sprintf("it can go on at %.3g of the speeds", needed)
		}
		if needed < slow && beyond >= 0 {
			return fmt.Sprintf("J%d is at its limit, and going on needs %.3g of the speeds", beyond+1, needed)
		}
		// Where the jog begins in a singularity, at which its way ends at once, both are at the same place, and the singularity is told first.
		if values, _ := r.decomposed(q); stop.Travel < 1e-8 && values[5] < 1e-7 {
			return ""
		}
		if r.ends(rnd, q, stop.Travel, speed, manyStarts) {
			return "there is no way to stand further on: it is out of reach"
		}
	case jog.OutOfReach:
		if needed < slow {
			return fmt.Sprintf("it can go on at %.3g of the speeds", needed)
		}
		if !r.ends(rnd, q, stop.Travel, speed, fewStarts) {
			return "there is another way to stand further on: it is a singularity"
		}
	case jog.Uncomputed:
		return "it was not computed"
	}
	return ""
}

// pathOf is the path of a jog in the base, world or tool frame, by its definition.
func pathOf(from, mount kinematics.Pose, j jog.Jog) func(s float64) kinematics.Pose {
	axis := kinematics.NoRotation.Axis(j.Axis % 3)
	switch j.Frame {
	case jog.ToolFrame:
		axis = from.Rotation.Axis(j.Axis % 3)
	case jog.WorldFrame:
		axis = mount.Inverse().Rotation.Axis(j.Axis % 3)
	}
	axis = r3.Scale(float64(j.Sign), axis)
	return func(s float64) kinematics.Pose {
		to := from
		if j.Straight() {
			to.Position = r3.Add(from.Position, r3.Scale(s, axis))
		} else {
			to.Rotation = kinematics.RotationAbout(axis, s).Mul(from.Rotation)
		}
		return to
	}
}

// specialStart is joint angles at multiples of 15°, or at limits and beside them.
func specialStart(rnd *rand.Rand, arm *kinematics.Arm) (q kinematics.Joints) {
	for {
		for i, j := range arm.Joints {
			q[i] = float64(rnd.IntN(25)-12) * math.Pi / 12
			switch rnd.IntN(24) {
			case 0:
				q[i] = j.Min
			case 1:
				q[i] = j.Max
			case 2:
				q[i] = j.Max - kinematics.Radians(2)*rnd.Float64()
			case 3:
				q[i] = j.Min + rnd.Float64()*(j.Max-j.Min)
			}
		}
		if arm.Within(q) {
			return q
		}
	}
}

// randomStart is joint angles anywhere within the limits.
func randomStart(rnd *rand.Rand, arm *kinematics.Arm) (q kinematics.Joints) {
	for i, j := range arm.Joints {
		q[i] = j.Min + rnd.Float64()*(j.Max-j.Min)
	}
	return q
}

// anyDirection is a direction that is as likely as any other.
func anyDirection(rnd *rand.Rand) r3.Vec {
	return r3.Unit(r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: rnd.NormFloat64()})
}

// randomArm is an arm with its axes anywhere, some of them made to meet or to be parallel so that there is a closed form.
func randomArm(rnd *rand.Rand) *kinematics.Arm {
	for {
		var joints [6]kinematics.Joint
		at := r3.Vec{}
		for i := range joints {
			joints[i] = kinematics.Joint{At: at, Axis: anyDirection(rnd), Min: -1 - 2.1*rnd.Float64(), Max: 1 + 2.1*rnd.Float64(), Speed: 1 + 7*rnd.Float64()}
			at = r3.Add(at, r3.Scale(40+260*rnd.Float64(), anyDirection(rnd)))
		}
		switch rnd.IntN(4) {
		case 0: // an elbow before a spherical wrist
			joints[2].Axis = joints[1].Axis
			fallthrough
		case 1:
			joints[4].At, joints[5].At = joints[3].At, joints[3].At
		case 2:
			joints[2].Axis, joints[3].Axis = joints[1].Axis, joints[1].Axis
		default:
			joints[1].At, joints[2].At = joints[0].At, joints[0].At
		}
		if arm, err := kinematics.New(joints, kinematics.Pose{Position: at, Rotation: kinematics.RotationAbout(anyDirection(rnd), 3*rnd.Float64())}); err == nil {
			return arm
		}
	}
}

// roundArm is an arm with lengths in tens of millimetres: a spherical wrist, or axes 2, 3 and 4 parallel and axes 5 and 6 apart.
func roundArm(rnd *rand.Rand) *kinematics.Arm {
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	length := func(least, most int) float64 { return float64(least+rnd.IntN(most-least)) * 10 }
	joint := func(at, axis r3.Vec) kinematics.Joint {
		limit := kinematics.Radians(float64(8+rnd.IntN(5)) * 15)
		return kinematics.Joint{At: at, Axis: axis, Min: -limit, Max: limit, Speed: kinematics.Radians(float64(6+rnd.IntN(12)) * 30)}
	}
	upper, fore, hand := length(20, 60), length(20, 60), length(5, 12)
	out := length(0, 10)
	joints := [6]kinematics.Joint{
		joint(r3.Vec{}, z), joint(r3.Vec{X: out}, y), joint(r3.Vec{X: out, Z: upper}, y),
		joint(r3.Vec{X: out + 50, Z: upper}, x), joint(r3.Vec{X: out + fore, Z: upper}, y), joint(r3.Vec{X: out + fore, Z: upper}, x),
	}
	if rnd.IntN(2) == 0 {
		side, down, apart := length(4, 10), length(4, 10), length(0, 3)
		at := r3.Vec{X: out + upper + fore}
		joints[2], joints[3] = joint(r3.Vec{X: out + upper}, y), joint(at, y)
		joints[4] = joint(r3.Add(at, r3.Vec{Y: side}), z)
		joints[5] = joint(r3.Add(at, r3.Vec{X: apart, Y: side, Z: -down}), y)
	}
	end := r3.Add(joints[5].At, r3.Scale(hand, joints[5].Axis))
	arm, err := kinematics.New(joints, kinematics.Pose{Position: end, Rotation: kinematics.FixedXYZ(0, math.Pi/2, 0)})
	if err != nil {
		panic(err)
	}
	return arm
}

// searchedArm is an arm that is solved by search: one with round numbers as a tape measure gives them, or with joints set off by tens
// of millimetres, or with axes in any direction.
func searchedArm(rnd *rand.Rand) *kinematics.Arm {
	direction := func() r3.Vec { return anyDirection(rnd) }
	tens := func() float64 { return float64(10 * rnd.IntN(6)) }
	for {
		arm := roundArm(rnd)
		joints := arm.Joints
		kind := rnd.IntN(3)
		for i := range joints {
			j := &joints[i]
			switch kind {
			case 0:
				j.At = r3.Add(j.At, r3.Scale(0.2*rnd.Float64(), direction()))
				j.Axis = kinematics.RotationAbout(direction(), kinematics.Radians(0.05)*rnd.Float64()).Apply(j.Axis)
			case 1:
				j.At = r3.Add(j.At, r3.Vec{X: tens(), Y: tens(), Z: tens()})
			default:
				j.At = r3.Add(j.At, r3.Scale(100*rnd.Float64(), direction()))
				j.Axis = direction()
			}
		}
		if arm, err := kinematics.New(joints, arm.Flange); err == nil && strings.Contains(arm.Solver(), "search") {
			return arm
		}
	}
}

// disputed is which part of the stops the referee may judge otherwise: none of those of the test command, and five of its 100,000, where two
// singularities come together. What it found so far are tests of their own.
const disputed = 0.00005

// refereed is one jog for the referee, as far as it goes.
type refereed struct {
	arm    *kinematics.Arm
	name   string // of the arm and its tool
	tool   kinematics.Pose
	start  kinematics.Joints
	jog    jog.Jog
	around *surroundings // nil: nothing can touch
}

// drawAny draws one of an arm with a closed form, some with axes anywhere, or of one that is solved by search. Half of them start
// anywhere, the others as special as those.
func drawAny(rnd *rand.Rand, searched bool) (c refereed) {
	switch {
	case searched:
		c = drawSearched(rnd)
	case rnd.IntN(5) == 0:
		c = drawWith(rnd, &armfile.Arm{ID: "a random arm", Geometry: randomArm(rnd)})
	default:
		c = drawClosed(rnd)
	}
	if rnd.IntN(2) == 0 {
		c.start = randomStart(rnd, c.arm)
	}
	return c
}

func drawRefereed(rnd *rand.Rand) refereed {
	switch rnd.IntN(8) {
	case 0:
		return drawSearched(rnd)
	case 1, 2:
		return drawWith(rnd, &armfile.Arm{ID: "a round arm", Geometry: roundArm(rnd)})
	}
	return drawShipped(rnd)
}

// drawClosed draws one of an arm that has a closed form.
func drawClosed(rnd *rand.Rand) refereed {
	round := roundArm(rnd)
	if rnd.IntN(4) == 0 {
		return drawWith(rnd, &armfile.Arm{ID: "a round arm", Geometry: round})
	}
	return drawShipped(rnd)
}

// drawSearched draws one of an arm that is solved by search.
func drawSearched(rnd *rand.Rand) refereed {
	return drawWith(rnd, &armfile.Arm{ID: "a searched arm", Geometry: searchedArm(rnd)})
}

func drawShipped(rnd *rand.Rand) refereed {
	arms := scenarios.ShippedArms()
	return drawWith(rnd, arms[rnd.IntN(len(arms))])
}

func drawWith(rnd *rand.Rand, file *armfile.Arm) (c refereed) {
	c.arm, c.tool, c.name = file.Geometry, kinematics.Identity, file.ID
	if k := rnd.IntN(len(file.Tools) + 1); k > 0 {
		c.tool, c.name = file.Tools[k-1].TCP, file.ID+" with "+file.Tools[k-1].Name
	}
	c.start = specialStart(rnd, c.arm)
	c.jog.Direction = jog.Direction{Frame: []jog.Frame{jog.BaseFrame, jog.ToolFrame}[rnd.IntN(2)], Axis: rnd.IntN(6), Sign: 1 - 2*rnd.IntN(2)}
	c.jog.Amount, c.jog.Speed = math.Inf(1), []float64{50, 250}[rnd.IntN(2)]
	if !c.jog.Straight() {
		c.jog.Amount, c.jog.Speed = 2*math.Pi, kinematics.Radians([]float64{15, 60}[rnd.IntN(2)])
	}
	return c
}

func (c *refereed) String() string {
	text := fmt.Sprintf("%s from %.17g°, %v at %g", c.name, c.start.Degrees(), c.jog.Direction, c.jog.Speed)
	if c.around != nil {
		text += fmt.Sprintf(" %s, set distance %g", c.around.where, c.around.setup.SetDistance)
	}
	return text
}

// Jogs of the shipped arms, of arms with round numbers and with axes anywhere, and of arms solved by search, as far as they go: half of
// them from special starts, half from anywhere. Here nothing can touch.
func TestRefereeOfStops(t *testing.T) {
	for name, searched := range map[string]bool{"closed form": false, "search": true} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			judgeStops(t, func(rnd *rand.Rand) refereed { return drawAny(rnd, searched) }, jog.JointLimit, jog.Singularity, jog.OutOfReach)
		})
	}
}

// Wherever an arm can stand the referee finds that it can, setting out from where it has no business: at poses of joints that it is not
// told, half of them special ones, and from as many places as it looks from before it agrees that a place is out of reach.
func TestTheRefereeFindsWaysToStand(t *testing.T) {
	count, missed := 400, 0
	if draws.Thorough() {
		count = 40_000
	}
	for n := range count {
		rnd := rand.New(rand.NewPCG(draws.Seed()+2, uint64(n)))
		c := drawAny(rnd, n%2 == 1)
		r := &referee{arm: c.arm, tool: c.tool, size: 500}
		if to := c.arm.Forward(c.start).Mul(c.tool); !r.elsewhere(rnd, randomStart(rnd, c.arm), to, fewStarts) {
			missed++
			t.Logf("case %d: %v", n, &c)
		}
	}
	if t.Logf("%d of %d missed", missed, count); missed > count/200 {
		t.Errorf("%d of %d places within reach are taken for out of reach", missed, count)
	}
}

// Stops that were once told for a wrong reason, or in numbers that contradict themselves.
func TestRefereeOfStopsOnceWrong(t *testing.T) {
	for n, once := range []struct {
		arm, tool string
		start     kinematics.Joints
		way       jog.Direction
		speed     float64
	}{
		{"wren", "brush", radians(0, 71, -30, -90, 0, 353), jog.Direction{Frame: jog.ToolFrame, Axis: 5, Sign: 1}, kinematics.Radians(15)},
		{"plover", "", radians(0, -30, 90, -60, 90, 0), jog.Direction{Frame: jog.ToolFrame, Axis: 5, Sign: 1}, kinematics.Radians(15)},
		{"plover", "", radians(0, 0, 140, -90, 90, 0), jog.Direction{Frame: jog.BaseFrame, Axis: 0, Sign: 1}, 50},
		{"plover", "", radians(0, 0, 140, -90, 90, 0), jog.Direction{Frame: jog.BaseFrame, Axis: 0, Sign: 1}, 250},
		{"curlew", "", radians(-180, -60, 17, 0, 90, 0), jog.Direction{Frame: jog.BaseFrame, Axis: 0, Sign: 1}, 250},
		{"curlew", "", radians(-180, -60, 17, 0, 90, 0), jog.Direction{Frame: jog.BaseFrame, Axis: 0, Sign: -1}, 250},
	} {
		c := refereed{name: once.arm, start: once.start, tool: kinematics.Identity, jog: jog.Jog{Direction: once.way, Amount: math.Inf(1), Speed: once.speed}}
		if !once.way.Straight() {
			c.jog.Amount = 2 * math.Pi
		}
		for _, file := range scenarios.ShippedArms() {
			if file.ID == once.arm {
				c.arm = file.Geometry
				for _, tool := range file.Tools {
					if strings.Contains(strings.ToLower(tool.Name), once.tool) && once.tool != "" {
						c.tool = tool.TCP
					}
				}
			}
		}
		if stop, wrong := c.judged(t, rand.New(rand.NewPCG(draws.Seed(), uint64(n)))); wrong != "" {
			t.Errorf("%v: %v: %s", &c, stop, wrong)
		} else {
			t.Logf("%v: %v", &c, stop)
		}
	}
}

// Jogs of arms solved by search that once ended where they could go on: where two singularities come together, at special poses of arms
// as a tape measure gives them. Iteration had set out from where the joints seemed to go, and did not come back; or it gave up in a narrow
// bent valley; or it took the other of two ways to stand that go beside each other for a passage through the singularity between them. Of one
// the reason was right, and its numbers were of a place behind the one where the way ends.
func TestSearchedArmsGoOnWhereTheyCan(t *testing.T) {
	for _, n := range []uint64{2227, 15171, 16459, 18716, 20353, 27149, 49163, 51634, 56016, 64550, 67107, 69193} {
		rnd := rand.New(rand.NewPCG(20260101, n))
		c := drawSearched(rnd)
		if stop, wrong := c.judged(t, rnd); wrong != "" {
			t.Errorf("case %d: %v: %v: %s", n, &c, stop, wrong)
		}
	}
}

// Stops that are right, and that the referee once judged otherwise: it took a place for within reach that is 1e-9 mm beyond, and did not
// see a joint that is beyond its limit by less than 3e-10 rad, or only on the stretch from 1e-5 to 1e-3 mm.
func TestTheRefereeSeesWhyTheArmStops(t *testing.T) {
	for n, reason := range map[uint64]jog.Reason{7262: jog.OutOfReach, 28652: jog.JointLimit, 97591: jog.JointLimit} {
		rnd := rand.New(rand.NewPCG(20260101, n))
		c := drawSearched(rnd)
		if stop, wrong := c.judged(t, rnd); wrong != "" || stop.Reason != reason {
			t.Errorf("case %d: %v: %v: %s", n, &c, stop, wrong)
		}
	}
}

// drive returns the arm where the jog starts.
func (c *refereed) drive(t *testing.T) *jog.Drive {
	t.Helper()
	if c.around == nil {
		return jog.NewDrive(c.arm, c.tool, c.start)
	}
	d, err := jog.New(c.around.setup, c.start)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// judged drives the jog to its end and judges its stop.
func (c *refereed) judged(t *testing.T, rnd *rand.Rand) (stop jog.Stop, wrong string) {
	t.Helper()
	d := c.drive(t)
	r := &referee{arm: c.arm, tool: c.tool, size: 500}
	mount := kinematics.Identity
	if c.around != nil {
		mount = c.around.setup.Mount
	}
	r.path = pathOf(d.TCP(), mount, c.jog)
	if err := d.Start(c.jog); err != nil {
		t.Fatal(err)
	}
	var w *watch
	if c.around != nil {
		w = newWatch(r, c)
	}
	for moving := true; moving && d.Ticks < mostTicks && wrong == ""; {
		moving = d.Tick()
		if w != nil {
			wrong = w.tick(d)
		}
	}
	switch {
	case wrong != "":
	case d.Moving():
		return stop, fmt.Sprintf("still under way at %.10g°, %.10g along", d.Joints().Degrees(), d.Travel())
	case c.jog.Frame != jog.JointFrame:
		wrong = r.judge(rnd, d, d.Stop(), c.jog.Speed)
	}
	if wrong == "" && w != nil {
		wrong = w.judge(d)
	}
	if wrong != "" {
		wrong = fmt.Sprintf("at %.10g°: %s", d.Joints().Degrees(), wrong)
	}
	return d.Stop(), wrong
}

// drawn are what jogs are drawn for.
var drawn = map[string]func(*rand.Rand) refereed{"closed form": drawClosed, "search": drawSearched}

// judgeStops judges a thousand stops, or a hundred times as many, of jogs that are drawn. Of each of these reasons there have to be some.
func judgeStops(t *testing.T, draw func(*rand.Rand) refereed, reasons ...jog.Reason) {
	count := 1000
	if draws.Thorough() {
		count = 100_000
	}
	seed, wrongs := draws.Seed(), 0
	told := map[jog.Reason]int{}
	for n := range count {
		rnd := rand.New(rand.NewPCG(seed, uint64(n)))
		c := draw(rnd)
		stop, wrong := c.judged(t, rnd)
		told[stop.Reason]++
		if wrong != "" {
			wrongs++
			t.Logf("seed %d, case %d: %v: %v: %s", seed, n, &c, stop, wrong)
		}
	}
	t.Logf("%v; of %d the referee judges %d otherwise", told, count, wrongs)
	if float64(wrongs) > disputed*float64(count) {
		t.Errorf("the referee judges %d of %d stops otherwise", wrongs, count)
	}
	for _, reason := range reasons {
		if told[reason] < count/50 {
			t.Errorf("%d stops by %s only: the test says little", told[reason], reason)
		}
	}
}

// mostTicks is how many ticks a jog of these may take: a turn of 360° at 15 °/s takes 6000.
const mostTicks = 60_000
