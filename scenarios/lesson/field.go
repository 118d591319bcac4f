package lesson

import (
	"handrule/internal/pattern"
	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"handrule/scenarios/jogfile"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// The types of a lesson's fields that no other file has.
type (
	Prose      string // Markdown of any number of lines
	JointIndex int    // 0…5, written J1…J6
	Jogs       []jog.Jog
	FrameName  string // "base", "world" or "task NAME"
	Language   string // a code of ISO 639, such as "en"
)

var languageCode = pattern.Of(`^[a-z]{2,3}$`)

const mostInRow = 40 // jogs of one field

// jogPattern is by what an editor checks the beginning of a jog: its frame, its direction and that an amount follows.
const jogPattern = `^\s*(joint J[1-6]|(world|base|tool|task \S+) (about-)?[xyz]|speed)\s+[+−-]?[.0-9$]`

func init() {
	form.AddLeaf(form.Object{"type": "string", "minLength": 1, "maxLength": form.LongestProse}, func(s *form.Source, n ast.Node, name string) (Prose, bool) {
		text, ok := s.Prose(n, name, form.LongestProse)
		return Prose(text), ok
	})
	form.AddLeaf(form.Object{"type": "string", "pattern": languageCode.String()}, func(s *form.Source, n ast.Node, name string) (Language, bool) {
		text, ok := s.Text(n, name, form.LongestLine)
		if ok && !languageCode.In(text) {
			s.Add(form.PlaceOf(n), "%s is the code of a language in two or three small letters, such as en or es, not %s", name, form.Quoted(text))
			return "", false
		}
		return Language(text), ok
	})
	form.AddWords(jog.Frames...)
	form.AddLeaf(form.Object{"enum": jointNames}, func(s *form.Source, n ast.Node, name string) (JointIndex, bool) {
		text, ok := s.Text(n, name, form.LongestLine)
		joint := slices.Index(jointNames, text)
		if ok && joint < 0 {
			s.Add(form.PlaceOf(n), "%s is %s; %s", name, form.Quoted(text), form.UnknownWord(text, jointNames))
		}
		return JointIndex(max(joint, 0)), ok && joint >= 0
	})
	oneJog := form.Object{"type": "string", "description": "A line of a jog file, such as: base x +100", "pattern": jogPattern}
	form.AddLeaf(form.Object{"anyOf": []form.Object{oneJog, {"type": "array", "items": oneJog, "minItems": 1, "maxItems": mostInRow}}}, readJogField)
	form.AddLeaf(form.Object{"type": "string", "pattern": "^(" + strings.Join(framePhrases(" .+"), "|") + ")$"}, readFrameName)
	form.AddLeaf(form.Object{"type": "string", "description": "A direction, such as: base y +"}, readDirection)
	hint := form.Object{"type": "string", "minLength": 1, "maxLength": form.LongestLine}
	form.AddLeaf(form.Object{"anyOf": []form.Object{hint, form.SchemaOf[hintForm]()}}, readHint)
	form.AddLeaf(form.Object{"anyOf": []form.Object{{"type": "string"}, cellfile.Schema()}}, func(_ *form.Source, n ast.Node, _ string) (CellField, bool) {
		return CellField{n}, true
	})
	form.AddWords(Overlays...)
	form.AddWords(Identifiers...)
	form.AddWords(inDrawnOrder)
	form.AddRange[Fraction](0, 1, 1)
	form.AddWords(Measures...)
	form.AddWords(asks...)
	form.AddWords(points...)
	form.AddWords(units...)
	form.AddWordsOnce(oldEvents, Events...)
	form.AddWords(wordsAs[ShoulderWord](kinematics.ShoulderWords[:])...)
	form.AddWordsOnce(oldElbow, wordsAs[ElbowWord](kinematics.ElbowWords[:])...)
	form.AddWordsOnce(oldWrist, wordsAs[WristWord](kinematics.WristWords[:])...)
}

// wordsAs returns words as those of a kind of their own.
func wordsAs[T ~string](words []string) (all []T) {
	for _, w := range words {
		all = append(all, T(w))
	}
	return all
}

var jointNames = kinematics.JointNames[:]

// readJogField reads one jog, or a list of them, written as in a jog file.
func readJogField(s *form.Source, n ast.Node, name string) (Jogs, bool) {
	nodes := []ast.Node{n}
	if list, ok := n.(*ast.SequenceNode); ok {
		nodes = list.Values
	}
	if len(nodes) == 0 || len(nodes) > mostInRow {
		s.Add(form.PlaceOf(n), "%s must be 1 to %d jogs, not %d", name, mostInRow, len(nodes))
		return nil, false
	}
	var jogs Jogs
	for _, n := range nodes {
		text, ok := s.Text(n, name, jogfile.LongestLine)
		if !ok {
			return nil, false
		}
		read, err := jogfile.Parse("", []byte(text))
		if problems, bad := err.(form.Errors); bad {
			s.Add(form.PlaceOf(n), "%s: %s", name, problems[0].Message)
			return nil, false
		}
		for _, step := range read {
			if step.Held() || step.LetGo > 0 || step.Until {
				s.Add(form.PlaceOf(n), "%s must be steps with their amounts, such as base y +60, not %s", name, form.Quoted(text))
				return nil, false
			}
			jogs = append(jogs, step.Jog)
		}
	}
	return jogs, true
}

// framePhrases are what names a frame that positions can be read in; name stands for the name of one that has its own.
func framePhrases(name string) (phrases []string) {
	for _, f := range jog.FramesWith(func(f jog.FrameTraits) bool { return f.Fixed }) {
		phrase := string(f)
		if f.Traits().Named {
			phrase += name
		}
		phrases = append(phrases, phrase)
	}
	return phrases
}

func readFrameName(s *form.Source, n ast.Node, name string) (FrameName, bool) {
	text, ok := s.Text(n, name, form.LongestLine)
	if !ok {
		return "", false
	}
	word, task, _ := strings.Cut(text, " ")
	frame := jog.Frame(word).Traits()
	switch {
	case frame.Fixed && (frame.Named && form.IsWord(task) || !frame.Named && text == word):
		return FrameName(text), true
	case form.IsWord(text) && !frame.Fixed && form.Nearest(text, framePhrases("")) == "":
		s.Add(form.PlaceOf(n), "%s is %s; it is %s or, for a task frame of that name: task %s", name, form.Quoted(text),
			strings.Join(form.WordsOf(jog.FramesWith(func(f jog.FrameTraits) bool { return f.Fixed && !f.Named })), ", "), text)
	default:
		s.Add(form.PlaceOf(n), "%s is %s; %s", name, form.Quoted(text), form.UnknownWord(text, framePhrases(" NAME")))
	}
	return "", false
}

// readDirection reads a direction, such as "base y +" or "joint J3 -", which is a jog without an amount.
func readDirection(s *form.Source, n ast.Node, name string) (jog.Direction, bool) {
	text, ok := s.Text(n, name, jogfile.LongestLine)
	if !ok {
		return jog.Direction{}, false
	}
	jogs, err := jogfile.Parse("", []byte(text+"1"))
	sign := strings.TrimSpace(text)
	if err != nil || len(jogs) != 1 || !strings.HasSuffix(sign, "+") && !strings.HasSuffix(sign, "-") {
		s.Add(form.PlaceOf(n), "%s must be a direction such as base y + or joint J3 -, not %s", name, form.Quoted(text))
		return jog.Direction{}, false
	}
	return jogs[0].Direction, true
}

// hintForm is a hint with the number of failed tries after which it appears.
type hintForm struct {
	form.Block
	After form.Count `field:"after,required" about:"The number of failed tries after which it appears."`
	Text  string     `field:"text,required" about:"What it says."`
}

// readHint reads a hint: its text alone, or with the number of failed tries after which it appears.
func readHint(s *form.Source, n ast.Node, name string) (h Hint, ok bool) {
	if _, block := form.Mapping(n); !block {
		h.Text, ok = s.Text(n, name, form.LongestLine)
		return h, ok
	}
	if !form.HasField(n, "after", "text") {
		s.Add(form.PlaceOf(n), "%s must be text, or after and text; %s", name, form.QuoteColon)
		return h, false
	}
	var f hintForm
	s.Read(n, strings.TrimSuffix(name, ","), &f)
	return Hint{After: int(f.After), Text: f.Text}, f.Has("after") && f.Has("text")
}
