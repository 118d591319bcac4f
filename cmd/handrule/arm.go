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
	"handrule/scenarios/armfile"
)

// armFlags choose an arm and what it carries.
type armFlags struct {
	Arm  string `required:"" placeholder:"ARM" help:"A shipped arm (wren, curlew, plover) or the path of an arm file."`
	Tool string `placeholder:"NAME" help:"A tool of the arm; none is the bare flange. The first tool unless told otherwise."`
}

func (f armFlags) open() (*armfile.Arm, kinematics.Tool, error) {
	arm, err := scenarios.OpenArm(f.Arm)
	if err != nil {
		return nil, kinematics.Tool{}, err
	}
	tool, err := arm.Tool(f.Tool)
	return arm, tool, err
}

// three to nine are lists of so many numbers as they are given on the command line: "1,2,3".
type (
	three struct{ values [3]float64 }
	four  struct{ values [4]float64 }
	six   struct{ values [6]float64 }
	nine  struct{ values [9]float64 }
)

func (t *three) UnmarshalText(text []byte) error { return readNumbers(string(text), t.values[:]) }
func (f *four) UnmarshalText(text []byte) error  { return readNumbers(string(text), f.values[:]) }
func (s *six) UnmarshalText(text []byte) error   { return readNumbers(string(text), s.values[:]) }
func (n *nine) UnmarshalText(text []byte) error  { return readNumbers(string(text), n.values[:]) }

func readNumbers(text string, into []float64) error {
	parts := strings.Split(text, ",")
	if len(parts) != len(into) {
		return fmt.Errorf("must be %d numbers with commas between them, not %d", len(into), len(parts))
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

// maybe is a number that may be without a value; as JSON it is null where it is not finite.
type maybe float64

func (m maybe) MarshalJSON() ([]byte, error) {
	if x := float64(m); math.IsNaN(x) || math.IsInf(x, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(m))
}

// printJSON writes one value, indented.
func printJSON(w io.Writer, value any) error {
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	return encoder.Encode(value)
}

// number writes x with so many decimals and never as −0.
func number(x float64, decimals int) string {
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}
