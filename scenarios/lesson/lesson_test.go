package lesson_test

import (
	"fmt"
	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"gonum.org/v1/gonum/spatial/r3"
)

// wren returns the shipped file with one piece of it replaced.
func wren(t *testing.T, old, new string) []byte {
	t.Helper()
	text, err := os.ReadFile("../arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if strings.Count(string(text), old) < 1 {
		t.Fatalf("the file has no %q", old)
	}
	return []byte(strings.Replace(string(text), old, new, 1))
}

// handTCP is the tip of Wren's pen by plain trigonometry, for an arm in its plane (J1, J4 and J6 at 0): the lengths are those of
// arms/wren.yaml, angles in degrees.
func handTCP(j2, j3, j5 float64) r3.Vec {
	sin, cos := func(d float64) float64 { return math.Sin(d * math.Pi / 180) }, func(d float64) float64 { return math.Cos(d * math.Pi / 180) }
	x, z := 40.0, 0.0
	x, z = x+270*sin(j2), z+270*cos(j2)
	x, z = x+30*sin(j2+j3)+280*cos(j2+j3), z+30*cos(j2+j3)-280*sin(j2+j3)
	reach := 70.0 + 120.0
	return r3.Vec{X: x + reach*cos(j2+j3+j5), Z: z - reach*sin(j2+j3+j5)}
}

// Answers of the shipped lessons that can be had with pencil and paper, by formulas that share nothing with the package.
func TestComputedAnswersByHand(t *testing.T) {
	start := handTCP(0, 0, 90)
	sin25 := math.Sin(25 * math.Pi / 180)
	fore := math.Hypot(280, 30)
	for _, test := range []struct {
		lesson string
		stage  string
		want   float64
		how    string
	}{
		{"where-the-numbers-start", "The walk to the tip", start.X, "the walk along X"},
		{"where-the-numbers-start", "In inches", start.X / 25.4, "in inches"},
		{"where-the-numbers-start", "Before it moves", start.Z - 40, "40 mm lower"},
		{"where-the-numbers-start", "Another origin, other numbers", start.Z + 300, "Wren's base frame is 300 mm above its mounting surface"},
		{"turning-about-the-tip", "The numbers of an orientation", 165, "half a turn about Z and 15° less"},
		{"base-tool-task", "One jog, two numbers", start.Z + 50*sin25, "a slope of 25°"},
		{"limits-and-room", "How much room?", 80, "the lower limit of J2, from zero"},
		{"limits-and-room", "Straight ahead", 40 + math.Sqrt(math.Pow(270+fore, 2)-300*300) - start.X, "the wrist's centre 300 mm up, the arm straight"},
		{"two-ways", "Prove it", 190, "70 mm of hand and 120 mm of pen, to the left"},
	} {
		l, err := scenarios.OpenLesson(test.lesson, 0)
		if err != nil {
			t.Fatal(err)
		}
		d, err := l.Drive(stageOf(t, l, test.stage).Begin)
		if err != nil {
			t.Fatal(err)
		}
		truth, err := stageOf(t, l, test.stage).Task.(lesson.Asked).Truth(l, d)
		if err != nil || math.Abs(*truth.Answer.Number-test.want) > 1e-3 {
			t.Errorf("%s, %s: %v %v, want %v (%s)", test.lesson, test.stage, truth.Words, err, test.want, test.how)
		}
	}
}

// matrixFK is Wren's forward kinematics by 4×4 matrices, axis by axis (Craig, Introduction to Robotics, ch. 3, with frames along
// the base's axes), with the pen. It shares nothing with the package.
func matrixFK(q [6]float64) (m [4][4]float64) {
	mul := func(a, b [4][4]float64) (c [4][4]float64) {
		for i := range 4 {
			for j := range 4 {
				for k := range 4 {
					c[i][j] += a[i][k] * b[k][j]
				}
			}
		}
		return c
	}
	shift := func(x, y, z float64) [4][4]float64 {
		return [4][4]float64{{1, 0, 0, x}, {0, 1, 0, y}, {0, 0, 1, z}, {0, 0, 0, 1}}
	}
	about := func(axis byte, a float64) [4][4]float64 {
		s, c := math.Sin(a), math.Cos(a)
		switch axis {
		case 'x':
			return [4][4]float64{{1, 0, 0, 0}, {0, c, -s, 0}, {0, s, c, 0}, {0, 0, 0, 1}}
		case 'y':
			return [4][4]float64{{c, 0, s, 0}, {0, 1, 0, 0}, {-s, 0, c, 0}, {0, 0, 0, 1}}
		}
		return [4][4]float64{{c, -s, 0, 0}, {s, c, 0, 0}, {0, 0, 1, 0}, {0, 0, 0, 1}}
	}
	m = about('z', q[0])
	for _, next := range [][4][4]float64{
		shift(40, 0, 0), about('y', q[1]), shift(0, 0, 270), about('y', q[2]), shift(0, 0, 30), about('x', q[3]),
		shift(280, 0, 0), about('y', q[4]), about('x', q[5]), shift(70, 0, 0), about('y', math.Pi/2), shift(0, 0, 120),
	} {
		m = mul(m, next)
	}
	return m
}

// solveStraight follows a straight move of Wren's pen by Newton's method on matrixFK with differences for derivatives, and returns
// how far each joint travels.
func solveStraight(t *testing.T, q [6]float64, move r3.Vec) (travel [6]float64) {
	t.Helper()
	from := matrixFK(q)
	const pieces = 400
	for k := 1; k <= pieces; k++ {
		part := float64(k) / pieces
		want := from
		want[0][3] += move.X * part
		want[1][3] += move.Y * part
		want[2][3] += move.Z * part
		before := q
		for range 30 {
			miss := difference(matrixFK(q), want)
			var a [6][7]float64
			for j := range 6 {
				other := q
				other[j] += 1e-6
				shifted := difference(matrixFK(other), want)
				for i := range 6 {
					a[i][j] = (shifted[i] - miss[i]) / 1e-6
				}
			}
			for i := range 6 {
				a[i][6] = -miss[i]
			}
			step := eliminate(a)
			size := 0.0
			for j := range 6 {
				q[j] += step[j]
				size += math.Abs(step[j])
			}
			if size < 1e-12 {
				break
			}
		}
		for j := range 6 {
			travel[j] += math.Abs(q[j] - before[j])
		}
	}
	return travel
}

// difference is position in mm and, times 100, the skew part of Rᵀ·R'.
func difference(a, b [4][4]float64) (d [6]float64) {
	var e [3][3]float64
	for i := range 3 {
		d[i] = a[i][3] - b[i][3]
		for j := range 3 {
			for k := range 3 {
				e[i][j] += b[k][i] * a[k][j]
			}
		}
	}
	d[3], d[4], d[5] = 50*(e[2][1]-e[1][2]), 50*(e[0][2]-e[2][0]), 50*(e[1][0]-e[0][1])
	return d
}

// eliminate solves six equations (Gauss, with pivots).
func eliminate(a [6][7]float64) (x [6]float64) {
	for c := range 6 {
		best := c
		for r := c; r < 6; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[best][c]) {
				best = r
			}
		}
		a[c], a[best] = a[best], a[c]
		for r := range 6 {
			if r != c {
				f := a[r][c] / a[c][c]
				for k := c; k < 7; k++ {
					a[r][k] -= f * a[c][k]
				}
			}
		}
	}
	for i := range 6 {
		x[i] = a[i][6] / a[i][i]
	}
	return x
}

func TestWhichJointsWorkByNewtonsMethod(t *testing.T) {
	bent := [6]float64{4: math.Pi / 2}
	for _, test := range []struct {
		lesson string
		stage  string
		from   [6]float64
		move   r3.Vec
		limit  float64 // degrees, from which a joint counts as moving
	}{
		{"straight-lines", "Who works for X?", bent, r3.Vec{X: 50}, 0.2},
		{"straight-lines", "Who works for Y?", bent, r3.Vec{Y: 80}, 0.3},
	} {
		l, _ := scenarios.OpenLesson(test.lesson, 0)
		d, _ := l.Drive(stageOf(t, l, test.stage).Begin)
		truth, err := stageOf(t, l, test.stage).Predict.Truth(l, d)
		if err != nil {
			t.Fatal(err)
		}
		var moving []int
		travel := solveStraight(t, test.from, test.move)
		for i, a := range travel {
			if a*180/math.Pi > test.limit {
				moving = append(moving, i)
			}
		}
		if !slices.Equal(moving, truth.Answer.Joints) {
			t.Errorf("%s, %s: %v, want %v", test.lesson, test.stage, truth.Words, moving)
		}
	}
	// How far J4 turns with J5 bent by 10°, and the share of J6 in the jog along Y.
	l, _ := scenarios.OpenLesson("first-straight-line", 0)
	much := stageOf(t, l, "How much is enough?")
	d, _ := l.Drive(much.Begin)
	truth, err := much.Read.Truth(l, d)
	want := solveStraight(t, [6]float64{4: math.Pi / 18}, r3.Vec{Y: 50})[3] * 180 / math.Pi
	if err != nil || math.Abs(*truth.Answer.Number-want) > 0.01 {
		t.Errorf("J4 turns %v, want %v: %v", truth.Words, want, err)
	}
	travel := solveStraight(t, bent, r3.Vec{Y: 80})
	sum := 0.0
	for _, a := range travel {
		sum += a
	}
	l, _ = scenarios.OpenLesson("straight-lines", 0)
	d, _ = l.Drive(l.Stages[3].Begin)
	if v, err := l.Stages[3].Choose.Options[0].When.Of(l, d); err != nil || math.Abs(v.X-travel[5]/sum) > 1e-3 {
		t.Errorf("share of J6 %v, want %v: %v", v, travel[5]/sum, err)
	}
}

// A turning joint moves a point at right angles to its axis and to the line from the axis: ω × r (any textbook of mechanics;
// from memory). What is asked is how the point starts, so exactly that arrow is 0.0° off, and not the way to where the arc ends.
func TestPredictedDirectionsByTheCrossProduct(t *testing.T) {
	tip := handTCP(0, 0, 90)
	leaning := handTCP(0, 0, 45)
	for _, test := range []struct {
		lesson string
		stage  string
		axis   r3.Vec
		from   r3.Vec // a point of the axis
		point  r3.Vec
		jogged float64 // degrees
	}{
		{"joints-one-at-a-time", "Which way is plus?", r3.Vec{Z: 1}, r3.Vec{}, r3.Vec{Y: tip.X, Z: tip.Z}, 20}, // J1 at 90°
		{"joints-one-at-a-time", "The shoulder", r3.Vec{Y: 1}, r3.Vec{X: 40}, tip, 10},
		{"the-right-hand", "A pen that points forward", r3.Vec{Z: 1}, r3.Vec{}, leaning, -15},
		{"the-right-hand", "Turns have a sign too", r3.Vec{X: 1}, tip, r3.Add(tip, r3.Vec{Z: 120}), 20},
		{"turning-about-the-tip", "Before it turns", r3.Vec{Y: 1}, tip, r3.Add(tip, r3.Vec{Z: 120}), -20},
	} {
		l, _ := scenarios.OpenLesson(test.lesson, 0)
		d, _ := l.Drive(stageOf(t, l, test.stage).Begin)
		truth, err := stageOf(t, l, test.stage).Predict.Truth(l, d)
		if err != nil {
			t.Fatal(err)
		}
		tangent := r3.Scale(math.Copysign(1, test.jogged), r3.Cross(test.axis, r3.Sub(test.point, test.from)))
		if off := kinematics.AngleBetween(*truth.Answer.Arrow, tangent); off > 1e-4 {
			t.Errorf("%s, %s: %v is %g rad off", test.lesson, test.stage, *truth.Answer.Arrow, off)
		}
		run := lesson.NewRun(l)
		if err := run.Enter(slices.IndexFunc(l.Stages, func(s lesson.Stage) bool { return s.Title == test.stage }), d); err != nil {
			t.Fatal(err)
		}
		v, err := run.Answer(d, lesson.Answer{Arrow: &tangent})
		if err != nil || !v.Done || *v.Error > 0.05 {
			t.Errorf("%s, %s: dragged exactly that way: %+v %v", test.lesson, test.stage, v, err)
		}
	}
}

// lessonText is a lesson with one stage.
func lessonText(stage string) string {
	return "title: A\narm: wren\ncell: glazing-bench\nstart_deg: [0, 0, 0, 0, 90, 0]\nstages:\n  - text: Read this.\n    " + strings.ReplaceAll(stage, "\n", "\n    ") + "\n"
}

// Each lesson breaks one rule, and is answered at the character where it does, which ‸ stands before.
func TestBadLessonsSayWhereAndWhat(t *testing.T) {
	for _, test := range []struct{ text, says string }{
		{"title: A\narm: ‸wern\nstages: [{text: b}]\n", `lesson: arm: no arm "wern" ships with handrule; did you mean "wren"`},
		{"title: A\narm: wren\ncell: ‸glazing\nstages: [{text: b}]\n", `lesson: cell: no cell "glazing" ships`},
		{"title: A\narm: ‸../wren.yaml\nstages: [{text: b}]\n", `nothing is beside this lesson`},
		{"title: A\narm: wren\nstart_deg: ‸[0, 200, 0, 0, 0, 0]\nstages: [{text: b}]\n", "J2 at 200°"},
		{"title: A\narm: wren\ntool: ‸hammer\nstages: [{text: b}]\n", "has no tool"},
		{"title: A\narm: wren\nstages: ‸[]\n", "lesson: stages must not be empty"},
		{"title: A\narm: wren\nstages: [{‸txet: b}]\n", `stage 1: unknown field "txet"; did you mean "text"`},
		{"title: A\narm: wren\nstages: [{text: b, allow: {frames: [‸bse]}}]\n", `did you mean "base"`},
		{"title: A\narm: wren\ndraw: [{name: a, from: 1, to: 2, step: 1}]\nstages: [{text: ‸about $b}]\n", "$b is not drawn"},
		{"title: A\narm: wren\ndraw: [‸{name: a, from: 1, to: 1, step: 1}]\nstages: [{text: b}]\n", "2 to 10000 numbers to draw from, not 1"},
		{"title: A\narm: wren\ndraw: [{name: a, from: ‸3, to: 1, step: 1}]\nstages: [{text: b}]\n", "from is above to; write from: 1, to: 3"},
		{"title: A\narm: wren\ndraw: [{name: a, one_of: [1, 2]}]\nstages: [{text: b, predict: {jog: ‸base x +$a*2, ask: stop}}]\n", `"$a*2": nothing is reckoned`},
		{"title: A\narm: wren\ndraw: [{name: a, one_of: [130, 140]}]\nstages: [{text: b, reach: {joint: J5, angle_deg: ‸$a, tolerance_deg: 1}}]\n", "(with $a 1"},
		{lessonText("reach: {position_mm: ‸[320, 0, 110]}"), "goes with tolerance_mm, such as 1"},
		{lessonText("points: ‸2\nread: {measure: z, tolerance: 1}"), "goes with an assessment; write assessment: {} in the lesson"},
		{lessonText("shape_of: ‸which\nread: {measure: z, tolerance: 1}"), `is "which" of this stage alone`},
		{"title: A\narm: wren\nassessment: {tries: ‸0}\nstages: [{text: b}]\n", "from 1 to 1000, not 0"},
		{"title: A\narm: wren\nassessment: {late_counts: ‸2}\nstages: [{text: b}]\n", "from 0 to 1, not 2"},
		{"title: A\narm: wren\nassessment: {ask_for: [‸adress]}\nstages: [{text: b}]\n", "name, number, e-mail"},
		{"title: A\narm: wren\nassessment: {ask_for: ‸[name, name]}\nstages: [{text: b}]\n", "names name twice"},
		{"title: A\narm: wren\nassessment: {order: ‸random}\nstages: [{text: b}]\n", "drawn"},
		{"title: A\narm: wren\nassessment: {order: drawn}\nstages: [{text: b}, {text: c, go_on: ‸true}]\n", "does not go with stages that are drawn"},
		{"title: A\narm: wren\nassessment: {}\nstages: [{text: b, points: ‸2}]\n", "is of a task, and this stage has none"},
		{"title: A\narm: wren\nassessment: {}\nstages: [{text: b, tries: ‸2, free: {notice: [{text: c, event: jogged}]}}]\n", "in which nothing can fail"},
		{lessonText("view: {from_mm: ‸[0, 0, 50], at_mm: [0, 0, 0]}"), "stage 1, view: from_mm is less than 100 mm from at_mm"},
		{lessonText("view: ‸{from_mm: [0, 0, 500]}"), "at_mm is missing"},
		{"title: A\narm: wren\nstages:\n  - text: ‸Note: a colon\n", "put a text that has a colon into quotes"},
		{"title: A\narm: wren\nstages:\n  - text: b\n‸\tgo_on: true\n", "indent with spaces"},
		{"title: A\narm: wren\nstages:\n  - text: b\n   ‸go_on: true\n", "look at the indentation"},
		{"title: A\narm: wren\nstages:\n  - text: |\n    ‸b\n", "look at the indentation"},
		{lessonText("read: {measure: x, tolerance: 0,‸5}"), "a decimal number is written with a point"},
		{lessonText("reach: {‸position: [320, 0, 110], tolerance_mm: 1}"), `did you mean "position_mm"`},
		{lessonText("reach: {frame: ‸tile, position_mm: [1, 2, 3], tolerance_mm: 1}"), "for a task frame of that name: task tile"},
		{lessonText("reach: ‸{tolerance_mm: 1}"), "needs position_mm, rotation_deg or both"},
		{lessonText("reach: {position_mm: [320, 0, 110], tolerance_mm: ‸0}"), "must be more than 0"},
		{lessonText("reach: {joint: J5, angle_deg: ‸150, tolerance_deg: 1}"), "outside the limits"},
		{lessonText("reach: {joint: ‸J7, angle_deg: 1, tolerance_deg: 1}"), `"J7"`},
		{lessonText("reach: {frame: ‸task tlie, position_mm: [1, 2, 3], tolerance_mm: 1}"), `did you mean "tile"`},
		{lessonText("reach: {position_mm: [1, 2, 3], tolerance_mm: 1, most_jogs: ‸1.5}"), "whole number"},
		{lessonText("reach: {position_mm: [1, 2, 3], tolerance_mm: 1, wrist: ‸minsu}"), `did you mean "minus"`},
		{lessonText("reach: {joint: J1, angle_deg: 1, tolerance_deg: 1, elbow: ‸up}"), "goes with position_mm"},
		{lessonText("reach: {position_mm: [1, 2, 3], tolerance_mm: 1, frames: [task, base], taught: ‸true}"), "taught goes with frames: [task]"},
		{lessonText("reach: {joint: J1, angle_deg: 1, tolerance_deg: 1, path_factor: ‸1.2}"), "means nothing without position_mm"},
		{lessonText("reach: {joint: J1, angle_deg: 1, tolerance_deg: 1}\npredict: ‸{jog: base x +1, ask: stop}"), "does not go with reach"},
		{lessonText("predict: {jog: ‸base w +1, ask: stop}"), "unknown direction"},
		{lessonText("predict: {jog: base x +1, ask: ‸stopp}"), `did you mean "stop"`},
		{lessonText("read: {measure: ‸q, tolerance: 1}"), `stage 1, read: measure is "q"`},
		{lessonText("read: ‸{measure: joint, tolerance: 1}"), "needs joint"},
		{lessonText("read: {measure: ‸wrist, tolerance: 1}"), "is a word and not a number"},
		{lessonText("read: {measure: room, toward: ‸base q +, tolerance: 1}"), "must be a direction"},
		{lessonText("choose: {question: q, options: ‸[{text: a, right: true}]}"), "at least two"},
		{lessonText("choose: {question: q, options: [{text: a, when: {measure: wrist, is: ‸pluss}}, {text: b}]}"), `did you mean "plus"`},
		{lessonText("choose: {question: q, shows: ‸{}, options: [{text: a, right: true}, {text: b}]}"), "needs jog, line_mm or clearance: true"},
		{lessonText("choose: {question: q, shows: {line_mm: ‸[[0, 0, 0]]}, options: [{text: a, right: true}, {text: b}]}"), "shows: line_mm is one point"},
		{lessonText("choose: {question: q, shows: {jog: ‸task tlie z +10}, options: [{text: a, right: true}, {text: b}]}"), `did you mean "tile"`},
		{lessonText("choose: {question: q, options: [{text: a, right: true}, {text: b, shows: {clearance: true, point_mm: ‸[10, 0, 0]}}]}"), "there is no jog"},
		{lessonText("choose: {question: q, options: [{text: a, when: {measure: wrist, is: plus}, shows: ‸{jog: joint J5 +10}}, {text: b}]}"), "does not go with when"},
		{"title: A\narm: wren\nstages: [{text: b, choose: {question: q, shows: {clearance: ‸true}, options: [{text: a, right: true}, {text: b}]}}]\n", "the lesson needs a cell"},
		{lessonText("free: {notice: [‸{text: a}]}"), "needs event, when or both"},
		{lessonText("hints: ‸[a]"), "are for a task"},
		{lessonText("reach: {joint: ‸J5, angle_deg: 60}"), "joint goes with tolerance_deg, such as 2"},
		{lessonText("hints: [{after: 3, text: Left, ‸plus is left.}]"), "hints, entry 1: unknown field \"plus is left.\"; a text that has a comma goes into quotes"},
		{lessonText("hints:\n  - ‸Think: up first."), "hints, entry 1, must be text, or after and text; put a text that has a colon into quotes"},
		{lessonText("hints:\n  ‸-Up first."), "a space goes after the dash"},
		{lessonText("title: ‸**Now**"), "a text that begins with * or & goes into quotes"},
		{lessonText("‸title:Now say"), "a space goes after a field's colon"},
		{lessonText("title: 'Now it'‸s time"), "ends at the next one"},
		{lessonText("title: ‸@home"), "a text that begins with @ goes into quotes"},
		{lessonText("title: ‸`Now` say"), "a text that begins with ` goes into quotes"},
		{lessonText("title: ‸? What"), "a text that begins with ? goes into quotes"},
		{lessonText("title: ‸- What"), "a text that begins with - goes into quotes"},
		{lessonText("title: [x] ‸y"), "a text that begins with [ or { goes into quotes"},
		{lessonText("free: {notice: [{text: a, when: ‸{measure: wrist, at_least: 3}}]}"), "when needs the word that it should be, such as is: plus"},
		{lessonText("free: {notice: [{text: a, when: {measure: wrist, is: ‸bent}}]}"), `when: is: "bent" is no word for wrist`},
		{lessonText("allow: {show: [ghost], hide: ‸[ghost]}"), "names ghost, which show offers"},
		{"title: A\narm: wren\nallow: {show: [trail], hide: ‸[walk, trail]}\nstages: [{text: b}]\n", "names trail, which show offers"},
		{lessonText("reach: {joint: J1, angle_deg: 1, tolerance_deg: 1}\nhints: ‸[{after: 3, text: a}, {after: 1, text: b}]"), "out of order"},
		{"title: A\narm: wren\nstages:\n  - text: |\n      Plain.\n\n      ‸<script>alert(1)</script>\n", "HTML is not shown"},
		{"title: A\narm: wren\nstages:\n  - text: |\n      a ‸<b>bold</b> word\n", "HTML is not shown"},
		{"title: A\narm: wren\nstages:\n  - text: ‸'[x](javascript:alert(1))'\n", "a link starts with https://"},
		{"title: A\narm: wren\nstages:\n  - text: ‸'![x](../secret.png)'\n", "is not in the lesson's folder"},
		{"title: A\narm: wren\nstages:\n  - text: ‸'![x](https://example.org/a.png)'\n", "is not in the lesson's folder"},
		{"title: A\narm: wren\nstages:\n  - text: ‸'![x](a.svg)'\n", "must be one of"},
	} {
		before, _, _ := strings.Cut(test.text, "‸")
		line := strings.Count(before, "\n") + 1
		column := utf8.RuneCountInString(before[strings.LastIndex(before, "\n")+1:]) + 1
		_, err := scenarios.ReadLesson("f", []byte(strings.Replace(test.text, "‸", "", 1)))
		if at := fmt.Sprintf("f:%d:%d: ", line, column); err == nil || !strings.Contains(err.Error(), at) || !strings.Contains(err.Error(), test.says) {
			t.Errorf("want %q and %q in\n%v", at, test.says, err)
		}
	}
}

// What is only read has a true minus sign; what is driven is written as files are.
func TestADrawnNumberIsReadWithItsSign(t *testing.T) {
	l, err := scenarios.ReadLesson("f", []byte("title: A\narm: wren\ndraw: [{name: a, one_of: [-20, -10]}]\nstages:\n"+
		"  - {text: \"Turn J1 to $a°.\", reach: {joint: J1, angle_deg: $a, tolerance_deg: 1}}\n"))
	if err != nil {
		t.Fatal(err)
	}
	drawn, _, err := solve.Drawn(l, lesson.Deal{})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(drawn.HTML, "Turn J1 to −") || strings.Contains(drawn.HTML, "to -") {
		t.Error(drawn.HTML)
	}
}

// Without a cell the arm stands alone on its mounting surface, as on the page: it can touch that, and itself.
func TestALessonWithoutACell(t *testing.T) {
	dir := t.TempDir()
	long := wren(t, "to_mm: [265, 0, 300]", "to_mm: [295, 0, 300]") // link 4 ends beside link 6 bent by 90°
	if err := os.WriteFile(filepath.Join(dir, "long.yaml"), long, 0o600); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "lesson.yaml")
	for _, test := range []struct{ start, stage, says string }{
		{"[0, 0, 0, 0, 115, 0]", "text: a", "lesson.yaml:3:12: lesson: start_deg: the arm touches something where it begins: link 4"},
		{"[0, 0, 0, 0, 45, 0]", "{text: a, start_deg: [0, 0, 0, 0, 115, 0]}", "lesson.yaml:5:26: stage 1: start_deg: the arm touches"},
		{"[0, 0, 0, 0, 45, 0]", "{text: a, predict: {jog: joint J2 +90, ask: stop}}", ""},
	} {
		if err := os.WriteFile(path, []byte("title: A\narm: long.yaml\nstart_deg: "+test.start+"\nstages:\n  - "+test.stage+"\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		l, err := scenarios.OpenLesson(path, 0)
		if err != nil {
			t.Fatal(err)
		}
		solutions, err := solve.Check(l)
		if test.says == "" && err == nil && len(solutions) == 1 && solutions[0].Truth.Words == "contact" {
			continue
		}
		if test.says == "" || err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s, %s: want %q: %v, %v", test.start, test.stage, test.says, solutions, err)
		}
	}
}

// drive makes the jogs of these lines in a run of the one stage.
func driveStage(t *testing.T, stage string, lines ...string) (*lesson.Run, *jog.Drive, lesson.Verdict) {
	t.Helper()
	l, err := scenarios.ReadLesson("f", []byte(lessonText(stage)))
	if err != nil {
		t.Fatal(err)
	}
	d, err := l.Drive(l.Start)
	if err != nil {
		t.Fatal(err)
	}
	run := lesson.NewRun(l)
	if err := run.Enter(0, d); err != nil {
		t.Fatal(err)
	}
	var v lesson.Verdict
	jogs, err := jogfile.Parse("jogs", []byte(strings.Join(lines, "\n")))
	if err != nil {
		t.Fatal(err)
	}
	for _, j := range jogs {
		if v, err = run.Drive(d, j.Jog); err != nil {
			t.Fatal(err)
		}
	}
	return run, d, v
}

func TestRulesOfReachAreKept(t *testing.T) {
	place := "reach: {position_mm: [320, 60, 110], tolerance_mm: 1"
	here := "reach: {position_mm: [320, 0, 110], rotation_deg: [180, 0, 180], tolerance_mm: 1, tolerance_deg: 1, wrist: minus"
	for _, test := range []struct {
		stage string
		jogs  []string
		done  bool
		says  string // of a failed try; "" where the try goes on or is done
	}{
		{place + "}", []string{"base y +60"}, true, ""},
		{place + "}", []string{"base y +58.9"}, false, ""},
		{place + "}", []string{"base y +59"}, true, ""},
		{place + ", frames: [base]}", []string{"joint J1 +5"}, false, "does not allow jogs in this frame: joints"},
		{place + ", frames: [tool]}", []string{"tool y +60"}, true, ""},
		{place + ", most_jogs: 2}", []string{"base y +30", "base y +20"}, false, "jog 2 of 2"},
		{place + ", path_factor: 1.1}", []string{"base x +30", "base x -30", "base y +60"}, false, "are allowed"},
		{place + ", keep_direction_deg: 1}", []string{"joint J5 -5"}, false, "turned 5.0°"},
		{"reach: {position_mm: [360, 0, -330], tolerance_mm: 5, no_contact: true}", []string{"base x +40", "base z -440"}, false, "Something was touched"},
		{"reach: {rotation_deg: [180, 0, -160], tolerance_deg: 1}", []string{"base about-z +20"}, true, ""},
		{"reach: {joint: J1, angle_deg: 30, tolerance_deg: 1}", []string{"joint J1 +29"}, true, ""},
		{here + "}", []string{"base y +10", "base y -10"}, false, ""}, // the place, but the wrist is plain
		{here + "}", []string{"joint J4 +180", "joint J5 -180", "joint J6 -180"}, true, ""},
		{here + ", elbow: below}", []string{"joint J4 +180", "joint J5 -180", "joint J6 -180"}, false, ""},
	} {
		run, _, v := driveStage(t, test.stage, test.jogs...)
		if v.Done != test.done || v.Failed != (test.says != "") || !strings.Contains(v.Words, test.says) {
			t.Errorf("%s by %v: %+v", test.stage, test.jogs, v)
		}
		if p := run.Progress.Stages[0]; p.Done != test.done || p.Tries != map[bool]int{true: 1}[test.done || test.says != ""] {
			t.Errorf("%s by %v: %+v", test.stage, test.jogs, p)
		}
	}
}

func TestAnswersAreGradedAndCounted(t *testing.T) {
	run, d, _ := driveStage(t, "read: {measure: x, unit: inch, tolerance: 0.01}\nhints: [one, {after: 3, text: three}]", "joint J6 +1")
	for i, test := range []struct {
		x     float64
		done  bool
		hints int
	}{{320, false, 1}, {13, false, 1}, {12.6101, false, 2}, {12.6, true, 2}} {
		v, err := run.Answer(d, lesson.Answer{Number: &test.x})
		if err != nil || v.Done != test.done || len(run.Hints()) != test.hints {
			t.Errorf("answer %d: %+v %v, hints %v", i+1, v, err, run.Hints())
		}
	}
	run.Wait(12)
	p := run.Progress.Stages[0]
	if p.Tries != 4 || p.Jogs != 1 || p.Hints != 2 || len(p.Answers) != 4 || math.Abs(*p.Answers[0].Error-(320-320/25.4)) > 1e-4 {
		t.Errorf("%+v", p)
	}
	if nan := math.NaN(); true {
		run, d, _ := driveStage(t, "read: {measure: x, tolerance: 1}", "joint J6 +1")
		if _, err := run.Answer(d, lesson.Answer{Number: &nan}); err == nil || run.Progress.Stages[0].Tries != 0 {
			t.Error("no number was graded")
		}
	}
}

func TestPredictionsWrongThenRight(t *testing.T) {
	l, err := scenarios.ReadLesson("f", []byte(lessonText("predict: {jog: base y +50, ask: direction}")))
	if err != nil {
		t.Fatal(err)
	}
	d, _ := l.Drive(l.Start)
	run := lesson.NewRun(l)
	run.Enter(0, d)
	if run.MayJog() {
		t.Error("the arm moves before the answer")
	}
	wrong, right := r3.Vec{X: 1, Y: 1}, r3.Vec{X: 0.4, Y: 1}
	for _, test := range []struct {
		a    lesson.Answer
		done bool
	}{{lesson.Answer{Direction: "x +"}, false}, {lesson.Answer{Arrow: &wrong}, false}, {lesson.Answer{Arrow: &right}, true}} {
		if v, err := run.Answer(d, test.a); err != nil || v.Done != test.done {
			t.Errorf("%+v: %+v %v", test.a, v, err)
		}
	}
	if p := run.Progress.Stages[0]; math.Abs(*p.Answers[0].Error-90) > 1e-4 || math.Abs(*p.Answers[1].Error-45) > 1e-4 || !run.MayJog() {
		t.Errorf("%+v", p)
	}
}

func TestProgressIsTakenUpAgain(t *testing.T) {
	run, d, _ := driveStage(t, "reach: {joint: J1, angle_deg: 30, tolerance_deg: 1}", "joint J1 +30")
	again := lesson.NewRun(run.Lesson)
	if err := again.Resume(run.Progress); err != nil || !again.Progress.Done() {
		t.Errorf("%v", err)
	}
	other, _, _ := driveStage(t, "read: {measure: x, tolerance: 1}", "joint J1 +1")
	if err := other.Resume(run.Progress); err != nil || other.Progress.Done() || len(other.Lost) != 1 {
		t.Error("another task's progress was taken")
	}
	run.Progress.Lesson = "g"
	if err := other.Resume(run.Progress); err == nil {
		t.Error("another lesson's progress was taken")
	}
	if err := again.Enter(0, d); err != nil || !again.MayJog() {
		t.Errorf("%v", err)
	}
}

// What a lesson names comes from its own folder, and nothing leads out of it.
func TestALessonsFolder(t *testing.T) {
	dir := t.TempDir()
	write := func(name string, text []byte) {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	outside := filepath.Join(t.TempDir(), "secret.yaml")
	if err := os.WriteFile(outside, wren(t, "name: Wren", "name: Secret"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outside, filepath.Join(dir, "link.yaml")); err != nil {
		t.Fatal(err)
	}
	write("heron.yaml", wren(t, "name: Wren", "name: Heron"))
	write("bad.yaml", wren(t, "speed_deg_s: 240", "speed_deg_s: -1"))
	write("yard.yaml", []byte("name: Yard\nthings: [{name: post, at_mm: [900, 0, 0], radius_mm: 9}]\n"))
	write("wrist.png", []byte("a picture"))
	lesson := func(arm, cell, text string) error {
		path := filepath.Join(dir, "lesson.yaml")
		write("lesson.yaml", []byte("title: A\narm: "+arm+"\ncell: "+cell+"\nstages: [{text: '"+text+"'}]\n"))
		l, err := scenarios.OpenLesson(path, 0)
		if err == nil && l.Arm.Name == "Heron" && (l.Cell == nil || l.Cell.Name != "Yard") {
			t.Errorf("%+v", l.Cell)
		}
		return err
	}
	if err := lesson("heron.yaml", "yard.yaml", "![a wrist](wrist.png)"); err != nil {
		t.Error(err)
	}
	if err := lesson("heron.yaml", "{name: Yard, things: []}", "b"); err != nil {
		t.Error(err)
	}
	for _, test := range []struct{ arm, cell, text, says string }{
		{"link.yaml", "yard.yaml", "b", "no file \"link.yaml\" in the lesson's folder can be read"},
		{outside, "yard.yaml", "b", "is not in the lesson's folder"},
		{"heron.yaml", "../yard.yaml", "b", "is not in the lesson's folder"},
		{"heron.yaml", outside, "b", "is not in the lesson's folder"},
		{"heron.yaml", "yard.yaml", "![x](/etc/hostname.png)", "is not in the lesson's folder"},
		{"heron.yaml", "yard.yaml", "![x](..%2fsecret.png)", "is not in the lesson's folder"},
		{"../secret.yaml", "yard.yaml", "b", "is not in the lesson's folder"},
		{"bad.yaml", "yard.yaml", "b", "bad.yaml:5:"},
		{"heron.yaml", "nowhere.yaml", "b", "there is no file"},
		{"heron", "yard.yaml", "b", "for the file beside the lesson write heron.yaml"},
		{"heron.yaml", "yard", "b", "for the file beside the lesson write yard.yaml"},
		{"heron.yaml", "{name: Yard, thigns: []}", "b", "lesson.yaml:3:"},
		{"heron.yaml", "yard.yaml", "![x](other.png)", "there is no picture"},
	} {
		if err := lesson(test.arm, test.cell, test.text); err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("want %q in\n%v", test.says, err)
		}
	}
}

func TestHostileLessonsAreRefused(t *testing.T) {
	many := "title: A\narm: wren\nstages:\n" + strings.Repeat("  - {text: b}\n", 3900)
	for _, test := range []struct{ name, text, says string }{
		{"many stages", many, "3900 entries; 60 are plenty"},
		{"more stages than fields", "title: A\narm: wren\nstages:\n" + strings.Repeat("  - {text: b}\n", 10_000), "too many fields"},
		{"aliases", "title: &a A\narm: wren\nstages: [{text: *a}]\n", "anchors, aliases"},
		{"a gigantic number", lessonText("reach: {position_mm: [1e308, 0, 0], tolerance_mm: 1}"), "must be from"},
		{"a long text", "title: A\narm: wren\nstages: [{text: " + strings.Repeat("x", (16<<10)+1) + "}]\n", "at most"},
		{"brackets in Markdown", "title: A\narm: wren\nstages: [{text: '" + strings.Repeat("![", 8000) + "'}]\n", ""},
		{"a jog without end", lessonText("predict: {jog: base x +1e300, ask: stop}"), "too large"},
		{"numbers without end", "title: A\narm: wren\ndraw: [{name: a, from: -100000, to: 100000, step: 1e-9}]\nstages: [{text: b}]\n", "numbers to draw from"},
	} {
		_, err := scenarios.ReadLesson("f", []byte(test.text))
		if test.says == "" && err == nil {
			continue
		}
		if err == nil || !strings.Contains(err.Error(), test.says) || len(err.Error()) > 1<<16 {
			t.Errorf("%s: want %q in\n%.300v", test.name, test.says, err)
		}
	}
}

// Reading answers whatever it is given, and what it accepts can be graded at its start without a panic.
func FuzzReadLesson(f *testing.F) {
	for _, l := range scenarios.ShippedLessons() {
		id := l.ID
		text, err := os.ReadFile("../lessons/" + id + ".yaml")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte(lessonText("free: {notice: [{text: a, when: {measure: share, joint: J1, jog: base y +5, at_least: 0.1}}]}")))
	f.Fuzz(func(t *testing.T, text []byte) {
		l, err := scenarios.ReadLesson("f.yaml", text)
		if err != nil {
			return
		}
		if strings.Contains(l.HTML, "<script") {
			t.Errorf("%s", l.HTML)
		}
		d, err := l.Drive(kinematics.Joints{})
		if err != nil {
			return
		}
		run := lesson.NewRun(l)
		for i := range l.Stages {
			run.Enter(i, d)
			run.Answer(d, lesson.Answer{})
		}
	})
}
