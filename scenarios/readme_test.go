package scenarios

import (
	"os"
	"strings"
	"testing"
)

// The lesson in the README is one: it is read, and passed.
func TestTheReadmesLessonIsPassed(t *testing.T) {
	text, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, after, found := strings.Cut(string(text), "## A lesson of your own")
	_, after, fenced := strings.Cut(after, "```yaml\n")
	example, _, closed := strings.Cut(after, "```")
	if !found || !fenced || !closed {
		t.Fatal("the README shows no lesson")
	}
	l, err := ReadLesson("README.md", []byte(example))
	if err != nil {
		t.Fatal(err)
	}
	solutions, err := l.Check()
	if err != nil {
		t.Fatal(err)
	}
	if run := pass(t, l, solutions); !run.Progress.Done() {
		t.Errorf("%+v", run.Progress)
	}
	for _, word := range append(append(measureWords(), eventWords()...), StopWords[0]) {
		if !strings.Contains(string(text), "`"+word+"`") {
			t.Errorf("the README does not name %q", word)
		}
	}
}

func measureWords() (words []string) {
	for _, m := range Measures {
		words = append(words, string(m))
	}
	return words
}

func eventWords() (words []string) {
	for _, e := range Events {
		words = append(words, string(e))
	}
	return words
}
