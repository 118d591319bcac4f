package mesh_test

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/draws"
	"handrule/scenarios/mesh"
)

// points are triangles as the numbers of a buffer: their corners, one after the other.
func points(triangles [][3]r3.Vec) []byte {
	var b bytes.Buffer
	for _, t := range triangles {
		for _, p := range t {
			binary.Write(&b, binary.LittleEndian, [3]float32{float32(p.X), float32(p.Y), float32(p.Z)})
		}
	}
	return b.Bytes()
}

// inText is a glTF file with these nodes, and so many points in one buffer of so many bytes, which uri names.
func inText(nodes, uri string, bytes, count int) string {
	return strings.NewReplacer("NODES", nodes, "URI", uri, "BYTES", strconv.Itoa(bytes), "COUNT", strconv.Itoa(count)).Replace(
		`{"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0]}],"nodes":NODES,"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]}],` +
			`"accessors":[{"bufferView":0,"componentType":5126,"count":COUNT,"type":"VEC3"}],"bufferViews":[{"buffer":0,"byteLength":BYTES}],"buffers":[{"byteLength":BYTES,"uri":"URI"}]}`)
}

// inBytes is the binary form of the same, with the buffer inside.
func inBytes(text string, inside []byte) []byte {
	text = strings.Replace(text, `,"uri":"URI"`, "", 1)
	text += strings.Repeat(" ", (4-len(text)%4)%4)
	var b bytes.Buffer
	for _, n := range []uint32{0x46546C67, 2, uint32(12 + 8 + len(text) + 8 + len(inside)), uint32(len(text)), 0x4E4F534A} {
		binary.Write(&b, binary.LittleEndian, n)
	}
	b.WriteString(text)
	binary.Write(&b, binary.LittleEndian, []uint32{uint32(len(inside)), 0x004E4942})
	b.Write(inside)
	return b.Bytes()
}

// A body is the same from STL and from glTF in each of its forms: written into the text, beside it, and binary.
func TestEveryFormOfGLTFIsRead(t *testing.T) {
	body := turnedBody(rand.New(rand.NewPCG(draws.Seed(), 5)))
	want, err := mesh.Read("a.stl", binarySTL(body), nil)
	if err != nil {
		t.Fatal(err)
	}
	data, nodes, count := points(body), `[{"mesh":0}]`, 3*len(body)
	beside := func(file string) ([]byte, error) {
		if file != "parts/the data.bin" {
			return nil, errors.New("is not there")
		}
		return data, nil
	}
	for name, text := range map[string][]byte{
		"parts/within.gltf": []byte(inText(nodes, "data:application/octet-stream;base64,"+base64.StdEncoding.EncodeToString(data), len(data), count)),
		"parts/beside.gltf": []byte(inText(nodes, "../parts/the%20data.bin", len(data), count)),
		"parts/binary.glb":  inBytes(inText(nodes, "URI", len(data), count), data),
	} {
		m, err := mesh.Read(name, text, beside)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(m.Triangles) != len(want.Triangles) {
			t.Fatalf("%s: %d triangles, not %d", name, len(m.Triangles), len(want.Triangles))
		}
		for i, triangle := range m.Triangles {
			for k, p := range triangle {
				if off := r3.Norm(r3.Sub(m.Points[p], want.Points[want.Triangles[i][k]])); off > 0 {
					t.Fatalf("%s: a corner is %g off", name, off)
				}
			}
		}
		if name == "parts/beside.gltf" && !slices.Equal(m.Beside, []mesh.Named{{File: "parts/the data.bin"}}) {
			t.Errorf("%v", m.Beside)
		}
	}
}

// Nodes carry each other, by places and by matrices: a point goes through all of them, the innermost first (glTF 2.0, 3.5.2).
func TestNodesPlaceWhatTheyCarry(t *testing.T) {
	data := points([][3]r3.Vec{{{X: 1}, {Y: 1}, {Z: 1}}})
	nodes := `[{"children":[1],"translation":[10,0,0],"rotation":[0,0,0.70710678118654752,0.70710678118654752],"scale":[2,3,4]},` +
		`{"children":[2],"matrix":[0,1,0,0, -1,0,0,0, 0,0,1,0, 5,6,7,1]},{"mesh":0}]`
	m, err := mesh.Read("a.glb", inBytes(inText(nodes, "URI", len(data), 3), data), nil)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: the matrix turns (1,0,0) to (0,1,0) and adds (5,6,7): (5,7,7); scaled (10,21,28); turned a quarter about Z (-21,10,28); moved (-11,10,28).
	for i, want := range []r3.Vec{{X: -11, Y: 10, Z: 28}, {X: -8, Y: 8, Z: 28}, {X: -8, Y: 10, Z: 32}} {
		if off := r3.Norm(r3.Sub(m.Points[i], want)); off > 1e-9 {
			t.Errorf("point %d is at %v, not %v", i, m.Points[i], want)
		}
	}
}

// Strips and fans (glTF 2.0, 3.7.2.1), numbers of each width, and a stride.
func TestTrianglesInEveryForm(t *testing.T) {
	data := []byte{}
	for _, p := range [][3]float32{{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}} {
		data, _ = binary.Append(data, binary.LittleEndian, p)
		data = append(data, 9, 9, 9, 9) // of the stride
	}
	at := len(data)
	data = append(data, 0, 1, 2, 3)
	for mode, want := range map[string][][3]int32{"4": {{0, 1, 2}}, "5": {{0, 1, 2}, {1, 2, 3}}, "6": {{0, 1, 2}, {0, 2, 3}}} {
		count := "4"
		if mode == "4" {
			count = "3"
		}
		text := `{"asset":{"version":"2.0"},"nodes":[{"mesh":0}],"meshes":[{"primitives":[{"attributes":{"POSITION":0},"indices":1,"mode":` + mode + `}]}],` +
			`"accessors":[{"bufferView":0,"componentType":5126,"count":4,"type":"VEC3"},{"bufferView":1,"componentType":5121,"count":` + count + `,"type":"SCALAR"}],` +
			`"bufferViews":[{"buffer":0,"byteLength":` + strconv.Itoa(at) + `,"byteStride":16},{"buffer":0,"byteOffset":` + strconv.Itoa(at) + `,"byteLength":4}],"buffers":[{"byteLength":` + strconv.Itoa(len(data)) + `}]}`
		m, err := mesh.Read("a.glb", inBytes(text, data), nil)
		if err != nil || !slices.Equal(m.Triangles, want) {
			t.Errorf("%s: %v %v", mode, m, err)
		}
	}
}

func TestBadGLTFIsRefused(t *testing.T) {
	data := points([][3]r3.Vec{{{X: 1}, {Y: 1}, {Z: 1}}})
	good := inText(`[{"mesh":0}]`, "data:;base64,"+base64.StdEncoding.EncodeToString(data), len(data), 3)
	nan := bytes.Clone(data)
	binary.LittleEndian.PutUint32(nan, math.Float32bits(float32(math.NaN())))
	change := func(old, now string) string {
		if !strings.Contains(good, old) {
			t.Fatal(old)
		}
		return strings.Replace(good, old, now, 1)
	}
	binaryForm := inBytes(inText(`[{"mesh":0}]`, "URI", len(data), 3), data)
	for name, test := range map[string]struct{ file, text, says string }{
		"an address":           {"a.gltf", change("data:;base64,", "https://example.com/"), "which is no path; nothing is fetched"},
		"out of the folder":    {"parts/a.gltf", inText(`[{"mesh":0}]`, "../../secret.bin", 36, 3), "leads out of the folder"},
		"from the root":        {"a.gltf", inText(`[{"mesh":0}]`, "/etc/passwd", 36, 3), "leads out of the folder"},
		"not there":            {"a.gltf", inText(`[{"mesh":0}]`, "b.bin", 36, 3), `"b.bin", which is not there`},
		"a picture's address":  {"a.gltf", change(`"buffers"`, `"images":[{"uri":"http://example.com/a.png"}],"buffers"`), "has an image 0 that lies at"},
		"packed":               {"a.gltf", change(`"scene":0`, `"extensionsRequired":["KHR_draco_mesh_compression"],"scene":0`), `"KHR_draco_mesh_compression", which is not read`},
		"an old version":       {"a.gltf", change("2.0", "1.0"), "glTF version"},
		"nodes in a loop":      {"a.gltf", change(`[{"mesh":0}]`, `[{"children":[1]},{"children":[0]}]`), "nodes are a tree"},
		"no such node":         {"a.gltf", change(`[{"mesh":0}]`, `[{"children":[7]}]`), "names the node 7"},
		"no such mesh":         {"a.gltf", change(`"mesh":0`, `"mesh":-1`), "names the mesh -1"},
		"a short matrix":       {"a.gltf", change(`"mesh":0`, `"mesh":0,"matrix":[1]`), "a matrix of 1 numbers, not 16"},
		"an empty scale":       {"a.gltf", change(`"mesh":0`, `"mesh":0,"scale":[]`), "a scale of 0 numbers, not 3"},
		"too many points":      {"a.gltf", change(`"count":3`, `"count":4000000000`), "leads out of its buffer"},
		"a negative offset":    {"a.gltf", change(`"byteLength":36}]`, `"byteLength":36,"byteOffset":-4}]`), "leads out of its buffer"},
		"a short buffer":       {"a.gltf", change(`"byteLength":36,"uri"`, `"byteLength":360,"uri"`), "says it has 360 bytes, and ends after 36"},
		"sparse":               {"a.gltf", change(`"type":"VEC3"`, `"type":"VEC3","sparse":{}`), "sparse"},
		"not finite":           {"a.glb", string(inBytes(inText(`[{"mesh":0}]`, "URI", 36, 3), nan)), "not finite"},
		"no JSON":              {"a.gltf", "{", "is no glTF file"},
		"truncated":            {"a.glb", string(binaryForm[:len(binaryForm)-7]), "says that it has"},
		"another binary":       {"a.glb", "glTX00000000000000", "does not begin as a binary glTF file does"},
		"deep":                 {"a.gltf", strings.Repeat("[", 100_000), "is no glTF file"},
		"no triangles":         {"a.gltf", change(`[{"mesh":0}]`, `[{}]`), "has no triangles"},
		"base64 that is none":  {"a.gltf", inText(`[{"mesh":0}]`, "data:;base64,!", 36, 3), "is no base64"},
		"a scene there is not": {"a.gltf", change(`"scene":0`, `"scene":4`), "names the scene 4"},
	} {
		beside := func(file string) ([]byte, error) {
			if strings.Contains(file, "secret") || strings.Contains(file, "passwd") {
				t.Errorf("%s: %s was opened", name, file)
			}
			return nil, errors.New("is not there")
		}
		if _, err := mesh.Read(test.file, []byte(test.text), beside); err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Whatever the bytes, a glTF file is refused or read, and names no file outside its folder.
func FuzzGLTF(f *testing.F) {
	data := points(turnedBody(rand.New(rand.NewPCG(1, 2)))[:40])
	text := inText(`[{"mesh":0,"rotation":[0,0,1,0],"children":[1]},{"mesh":0,"scale":[1,2,-3]}]`, "data:;base64,"+base64.StdEncoding.EncodeToString(data), len(data), 120)
	f.Add("a.gltf", []byte(text))
	f.Add("b/a.gltf", []byte(inText(`[{"mesh":0}]`, "../a.bin", len(data), 120)))
	f.Add("a.glb", inBytes(inText(`[{"mesh":0}]`, "URI", len(data), 120), data))
	f.Fuzz(func(t *testing.T, name string, file []byte) {
		if len(file) > 100_000 || !strings.HasSuffix(name, ".gltf") && !strings.HasSuffix(name, ".glb") || strings.HasPrefix(name, "/") || strings.Contains(name, "..") {
			return
		}
		m, err := mesh.Read(name, file, func(at string) ([]byte, error) {
			if strings.HasPrefix(at, "/") || strings.HasPrefix(at, "../") || strings.Contains(at, ":") {
				t.Fatalf("%q is asked for", at)
			}
			return data, nil
		})
		if err != nil {
			return
		}
		for _, triangle := range m.Triangles {
			for _, i := range triangle {
				if p := m.Points[i]; !(r3.Norm(p) < 1e7) {
					t.Fatalf("a corner is at %v", p)
				}
			}
		}
	})
}
