package ask_test

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/ask"
	"handrule/words"
)

// learners of one mind, and what they answer.
type mind struct {
	key   string // of the group that they are to be told as; "right" for those who are right
	count int
	says  func(rnd *rand.Rand) ask.Answer
}

// An hour with thirty learners who make the mistakes that people make, over eight questions: each group on the projector is the one
// that was planted, with all of them and nobody else. What they answer is worked out with the tests' own vectors, and no hand is
// steady: arrows are up to 9° off, numbers up to 0.4 mm. After they have talked, half of those who were wrong know better.
func TestAnHourWithThirtyLearners(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 30))
	arm, cell := scenarios.ShippedArms()[0], scenarios.ShippedCells()[0]
	setup, err := cell.Setup(arm, arm.Tools[0], 5)
	if err != nil {
		t.Fatal(err)
	}
	c := chain{arm.Geometry, arm.Tools[0].TCP}
	bent, plain := [6]float64{20, 10, 15, 30, 60, 10}, [6]float64{4: 90}
	rad := func(deg [6]float64) (q [6]float64) {
		for i := range q {
			q[i] = kinematics.Radians(deg[i])
		}
		return q
	}
	q := rad(bent)
	tip, tool := c.tcp(q)
	flange, _ := c.flange(q)
	x, y := r3.Vec{X: 1}, r3.Vec{Y: 1}
	minus := func(v r3.Vec) r3.Vec { return r3.Scale(-1, v) }
	tangent, axis := c.tangent(q, 0, c.tcp)
	second, _ := c.tangent(q, 1, c.tcp)
	points := func(v r3.Vec) func(*rand.Rand) ask.Answer {
		return func(rnd *rand.Rand) ask.Answer {
			across := r3.Unit(r3.Cross(v, r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: rnd.NormFloat64()}))
			return arrow(r3.Scale(3*rnd.Float64()+0.1, r3.NewRotation(kinematics.Radians(9)*rnd.Float64(), across).Rotate(v)))
		}
	}
	names := func(joints ...int) func(*rand.Rand) ask.Answer {
		return func(*rand.Rand) ask.Answer { return ask.Answer{Joints: joints} }
	}
	anyJoint := func(rnd *rand.Rand) ask.Answer { return ask.Answer{Joints: []int{rnd.IntN(4)}} }
	reads := func(mm float64) func(*rand.Rand) ask.Answer {
		return func(rnd *rand.Rand) ask.Answer { return ask.Answer{Number: ptr(mm + 0.8*rnd.Float64() - 0.4)} }
	}
	stopped := func(word string) func(*rand.Rand) ask.Answer {
		return func(*rand.Rand) ask.Answer { return ask.Answer{Stop: word} }
	}
	stays := func(*rand.Rand) ask.Answer { return ask.Answer{Stays: true} }
	chooses := func(options ...int) func(*rand.Rand) ask.Answer {
		return func(*rand.Rand) ask.Answer { return ask.Answer{Options: options} }
	}
	for n, hour := range []struct {
		pose  [6]float64
		of    ask.Question
		minds []mind
	}{
		{bent, ask.Question{Kind: ask.Way, Jog: "base y +60"}, []mind{
			{"right", 14, points(y)}, {"minus", 7, points(minus(y))}, {"turned", 5, points(r3.Cross(y, tip))}, {"axis", 2, points(x)}, {"stays", 2, stays}}},
		{bent, ask.Question{Kind: ask.Way, Jog: "tool y +60"}, []mind{
			{"right", 9, points(tool[1])}, {"minus", 6, points(minus(tool[1]))}, {"axis", 8, points(tool[2])}, {"axis", 7, points(minus(tool[2]))}}},
		{bent, ask.Question{Kind: ask.Way, Jog: "base x +30 y -30"}, []mind{
			{"right", 11, points(r3.Sub(x, y))}, {"mirror", 10, points(r3.Add(x, y))}, {"front", 9, points(r3.Sub(y, x))}}},
		{bent, ask.Question{Kind: ask.Way, Jog: "joint J1 +20"}, []mind{
			{"right", 12, points(tangent)}, {"about", 8, points(axis)}, {"left", 5, points(minus(tangent))}, {"outward", 3, points(r3.Cross(tangent, axis))}, {"joint", 2, points(second)}}},
		{bent, ask.Question{Kind: ask.Way, Jog: "tool about-x +30"}, []mind{
			{"right", 10, points(tool[0])}, {"left", 9, points(minus(tool[0]))}, {"flange-way", 7, points(r3.Cross(tool[0], r3.Sub(flange, tip)))}, {"point", 4, stays}}},
		{plain, ask.Question{Kind: ask.Joints, Jog: "base z -100"}, []mind{
			{"right", 8, names(1, 2, 4)}, {"one", 9, anyJoint}, {"wrist", 7, names(2, 1)}, {"all", 6, names(0, 1, 2, 3, 4, 5)}}},
		{bent, ask.Question{Kind: ask.Stop, Jog: "base z -400"}, []mind{
			{"right", 15, stopped("set distance")}, {"touch", 9, stopped("contact")}, {"bare", 6, stopped("nothing")}}},
		{plain, ask.Question{Kind: ask.Number, Measure: ask.Measure{Of: "z"}}, []mind{
			{"right", 10, reads(110)}, {"flange", 8, reads(230)}, {"origin", 5, reads(410)}, {"floor", 4, reads(1260)}, {"sign", 3, reads(-110)}}},
		{plain, ask.Question{Kind: ask.Choice, Text: "Who may reset a stop?", Options: []string{"anybody", "who has looked"}, Right: []int{1}}, []mind{
			{"right", 19, chooses(1)}, {"", 11, chooses(0)}}},
	} {
		d, err := jog.New(setup, rad(hour.pose))
		if err != nil {
			t.Fatal(err)
		}
		a := asked(t, hour.of, d)
		if err := a.Clear(); err != nil {
			t.Errorf("%s: %v", a.Words(words.English), err)
		}
		for round := 1; round <= 2; round++ {
			var answers []ask.Answer
			planted := map[string][]int{}
			learned := 0
			for _, m := range hour.minds {
				for k := range m.count {
					key, says := m.key, m.says
					if round == 2 && k%2 == 1 && key != "right" {
						key, says = "right", hour.minds[0].says
						learned++
					}
					given, err := a.Take(says(rnd))
					if err != nil {
						t.Fatal(err)
					}
					planted[key] = append(planted[key], len(answers))
					answers = append(answers, given)
				}
			}
			if len(answers) != 30 || round == 2 && learned == 0 {
				t.Fatalf("%d learners, %d of them have learned", len(answers), learned)
			}
			groups := a.Groups(answers, words.English)
			told := map[string][]int{}
			for _, g := range groups {
				key := "right"
				if !g.Right {
					key = ""
					for _, m := range hour.minds {
						if slices.Contains(g.Beliefs, m.key) {
							key = m.key
							break
						}
					}
				}
				told[key] = append(told[key], g.Members...)
			}
			for key := range told {
				slices.Sort(told[key])
			}
			for key, members := range planted {
				if !slices.Equal(members, told[key]) {
					t.Errorf("question %d, round %d, %s: %q was planted in %v and told of %v", n+1, round, a.Words(words.English), key, members, told[key])
				}
			}
			if len(told) != len(planted) {
				t.Errorf("question %d, round %d: %+v", n+1, round, groups)
			}
			if !slices.IsSortedFunc(groups, func(g, h ask.Group) int { return len(h.Members) - len(g.Members) }) {
				t.Errorf("the largest group is not the first: %+v", groups)
			}
		}
	}
}

// Whatever is asked and answered, nothing panics or goes on for ever, and nobody is lost: every answer is in one group.
func FuzzQuestions(f *testing.F) {
	for _, seed := range []string{
		`{"of":{"kind":"way","jog":"base y +60"},"answers":[{"stays":true},{"Arrow":{"X":1,"Y":2,"Z":3}}]}`,
		`{"of":{"kind":"joints","jog":"tool about-z +50"},"answers":[{"joints":[5,5,0]}]}`,
		`{"of":{"kind":"stop","jog":"joint J2 +300"},"answers":[{"stop":"limit J2"}]}`,
		`{"of":{"kind":"number","measure":{"of":"z","frame":"task","task":"tile"},"unit":"inch"},"answers":[{"number":1e300},{"number":-4}]}`,
		`{"of":{"kind":"choice","text":"?","options":["a","b"],"right":[1]},"answers":[{"options":[1]},{"options":[]}]}`,
	} {
		f.Add([]byte(seed))
	}
	d := at(f, [6]float64{20, 10, 15, 30, 60, 10})
	f.Fuzz(func(t *testing.T, text []byte) {
		var c struct {
			Of      ask.Question `json:"of"`
			Answers []ask.Answer `json:"answers"`
		}
		if json.Unmarshal(text, &c) != nil {
			return
		}
		a, err := c.Of.Of(d)
		if err != nil {
			return
		}
		for pieces := 0; !a.Advance(10_000); pieces++ {
			if pieces > 1000 {
				t.Fatalf("%+v goes on", c.Of)
			}
		}
		var answers []ask.Answer
		for _, given := range c.Answers {
			if taken, err := a.Take(given); err == nil {
				answers = append(answers, taken)
			}
		}
		all := 0
		for _, g := range a.Groups(answers, words.English) {
			all += len(g.Members)
			if g.Name == "" || len(g.Members) == 0 {
				t.Errorf("%+v", g)
			}
		}
		if all != len(answers) {
			t.Errorf("%d answers, %d in groups", len(answers), all)
		}
		_, _, _ = a.Words(words.English), a.RightWords(words.English), a.Why(words.English)
	})
}

// Three hundred answers are grouped whenever one comes.
func BenchmarkGroups(b *testing.B) {
	rnd := rand.New(rand.NewPCG(1, 300))
	a := asked(b, ask.Question{Kind: ask.Way, Jog: "base y +60"}, at(b, [6]float64{20, 10, 15, 30, 60, 10}))
	var answers []ask.Answer
	for range 300 {
		given, err := a.Take(arrow(r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64() + 1, Z: rnd.NormFloat64()}))
		if err != nil {
			b.Fatal(err)
		}
		answers = append(answers, given)
	}
	for b.Loop() {
		a.Groups(answers, words.English)
	}
}

// What a question costs to be laid out: the longest are those what will stop a jog.
func BenchmarkQuestion(b *testing.B) {
	d := at(b, [6]float64{20, 10, 15, 30, 60, 10})
	for _, of := range []ask.Question{{Kind: ask.Way, Jog: "base y +100"}, {Kind: ask.Joints, Jog: "base y +100"}, {Kind: ask.Stop, Jog: "base y +400"}, {Kind: ask.Number, Measure: ask.Measure{Of: "z"}}} {
		b.Run(string(of.Kind), func(b *testing.B) {
			for b.Loop() {
				asked(b, of, d)
			}
		})
	}
}
