package words_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"handrule/words"
)

// The words that a newcomer cannot be asked to know.
var wanted = []string{
	"tcp", "flange", "singularity", "frame", "jog", "posture", "joint", "axis", "link", "reach", "base-frame", "world-frame", "tool-frame",
	"task-frame", "hold-to-run", "enabling-device", "reduced-speed", "manipulability", "condition-number", "right-hand-rule", "pose",
}

func TestGlossariesExplainTheSameTerms(t *testing.T) {
	for _, l := range words.Languages {
		terms := l.Glossary()
		for _, name := range wanted {
			if _, there := terms[name]; !there {
				t.Errorf("glossary/%s.json lacks %q", l.Code, name)
			}
		}
		forms := map[string]string{}
		for name, term := range terms {
			if _, there := words.English.Glossary()[name]; !there {
				t.Errorf("glossary/%s.json: English has no %q", l.Code, name)
			}
			if len(term.Words) == 0 || term.Means == "" || term.From == "" {
				t.Errorf("glossary/%s.json: %q lacks its words, its meaning or where it is from", l.Code, name)
			}
			for _, form := range term.Forms() {
				form = strings.ToLower(form)
				if other, taken := forms[form]; taken {
					t.Errorf("glossary/%s.json: %q stands for %q and for %q", l.Code, form, name, other)
				}
				forms[form] = name
			}
		}
		if len(terms) != len(words.English.Glossary()) {
			t.Errorf("glossary/%s.json has %d terms, English %d", l.Code, len(terms), len(words.English.Glossary()))
		}
	}
}

// Every term stands somewhere: in a text of the page, in another explanation, in a lesson, or in what the
// command line prints.
func TestEveryTermIsUsed(t *testing.T) {
	for _, l := range words.Languages {
		var all strings.Builder
		for _, text := range l.Texts {
			for _, said := range text.Forms {
				all.WriteString(said + "\n")
			}
		}
		for _, term := range l.Glossary() {
			all.WriteString(term.Means + "\n")
		}
		lessons, err := filepath.Glob("../scenarios/lessons/*.yaml")
		if err != nil || len(lessons) == 0 {
			t.Fatal(lessons, err)
		}
		for _, path := range append(lessons, "../cmd/handrule/singularity.go") {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			all.Write(text)
		}
		for name, term := range l.Glossary() {
			found := false
			for _, form := range term.Forms() {
				found = found || regexp.MustCompile(`(?i)(^|\P{L})`+regexp.QuoteMeta(form)+`(\P{L}|$)`).MatchString(all.String())
			}
			if !found && l == words.English {
				t.Errorf("glossary/%s.json: %q stands in no text", l.Code, name)
			}
		}
	}
}
