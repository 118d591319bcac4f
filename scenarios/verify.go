package scenarios

import (
	"fmt"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// Solution is how a stage is passed: by these jogs, or with this answer.
type Solution struct {
	Stage int
	Kind  string
	Begin kinematics.Joints // where the arm stands when it begins
	Jogs  []jog.Jog
	Held  bool // the steps that are offered do not make these jogs up, so they are held or dragged
	Truth Truth
}

// String is the solution in a line.
func (s Solution) String() string {
	words := s.Truth.Words
	if len(s.Jogs) > 0 {
		words = jogLines(s.Jogs)
	}
	if s.Held {
		words += " (held or dragged, because the steps that are offered do not get there)"
	}
	return fmt.Sprintf("stage %d, %s: %s", s.Stage+1, s.Kind, words)
}

// jogLines writes jogs in a row, with how often one is made in succession.
func jogLines(jogs []jog.Jog) string {
	var lines []string
	for i := 0; i < len(jogs); {
		line, times := JogLine(jogs[i]), 1
		for i+times < len(jogs) && JogLine(jogs[i+times]) == line {
			times++
		}
		if i += times; times > 1 {
			line = fmt.Sprintf("%d times %s", times, line)
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, ", ")
}

// Check finds out whether the lesson can be passed, by passing it: every target is reached by jogs that are found by
// search and driven, every question has one computed answer. The error is an Errors with everything that stands
// against it.
func (l *Lesson) Check() ([]Solution, error) {
	fuel := mostLessonSearch
	return l.check(&fuel, nil)
}

// check does that within as many ticks of search. Where which is not nil, only these stages are looked at.
func (l *Lesson) check(fuel *int, which func(stage int) bool) ([]Solution, error) {
	src := &source{file: l.src.file, lines: l.src.lines}
	var solutions []Solution
	d, err := l.Drive(l.Start)
	if err != nil {
		src.add(l.start, "lesson: %v", err)
		return nil, src.err()
	}
	for i := range l.Stages {
		own := l.Stages[i] // Problems are added to this copy; the lesson may be shared.
		stage := &own
		stage.src = src
		if !stage.GoOn {
			if d, err = l.Drive(stage.Begin); err != nil {
				stage.add("start_deg", "%v", err)
				continue
			}
			if i == 0 || stage.Begin != l.Stages[i-1].Begin {
				l.checkClear(src, stage, d)
			}
		}
		if stage.Task == nil || which != nil && !which(i) && !l.goesOnTo(i, which) {
			continue
		}
		solution := Solution{Stage: i, Kind: stage.Task.Kind(), Begin: d.Joints()}
		if task, ok := stage.Task.(*Reach); ok && !stage.GoOn && task.reached(l, d) {
			stage.add("reach", "is fulfilled where the stage begins, %s; ask for another place, or begin elsewhere%s", task.offWords(l, d), l.dealt.with(i))
			continue
		}
		switch task := stage.Task.(type) {
		case asked:
			if solution.Truth, err = task.truth(l, d); err != nil {
				err = fmt.Errorf("cannot be answered: %w", err)
			} else if solution.Truth.Unclear != "" {
				err = fmt.Errorf("has not one answer: %s", solution.Truth.Unclear)
			}
		default:
			var way *search
			if way, err = l.solve(i, d, fuel); err == nil {
				solution.Jogs, solution.Held, d = way.found, way.held, way.end
			} else {
				err = fmt.Errorf("cannot be passed: %w", err)
			}
		}
		if err != nil {
			stage.add(solution.Kind, "%v%s", err, l.dealt.with(i))
			continue
		}
		solutions = append(solutions, solution)
	}
	return solutions, src.err()
}

// checkClear reports what the arm touches where a stage begins, at the line that puts it there.
func (l *Lesson) checkClear(src *source, stage *Stage, d *jog.Drive) {
	tool, _ := l.tool() // It has been found before.
	contacts := l.around().Contacts(l.Arm, tool, d.Joints())
	if pair, near := d.Clearance(); len(contacts) == 0 && near && pair.Distance < 0 {
		contacts = []string{fmt.Sprintf("%s is %.1f mm inside %s", pair.A.Name, -pair.Distance, pair.B.Name)}
	}
	if len(contacts) > 0 {
		from := &stage.Block
		if !stage.Given("start_deg") && l.Given("start_deg") {
			whole := l.Block
			whole.src, from = src, &whole
		}
		from.tell("start_deg", "the arm touches something where it begins: %s", strings.Join(contacts, ", "))
	}
}

// goesOnTo reports whether one of these stages begins where stage i ends.
func (l *Lesson) goesOnTo(i int, which func(stage int) bool) bool {
	for i++; i < len(l.Stages) && l.Stages[i].GoOn; i++ {
		if which(i) {
			return true
		}
	}
	return false
}
