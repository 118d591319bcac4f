package lesson

import (
	"fmt"
	"slices"
	"time"
)

// Progress is how far a learner has come in a lesson, and what it took. It is what a result is made of.
type Progress struct {
	Lesson string `json:"lesson"`
	Title  string `json:"title"`
	Arm    string `json:"arm"`
	Seed   uint64 `json:"seed"`

	// Of an assessment: when it began and was handed in, how often the learner had begun it until then, as far as that is known (0: not
	// known), how many minutes more it had than its file allows, and for whom.
	Began    time.Time `json:"began,omitzero"`
	Handed   time.Time `json:"handed_in,omitzero"`
	Times    int       `json:"times_begun,omitempty"`
	Extra    int       `json:"extra_minutes,omitempty"`
	ExtraFor string    `json:"extra_for,omitempty"`

	Stages []StageProgress `json:"stages"`
}

// Outcome is what is signed as a result.
type Outcome struct {
	Learner, Number, Email string // as learners name themselves
	Finished               time.Time
	Progress               Progress
	Assessment             bool // and not practice
	Vouched                bool // no tries can have been thrown away
}

// StageProgress is a stage's part of it.
type StageProgress struct {
	ID       string  `json:"id,omitempty"` // the stage's identity; "" in progress from before there were any
	Title    string  `json:"title"`
	Task     string  `json:"task"` // its kind; "" where it has none
	Done     bool    `json:"done"`
	GivenUp  bool    `json:"given_up"` // it can no longer be done
	Tries    int     `json:"tries"`    // that came to an end, the good one included
	Seconds  float64 `json:"seconds"`
	Jogs     int     `json:"jogs"`
	Contacts int     `json:"contacts"`
	Hints    int     `json:"hints"`   // that were shown
	Answers  []Given `json:"answers"` // the first ones and the last
	Noticed  []int   `json:"noticed"`
	ShapeOf  string  `json:"shape_of,omitempty"` // the question of which the stage is one shape
	Points   float64 `json:"points,omitempty"`   // of an assessment, as Run.Scored tells: those that there are,
	Earned   float64 `json:"earned,omitempty"`   // and those that were earned

	ticks []string // the identities of what was noticed
}

// Given is an answer as it was given.
type Given struct {
	Answer string   `json:"answer"`
	InFile string   `json:"in_file,omitempty"` // in the words of the lesson's file, where the learner read it in others
	Good   bool     `json:"good"`
	Error  *float64 `json:"error"` // how far off it was; null where that means nothing
	Unit   string   `json:"unit"`
	Packed []byte   `json:"packed,omitempty"` // the answer in a few bytes, from which its words are written anew; nil where they are all there is
}

// Done reports whether every task is done.
func (p *Progress) Done() bool {
	return !slices.ContainsFunc(p.Stages, func(s StageProgress) bool { return s.Task != "" && !s.Done })
}

// Over reports whether no task is left to be done: each is done or given up, or all is handed in.
func (p *Progress) Over() bool {
	return !p.Handed.IsZero() || !slices.ContainsFunc(p.Stages, func(s StageProgress) bool { return s.Task != "" && !s.Done && !s.GivenUp })
}

// begun reports whether there is anything in it that could be lost.
func (p *StageProgress) begun() bool { return p.Done || p.GivenUp || p.Tries > 0 || len(p.Noticed) > 0 }

// keep adds an answer to those of a stage, of which there are at most so many: the first ones and the last.
func (p *StageProgress) keep(g Given, most int) {
	if len(p.Answers) >= most {
		p.Answers = p.Answers[:most-1]
	}
	p.Answers = append(slices.Clip(p.Answers), g)
}

// Resume takes up progress that was made before, in this edition of the lesson or in another, with the same numbers. What a
// stage asks is known again by its identity, and so is every tick; progress from before there were identities is taken up
// by place, where the stages are as many and ask alike. What means nothing any more is in r.Lost. The counts are taken as
// they are: whoever hands them out to be kept elsewhere must sign them.
func (r *Run) Resume(p Progress) error {
	now := NewRun(r.Lesson).Progress
	now.Began, now.Handed, now.Times, now.Extra, now.ExtraFor = p.Began, p.Handed, p.Times, p.Extra, p.ExtraFor
	switch {
	case !same(p.Lesson, now.Lesson):
		return fmt.Errorf("this progress is of another lesson")
	case p.Seed != now.Seed:
		return fmt.Errorf("this progress is of other numbers than the lesson's")
	}
	to, err := r.places(p)
	if err != nil {
		return err
	}
	r.Lost = nil
	for i := range p.Stages {
		old := &p.Stages[i]
		if to[i] < 0 || p.Arm != "" && !same(p.Arm, now.Arm) {
			if old.begun() {
				r.Lost = append(r.Lost, *old)
			}
			continue
		}
		if !now.Stages[to[i]].take(&r.Lesson.Stages[to[i]], old) {
			r.Lost = append(r.Lost, *old)
		}
	}
	r.Progress = now
	return nil
}

// Place returns where a stage of that progress is in this edition of the lesson: the stage itself, or where it is gone the
// first one that is left to be done.
func (r *Run) Place(p Progress, stage int) int {
	if to, err := r.places(p); err == nil && stage >= 0 && stage < len(to) && to[stage] >= 0 {
		return to[stage]
	}
	left := slices.IndexFunc(r.Progress.Stages, func(s StageProgress) bool { return s.Task != "" && !s.Done && !s.GivenUp })
	return max(left, 0)
}

// places returns for every stage of that progress which one it is in this edition; −1 where it is none.
func (r *Run) places(p Progress) ([]int, error) {
	stages := r.Lesson.Stages
	to, taken := make([]int, len(p.Stages)), make([]bool, len(stages))
	if !slices.ContainsFunc(p.Stages, func(s StageProgress) bool { return s.ID != "" }) {
		fits := len(p.Stages) == len(stages)
		for i := range p.Stages {
			to[i] = i
			fits = fits && p.Stages[i].Task == stages[i].kind()
		}
		if !fits {
			return nil, fmt.Errorf("this progress is of an earlier edition of the lesson, in which stages had no identity")
		}
		return to, nil
	}
	find := func(i int, is func(*Stage) bool) {
		for k := range stages {
			if to[i] < 0 && !taken[k] && stages[k].kind() == p.Stages[i].Task && is(&stages[k]) {
				to[i], taken[k] = k, true
			}
		}
	}
	for i := range p.Stages {
		to[i] = -1
		find(i, func(s *Stage) bool { return same(p.Stages[i].ID, s.ID) })
	}
	for i := range p.Stages { // from before the file gave it an id
		find(i, func(s *Stage) bool { return same(p.Stages[i].ID, s.made) })
	}
	for i := range p.Stages { // whose things to notice have become others, but not all
		find(i, func(s *Stage) bool {
			return s.Free != nil && slices.ContainsFunc(p.Stages[i].ticks, func(id string) bool { return s.Free.known(id) >= 0 })
		})
	}
	return to, nil
}

// known returns the number of the thing to notice with that identity, or −1.
func (f *Free) known(id string) int {
	if i := slices.IndexFunc(f.Notice, func(n Notice) bool { return same(id, n.ID) }); i >= 0 {
		return i
	}
	return slices.IndexFunc(f.Notice, func(n Notice) bool { return same(id, n.made) })
}

// take takes up what was done in the stage before, and reports whether all of it still means the same.
func (p *StageProgress) take(stage *Stage, old *StageProgress) (all bool) {
	p.Done, p.GivenUp, p.Tries, p.Seconds = old.Done, old.GivenUp, old.Tries, old.Seconds
	p.Jogs, p.Contacts, p.Hints = old.Jogs, old.Contacts, old.Hints
	for _, given := range old.Answers {
		if task, ok := stage.Task.(Asked); ok && given.Packed != nil {
			given.Answer, given.InFile = task.told(given.Packed), inFile(task, given.Packed)
		}
		p.Answers = append(p.Answers, given)
	}
	free := stage.Free
	if free == nil {
		return true
	}
	all = true
	for i, number := range old.Noticed {
		if i < len(old.ticks) {
			number = free.known(old.ticks[i])
		}
		if number < 0 || number >= len(free.Notice) {
			all = false
		} else if !slices.Contains(p.Noticed, number) {
			p.Noticed = append(p.Noticed, number)
		}
	}
	slices.Sort(p.Noticed)
	p.ticks = free.ticks(p.Noticed)
	if p.Done && len(p.Noticed) < free.Needed() {
		p.Done, all = false, false
	}
	return all
}

// ticks are the identities of things that were noticed.
func (f *Free) ticks(noticed []int) (ids []string) {
	for _, i := range noticed {
		ids = append(ids, f.Notice[i].ID)
	}
	return ids
}

// Needed is how many things have to be noticed.
func (f *Free) Needed() int {
	if f.Enough > 0 {
		return int(f.Enough)
	}
	return len(f.Notice)
}

// kind is that of the stage's task; "" where it has none.
func (s *Stage) kind() string {
	if s.Task == nil {
		return ""
	}
	return s.Task.Kind()
}
