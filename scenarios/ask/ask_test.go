package ask_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	_ "handrule/internal/draws"
	"handrule/internal/reference"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
	"handrule/scenarios/ask"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/jogfile"
	"handrule/words"
)

// chain is the arm once more: the axes of the zero pose are turned one after the other with gonum's quaternions, and nothing of
// package kinematics but the numbers of the file is used.
type chain struct {
	arm  *kinematics.Arm
	tool kinematics.Pose
}

// carry turns a point and directions that are fixed to the last link, as they are at the zero pose, by the joints from 1 to n.
func (c chain) carry(q [6]float64, n int, point r3.Vec, directions ...r3.Vec) (r3.Vec, []r3.Vec) {
	directions = slices.Clone(directions)
	for i := n - 1; i >= 0; i-- {
		j := c.arm.Joints[i]
		turn := r3.NewRotation(q[i], j.Axis)
		point = r3.Add(j.At, turn.Rotate(r3.Sub(point, j.At)))
		for k := range directions {
			directions[k] = turn.Rotate(directions[k])
		}
	}
	return point, directions
}

// flange and tcp are a place and the axes there.
func (c chain) flange(q [6]float64) (r3.Vec, [3]r3.Vec) {
	f := c.arm.Flange
	at, axes := c.carry(q, 6, f.Position, f.Rotation.X, f.Rotation.Y, f.Rotation.Z)
	return at, [3]r3.Vec(axes)
}

func (c chain) tcp(q [6]float64) (at r3.Vec, axes [3]r3.Vec) {
	flange, f := c.flange(q)
	in := func(v r3.Vec) r3.Vec {
		return r3.Add(r3.Scale(v.X, f[0]), r3.Add(r3.Scale(v.Y, f[1]), r3.Scale(v.Z, f[2])))
	}
	return r3.Add(flange, in(c.tool.Position)), [3]r3.Vec{in(c.tool.Rotation.X), in(c.tool.Rotation.Y), in(c.tool.Rotation.Z)}
}

// tangent is which way a point goes when a joint turns, as a difference of two places, and the joint's axis.
func (c chain) tangent(q [6]float64, joint int, point func([6]float64) (r3.Vec, [3]r3.Vec)) (way, axis r3.Vec) {
	const small = 1e-5
	less, more := q, q
	less[joint] -= small
	more[joint] += small
	before, _ := point(less)
	after, _ := point(more)
	_, turned := c.carry(q, joint, r3.Vec{}, c.arm.Joints[joint].Axis)
	return r3.Scale(1/(2*small), r3.Sub(after, before)), turned[0]
}

// standing is an arm that was drawn, with what is around it.
type standing struct {
	d    *jog.Drive
	c    chain
	q    kinematics.Joints
	file *armfile.Arm
	cell *cellfile.Cell
}

func drawStanding(t *rapid.T) standing {
	s := standing{file: rapid.SampledFrom(scenarios.ShippedArms()).Draw(t, "arm"), cell: rapid.SampledFrom(scenarios.ShippedCells()).Draw(t, "cell")}
	geometry := s.file.Geometry
	for i, j := range geometry.Joints {
		s.q[i] = rapid.Float64Range(j.Min, j.Max).Draw(t, j.Name)
	}
	tool := rapid.SampledFrom(s.cell.ToolsFor(s.file)).Draw(t, "tool")
	setup, err := s.cell.Setup(s.file, tool, rapid.SampledFrom([]float64{0, 5}).Draw(t, "set distance"))
	if err != nil {
		t.Fatal(err)
	}
	s.c = chain{geometry, tool.TCP}
	if s.d, err = jog.New(setup, s.q); err != nil {
		t.Fatal(err)
	}
	return s
}

// asked is a question with all of it computed.
func asked(t rapid.TB, q ask.Question, d *jog.Drive) *ask.Asked {
	t.Helper()
	a, err := q.Of(d)
	if err != nil {
		t.Fatalf("%+v: %v", q, err)
	}
	a.Finish()
	return a
}

// reveals checks that an answer that a misconception leads to is told as that, unless it is right all the same.
func reveals(t rapid.TB, a *ask.Asked, key, says string, given ask.Answer) {
	t.Helper()
	taken, err := a.Take(given)
	if err != nil {
		t.Fatalf("%s: %v", key, err)
	}
	if a.Right(taken) {
		return
	}
	for _, in := range words.Languages {
		groups := a.Groups([]ask.Answer{taken}, in)
		if len(groups) != 1 || !slices.Equal(groups[0].Members, []int{0}) {
			t.Fatalf("%+v", groups)
		}
		g := groups[0]
		if key != "asked" && slices.Equal(g.Beliefs, []string{"asked"}) {
			return // the arm refuses the jog, and the answer is what it was asked for all the same
		}
		if !slices.Contains(g.Beliefs, key) || in == words.English && !strings.Contains(g.Name, says) {
			t.Errorf("%q: the answer of %q is told as %v, %q", a.Words(words.English), key+" "+says, g.Beliefs, g.Name)
		}
		for _, text := range []string{g.Name, g.Given, a.Words(in), a.RightWords(in), a.Why(in)} {
			if text == "" || strings.ContainsAny(text, "‹›{}") || strings.Contains(text, "NaN") {
				t.Errorf("%s: %s says %q", a.Words(words.English), in.Code, text)
			}
		}
	}
}

func arrow(v r3.Vec) ask.Answer { return ask.Answer{Arrow: &v} }

// Whoever thinks of another frame, the other sign, a turn, the flange or somebody facing the arm, draws what simple vector sums
// say, and is told just that. The right arrow is what the sums say too.
func TestArrowsRevealWhatLedToThem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawStanding(t)
		axis, sign := rapid.IntRange(0, 2).Draw(t, "axis"), rapid.SampledFrom([]float64{-1, 1}).Draw(t, "sign")
		frame := rapid.SampledFrom([]string{"base", "tool", "world"}).Draw(t, "frame")
		straight := rapid.Bool().Draw(t, "straight")
		letter := []string{"x", "y", "z"}[axis]
		if !straight {
			letter = "about-" + letter
		}
		amount := map[float64]string{-1: "-40", 1: "+40"}[sign]
		a := asked(t, ask.Question{Kind: ask.Way, Jog: frame + " " + letter + " " + amount}, s.d)
		at, tool := s.c.tcp(s.q)
		mount := s.cell.Base(s.file)
		world := [3]r3.Vec{mount.Rotation.Transpose().X, mount.Rotation.Transpose().Y, mount.Rotation.Transpose().Z}
		axes := map[string][3]r3.Vec{"base": {{X: 1}, {Y: 1}, {Z: 1}}, "tool": tool, "world": world}
		right := r3.Scale(sign, axes[frame][axis])
		switch truth := a.Truth(); {
		case truth.Stays:
			reveals(t, a, "asked", "", arrow(right))
		case r3.Norm(r3.Sub(*truth.Arrow, right)) > 1e-3:
			t.Errorf("%s: right is %v, by vectors %v", a.Words(words.English), *truth.Arrow, right)
		default:
			reveals(t, a, map[bool]string{true: "stays", false: "point"}[straight], "", ask.Answer{Stays: true})
		}
		reveals(t, a, "minus", "minus for plus", arrow(r3.Scale(-3, right)))
		if straight {
			reveals(t, a, "mirror", "mirror image", arrow(r3.Scale(-1, right)))
		} else {
			reveals(t, a, "left", "left hand", arrow(r3.Scale(-1, right)))
		}
		up := world[2]
		reveals(t, a, "front", "front", arrow(r3.Sub(r3.Scale(2*r3.Dot(up, right), up), right)))
		worldIsBase := r3.Norm(r3.Sub(world[0], r3.Vec{X: 1}))+r3.Norm(r3.Sub(world[1], r3.Vec{Y: 1})) < 1e-9
		for name, other := range axes {
			if name == frame || worldIsBase && (name == "world" || name == "base" && frame == "world") {
				continue
			}
			reveals(t, a, "frame", "the "+name+" frame instead of the "+frame+" frame", arrow(r3.Scale(sign, other[axis])))
		}
		reveals(t, a, "axis", "instead of", arrow(r3.Scale(sign, axes[frame][(axis+1)%3])))
		switch flange, _ := s.c.flange(s.q); {
		case !straight:
			if way := r3.Cross(right, r3.Sub(flange, at)); r3.Norm(way) > 1 {
				reveals(t, a, "flange-way", "the way of the flange", arrow(way))
			}
		case frame == "base":
			if way := r3.Cross(right, at); r3.Norm(way) > 1 {
				reveals(t, a, "turned", "about instead of along", arrow(way))
			}
		}
	})
}

// The same of a joint's jog: the tangent is the difference of two places of the tip.
func TestArrowsOfAJointRevealWhatLedToThem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawStanding(t)
		joint, sign := rapid.IntRange(0, 5).Draw(t, "joint"), rapid.SampledFrom([]float64{-1, 1}).Draw(t, "sign")
		a := asked(t, ask.Question{Kind: ask.Way, Jog: "joint " + kinematics.JointNames[joint] + " " + map[float64]string{-1: "-20", 1: "+20"}[sign]}, s.d)
		way, axis := s.c.tangent(s.q, joint, s.c.tcp)
		way, axis = r3.Scale(sign, way), r3.Scale(sign, axis)
		if r3.Norm(way) < 5 { // hardly a circle
			if r3.Norm(way) < 1e-3 != a.Axis() && r3.Norm(way) > 1 {
				t.Errorf("the tip goes by %v mm/rad; the axis is asked for: %v", r3.Norm(way), a.Axis())
			}
			return
		}
		if truth := a.Truth(); truth.Arrow != nil {
			if off := kinematics.AngleBetween(*truth.Arrow, way); off > 0.02 {
				t.Errorf("%s: %.4f rad off the difference of two places", a.Words(words.English), off)
			}
		}
		reveals(t, a, "minus", "minus for plus", arrow(r3.Scale(-1, way)))
		reveals(t, a, "left", "left hand", arrow(r3.Scale(-1, way)))
		reveals(t, a, "about", "the axis", arrow(axis))
		reveals(t, a, "outward", "out from the axis", arrow(r3.Cross(way, axis)))
		reveals(t, a, "inward", "towards the axis", arrow(r3.Cross(axis, way)))
		if flange, _ := s.c.tangent(s.q, joint, s.c.flange); r3.Norm(flange) > 1 {
			reveals(t, a, "flange", "the flange", arrow(r3.Scale(sign, flange)))
		}
		for other := range 6 {
			if others, _ := s.c.tangent(s.q, other, s.c.tcp); other != joint && r3.Norm(others) > 1 {
				reveals(t, a, "joint", kinematics.JointNames[other]+" instead of", arrow(r3.Scale(sign, others)))
			}
		}
	})
}

// movers are the joints that turn on a straight path or in a turn, found by the tests' own descent along it, and how far each
// turns; false where it loses its way.
func (s standing) movers(frame [3]r3.Vec, axis int, amount float64) (work [6]float64, ok bool) {
	const steps, size = 20, 500.0
	from, axes := s.c.tcp(s.q)
	q := [6]float64(s.q)
	jacobian := func(q [6]float64) *mat.Dense {
		m := mat.NewDense(6, 6, nil)
		for i := range 6 {
			way, about := s.c.tangent(q, i, s.c.tcp)
			m.SetCol(i, []float64{way.X / size, way.Y / size, way.Z / size, about.X, about.Y, about.Z})
		}
		return m
	}
	if mat.Cond(jacobian(q), 2) > 100 {
		return work, false // next to a singularity joints turn far for little, and a small slip decides how far
	}
	for k := 1; k <= steps; k++ {
		to, goal := from, axes
		if by := amount * float64(k) / steps; axis < 3 {
			to = r3.Add(from, r3.Scale(by, frame[axis]))
		} else {
			turn := r3.NewRotation(by, frame[axis-3])
			for i := range goal {
				goal[i] = turn.Rotate(goal[i])
			}
		}
		next, off := reference.Descent{Steps: 60, Damping: 1e-6, Gentle: true, Enough: 1e-12}.Descend(q, func(q [6]float64) (e [6]float64, m [6][6]float64) {
			now, nowAxes := s.c.tcp(q)
			j := jacobian(q)
			for row := range m {
				mat.Row(m[row][:], row, j)
			}
			return reference.Residual(r3.Scale(1/size, r3.Sub(to, now)), nowAxes, goal), m
		})
		if off > 1e-9 {
			return work, false
		}
		for i := range work {
			work[i] += math.Abs(next[i] - q[i])
			if math.Abs(next[i]-q[i]) > 0.2 { // another way to stand, or next to a singularity
				return work, false
			}
		}
		q = next
	}
	return work, true
}

func moving(work [6]float64) (joints []int, clear bool) {
	clear = true
	for i, turn := range work {
		if turn > jog.Moving {
			joints = append(joints, i)
		}
		clear = clear && (turn < 0.9*jog.Moving || turn > 1.1*jog.Moving)
	}
	return joints, clear
}

// Which joints turn is what the tests' own way of solving finds, and joints named by habit are told as the habit.
func TestJointsRevealWhatLedToThem(t *testing.T) {
	compared := 0
	rapid.Check(t, func(t *rapid.T) {
		s := drawStanding(t)
		axis := rapid.IntRange(0, 5).Draw(t, "axis")
		sign := rapid.SampledFrom([]float64{-1, 1}).Draw(t, "sign")
		frame := rapid.SampledFrom([]string{"base", "tool"}).Draw(t, "frame")
		_, tool := s.c.tcp(s.q)
		axes := map[string][3]r3.Vec{"base": {{X: 1}, {Y: 1}, {Z: 1}}, "tool": tool}
		jogOf := func(frame string, axis int, sign float64) (string, float64) {
			names := []string{"x", "y", "z", "about-x", "about-y", "about-z"}
			amount := sign * 40
			line := frame + " " + names[axis] + map[float64]string{-1: " -40", 1: " +40"}[sign]
			if axis >= 3 {
				amount = kinematics.Radians(amount)
			}
			return line, amount
		}
		line, _ := jogOf(frame, axis, sign)
		a := asked(t, ask.Question{Kind: ask.Joints, Jog: line}, s.d)
		if a.Clear() != nil {
			return
		}
		truth := a.Truth().Joints
		reaches := func(frame string, axis int, sign float64) ([]int, bool) { // the jog is made whole, and both agree on the way
			line, amount := jogOf(frame, axis, sign)
			steps, err := jogfile.Parse("", []byte(line))
			if err != nil {
				t.Fatal(err)
			}
			if ahead, err := s.d.Ahead(steps[0].Jog); err != nil || ahead.Stop.Reason != jog.Done {
				return nil, false
			}
			work, ok := s.movers(axes[frame], axis, amount)
			joints, clear := moving(work)
			return joints, ok && clear
		}
		if want, ok := reaches(frame, axis, sign); ok {
			compared++
			if !slices.Equal(truth, want) {
				t.Errorf("%s at %.4g°: %v turn; by descent %v", line, s.q.Degrees(), truth, want)
			}
		}
		if len(truth) > 1 {
			for i := range 6 {
				reveals(t, a, "one", "one joint does it", ask.Answer{Joints: []int{i}})
			}
			reveals(t, a, "wrist", "the wrist forgotten", ask.Answer{Joints: slices.DeleteFunc(slices.Clone(truth), func(i int) bool { return i >= 3 })})
			reveals(t, a, "all", "all joints turn", ask.Answer{Joints: []int{5, 4, 3, 2, 1, 0, 0}})
			reveals(t, a, "none", "no joint turns", ask.Answer{})
		}
		if want, ok := reaches(frame, axis, -sign); ok {
			reveals(t, a, "opposite", "minus for plus", ask.Answer{Joints: want})
		}
		other := map[string]string{"base": "tool", "tool": "base"}[frame]
		if want, ok := reaches(other, axis, sign); ok {
			reveals(t, a, "frame", "the "+other+" frame", ask.Answer{Joints: want})
		}
	})
	if least := map[bool]int{false: 15, true: 2}[testing.Short()]; compared < least {
		t.Errorf("only %d jogs compared", compared)
	}
}

// What stops a jog is told as what stops the jog that was thought of: the other way, in another frame, with nothing around.
func TestStopsRevealWhatLedToThem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawStanding(t)
		frame := rapid.SampledFrom([]string{"base", "tool", "joint"}).Draw(t, "frame")
		axis := rapid.IntRange(0, 5).Draw(t, "axis")
		names := map[bool][]string{false: {"x", "y", "z", "about-x", "about-y", "about-z"}, true: kinematics.JointNames[:]}[frame == "joint"]
		amount := rapid.SampledFrom([]string{" +60", " -300", " +300"}).Draw(t, "amount")
		line := frame + " " + names[axis] + amount
		a := asked(t, ask.Question{Kind: ask.Stop, Jog: line}, s.d)
		if err := a.Clear(); err != nil {
			t.Fatal(err)
		}
		answers := func(d *jog.Drive, line string) ask.Answer { // drives it, instead of looking ahead
			steps, err := jogfile.Parse("", []byte(line))
			if err != nil {
				t.Fatal(err)
			}
			run := d.Copy()
			if err := run.Start(steps[0].Jog); err != nil {
				t.Fatal(err)
			}
			for run.Tick() {
			}
			return ask.Answer{Stop: run.Stop().Answer()}
		}
		if right := answers(s.d, line); !a.Right(right) {
			t.Errorf("%s: driven it ends by %s, right is %s", line, right.Stop, a.Truth().Stop)
		}
		reveals(t, a, "nothing", "nothing stops it", ask.Answer{Stop: "nothing"})
		reveals(t, a, "opposite", "minus for plus", answers(s.d, frame+" "+names[axis]+map[bool]string{true: " +", false: " -"}[amount[1] == '-']+amount[2:]))
		if frame != "joint" {
			other := map[string]string{"base": "tool", "tool": "base"}[frame]
			_, tool := s.c.tcp(s.q)
			if r3.Norm(r3.Sub(tool[0], r3.Vec{X: 1}))+r3.Norm(r3.Sub(tool[1], r3.Vec{Y: 1})) > 1e-6 {
				reveals(t, a, "frame", "the "+other+" frame", answers(s.d, other+" "+names[axis]+amount))
			}
		}
		setup := s.d.Setup()
		setup.Scene, setup.SetDistance = nil, 0
		alone, err := jog.New(setup, s.q)
		if err != nil {
			t.Fatal(err)
		}
		reveals(t, a, "bare", "what is around the arm forgotten", answers(alone, line))
		if strings.HasPrefix(a.Truth().Stop, "limit") {
			for i := range kinematics.JointNames {
				reveals(t, a, "other-joint", "another joint’s limit", ask.Answer{Stop: "limit " + kinematics.JointNames[i]})
			}
		}
	})
}

// Numbers read in another frame, of another axis or another point, in another unit or from the floor.
func TestNumbersRevealWhatLedToThem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawStanding(t)
		axis := rapid.IntRange(0, 2).Draw(t, "axis")
		unit := rapid.SampledFrom([]words.Unit{words.MM, words.Inch}).Draw(t, "unit")
		scale := map[words.Unit]float64{words.MM: 1, words.Inch: 1 / 25.4}[unit]
		frame := rapid.SampledFrom([]jog.Frame{jog.BaseFrame, jog.WorldFrame}).Draw(t, "frame")
		a := asked(t, ask.Question{Kind: ask.Number, Measure: ask.Measure{Of: []string{"x", "y", "z"}[axis], Frame: frame}, Unit: unit}, s.d)
		at, _ := s.c.tcp(s.q)
		flange, _ := s.c.flange(s.q)
		mount := s.cell.Base(s.file)
		inFrame := func(p r3.Vec, f jog.Frame) [3]float64 { // the base frame in the world, by its columns
			if f == jog.WorldFrame {
				p = r3.Add(mount.Position, r3.Add(r3.Scale(p.X, mount.Rotation.X), r3.Add(r3.Scale(p.Y, mount.Rotation.Y), r3.Scale(p.Z, mount.Rotation.Z))))
			}
			return [3]float64{p.X, p.Y, p.Z}
		}
		says := func(x float64) ask.Answer { x *= scale; return ask.Answer{Number: &x} }
		x := inFrame(at, frame)[axis]
		if !a.Right(says(x)) || a.Right(says(x+1.5)) || !a.Right(says(x-0.9)) {
			t.Errorf("%s: right is %s, by vectors %v mm", a.Words(words.English), a.RightWords(words.English), x)
		}
		reveals(t, a, "sign", "the other sign", says(-x))
		for other := range 3 {
			if other != axis {
				reveals(t, a, "axis", "instead of", says(inFrame(at, frame)[other]))
			}
		}
		reveals(t, a, "flange", "the flange", says(inFrame(flange, frame)[axis]))
		if unit == words.MM {
			reveals(t, a, "inch", "inch for millimetre", says(x/25.4))
		} else {
			reveals(t, a, "mm", "millimetre for inch", says(x*25.4))
		}
		if other := map[jog.Frame]jog.Frame{jog.BaseFrame: jog.WorldFrame, jog.WorldFrame: jog.BaseFrame}[frame]; mount != kinematics.Identity {
			reveals(t, a, "origin", "the "+string(other)+" frame", says(inFrame(at, other)[axis]))
		}
		if frame == jog.WorldFrame && axis == 2 {
			for _, thing := range s.cell.Things { // floors of the shipped cells lie level
				if thing.Name == "floor" {
					reveals(t, a, "floor", "measured from the floor", says(x-thing.Pose.Position.Z))
				}
			}
		}
		joint := rapid.IntRange(0, 5).Draw(t, "joint")
		a = asked(t, ask.Question{Kind: ask.Number, Measure: ask.Measure{Of: "joint", Joint: joint}}, s.d)
		for other := range 6 {
			reveals(t, a, "joint", kinematics.JointNames[other]+" instead of "+kinematics.JointNames[joint], ask.Answer{Number: ptr(s.q[other] * 180 / math.Pi)})
		}
	})
}

func ptr(x float64) *float64 { return &x }

// at is the default arm with its pen over the bench.
func at(t testing.TB, deg [6]float64) *jog.Drive {
	t.Helper()
	arm, cell := scenarios.ShippedArms()[0], scenarios.ShippedCells()[0]
	setup, err := cell.Setup(arm, arm.Tools[0], 0)
	if err != nil {
		t.Fatal(err)
	}
	var q kinematics.Joints
	for i := range q {
		q[i] = kinematics.Radians(deg[i])
	}
	d, err := jog.New(setup, q)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Special poses: straight, at right angles, on a limit.
func TestSpecialPoses(t *testing.T) {
	in := words.English
	x, y := r3.Vec{X: 1}, r3.Vec{Y: 1}
	for _, c := range []struct {
		deg   [6]float64
		of    ask.Question
		right string // a part of the right answer
		given ask.Answer
		want  string // the name of its group
	}{
		{[6]float64{}, ask.Question{Kind: ask.Way, Jog: "base y +100"}, "will not move", arrow(y), "it goes where it is asked to"},
		{[6]float64{}, ask.Question{Kind: ask.Way, Jog: "base y +100"}, "will not move", arrow(r3.Scale(-1, y)), "minus for plus, or the mirror image of the frame (Y reversed), or as seen from the front"},
		{[6]float64{}, ask.Question{Kind: ask.Joints, Jog: "base y +100"}, "none", ask.Answer{Joints: []int{0}}, "other ways"},
		{[6]float64{}, ask.Question{Kind: ask.Stop, Jog: "base y +100"}, "a singularity", ask.Answer{Stop: "nothing"}, "nothing stops it"},
		// The pen points straight down: its X is the base frame's −X turned about Z; its Z is −Z.
		{[6]float64{4: 90}, ask.Question{Kind: ask.Way, Jog: "tool z +50"}, "Along +Z of the tool frame", arrow(r3.Vec{Z: 1}), "minus for plus, or the mirror image of the frame (Z reversed), or the base frame instead of the tool frame"},
		{[6]float64{4: 90}, ask.Question{Kind: ask.Way, Jog: "base x +50"}, "Along +X", arrow(x), "correct"},
		{[6]float64{4: 90}, ask.Question{Kind: ask.Way, Jog: "joint J6 +90"}, "−Z of the base frame", ask.Answer{Stays: true}, "the point stays"},
		{[6]float64{4: 90}, ask.Question{Kind: ask.Joints, Jog: "joint J6 +90"}, "J6", ask.Answer{Joints: []int{5}}, "correct"},
		{[6]float64{1: 110}, ask.Question{Kind: ask.Stop, Jog: "joint J2 +10"}, "J2 at its limit", ask.Answer{Stop: "limit J3"}, "another joint’s limit"},
		{[6]float64{1: 110}, ask.Question{Kind: ask.Joints, Jog: "joint J2 +10"}, "none", ask.Answer{Joints: []int{0, 1, 2, 3, 4, 5}}, "it goes where it is asked to"},
		{[6]float64{4: 90}, ask.Question{Kind: ask.Number, Measure: ask.Measure{Of: "z"}}, "110 mm", ask.Answer{Number: ptr(1260)}, "measured from the floor"},
		{[6]float64{4: 90}, ask.Question{Kind: ask.Number, Measure: ask.Measure{Of: "about-x"}}, "180°", ask.Answer{Number: ptr(-180)}, "correct"},
	} {
		a := asked(t, c.of, at(t, c.deg))
		given, err := a.Take(c.given)
		if err != nil {
			t.Fatal(err)
		}
		if g := a.Groups([]ask.Answer{given}, in)[0]; g.Name != c.want || !strings.Contains(a.RightWords(in), c.right) {
			t.Errorf("%.4g° %s: right is %q, %q is told as %q, want %q", c.deg, a.Words(in), a.RightWords(in), g.Given, g.Name, c.want)
		}
	}
}

// Answers that nothing explains are clustered, the scattered are one group, and the largest group comes first, whatever the order.
func TestGroupsWithoutABelief(t *testing.T) {
	a := asked(t, ask.Question{Kind: ask.Number, Measure: ask.Measure{Of: "z"}}, at(t, [6]float64{4: 90}))
	numbers := []float64{555, 555.4, 110, 777, 888, 555.2, 320, 110.4, 110, 109.5}
	var answers []ask.Answer
	for _, x := range numbers {
		answers = append(answers, ask.Answer{Number: ptr(x)})
	}
	want := []string{"correct 4", "another way: 555.2 mm 3", "other ways 2", "X instead of Z 1"}
	for range 3 {
		var got []string
		for _, g := range a.Groups(answers, words.English) {
			got = append(got, g.Name+" "+string(rune('0'+len(g.Members))))
		}
		if !slices.Equal(got, want) {
			t.Errorf("%q", got)
		}
		slices.Reverse(answers)
		answers[0], answers[5] = answers[5], answers[0]
	}
	// Arrows near each other are one group with their mean, those that are spread are others.
	a = asked(t, ask.Question{Kind: ask.Way, Jog: "joint J1 +10"}, at(t, [6]float64{4: 90}))
	answers = nil
	for _, v := range []r3.Vec{{X: 1, Y: -1, Z: 1}, {X: 1.1, Y: -1, Z: 1}, {X: 1, Y: -1, Z: 0.9}, {X: -1, Y: -1, Z: 1}} {
		given, err := a.Take(arrow(v))
		if err != nil {
			t.Fatal(err)
		}
		answers = append(answers, given)
	}
	groups := a.Groups(answers, words.English)
	if len(groups) != 2 || len(groups[0].Members) != 3 || groups[0].Arrow == nil || !strings.HasPrefix(groups[0].Name, "another way: ") || groups[1].Name != "other ways" {
		t.Errorf("%+v", groups)
	}
}

func TestChoices(t *testing.T) {
	in := words.English
	of := ask.Question{Kind: ask.Choice, Text: " Which  one? ", Options: []string{"the base", "the tool ", "both"}}
	for _, right := range [][]int{nil, {1}, {2, 0, 2}} {
		of.Right = right
		a := asked(t, of, at(t, [6]float64{}))
		answers := []ask.Answer{{Options: []int{1}}, {Options: []int{0, 2}}, {Options: []int{1}}}
		groups := a.Groups(answers, in)
		if len(groups) != 2 || groups[0].Name != "the tool" || len(groups[0].Members) != 2 || groups[0].Right != (len(right) == 1) || groups[1].Name != "the base; both" || groups[1].Right != (len(right) == 3) {
			t.Errorf("%v: %+v", right, groups)
		}
		if a.Graded() != (right != nil) || a.Several() != (len(right) > 1) || a.Words(in) != "Which one?" || (a.RightWords(in) == "") != (right == nil) {
			t.Errorf("%v: %v %v %q %q", right, a.Graded(), a.Several(), a.Words(in), a.RightWords(in))
		}
	}
}

func TestBadQuestionsAreRefused(t *testing.T) {
	many := make([]string, 9)
	for i := range many {
		many[i] = string(rune('a' + i))
	}
	for _, c := range []struct {
		of   ask.Question
		says string
	}{
		{ask.Question{Kind: "guess"}, `no question of the kind "guess"`},
		{ask.Question{Kind: ask.Way, Jog: "base w +100"}, `unknown direction "w"`},
		{ask.Question{Kind: ask.Way, Jog: ""}, "no jog"},
		{ask.Question{Kind: ask.Way, Jog: "base x +10\nbase y +10"}, "one jog"},
		{ask.Question{Kind: ask.Joints, Jog: "base x + let-go 1"}, "no amount"},
		{ask.Question{Kind: ask.Stop, Jog: "task rack x +10"}, `no task frame "rack"`},
		{ask.Question{Kind: ask.Stop, Jog: "speed 1\nbase x +10"}, "one jog"},
		{ask.Question{Kind: ask.Joints, Jog: "joint J1 +0.6"}, "too near to the 0.5°"},
		{ask.Question{Kind: ask.Number, Measure: ask.Measure{Of: "w"}}, `called "w"`},
		{ask.Question{Kind: ask.Number, Measure: ask.Measure{Of: "x", Frame: jog.ToolFrame}}, `not in "tool"`},
		{ask.Question{Kind: ask.Number, Measure: ask.Measure{Of: "x", Frame: jog.TaskFrames, Task: "rack"}}, `no task frame "rack"`},
		{ask.Question{Kind: ask.Number, Measure: ask.Measure{Of: "joint", Joint: 6}}, "J1 to J6"},
		{ask.Question{Kind: ask.Number, Measure: ask.Measure{Of: "about-z"}}, "not unique"}, // at zero the pen lies along X: 90° about Y
		{ask.Question{Kind: ask.Choice, Options: []string{"a", "b"}}, "Write the question"},
		{ask.Question{Kind: ask.Choice, Text: "?", Options: []string{"a"}}, "at least two"},
		{ask.Question{Kind: ask.Choice, Text: "?", Options: many}, "at most 8"},
		{ask.Question{Kind: ask.Choice, Text: "?", Options: []string{"a", " "}}, "Answer 2 is empty"},
		{ask.Question{Kind: ask.Choice, Text: "?", Options: []string{"a", "a "}}, "Answer 2 is the same"},
		{ask.Question{Kind: ask.Choice, Text: "?", Options: []string{"a", strings.Repeat("b", 121)}}, "longer than 120"},
		{ask.Question{Kind: ask.Choice, Text: "?", Options: []string{"a", "b"}, Right: []int{2}}, "marked as right"},
		{ask.Question{Kind: ask.Way, Jog: "base x +10", Text: strings.Repeat("ñ", 301)}, "at most 300"},
	} {
		err := c.of.Check(at(t, [6]float64{}))
		var problem words.Problem
		switch {
		case err == nil || !strings.Contains(err.Error(), c.says):
			t.Errorf("%+v: %v, want %q in it", c.of, err, c.says)
		case !errors.As(err, &problem):
			t.Errorf("%+v: %v is not said in other languages", c.of, err)
		}
		if err != nil && strings.ContainsAny(words.Find("es").Tell(err), "{‹") {
			t.Errorf("%q", words.Find("es").Tell(err))
		}
	}
}

func TestWhatIsNoAnswerIsRefused(t *testing.T) {
	d, nan := at(t, [6]float64{4: 90}), math.NaN()
	for _, c := range []struct {
		of    ask.Question
		given ask.Answer
	}{
		{ask.Question{Kind: ask.Way, Jog: "base x +10"}, ask.Answer{}},
		{ask.Question{Kind: ask.Way, Jog: "base x +10"}, arrow(r3.Vec{})},
		{ask.Question{Kind: ask.Way, Jog: "base x +10"}, arrow(r3.Vec{X: math.Inf(1)})},
		{ask.Question{Kind: ask.Joints, Jog: "base x +10"}, ask.Answer{Joints: []int{6}}},
		{ask.Question{Kind: ask.Joints, Jog: "base x +10"}, ask.Answer{Joints: make([]int, 65)}},
		{ask.Question{Kind: ask.Stop, Jog: "base x +10"}, ask.Answer{Stop: "limit J7"}},
		{ask.Question{Kind: ask.Number, Measure: ask.Measure{Of: "x"}}, ask.Answer{Number: &nan}},
		{ask.Question{Kind: ask.Number, Measure: ask.Measure{Of: "x"}}, ask.Answer{}},
		{ask.Question{Kind: ask.Choice, Text: "?", Options: []string{"a", "b"}}, ask.Answer{}},
		{ask.Question{Kind: ask.Choice, Text: "?", Options: []string{"a", "b"}}, ask.Answer{Options: []int{-1}}},
	} {
		if _, err := asked(t, c.of, d).Take(c.given); err == nil {
			t.Errorf("%+v takes %+v", c.of, c.given)
		}
	}
}

// The work comes in pieces, and the pieces come to the same.
func TestAQuestionIsComputedInPieces(t *testing.T) {
	d := at(t, [6]float64{20, 10, 15, 30, 60, 10})
	for _, of := range []ask.Question{{Kind: ask.Way, Jog: "base y +100"}, {Kind: ask.Joints, Jog: "base y +40"}, {Kind: ask.Stop, Jog: "base y +400"}} {
		whole := asked(t, of, d)
		a, err := of.Of(d)
		if err != nil {
			t.Fatal(err)
		}
		pieces := 0
		for ; !a.Advance(50); pieces++ {
		}
		if pieces < 2 || a.RightWords(words.English) != whole.RightWords(words.English) || a.Why(words.English) != whole.Why(words.English) {
			t.Errorf("%+v in %d pieces: %s, %s", of, pieces, a.RightWords(words.English), whole.RightWords(words.English))
		}
	}
}
