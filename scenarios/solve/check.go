// Package solve finds out whether a lesson can be passed, by passing it: targets by jogs that are searched for and driven,
// questions by their computed answers. It also draws a lesson's numbers until it can be passed with them.
package solve

import (
	"fmt"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// Solution is how a stage is passed: by these jogs, or with this answer.
type Solution struct {
	Stage int
	Kind  string
	Begin kinematics.Joints // where the arm stands when it begins
	Jogs  []jog.Jog
	Held  bool // the steps that are offered do not make these jogs up, so they are held or dragged
	Truth lesson.Truth
	With  string // the drawn numbers that it is for, such as " (with $far 40)"; "" where it depends on none
}

// String is the solution in a line.
func (s Solution) String() string {
	way := s.Truth.Words
	if len(s.Jogs) > 0 {
		way = jogsInWords(s.Jogs)
	}
	if s.Held {
		way += " (held or dragged, because the steps that are offered do not get there)"
	}
	return fmt.Sprintf("stage %d, %s: %s", s.Stage+1, s.Kind, way+s.With)
}

// jogsInWords says jogs in a row, rounded to a hundredth, with how often one is made in succession.
func jogsInWords(jogs []jog.Jog) string {
	var all []string
	for i := 0; i < len(jogs); {
		said, times := spoken.Jog(jogs[i], words.English), 1
		for i+times < len(jogs) && spoken.Jog(jogs[i+times], words.English) == said {
			times++
		}
		if i += times; times > 1 {
			said = fmt.Sprintf("%d times %s", times, said)
		}
		all = append(all, said)
	}
	return strings.Join(all, "; then ")
}

// Check finds out whether the lesson can be passed, by passing it: every target is reached by jogs that are found by
// search and driven, every question has one computed answer. The error is an Errors with everything that stands
// against it.
func Check(l *lesson.Lesson) ([]Solution, error) {
	return check(l, newEffort(nil), nil)
}

// check does that with so much effort. Where which is not nil, only these stages are looked at.
func check(l *lesson.Lesson, e *effort, which func(stage int) bool) ([]Solution, error) {
	practice := *l
	practice.Assessment = nil // Whoever searches needs more tries than a learner has.
	l = &practice
	src := l.Source().Again()
	var solutions []Solution
	d, err := l.Drive(l.Start)
	if err != nil {
		whole := l.On(src)
		whole.Tell("", "%v", err)
		return nil, src.Err()
	}
	for i := range l.Stages {
		if e.at.Stage, e.at.Stages = i, len(l.Stages); !e.goOn() {
			return solutions, Stopped{i, src.Err()}
		}
		own := l.Stages[i] // Problems are added to this copy; the lesson may be shared.
		stage := &own
		stage.Block = own.On(src)
		if !stage.GoOn {
			if d, err = l.Drive(stage.Begin); err != nil {
				stage.Add("start_deg", "%v", err)
				continue
			}
			if i == 0 || stage.Begin != l.Stages[i-1].Begin {
				checkClear(l, src, stage, d)
			}
		}
		if stage.Task == nil || which != nil && !which(i) && !goesOnTo(l, i, which) {
			continue
		}
		solution := Solution{Stage: i, Kind: stage.Task.Kind(), Begin: d.Joints(), With: l.With(i)}
		if task, ok := stage.Task.(*lesson.Reach); ok && !stage.GoOn && task.Reached(l, d) {
			stage.Add("reach", "is fulfilled where the stage begins, %s; ask for another place, or begin elsewhere%s", task.OffWords(l, d), l.With(i))
			continue
		}
		switch task := stage.Task.(type) {
		case lesson.Asked:
			if solution.Truth, err = task.Truth(l, d); err != nil {
				err = fmt.Errorf("cannot be answered: %w", err)
			} else if solution.Truth.Unclear != "" {
				err = fmt.Errorf("has not one answer: %s", solution.Truth.Unclear)
			}
		default:
			var way *search
			way, err = solve(l, i, d, e)
			if e.ended {
				return solutions, Stopped{i, src.Err()}
			}
			if err == nil {
				solution.Jogs, solution.Held, d = way.found, way.held, way.end
			} else {
				err = fmt.Errorf("cannot be passed: %w", err)
			}
		}
		if err != nil {
			stage.Add(solution.Kind, "%v%s", err, l.With(i))
			continue
		}
		solutions = append(solutions, solution)
	}
	return solutions, src.Err()
}

// checkClear reports what the arm touches where a stage begins, at the line that puts it there.
func checkClear(l *lesson.Lesson, src *form.Source, stage *lesson.Stage, d *jog.Drive) {
	tool, _ := l.Mounted() // It has been found before.
	contacts := l.Surroundings().Contacts(l.Arm, tool, d.Joints())
	if pair, near := d.Clearance(); len(contacts) == 0 && near && pair.Distance < 0 {
		contacts = []string{fmt.Sprintf("%s is %.1f mm inside %s", pair.A.Name, -pair.Distance, pair.B.Name)}
	}
	if len(contacts) > 0 {
		from := &stage.Block
		if !stage.Given("start_deg") && l.Given("start_deg") {
			whole := l.On(src)
			from = &whole
		}
		from.Tell("start_deg", "the arm touches something where it begins: %s", strings.Join(contacts, ", "))
	}
}

// goesOnTo reports whether one of these stages begins where stage i ends.
func goesOnTo(l *lesson.Lesson, i int, which func(stage int) bool) bool {
	for i++; i < len(l.Stages) && l.Stages[i].GoOn; i++ {
		if which(i) {
			return true
		}
	}
	return false
}
