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
)

// Speeds of a jog file until it says otherwise.
const (
	firstStraightSpeed = 50.0 // mm/s
	firstTurnSpeed     = 15.0 // degrees/s
	slowestSpeed       = 0.01 // mm/s or degrees/s; a trace of a slower jog would not end within a day
	fastestSpeed       = 1e4  // mm/s or degrees/s
	largestTravel      = 1e5  // mm or degrees
	longestJogLine     = 200
	mostJogs           = 10_000
)

var (
	jogWords = []string{"joint", "base", "world", "tool", "task", "speed"}
	jogAxes  = []string{"x", "y", "z", "about-x", "about-y", "about-z"}
	jogJoint = []string{"J1", "J2", "J3", "J4", "J5", "J6"}
)

// OpenJogs reads the file of jogs at that path.
func OpenJogs(path string) ([]jog.Jog, error) {
	text, err := readFile(path)
	if err != nil {
		return nil, err
	}
	return ReadJogs(path, text)
}

// ReadJogs reads a file of jogs, one a line: "joint J5 +90", "base x +100", "tool about-z -15", "task tile y +20", where
// the second word names the task frame, "speed 100". What
// follows # is a comment. A speed is in mm/s for the straight jogs after it and in degrees/s for the others; before
// the first they are 50 mm/s and 15°/s.
func ReadJogs(file string, text []byte) ([]jog.Jog, error) {
	s, err := plainText(file, text)
	if err != nil {
		return nil, err
	}
	var jogs []jog.Jog
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
		default:
			if j, ok := l.jog(); ok {
				j.Speed = kinematics.Radians(turn)
				if j.Straight() {
					j.Speed = straight
				}
				jogs = append(jogs, j)
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

func (l jogLine) jog() (j jog.Jog, ok bool) {
	frame, axes, example, at := l.words[0].text, jogAxes, "base x +100", 1
	if !slices.Contains(jogWords, frame) {
		l.add(0, "unknown word %s; %s", quoted(frame), unknownWord(frame, jogWords))
		return j, false
	}
	j.Direction = jog.Direction{Frame: jog.Frame(frame), Sign: 1}
	switch j.Frame {
	case jog.JointFrame:
		axes, example = jogJoint, "joint J5 +90"
	case jog.TaskFrames:
		example, at = "task tile x +100", 2
	}
	if !l.expect(at+2, example) {
		return j, false
	}
	if at == 2 {
		j.Task = l.words[1].text
	}
	if j.Axis = slices.Index(axes, l.words[at].text); j.Axis < 0 {
		l.add(at, "unknown direction %s; %s", quoted(l.words[at].text), unknownWord(l.words[at].text, axes))
		return j, false
	}
	amount, ok := l.amount(at+1, largestTravel)
	if !ok {
		return j, false
	}
	if amount == 0 {
		l.add(at+1, "a jog of 0 goes nowhere")
		return j, false
	}
	if amount < 0 {
		j.Sign = -1
	}
	j.Amount = math.Abs(amount)
	if !j.Straight() {
		j.Amount = kinematics.Radians(j.Amount)
	}
	return j, true
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

// JogLine writes a jog's direction and amount as a line of a jog file.
func JogLine(j jog.Jog) string {
	axes, amount := jogAxes, j.Amount
	if j.Frame == jog.JointFrame {
		axes = jogJoint
	}
	if !j.Straight() {
		amount = kinematics.Degrees(amount)
	}
	frame := string(j.Frame)
	if j.Task != "" {
		frame += " " + j.Task
	}
	return fmt.Sprintf("%s %s %+.6g", frame, axes[j.Axis], float64(j.Sign)*amount)
}
