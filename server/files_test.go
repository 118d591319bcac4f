package server

import (
	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/server/bench"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
)

const (
	head      = "title: Own\narm: wren\nstart_deg: [0, 0, 0, 0, 90, 0]\n"
	twoStages = "stages:\n  - {text: One., read: {measure: x, tolerance: 1}}\n  - {text: Two., reach: {position_mm: [320, 60, 110], tolerance_mm: 1}}\n"
)

// saved is what is offered after a lesson's file was saved with this text.
func saved(t *testing.T, text string) *bench.Offer {
	t.Helper()
	o := shipped()
	lesson, err := scenarios.ReadLesson("own.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	o.Lessons = append(o.Lessons, lesson)
	return &o
}

func TestPicturesOfALesson(t *testing.T) {
	dir := t.TempDir()
	png := []byte("\x89PNG\r\n\x1a\n") // A picture is not looked into.
	for name, text := range map[string]string{
		"own.yaml": head + "stages:\n- text: \"![wrist](wrist.png)\"\n", "wrist.png": string(png), "other.png": string(png),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	own, err := scenarios.OpenLesson(filepath.Join(dir, "own.yaml"), 0)
	if err != nil {
		t.Fatal(err)
	}
	s := New(Options{Static: fstest.MapFS{}, Offer: bench.Offer{Arms: scenarios.ShippedArms(), Lessons: []*lesson.Lesson{own}}})
	if html := own.Stages[0].HTML; !strings.Contains(html, `src="lessons/own/wrist.png"`) {
		t.Errorf("%s", html)
	}
	for path, want := range map[string]int{
		"/lessons/own/wrist.png": 200, "/lessons/own/other.png": 404, "/lessons/own/own.yaml": 404, "/lessons/own/": 404,
		"/lessons/none/wrist.png": 404, "/lessons/own/../own/wrist.png": 404, "/lessons/own/%2e%2e/own.yaml": 404,
	} {
		response := get(s, path)
		if response.Code != want {
			t.Errorf("%s is answered with %d, want %d", path, response.Code, want)
		}
		if want == 200 && (response.Header().Get("Content-Type") != "image/png" || response.Header().Get("X-Content-Type-Options") != "nosniff" || response.Body.String() != string(png)) {
			t.Errorf("%v", response.Header())
		}
	}
}

// Every connected page hears of what is saved, and goes on; so does one that comes later.
func TestPagesHearOfASavedFile(t *testing.T) {
	s, address := startServer(t, 3)
	one, two := visit(t, address, ""), visit(t, address, "")
	id := one.hear("welcome")["bench"].(string)
	two.hear("welcome")
	two.say(`{"type":"lesson","id":"the-right-hand","progress":"","seed":null}`)
	two.hear("setup")
	s.SetOffer(*saved(t, head+twoStages))
	for _, p := range []page{one, two} {
		for offered := false; !offered; {
			lessons := p.hear("offer")["lessons"].([]any)
			offered = lessons[len(lessons)-1].(map[string]any)["id"] == "own"
		}
	}
	one.say(`{"type":"lesson","id":"own","progress":"","seed":null}`)
	for one.hear("lesson")["id"] != "own" {
	}
	one.conn.CloseNow()
	s.SetOffer(*saved(t, strings.Replace(head+twoStages, "One.", "Uno.", 1)))
	again := visit(t, address, id)
	for !strings.Contains(again.hear("lesson")["html"].(string), "Uno") {
	}
	two.say(`{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`)
	two.hear("stop")
}
