package table

import (
	"encoding/csv"
	"errors"
	"strconv"
	"strings"
	"testing"
	"unicode"
)

// hostile are cells that would be formulas, or parts of them would.
var hostile = []string{
	`=1+2`, `+1+cmd`, `-2+3`, `@SUM(A1)`, "\t=1", " =1", "\u00a0=1", "\r=1", "\n=1", `＝1`, `+0x1p3`, `"=1"`, `'=1`, "\ufeff=1", "\u202e=1",
	`Ada;=1+2`, `Ada; =1`, `Ada;"=1"`, `";=1`, `a";"=1`, `Ada;@x;-1+2`, "Ada\t=1+2", "Ada\t\"=1", "Ada\n=1", "Ada\r\n=1", "Ada,=1", `a",=1`, `Ada;` + "\t" + `=1`,
	`=HYPERLINK("http://x","y")`, `a;=HYPERLINK("http://x";"y")`,
}

// A spreadsheet parts the cells at commas, at semicolons or at tabs, depending on the country. In none does a cell become
// a formula, nor when the reader is lenient about quotes.
func TestNoReaderFindsAFormula(t *testing.T) {
	var text strings.Builder
	w := New(&text)
	w.Row("name", "next", "number")
	for _, cell := range hostile {
		w.Row(cell, cell, "-3.5")
		w.Row("Ada", "Ada, Bob;"+cell, cell)
	}
	if err := w.End(); err != nil {
		t.Fatal(err)
	}
	for _, comma := range ",;\t" {
		for _, lazy := range []bool{false, true} {
			r := csv.NewReader(strings.NewReader(text.String()))
			r.Comma, r.LazyQuotes, r.FieldsPerRecord = comma, lazy || comma != ',', -1
			rows, err := r.ReadAll()
			if err != nil || len(rows) != 1+2*len(hostile) && comma == ',' {
				t.Fatalf("%q: %d rows, %v", comma, len(rows), err)
			}
			for _, row := range rows {
				for _, cell := range row {
					if formula(cell) {
						t.Errorf("cells parted at %q: %q in %q", comma, cell, row)
					}
				}
			}
		}
		// And one that knows no quotes at all.
		for _, line := range strings.Split(text.String(), "\n") {
			if comma == ',' {
				break // There every reader knows them.
			}
			for _, cell := range strings.Split(line, string(comma)) {
				if formula(strings.Trim(cell, `"`)) {
					t.Errorf("cells parted at %q without quotes: %q in %q", comma, cell, line)
				}
			}
		}
	}
}

// formula reports whether a spreadsheet would compute a cell.
func formula(cell string) bool {
	trimmed := strings.TrimFunc(cell, func(r rune) bool { return unicode.IsSpace(r) || unicode.Is(unicode.Cf, r) || r == '"' })
	if _, err := strconv.ParseFloat(trimmed, 64); err == nil || trimmed == "" {
		return false
	}
	return strings.ContainsRune("=+-@＝＋－＠", []rune(trimmed)[0])
}

func TestPlainCellsAreNotChanged(t *testing.T) {
	for _, cell := range []string{"", "12", "-3.5", "+4", "1e-9", "a-b", "Ada", "Bob, the younger", `The "right" hand`, "x; y", "Ñ", "J5 -"} {
		var text strings.Builder
		w := New(&text)
		w.Row(cell, "end")
		if err := w.End(); err != nil {
			t.Fatal(err)
		}
		if row, err := csv.NewReader(strings.NewReader(text.String())).Read(); err != nil || row[0] != cell || row[1] != "end" {
			t.Errorf("%q is read as %q, %v", cell, row, err)
		}
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestAnErrorShowsAtTheEnd(t *testing.T) {
	w := New(full{})
	w.Row("a")
	if err := w.End(); err == nil {
		t.Error("none")
	}
}
