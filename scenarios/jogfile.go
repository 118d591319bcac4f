package scenarios

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/words"
)

// Speeds of a jog file until it says otherwise.
const (
	firstStraightSpeed = 50.0 // mm/s
	firstTurnSpeed     = 15.0 // degrees/s
	slowestSpeed       = 0.01 // mm/s or degrees/s; a trace of a slower jog would not end within a day
	fastestSpeed       = 1e4  // mm/s or degrees/s
	largestTravel      = 1e5  // mm or degrees
	largestGuard       = 1e4  // mm
	longestJogLine     = 200
	mostJogs           = 10_000
)

var (
	jogWords = []string{"joint", "base", "world", "tool", "task", "speed"}
	jogAxes  = []string{"x", "y", "z", "about-x", "about-y", "about-z"}
	jogJoint = kinematics.JointNames[:]
)

// JogStep is a jog of a jog file, and what is to be changed at rest before it.
type JogStep struct {
	jog.Jog
	MountTool string   // the tool to be mounted; "" leaves the one there is
	Guard     *float64 // the clearance to stop at, mm; nil leaves it as it is
}

// OpenJogs reads the file of jogs at that path.
func OpenJogs(path string) ([]JogStep, error) {
	text, err := readFile(path)
	if err != nil {
		return nil, err
	}
	return ReadJogs(path, text)
}

// ReadJogs reads a file of jogs, one a line: a frame and how far along or about its axes.
//
//	joint J5 +90
//	base x +100            # world and tool likewise
//	task tray about-z -15  # a task frame of the cell, by its name
//	base x +30 y -40       # together, along one straight path
//	speed 100              # mm/s for straight jogs, degrees/s for others
//	mount-tool pen         # of the arm or the cell; none is the bare flange
//	guard 5                # mm of clearance to stop at; 0 lets the arm go until it touches
//
// What follows # is a comment. A speed is for the jogs after it; before the first they are 50 mm/s and 15°/s. Where a jog
// goes straight and turns at once, the slower of the two decides.
func ReadJogs(file string, text []byte) ([]JogStep, error) {
	s, err := plainText(file, text)
	if err != nil {
		return nil, err
	}
	var jogs []JogStep
	var next JogStep
	straight, turn := firstStraightSpeed, firstTurnSpeed
	for i := range s.lines {
		l := s.jogLine(i + 1)
		switch {
		case len(l.words) == 0:
		case len(jogs) == mostJogs:
			s.add(place{l.number, 1}, "a file holds at most %d jogs", mostJogs)
			return nil, s.err()
		case l.words[0].text == "speed":
			if l.expect(2, "speed 100") {
				if x, ok := l.amount(1, fastestSpeed); ok && x >= slowestSpeed {
					straight, turn = x, x
				} else if ok {
					l.add(1, "a speed must be more than 0, and at least %v", slowestSpeed)
				}
			}
		case l.words[0].text == "guard":
			if l.expect(2, "guard 5") {
				if mm, ok := l.amount(1, largestGuard); ok && mm >= 0 {
					next.Guard = &mm
				} else if ok {
					l.add(1, "a guard is a clearance and not negative; 0 switches it off")
				}
			}
		case l.words[0].text == "mount-tool":
			if l.expect(2, "mount-tool pen") {
				next.MountTool = l.words[1].text
			}
		default:
			if j, ok := l.jog(straight, kinematics.Radians(turn)); ok {
				next.Jog = j
				jogs = append(jogs, next)
				next = JogStep{}
			}
		}
	}
	if len(jogs) == 0 && len(s.problems) == 0 {
		s.add(place{1, 1}, "holds no jog; write one a line, such as: base x +100")
	}
	return jogs, s.err()
}

// jogLine is a line cut into words, each with its column.
type jogLine struct {
	*source
	number int
	words  []struct {
		text   string
		column int
	}
}

func (s *source) jogLine(number int) jogLine {
	l := jogLine{source: s, number: number}
	line, _, _ := strings.Cut(s.lines[number-1], "#")
	if utf8.RuneCountInString(line) > longestJogLine {
		s.add(place{number, longestJogLine}, "the line is too long")
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
			l.words = append(l.words, struct {
				text   string
				column int
			}{word, utf8.RuneCountInString(line[:at]) + 1})
		}
		at += len(word)
	}
	return l
}

func (l jogLine) add(word int, format string, args ...any) {
	column := 1
	if word < len(l.words) {
		column = l.words[word].column
	} else if n := len(l.words); n > 0 {
		last := l.words[n-1]
		column = last.column + utf8.RuneCountInString(last.text)
	}
	l.source.add(place{l.number, column}, format, args...)
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

// jog reads the line as a jog at these speeds, mm/s and rad/s.
func (l jogLine) jog(straight, turn float64) (j jog.Jog, ok bool) {
	frame, axes, example := l.words[0].text, jogAxes, "base x +100"
	if !slices.Contains(jogWords, frame) {
		l.add(0, "unknown word %s; %s", quoted(frame), unknownWord(frame, jogWords))
		return j, false
	}
	first, task := 1, ""
	switch jog.Frame(frame) {
	case jog.JointFrame:
		axes, example, straight = jogJoint, "joint J5 +90", turn
	case jog.TaskFrames:
		example = "task tray x +100"
		if len(l.words) > 1 {
			first, task = 2, l.words[1].text
		}
	}
	// At least one axis with its amount, and as many more of them as there are.
	if pairs := max(1, (len(l.words)-first+1)/2); len(l.words) != first+2*pairs {
		if last := len(l.words) - 1; pairs > 1 && !slices.Contains(axes, l.words[last].text) {
			l.add(last, "nothing may follow here but another axis and its amount; write it like: %s", example)
			return j, false
		}
		l.expect(first+2*pairs, example)
		return j, false
	}
	var amounts [6]float64
	turning := true
	for word := first; word < len(l.words); word += 2 {
		axis := slices.Index(axes, l.words[word].text)
		if axis < 0 {
			l.add(word, "unknown direction %s; %s", quoted(l.words[word].text), unknownWord(l.words[word].text, axes))
			return j, false
		}
		amount, ok := l.amount(word+1, largestTravel)
		switch {
		case !ok:
			return j, false
		case amount == 0:
			l.add(word+1, "a jog of 0 goes nowhere")
			return j, false
		case amounts[axis] != 0:
			l.add(word, "%s is named twice", l.words[word].text)
			return j, false
		}
		if amounts[axis] = amount; frame == "joint" || axis > 2 {
			amounts[axis] = kinematics.Radians(amount)
		} else {
			turning = false
		}
	}
	speed := straight
	if turning {
		speed = turn
	}
	j, err := jog.StepTogether(jog.Frame(frame), task, amounts, speed, turn)
	if err != nil {
		l.add(first, "%v", err)
	}
	return j, err == nil
}

// amount reads a word as a number of at most ±limit.
func (l jogLine) amount(word int, limit float64) (float64, bool) {
	text := l.words[word].text
	x, err := strconv.ParseFloat(text, 64)
	switch {
	case err != nil || math.IsNaN(x) || strings.ContainsAny(text, "xXpP_iI"):
		l.add(word, "%s is not a number such as +12.5", quoted(text))
	case math.Abs(x) > limit:
		l.add(word, "%s is too large; at most %g", quoted(text), limit)
	default:
		return x, true
	}
	return 0, false
}

// JogLine writes the way and the amount of a jog as a line of a jog file, to the last digit.
func JogLine(j jog.Jog) string {
	axes, line := jogAxes, string(j.Frame)
	if j.Frame == jog.JointFrame {
		axes = jogJoint
	}
	if j.Task != "" {
		line += " " + j.Task
	}
	for axis, amount := range j.Amounts(j.Amount) {
		if amount == 0 {
			continue
		}
		text := exactly(amount, func(x float64) float64 { return x })
		if j.Frame == jog.JointFrame || axis > 2 {
			text = exactly(amount, kinematics.Radians)
		}
		line += " " + axes[axis] + " " + text
	}
	return line
}

// exactly writes, with its sign, the shortest decimal number that is read as x: degrees, where read makes rad of it.
func exactly(x float64, read func(float64) float64) string {
	value := x / read(1)
	for digits := 6; ; digits++ {
		text := fmt.Sprintf("%+.*g", digits, value)
		back, _ := strconv.ParseFloat(text, 64)
		if read(back) == x || digits == 17 {
			return text
		}
	}
}

// WriteJogs writes what was driven as a jog file that does it again. Jogs that went nowhere are comments.
func WriteJogs(entries []jog.Entry) string {
	var file strings.Builder
	tool, guard, speed := "", 0.0, ""
	for i := range entries {
		e := &entries[i]
		if e.Tool != tool && e.Tool != "" {
			fmt.Fprintf(&file, "mount-tool %s\n", e.Tool)
			tool = e.Tool
		}
		if e.Guard != guard {
			fmt.Fprintf(&file, "guard %v\n", e.Guard)
			guard = e.Guard
		}
		step, went := e.Step()
		if !went {
			fmt.Fprintf(&file, "# %v: %s\n", e.Jog, e.Stop.Sentence())
			continue
		}
		if s := fileSpeed(step); s != speed {
			fmt.Fprintf(&file, "speed %s\n", strings.TrimPrefix(s, "+"))
			speed = s
		}
		fmt.Fprint(&file, JogLine(step))
		if e.Stop.Reason != jog.Done {
			fmt.Fprintf(&file, " # %s", e.Stop.Headline(words.English))
		}
		fmt.Fprintln(&file)
	}
	return file.String()
}

// fileSpeed is the number that a speed line has to give for this jog to have its speed: mm/s or degrees/s, and for a
// jog that goes straight and turns at once the larger of the two.
func fileSpeed(j jog.Jog) string {
	if !j.Straight() {
		return exactly(j.Speed, kinematics.Radians)
	}
	if turn := kinematics.Degrees(j.TurnPerMM() * j.Speed); turn > j.Speed {
		return exactly(turn, func(x float64) float64 { return x })
	}
	return exactly(j.Speed, func(x float64) float64 { return x })
}
