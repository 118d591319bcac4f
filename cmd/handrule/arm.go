package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios"
	"handrule/server"
)

// armFlags choose an arm and what it carries.
type armFlags struct {
	Arm  string `required:"" placeholder:"ARM" help:"A shipped arm (wren, curlew, plover) or the path of an arm file."`
	Tool string `placeholder:"NAME" help:"A tool of the arm; none is the bare flange. The first tool unless told otherwise."`
}

func (f armFlags) open() (*scenarios.Arm, kinematics.Tool, error) {
	arm, err := scenarios.OpenArm(f.Arm)
	if err != nil {
		return nil, kinematics.Tool{}, err
	}
	tool, err := arm.Tool(f.Tool)
	return arm, tool, err
}

// three and six are lists of numbers as they are given on the command line: "1,2,3".
type (
	three struct{ values [3]float64 }
	six   struct{ values [6]float64 }
)

func (t *three) UnmarshalText(text []byte) error { return readNumbers(string(text), t.values[:]) }
func (s *six) UnmarshalText(text []byte) error   { return readNumbers(string(text), s.values[:]) }

func readNumbers(text string, into []float64) error {
	parts := strings.Split(text, ",")
	if len(parts) != len(into) {
		return fmt.Errorf("want %d numbers with commas between them, not %d", len(into), len(parts))
	}
	for i, part := range parts {
		x, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		if err != nil || math.IsNaN(x) || math.Abs(x) > 1e6 {
			return fmt.Errorf("number %d, %q, is not a number of sensible size", i+1, part)
		}
		into[i] = x
	}
	return nil
}

func (t three) vec() r3.Vec { return r3.Vec{X: t.values[0], Y: t.values[1], Z: t.values[2]} }

func (s six) joints() (q kinematics.Joints) {
	for i, degrees := range s.values {
		q[i] = kinematics.Radians(degrees)
	}
	return q
}

// printJSON writes one value, indented.
func printJSON(w io.Writer, value any) error {
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	return encoder.Encode(value)
}

// printReading writes a place as a person reads it.
func printReading(w io.Writer, name string, r server.Reading) {
	p, a := r.PositionMM, r.FixedXYZDeg
	fmt.Fprintf(w, "%-7s X %9s   Y %9s   Z %9s   mm\n", name, number(p[0], 2), number(p[1], 2), number(p[2], 2))
	fmt.Fprintf(w, "%-7s X %9s   Y %9s   Z %9s   inch\n", "", number(p[0]/25.4, 3), number(p[1]/25.4, 3), number(p[2]/25.4, 3))
	fmt.Fprintf(w, "%-7s about X %s°, Y %s°, Z %s° (fixed X-Y-Z)\n", "", number(a[0], 2), number(a[1], 2), number(a[2], 2))
	if note := r.Notes.FixedXYZ; note != "" {
		fmt.Fprintf(w, "%-7s %s\n", "", note)
	}
}

// number writes x with so many decimals and never as −0.
func number(x float64, decimals int) string {
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}

func printJoints(w io.Writer, q kinematics.Joints) {
	for i := range q {
		fmt.Fprintf(w, "J%d %8s°  ", i+1, number(kinematics.Degrees(q[i]), 2))
	}
	fmt.Fprintln(w)
}
