package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/words"
)

// belief is a way to think about a question, right or wrong, with the answer that it leads to.
type belief struct {
	key    string // of its texts, under ask.group. and ask.says.
	fill   []any  // of these: name, value, name, value; a value is a string or sayable
	answer Answer
}

// sayable is said in the reader's language.
type sayable interface {
	say(in *words.Language) string
}

func (b belief) same(c belief) bool {
	return b.key == c.key && fmt.Sprint(b.fill) == fmt.Sprint(c.fill)
}

func (b *belief) say(under string, in *words.Language) string {
	values := make([]string, len(b.fill))
	for i, value := range b.fill {
		switch value := value.(type) {
		case sayable:
			values[i] = value.say(in)
		case string:
			values[i] = value
		}
	}
	return in.Say(under+b.key, values...)
}

// class is beliefs that an answer cannot tell apart, for the arm as it stands.
type class struct {
	beliefs []belief
	name    string // the same for classes of the same beliefs
}

// alikeArrows and alikeOthers are how near to each other the answers of two beliefs are that cannot be told apart, in tolerances.
const (
	alikeArrows = 0.5
	alikeOthers = 1
)

// classify puts together the beliefs that lead to the same answer. One that leads to the right answer is left out: who answers so
// is right, and why cannot be told. A belief is put with those before it that it is near to, all of them.
func (a *Asked) classify() (all []class) {
	near := float64(alikeOthers)
	if a.Kind == Way {
		near = alikeArrows
	}
	for _, b := range a.kind.beliefs(a) {
		if a.Right(b.answer) {
			continue
		}
		i := slices.IndexFunc(all, func(c class) bool {
			return !slices.ContainsFunc(c.beliefs, func(other belief) bool { return a.kind.apart(a, &b.answer, &other.answer) > near })
		})
		switch {
		case i < 0:
			all = append(all, class{beliefs: []belief{b}})
		case !slices.ContainsFunc(all[i].beliefs, b.same):
			all[i].beliefs = append(all[i].beliefs, b)
		}
	}
	for i := range all {
		for _, b := range all[i].beliefs {
			all[i].name += b.key + fmt.Sprint(b.fill)
		}
	}
	return all
}

// Group is answers that reveal the same.
type Group struct {
	Beliefs []string // what they reveal, as keys; none where that is not known
	Right   bool     // they are right
	Name    string   // what they reveal, in a few words
	Says    string   // the same in a sentence; "" where there is nothing more to say
	Given   string   // what was answered, in a few words, which does not tell what is right
	Members []int    // which answers they are, by their places in the list
	Arrow   *r3.Vec  // the mean of their arrows, a unit vector; nil where there is none

	rank    int // among groups of the same size
	beliefs []belief
}

// The ranks of groups that no belief has made.
const (
	rankRight  = -1
	rankAlike  = 1 << 20 // answers that are alike, who knows why
	rankOthers = rankAlike + 1
)

// Groups puts answers, as Take returned them, together by what they reveal: what is right, what a misconception leads to, what else
// is alike, and all the rest. The largest group comes first; of those that are as large the right one, and the rest last.
func (a *Asked) Groups(answers []Answer, in *words.Language) (groups []Group) {
	var alike []int
	byName := map[string]int{}
	put := func(name string, member int, g Group) {
		at, there := byName[name]
		if !there {
			at, byName[name] = len(groups), len(groups)
			groups = append(groups, g)
		}
		groups[at].Members = append(groups[at].Members, member)
	}
	for i := range answers {
		if a.Right(answers[i]) {
			put("", i, Group{Right: true, rank: rankRight})
		} else if k := a.nearest(&answers[i]); k >= 0 {
			put(a.classes[k].name, i, Group{beliefs: a.classes[k].beliefs, rank: k})
		} else {
			alike = append(alike, i)
		}
	}
	others := Group{rank: rankOthers}
	for _, members := range a.clusters(answers, alike) {
		if len(members) > 1 || a.Kind == Choice || a.Kind == Stop { // there are few that can be chosen, so each is told
			groups = append(groups, Group{Members: members, rank: rankAlike})
		} else {
			others.Members = append(others.Members, members...)
		}
	}
	if len(others.Members) > 0 {
		slices.Sort(others.Members)
		groups = append(groups, others)
	}
	for i := range groups {
		a.name(&groups[i], answers, in)
	}
	slices.SortStableFunc(groups, func(g, h Group) int {
		return cmp.Or(cmp.Compare(len(h.Members), len(g.Members)), cmp.Compare(g.rank, h.rank))
	})
	return groups
}

// nearest is the class whose answer is nearest within the tolerance; −1 where none is. What the jog asked for, where the arm
// refuses it, goes before what is nearer, as a right answer does.
func (a *Asked) nearest(given *Answer) int {
	best, nearest := 1.0, -1
	for k := range a.classes {
		if first := &a.classes[k].beliefs[0]; first.key == askedFor && a.kind.apart(a, given, &first.answer) <= 1 {
			return k
		}
		for i := range a.classes[k].beliefs {
			if off := a.kind.apart(a, given, &a.classes[k].beliefs[i].answer); off < best || off == best && nearest < 0 {
				best, nearest = off, k
			}
		}
	}
	return nearest
}

// clusterWithin is how far an arrow may be from the middle one of those that it is alike, in tolerances.
const clusterWithin = 2.0 / 3

// clusters puts answers that are alike together: time and again those around the one that has the most around it.
func (a *Asked) clusters(answers []Answer, left []int) (all [][]int) {
	near := float64(alikeOthers)
	if a.Kind == Way {
		near = clusterWithin
	}
	around := make([][]int, len(left)) // of each, by their places in left
	for i := range left {
		for k := range left {
			if a.kind.apart(a, &answers[left[i]], &answers[left[k]]) <= near {
				around[i] = append(around[i], k)
			}
		}
	}
	for gone := make([]bool, len(left)); ; {
		most := slices.MaxFunc(append(around, nil), func(x, y []int) int { return len(x) - len(y) })
		if len(most) == 0 {
			return all
		}
		var members []int
		for _, k := range most {
			members, gone[k] = append(members, left[k]), true
		}
		all = append(all, members)
		for i := range around {
			around[i] = slices.DeleteFunc(around[i], func(k int) bool { return gone[k] || gone[i] })
		}
	}
}

// name says what a group reveals, and what was answered.
func (a *Asked) name(g *Group, answers []Answer, in *words.Language) {
	g.Arrow = mean(answers, g.Members)
	g.Given = a.given(g, answers, in)
	var names []string
	for i := range g.beliefs {
		g.Beliefs = append(g.Beliefs, g.beliefs[i].key)
		names = append(names, g.beliefs[i].say("ask.group.", in))
	}
	switch {
	case a.Kind == Choice:
		g.Name = g.Given
	case g.Right:
		g.Name = in.Say("ask.group.right")
	case g.rank == rankAlike:
		g.Name = in.Say("ask.group.alike", "given", g.Given)
	case g.rank == rankOthers:
		g.Name = in.Say("ask.group.others")
	case len(names) == 1:
		g.Name, g.Says = names[0], g.beliefs[0].say("ask.says.", in)
	default:
		g.Name, g.Says = strings.Join(names, in.Say("ask.or")), in.Say("ask.says.alike")
	}
}

// given says what the answers of a group are: the first's where they all are the same, their middle where they are near each other.
func (a *Asked) given(g *Group, answers []Answer, in *words.Language) string {
	middle := answers[g.Members[0]]
	switch {
	case g.Arrow != nil:
		middle.Arrow = g.Arrow
	case a.Kind == Number:
		var numbers []float64
		for _, i := range g.Members {
			numbers = append(numbers, *answers[i].Number)
		}
		slices.Sort(numbers)
		middle.Number = &numbers[len(numbers)/2]
	}
	for _, i := range g.Members {
		if a.kind.apart(a, &middle, &answers[i]) > 1 {
			return in.Say("ask.given.several")
		}
	}
	return a.kind.tell(a, &middle, in)
}

// mean is the direction of the sum of arrows; nil where some have none or they cancel each other out.
func mean(answers []Answer, members []int) *r3.Vec {
	var sum r3.Vec
	for _, i := range members {
		if answers[i].Arrow == nil {
			return nil
		}
		sum = r3.Add(sum, *answers[i].Arrow)
	}
	if r3.Norm(sum) < 0.1*float64(len(members)) {
		return nil
	}
	sum = r3.Unit(sum)
	return &sum
}
