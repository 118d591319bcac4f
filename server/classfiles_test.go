package server

import (
	"net/http"
	"strings"
	"testing"
)

// What the instructor takes away of a class is the instructor's alone: the report and the table are for nobody else.
func TestOnlyTheInstructorTakesAwayAClass(t *testing.T) {
	_, address := classServer(t)
	instructor, front, _, code := openHour(t, address)
	learner(t, address, code, "<b>Ana</b>")
	front.until("class", func(m map[string]any) bool { return m["learners"] == 1.0 })
	for path, want := range map[string]string{"report": "<html", "report?paper=letter&names=1": "&lt;b&gt;Ana&lt;/b&gt;", "results.csv": "\ufefffile,verified,learner,number,email,", "results.csv?tell=number": "\ufefffile,verified,number,lesson,", "answers.csv": "\ufeffquestion,asked,round,learner,number,email,", "answers.csv?bom=0&tell=none": "question,asked,round,answered,"} {
		status, text := instructor.do("GET", "/class/"+code+"/"+path, "")
		if status != http.StatusOK || !strings.Contains(text, want) || strings.Contains(text, "<b>Ana") {
			t.Errorf("%s: %d %s", path, status, text)
		}
		if strings.Contains(path, "names") == (strings.Contains(text, "&lt;b&gt;Ana") == false) {
			t.Errorf("%s tells the wrong names: %s", path, text)
		}
		somebody := &browser{t: t, address: address}
		if status, text := somebody.do("GET", "/class/"+code+"/"+path, ""); status != http.StatusForbidden || strings.Contains(text, "Ana") {
			t.Errorf("%s for somebody: %d %s", path, status, text)
		}
		if status, _ := instructor.do("GET", "/class/XXXXXX/"+path, ""); status != http.StatusNotFound {
			t.Errorf("%s of a class that is none: %d", path, status)
		}
	}
}
