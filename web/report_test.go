package web

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"handrule/server/class"
	"handrule/words"
)

// Whatever learners and instructors type is text in the report, and nothing is missing in any language.
func TestWhatIsTypedIsTextInTheReport(t *testing.T) {
	typed := `<script>alert("x")</script>`
	r := class.Report{
		Code: "ACDEFG", Title: typed, Opened: time.Now(), Learners: 2, Named: true,
		Asked: []class.ReportQuestion{{Number: 1, Text: typed, Right: typed, Why: typed, Graded: true, Rounds: []class.ReportRound{{Given: 2}},
			Groups: []class.ReportGroup{{Name: typed, Says: typed, Given: "x" + typed, Counts: []int{2}, Who: [][]string{{typed, typed}}}}}},
		Lessons:  []class.ReportLesson{{Title: typed, Learners: 1}},
		Rows:     []class.BoardRow{{Name: typed, Lesson: typed, Stuck: typed}},
		Troubles: []class.TroubleView{{Lesson: typed, Stage: typed, How: []class.GroupView{{Name: typed}}}},
		Stuck:    1,
	}
	for _, in := range words.Languages {
		for _, paper := range Papers {
			var page bytes.Buffer
			if err := Report(r, paper).Render(In(t.Context(), in), &page); err != nil {
				t.Fatal(err)
			}
			text := page.String()
			if strings.Contains(text, "<script") || strings.Count(text, "&lt;script") < 12 || strings.ContainsAny(text, "‹›") {
				t.Errorf("%s, %s: %s", in.Code, paper, text)
			}
			if strings.Contains(text, "<style>") && !strings.Contains(text, reportStyle) {
				t.Error("the style is changed on its way")
			}
		}
	}
}
