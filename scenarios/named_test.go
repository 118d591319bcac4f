package scenarios_test

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"handrule/kinematics/jog"
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

// A hint asks for nothing that its stage refuses: the frames and aids that it names, the buttons and the steps are among what the stage
// allows, in every language.
func TestAHintAsksForNothingThatIsRefused(t *testing.T) {
	button := regexp.MustCompile(`\b(J\d|[XYZ]) [+−]`)
	steps := regexp.MustCompile(`(?i)\bsteps?\b|\bpasos?\b`)
	step := regexp.MustCompile(`\b(?:of|de|or|o) (\d+(?:[.,]\d+)?)(°?)`)
	joints := regexp.MustCompile(`(?:[Cc]hoose|[Ww]ith|[Ee]lija|[Cc]on) (?:joints|articulaciones)\b`)
	foretelling := []lesson.Overlay{"ghost", "share", "room"}
	frames := []jog.Frame{jog.JointFrame, jog.BaseFrame, jog.WorldFrame, jog.ToolFrame, jog.TaskFrames}
	found := map[string]int{}
	for _, in := range words.Languages {
		for _, l := range scenarios.ShippedLessons() {
			l = l.In(in)
			for i := range l.Stages {
				s := &l.Stages[i]
				waits := s.Predict != nil // for an answer, before the arm may move
				jogs := func(f jog.Frame) bool {
					return s.Uses.Permits(f) && (s.Reach == nil || len(s.Reach.Frames) == 0 || slices.Contains(s.Reach.Frames, f))
				}
				for _, h := range s.Hints {
					refused := func(kind, what string, allowed bool) {
						if found[kind]++; !allowed {
							t.Errorf("%s, stage %d, %s: the hint %q asks for %s, which the stage refuses", l.ID, i+1, in.Code, h.Text, what)
						}
					}
					text := strings.Join(strings.Fields(h.Text), " ")
					for _, f := range frames[1:] {
						if name := in.Say("jog.frame." + string(f)); strings.Contains(text, name) {
							refused("frame", name, jogs(f) || s.Read != nil)
						}
					}
					if name := joints.FindString(text); name != "" {
						refused("joints", name, jogs(jog.JointFrame))
					}
					for _, aid := range lesson.Overlays {
						name, _, _ := strings.Cut(in.Say("lesson.aid."+string(aid)), " (")
						if strings.Contains(text, name) {
							refused("aid", name, s.Uses.Shows(aid) && !(waits && slices.Contains(foretelling, aid)))
						}
					}
					for _, named := range button.FindAllStringSubmatch(text, -1) {
						straight := slices.ContainsFunc(frames[1:], jogs)
						refused("button", named[0], !waits && (named[1][0] == 'J' && jogs(jog.JointFrame) || named[1][0] != 'J' && straight))
					}
					if steps.MatchString(text) {
						for _, one := range step.FindAllStringSubmatch(text, -1) {
							far, err := strconv.ParseFloat(strings.ReplaceAll(one[1], ",", "."), 64)
							refused("step", one[0], err == nil && slices.ContainsFunc(s.Uses.Increments(), func(o lesson.Increment) bool {
								return one[2] == "" && o.MM == far || one[2] != "" && o.Deg == far
							}))
						}
					}
				}
			}
		}
	}
	for _, kind := range []string{"frame", "joints", "aid", "button", "step"} {
		if found[kind] < 2 {
			t.Errorf("only %d of the hints name a %s", found[kind], kind)
		}
	}
}
