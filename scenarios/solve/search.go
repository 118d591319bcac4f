package solve

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
	"handrule/words"
)

const (
	// mostSearch is how many ticks are run in search of a task's solution. It bounds the time that a lesson which
	// cannot be passed takes to be found out.
	mostSearch = 300_000
	// mostLessonSearch is the same for all tasks of a lesson together, however often its numbers are drawn.
	mostLessonSearch = 3_000_000
	// mostJointWays is how many goals are looked for by single joints.
	mostJointWays = 6
)

// search looks for jogs that solve a task that is driven, with the motion code and the grader.
type search struct {
	lesson *lesson.Lesson
	stage  int
	from   *jog.Drive
	effort *effort
	budget int // ticks of motion, for this task
	found  []jog.Jog
	end    *jog.Drive // where they lead
	failed string     // what the last attempt came to
	held   bool       // the steps that are offered do not get there, so a jog is held or dragged
	fine   string     // a way that leads there, but neither in those steps nor by a hand; "" where none was found
}

// What a hand hits with a held or a dragged jog: a tenth of a second at the slowest speeds that are offered, 5 mm/s and
// 2°/s.
var (
	handMM   = 0.5
	handTurn = kinematics.Radians(0.2)
)

// solve returns a search that has found jogs which pass the stage from d, and where they lead. It takes the ticks that it
// runs from the effort.
func solve(l *lesson.Lesson, stage int, d *jog.Drive, e *effort) (*search, error) {
	if e.left <= 0 {
		return nil, fmt.Errorf("no way was looked for, because the stages before it took all of the %s; mend those first", motionTime(mostLessonSearch))
	}
	s := &search{lesson: l, stage: stage, from: d, effort: e, budget: mostSearch}
	solved := false
	switch task := l.Stages[stage].Task.(type) {
	case *lesson.Reach:
		if why := unreachable(l, task, d, e); why != "" {
			return nil, errors.New(why)
		}
		if task.Taught {
			var err error
			if s.from, err = lesson.AsTaught(d); err != nil {
				return nil, err
			}
		}
		solved = s.reach(task)
	case *lesson.Free:
		solved = s.free(task)
	}
	switch {
	case solved:
		s.roundOff()
		return s, nil
	case s.fine != "":
		return nil, fmt.Errorf("%s would lead there, but not in the steps that are offered, and a held or dragged jog is good to %s mm or %.2g°; offer smaller steps, or allow so much",
			s.fine, form.Decimal(handMM), kinematics.Degrees(handTurn))
	case s.budget <= 0:
		return nil, fmt.Errorf("no way along single axes, or along several held together, was found within %s; the last attempt: %s", motionTime(mostSearch), s.failed)
	}
	return nil, fmt.Errorf("no way along single axes, or along several held together, was found; the last attempt: %s", s.failed)
}

// motionTime says how long so many ticks are.
func motionTime(ticks int) string { return fmt.Sprintf("%d minutes of motion", ticks/jog.TickRate/60) }

// try drives the jogs and reports whether they pass the stage, and by what the learner has: the steps that are offered, or
// where the tolerance is wide enough, jogs that are held or dragged.
func (s *search) try(jogs []jog.Jog) bool {
	if !s.drive(jogs) {
		return false
	}
	task, ok := s.lesson.Stages[s.stage].Task.(*lesson.Reach)
	uses := s.lesson.Stages[s.stage].Uses
	if !ok || !uses.LimitsSteps() && byHand(task) && task.MostJogs == 0 { // Where jogs are counted, a held one may save some.
		s.held = false
		return true
	}
	stepped := *s
	if stepped.drive(inOfferedSteps(s.found, uses.Increments())) {
		if s.budget = stepped.budget; uses.LimitsSteps() {
			*s = stepped
		}
		s.held = false
		return true
	}
	s.budget = stepped.budget
	if s.held = byHand(task); !s.held && s.fine == "" {
		s.fine = jogsInWords(s.found)
		s.budget = min(s.budget, mostSearch/10) // Another way is not likely to do better.
	}
	return s.held
}

// inOfferedSteps returns the jogs made of these steps, as near as they come. One along several directions can only be held.
func inOfferedSteps(jogs []jog.Jog, offered []lesson.Increment) (steps []jog.Jog) {
	var mm, turn []float64
	for _, i := range slices.Backward(offered) {
		mm, turn = append(mm, i.MM), append(turn, kinematics.Radians(i.Deg))
	}
	mm, turn = slices.Compact(mm), slices.Compact(turn)
	for _, j := range jogs {
		sizes := turn
		if j.Straight() {
			sizes = mm
		}
		if j.Several() {
			return nil
		}
		for _, amount := range inSteps(float64(j.Sign)*j.Amount, sizes) {
			steps = append(steps, step(j.Direction, j.Axis, amount))
		}
	}
	return steps
}

// took counts ticks of motion. A search that was stopped has no more.
func (s *search) took(ticks int) {
	s.effort.took(ticks)
	if s.budget -= ticks; s.effort.ended {
		s.budget = 0
	}
}

// drive drives the jogs and reports whether they pass the stage.
func (s *search) drive(jogs []jog.Jog) bool {
	if s.budget <= 0 || len(jogs) == 0 {
		return false
	}
	d, run := s.from.Copy(), lesson.NewRun(s.lesson)
	if err := run.Enter(s.stage, d); err != nil {
		return false
	}
	for i, j := range jogs {
		before := d.Ticks
		v, err := run.DriveWhile(d, j, s.effort.goOn)
		s.took(int(d.Ticks - before))
		stop := d.Stop()
		switch {
		case err != nil:
			s.failed = spoken.Jog(j, words.English) + ": " + err.Error()
			return false
		case v.Done:
			s.found, s.end = slices.Clone(jogs[:i+1]), d
			return true
		case v.Failed:
			s.failed = spoken.Jog(j, words.English) + ": " + v.Words
			return false
		case stop.Reason != jog.Done:
			s.failed = spoken.Jog(j, words.English) + ": " + spoken.Sentence(stop, words.English)
			return false
		}
	}
	s.failed = spoken.Jog(jogs[len(jogs)-1], words.English) + ": the goal is not reached"
	return false
}

// roundOff replaces the jogs found by rounder ones, as a person would write them, where those pass the stage too.
func (s *search) roundOff() {
	if s.lesson.Stages[s.stage].Uses.LimitsSteps() && !s.held {
		return // They are steps that are offered.
	}
	for digits := range 2 {
		rounder := slices.Clone(s.found)
		for i, j := range rounder {
			if unit := kinematics.Radians(1); j.Straight() {
				rounder[i].Amount = form.Round(j.Amount, digits)
			} else {
				rounder[i].Amount = form.Round(j.Amount/unit, digits) * unit
			}
		}
		if again := *s; again.try(rounder) && again.held == s.held {
			*s = again
			return
		}
	}
}

// frames returns the frames with axes that the task allows, the base frame first, because that is where a way is as a rule
// looked for first, and every task frame by itself.
func (s *search) frames(permits func(jog.Frame) bool) (all []jog.Direction) {
	for _, f := range jog.FramesWith(func(f jog.FrameTraits) bool { return f.Axes && permits(f.Frame) }) {
		switch {
		case f == jog.BaseFrame:
			all = slices.Insert(all, 0, jog.Direction{Frame: f})
		case f.Traits().Named:
			for _, task := range s.from.Setup().Tasks {
				all = append(all, jog.Direction{Frame: f, Task: task.Name})
			}
		default:
			all = append(all, jog.Direction{Frame: f})
		}
	}
	return all
}

// step returns the jog of that signed amount, mm or rad, along or about an axis.
func step(d jog.Direction, axis int, amount float64) jog.Jog {
	d.Axis = axis
	return lesson.Speeds.Step(d, amount)
}

// reach looks for a way to the goal: at once, and after one jog that gets the arm out of the way.
func (s *search) reach(task *lesson.Reach) bool {
	permits := func(f jog.Frame) bool { return task.Permits(&s.lesson.Stages[s.stage], f) }
	frames := s.frames(permits)
	if task.Joint != nil && permits(jog.JointFrame) {
		turn := float64(*task.Angle) - s.from.Joints()[*task.Joint]
		return s.try([]jog.Jog{step(jog.Direction{Frame: jog.JointFrame}, int(*task.Joint), orSlightly(turn))})
	}
	if s.straight(task, nil, s.from, frames) || permits(jog.JointFrame) && s.byJoints(task) {
		return true
	}
	for _, first := range s.firsts(frames, permits(jog.JointFrame)) {
		d, err := lesson.After(s.from, lesson.Jogs{first})
		if err == nil && (s.try([]jog.Jog{first}) || s.straight(task, []jog.Jog{first}, d, frames)) {
			return true
		}
		if s.budget <= 0 {
			return false
		}
	}
	return false
}

// orSlightly returns a jog's amount, or a small one where the arm stands there already, because a task ends with a jog.
func orSlightly(amount float64) float64 {
	if amount == 0 {
		return kinematics.Radians(0.01)
	}
	return amount
}

// firsts are jogs worth making before the way to the goal: bending a joint, or lifting the tool.
func (s *search) firsts(frames []jog.Direction, joints bool) (all []jog.Jog) {
	if joints {
		for _, degrees := range []float64{90, 45, 30, 60, 15} {
			for _, axis := range []int{4, 3, 2, 1, 0, 5} {
				for _, sign := range []float64{1, -1} {
					all = append(all, step(jog.Direction{Frame: jog.JointFrame}, axis, sign*kinematics.Radians(degrees)))
				}
			}
		}
	}
	for _, f := range frames {
		for _, mm := range []float64{50, 100, 150} {
			for _, axis := range []int{2, 0, 1} {
				all = append(all, step(f, axis, mm), step(f, axis, -mm))
			}
		}
		for _, degrees := range []float64{90, 45, 20} {
			for axis := 3; axis < 6; axis++ {
				all = append(all, step(f, axis, kinematics.Radians(degrees)), step(f, axis, -kinematics.Radians(degrees)))
			}
		}
	}
	return all
}

// pose returns the pose of the TCP at which the task is done; what it leaves open is as it is at d.
func (s *search) pose(task *lesson.Reach, d *jog.Drive) (kinematics.Pose, bool) {
	goal, err := task.Goal(s.lesson, d)
	now := d.TCP()
	if task.Joint != nil {
		q := d.Joints()
		q[*task.Joint] = float64(*task.Angle)
		return d.Arm().Forward(q).Mul(d.Tool()), true
	}
	if task.Position == nil {
		goal.Position = now.Position
	}
	if task.Rotation == nil {
		goal.Rotation = now.Rotation
	}
	return goal, err == nil
}

// straight tries the ways to the goal by jogs along and about the axes of one frame, after these jogs, which lead to d.
func (s *search) straight(task *lesson.Reach, first []jog.Jog, d *jog.Drive, frames []jog.Direction) bool {
	goal, ok := s.pose(task, d)
	if !ok {
		return false
	}
	for _, f := range frames {
		setup := d.Setup()
		frame, err := setup.Frame(f.Frame, f.Task, d.TCP())
		if err != nil {
			continue
		}
		moves := frame.Rotation.Transpose().Apply(r3.Sub(goal.Position, d.TCP().Position))
		var straight, turns []jog.Jog
		for axis, mm := range [3]float64{moves.X, moves.Y, moves.Z} {
			if math.Abs(mm) > 1e-6 {
				straight = append(straight, step(f, axis, mm))
			}
		}
		for _, t := range turnsIn(f.Frame, frame.Rotation, d.TCP().Rotation, goal.Rotation) {
			if math.Abs(t.angle) > 1e-9 {
				turns = append(turns, step(f, 3+t.axis, t.angle))
			}
		}
		for _, order := range orders(straight) {
			if s.try(slices.Concat(first, order, turns)) {
				return true
			}
			// About the tool frame's own axes the moves after the turns would be other ones.
			if len(turns) > 0 && f.Frame != jog.ToolFrame && s.try(slices.Concat(first, turns, order)) {
				return true
			}
		}
		if task.PathFactor > 0 && s.try(slices.Concat(first, diagonals(f, moves), turns)) {
			return true
		}
	}
	return false
}

// diagonals returns straight jogs to moves along the axes of a frame that a learner makes with several buttons held
// together: along all axes that are left at once, until the shortest is done. No way along the axes is shorter.
func diagonals(f jog.Direction, moves r3.Vec) (jogs []jog.Jog) {
	left := [6]float64{moves.X, moves.Y, moves.Z}
	for {
		least, together := math.Inf(1), [6]float64{}
		for _, mm := range left {
			if math.Abs(mm) > 1e-6 {
				least = math.Min(least, math.Abs(mm))
			}
		}
		if math.IsInf(least, 1) {
			return jogs
		}
		for axis, mm := range left {
			if math.Abs(mm) > 1e-6 {
				together[axis] = math.Copysign(least, mm)
				left[axis] -= together[axis]
			}
		}
		j, err := jog.StepTogether(f.Frame, f.Task, together, lesson.Speeds.Straight, lesson.Speeds.Turn)
		if err != nil {
			return nil
		}
		jogs = append(jogs, j)
	}
}

// turn is an angle about an axis of a frame.
type turn struct {
	axis  int
	angle float64
}

// turnsIn returns turns about the axes of a frame that lead from one orientation to the other. About axes that stand
// still they are the fixed X-Y-Z angles; about the tool's own, which turn with it, the same about Z, Y and X.
func turnsIn(f jog.Frame, axes, from, to kinematics.Rotation) []turn {
	if f == jog.ToolFrame {
		a, _ := from.Transpose().Mul(to).FixedXYZ()
		return []turn{{2, a.Z}, {1, a.Y}, {0, a.X}}
	}
	a, _ := axes.Transpose().Mul(to.Mul(from.Transpose())).Mul(axes).FixedXYZ()
	return []turn{{0, a.X}, {1, a.Y}, {2, a.Z}}
}

// orders returns the jogs in every order.
func orders(jogs []jog.Jog) (all [][]jog.Jog) {
	if len(jogs) < 2 {
		return [][]jog.Jog{jogs}
	}
	for i := range jogs {
		for _, rest := range orders(slices.Delete(slices.Clone(jogs), i, i+1)) {
			all = append(all, append([]jog.Jog{jogs[i]}, rest...))
		}
	}
	return all
}

// byJoints tries ways by single joints to the goal, and where its orientation is open to the goal with others.
func (s *search) byJoints(task *lesson.Reach) bool {
	goal, ok := s.pose(task, s.from)
	if !ok {
		return false
	}
	goals := []kinematics.Pose{goal}
	if task.Rotation == nil {
		for _, degrees := range []float64{90, 45, 20, 135, 180} {
			for axis := range 3 {
				for _, sign := range []float64{1, -1} {
					other := goal
					other.Rotation = kinematics.RotationAbout(kinematics.NoRotation.Axis(axis), sign*kinematics.Radians(degrees)).Mul(goal.Rotation)
					goals = append(goals, other)
				}
			}
		}
	}
	looked := 0
	for _, goal := range goals {
		ends := s.ends(task, goal)
		if len(ends) == 0 {
			continue
		}
		if looked++; looked > mostJointWays {
			return false
		}
		for _, end := range ends {
			var jogs []jog.Jog
			for axis, angle := range end {
				if turn := angle - s.from.Joints()[axis]; math.Abs(turn) > 1e-9 {
					jogs = append(jogs, step(jog.Direction{Frame: jog.JointFrame}, axis, turn))
				}
			}
			// Of all orders, those that begin with another joint each.
			for i := range jogs {
				if s.try(slices.Concat(jogs[i:], jogs[:i])) {
					return true
				}
			}
		}
	}
	return false
}

// ends returns the joint angles within the limits that put the TCP there, in the posture that is asked for, the fewest
// jogs first.
func (s *search) ends(task *lesson.Reach, goal kinematics.Pose) (ends []kinematics.Joints) {
	now := s.from.Joints()
	ends = slices.DeleteFunc(s.from.Ends(goal), func(q kinematics.Joints) bool { return !task.Suits(s.from.Arm(), q) })
	jogs := func(q kinematics.Joints) (n int) {
		for axis := range q {
			if math.Abs(q[axis]-now[axis]) > 1e-9 {
				n++
			}
		}
		return n
	}
	slices.SortStableFunc(ends, func(a, b kinematics.Joints) int { return jogs(a) - jogs(b) })
	return ends
}

// driving is a free task part of the way through.
type driving struct {
	d    *jog.Drive
	run  lesson.Run
	jogs []jog.Jog
}

// fork returns a copy that can be driven on by itself.
func (f *driving) fork() *driving {
	return &driving{d: f.d.Copy(), run: f.run.Fork(), jogs: slices.Clip(f.jogs)}
}

// on drives one jog further, and reports how much has been noticed and whether that is enough.
func (f *driving) on(s *search, j jog.Jog) (noticed int, done bool) {
	before := f.d.Ticks
	v, err := f.run.DriveWhile(f.d, j, s.effort.goOn)
	s.took(int(f.d.Ticks - before))
	if err != nil {
		return 0, false
	}
	f.jogs = append(f.jogs, j)
	return len(v.Noticed), v.Done
}

// free looks for jogs that make things happen, one thing after the other.
func (s *search) free(task *lesson.Free) bool {
	now := &driving{d: s.from.Copy(), run: *lesson.NewRun(s.lesson)}
	if err := now.run.Enter(s.stage, now.d); err != nil {
		return false
	}
	stage := &s.lesson.Stages[s.stage]
	frames := s.frames(stage.Uses.Permits)
	joints := stage.Uses.Permits(jog.JointFrame)
	for {
		next, done := s.oneMore(task, now, frames, joints)
		if done {
			s.found, s.end = next.jogs, next.d
			return true
		}
		if next == nil {
			return false
		}
		now = next
	}
}

// oneMore drives on until one more thing has happened, by one jog or by two; nil where nothing more does.
func (s *search) oneMore(task *lesson.Free, now *driving, frames []jog.Direction, joints bool) (next *driving, done bool) {
	had := slices.Clone(now.run.Progress.Stages[s.stage].Noticed)
	seconds := s.seconds(task, had, frames, joints)
	look := func(from *driving, j jog.Jog) bool {
		next = from.fork()
		var noticed int
		noticed, done = next.on(s, j)
		return noticed > len(had)
	}
	for _, second := range seconds {
		if look(now, second) {
			return next, done
		}
	}
	firsts := s.firsts(frames, joints)
	if joints {
		firsts = append(zeros(now.d), firsts...)
	}
	for _, first := range firsts {
		if s.budget <= 0 {
			break
		}
		if look(now, first) {
			return next, done
		}
		after := next
		for _, second := range seconds {
			if s.budget > 0 && look(after, second) {
				return next, done
			}
		}
	}
	for i := range task.Notice {
		if !slices.Contains(had, i) {
			s.failed = fmt.Sprintf("notice %d, %q, does not happen", i+1, task.Notice[i].Text)
		}
	}
	return nil, false
}

// zeros are the jogs that each bring one joint to zero.
func zeros(d *jog.Drive) (all []jog.Jog) {
	for _, axis := range []int{4, 3, 2, 1, 0, 5} {
		if angle := d.Joints()[axis]; math.Abs(angle) > 1e-6 {
			degrees := form.Round(kinematics.Degrees(angle), 6) // A limit is stopped at to less than that.
			all = append(all, step(jog.Direction{Frame: jog.JointFrame}, axis, -kinematics.Radians(degrees)))
		}
	}
	return all
}

// seconds are the jogs that may make something happen that has not been noticed yet.
func (s *search) seconds(task *lesson.Free, had []int, frames []jog.Direction, joints bool) (all []jog.Jog) {
	wanted := func(d jog.Direction) bool {
		for i := range task.Notice {
			n := &task.Notice[i]
			if slices.Contains(had, i) || n.Frame != "" && n.Frame != d.Frame {
				continue
			}
			if n.Event == lesson.EventJogged && n.Joint != nil && (d.Frame != jog.JointFrame || d.Axis != int(*n.Joint)) {
				continue
			}
			return true
		}
		return false
	}
	if joints {
		frames = append([]jog.Direction{{Frame: jog.JointFrame}}, frames...)
	}
	for _, size := range []struct{ mm, degrees float64 }{{20, 10}, {100, 60}, {lesson.MostRoom, 360}} {
		for _, f := range frames {
			for axis := range 6 {
				for _, sign := range []float64{1, -1} {
					amount := sign * kinematics.Radians(size.degrees)
					if f.Axis = axis; f.Straight() {
						amount = sign * size.mm
					}
					if j := step(f, axis, amount); wanted(j.Direction) {
						all = append(all, j)
					}
				}
			}
		}
	}
	return all
}

// byHand reports whether a hand hits the goal with a held or a dragged jog.
func byHand(r *lesson.Reach) bool {
	return (r.Position == nil || float64(r.Tolerance) >= handMM) && (r.Rotation == nil && r.Joint == nil || float64(r.TurnTolerance) >= handTurn)
}

// inSteps returns steps of these sizes, the largest first, whose sum comes as near to an amount as it can, by as few as
// it can. The sizes are in descending order.
func inSteps(amount float64, sizes []float64) (steps []float64) {
	if len(sizes) == 0 {
		return nil
	}
	size := math.Copysign(sizes[0], amount)
	whole := math.Floor(amount/size + 1e-9)
	best := math.Inf(1)
	// One more than fits, and one fewer, leave a rest that the smaller ones may fill better.
	tries := []float64{whole, whole + 1, whole - 1}
	if len(sizes) > 6 {
		tries = tries[:2]
	}
	for _, n := range tries {
		if n < 0 || n > mostSteps {
			continue
		}
		rest := amount - n*size
		smaller := inSteps(rest, sizes[1:])
		for _, s := range smaller {
			rest -= s
		}
		all := append(slices.Repeat([]float64{size}, int(n)), smaller...)
		if off := math.Abs(rest); off < best-1e-9 || off < best+1e-9 && len(all) < len(steps) {
			best, steps = math.Min(best, off), all
		}
	}
	return steps
}

// mostSteps is how many steps of one size anybody presses in a row.
const mostSteps = 200
