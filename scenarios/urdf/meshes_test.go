package urdf_test

import (
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/scenarios"
	"handrule/scenarios/urdf"
)

// brick is a tetrahedron with a corner at the origin and edges of 0.2, 0.1 and 0.1 m along the axes, as an OBJ file.
const brick = "v 0 0 0\nv 0.2 0 0\nv 0 0.1 0\nv 0 0 0.1\nf 1 2 3\nf 1 2 4\nf 1 3 4\nf 2 3 4\n"

// withMesh is a shipped arm as URDF whose link 4 is drawn as a mesh.
func withMesh(t *testing.T, mesh string) []byte {
	t.Helper()
	arm, err := scenarios.OpenArm("wren")
	if err != nil {
		t.Fatal(err)
	}
	kept := arm.Body[:0:0]
	for _, c := range arm.Body {
		if c.Link != 4 {
			kept = append(kept, c)
		}
	}
	bare := *arm
	bare.Body = kept
	text := string(urdf.Text(&bare))
	if !strings.Contains(text, `<link name="link_4"/>`) {
		t.Fatal(text)
	}
	return []byte(strings.Replace(text, `<link name="link_4"/>`, `<link name="link_4"><collision><geometry>`+mesh+`</geometry></collision></link>`, 1))
}

func TestMeshesBecomeBodies(t *testing.T) {
	folder := fstest.MapFS{
		"arm/meshes/link4.obj": {Data: []byte(brick)},
		"meshes/other.obj":     {Data: []byte(brick)},
		"mm.obj":               {Data: []byte(strings.ReplaceAll(strings.ReplaceAll(brick, "0.2", "200"), "0.1", "100"))},
	}
	for _, named := range []string{
		`filename="package://arm/meshes/link4.obj"`, `filename="package://anything/meshes/other.obj"`, `filename="./meshes/other.obj"`, `filename="../meshes/other.obj"`, `filename="..\..\meshes\other.obj"`, `filename="mm.obj" scale="0.001 0.001 0.001"`,
	} {
		arm, notes, err := urdf.Parse("a.urdf", withMesh(t, "<mesh "+named+"/>"), urdf.Options{Meshes: folder})
		if err != nil {
			t.Errorf("%s: %v", named, err)
			continue
		}
		at := arm.Geometry.Joints[3].At // where link 4 has its frame
		for _, corner := range []r3.Vec{{}, {X: 200}, {Y: 100}, {Z: 100}} {
			within := false
			for _, c := range arm.Body {
				if c.Link != 4 {
					continue
				}
				p, along := r3.Sub(r3.Add(at, corner), c.From), r3.Sub(c.To, c.From)
				s := 0.0
				if n := r3.Norm2(along); n > 0 {
					s = min(1, max(0, r3.Dot(p, along)/n))
				}
				within = within || r3.Norm(r3.Sub(p, r3.Scale(s, along))) <= c.Radius+1e-6
			}
			if !within {
				t.Errorf("%s: the corner %v is outside", named, corner)
			}
		}
		if told := strings.Join(notes, "\n"); !strings.Contains(told, "hold the file's shapes and meshes within them and stand off these by at most") || strings.Contains(told, "not read") {
			t.Error(told)
		}
	}
	// Without a folder, it is as before.
	if _, notes, err := urdf.Parse("a.urdf", withMesh(t, `<mesh filename="meshes/other.obj"/>`), urdf.Options{}); err != nil || !strings.Contains(strings.Join(notes, "\n"), "not read without --meshes FOLDER") {
		t.Error(err, notes)
	}
}

func TestBadMeshFilesAreToldAtTheirElement(t *testing.T) {
	folder := fstest.MapFS{"short.stl": {Data: []byte("abc")}, "flat.obj": {Data: []byte("v 1 1 1\nf 1 1 1\n")}, "far.obj": {Data: []byte(strings.ReplaceAll(brick, "0.2", "90000"))}, "a.dae": {}}
	for named, says := range map[string]string{
		"short.stl":                    "ends after 3 bytes",
		"none.stl":                     "is not in the folder of meshes",
		"../../etc/passwd.stl":         "is not in the folder of meshes",
		"package://../../x.stl":        "leads out of the folder",
		"/etc/passwd":                  "leads out of the folder",
		"https://example.org/part.stl": "nothing is fetched",
		"file:///etc/passwd":           "nothing is fetched",
		"a.dae":                        "of a kind that is not read (.dae)",
		"far.obj":                      "is larger than any arm",
	} {
		_, _, err := urdf.Parse("a.urdf", withMesh(t, `<mesh filename="`+named+`"/>`), urdf.Options{Meshes: folder})
		if err == nil || !strings.Contains(err.Error(), says) || !strings.Contains(err.Error(), "a.urdf:") {
			t.Errorf("%s: %v", named, err)
		}
	}
}

// drawnWith is a shipped arm as URDF whose link 4 and tool pen are drawn as meshes, in colours of the file's own.
func drawnWith(t *testing.T, link, tool string) []byte {
	t.Helper()
	arm, err := scenarios.OpenArm("wren")
	if err != nil {
		t.Fatal(err)
	}
	text := string(urdf.Text(arm))
	for name, visual := range map[string]string{"link_4": link, "pen": tool} {
		head := `<link name="` + name + `">`
		at := strings.Index(text, head)
		end := at + strings.Index(text[at:], "</link>")
		kept := text[at+len(head) : end]
		var touch []string
		for line := range strings.Lines(kept) {
			if !strings.Contains(line, "<visual>") {
				touch = append(touch, line)
			}
		}
		text = text[:at+len(head)] + visual + strings.Join(touch, "") + text[end:]
	}
	return []byte(strings.Replace(text, `<link name="base">`, `<material name="grey"><color rgba="0.5 0.5 0.5 1"/></material><link name="base">`, 1))
}

// What a file draws a link with is drawn, in the file's colours, where the folder of meshes lies beside the arm file; what touches is what the file says
// touches. How far the one reaches beyond the other is told.
func TestMeshesAreDrawn(t *testing.T) {
	folder := fstest.MapFS{"a/brick.obj": {Data: []byte(brick)}}
	text := drawnWith(t,
		`<visual><origin xyz="0.1 0 0" rpy="0 0 1.5707963267948966"/><geometry><mesh filename="package://a/brick.obj"/></geometry><material name="grey"/></visual>`,
		`<visual><geometry><mesh filename="package://a/brick.obj" scale="0.1 0.1 0.1"/></geometry><material name="own"><color rgba="1 0 0.2 1"/></material></visual>`)
	arm, notes, err := urdf.Parse("a.urdf", text, urdf.Options{Meshes: folder, MeshPath: "meshes"})
	if err != nil {
		t.Fatal(err)
	}
	shipped, _ := scenarios.OpenArm("wren")
	if len(arm.Meshes) != 2 || len(arm.Body) != len(shipped.Body) {
		t.Fatalf("%+v, %d capsules", arm.Meshes, len(arm.Body))
	}
	link, tool := arm.Meshes[0], arm.Meshes[1]
	at := r3.Add(arm.Geometry.Joints[3].At, r3.Vec{X: 100}) // link 4's frame is at J4's point
	if link.Link != 4 || link.Tool != "" || link.File != "meshes/a/brick.obj" || r3.Norm(r3.Sub(link.At.Position, at)) > 1e-9 || r3.Norm(r3.Sub(link.At.Rotation.X, r3.Vec{Y: 1})) > 1e-9 || link.Scale.X != 1000 || link.Colour != "#808080" {
		t.Errorf("%+v", link)
	}
	// The pen's frame is its TCP, 120 mm out of the flange.
	if tool.Tool != "pen" || tool.Link != 6 || r3.Norm(r3.Sub(tool.At.Position, r3.Vec{Z: 120})) > 1e-9 || tool.Scale.Y != 100 || tool.Colour != "#ff0033" {
		t.Errorf("%+v", tool)
	}
	if said := strings.Join(notes, "\n"); !strings.Contains(said, `meshes that are drawn: 2, from the folder "meshes" beside the arm file`) || !strings.Contains(said, "mm beyond the bodies that can touch") {
		t.Error(said)
	}
	// Written as URDF and read again it is the same.
	again, _, err := urdf.Parse("b.urdf", urdf.Text(arm), urdf.Options{Meshes: fstest.MapFS{"meshes/a/brick.obj": {Data: []byte(brick)}}, MeshPath: "."})
	if err != nil || len(again.Meshes) != 2 {
		t.Fatalf("%v %+v", err, again)
	}
	for i, m := range again.Meshes {
		was := arm.Meshes[i]
		shift, turn := m.At.Twist(was.At)
		if m.File != was.File || m.Link != was.Link || m.Tool != was.Tool || m.Colour != was.Colour || r3.Norm(r3.Sub(m.Scale, was.Scale)) > 1e-9 || r3.Norm(shift) > 1e-9 || r3.Norm(turn) > 1e-9 {
			t.Errorf("%+v, not %+v", m, was)
		}
	}
	// Elsewhere they cannot be drawn, and one that is not read does no harm.
	arm, notes, err = urdf.Parse("a.urdf", text, urdf.Options{Meshes: folder})
	if err != nil || len(arm.Meshes) > 0 || !strings.Contains(strings.Join(notes, "\n"), "the meshes are not drawn, because their folder does not lie beside the arm file") {
		t.Errorf("%v %q", err, notes)
	}
	text = drawnWith(t, `<visual><geometry><mesh filename="a.dae"/></geometry></visual>`, `<visual><geometry><mesh filename="http://example.com/a.stl"/></geometry></visual>`)
	arm, notes, err = urdf.Parse("a.urdf", text, urdf.Options{Meshes: fstest.MapFS{"a.dae": {}}, MeshPath: "."})
	said := strings.Join(notes, "\n")
	if err != nil || len(arm.Meshes) > 0 || !strings.Contains(said, "not drawn: the mesh \"a.dae\" on line") || !strings.Contains(said, "nothing is fetched") {
		t.Errorf("%v %q", err, notes)
	}
}

// Files that were chosen by hand have no folder: a mesh is then the file of its name, and holds a body there as anywhere. Those that were not chosen, or
// cannot be read, are told. Where there is a folder a mesh lies where it is named.
func TestMeshesChosenWithoutTheirFolder(t *testing.T) {
	text := drawnWith(t, `<visual><geometry><mesh filename="package://arm/meshes/brick.obj"/></geometry></visual>`, `<visual><geometry><mesh filename=".."/></geometry></visual>`)
	folder := fstest.MapFS{"brick.obj": {Data: []byte(brick)}, "short.stl": {Data: []byte("abc")}}
	var read []string
	arm, notes, err := urdf.Parse("a.urdf", text, urdf.Options{Meshes: folder, Chosen: true, MeshPath: ".", Reading: func(file string) { read = append(read, file) }})
	if err != nil || len(arm.Meshes) != 1 || arm.Meshes[0].File != "brick.obj" || !strings.Contains(strings.Join(notes, "\n"), `left out: the mesh ".." on line`) || len(read) != 1 || read[0] != "brick.obj" {
		t.Errorf("%v %+v %q %q", err, arm, notes, read)
	}
	arm, notes, err = urdf.Parse("a.urdf", text, urdf.Options{Meshes: folder, MeshPath: "."})
	if err != nil || len(arm.Meshes) != 0 || !strings.Contains(strings.Join(notes, "\n"), "is not in the folder of meshes") {
		t.Errorf("%v %+v %q", err, arm, notes)
	}
	// The body is the one of the same files in their folder.
	inFolder, _, err := urdf.Parse("a.urdf", withMesh(t, `<mesh filename="package://arm/meshes/brick.obj"/>`), urdf.Options{Meshes: fstest.MapFS{"arm/meshes/brick.obj": {Data: []byte(brick)}}})
	if err != nil {
		t.Fatal(err)
	}
	byHand, notes, err := urdf.Parse("a.urdf", withMesh(t, `<mesh filename="package://arm/meshes/brick.obj"/>`), urdf.Options{Meshes: folder, Chosen: true})
	if err != nil || !slices.Equal(byHand.Body, inFolder.Body) || !strings.Contains(strings.Join(notes, "\n"), "hold the file's shapes and meshes within them") {
		t.Errorf("%v %q\n%v\n%v", err, notes, byHand.Body, inFolder.Body)
	}
	for named, says := range map[string]string{"other.obj": `not chosen with it: "other.obj"`, "short.stl": `left out: the mesh "short.stl" on line`, "..": "leads out of the folder"} {
		arm, notes, err := urdf.Parse("a.urdf", withMesh(t, `<mesh filename="`+named+`"/>`), urdf.Options{Meshes: folder, Chosen: true, MeshPath: "."})
		if told := strings.Join(notes, "\n"); err != nil || len(arm.Meshes) > 0 || strings.Count(told, says) != 1 || !strings.Contains(told, "link 4: a slim body from axis to axis stands in, because the file gives only meshes, which are not here") {
			t.Errorf("%s: %v %q", named, err, notes)
		}
	}
}
