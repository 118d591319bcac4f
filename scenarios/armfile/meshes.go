package armfile

import (
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/form"
)

// This file is what an arm is drawn as instead of its bodies: surfaces in files of other programs, which nothing is computed from.

// Mesh is a surface that is drawn for a link or a tool.
type Mesh struct {
	Link   int             // the link that carries it; 6 for a tool's
	Tool   string          // the tool that it belongs to; "" for a link's
	File   string          // its path in the arm file's folder
	At     kinematics.Pose // of the file's frame: at the measured pose, in the base frame; a tool's in the flange's frame
	Scale  r3.Vec          // mm of one unit of the file, along its axes
	Colour string          // such as #b0b4b8, where the file has none; "" for the page's own
}

// Look looks at the file of a mesh, and returns the paths of all files that it is in. Its error goes on after the file's name.
type Look func(Mesh) ([]string, error)

// MeshKinds are the endings of files of meshes, and of them those of glTF, whose unit is the metre.
var (
	MeshKinds = append([]string{".stl", ".obj"}, inMetres...)
	inMetres  = []string{".gltf", ".glb"}
)

type (
	meshForm struct {
		form.Block
		Link     linkNumber           `field:"link" about:"The link that carries it, 0 (the base) to 6 (the flange). Or else a tool."`
		Tool     form.Name            `field:"tool" about:"The tool that it belongs to, instead of a link."`
		File     string               `field:"file,required" about:"Its path in the arm file's folder: STL, OBJ or glTF (.gltf, .glb)."`
		At       r3.Vec               `field:"at_mm" about:"Where the origin of the file's frame is at the pose of the measurement, in the base frame; for a tool in the flange's frame: x, y, z in mm. 0 where nothing is said."`
		Rotation *kinematics.Rotation `field:"rotation_deg" about:"How the file's frame is turned there: fixed X-Y-Z angles, degrees."`
		Scale    r3.Vec               `field:"scale" about:"Millimetres to a unit of the file, along its x, y and z. [1, 1, 1] where nothing is said, and [1000, 1000, 1000] of glTF, whose unit is the metre."`
		Colour   string               `field:"colour" pattern:"^#[0-9a-fA-F]{6}$" about:"The colour where the file has none, as red, green and blue: #b0b4b8."`
	}
)

// meshes are those of a list, with the files that they are in, which look has looked at; nil where nothing is looked at.
func meshes(list []meshForm, tools []kinematics.Tool, look Look) (all []Mesh, files []string) {
	for i := range list {
		f := &list[i]
		m := Mesh{Link: int(f.Link), Tool: string(f.Tool), File: f.File, At: kinematics.Pose{Position: f.At, Rotation: form.RotationOrNone(f.Rotation)}, Scale: f.Scale, Colour: strings.ToLower(f.Colour)}
		kind := strings.ToLower(path.Ext(m.File))
		if !f.Has("scale") {
			m.Scale = r3.Vec{X: 1, Y: 1, Z: 1}
			if slices.Contains(inMetres, kind) {
				m.Scale = r3.Scale(1000, m.Scale)
			}
		}
		switch {
		case len(f.Together("link", "tool")) == 0:
			f.Add("link", "is missing: give the link that carries the mesh, or the tool it belongs to")
		case f.Has("tool"):
			m.Link = 6
			if !slices.ContainsFunc(tools, func(t kinematics.Tool) bool { return t.Name == m.Tool }) {
				f.Tell("tool", "the arm has no tool %s; %s", form.Quoted(m.Tool), form.UnknownWord(m.Tool, toolNames(tools)))
			}
		}
		if m.Scale.X == 0 || m.Scale.Y == 0 || m.Scale.Z == 0 {
			f.Add("scale", "must have no 0 in it")
		}
		if f.Has("colour") && !isColour(f.Colour) {
			f.Tell("colour", "%s is no colour; write red, green and blue in two hexadecimal digits each, such as #b0b4b8", form.Quoted(f.Colour))
		}
		if f.Has("file") {
			if problem := m.problem(kind); problem != "" {
				f.Tell("file", "%s", problem)
			} else if look != nil {
				in, err := look(m)
				if err != nil {
					f.Tell("file", "the mesh %s %v", form.Quoted(m.File), err)
				}
				for _, file := range in {
					if !slices.Contains(files, file) {
						files = append(files, file)
					}
				}
			}
		}
		all = append(all, m)
	}
	return all, files
}

func isColour(text string) bool {
	return len(text) == 7 && text[0] == '#' && strings.Trim(text[1:], "0123456789abcdefABCDEF") == ""
}

func (m *Mesh) problem(kind string) string {
	switch {
	case strings.ContainsAny(m.File, ":\\%?#") || !fs.ValidPath(m.File):
		return fmt.Sprintf("the mesh %s is not in the arm file's folder; write its path from there, such as meshes/upper-arm.stl. Nothing is fetched", form.Quoted(m.File))
	case !slices.Contains(MeshKinds, kind):
		return fmt.Sprintf("the mesh %s must be one of: %s", form.Quoted(m.File), strings.Join(MeshKinds, " "))
	}
	return ""
}

// Drawn returns the meshes of a link, or of a tool.
func (a *Arm) Drawn(link int, tool string) (meshes []Mesh) {
	for _, m := range a.Meshes {
		if m.Link == link && m.Tool == tool {
			meshes = append(meshes, m)
		}
	}
	return meshes
}

// text is the mesh as an arm file has it, without its braces.
func (m *Mesh) text() string {
	of := fmt.Sprintf("link: %d", m.Link)
	if m.Tool != "" {
		of = "tool: " + yamlText(m.Tool)
	}
	text := fmt.Sprintf("%s, file: %s, at_mm: %s", of, yamlText(m.File), vector(m.At.Position, lengthDecimals))
	if turn := angles(m.At.Rotation); turn != angles(kinematics.NoRotation) {
		text += ", rotation_deg: " + turn
	}
	text += ", scale: " + vector(m.Scale, lengthDecimals)
	if m.Colour != "" {
		text += fmt.Sprintf(", colour: %q", m.Colour)
	}
	return text
}
