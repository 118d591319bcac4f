package scenarios

import (
	"handrule/kinematics"
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
	"os"
	"slices"
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
	solutions, err := solve.Check(l)
	if err != nil {
		t.Fatal(err)
	}
	if run := pass(t, l, solutions); !run.Progress.Done() {
		t.Errorf("%+v", run.Progress)
	}
	for _, word := range slices.Concat(measureWords(), eventWords(), shippedWords(), lesson.StopWords[:1]) {
		if !strings.Contains(string(text), "`"+word+"`") {
			t.Errorf("the README does not name %q", word)
		}
	}
}

func measureWords() (words []string) {
	for _, m := range lesson.Measures {
		words = append(words, string(m))
	}
	return words
}

func eventWords() (words []string) {
	for _, e := range lesson.Events {
		words = append(words, string(e))
	}
	return words
}

// shippedWords are the names of what ships.
func shippedWords() (words []string) {
	for _, arm := range ShippedArms() {
		words = append(append(words, arm.ID), toolNames(arm.Tools)...)
	}
	for _, cell := range ShippedCells() {
		words = append(append(words, cell.ID), toolNames(cell.Tools)...)
		for _, task := range cell.Tasks {
			words = append(words, task.Name)
		}
	}
	return words
}

func toolNames(tools []kinematics.Tool) (names []string) {
	for _, tool := range tools {
		names = append(names, tool.Name)
	}
	return append(names, kinematics.NoTool.Name)
}
