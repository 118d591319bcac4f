package cellfile_test

import (
	"handrule/kinematics"
	"handrule/scenarios"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"math"
	"os"
	"strings"
	"testing"
)

// A cell file is refused with problems at their places, or gives a cell in which an arm can stand and be asked what is near.
func FuzzCellFile(f *testing.F) {
	for _, id := range []string{"glazing-bench", "wall-mount", "ceiling-mount", "tilted-stand", "bench-rail"} {
		text, err := os.ReadFile("../cells/" + id + ".yaml")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte("name: A\nmount: {at_mm: [1e5, 0, 0], rotation_deg: [0, 90, 1e-9]}\nthings: [{name: a, at_mm: [0, 0, 1e5], radius_mm: 1e-9, length_mm: 1e5}]\n"))
	arm := scenarios.ShippedArms()[0]
	f.Fuzz(func(t *testing.T, text []byte) {
		c, err := cellfile.Parse("cell.yaml", text)
		if err != nil {
			if problems, ok := err.(form.Errors); !ok || len(problems) == 0 {
				t.Fatalf("%T, not a list of problems: %v", err, err)
			}
			return
		}
		for _, line := range c.Standing(arm) {
			if strings.Contains(line, "NaN") || strings.Contains(line, "Inf") {
				t.Error(line)
			}
		}
		for _, tool := range c.ToolsFor(arm) {
			scene, err := c.Scene(arm, tool)
			if err != nil {
				continue // such as a tool of very many parts, which is said where it is mounted
			}
			if near := scene.Smallest(arm.Geometry.Links(kinematics.Joints{})); math.IsNaN(near.Distance) {
				t.Errorf("%s: %+v", tool.Name, near)
			}
		}
	})
}
