package bench

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// anyRequest draws something that a page may ask.
func anyRequest(t *rapid.T, b *Bench, press *int) any {
	axis, sign := rapid.IntRange(0, 5).Draw(t, "axis"), rapid.SampledFrom([]int{1, -1}).Draw(t, "sign")
	frame := rapid.SampledFrom(append(slices.Clone(jog.Frames), b.chosen.Frame)).Draw(t, "frame")
	task := ""
	if tasks := b.tasks(); frame == jog.TaskFrames && len(tasks) > 0 {
		task = rapid.SampledFrom(tasks).Draw(t, "task").Name
	}
	way := jog.Direction{Frame: frame, Task: task, Axis: axis, Sign: sign}
	arrow := [3]float64{rapid.Float64Range(-1, 1).Draw(t, "x"), rapid.Float64Range(-1, 1).Draw(t, "y"), 0.1}
	number := rapid.SampledFrom([]float64{0, 60, 110, 320, -30}).Draw(t, "number")
	switch rapid.IntRange(0, 26).Draw(t, "kind") {
	case 0, 1, 2, 3, 4:
		return &StepRequest{way}
	case 5:
		*press++
		return &HoldRequest{Press: *press, Directions: []jog.Direction{way}}
	case 6:
		return &FrameRequest{Frame: frame, Task: task}
	case 7:
		return &ReadInRequest{Frame: frame, Task: task}
	case 8:
		i := rapid.SampledFrom(choicesIn[b.chosen.Unit].Increments).Draw(t, "increment")
		return &i
	case 9:
		s := rapid.SampledFrom(choicesIn[b.chosen.Unit].Speeds).Draw(t, "speed")
		return &s
	case 10:
		return &ToolRequest{Name: rapid.SampledFrom(append(b.tools(), b.drive().Setup().Tool)).Draw(t, "tool").Name}
	case 11:
		return &CellRequest{ID: rapid.SampledFrom(scenarios.ShippedCells()).Draw(t, "cell").ID}
	case 12:
		return &ArmRequest{ID: rapid.SampledFrom(scenarios.ShippedArms()).Draw(t, "arm").ID}
	case 13:
		seed := int64(7)
		return &LessonRequest{ID: rapid.SampledFrom(scenarios.ShippedLessons()).Draw(t, "lesson").ID, Seed: &seed}
	case 14:
		return &StageRequest{Do: rapid.SampledFrom([]StageDo{StageGo, StageAgain, StageGiveUp, StageShow}).Draw(t, "do"), Stage: rapid.IntRange(0, 5).Draw(t, "stage")}
	case 15:
		options := []int{rapid.IntRange(0, 2).Draw(t, "option")}
		return &AnswerRequest{Arrow: &arrow, Direction: "y +", Joints: options, Stop: rapid.SampledFrom(lesson.StopWords).Draw(t, "stop"), Number: &number, Options: options}
	case 16, 17:
		return &TeachRequest{Do: rapid.SampledFrom([]TeachDo{TeachOrigin, TeachX, TeachXY, TeachFrame, TeachTouch, TeachUseTCP, TeachForget}).Draw(t, "teach"), Name: "own"}
	case 18:
		return &PredictFirstRequest{On: rapid.Bool().Draw(t, "on"), Joints: rapid.Bool().Draw(t, "joints")}
	case 19:
		return &PredictRequest{Arrow: &arrow, Joints: []int{1}}
	case 20:
		numbers := [6]float64{number, 100, 200, 0, 90, 0}
		return &WaysRequest{Do: rapid.SampledFrom([]WaysDo{WaysLesson, WaysHere, WaysNumbers, WaysBegin, WaysClear}).Draw(t, "ways"), Numbers: &numbers}
	case 26:
		return &UnitRequest{Unit: rapid.SampledFrom([]words.Unit{words.MM, words.Inch}).Draw(t, "unit")}
	case 21:
		return &UndoRequest{}
	case 22:
		return &SetDistanceRequest{MM: rapid.SampledFrom([]float64{0, 5, 20}).Draw(t, "set distance")}
	case 23:
		return &RailRequest{MM: rapid.Float64Range(200, 1800).Draw(t, "rail")}
	case 24:
		q := [6]float64{number, 10, 10, 0, 70, 0}
		return &SceneRequest{Arm: rapid.SampledFrom(scenarios.ShippedArms()).Draw(t, "arm").ID, Cell: rapid.SampledFrom(scenarios.ShippedCells()).Draw(t, "cell").ID, JointsDeg: &q}
	}
	if rapid.Bool().Draw(t, "to its start pose") {
		return &RestartRequest{}
	}
	return &RestartRequest{JointsDeg: &[6]float64{number, 0, 0, 0, 80, 0}}
}

// does asks the bench for something and waits until the arm stands and all is thought about.
func does(t *rapid.T, b *Bench, request any, now time.Time) error {
	err := b.Handle(request, now)
	think(b)
	if _, held := request.(*HoldRequest); held {
		b.Advance(20, now)
		b.release()
	}
	for range 50_000 {
		if !b.Busy() {
			break
		}
		b.Advance(25, now)
	}
	if b.Busy() {
		t.Fatal("the arm does not come to rest")
	}
	think(b)
	return err
}

// told is all that a page that connects now is told: every view by its type, and the frame.
func allTold(b *Bench) map[string]string {
	b.Connect(Welcome{}, words.English)
	b.page.shows = ShowRequest{Of: OfTCP, Form: spoken.FixedXYZ}
	all := map[string]string{}
	tell := func(m Message) {
		if m.Frame {
			all["frame"] = string(m.Text[12:]) // without the tick and the time
			return
		}
		var head struct {
			Type string `json:"type"`
		}
		json.Unmarshal(m.Text, &head)
		all[head.Type] = string(m.Text)
	}
	b.Tell(noon, tell)
	think(b)
	b.Tell(noon, tell)
	// The seal has another nonce each time; how often the arm was put elsewhere, and what was shown of it, is the page's.
	for _, word := range []string{"progress", "motion", "note", "stop"} {
		delete(all, word)
	}
	all["log"] = strings.TrimSuffix(all["log"], fmt.Sprintf(`,"log":%d}`, b.logs)) // which log it is, too
	if s := b.driven.stopped; s != nil {
		all["stop"] = fmt.Sprint(s.Reason, s.Travel, s.Turned, s.Joint, s.Needed, s.Touch)
	}
	return all
}

func sameTold(t *rapid.T, what string, a, b map[string]string) {
	t.Helper()
	for word, text := range a {
		if b[word] != text {
			t.Fatalf("%s: %s differs:\n%q\n%q", what, word, text, b[word])
		}
	}
	if len(a) != len(b) {
		t.Fatalf("%s: %d views, %d views", what, len(a), len(b))
	}
}

// anySession returns a bench of which up to so many things were asked, and how often a control was pressed there.
func anySession(t *rapid.T, offer *Offer, most int) (b *Bench, press int) {
	b = New(offer, testEnv())
	b.Connect(Welcome{}, words.English)
	for range rapid.IntRange(0, most).Draw(t, "requests") {
		does(t, b, anyRequest(t, b, &press), noon)
	}
	return b, press
}

// A bench that is written down after any session and made again tells a page the same, and goes on in the same way.
func TestARestoredBenchIsTheSame(t *testing.T) {
	offer := shipped()
	largest := 0
	rapid.Check(t, func(t *rapid.T) {
		b, _ := anySession(t, &offer, 15)
		b.page.aim = nil
		state, log, err := b.Snapshot()
		if err != nil {
			t.Fatal(err)
		}
		largest = max(largest, len(state))
		again, err := Restore(&offer, testEnv(), state, log)
		if err != nil {
			t.Fatal(err)
		}
		sameTold(t, "restored", allTold(b), allTold(again))
		press := 0
		for i := range 4 {
			request := anyRequest(t, b, &press)
			before := b.chosen
			first, second := does(t, b, request, noon), does(t, again, request, noon)
			if (first == nil) != (second == nil) {
				t.Fatalf("request %d, %T %+v after %+v: %v, but restored %v", i, request, request, before, first, second)
			}
			b.page.aim, again.page.aim = nil, nil
			sameTold(t, fmt.Sprintf("after %T %+v", request, request), allTold(b), allTold(again))
		}
	})
	t.Logf("the largest snapshot takes %d bytes", largest)
}

// The fullest bench there is fits.
func TestTheFullestSnapshotFits(t *testing.T) {
	b, _ := testBench()
	ask(t, b, noon, `{"type":"lesson","id":"assessment"}`)
	ask(t, b, noon, `{"type":"stage","do":"begin"}`)
	for range b.lesson.Progress.Stages {
		for i := range 10 {
			b.lesson.Answer(b.lesson.begin, lesson.Answer{Number: new(float64(i) * 1.2345), Direction: "y +", Options: []int{0}, Joints: []int{1, 2}, Stop: "nothing"})
		}
		b.Handle(&StageRequest{Do: StageGo, Stage: min(b.lesson.At()+1, len(b.lesson.Lesson.Stages)-1)}, noon)
	}
	for i := range mostTouches {
		q := b.drive().Joints()
		for j := range q {
			q[j] += 0.0123456789 * float64(i+j)
		}
		b.mounted.teaching.touches = append(b.mounted.teaching.touches, b.mounted.arm.Geometry.Forward(q))
	}
	for i := range mostPredictions {
		x := 0.123456789 * float64(i+1)
		arrow, off := [3]float64{x, x * x, 1 - x}, 10*x
		b.predicting.given = append(b.predicting.given, PredictionView{
			Directions: []jog.Direction{{Frame: jog.BaseFrame, Axis: i % 6, Sign: 1}}, Asks: AsksWay, At: place(b.drive().TCP()), Arrow: &arrow, Truth: &arrow, OffDeg: &off, Joints: []int{}, Movers: []int{},
		})
	}
	state, _, err := b.Snapshot()
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d bytes", len(state))
}

// What is no snapshot is refused, whatever it is.
func FuzzRestore(f *testing.F) {
	offer := shipped()
	b := New(&offer, testEnv())
	state, log, _ := b.Snapshot()
	f.Add(state, log)
	f.Add([]byte("{}"), []byte{1, 2, 3})
	f.Fuzz(func(t *testing.T, state, log []byte) {
		if b, err := Restore(&offer, testEnv(), state, log); err == nil {
			if q := b.drive().Joints(); !b.mounted.arm.Geometry.Within(q) {
				t.Errorf("restored beyond its limits: %v", q)
			}
		}
	})
}

// What it costs to take a bench down at rest, with a log of fifty jogs, and to write it.
func BenchmarkAtRest(b *testing.B) {
	offer := shipped()
	bench := New(&offer, testEnv())
	bench.Connect(Welcome{}, words.English)
	for i := range 50 {
		bench.Handle(&StepRequest{Direction: jog.Direction{Frame: jog.JointFrame, Axis: i % 6, Sign: 1}}, noon)
		for bench.Busy() {
			bench.Advance(25, noon)
		}
	}
	rest, err := bench.AtRest()
	if err != nil {
		b.Fatal(err)
	}
	b.Run("take", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			bench.AtRest()
		}
	})
	b.Run("write", func(b *testing.B) {
		p := NewPacker()
		b.ReportAllocs()
		for b.Loop() {
			rest.Write(p)
		}
	})
}
