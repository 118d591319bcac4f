package scenarios_test

import (
	"regexp"
	"strings"
	"testing"

	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/words"
)

// textsOf are all that a stage says, but for what its question is made of.
func textsOf(s *lesson.Stage) []string {
	texts := []string{string(s.Text), string(s.Explain)}
	for _, h := range s.Hints {
		texts = append(texts, h.Text)
	}
	return texts
}

// Where a lesson names another, it does so by its title, as a link to it.
func TestALessonNamesOthersByTheirTitles(t *testing.T) {
	link := regexp.MustCompile(`\[([^\]]*)\]\(#/lessons/([^)]*)\)`)
	loose := regexp.MustCompile(`(?i)lesson (on|about|called|named|“)|lección (sobre|de|llamada|«)`)
	count := 0
	for _, in := range words.Languages {
		titles := map[string]string{}
		for _, l := range scenarios.ShippedLessons() {
			titles[l.ID] = l.TitleIn(in)
		}
		for _, l := range scenarios.ShippedLessons() {
			l = l.In(in)
			for i := range l.Stages {
				for _, text := range textsOf(&l.Stages[i]) {
					text = strings.Join(strings.Fields(text), " ")
					for _, found := range link.FindAllStringSubmatch(text, -1) {
						if count++; found[1] != titles[found[2]] || found[1] == "" {
							t.Errorf("%s, %s, stage %d names the lesson %q as %q; its title is %q", l.ID, in.Code, i+1, found[2], found[1], titles[found[2]])
						}
					}
					if found := loose.FindString(text); found != "" {
						t.Errorf("%s, %s, stage %d speaks of a lesson and does not lead to it: %q", l.ID, in.Code, i+1, found)
					}
				}
			}
		}
	}
	if count < 4 {
		t.Errorf("only %d links were found", count)
	}
}

// What a lesson calls a control of the page is what stands on it, in the same stage in every language. A hint that names one of the first two has a
// button for it beside it (web/src/lesson/things.ts).
func TestALessonNamesControlsAsThePageDoes(t *testing.T) {
	keys := []string{"show.walk", "task.back", "jog.held", "drawer.setup", "teach.title", "teach.touch", "teach.make", "teach.use", "teach.point.origin", "teach.point.x", "teach.point.xy"}
	bold := regexp.MustCompile(`(?:[Pp]ress|[Oo]pen|under|[Pp]ulse|[Aa]bra) \*\*([^*]+)\*\*`)
	quoted := regexp.MustCompile(`(?:[Pp]ress|[Pp]ulse) [“«]([^”»]+)[”»]`)
	button := regexp.MustCompile(`^(J\d|[XYZ]) [+−]$|^[A-Z]{2,3}$`)
	used := map[string]bool{}
	for _, l := range scenarios.ShippedLessons() {
		for i := range l.Stages {
			for n, text := range textsOf(&l.Stages[i]) {
				text = strings.Join(strings.Fields(text), " ")
				for _, in := range words.Languages {
					other := textsOf(&l.In(in).Stages[i])
					if n >= len(other) {
						continue
					}
					theirs := strings.Join(strings.Fields(other[n]), " ")
					for _, key := range keys {
						if !strings.Contains(strings.ToLower(text), strings.ToLower(words.English.Say(key))) {
							continue
						}
						used[key] = true
						if !strings.Contains(strings.ToLower(theirs), strings.ToLower(in.Say(key))) {
							t.Errorf("%s, stage %d, %s: %q does not name the control that says %q", l.ID, i+1, in.Code, theirs, in.Say(key))
						}
					}
					for _, found := range append(bold.FindAllStringSubmatch(theirs, -1), quoted.FindAllStringSubmatch(theirs, -1)...) {
						if !button.MatchString(found[1]) && !says(in, found[1]) {
							t.Errorf("%s, stage %d, %s: nothing of the page says %q", l.ID, i+1, in.Code, found[1])
						}
					}
				}
			}
		}
	}
	for _, key := range keys[:3] {
		if !used[key] {
			t.Errorf("no lesson names %q", words.English.Say(key))
		}
	}
}

// says reports whether something of the page says just that.
func says(in *words.Language, text string) bool {
	for key := range in.Texts {
		if strings.EqualFold(in.Say(key), text) {
			return true
		}
	}
	return false
}
