package scenarios

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"handrule/kinematics/clearance"
	"handrule/scenarios/form"
	"handrule/scenarios/spoken"
	"handrule/scenarios/translation"
	"handrule/words"
)

// Every arm and cell that ships has its name, what is told of it and all its names in every language but English.
func TestWhatShipsIsNamedInEveryLanguage(t *testing.T) {
	check := func(id, about string, texts translation.All, names []string) {
		for _, l := range words.Languages {
			if l == words.English {
				continue
			}
			in := texts[l.Code]
			if in == nil {
				t.Errorf("%s has no texts in %s", id, l.Code)
				continue
			}
			notes, err := in.Fits(names)
			if err != nil || len(notes) > 0 || (in.About == "") != (about == "") {
				t.Errorf("%s in %s: %v %v", id, l.Code, notes, err)
			}
		}
	}
	for _, arm := range ShippedArms() {
		check(arm.ID, arm.About, arm.Texts, armNames(arm))
	}
	for _, cell := range ShippedCells() {
		check(cell.ID, cell.About, cell.Texts, cellNames(cell))
	}
}

// Every lesson that ships has all its texts in every language but English, with the numbers that it has in English.
func TestLessonsThatShipAreInEveryLanguage(t *testing.T) {
	for _, l := range ShippedLessons() {
		for _, in := range words.Languages {
			if in == words.English {
				continue
			}
			texts := l.Texts[in.Code]
			if texts == nil {
				t.Errorf("%s has no texts in %s", l.ID, in.Code)
				continue
			}
			if notes, err := l.Take(texts); err != nil || len(notes) > 0 {
				t.Errorf("%s in %s: %v %q", l.ID, in.Code, err, notes)
			}
		}
	}
}

func TestThingsAreNamedInTheLanguage(t *testing.T) {
	arm, cell := ShippedArms()[0], ShippedCells()[0]
	es := translation.Calling(words.Find("es"), arm.Texts, cell.Texts)
	if got := arm.Texts.NameIn(es, arm.Name) + ", " + cell.Texts.NameIn(es, cell.Name); got != "Reyezuelo, Mesa de esmaltado" {
		t.Error(got)
	}
	if got := arm.Texts.NameIn(words.English, arm.Name); got != "Wren" {
		t.Error(got)
	}
	if got := spoken.PartName(clearance.Part{Name: "glaze pot", Link: clearance.Outside}, es); got != "«bote de esmalte»" {
		t.Error(got)
	}
	if got := spoken.PartName(clearance.Part{Name: "something", Link: clearance.Outside}, es); got != "«something»" {
		t.Error(got)
	}
}

const ownCell = `name: Yard
things:
  - {name: floor, at_mm: [0, 0, -150], facing: [0, 0, 1]}
  - {name: post, at_mm: [500, 0, 0], radius_mm: 30, length_mm: 300}
`

// A translation file beside a cell of one's own holds texts only; what is wrong with it is told at its place, and the
// cell is as it was.
func TestATranslationOfOnesOwn(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	write("yard.yaml", ownCell)
	texts := write("yard.es.yaml", "name: Patio\nnames:\n  - {of: post, is: poste}\n")
	for _, read := range []func() (translation.All, error){
		func() (translation.All, error) {
			f, err := ReadFolder(dir)
			if err == nil {
				err = broken(f)
			}
			if err != nil || len(f.Cells) != 1 {
				return nil, err
			}
			return f.Cells[0].Texts, nil
		},
		func() (translation.All, error) {
			cell, err := OpenCell(filepath.Join(dir, "yard.yaml"))
			return cell.Texts, err
		},
	} {
		all, err := read()
		if err != nil || all["es"] == nil || all["es"].Name != "Patio" || translation.Calling(words.Find("es"), all).Named("post") != "poste" {
			t.Errorf("%+v %v", all, err)
		}
	}
	r, err := Check(texts, nil, nil)
	if err != nil || r.What != "texts of yard in language es, names: 1" || len(r.Notes) != 1 || !strings.Contains(r.Notes[0], `"floor" is not translated`) {
		t.Errorf("%+v %v", r, err)
	}

	for _, c := range []struct{ file, text, says string }{
		{"yard.es.yaml", "name: Patio\nnames:\n  - {of: pots, is: tiesto}\n", `names: yard has nothing called "pots"; did you mean "post"`},
		{"yard.es.yaml", "name: Patio\nthings: []\n", `things`},
		{"yard.es.yaml", "name: Patio\nnames:\n  - {of: post, is: poste}\n  - {of: post, is: palo}\n", `"post" is translated twice`},
		{"yard.xx.yaml", "name: Yard\n", `the file is of language "xx"; there is en, es`},
		{"yrad.es.yaml", "name: Patio\n", `there is no arm or cell "yrad" here to be translated`},
	} {
		for _, name := range []string{"yard.es.yaml", "yard.xx.yaml", "yrad.es.yaml"} {
			os.Remove(filepath.Join(dir, name))
		}
		path := write(c.file, c.text)
		if _, err := Check(path, nil, nil); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", c.text, err, c.says)
		}
		f, err := ReadFolder(dir)
		if err != nil || len(f.Broken) != 1 || len(f.Cells) != 1 {
			t.Fatalf("%+v %v", f, err)
		}
		if all := form.Errors(f.Broken[0].Problems).Error(); !strings.Contains(all, c.says) {
			t.Errorf("serve says %q, want %q", all, c.says)
		}
	}
}
