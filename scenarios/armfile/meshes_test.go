package armfile_test

import (
	"bytes"
	"errors"
	"os"
	"reflect"
	"strings"
	"testing"

	"handrule/scenarios/armfile"
)

// withMeshes is a shipped arm with these lines below.
func withMeshes(t *testing.T, lines string) []byte {
	t.Helper()
	text, err := os.ReadFile("../arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return append(text, "meshes:\n"+lines...)
}

// What is drawn is written and read as it is, and changes nothing of what is computed.
func TestMeshesAreReadAndWritten(t *testing.T) {
	text := withMeshes(t, `  - {link: 2, file: meshes/upper-arm.stl, at_mm: [40, 0, 0], rotation_deg: [0, 90, 0], colour: "#B0b4b8"}
  - {link: 3, file: a b.GLB}
  - {tool: pen, file: pen.obj, at_mm: [0, 0, 12], scale: [25.4, 25.4, -25.4]}
`)
	var seen []string
	arm, err := armfile.ParseLooking("a.yaml", text, func(m armfile.Mesh) ([]string, error) {
		seen = append(seen, m.File)
		return []string{m.File, "paint.mtl"}, nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"meshes/upper-arm.stl", "paint.mtl", "a b.GLB", "pen.obj"}; !reflect.DeepEqual(arm.Files, want) || len(seen) != 3 {
		t.Errorf("%q, looked at %q", arm.Files, seen)
	}
	m := arm.Meshes
	if len(m) != 3 || m[0].Link != 2 || m[0].Colour != "#b0b4b8" || m[0].Scale.X != 1 || m[1].Scale.X != 1000 || m[2].Link != 6 || m[2].Tool != "pen" || m[2].Scale.Z != -25.4 {
		t.Errorf("%+v", m)
	}
	again, err := armfile.Parse("a.yaml", arm.Text())
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(again.Meshes, arm.Meshes) || !bytes.Equal(again.Text(), arm.Text()) {
		t.Errorf("%+v\n%+v", again.Meshes, arm.Meshes)
	}
	plain, err := armfile.Parse("a.yaml", text[:bytes.Index(text, []byte("meshes:"))])
	if err != nil || !reflect.DeepEqual(plain.Geometry, arm.Geometry) || !reflect.DeepEqual(plain.Body, arm.Body) {
		t.Errorf("what is drawn changes the arm: %v", err)
	}
}

func TestWrongMeshesAreTold(t *testing.T) {
	for line, says := range map[string]string{
		`{file: a.stl}`:                                      "link is missing: give the link that carries the mesh, or the tool it belongs to",
		`{link: 2, tool: pen, file: a.stl}`:                  "tool does not go with link",
		`{link: 7, file: a.stl}`:                             "from 0 (the base) to 6 (the flange)",
		`{tool: pan, file: a.stl}`:                           `the arm has no tool "pan"`,
		`{link: 2, file: ../a.stl}`:                          "is not in the arm file's folder",
		`{link: 2, file: /a.stl}`:                            "is not in the arm file's folder",
		`{link: 2, file: "https://example.com/a.stl"}`:       "Nothing is fetched",
		`{link: 2, file: a.dae}`:                             "must be one of: .stl .obj .gltf .glb",
		`{link: 2, file: a.stl, scale: [1, 0, 1]}`:           "must have no 0 in it",
		`{link: 2, file: a.stl, colour: grey}`:               "such as #b0b4b8",
		`{link: 2, file: broken.stl}`:                        `the mesh "broken.stl" ends too early`,
		`{link: 2, file: a.stl, at_mm: [1e12, 0, 0]}`:        "at_mm",
		`{link: 2, file: a.stl, url: "http://a.b/c.stl"}`:    "url",
		`{link: 2, file: a.stl, rotation_deg: [0, 0, .nan]}`: "rotation_deg",
	} {
		_, err := armfile.ParseLooking("a.yaml", withMeshes(t, "  - "+line+"\n"), func(m armfile.Mesh) ([]string, error) {
			if m.File == "broken.stl" {
				return nil, errors.New("ends too early")
			}
			return []string{m.File}, nil
		})
		if err == nil || !strings.Contains(err.Error(), says) || !strings.Contains(err.Error(), "a.yaml:32:") && !strings.Contains(err.Error(), "a.yaml:33:") {
			t.Errorf("%s: %v", line, err)
		}
	}
}
