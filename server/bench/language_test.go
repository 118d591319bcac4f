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
	if offer.Arms[0].Title != "Chochín" || offer.Cells[0].Title != "Mesa de esmaltado" || offer.Cells[0].Lang != "es" {
		t.Errorf("%+v %+v", offer.Arms[0], offer.Cells[0])
	}
	if arm.Name != "Chochín" || !strings.HasPrefix(cell.About, "La mesa de un taller") || cell.Things[0].Name != "suelo" {
		t.Errorf("%q %q %q", arm.Name, cell.About, cell.Things[0].Name)
	}
	for _, tool := range arm.Tools {
		want := map[string]string{"pen": "rotulador", "brush": "pincel", "glaze-cup": "cazo de esmalte", "none": "none"}[tool.Name]
		if tool.Title != want {
			t.Errorf("%s is called %q", tool.Name, tool.Title)
		}
	}
}
