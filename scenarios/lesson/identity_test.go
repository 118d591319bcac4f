package lesson_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	_ "handrule/internal/draws"

	"handrule/kinematics"
	"handrule/scenarios"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/lesson"
)

const edition = `title: Editions
arm: wren
cell: glazing-bench
start_deg: [0, 0, 0, 0, 90, 0]
draw: [{name: side, one_of: [40, 50, 60]}]
stages:
  - title: Place
    text: Go there.
    reach: {position_mm: [330, 0, 110], tolerance_mm: 1, wrist: plus}
    hints: [Try X.]
  - title: Way
    text: Which way?
    predict: {jog: base y $side, ask: direction}
  - title: Rule
    text: Think.
    choose:
      question: Who decides?
      options: [{text: the manual, right: true}, {text: nobody}]
  - title: Bend
    text: Look.
    choose:
      question: J5 is bent to
      options: [{text: plus, when: {measure: wrist, is: plus}}, {text: minus, when: {measure: wrist, is: minus}}]
  - title: Number
    text: Read.
    read: {measure: z, after: base z -20, tolerance: 1}
  - title: Free
    text: Drive.
    free:
      notice:
        - {text: J1 moved, event: jogged, joint: J1}
        - {text: J2 moved, event: jogged, joint: J2}
        - {text: a limit, event: joint limit}
      enough: 2
`

func parsed(t *testing.T, text string, seed uint64) *lesson.Lesson {
	t.Helper()
	l, err := lesson.Parse("editions.yaml", []byte(text), lesson.Around{Arm: scenarios.OpenArm, Cell: scenarios.OpenCell}, lesson.Deal{Seed: seed})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// passed is a run in which every stage is done by its right answer, or is said to be where it is driven. Of what is to be
// noticed, J1 and J2 have moved.
func passed(t *testing.T, l *lesson.Lesson) *lesson.Run {
	t.Helper()
	run := lesson.NewRun(l)
	for i := range l.Stages {
		s := &l.Stages[i]
		d, err := l.Drive(s.Begin)
		if err != nil {
			t.Fatal(err)
		}
		run.Enter(i, d)
		p := &run.Progress.Stages[i]
		switch task := s.Task.(type) {
		case lesson.Asked:
			truth, err := task.Truth(l, d)
			if err != nil {
				t.Fatal(err)
			}
			wrong(run, i, d.Joints())
			if v, err := run.Answer(d, truth.Answer); err != nil || !v.Done {
				t.Fatalf("stage %d: %+v %v", i+1, v, err)
			}
		case *lesson.Free:
			jogs, err := jogfile.Parse("jogs", []byte("joint J1 +1\njoint J2 +1\n"))
			if err != nil {
				t.Fatal(err)
			}
			for _, j := range jogs {
				if _, err := run.Drive(d, j.Jog); err != nil {
					t.Fatal(err)
				}
			}
		case *lesson.Reach:
			p.Done, p.Tries, p.Jogs, p.Contacts = true, 3, 7, 1
		}
		run.Wait(12.3)
	}
	return run
}

// wrong answers a stage wrongly where that is easily done.
func wrong(run *lesson.Run, stage int, q kinematics.Joints) {
	d, _ := run.Lesson.Drive(q)
	far := 1e5
	switch run.Lesson.Stages[stage].Task.(type) {
	case *lesson.Read:
		run.Answer(d, lesson.Answer{Number: &far})
	case *lesson.Choose:
		run.Answer(d, lesson.Answer{Options: []int{1}})
	}
}

// packed is progress as it is after it was kept somewhere.
func packed(t *testing.T, p lesson.Progress) (back lesson.Progress) {
	t.Helper()
	bytes, err := p.MarshalBinary()
	if err == nil {
		err = back.UnmarshalBinary(bytes)
	}
	if err != nil {
		t.Fatal(err)
	}
	return back
}

// titles are those of the stages that are done.
func titles(all []lesson.StageProgress, l *lesson.Lesson) (done []string) {
	for i, s := range all {
		if s.Done {
			done = append(done, l.Stages[i].Title)
		}
	}
	slices.Sort(done)
	return done
}

// Ticks last through what does not change what is asked, and only those are lost whose question is another.
func TestTicksLastThroughEditions(t *testing.T) {
	stages := strings.Split(edition, "  - title: ")
	build := func(order ...int) string {
		text := stages[0]
		for _, i := range order {
			text += "  - title: " + stages[i]
		}
		return text
	}
	if build(1, 2, 3, 4, 5, 6) != edition {
		t.Fatal("cut wrongly")
	}
	all := "Bend Free Number Place Rule Way"
	for _, test := range []struct{ name, now, done, lost string }{
		{"nothing", edition, all, ""},
		{"worded anew", strings.NewReplacer("text: Go there.", "text: Drive to it, please.", "Try X.", "Along X.", "Which way?", "Where to?", "text: Read.", "text: Look.",
			"J5 is bent to", "The wrist is bent to", "{text: plus,", "{text: to plus,", "J1 moved", "The first joint moved").Replace(edition), all, ""},
		{"another layout", strings.NewReplacer("[330, 0, 110], tolerance_mm: 1, wrist: plus}", "[330.0, 0, 1.1e2], wrist: 'plus', tolerance_mm: 1.0}  # there",
			"    read: {measure: z, after: base z -20, tolerance: 1}", "    read:\n      after: base z  -20\n      tolerance: 1\n      measure: z").Replace(edition), all, ""},
		{"old words", strings.NewReplacer("wrist: plus", "wrist: plain", "is: plus", "is: plain", "is: minus", "is: flipped").Replace(edition), all, ""},
		{"a stage before all", build(1, 1, 2, 3, 4, 5, 6), all, ""}, // A twin: the first of two alike has the tick.
		{"stages moved", build(6, 5, 4, 3, 2, 1), all, ""},
		{"ids", strings.NewReplacer("title: Place", "id: place\n    title: Place", "title: Rule", "id: rule\n    title: Rule", "{text: J1 moved", "{id: first, text: J1 moved").Replace(edition), all, ""},
		{"another place", strings.Replace(edition, "[330,", "[331,", 1), "Bend Free Number Rule Way", "reach"},
		{"another question", strings.Replace(edition, "Who decides?", "Who knows?", 1), "Bend Free Number Place Way", "choose"},
		{"shown in the picture", strings.Replace(edition, "question: Who decides?", "shows: {jog: joint J1 +10}\n      question: Who decides?", 1), all, ""},
		{"another start", strings.Replace(edition, "start_deg: [0,", "start_deg: [1,", 1), "Free Place", "predict choose choose read"},
		{"another kind", strings.Replace(edition, "read: {measure: z, after: base z -20, tolerance: 1}", "reach: {joint: J1, angle_deg: 5, tolerance_deg: 1}", 1), "Bend Free Place Rule Way", "read"},
		{"a stage gone", build(1, 3, 4, 5, 6), "Bend Free Number Place Rule", "predict"},
		{"a thing to notice before", strings.Replace(edition, "      notice:\n", "      notice:\n        - {text: J6 moved, event: jogged, joint: J6}\n", 1), all, ""},
		{"more to notice than was", strings.Replace(edition, "enough: 2", "enough: 3", 1), "Bend Number Place Rule Way", "free"},
		{"a thing to notice gone", strings.Replace(edition, "        - {text: J1 moved, event: jogged, joint: J1}\n", "", 1), "Bend Number Place Rule Way", "free"},
		{"another arm", strings.NewReplacer("arm: wren", "arm: curlew", "330", "600", "110", "400").Replace(edition), "", "reach predict choose choose read free"},
	} {
		before := passed(t, parsed(t, edition, 5))
		for how, p := range map[string]lesson.Progress{"in memory": before.Progress, "kept": packed(t, before.Progress)} {
			l := parsed(t, test.now, 5)
			run := lesson.NewRun(l)
			if err := run.Resume(p); err != nil {
				t.Errorf("%s, %s: %v", test.name, how, err)
				continue
			}
			if done := strings.Join(titles(run.Progress.Stages, l), " "); done != test.done {
				t.Errorf("%s, %s: done are %s", test.name, how, done)
			}
			var lost []string
			for _, s := range run.Lost {
				lost = append(lost, s.Task)
			}
			if strings.Join(lost, " ") != test.lost {
				t.Errorf("%s, %s: lost are %s", test.name, how, lost)
			}
			for i, s := range run.Progress.Stages {
				if s.Done && s.Task == "free" && !slices.ContainsFunc(s.Noticed, func(k int) bool {
					return l.Stages[i].Free.Notice[k].ID != "" && strings.Contains(l.Stages[i].Free.Notice[k].Text, "J2")
				}) {
					t.Errorf("%s, %s: noticed are %v", test.name, how, s.Noticed)
				}
				if s.Done && s.Title == "Number" && (len(s.Answers) != 2 || s.Answers[0].Answer != "100000 mm" || !s.Answers[1].Good) {
					t.Errorf("%s, %s: %+v", test.name, how, s.Answers)
				}
			}
			if at := run.Place(p, 4); test.done == all && l.Stages[at].Title != "Number" {
				t.Errorf("%s, %s: the learner was in stage 5 and is in stage %d", test.name, how, at+1)
			}
		}
	}
}

// With an id of its own a stage is the same whatever it asks, as long as it asks in the same way.
func TestAnIdIsKept(t *testing.T) {
	given := strings.Replace(edition, "title: Place", "id: there\n    title: Place", 1)
	before := passed(t, parsed(t, given, 1))
	l := parsed(t, strings.Replace(given, "[330,", "[340,", 1), 1)
	run := lesson.NewRun(l)
	if err := run.Resume(packed(t, before.Progress)); err != nil || !run.Progress.Stages[0].Done || len(run.Lost) != 0 {
		t.Errorf("%+v %v", run.Progress.Stages[0], err)
	}
	for text, says := range map[string]string{
		strings.NewReplacer("{text: J1", "{id: a, text: J1", "{text: J2", "{id: a, text: J2").Replace(given): `free, notice 2: id "a" is taken already`,
		strings.Replace(given, "title: Way", "id: there\n    title: Way", 1):                                 `stage 2: id "there" is taken already`,
		strings.Replace(given, "id: there", "id: Over there", 1):                                             `stage 1: id must be a word of small letters, digits and hyphens, such as over-the-tile, not "Over there"`,
		strings.Replace(given, "id: there", "id: "+strings.Repeat("a", 41), 1):                               "id must be a word",
	} {
		if _, err := scenarios.ReadLesson("f", []byte(text)); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("want %q in\n%v", says, err)
		}
	}
}

// Progress from before stages had identities is taken up by place, and refused where it does not fit.
func TestOldProgressIsTakenUpByPlace(t *testing.T) {
	before := passed(t, parsed(t, edition, 3)).Progress
	for i := range before.Stages {
		before.Stages[i] = lesson.StageProgress{Title: before.Stages[i].Title, Task: before.Stages[i].Task, Done: before.Stages[i].Done,
			Tries: before.Stages[i].Tries, Answers: before.Stages[i].Answers, Noticed: before.Stages[i].Noticed}
	}
	run := lesson.NewRun(parsed(t, edition, 3))
	if err := run.Resume(before); err != nil || !run.Progress.Done() || !slices.Equal(run.Progress.Stages[5].Noticed, []int{0, 1}) {
		t.Errorf("%+v %v", run.Progress, err)
	}
	before.Stages = before.Stages[:5]
	if err := run.Resume(before); err == nil || !run.Progress.Done() {
		t.Errorf("%v", err)
	}
	before.Seed = 4
	if err := run.Resume(before); err == nil || !strings.Contains(err.Error(), "other numbers") {
		t.Errorf("%v", err)
	}
}

// However stages are put in, moved about and worded anew: every tick stands at what it was made for, and none elsewhere.
func TestTicksOfAnyEdition(t *testing.T) {
	text := func(angles []int, word string) string {
		text := "title: A\narm: wren\nstages:\n"
		for _, a := range angles {
			text += fmt.Sprintf("  - title: %q\n    text: %s %d\n    reach: {joint: J%d, angle_deg: %d, tolerance_deg: 1}\n", fmt.Sprint(a), word, a, 1+(a+60)%6, a)
		}
		return text
	}
	angle := rapid.IntRange(-60, 60)
	rapid.Check(t, func(r *rapid.T) {
		before := rapid.SliceOfNDistinct(angle, 1, 20, rapid.ID[int]).Draw(r, "before")
		now := rapid.Permutation(slices.Concat(before, rapid.SliceOfN(rapid.IntRange(61, 75), 0, 5).Draw(r, "new"))).Draw(r, "now")
		now = now[:len(now)-rapid.IntRange(0, len(now)-1).Draw(r, "gone")]
		run := lesson.NewRun(parsed(t, text(before, "turn to"), 0))
		done := map[string]bool{}
		for i := range run.Progress.Stages {
			s := &run.Progress.Stages[i]
			s.Done = rapid.Bool().Draw(r, "done")
			done[s.Title] = s.Done
		}
		next := lesson.NewRun(parsed(t, text(now, "now turn to"), 0))
		if err := next.Resume(packed(t, run.Progress)); err != nil {
			r.Fatal(err)
		}
		found := 0
		for _, s := range next.Progress.Stages {
			if s.Done != done[s.Title] {
				r.Fatalf("%s: %v, and was %v", s.Title, s.Done, done[s.Title])
			}
			if s.Done {
				found++
			}
		}
		want := 0
		for _, is := range done {
			if is {
				want++
			}
		}
		if found+len(next.Lost) != want {
			r.Fatalf("%d ticks and %d lost of %d", found, len(next.Lost), want)
		}
	})
}

// largest are lessons whose progress is as large as it can be: the shipped ones, one of twenty stages with every kind of
// question, and the longest there may be.
func largest(t *testing.T) (all []*lesson.Lesson) {
	all = scenarios.ShippedLessons()
	asks := []string{
		"predict: {jog: base y +50, ask: direction}", "predict: {jog: base y +50, ask: joints}", "predict: {jog: base y +50, ask: stop}",
		"read: {measure: x, tolerance: 1}", "choose: {question: q, several: true, options: [{text: a, right: true}, {text: b}, {text: c, right: true}, {text: d}, {text: e}, {text: f}, {text: g}, {text: h}]}",
	}
	free := "free:\n      notice:\n"
	for joint := range 6 {
		for _, frame := range []string{"joint", "base", "tool"} {
			free += fmt.Sprintf("        - {text: a, event: %s, joint: J%d, frame: %s}\n", map[bool]string{true: "jogged", false: "slowed"}[frame == "joint"], joint+1, frame)
		}
	}
	for _, n := range []int{20, 60} {
		for _, withFree := range []bool{false, true} {
			text := "title: A\narm: wren\ncell: glazing-bench\nstart_deg: [0, 0, 0, 0, 90, 0]\nstages:\n"
			for i := range n {
				task := asks[i%len(asks)]
				if withFree && i < 13 {
					task = free
				}
				text += "  - text: b\n    " + task + "\n"
			}
			all = append(all, parsed(t, text, math.MaxUint64))
		}
	}
	return all
}

// Whatever is answered and however often, the progress of a lesson takes at most MostPacked bytes, and comes back whole.
func TestProgressFitsAndComesBack(t *testing.T) {
	all := largest(t)
	most := make([]int, len(all))
	rapid.Check(t, func(r *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(r, "seed"), 3))
		{
			which := rapid.IntRange(0, len(all)-1).Draw(r, "lesson")
			l := all[which]
			d, err := l.Drive(l.Start)
			if err != nil {
				r.Fatal(err)
			}
			run := lesson.NewRun(l)
			for i := range l.Stages {
				run.Enter(i, d)
				fill(run, i, random)
			}
			run.Progress.Times = random.IntN(1 << 14)
			bytes, err := run.Progress.MarshalBinary()
			if err != nil || len(bytes) > lesson.MostPacked {
				r.Fatalf("%s: %d bytes, %v", l.ID, len(bytes), err)
			}
			most[which] = max(most[which], len(bytes))
			var kept lesson.Progress
			if err := kept.UnmarshalBinary(bytes); err != nil {
				r.Fatal(err)
			}
			again := lesson.NewRun(l)
			if err := again.Resume(kept); err != nil || len(again.Lost) > 0 {
				r.Fatalf("%v, lost %v", err, again.Lost)
			}
			if !reflect.DeepEqual(again.Progress, run.Progress) {
				r.Fatalf("%s: is\n%+v\nand was\n%+v", l.ID, again.Progress, run.Progress)
			}
		}
	})
	for i, l := range all {
		t.Logf("%s of %d stages: at most %d bytes", l.ID, len(l.Stages), most[i])
	}
}

// fill gives a stage the largest counts and answers that it can have.
func fill(run *lesson.Run, stage int, random *rand.Rand) {
	p, l := &run.Progress.Stages[stage], run.Lesson
	d, _ := l.Drive(l.Stages[stage].Begin)
	tries := 1 + random.IntN(10)
	if len(l.Stages) > 20 {
		tries = 1 + random.IntN(3) // No more are kept there.
	}
	for range tries {
		x := (random.Float64() - 0.5) * math.Pow(10, float64(random.IntN(300)))
		arrow := kinematics.RotationAbout(kinematics.NoRotation.Axis(random.IntN(3)), random.Float64()*7).X
		a := lesson.Answer{Number: &x, Options: random.Perm(8)[:random.IntN(9)], Joints: random.Perm(6)[:random.IntN(7)], Stop: lesson.StopWords[random.IntN(len(lesson.StopWords))], Arrow: &arrow}
		if c := l.Stages[stage].Choose; c != nil {
			a.Options = random.Perm(len(c.Options))
		}
		if random.IntN(2) == 0 {
			a.Arrow, a.Direction = nil, lesson.NamedDirections[random.IntN(6)]
		}
		run.Answer(d, a)
	}
	if task := l.Stages[stage].Free; task != nil {
		for line := range strings.Lines("joint J1 +1\njoint J2 +1\njoint J3 -1\njoint J4 +1\njoint J5 -1\njoint J6 +1\n") {
			jogs, _ := jogfile.Parse("jogs", []byte(line))
			run.Drive(d, jogs[0].Jog)
		}
	}
	p.Tries, p.Jogs, p.Contacts, p.Hints = random.IntN(1<<21), random.IntN(1<<21), random.IntN(1<<21), random.IntN(11)
	p.Seconds = float64(random.IntN(1<<28)) / 10
}

// Progress of the form before it was counted how often an assessment is begun is read as before.
func TestProgressOfTheSecondFormIsRead(t *testing.T) {
	began := time.Date(2026, 3, 2, 10, 0, 0, 0, time.UTC)
	p := lesson.Progress{Lesson: "a", Arm: "wren", Seed: 7, Began: began, Extra: 15, ExtraFor: "ada", Stages: []lesson.StageProgress{{ID: "one", Task: "reach", Tries: 2}}}
	now, err := p.MarshalBinary()
	if err != nil {
		t.Fatal(err)
	}
	times := 1 + 5 + 5 + 1 + 5 + 1 // after the form, two hashes, the seed, when it began, and that it was not handed in
	before := append([]byte{2}, slices.Concat(now[1:times], now[times+1:])...)
	for _, text := range [][]byte{now, before} {
		var back lesson.Progress
		if err := back.UnmarshalBinary(text); err != nil || !back.Began.Equal(began) || back.Times != 0 || back.Extra != 15 || back.ExtraFor != "ada" || back.Stages[0].Tries != 2 {
			t.Errorf("%+v %v", back, err)
		}
	}
}

// Bytes that are no progress are refused, whatever they are.
func FuzzUnpack(f *testing.F) {
	l, err := lesson.Parse("editions.yaml", []byte(edition), lesson.Around{Arm: scenarios.OpenArm, Cell: scenarios.OpenCell}, lesson.Deal{})
	if err != nil {
		f.Fatal(err)
	}
	run := lesson.NewRun(l)
	bytes, err := run.Progress.MarshalBinary()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(bytes)
	f.Add(append(slices.Clone(bytes), 0))
	f.Fuzz(func(t *testing.T, bytes []byte) {
		var p lesson.Progress
		if p.UnmarshalBinary(bytes) == nil {
			lesson.NewRun(l).Resume(p)
		}
	})
}
