package class

import (
	"cmp"
	"encoding/json"
	"errors"
	"slices"
	"strconv"
	"time"

	"handrule/words"
)

// This file is what the pages of a class see, computed from its facts.

// View is the class as everybody in it sees it.
func (c *Class) View(now time.Time) ClassView {
	if c.head == nil {
		return ClassView{Code: c.Code, Ended: true, AskFor: []string{}}
	}
	h := c.head
	v := ClassView{
		Code: c.Code, Title: h.Title, Ended: !h.Ended.IsZero(), Locked: h.Locked, NamesHidden: h.NamesHidden, AskFor: append([]string{}, h.AskFor...),
		Eyes: h.Eyes, Sent: h.Sent, Front: c.here[c.Driver()], Here: c.learnersHere(),
	}
	for id, p := range c.people {
		if p.Removed {
			continue
		}
		v.Learners++
		if c.hands[id] != nil {
			v.Hands++
		}
	}
	if h.Driver != "" {
		v.Driven = true
		if p := c.people[h.Driver]; p != nil {
			v.Driver = c.nameOf(h.Driver)
		}
	}
	if left := h.CountdownEnds.Sub(now); !h.CountdownEnds.IsZero() && left > -countdownStays {
		ms := int(max(0, left) / time.Millisecond)
		v.CountdownMS = &ms
	}
	return v
}

// countdownStays is how long a countdown that has run down is shown.
const countdownStays = time.Minute

// nameOf is a learner's name, as far as it may be shown.
func (c *Class) nameOf(learner string) string {
	p := c.people[learner]
	if p == nil || c.head.NamesHidden {
		return ""
	}
	return p.Name
}

// Mine is what only the learner is told.
func (c *Class) Mine(learner string) MineView {
	p := c.people[learner]
	if p == nil || p.Removed || c.head == nil {
		return MineView{}
	}
	v := MineView{Joined: true, Name: p.Name, Hand: c.hands[learner] != nil, Drives: c.head.Driver == learner}
	for lesson, result := range c.results[learner] {
		if !c.pending[resultKey(c.Code, learner, lesson)] {
			v.Arrived = max(v.Arrived, result.At.UnixMilli())
		}
	}
	if to := c.to[learner]; to != nil {
		v.Hint, v.Hints, v.Sent = to.Hint, to.Hints, to.Sent
	}
	return v
}

// Front is the demonstrated arm where it stood last; false where that is not known.
func (c *Class) Front() (FrontView, bool) {
	stand := c.stands[c.Driver()]
	if stand == nil {
		return FrontView{}, false
	}
	return FrontView{stand.Scene, stand.Lesson, stand.Stage}, true
}

// Listing is the class in the instructor's list.
func (c *Class) Listing() Listing {
	l := Listing{Code: c.Code}
	if c.head != nil {
		l.Title, l.Opened, l.Ended = c.head.Title, c.head.Opened.Format(time.RFC3339), !c.head.Ended.IsZero()
	}
	for id, p := range c.people {
		if !p.Removed {
			l.Learners++
		}
		l.Results += len(c.results[id])
	}
	return l
}

// Sort puts the latest first.
func (v *ClassesView) Sort() {
	slices.SortFunc(v.Classes, func(a, b Listing) int { return cmp.Or(cmp.Compare(b.Opened, a.Opened), cmp.Compare(a.Code, b.Code)) })
}

// Knows reports whether an arm may be seen in the class: the instructor's, or a learner's who joined.
func (c *Class) Knows(whom string) bool {
	return c.head != nil && (whom == InstructorsArm || c.has(whom))
}

// ResultsFile is the results that have arrived, as JSON.
func (c *Class) ResultsFile() []byte {
	text, _ := json.Marshal(struct {
		Class   string   `json:"class"`
		Results []string `json:"results"`
	}{c.Code, append([]string{}, c.Results()...)})
	return text
}

// ExportVersion counts the forms of an export.
const ExportVersion = 1

// Export is everything that is kept of the class, as JSON.
func (c *Class) Export() []byte {
	answers := map[string]map[string]*Answer{}
	for at, given := range c.answers {
		answers[join(strconv.Itoa(at.question), strconv.Itoa(at.round))] = given
	}
	text, _ := json.MarshalIndent(struct {
		Version   int                           `json:"version"`
		Class     string                        `json:"class"`
		Head      *Head                         `json:"head"`
		Learners  map[string]*Person            `json:"learners"`
		Hands     map[string]*Hand              `json:"hands"`
		To        map[string]*ToOne             `json:"sent_to_one"`
		Standings map[string]*Standing          `json:"standings"`
		Stands    map[string]*Stand             `json:"arms"`
		Questions map[int]*Asked                `json:"questions"`
		Answers   map[string]map[string]*Answer `json:"answers"`
		Results   map[string]map[string]*Result `json:"results"`
	}{ExportVersion, c.Code, c.head, c.people, c.hands, c.to, c.standings, c.stands, c.questions, answers, c.results}, "", "  ")
	return text
}

// Results are the results that have arrived, as the server signed them, by learner and lesson.
func (c *Class) Results() (all []string) {
	type one struct {
		learner, lesson string
		result          *Result
	}
	var list []one
	for id, results := range c.results {
		for lesson, r := range results {
			list = append(list, one{id, lesson, r})
		}
	}
	slices.SortFunc(list, func(a, b one) int {
		if d := a.result.At.Compare(b.result.At); d != 0 {
			return d
		}
		return cmp.Or(cmp.Compare(a.learner, b.learner), cmp.Compare(a.lesson, b.lesson))
	})
	for _, one := range list {
		all = append(all, one.result.Text)
	}
	return all
}

// Tell says an error to a page.
func Tell(err error, in *words.Language) Problem {
	p := Problem{Message: in.Tell(err)}
	var known words.Problem
	if errors.As(err, &known) {
		for _, fatal := range []words.Problem{errNoClass, errRemoved, errLocked, errFull} {
			p.Fatal = p.Fatal || fatal.Key == known.Key
		}
	}
	return p
}
