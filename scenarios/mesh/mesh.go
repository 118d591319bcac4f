// Package mesh reads the surfaces of bodies from STL, OBJ and glTF files, and finds capsules that hold them.
//
// STL: triangles in text or binary form (the format of 1989, from memory). OBJ: object files in text, of which vertices (v)
// and faces (f) are read, and where their colours lie (mtllib; from memory). glTF: see gltf.go.
package mesh

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"path"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bounds. A file that is larger shows more than anybody can see of an arm.
const (
	LargestFile   = 24 << 20
	LargestInAll  = 96 << 20 // the files of an arm's meshes together
	mostPoints    = 400_000
	mostTriangles = 3 * mostPoints
	farthest      = 1e6 // in the file's unit
)

// Mesh is a surface of triangles, in the file's unit.
type Mesh struct {
	Points    []r3.Vec
	Triangles [][3]int32
	Beside    []Named // the other files that it is in
}

// Named is a file that another names, by its path in the folder.
type Named struct {
	File string
	Skip bool // where it is not there the surface is without its colours
}

// Beside reads a file that another names, by its path in the folder. Its error goes on after the file's name.
type Beside func(file string) ([]byte, error)

// Read reads a file, whose kind its name tells, a path in its folder; beside, which may be nil, reads what it names there.
func Read(name string, data []byte, beside Beside) (*Mesh, error) {
	if len(data) > LargestFile {
		return nil, fmt.Errorf("is larger than %d MB", LargestFile>>20)
	}
	var m *Mesh
	var err error
	switch kind := strings.ToLower(path.Ext(name)); kind {
	case ".stl":
		m, err = readSTL(data)
	case ".obj":
		m, err = readOBJ(name, data)
	case ".gltf", ".glb":
		m, err = readGLTF(name, data, beside)
	default:
		return nil, fmt.Errorf("is of a kind that is not read (%s); save it as STL, OBJ or glTF beside it", kind)
	}
	if err == nil && len(m.Triangles) == 0 {
		err = errors.New("has no triangles")
	}
	if err != nil {
		return nil, err
	}
	return m, nil
}

const stlHead, stlFacet = 84, 50

func readSTL(data []byte) (*Mesh, error) {
	if bytes.HasPrefix(bytes.TrimSpace(data), []byte("solid")) && bytes.Contains(data[:min(len(data), 2000)], []byte("facet")) {
		return readTextSTL(data)
	}
	if len(data) < stlHead {
		return nil, fmt.Errorf("ends after %d bytes, within the head of a binary STL file", len(data))
	}
	count := int64(binary.LittleEndian.Uint32(data[80:]))
	if have := int64(len(data)-stlHead) / stlFacet; have < count {
		return nil, fmt.Errorf("says that it has %d triangles, and ends after %d", count, have)
	}
	var b builder
	for i := range count {
		facet := data[stlHead+i*stlFacet:]
		var corner [3]r3.Vec
		for k := range corner {
			at := func(n int) float64 {
				return float64(math.Float32frombits(binary.LittleEndian.Uint32(facet[12+12*k+4*n:])))
			}
			corner[k] = r3.Vec{X: at(0), Y: at(1), Z: at(2)}
		}
		if err := b.triangle(corner); err != nil {
			return nil, fmt.Errorf("triangle %d %w", i+1, err)
		}
	}
	return &b.Mesh, nil
}

func readTextSTL(data []byte) (*Mesh, error) {
	var b builder
	var corners []r3.Vec
	err := lines(data, func(words []string) error {
		switch words[0] {
		case "vertex":
			v, err := vector(words[1:])
			if err != nil {
				return err
			}
			corners = append(corners, v)
		case "endfacet":
			if len(corners) != 3 {
				return fmt.Errorf("ends a facet of %d corners, not 3", len(corners))
			}
			if err := b.triangle([3]r3.Vec(corners)); err != nil {
				return err
			}
			corners = corners[:0]
		}
		if len(corners) > 3 {
			return errors.New("is a fourth corner of a facet")
		}
		return nil
	})
	if err == nil && len(corners) > 0 {
		err = errors.New("ends within a facet")
	}
	return &b.Mesh, err
}

// mostLibraries is how many files of colours an OBJ file may name.
const mostLibraries = 8

func readOBJ(name string, data []byte) (*Mesh, error) {
	var m Mesh
	err := lines(data, func(words []string) error {
		switch words[0] {
		case "mtllib":
			if file, err := inFolder(path.Dir(name), strings.Join(words[1:], " ")); err == nil && len(m.Beside) < mostLibraries {
				m.Beside = append(m.Beside, Named{file, true})
			}
		case "v":
			v, err := vector(words[1:])
			if err != nil {
				return err
			}
			if m.Points = append(m.Points, v); len(m.Points) > mostPoints {
				return fmt.Errorf("is one of more than %d points", mostPoints)
			}
		case "f":
			var face []int32
			for _, word := range words[1:] {
				number, _, _ := strings.Cut(word, "/")
				n, err := strconv.Atoi(number)
				if n < 0 {
					n += len(m.Points) + 1 // counted back from the last
				}
				if err != nil || n < 1 || n > len(m.Points) {
					return fmt.Errorf("names the point %q; there are %d so far", word, len(m.Points))
				}
				face = append(face, int32(n-1))
			}
			if len(face) < 3 {
				return fmt.Errorf("is a face of %d points, not 3 or more", len(face))
			}
			for i := 2; i < len(face); i++ {
				m.Triangles = append(m.Triangles, [3]int32{face[0], face[i-1], face[i]})
			}
			if len(m.Triangles) > mostTriangles {
				return fmt.Errorf("is one of more than %d triangles", mostTriangles)
			}
		}
		return nil
	})
	return &m, err
}

// lines calls for every line of a text that has words.
func lines(data []byte, read func(words []string) error) error {
	scanner := bufio.NewScanner(bytes.NewReader(data))
	scanner.Buffer(nil, 64<<10)
	for n := 1; scanner.Scan(); n++ {
		if words := strings.Fields(scanner.Text()); len(words) > 0 && !strings.HasPrefix(words[0], "#") {
			if err := read(words); err != nil {
				return fmt.Errorf("line %d %w", n, err)
			}
		}
	}
	if scanner.Err() != nil {
		return errors.New("has a line of more than 64 KB, and is no text of this kind")
	}
	return nil
}

func vector(words []string) (v r3.Vec, err error) {
	if len(words) < 3 {
		return v, fmt.Errorf("has %d numbers, not 3", len(words))
	}
	var x [3]float64
	for i := range x {
		if x[i], err = strconv.ParseFloat(words[i], 64); err != nil || !(math.Abs(x[i]) <= farthest) {
			return v, fmt.Errorf("has %.30q for a number of sensible size", words[i])
		}
	}
	return r3.Vec{X: x[0], Y: x[1], Z: x[2]}, nil
}

// sensible tells points from what is not finite or lies beyond all that is.
func sensible(v r3.Vec) bool {
	return math.Abs(v.X) <= farthest && math.Abs(v.Y) <= farthest && math.Abs(v.Z) <= farthest
}

// builder makes one point of corners that are the same.
type builder struct {
	Mesh
	index map[r3.Vec]int32
}

func (b *builder) triangle(corners [3]r3.Vec) error {
	if b.index == nil {
		b.index = map[r3.Vec]int32{}
	}
	var t [3]int32
	for k, v := range corners {
		if !sensible(v) {
			return errors.New("has a corner whose numbers are not finite, or of no sensible size")
		}
		at, known := b.index[v]
		if !known {
			if at = int32(len(b.Points)); at == mostPoints {
				return fmt.Errorf("is beyond %d points", mostPoints)
			}
			b.index[v] = at
			b.Points = append(b.Points, v)
		}
		t[k] = at
	}
	b.Triangles = append(b.Triangles, t)
	return nil
}
