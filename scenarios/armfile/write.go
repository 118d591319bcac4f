package armfile

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/pattern"
	"handrule/internal/visible"
	"handrule/kinematics"
	"handrule/scenarios/form"
)

// How many decimals a written file has: a billionth of a mm, and of a direction and an angle what moves the flange less than that.
const (
	lengthDecimals    = 9
	directionDecimals = 13
	angleDecimals     = 11
)

// Text returns the arm as an arm file, below comments of one line each. Parse reads the same arm from it, to rounding.
func (a *Arm) Text(comments ...string) []byte {
	var b bytes.Buffer
	for _, c := range comments {
		fmt.Fprintf(&b, "# %s\n", strings.ReplaceAll(visible.Text(c), "\n", " "))
	}
	fmt.Fprintf(&b, "name: %s\n", yamlText(a.Name))
	if a.About != "" {
		fmt.Fprintf(&b, "about: %s\n", yamlText(a.About))
	}
	fmt.Fprintf(&b, "mount_height_mm: %s\njoints:\n", decimals(a.MountHeight, lengthDecimals))
	for _, j := range a.Geometry.Joints {
		reads, accel := "", ""
		if j.Measured != 0 {
			reads = fmt.Sprintf(", reads_deg: %s", degrees(j.Measured))
		}
		if j.Accel > 0 {
			accel = fmt.Sprintf(", accel_deg_s2: %s", degrees(j.Accel))
		}
		fmt.Fprintf(&b, "  - {name: %s, at_mm: %s, axis: %s%s, limits_deg: [%s, %s], speed_deg_s: %s%s}\n", yamlText(j.Name),
			vector(j.At, lengthDecimals), vector(j.Axis, directionDecimals), reads, degrees(j.Min), degrees(j.Max), degrees(j.Speed), accel)
	}
	fmt.Fprintf(&b, "flange: {at_mm: %s, rotation_deg: %s}\n", vector(a.Geometry.Flange.Position, lengthDecimals), angles(a.Geometry.Flange.Rotation))
	if len(a.Body) > 0 {
		b.WriteString("body:\n")
	}
	for _, c := range a.Body {
		fmt.Fprintf(&b, "  - {link: %d, %s}\n", c.Link, capsuleText(c))
	}
	if len(a.Tools) > 0 {
		b.WriteString("tools:\n")
	}
	for _, t := range a.Tools {
		fmt.Fprintf(&b, "  - name: %s\n    tcp_mm: %s\n", yamlText(t.Name), vector(t.TCP.Position, lengthDecimals))
		if turn := angles(t.TCP.Rotation); turn != angles(kinematics.NoRotation) {
			fmt.Fprintf(&b, "    rotation_deg: %s\n", turn)
		}
		if len(t.Body) > 0 {
			b.WriteString("    body:\n")
		}
		for _, c := range t.Body {
			fmt.Fprintf(&b, "      - {%s}\n", capsuleText(c))
		}
	}
	if len(a.Meshes) > 0 {
		b.WriteString("meshes:\n")
	}
	for i := range a.Meshes {
		fmt.Fprintf(&b, "  - {%s}\n", a.Meshes[i].text())
	}
	return b.Bytes()
}

func capsuleText(c kinematics.Capsule) string {
	return fmt.Sprintf("from_mm: %s, to_mm: %s, radius_mm: %s", vector(c.From, lengthDecimals), vector(c.To, lengthDecimals), decimals(c.Radius, lengthDecimals))
}

// decimals writes a number with at most so many decimals, never as −0.
func decimals(x float64, digits int) string {
	return strconv.FormatFloat(form.Round(x, digits), 'f', -1, 64)
}

func degrees(rad float64) string { return decimals(kinematics.Degrees(rad), angleDecimals) }

func vector(v r3.Vec, digits int) string {
	return fmt.Sprintf("[%s, %s, %s]", decimals(v.X, digits), decimals(v.Y, digits), decimals(v.Z, digits))
}

func angles(r kinematics.Rotation) string {
	a, _ := r.FixedXYZ()
	return fmt.Sprintf("[%s, %s, %s]", degrees(a.X), degrees(a.Y), degrees(a.Z))
}

// plainWord is text that YAML takes for text without quotes, except for its words for other things.
var plainWord = pattern.Of(`^[A-Za-z][A-Za-z0-9_-]*( [A-Za-z0-9_-]+)*$`)

var yamlWords = []string{"y", "n", "yes", "no", "true", "false", "on", "off", "null", "inf", "nan"}

// yamlText writes text in one line; what JSON quotes, YAML reads.
func yamlText(text string) string {
	if plainWord.In(text) && !slices.Contains(yamlWords, strings.ToLower(text)) {
		return text
	}
	var b bytes.Buffer
	encoder := json.NewEncoder(&b)
	encoder.SetEscapeHTML(false)
	encoder.Encode(text) // a string can always be encoded
	return strings.TrimSpace(b.String())
}
