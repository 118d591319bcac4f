package spoken_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	_ "handrule/internal/draws"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/spoken"
	"handrule/words"
)

const degree = math.Pi / 180

// onBench returns the default arm with its tool at these joint angles on the default cell's bench.
func onBench(t rapid.TB, q kinematics.Joints, setDistance float64) *jog.Drive {
	t.Helper()
	arm, cell := scenarios.ShippedArms()[0], scenarios.ShippedCells()[0]
	setup, err := cell.Setup(arm, arm.Tools[0], setDistance)
	if err != nil {
		t.Fatal(err)
	}
	d, err := jog.New(setup, q)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// run drives the jog to its end and returns why it ended.
func run(t rapid.TB, d *jog.Drive, j jog.Jog) jog.Stop {
	t.Helper()
	if err := d.Start(j); err != nil {
		t.Fatal(err)
	}
	for range 200_000 {
		if !d.Tick() {
			return d.Stop()
		}
	}
	t.Fatalf("%v does not end", j)
	return jog.Stop{}
}

func along(frame jog.Frame, axis, sign int, amount, speed float64) jog.Jog {
	return jog.Jog{Direction: jog.Direction{Frame: frame, Axis: axis, Sign: sign}, Amount: amount, Speed: speed}
}

// Whatever makes the arm stop can be said in a word or two on a button, in every language; an ordinary end needs none.
func TestEveryCauseHasABriefName(t *testing.T) {
	for _, in := range words.Languages {
		seen := map[string]jog.Reason{}
		for _, reason := range jog.Reasons {
			stop := jog.Stop{Reason: reason, Joint: 2}
			brief := spoken.Brief(stop, in)
			if (brief != "") != stop.Trouble() {
				t.Errorf("%s, %s: %q", in.Code, reason, brief)
			}
			if brief == "" {
				continue
			}
			if was, twice := seen[brief]; twice || len([]rune(brief)) > 12 {
				t.Errorf("%s, %s: %q is long, or says %q as well", in.Code, reason, brief, was)
			}
			seen[brief] = reason
		}
	}
}

// The joint that is named as the one to move is the one that the advice speaks of.
func TestTheAdvisedJointIsInTheAdvice(t *testing.T) {
	for _, stop := range []jog.Stop{
		{Reason: jog.JointLimit, Joint: 3},
		{Reason: jog.Singularity, Kind: "wrist", Joint: 3},
		{Reason: jog.Singularity, Kind: "wrist", Joint: 5, InLine: true},
		{Reason: jog.Singularity, Kind: "elbow", Joint: 1},
	} {
		joint, ok := stop.Advised()
		if !ok || !strings.Contains(spoken.Advice(stop, words.English), kinematics.JointNames[joint]) {
			t.Errorf("%v: joint %d, %q", stop, joint, spoken.Advice(stop, words.English))
		}
	}
}

// The first minute's lesson: with every joint at zero the wrist is straight, a jog along Y cannot start, and why is said in
// numbers.
func TestTheStraightWristIsExplained(t *testing.T) {
	said := spoken.Sentence(run(t, onBench(t, kinematics.Joints{}, 0), along(jog.BaseFrame, 1, 1, 10, 50)), words.English)
	for _, word := range []string{"wrist singularity", "J5 is at 0.0°", "J4 would have to turn 90.0°", "Its maximum is 360 °/s", "Choose joints and bend J5"} {
		if !strings.Contains(said, word) {
			t.Errorf("%q does not say %q", said, word)
		}
	}
}

// What touched what is said in the cell's own names, and that it would have been a crash.
func TestContactIsSaidWithBothNames(t *testing.T) {
	touch := clearance.Pair{A: clearance.Part{Name: "pen", Link: 6, Tool: true}, B: clearance.Part{Name: "table", Link: clearance.Outside}}
	said := spoken.Sentence(jog.Stop{Reason: jog.Contact, Touch: touch, Travel: 60, Jog: along(jog.BaseFrame, 2, -1, 100, 50)}, words.English)
	if !strings.Contains(said, "Stopped: the pen touches the table. On a real arm this would have been a crash.") {
		t.Errorf("says %q", said)
	}
}

// A jog that has ended says which way it went.
func TestAStopSaysItsWay(t *testing.T) {
	held := along(jog.BaseFrame, 1, -1, math.Inf(1), 50)
	joint := along(jog.JointFrame, 4, 1, 5*degree, 1)
	turning := along(jog.JointFrame, 4, 1, math.Inf(1), 1)
	for _, c := range []struct {
		stop jog.Stop
		want string
	}{
		{jog.Stop{Reason: jog.Released, Jog: held, Travel: 62}, "62 mm along −Y of the base frame."},
		{jog.Stop{Reason: jog.Done, Jog: joint, Travel: 5 * degree}, "J5, +5°."},
		{jog.Stop{Reason: jog.SetDistance, Jog: held, Travel: 62}, "It went 62 mm along −Y of the base frame."},
		{jog.Stop{Reason: jog.SetDistance, Jog: turning, Travel: 5 * degree}, "It turned: J5, +5°."},
		{jog.Stop{Reason: jog.SetDistance, Jog: held, Travel: 1e-5}, ""},
	} {
		got := spoken.Numbers(c.stop, words.English)
		if c.stop.Trouble() { // after the numbers of the cause
			_, got, _ = strings.Cut(got, "the set distance is 0 mm.")
		}
		if strings.TrimSpace(got) != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// Which joints turned for a straight jog, and by how much, is said to the tenth of a degree; of a joint's own jog it is not.
func TestWhichJointsTurnedIsSaid(t *testing.T) {
	for _, j5 := range []float64{0.04, 60} { // close to the straight wrist, and well away from it
		before := kinematics.Joints{4: j5 * degree}
		d := onBench(t, before, 0)
		stop := run(t, d, along(jog.BaseFrame, 1, 1, 10, 50))
		var want []string
		for i, q := range d.Joints() {
			if turned := math.Round((q-before[i])/degree*10) / 10; turned != 0 {
				want = append(want, strings.Replace(fmt.Sprintf("J%d %+.1f°", i+1, turned), "-", "−", 1))
			}
		}
		said := spoken.Sentence(stop, words.English)
		if len(want) < 2 || stop.Reason != jog.Done || !strings.Contains(said, "the joints turned: "+strings.Join(want, ", ")+".") {
			t.Errorf("J5 at %g°: %s; the joints turned by %v", j5, said, want)
		}
	}
	stop := run(t, onBench(t, kinematics.Joints{}, 0), along(jog.JointFrame, 4, 1, 5*degree, 1))
	if said := spoken.Sentence(stop, words.English); strings.Contains(said, "turned") {
		t.Error(said)
	}
}

// A turn about the TCP says how far the point has strayed, which is nothing that could be seen; other jogs do not.
func TestATurnSaysThatTheToolPointStayed(t *testing.T) {
	in := words.English
	says := in.Say("stop.turn.stayed", "off", "0.00 mm")
	for _, c := range []struct {
		jog   jog.Jog
		stays bool
	}{
		{along(jog.BaseFrame, 3, 1, 10*degree, 0.3), true},
		{along(jog.ToolFrame, 5, -1, 10*degree, 0.3), true},
		{along(jog.BaseFrame, 2, 1, 10, 50), false},
		{along(jog.JointFrame, 4, -1, 10*degree, 0.3), false},
	} {
		said := spoken.Sentence(run(t, onBench(t, kinematics.Joints{4: 60 * degree}, 0), c.jog), in)
		if strings.Contains(said, says) != c.stays {
			t.Errorf("%v: %q", c.jog, said)
		}
	}
}

// Whatever happens to the default arm on its bench is told in whole sentences, in every language: no number is missing, no
// placeholder is left over, no text is unknown.
func TestEveryStopIsToldInFull(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		arm := scenarios.ShippedArms()[0].Geometry
		var q kinematics.Joints
		for i, j := range arm.Joints {
			q[i] = rapid.Float64Range(j.Min, j.Max).Draw(t, "joint")
		}
		d := onBench(t, q, rapid.SampledFrom([]float64{0, 20}).Draw(t, "set distance"))
		frame := rapid.SampledFrom([]jog.Frame{jog.JointFrame, jog.WorldFrame, jog.BaseFrame, jog.ToolFrame}).Draw(t, "frame")
		j := along(frame, rapid.IntRange(0, 5).Draw(t, "axis"), rapid.SampledFrom([]int{-1, 1}).Draw(t, "sign"), 1, 1)
		if j.Straight() {
			j.Amount, j.Speed = 500, 250
		}
		stop := run(t, d, j)
		for _, in := range words.Languages {
			texts := []string{spoken.Sentence(stop, in), spoken.Headline(stop, in), spoken.Numbers(stop, in)}
			if stop.Trouble() {
				texts = append(texts, spoken.Cause(stop, in), spoken.Advice(stop, in))
			}
			for _, text := range texts {
				if text == "" || strings.ContainsAny(text, "{}‹›") || strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
					t.Fatalf("%s: %v is told as %q", in.Code, stop, text)
				}
			}
		}
	})
}

// A joint that stands outside its limits is told as a joint at its limit.
func TestAJointOutsideItsLimitsIsTold(t *testing.T) {
	q := kinematics.Joints{4: 60 * degree}
	q[2] = scenarios.ShippedArms()[0].Geometry.Joints[2].Max + 5*degree
	stop := run(t, onBench(t, q, 0), along(jog.JointFrame, 2, 1, 5*degree, 1))
	for _, said := range []string{spoken.Sentence(stop, words.English), spoken.Advice(stop, words.English)} {
		if !strings.Contains(said, "J3") || strings.Contains(said, "NaN") {
			t.Errorf("%v: says %q", stop, said)
		}
	}
}

// What the motion refuses is said in the reader's language.
func TestRefusalsAreSaidInEveryLanguage(t *testing.T) {
	_, near := kinematics.TeachFrame(r3.Vec{}, r3.Vec{X: 5}, r3.Vec{Y: 100})
	for _, err := range []error{jog.ErrMoving, jog.ErrNothingToUndo, jog.ErrMoved, near} {
		seen := map[string]bool{}
		for _, in := range words.Languages {
			said := spoken.Tell(fmt.Errorf("undo: %w", err), in)
			if said == "" || seen[said] || strings.ContainsAny(said, "‹{") {
				t.Errorf("%s: %v is said as %q", in.Code, err, said)
			}
			seen[said] = true
		}
	}
}

// A jog is said as a person would, in each language with its own decimal sign.
func TestAJogIsSaidAsASentence(t *testing.T) {
	for _, c := range []struct {
		jog    jog.Jog
		en, es string
	}{
		{along(jog.JointFrame, 4, 1, 5*degree, 1), "J5, +5°", "J5, +5°"},
		{along(jog.BaseFrame, 4, 1, 22.5*degree, 1), "22.5° about +Y of the base frame", "22,5° en torno a +Y del sistema base"},
		{along(jog.ToolFrame, 2, -1, 50, 50), "50 mm along −Z of the tool frame", "50 mm por −Z del sistema herramienta"},
		{along(jog.JointFrame, 0, -1, math.Inf(1), 1), "J1 in the minus direction", "J1 en sentido negativo"},
		{along(jog.BaseFrame, 1, 1, math.Inf(1), 50), "straight along +Y of the base frame", "recto por +Y del sistema base"},
	} {
		if en, es := spoken.Jog(c.jog, words.English), spoken.Jog(c.jog, words.Find("es")); en != c.en || es != c.es {
			t.Errorf("%q and %q, want %q and %q", en, es, c.en, c.es)
		}
	}
}
