package lesson

import (
	"reflect"
	"strings"
	"testing"

	"handrule/kinematics/jog"
	"handrule/words"
)

// Every kind of task has its row, its field in a stage, a way to be graded, and a function wherever tasks are told apart.
func TestEveryKindOfTaskIsWhole(t *testing.T) {
	task := reflect.TypeFor[Task]()
	var fields []string
	for _, f := range reflect.VisibleFields(reflect.TypeFor[Stage]()) {
		if f.Type.Kind() == reflect.Pointer && f.Type.Implements(task) {
			fields = append(fields, f.Tag.Get("field"))
			var s Stage
			reflect.ValueOf(&s).Elem().FieldByIndex(f.Index).Set(reflect.New(f.Type.Elem()))
			of := kindOf(&s)
			if of == nil {
				t.Errorf("%s has no row", f.Name)
				continue
			}
			got := of.of(&s)
			if got.Kind() != of.name || of.name != f.Tag.Get("field") || of.code == 0 || of.code > 7 || kindOfCode(of.code) != of.name {
				t.Errorf("%s: the row is of %s, the task of %s", f.Name, of.name, got.Kind())
			}
			_, isAsked := got.(Asked)
			_, isDriven := got.(driven)
			if isAsked == isDriven {
				t.Errorf("%s is neither asked nor driven, or both", of.name)
			}
			name := ByKind(got, func(*Reach) string { return "reach" }, func(*Predict) string { return "predict" }, func(*Read) string { return "read" },
				func(*Choose) string { return "choose" }, func(*Free) string { return "free" })
			if name != of.name {
				t.Errorf("%s is handled as %q", of.name, name)
			}
		}
	}
	if len(fields) != len(kinds) {
		t.Errorf("there are %d kinds and these tasks in a stage: %v", len(kinds), fields)
	}
}

func kindOf(s *Stage) *kind {
	for i := range kinds {
		if task := kinds[i].of(s); !reflect.ValueOf(task).IsNil() {
			return &kinds[i]
		}
	}
	return nil
}

// A measure that is a number can be asked for, and then it has a text in every language; one in words has at least two.
func TestEveryMeasureIsWhole(t *testing.T) {
	seen := map[Measure]bool{}
	for _, m := range measures {
		if m.of == nil || seen[m.name] {
			t.Errorf("%s cannot be computed, or is there twice", m.name)
		}
		seen[m.name] = true
		if m.words != nil {
			if len(m.words) < 2 || m.unit != "" {
				t.Errorf("%s: words %v, unit %q", m.name, m.words, m.unit)
			}
			continue
		}
		for _, in := range words.Languages {
			key := "task.read." + string(m.name)
			if _, there := in.Texts[key]; !there {
				t.Errorf("%s: %s is missing", in.Code, key)
			}
		}
	}
}

func TestEveryEventIsWhole(t *testing.T) {
	seen := map[Event]bool{}
	for _, e := range events {
		if e.happened == nil || seen[e.name] {
			t.Errorf("%s cannot happen, or is there twice", e.name)
		}
		seen[e.name] = true
	}
}

// A stop that is no answer is so for the reason that it has.
func TestWhyAStopIsNoAnswer(t *testing.T) {
	for reason, want := range map[jog.Reason]string{jog.Uncomputed: "is not computed", "": "takes too long"} {
		stop := jog.Stop{Reason: reason}
		if got := noAnswer(stop); stop.Answer() != "" || !strings.Contains(got, want) {
			t.Errorf("%q is the answer %q, and none because %s", reason, stop.Answer(), got)
		}
	}
}
