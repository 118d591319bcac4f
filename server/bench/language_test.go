package bench

import (
	"strings"
	"testing"

	"handrule/words"
)

// The arm, the cell, its tools and its things are called by their names in the page's language, in what is listed and in what is said;
// the page asks for tools by the names in the files all the same.
func TestWhatIsMountedIsCalledInThePagesLanguage(t *testing.T) {
	b, h := testBench()
	b.Connect(Welcome{}, words.Find("es"))
	ask(t, b, noon, `{"type":"cell","id":"glazing-bench"}`)
	ask(t, b, noon, `{"type":"tool","name":"glaze-cup"}`)
	offer, arm, cell := last[OfferMessage](t, h), last[ArmMessage](t, h), last[CellMessage](t, h)
	if offer.Arms[0].Title != "Reyezuelo" || offer.Cells[0].Title != "Mesa de esmaltado" || offer.Cells[0].Lang != "es" {
		t.Errorf("%+v %+v", offer.Arms[0], offer.Cells[0])
	}
	if arm.Name != "Reyezuelo" || !strings.HasPrefix(cell.About, "La mesa de un taller") || cell.Things[0].Name != "suelo" || cell.Tasks[0].Name != "tile" || cell.Tasks[0].Title != "azulejo" {
		t.Errorf("%q %q %q %+v", arm.Name, cell.About, cell.Things[0].Name, cell.Tasks)
	}
	for _, tool := range arm.Tools {
		want := map[string]string{"pen": "rotulador", "brush": "pincel", "glaze-cup": "cazo de esmalte", "none": "none"}[tool.Name]
		if tool.Title != want {
			t.Errorf("%s is called %q", tool.Name, tool.Title)
		}
	}
}

// A lesson is told in the page's language, with the explanation once its task is done; what is kept of it is as in its file.
func TestALessonIsToldInThePagesLanguage(t *testing.T) {
	b, h := testBench()
	b.Connect(Welcome{}, words.Find("es"))
	ask(t, b, noon, `{"type":"lesson","id":"first-straight-line"}`)
	m := last[LessonMessage](t, h)
	if m.Title != "La primera línea recta" || m.Stages[0].Title != "Una pose ordenada" || !strings.Contains(m.HTML, "Reyezuelo") || m.Task.Explain != "" {
		t.Errorf("%+v", m)
	}
	ask(t, b, noon, `{"type":"answer","stop":"singularity"}`)
	if m = last[LessonMessage](t, h); m.Task.State != TaskDone || !strings.Contains(m.Task.Explain, "mal comienzo") {
		t.Errorf("%+v", m.Task)
	}
	if p := b.lesson.Progress; p.Title != "The first straight line" || p.Stages[0].Title != "A tidy pose" {
		t.Errorf("%+v", p)
	}

	// The page comes back in another language, in the middle of the lesson.
	b.Connect(Welcome{}, words.English)
	if m = last[LessonMessage](t, h); m.Title != "The first straight line" || !strings.Contains(m.Task.Explain, "bad start") {
		t.Errorf("%+v", m)
	}
	for _, l := range last[OfferMessage](t, h).Lessons {
		if l.Lang != "en" {
			t.Errorf("%s is told in %q", l.ID, l.Lang)
		}
	}
}
