package bench

import (
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// What the bench cannot do is said in the page's language; in English a fault in teaching is told just as the geometry says it.
func TestProblemsAreSaidInThePagesLanguage(t *testing.T) {
	es := words.Find("es")
	near := func(x, y float64) r3.Vec { return r3.Vec{X: x, Y: y} }
	var faults []error
	for _, points := range [][2]r3.Vec{{near(5, 0), near(0, 100)}, {near(100, 0), near(50, 0)}, {near(100, 0), near(1000, 20)}} {
		_, err := kinematics.TeachFrame(r3.Vec{}, points[0], points[1])
		faults = append(faults, err)
	}
	for _, touches := range []int{3, 4} {
		_, err := kinematics.FitTCP(slices.Repeat([]kinematics.Pose{kinematics.Identity}, touches))
		faults = append(faults, err)
	}
	for _, err := range faults {
		if said := spoken.Tell(err, words.English); !strings.EqualFold(strings.ReplaceAll(said, "’", "'"), err.Error()+".") {
			t.Errorf("the geometry says %q, and the page %q", err, said)
		}
		if said := spoken.Tell(err, es); said == spoken.Tell(err, words.English) || strings.ContainsAny(said, "‹{") {
			t.Errorf("%v is said in Spanish as %q", err, said)
		}
	}

	b, sent := testBench()
	b.in = es
	ask(t, b, noon, `{"type":"teach","do":"touch"}`)
	if m := last[TeachMessage](t, sent); m.Problem != "Un toque es poco; toque la punta desde al menos 4 direcciones." {
		t.Errorf("one touch: %q", m.Problem)
	}
	ask(t, b, noon, `{"type":"teach","do":"frame","name":"tray"}`)
	if m := last[TeachMessage](t, sent); !strings.HasPrefix(m.Problem, "Un sistema necesita tres puntos") {
		t.Errorf("no points: %q", m.Problem)
	}
	for text, want := range map[string]string{
		`{"type":"undo"}`: "No hay ningún movimiento que deshacer.",
		`{"type":"frame","frame":"task","task":""}`: "Esta celda no tiene sistema de tarea. Defina uno o elija una celda que lo tenga.",
		`{"type":"lesson","id":"lost"}`:             "Aquí no hay ninguna lección lost.",
		`{"type":"arm","id":"lost"}`:                "Aquí no hay ningún brazo lost.",
	} {
		request, err := Decode([]byte(text))
		if err == nil {
			err = b.Handle(request, noon)
		}
		if err == nil || spoken.Tell(err, es) != want {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
}
