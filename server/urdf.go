package server

import (
	"slices"

	"handrule/scenarios/armfile"
	"handrule/scenarios/urdf"
	"handrule/server/bench"
)

// readURDF reads an arm from a file that a page hands in. Its meshes stay with the page, which draws them.
func readURDF(file string, r *bench.OwnArmRequest) (*armfile.Arm, []string, error) {
	return urdf.Parse(file, []byte(r.Text), urdf.Options{
		Base: r.Base, Tip: r.Tip, Forward: r.Forward, MountHeight: r.MountHeightMM, MeshPath: ".",
		Named: func(file string) bool { return slices.Contains(r.Files, file) },
	})
}
