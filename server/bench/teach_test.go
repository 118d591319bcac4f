package bench

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/words"
)

// What was taken holds wherever the arm is put, so it outlasts the stages of a lesson, a try begun anew, the start pose and being
// written down. It does not outlast the lesson.
func TestWhatIsTaughtIsKeptOverStages(t *testing.T) {
	offer := shipped()
	taught := func(b *Bench) (all []string) {
		m := b.teachMessage()
		for _, p := range []*[3]float64{m.Origin, m.X, m.XY} {
			if p == nil {
				all = append(all, "none")
			} else {
				all = append(all, fmt.Sprintf("%.3f", *p))
			}
		}
		return append(all, fmt.Sprint(m.Touches), fmt.Sprintf("%+v", m.Fit))
	}
	rapid.Check(t, func(t *rapid.T) {
		b := New(&offer, testEnv())
		b.Connect(Welcome{}, words.English)
		seed := int64(7)
		do := func(r any) {
			does(t, b, r, noon) // What is not possible now changes nothing.
		}
		name := rapid.SampledFrom(scenarios.ShippedLessons()[:12]).Draw(t, "lesson").ID
		do(&TeachRequest{Do: TeachOrigin})
		do(&LessonRequest{ID: name, Seed: &seed})
		if now := taught(b); now[0] != "none" {
			t.Fatalf("a lesson begins with what was taken before it: %v", now)
		}
		press := 0
		for range rapid.IntRange(1, 12).Draw(t, "steps") {
			before := taught(b)
			switch rapid.IntRange(0, 5).Draw(t, "step") {
			case 0:
				do(&TeachRequest{Do: rapid.SampledFrom([]TeachDo{TeachOrigin, TeachX, TeachXY, TeachTouch}).Draw(t, "take")})
				continue
			case 1:
				do(&StageRequest{Do: StageGo, Stage: rapid.IntRange(0, len(b.lesson.Lesson.Stages)-1).Draw(t, "stage")})
			case 2:
				do(&StageRequest{Do: rapid.SampledFrom([]StageDo{StageAgain, StageShow, StageGiveUp}).Draw(t, "do")})
			case 3:
				do(&RestartRequest{})
			case 4:
				press++
				do(&HoldRequest{Press: press, Directions: []jog.Direction{{Frame: jog.JointFrame, Axis: rapid.IntRange(0, 5).Draw(t, "axis"), Sign: 1}}})
			case 5:
				state, log, err := b.Snapshot()
				if err != nil {
					t.Fatal(err)
				}
				if b, err = Restore(&offer, testEnv(), state, log); err != nil {
					t.Fatal(err)
				}
				b.Connect(Welcome{}, words.English)
			}
			if now := taught(b); !slices.Equal(now, before) {
				t.Fatalf("what was taken was %v and is %v", before, now)
			}
		}
		do(&TeachRequest{Do: TeachX})
		do(&LessonRequest{})
		if now := taught(b); now[0] != "none" || now[1] != "none" || now[3] != "0" {
			t.Fatalf("after the lesson there is still %v", now)
		}
	})
}

// The lesson's own way: the points are taken in three stages, and the frame that they make lies as the tile's does, 5 mm above it.
func TestTheLessonTeachesAFrameOverItsStages(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"lesson","id":"teaching-a-frame"}`)
	l := b.lesson.Lesson
	for _, take := range []struct{ stage, do string }{{"The origin", "origin"}, {"A point on X", "x"}, {"The third point", "xy"}} {
		at := slices.IndexFunc(l.Stages, func(s lesson.Stage) bool { return s.Title == take.stage })
		ask(t, b, noon, fmt.Sprintf(`{"type":"stage","do":"go","stage":%d}`, at))
		here := b.drive().TCP()
		here.Position = *l.Stages[at].Reach.Position
		ends := b.drive().Ends(here)
		if len(ends) == 0 {
			t.Fatalf("%s is out of reach", take.stage)
		}
		b.standAt(ends[0])
		ask(t, b, noon, fmt.Sprintf(`{"type":"teach","do":%q,"name":""}`, take.do))
	}
	ask(t, b, noon, `{"type":"teach","do":"frame","name":"taught"}`)
	if m := last[TeachMessage](t, sent); m.Problem != "" || b.chosen.Task != "taught" {
		t.Fatalf("%+v, and %q is chosen", m, b.chosen.Task)
	}
	tasks := b.tasks()
	named := func(name string) kinematics.Pose {
		return tasks[slices.IndexFunc(tasks, func(f jog.TaskFrame) bool { return f.Name == name })].Pose
	}
	taught, tile := named("taught"), named("tile")
	off := tile.Inverse().Mul(taught)
	if turned := kinematics.Degrees(r3.Norm(off.Rotation.Vector())); turned > 0.5 {
		t.Errorf("the frame is turned against the tile's by %.2f°", turned)
	}
	if d := r3.Norm(r3.Sub(off.Position, r3.Vec{Z: 5})); d > 0.6 {
		t.Errorf("the frame's origin is %.2f mm beside the place 5 mm above the tile's corner", d)
	}
	ask(t, b, noon, fmt.Sprintf(`{"type":"stage","do":"go","stage":%d}`, slices.IndexFunc(l.Stages, func(s lesson.Stage) bool { return s.Title == "Your own frame" })))
	step := func(frame string, axis int, mm float64) {
		b.chosen.Increment.MM = mm
		ask(t, b, noon, fmt.Sprintf(`{"type":"step","direction":{"frame":"task","task":%q,"axis":%d,"sign":1}}`, frame, axis))
		finish(t, b, noon)
	}
	step("tile", 0, 75)
	if v := b.lesson.verdict; !v.Failed || !strings.Contains(v.Words, "task frame tile, which you have not taught") {
		t.Errorf("a jog in the cell's frame, which lies as the taught one does: %+v", v)
	}
	ask(t, b, noon, `{"type":"stage","do":"again","stage":0}`)
	for axis, mm := range []float64{75, 75, 30} {
		step("taught", axis, mm)
	}
	if p := b.lesson.Progress.Stages[b.lesson.At()]; !p.Done {
		t.Errorf("jogs in the frame that was taught do not pass the stage: %+v", b.lesson.verdict)
	}
}
