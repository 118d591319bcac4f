package dhtable

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
)

// row is a row of the table: mm and rad.
type row struct {
	at                 form.Place
	name               string
	a, alpha, d, theta float64 // theta where the joint stands at zero
	lower, upper       float64
	speed              float64
	hasLimits          bool
}

// column is what a column of the table holds.
type column struct {
	name string
	unit float64 // mm or rad of one
	need bool
}

// columns are those that a table may have. A parameter's name ends in its unit.
var columns = func() map[string]column {
	const degree = math.Pi / 180
	all := map[string]column{"joint": {name: "joint"}, "speed_deg_s": {name: "speed", unit: degree}, "speed_rad_s": {name: "speed", unit: 1}}
	for _, length := range []string{"a", "d"} {
		for unit, mm := range map[string]float64{"mm": 1, "m": 1000} {
			all[length+"_"+unit] = column{length, mm, true}
		}
	}
	for _, angle := range []string{"alpha", "theta", "zero", "lower", "upper"} {
		for unit, rad := range map[string]float64{"deg": degree, "rad": 1} {
			all[angle+"_"+unit] = column{angle, rad, angle == "alpha" || angle == "theta"}
		}
	}
	return all
}()

// Bounds, far beyond any arm.
const (
	largestFile = 64 << 10
	mostRows    = 50
)

// table reads the text of a table.
type table struct {
	src      *form.Source
	comma    rune
	columns  []column
	asGiven  bool
	quarters []string // angles taken for quarter turns
}

func (t *table) add(at form.Place, format string, args ...any) {
	if len(t.src.Problems) <= form.MostProblems {
		t.src.Add(at, format, args...)
	}
}

// rows reads all rows below the header.
func (t *table) rows() (rows []row) {
	text := strings.Join(t.src.Lines, "\n")
	r := csv.NewReader(bytes.NewReader([]byte(text)))
	r.Comma, r.Comment, r.FieldsPerRecord, r.TrimLeadingSpace = t.separator(), '#', -1, true
	t.comma = r.Comma
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			t.add(form.Place{Line: bad.Line, Column: bad.Column}, "is no table: %v", bad.Err)
			return nil
		}
		place := func(i int) form.Place {
			line, column := r.FieldPos(i)
			return form.Place{Line: line, Column: len([]rune(t.src.Lines[line-1][:min(column-1, len(t.src.Lines[line-1]))])) + 1}
		}
		switch {
		case !slices.ContainsFunc(cells, func(c string) bool { return strings.TrimSpace(c) != "" }):
		case t.columns == nil:
			if !t.header(cells, place) {
				return nil
			}
		case len(rows) == mostRows:
			t.add(place(0), "is one of more than %d rows; an arm has six", mostRows)
			return nil
		default:
			rows = append(rows, t.row(cells, place))
		}
	}
	if t.columns == nil {
		t.add(form.Place{Line: 1, Column: 1}, "has no header; its first row says what the columns hold, such as joint,a_mm,alpha_deg,d_mm,theta_deg")
	}
	return rows
}

// separator is what parts the columns of the first row that has any: a tab, a semicolon or a comma.
func (t *table) separator() rune {
	for _, line := range t.src.Lines {
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

func (t *table) header(cells []string, place func(int) form.Place) bool {
	var known []string
	for name := range columns {
		known = append(known, name)
	}
	slices.Sort(known)
	has := map[string]bool{}
	for i, cell := range cells {
		cell = strings.ToLower(strings.TrimSpace(cell))
		c, ok := columns[cell]
		switch {
		case cell == "":
		case !ok:
			t.add(place(i), "no column is called %s; %s", form.Quoted(cell), form.UnknownWord(cell, known))
		case has[c.name]:
			t.add(place(i), "there are two columns for %s", c.name)
		}
		has[c.name] = true
		t.columns = append(t.columns, c)
	}
	for _, need := range []string{"a_mm or a_m", "alpha_deg or alpha_rad", "d_mm or d_m", "theta_deg or theta_rad"} {
		name, _, _ := strings.Cut(need, "_")
		if !has[name] {
			t.add(place(0), "there is no column %s", need)
		}
	}
	return len(t.src.Problems) == 0
}

func (t *table) row(cells []string, place func(int) form.Place) row {
	r := row{at: place(0)}
	given := map[string]bool{}
	for i, cell := range cells {
		cell = strings.TrimSpace(cell)
		if i >= len(t.columns) || t.columns[i].name == "" {
			if cell != "" {
				t.add(place(i), "%s stands in a column that the header does not name", form.Quoted(cell))
			}
			continue
		}
		c := t.columns[i]
		if c.name == "joint" {
			r.name = cell
			continue
		}
		if cell == "" && !c.need {
			continue
		}
		given[c.name] = true
		x := t.value(cell, c, place(i))
		switch c.name {
		case "a":
			r.a = x
		case "alpha":
			r.alpha = x
		case "d":
			r.d = x
		case "theta", "zero":
			r.theta += x
		case "lower":
			r.lower = x
		case "upper":
			r.upper = x
		case "speed":
			r.speed = x
		}
	}
	for _, need := range []string{"a", "alpha", "d", "theta"} {
		if !given[need] {
			t.add(r.at, "this row has no %s", need)
		}
	}
	if r.hasLimits = given["lower"] && given["upper"]; given["lower"] != given["upper"] {
		t.add(r.at, "this row has one limit; give lower and upper, or neither")
	}
	return r
}

var (
	// A joint's own angle, as tables write it, and what is added to it: θ2, q2 - 90.
	variable = regexp.MustCompile(`^(?:θ|q|theta|t)_?\{?\d\}?\*?\s*(.*)$`)
	ofPi     = regexp.MustCompile(`^([+-]?)(\d*\.?\d*)\*?(?:pi|π)(?:/(\d+(?:\.\d+)?))?$`)
)

// value reads a cell: a number, one with π in it, or for theta the joint's own angle with what is added to it.
func (t *table) value(cell string, c column, at form.Place) float64 {
	text := strings.ToLower(strings.NewReplacer("−", "-", "°", "").Replace(cell))
	if t.comma != ',' {
		text = strings.Replace(text, ",", ".", 1)
	}
	if c.name == "theta" {
		if text == "" {
			return 0
		}
		if m := variable.FindStringSubmatch(text); m != nil {
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
	if m := ofPi.FindStringSubmatch(text); m != nil {
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
		t.add(at, "%s must be a number, not %s", c.name, form.Quoted(cell))
		return 0
	case (c.name == "a" || c.name == "d") && math.Abs(x*c.unit) > form.LargestLength:
		t.add(at, "%s is %s, which is more than any arm has; is the header's unit right?", c.name, form.Quoted(cell))
		return 0
	case math.Abs(x*c.unit) > form.LargestAngle && c.name != "a" && c.name != "d":
		t.add(at, "%s is %s, which is more than any angle; is the header's unit right?", c.name, form.Quoted(cell))
		return 0
	}
	if c.unit == 1 && !t.asGiven && (c.name == "alpha" || c.name == "theta" || c.name == "zero") {
		if quarter, is := armfile.QuarterTurn(text, x); is && quarter != x {
			t.quarters = append(t.quarters, fmt.Sprintf("%s on line %d", cell, at.Line))
			x = quarter
		}
	}
	return x * c.unit
}
