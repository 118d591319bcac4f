package armfile_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"handrule/scenarios"
	"handrule/scenarios/armfile"
)

var rewrite = flag.Bool("rewrite", false, "write what is told anew instead of comparing it")

// slips are slips of the pen, each a change of a right arm file: what the file has, and what somebody wrote.
var slips = []struct{ name, old, new string }{
	{"limits in radians", `limits_deg: \[(-?\d+), (\d+)\]`, "radians"},
	{"speeds in radians/s", `speed_deg_s: \d+, accel_deg_s2: \d+`, "speed_deg_s: 4.2"},
	{"the whole arm in metres", `(at|from|to|tcp|radius|height)_mm: [^a-z}\n]*`, "thousandth"},
	{"the whole arm in inches", `(at|from|to|tcp|radius|height)_mm: [^a-z}\n]*`, "inch"},
	{"a tool in metres", `tcp_mm: \[0, 0, 120\]`, "tcp_mm: [0, 0, 0.12]"},
	{"J1 upside down", `\{name: J1, at_mm: \[0, 0, 0\],     axis: \[0, 0, 1\]`, "{name: J1, at_mm: [0, 0, 0], axis: [0, 0, -1]"},
	{"J1 beside the origin", `\{name: J1, at_mm: \[0, 0, 0\]`, "{name: J1, at_mm: [12, 0, 0]"},
	{"J3 flipped", `\{name: J3, at_mm: \[40, 0, 270\],  axis: \[0, 1, 0\]`, "{name: J3, at_mm: [40, 0, 270], axis: [0, -1, 0]"},
	{"J6 flipped", `\{name: J6, at_mm: \[320, 0, 300\], axis: \[1, 0, 0\]`, "{name: J6, at_mm: [320, 0, 300], axis: [-1, 0, 0]"},
	{"J6 2 mm beside the wrist", `\{name: J6, at_mm: \[320, 0, 300\]`, "{name: J6, at_mm: [320, 0, 302]"},
	{"J5 2 mm beside the wrist, seen along", `\{name: J4, at_mm: \[40, 0, 300\]`, "{name: J4, at_mm: [40, 2, 300]"},
	{"J2 a third of a degree off square", `\{name: J2, at_mm: \[40, 0, 0\],    axis: \[0, 1, 0\]`, "{name: J2, at_mm: [40, 0, 0], axis: [0.006, 1, 0]"},
	{"a flange that is not turned", `rotation_deg: \[0, 90, 0\]`, "rotation_deg: [0, 0, 0]"},
	{"a flange 3 mm beside its axis", `flange: \{at_mm: \[390, 0, 300\]`, "flange: {at_mm: [390, 3, 300]"},
	{"no body", `(?s)body:\n.*tools:`, "tools:"},
	{"a link without a body", `  - \{link: 2, .*\n`, ""},
	{"a body 300 mm away", `\{link: 4, from_mm: \[150, 0, 300\], to_mm: \[265, 0, 300\]`, "{link: 4, from_mm: [150, 300, 300], to_mm: [265, 300, 300]"},
	{"bodies of 2 and 3 swapped", `link: [23],`, "swap"},
	{"a base 70 mm inside the table", `\[0, 0, -225\]`, "[0, 0, -295]"},
	{"a mount height of 500", `mount_height_mm: 300`, "mount_height_mm: 500"},
	{"limits that exclude pointing down", `limits_deg: \[-120, 120\]`, "limits_deg: [-100, 5]"},
	{"limits that leave out 0", `limits_deg: \[-170, 170\]`, "limits_deg: [10, 170]"},
	{"a reading beyond the limits", `axis: \[0, 0, 1\],`, "axis: [0, 0, 1], reads_deg: -180,"},
	{"a narrow joint", `limits_deg: \[-170, 170\]`, "limits_deg: [-17, 17]"},
	{"a slow joint", `speed_deg_s: 480`, "speed_deg_s: 4.8"},
	{"a TCP 0.7 mm beside the axis", `tcp_mm: \[0, 0, 120\]`, "tcp_mm: [0.7, 0, 120]"},
	{"a TCP behind the flange", `tcp_mm: \[0, 0, 120\]`, "tcp_mm: [0, 0, -120]"},
	{"a number with a digit too many", `\[390, 0, 300\]`, "[39000, 0, 300]"},
}

func TestSlipsOfThePenAreTold(t *testing.T) {
	right, err := os.ReadFile("../arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	before := notesOf(t, right)
	var told bytes.Buffer
	for _, slip := range slips {
		wrong := regexp.MustCompile(slip.old).ReplaceAllFunc(right, func(found []byte) []byte { return slipped(found, slip.new) })
		if bytes.Equal(wrong, right) {
			t.Errorf("%s: changes nothing", slip.name)
		}
		fmt.Fprintf(&told, "%s\n", slip.name)
		news := 0
		for _, note := range notesOf(t, wrong) {
			if strings.HasPrefix(note, "note: ") && !slices.Contains(before, note) {
				fmt.Fprintf(&told, "  %s\n", note)
				news++
			}
		}
		if news == 0 {
			t.Errorf("%s passes unseen", slip.name)
		}
	}
	const golden = "testdata/slips.txt"
	if *rewrite {
		if err := os.WriteFile(golden, told.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if want, err := os.ReadFile(golden); err != nil || string(want) != told.String() {
		t.Errorf("%v; told is\n%s", err, &told)
	}
}

func notesOf(t *testing.T, text []byte) []string {
	t.Helper()
	arm, err := armfile.Parse("a.yaml", text)
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return arm.Notes()
}

var numeral = regexp.MustCompile(`-?\d+(\.\d+)?`)

// slipped is a piece of a file with its numbers changed, or another piece.
func slipped(found []byte, how string) []byte {
	scale := map[string]float64{"radians": 0.0174533, "thousandth": 0.001, "inch": 1 / 25.4}
	if by, ok := scale[how]; ok {
		return numeral.ReplaceAllFunc(found, func(n []byte) []byte {
			var x float64
			fmt.Sscan(string(n), &x)
			return fmt.Appendf(nil, "%.5g", x*by)
		})
	}
	if how == "swap" {
		return []byte(strings.NewReplacer("2", "3", "3", "2").Replace(string(found)))
	}
	return []byte(how)
}

// The arms that ship are not doubted.
func TestRightArmsAreNotDoubted(t *testing.T) {
	for _, arm := range scenarios.ShippedArms() {
		for _, note := range arm.Notes() {
			if strings.HasPrefix(note, "note: ") {
				t.Errorf("%s: %s", arm.ID, note)
			}
		}
	}
}
