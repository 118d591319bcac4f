// Package tabular reads tables of numbers with a header, as spreadsheets save and paste them: columns parted by commas, semicolons or tabs,
// each named in the first row with its unit.
package tabular

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"handrule/internal/pattern"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
)

// Column is what a column may hold.
type Column struct {
	Name string
	Unit float64 // mm or rad of one; 0 for a column of words
	Kind Kind
	Need bool // every row has it
}

// Kind is what a column's numbers are.
type Kind int

const (
	Word   Kind = iota
	Length      // mm
	Angle       // rad
	Twist       // rad, where a rounding of a quarter turn is taken for one
	Own         // the same, where the joint's own angle may stand with what is added to it: θ2, q2 - 90
	Speed       // rad/s
)

// Row is a row of a table below its header.
type Row struct {
	At      form.Place
	Words   map[string]string
	Numbers map[string]float64
	places  map[string]form.Place
}

// Has reports whether the row gives a number in that column.
func (r *Row) Has(name string) bool { _, has := r.Numbers[name]; return has }

// PlaceOf is where the row has a column's cell, or its beginning.
func (r *Row) PlaceOf(name string) form.Place {
	if at, has := r.places[name]; has {
		return at
	}
	return r.At
}

// Bounds, far beyond any arm.
const (
	LargestFile = 64 << 10
	mostRows    = 50
)

// Table reads the text of a table. What is wrong is added to the source.
type Table struct {
	Source    *form.Source
	Columns   map[string]Column // that a table may have, by what the header calls them
	Need      []string          // the columns that it must have, as they are asked for: "a_mm or a_m"
	Such      string            // a header, for the message of a table without one
	AsWritten bool              // a rounding of a quarter turn is taken as it is written

	Quarters []string // cells taken for quarter turns

	comma  rune
	header []Column
}

// Add adds a problem, unless there are too many already.
func (t *Table) Add(at form.Place, format string, args ...any) {
	if len(t.Source.Problems) <= form.MostProblems {
		t.Source.Add(at, format, args...)
	}
}

// Rows reads all rows below the header.
func (t *Table) Rows() (rows []Row) {
	text := strings.Join(t.Source.Lines, "\n")
	r := csv.NewReader(bytes.NewReader([]byte(text)))
	r.Comma, r.Comment, r.FieldsPerRecord = Separator(t.Source.Lines), '#', -1
	r.TrimLeadingSpace = r.Comma != '\t' // a tab is space too, and an empty cell would be lost
	t.comma = r.Comma
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			t.Add(form.Place{Line: bad.Line, Column: bad.Column}, "is no table: %v", bad.Err)
			return nil
		}
		place := func(i int) form.Place {
			line, column := r.FieldPos(i)
			return form.Place{Line: line, Column: len([]rune(t.Source.Lines[line-1][:min(column-1, len(t.Source.Lines[line-1]))])) + 1}
		}
		switch {
		case !slices.ContainsFunc(cells, func(c string) bool { return strings.TrimSpace(c) != "" }):
		case t.header == nil:
			if !t.readHeader(cells, place) {
				return nil
			}
		case len(rows) == mostRows:
			t.Add(place(0), "is one of more than %d rows; an arm has six", mostRows)
			return nil
		default:
			rows = append(rows, t.row(cells, place))
		}
	}
	if t.header == nil {
		t.Add(form.Place{Line: 1, Column: 1}, "has no header; its first row says what the columns hold, such as %s", t.Such)
	}
	return rows
}

// Separator is what parts the columns of the first row that has any: a tab, a semicolon or a comma.
func Separator(lines []string) rune {
	for _, line := range lines {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		for _, c := range "\t;" {
			if strings.ContainsRune(line, c) {
				return c
			}
		}
		break
	}
	return ','
}

// asInBooks are the signs of headings that a column's name has in letters.
var asInBooks = strings.NewReplacer("θ", "theta", "α", "alpha", "°", "deg")

// partsHeading reports what stands between the words of a heading such as "d [mm]" or "speed (°/s)".
func partsHeading(c rune) bool { return strings.ContainsRune(" []()/_,", c) }

func (t *Table) readHeader(cells []string, place func(int) form.Place) bool {
	var known []string
	for name := range t.Columns {
		known = append(known, name)
	}
	slices.Sort(known)
	has := map[string]bool{}
	for i, cell := range cells {
		cell = strings.ToLower(strings.TrimSpace(cell))
		c, ok := t.Columns[cell]
		if !ok {
			c, ok = t.Columns[asInBooks.Replace(strings.Join(strings.FieldsFunc(cell, partsHeading), "_"))]
		}
		switch {
		case cell == "":
		case !ok:
			t.Add(place(i), "no column is called %s; %s", form.Quoted(cell), form.UnknownWord(cell, known))
		case has[c.Name]:
			t.Add(place(i), "there are two columns for %s", c.Name)
		}
		has[c.Name] = true
		t.header = append(t.header, c)
	}
	for _, need := range t.Need {
		name, _, _ := strings.Cut(need, "_")
		if !has[name] {
			t.Add(place(0), "there is no column %s", need)
		}
	}
	return len(t.Source.Problems) == 0
}

func (t *Table) row(cells []string, place func(int) form.Place) Row {
	r := Row{At: place(0), Words: map[string]string{}, Numbers: map[string]float64{}, places: map[string]form.Place{}}
	for i, cell := range cells {
		cell = strings.TrimSpace(cell)
		if i >= len(t.header) || t.header[i].Name == "" {
			if cell != "" {
				t.Add(place(i), "%s stands in a column that the header does not name", form.Quoted(cell))
			}
			continue
		}
		c := t.header[i]
		r.places[c.Name] = place(i)
		if c.Kind == Word {
			r.Words[c.Name] = cell
			continue
		}
		if cell == "" && !c.Need {
			continue
		}
		r.Numbers[c.Name] = t.value(cell, c, place(i))
	}
	for _, c := range t.header {
		if _, given := r.places[c.Name]; c.Need && !given {
			t.Add(r.At, "this row has no %s", c.Name)
		}
	}
	return r
}

var (
	// A joint's own angle, as tables write it, and what is added to it: θ2, q2 - 90.
	variable = pattern.Of(`^(?:θ|q|theta|t)_?\{?\d\}?\*? *(.*)$`)
	ofPi     = pattern.Of(`^([+-]?)(\d*\.?\d*)\*?(?:pi|π)(?:/(\d+(?:\.\d+)?))?$`)
)

// value reads a cell: a number, one with π in it, or the joint's own angle with what is added to it.
func (t *Table) value(cell string, c Column, at form.Place) float64 {
	text := strings.ToLower(strings.NewReplacer("−", "-", "°", "").Replace(cell))
	if t.comma != ',' {
		text = strings.Replace(text, ",", ".", 1)
	}
	if c.Kind == Own {
		if text == "" {
			return 0
		}
		if m := variable.First(text); m != nil {
			if text = m[1]; text == "" {
				return 0
			}
			if !strings.ContainsAny(text[:1], "+-") {
				text = "?"
			}
		}
	}
	text = strings.ReplaceAll(text, " ", "")
	x, err := strconv.ParseFloat(strings.TrimPrefix(text, "+"), 64)
	if m := ofPi.First(text); m != nil {
		x, err = math.Pi, nil
		if m[2] != "" {
			var times float64
			if times, err = strconv.ParseFloat(m[2], 64); err == nil {
				x *= times
			}
		}
		if m[3] != "" {
			over, _ := strconv.ParseFloat(m[3], 64)
			x /= over
		}
		if m[1] == "-" {
			x = -x
		}
	}
	switch {
	case err != nil || math.IsNaN(x) || math.IsInf(x, 0):
		t.Add(at, "%s must be a number, not %s", c.Name, form.Quoted(cell))
		return 0
	case c.Kind == Length && math.Abs(x*c.Unit) > form.LargestLength:
		t.Add(at, "%s is %s, which is more than any arm has; is the header's unit right?", c.Name, form.Quoted(cell))
		return 0
	case math.Abs(x*c.Unit) > form.LargestAngle && c.Kind != Length:
		t.Add(at, "%s is %s, which is more than any angle; is the header's unit right?", c.Name, form.Quoted(cell))
		return 0
	}
	if c.Unit == 1 && !t.AsWritten && (c.Kind == Twist || c.Kind == Own) {
		if quarter, is := armfile.QuarterTurn(text, x); is && quarter != x {
			t.Quarters = append(t.Quarters, cell+" on line "+strconv.Itoa(at.Line))
			x = quarter
		}
	}
	return x * c.Unit
}
