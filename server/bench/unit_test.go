package bench

import (
	"fmt"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"handrule/words"
)

// written are the texts that somebody wrote into a file, which stay as they are.
var written = []string{"About", "HTML", "Aims", "Hints", "Sources", "Title", "Text", "Again", "Options", "Question", "Notice", "Excerpt"}

// texts calls to with every text of a message that the bench made itself, and where it stands.
func texts(path string, v reflect.Value, to func(path, text string)) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			texts(path, v.Elem(), to)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if name := v.Type().Field(i).Name; !slices.Contains(written, name) {
				texts(path+"."+name, v.Field(i), to)
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			texts(path, v.Index(i), to)
		}
	case reflect.String:
		to(path, v.String())
	}
}

var (
	saysMM   = regexp.MustCompile(`\d[ \x{a0}\x{202f}]?mm\b`)
	saysInch = regexp.MustCompile(`\d in\b`)
)

// Whoever reads in inches hears no mm, and whoever reads in mm no inches, whatever they do and in whichever language. The task of
// a lesson that asks for a reading names its own unit, and the log file and jog files are mm.
func TestAUnitIsHeardEverywhere(t *testing.T) {
	offer := shipped()
	told := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom([]words.Unit{words.MM, words.Inch, words.Inch}).Draw(t, "unit")
		wrong, right := saysInch, saysMM
		if unit == words.Inch {
			wrong, right = saysMM, saysInch
		}
		b := New(&offer, testEnv())
		b.Connect(Welcome{}, rapid.SampledFrom(words.Languages).Draw(t, "language"))
		h := &hearing{b: b}
		if err := b.Handle(&UnitRequest{Unit: unit}, noon); err != nil {
			t.Fatal(err)
		}
		press := 0
		for range rapid.IntRange(1, 12).Draw(t, "requests") {
			request := anyRequest(t, b, &press)
			if _, is := request.(*UnitRequest); is {
				continue
			}
			if err := does(t, b, request, noon); err != nil {
				texts("error", reflect.ValueOf(b.in.Tell(err)), func(_, text string) {
					if wrong.MatchString(text) && !strings.Contains(text, "must be from") {
						t.Errorf("%T: %q", request, text)
					}
				})
			}
		}
		for _, m := range h.all() {
			texts(fmt.Sprintf("%T", m), reflect.ValueOf(m), func(path, text string) {
				if strings.HasPrefix(path, "bench.LessonMessage.Task.Verdict") || strings.HasPrefix(path, "bench.LessonMessage.Task.Right") {
					return // in the unit that the task asks for
				}
				if wrong.MatchString(text) {
					t.Errorf("%s: %q", path, text)
				}
				if right.MatchString(text) {
					told[path]++
				}
			})
		}
	})
	for _, path := range []string{"bench.StopMessage.Numbers", "bench.LogMessage.Entries.Line"} {
		if told[path] == 0 {
			t.Errorf("nothing was heard of a length in %s", path)
		}
	}
}

// A choice of another unit says anew what stands on the page, and offers steps and speeds that are round in it.
func TestAnotherUnitIsToldAnew(t *testing.T) {
	b, h := testBench()
	ask(t, b, noon, `{"type":"frame","frame":"base","task":""}`)
	ask(t, b, noon, `{"type":"scene","arm":"wren","cell":"","tool":"","joints_deg":[0,20,20,0,60,0]}`)
	ask(t, b, noon, `{"type":"step","direction":{"frame":"base","task":"","axis":2,"sign":1}}`)
	finish(t, b, noon)
	if line := last[LogMessage](t, h).Entries[0].Line; !strings.HasPrefix(line, "10 mm") {
		t.Errorf("in mm the log says %q", line)
	}
	count := last[StopMessage](t, h).Count
	h.forget()
	ask(t, b, noon, `{"type":"unit","unit":"inch"}`)
	if line := last[LogMessage](t, h).Entries[0].Line; !strings.HasPrefix(line, "0.394 in") { // 10/25.4
		t.Errorf("in inches the log says %q", line)
	}
	stop := last[StopMessage](t, h)
	if !strings.Contains(stop.Numbers, "0.39 in") || stop.Count != count {
		t.Errorf("in inches the stop says %q as number %d, before %d", stop.Numbers, stop.Count, count)
	}
	setup := last[Setup](t, h)
	if setup.Unit != words.Inch || setup.Increment != (IncrementRequest{MM: 12.7, Deg: 5}) || setup.Speed != (SpeedRequest{MMS: 50.8, DegS: 15}) {
		t.Errorf("10 mm · 5° at 50 mm/s become %+v at %+v, want half an inch at two inches a second", setup.Increment, setup.Speed)
	}
	for _, m := range h.messages {
		if _, is := m.(ArmMessage); is {
			t.Error("the arm is told anew, though it is the same")
		}
	}
	h.forget()
	ask(t, b, noon, `{"type":"unit","unit":"mm"}`)
	if setup := last[Setup](t, h); setup.Increment != (IncrementRequest{MM: 10, Deg: 5}) || setup.Speed != (SpeedRequest{MMS: 50, DegS: 15}) {
		t.Errorf("back in mm: %+v at %+v", setup.Increment, setup.Speed)
	}
	if b.Handle(&UnitRequest{Unit: "cubit"}, noon) == nil {
		t.Error("a cubit is taken")
	}
}

// What is offered in inches is round in inches, from fine to coarse, within what a learner may choose, with the turns of the mm.
func TestWhatIsOfferedIsRoundInItsUnit(t *testing.T) {
	mm, inch := choicesIn[words.MM], choicesIn[words.Inch]
	if len(mm.Increments) != len(inch.Increments) || len(mm.Speeds) != len(inch.Speeds) {
		t.Fatal("one unit offers more than the other")
	}
	for i, step := range inch.Increments {
		inches := step.MM / words.MMPerInch
		if math.Abs(inches*1000-math.Round(inches*1000)) > 1e-9 || step.Deg != mm.Increments[i].Deg || step.MM < minMM || step.MM > maxMM {
			t.Errorf("a step of %v in and %v°", inches, step.Deg)
		}
		if ratio := step.MM / mm.Increments[i].MM; ratio < 0.9 || ratio > 1.3 {
			t.Errorf("%v in stands for %v mm", inches, mm.Increments[i].MM)
		}
	}
	for i, speed := range inch.Speeds {
		if speed.DegS != mm.Speeds[i].DegS || speed.MMS > 250 {
			t.Errorf("a speed of %v in/s and %v °/s", speed.MMS/words.MMPerInch, speed.DegS)
		}
	}
}
