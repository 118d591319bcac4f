package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"handrule/kinematics/jog"
	"handrule/scenarios/lesson"
	"handrule/words"
)

// Thought is what somebody may have thought, by itself: of a task whose numbers are another for everybody it is the same for all who
// thought so. It is kept as JSON, and said in any language.
type Thought struct {
	Key  string `json:"k"`
	Fill []Word `json:"f,omitempty"`
}

// Word is what stands in a place of a thought's sentence: a frame, what is measured from, or else a text that is the same in every
// language.
type Word struct {
	In     string    `json:"in"` // the place's name
	Text   string    `json:"t,omitempty"`
	Frame  jog.Frame `json:"frame,omitempty"`
	Task   string    `json:"task,omitempty"` // the task frame's name
	Ground string    `json:"ground,omitempty"`
}

// thought is a belief without its answer.
func (b *belief) thought() Thought {
	t := Thought{Key: b.key}
	for i := 0; i+1 < len(b.fill); i += 2 {
		w := Word{In: b.fill[i].(string)}
		switch value := b.fill[i+1].(type) {
		case string:
			w.Text = value
		case named:
			w.Frame, w.Task = value.Frame, value.Task
		case ground:
			w.Ground = value.name
		}
		t.Fill = append(t.Fill, w)
	}
	return t
}

// belief is the thought again, with no answer.
func (t Thought) belief() belief {
	b := belief{key: t.Key}
	for _, w := range t.Fill {
		var value any = w.Text
		switch {
		case w.Frame != "":
			value = named{w.Frame, w.Task}
		case w.Ground != "":
			value = ground{name: w.Ground}
		}
		b.fill = append(b.fill, w.In, value)
	}
	return b
}

func (t Thought) name() string { return t.Key + fmt.Sprint(t.Fill) }

// Reveals returns the thoughts that may have led to an answer, as Take returned it, the plainest first; none where it is right or no
// usual one does.
func (a *Asked) Reveals(given Answer) (all []Thought) {
	if a.Right(given) {
		return nil
	}
	if k := a.nearest(&given); k >= 0 {
		for i := range a.classes[k].beliefs {
			all = append(all, a.classes[k].beliefs[i].thought())
		}
	}
	return all
}

// Revealed returns the thoughts that may have led to a wrong answer to the task of a lesson's stage; none where the task is no
// question to a class, or no usual thought leads there.
func Revealed(l *lesson.Lesson, stage int, wrong lesson.Answer) []Thought {
	task, err := OfTask(l, stage)
	if err != nil {
		return nil
	}
	given, err := task.Take(wrong)
	if err != nil {
		return nil
	}
	return task.Reveals(given)
}

// Named says thoughts that cannot be told apart, as their group is called; "" of none.
func Named(thoughts []Thought, in *words.Language) string {
	var names []string
	for _, t := range thoughts {
		b := t.belief()
		names = append(names, b.say("ask.group.", in))
	}
	return strings.Join(names, in.Say("ask.or"))
}

// Dealt is a wrong answer to a task that was asked with other numbers than this one, and what it reveals there.
type Dealt struct {
	Answer   Answer
	Thoughts []Thought
}

// GroupsOfDealt puts wrong answers to the same task with different numbers together by what was thought. Time and again those are a
// group who may all have thought the same, as many as can be; they are told by what all of them may have thought. What no thought
// explains is alike where the answer is a word, and not where it is a number or an arrow.
func (a *Asked) GroupsOfDealt(all []Dealt, in *words.Language) (groups []Group) {
	answers := make([]Answer, len(all))
	var left, unexplained []int
	for i := range all {
		answers[i] = all[i].Answer
		if len(all[i].Thoughts) > 0 {
			left = append(left, i)
		} else {
			unexplained = append(unexplained, i)
		}
	}
	thinks := func(i int, name string) bool {
		return slices.ContainsFunc(all[i].Thoughts, func(t Thought) bool { return t.name() == name })
	}
	for rank := 0; len(left) > 0; rank++ {
		g := Group{rank: rank, Members: mostShared(all, left)}
		for _, t := range all[g.Members[0]].Thoughts {
			if name := t.name(); !slices.ContainsFunc(g.Members, func(i int) bool { return !thinks(i, name) }) {
				g.beliefs = append(g.beliefs, t.belief())
			}
		}
		left = slices.DeleteFunc(left, func(i int) bool { return slices.Contains(g.Members, i) })
		groups = append(groups, g)
	}
	others := Group{rank: rankOthers, Members: unexplained}
	if a.Kind != Number && a.Kind != Way {
		others.Members = nil
		for _, members := range a.clusters(answers, unexplained) {
			groups = append(groups, Group{Members: members, rank: rankAlike})
		}
	}
	if len(others.Members) > 0 {
		groups = append(groups, others)
	}
	for i := range groups {
		a.name(&groups[i], answers, in)
		groups[i].Arrow = nil // Each is about an arm that stands as its own numbers say.
	}
	slices.SortStableFunc(groups, func(g, h Group) int {
		return cmp.Or(cmp.Compare(len(h.Members), len(g.Members)), cmp.Compare(g.rank, h.rank))
	})
	return groups
}

// mostShared returns those of the answers that may come of the thought which most of them share; of such thoughts, of the plainest.
func mostShared(all []Dealt, left []int) []int {
	type shared struct {
		members []int
		plain   int // the sum of its places
		name    string
	}
	found := map[string]*shared{}
	for _, i := range left {
		for place, t := range all[i].Thoughts {
			s := found[t.name()]
			if s == nil {
				s = &shared{name: t.name()}
				found[s.name] = s
			}
			s.members, s.plain = append(s.members, i), s.plain+place
		}
	}
	var best *shared
	for _, s := range found {
		if best == nil || cmp.Or(cmp.Compare(len(best.members), len(s.members)), cmp.Compare(s.plain, best.plain), cmp.Compare(s.name, best.name)) < 0 {
			best = s
		}
	}
	return best.members
}
