// Package jogfile reads, drives and writes files of jogs, one jog a line.
package jogfile

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
)

// Speeds of a jog file until it says otherwise.
const (
	firstStraightSpeed = 50.0 // mm/s
	firstTurnSpeed     = 15.0 // degrees/s
	slowestSpeed       = 0.01 // mm/s or degrees/s; a trace of a slower jog would not end within a day
	fastestSpeed       = 1e4  // mm/s or degrees/s
	largestTravel      = 1e5  // mm or degrees
	largestSetDistance = 1e4  // mm
	LongestLine        = 400
	longestHold        = 400.0 // s, for which a jog is held at most
	mostJogs           = 10_000
)

// Jog files that an address of the page may name lie in this folder of an instructor's own, and end so.
const (
	Folder = "jogs"
	Ending = ".txt"
)

var (
	jogWords = form.WordsOf(jog.Frames)
	// otherJogWords begin lines that are no jogs.
	otherJogWords = []string{"version", "speed", "set-distance", "mount-tool", "teach-frame"}
	jogAxes       = []string{"x", "y", "z", "about-x", "about-y", "about-z"}
	jogJoint      = kinematics.JointNames[:]
)

// File is a file of jogs.
type File struct {
	Steps []Step
	form.Findings
}

// Open reads the file of jogs at that path.
func Open(path string) (*File, error) {
	text, err := form.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return ParseFile(path, text)
}

// Parse returns the steps of a file of jogs; see ParseFile.
func Parse(file string, text []byte) ([]Step, error) {
	f, err := ParseFile(file, text)
	if err != nil {
		return nil, err
	}
	return f.Steps, nil
}

// ParseFile reads the text of a file of jogs, one a line: a frame and how far along or about its axes.
//
//	joint J5 +90
//	base x +100            # world, task NAME and tool likewise
//	task tray about-z -15  # a task frame of the cell, by its name
//	base x +30 y -40       # together, along one straight path
//	base x + let-go 1.2    # held for 1.2 s, y - and others beside it likewise; a step can be let go too: base x +30 let-go 1.2
//	base z - until-stopped # held, or a step, until something stops the arm: a limit, a singularity, a contact
//	speed 100              # mm/s for straight jogs, degrees/s for others; speed 100 30 gives one for each
//	mount-tool pen         # of the arm or the cell; none is the bare flange
//	mount-tool pen tcp 0 0 121.5                          # with its TCP at a place that was found, in the flange's frame
//	set-distance 5                # mm of clearance to stop at; 0 lets the arm go until it touches
//	teach-frame tray 300 0 50 400 0 50 300 100 50         # by its origin, a point on +X, one towards +Y, in the world
//	version 1              # of this form; before all else, and 1 where it is left out
//
// What follows # is a comment. A speed is for the jogs after it; before the first they are 50 mm/s and 15°/s. Where a jog
// goes straight and turns at once, the slower of the two decides. Times are rounded to ticks of 4 ms.
func ParseFile(file string, text []byte) (*File, error) {
	s, err := form.PlainText(file, text)
	if err != nil {
		return nil, err
	}
	jogs := make([]Step, 0, min(len(s.Lines), mostJogs)) // They are large, and to move them takes longer than to read them.
	var next Step
	straight, turn := firstStraightSpeed, firstTurnSpeed
	first := true // nothing has been said yet
	for i := range s.Lines {
		l := cut(s, i+1)
		l.renamed()
		switch {
		case len(l.words) == 0:
		case len(jogs) == mostJogs:
			s.Add(form.Place{Line: l.number, Column: 1}, "a file holds at most %d jogs", mostJogs)
			return nil, s.Err()
		case l.words[0].text == "version":
			l.version(first)
		case l.words[0].text == "speed":
			l.speeds(&straight, &turn)
		case l.words[0].text == "set-distance":
			if l.expect(2, "set-distance 5") {
				if mm, ok := l.amount(1, largestSetDistance); ok && mm >= 0 {
					next.SetDistance = &mm
				} else if ok {
					l.add(1, "a set distance is a clearance and not negative; 0 switches it off")
				}
			}
		case l.words[0].text == "mount-tool":
			l.mountTool(&next)
		case l.words[0].text == "teach-frame":
			l.teachFrame(&next)
		default:
			if l.jog(&next, straight, kinematics.Radians(turn)) {
				next.at, next.text = l.place(0), strings.TrimSpace(s.Lines[i])
				jogs = append(jogs, next)
				next = Step{}
			}
		}
		first = first && len(l.words) == 0
	}
	if len(jogs) == 0 && len(s.Problems) == 0 {
		s.Add(form.Place{Line: 1, Column: 1}, "holds no jog; write one a line, such as: base x +100")
	}
	if err := s.Err(); err != nil {
		return nil, err
	}
	return &File{jogs, s.Findings()}, nil
}

// Looks reports whether a text looks like a file of jogs: its first line that says something begins with a word of one.
func Looks(text []byte) bool {
	for line := range strings.Lines(string(text)) {
		line, _, _ = strings.Cut(line, "#")
		if words := strings.Fields(line); len(words) > 0 {
			_, old := oldLineWords[words[0]]
			return old || slices.Contains(jogWords, words[0]) || slices.Contains(otherJogWords, words[0])
		}
	}
	return false
}

// oldLineWords are words that lines once began with, and those they begin with now.
var oldLineWords = map[string]string{"guard": "set-distance"}

// renamed reads a line that begins with an old word as one that begins with the word of now, and notes it.
func (l jogLine) renamed() {
	if len(l.words) == 0 {
		return
	}
	if now, old := oldLineWords[l.words[0].text]; old {
		l.Renamed(l.place(0), "", l.words[0].text, now)
		l.words[0].text = now
	}
}

// version reads the version of the form, which only stands before all else.
func (l jogLine) version(first bool) {
	switch n := len(l.words); {
	case !l.expect(2, "version 1"):
	case !first:
		l.add(0, "the version stands before everything else in the file")
	case l.words[n-1].text != strconv.Itoa(form.NewestVersion):
		l.add(1, "%s", form.UnknownVersion(l.words[1].text))
	}
}

// jogLine is a line cut into words, each with its column.
type jogLine struct {
	*form.Source
	number int
	words  []jogWord
}

type jogWord struct {
	text   string
	column int
}

// cut cuts a line into words.
func cut(s *form.Source, number int) jogLine {
	l := jogLine{Source: s, number: number}
	line, _, _ := strings.Cut(form.PlainMinus(s.Lines[number-1]), "#")
	if utf8.RuneCountInString(line) > LongestLine {
		s.Add(form.Place{Line: number, Column: LongestLine}, "the line is too long")
		return l
	}
	for at := 0; at < len(line); {
		rest := strings.TrimLeft(line[at:], " \t\r")
		at = len(line) - len(rest)
		word := rest
		if end := strings.IndexAny(rest, " \t\r"); end >= 0 {
			word = rest[:end]
		}
		if word != "" {
			l.words = append(l.words, jogWord{word, utf8.RuneCountInString(line[:at]) + 1})
		}
		at += len(word)
	}
	return l
}

// place is where the word stands, or would stand where there are fewer.
func (l jogLine) place(word int) form.Place {
	column := 1
	if word < len(l.words) {
		column = l.words[word].column
	} else if n := len(l.words); n > 0 {
		last := l.words[n-1]
		column = last.column + utf8.RuneCountInString(last.text)
	}
	return form.Place{Line: l.number, Column: column}
}

func (l jogLine) add(word int, format string, args ...any) {
	l.Source.Add(l.place(word), format, args...)
}

// expect reports a line that has too few or too many words.
func (l jogLine) expect(n int, example string) bool {
	switch {
	case len(l.words) < n:
		l.add(len(l.words), "something is missing; write it like: %s", example)
	case len(l.words) > n:
		l.add(n, "nothing may follow here; write it like: %s", example)
	}
	return len(l.words) == n
}

// speeds reads the line as a speed for all jogs, or one for straight ones and one for others.
func (l jogLine) speeds(straight, turn *float64) {
	if n := len(l.words); n != 3 && !l.expect(2, "speed 100, or speed 100 30") {
		return
	}
	var speeds [2]float64
	for i := range l.words[1:] {
		x, ok := l.amount(i+1, fastestSpeed)
		if ok && x < slowestSpeed {
			l.add(i+1, "a speed must be more than 0, and at least %v", slowestSpeed)
		}
		if !ok || x < slowestSpeed {
			return
		}
		speeds[i] = x
	}
	*straight, *turn = speeds[0], speeds[len(l.words)-2]
}

// mountTool reads which tool is to be mounted. A tool's name may have spaces.
func (l jogLine) mountTool(next *Step) {
	words := l.words[1:]
	if at := len(words) - 4; at > 0 && words[at].text == "tcp" {
		tcp, ok := l.points(at+2, 1)
		if !ok {
			return
		}
		next.TCP, words = &tcp[0], words[:at]
	}
	if len(words) == 0 {
		l.add(1, "something is missing; write it like: mount-tool pen")
		return
	}
	next.MountTool = words[0].text
	for _, more := range words[1:] {
		next.MountTool += " " + more.text
	}
}

// teachFrame reads the points that a task frame is taught by.
func (l jogLine) teachFrame(next *Step) {
	if !l.expect(11, "teach-frame tray 300 0 50 400 0 50 300 100 50") {
		return
	}
	name := l.words[1].text
	if !cellfile.GoodTaskName(name) {
		l.add(1, "a task frame's name is one word of letters, digits and hyphens, and not that of another frame")
		return
	}
	points, ok := l.points(2, 3)
	if !ok {
		return
	}
	frame, err := cellfile.TeachFrame(name, points[0], points[1], points[2])
	if err != nil {
		l.add(2, "%v", err)
		return
	}
	next.Teach = append(next.Teach, frame)
}

// points reads n points, mm, from that word on.
func (l jogLine) points(word, n int) (points [3]r3.Vec, ok bool) {
	for i := range n {
		for k, coordinate := range [3]*float64{&points[i].X, &points[i].Y, &points[i].Z} {
			if *coordinate, ok = l.amount(word+3*i+k, largestTravel); !ok {
				return points, false
			}
		}
	}
	return points, true
}

// ending takes the words that say when a jog ends, let-go and until-stopped, off the line.
func (l *jogLine) ending(next *Step) bool {
	if n := len(l.words); l.words[n-1].text == "until-stopped" {
		next.Until, l.words = true, l.words[:n-1]
	}
	n := len(l.words)
	at := slices.IndexFunc(l.words, func(w jogWord) bool { return w.text == "let-go" })
	switch {
	case at < 0:
		return n > 0
	case at != n-2:
		l.add(min(at+2, n), "let-go is followed by the time in seconds, and nothing else; write it like: base x + let-go 1.2")
		return false
	}
	seconds, ok := l.amount(n-1, longestHold)
	if ok && seconds < jog.Tick {
		l.add(n-1, "a control is held for at least %v s before it is let go", jog.Tick)
		return false
	}
	next.LetGo, l.words = int64(math.Round(seconds*jog.TickRate)), l.words[:n-2]
	return ok && len(l.words) > 0
}

// jog reads the line as a jog at these speeds, mm/s and rad/s.
func (l jogLine) jog(next *Step, straight, turn float64) bool {
	frame, axes, example := l.words[0].text, jogAxes, "base x +100"
	if !slices.Contains(jogWords, frame) {
		l.add(0, "unknown word %s; %s", form.Quoted(frame), form.UnknownWord(frame, append(slices.Clone(jogWords), otherJogWords...)))
		return false
	}
	next.LetGo, next.Until = 0, false
	if !l.ending(next) {
		return false
	}
	first, task := 1, ""
	switch traits := jog.Frame(frame).Traits(); {
	case !traits.Axes:
		axes, example = jogJoint, "joint J5 +90"
	case traits.Named:
		example = "task tray x +100"
		if len(l.words) > 1 {
			first, task = 2, l.words[1].text
		}
	}
	// At least one axis with its amount, and as many more of them as there are.
	if pairs := max(1, (len(l.words)-first+1)/2); len(l.words) != first+2*pairs {
		if last := len(l.words) - 1; pairs > 1 && !slices.Contains(axes, l.words[last].text) {
			l.add(last, "nothing may follow here but another axis and its amount; write it like: %s", example)
			return false
		}
		l.expect(first+2*pairs, example)
		return false
	}
	var amounts [6]float64
	var ways []jog.Direction
	turning := jog.Frame(frame) == jog.JointFrame
	for word := first; word < len(l.words); word += 2 {
		axis := slices.Index(axes, l.words[word].text)
		if axis < 0 {
			l.add(word, "unknown direction %s; %s", form.Quoted(l.words[word].text), form.UnknownWord(l.words[word].text, axes))
			return false
		}
		if sign, held := heldSign[l.words[word+1].text]; held {
			ways = append(ways, jog.Direction{Frame: jog.Frame(frame), Task: task, Axis: axis, Sign: sign})
			continue
		}
		amount, ok := l.amount(word+1, largestTravel)
		switch {
		case !ok:
			return false
		case amount == 0:
			l.add(word+1, "a jog of 0 goes nowhere")
			return false
		case amounts[axis] != 0:
			l.add(word, "%s is named twice", l.words[word].text)
			return false
		}
		if amounts[axis] = amount; turning || axis > 2 {
			amounts[axis] = kinematics.Radians(amount)
		}
	}
	var err error
	switch pairs := (len(l.words) - first) / 2; {
	case len(ways) == pairs && next.LetGo == 0 && !next.Until:
		l.add(len(l.words), "a jog that is held needs its end; write it like: base x + let-go 1.2, or base z - until-stopped")
		return false
	case len(ways) == pairs:
		next.Jog, err = jog.HeldTogether(ways, straight, turn)
	case len(ways) > 0:
		l.add(first, "give an amount for every axis, or for none where the jog is held")
		return false
	default:
		if turning || amounts[0] == 0 && amounts[1] == 0 && amounts[2] == 0 {
			straight = turn
		}
		next.Jog, err = jog.StepTogether(jog.Frame(frame), task, amounts, straight, turn)
	}
	if err != nil {
		l.add(first, "%v", err)
	}
	return err == nil
}

// heldSign tells the signs that stand in the place of an amount where a jog is held.
var heldSign = map[string]int{"+": 1, "-": -1}

// amount reads a word as a number of at most ±limit.
func (l jogLine) amount(word int, limit float64) (float64, bool) {
	text := l.words[word].text
	x, err := strconv.ParseFloat(text, 64)
	switch {
	case err != nil || math.IsNaN(x) || strings.ContainsAny(text, "xXpP_iI"):
		l.add(word, "%s is not a number such as +12.5", form.Quoted(text))
	case math.Abs(x) > limit:
		l.add(word, "%s is too large; at most %g", form.Quoted(text), limit)
	default:
		return x, true
	}
	return 0, false
}
