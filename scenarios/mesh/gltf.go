package mesh

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"net/url"
	"path"
	"slices"
	"strings"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
)

// glTF 2.0 (Khronos, also ISO/IEC 12113:2022), of which the geometry is read: scenes, nodes with their places, and triangles. What is
// packed by an extension is refused; joints of a skin, animations and morph targets are passed over.

// document is a glTF file's JSON as far as it is needed.
type document struct {
	Asset struct {
		Version string `json:"version"`
	} `json:"asset"`
	Required []string `json:"extensionsRequired"`
	Scene    int      `json:"scene"`
	Scenes   []struct {
		Nodes []int `json:"nodes"`
	} `json:"scenes"`
	Nodes  []node `json:"nodes"`
	Meshes []struct {
		Primitives []primitive `json:"primitives"`
	} `json:"meshes"`
	Accessors []accessor `json:"accessors"`
	Views     []struct {
		Buffer int   `json:"buffer"`
		Offset int64 `json:"byteOffset"`
		Length int64 `json:"byteLength"`
		Stride int64 `json:"byteStride"`
	} `json:"bufferViews"`
	Buffers []resource `json:"buffers"`
	Images  []resource `json:"images"`
}

type node struct {
	Children    []int     `json:"children"`
	Mesh        *int      `json:"mesh"`
	Matrix      []float64 `json:"matrix"` // column by column
	Translation []float64 `json:"translation"`
	Rotation    []float64 `json:"rotation"` // x, y, z, w
	Scale       []float64 `json:"scale"`
}

type primitive struct {
	Attributes map[string]int `json:"attributes"`
	Indices    *int           `json:"indices"`
	Mode       *int           `json:"mode"` // 4, triangles, where it is not given
}

type accessor struct {
	View      *int            `json:"bufferView"`
	Offset    int64           `json:"byteOffset"`
	Count     int64           `json:"count"`
	Component int             `json:"componentType"`
	Type      string          `json:"type"`
	Sparse    json.RawMessage `json:"sparse"`
}

type resource struct {
	URI    string `json:"uri"`
	Length int64  `json:"byteLength"`
}

// The format's numbers: component types, ways to draw, and what begins the binary form and its chunks.
const (
	unsignedByte, unsignedShort, unsignedInt, float = 5121, 5123, 5125, 5126

	triangles, strip, fan = 4, 5, 6

	magic, jsonChunk, binaryChunk = 0x46546C67, 0x4E4F534A, 0x004E4942
)

// harmless are the extensions that may be required without changing where the triangles are.
var harmless = []string{"KHR_materials_", "KHR_texture_", "KHR_lights_", "EXT_texture_webp"}

// mostNodes bounds the walk through a file's nodes.
const mostNodes = 100_000

func readGLTF(name string, data []byte, beside Beside) (*Mesh, error) {
	var d document
	text, inside := data, []byte(nil)
	if len(data) >= 12 && binary.LittleEndian.Uint32(data) == magic {
		var err error
		if text, inside, err = chunks(data); err != nil {
			return nil, err
		}
	} else if path.Ext(strings.ToLower(name)) == ".glb" {
		return nil, errors.New("does not begin as a binary glTF file does")
	}
	if err := json.Unmarshal(text, &d); err != nil {
		return nil, fmt.Errorf("is no glTF file: %w", err)
	}
	if !strings.HasPrefix(d.Asset.Version, "2.") {
		return nil, fmt.Errorf("is of glTF version %.20q; 2.0 is read", d.Asset.Version)
	}
	for _, extension := range d.Required {
		if !slices.ContainsFunc(harmless, func(begins string) bool { return strings.HasPrefix(extension, begins) }) {
			return nil, fmt.Errorf("is packed by the extension %.60q, which is not read; save it without", extension)
		}
	}
	r := reader{document: d, buffers: make([][]byte, len(d.Buffers))}
	dir := path.Dir(name)
	var left int64 = LargestFile
	for i, b := range d.Buffers {
		var err error
		switch {
		case b.URI == "" && i == 0 && inside != nil:
			r.buffers[i] = inside
		case b.URI == "":
			return nil, fmt.Errorf("has a buffer %d that lies nowhere", i)
		default:
			r.buffers[i], err = r.resource(dir, b.URI, left, beside)
		}
		if err != nil {
			return nil, fmt.Errorf("has a buffer %d that %w", i, err)
		}
		if int64(len(r.buffers[i])) < b.Length {
			return nil, fmt.Errorf("has a buffer %d that says it has %d bytes, and ends after %d", i, b.Length, len(r.buffers[i]))
		}
		if left -= int64(len(r.buffers[i])); left < 0 {
			return nil, fmt.Errorf("has buffers of more than %d MB", LargestFile>>20)
		}
	}
	for i, image := range d.Images {
		if image.URI == "" || strings.HasPrefix(image.URI, "data:") {
			continue
		}
		file, err := inFolder(dir, image.URI)
		if err != nil {
			return nil, fmt.Errorf("has an image %d that %w", i, err)
		}
		r.Beside = append(r.Beside, Named{file, true})
	}
	if err := r.scene(); err != nil {
		return nil, err
	}
	return &r.Mesh, nil
}

// chunks parts the binary form.
func chunks(data []byte) (text, inside []byte, err error) {
	if version := binary.LittleEndian.Uint32(data[4:]); version != 2 {
		return nil, nil, fmt.Errorf("is of glTF version %d; 2 is read", version)
	}
	if length := binary.LittleEndian.Uint32(data[8:]); int64(length) > int64(len(data)) {
		return nil, nil, fmt.Errorf("says that it has %d bytes, and ends after %d", length, len(data))
	}
	for rest := data[12:]; len(rest) >= 8; {
		length, kind := int64(binary.LittleEndian.Uint32(rest)), binary.LittleEndian.Uint32(rest[4:])
		if rest = rest[8:]; length > int64(len(rest)) {
			return nil, nil, errors.New("ends within a chunk")
		}
		switch {
		case kind == jsonChunk && text == nil:
			text = rest[:length]
		case kind == binaryChunk && inside == nil:
			inside = rest[:length]
		}
		rest = rest[length:]
	}
	if text == nil {
		return nil, nil, errors.New("has no chunk of JSON")
	}
	return text, inside, nil
}

// inFolder is the path of a file that another in the folder dir names. Nothing that leads out is one, nor an address.
func inFolder(dir, uri string) (string, error) {
	at, err := url.PathUnescape(uri)
	if err != nil || strings.ContainsAny(at, ":\\?#") {
		return "", fmt.Errorf("lies at %.60q, which is no path; nothing is fetched: save it beside the file", uri)
	}
	at = path.Join(dir, at)
	if strings.HasPrefix(uri, "/") || !fs.ValidPath(at) || at == "." {
		return "", fmt.Errorf("lies at %.60q, which leads out of the folder", uri)
	}
	return at, nil
}

type reader struct {
	document
	Mesh
	buffers [][]byte
}

// resource returns the bytes that a URI holds or names beside the file.
func (r *reader) resource(dir, uri string, most int64, beside Beside) ([]byte, error) {
	if rest, is := strings.CutPrefix(uri, "data:"); is {
		_, packed, is := strings.Cut(rest, ";base64,")
		if !is {
			return nil, errors.New("is written into the file in another way than base64")
		}
		text, err := base64.StdEncoding.DecodeString(packed)
		if err != nil {
			return nil, errors.New("is no base64")
		}
		return text, nil
	}
	file, err := inFolder(dir, uri)
	if err != nil {
		return nil, err
	}
	if beside == nil {
		return nil, fmt.Errorf("lies in another file, %.60q", uri)
	}
	text, err := beside(file)
	if err != nil {
		return nil, fmt.Errorf("lies in %.60q, which %w", uri, err)
	}
	if int64(len(text)) > most {
		return nil, fmt.Errorf("is larger than %d MB", LargestFile>>20)
	}
	r.Beside = append(r.Beside, Named{file, false})
	return text, nil
}

// affine is a place that may be scaled and sheared: columns, and where the origin goes.
type affine struct{ x, y, z, at r3.Vec }

func (a *affine) apply(p r3.Vec) r3.Vec {
	return r3.Add(a.at, r3.Add(r3.Scale(p.X, a.x), r3.Add(r3.Scale(p.Y, a.y), r3.Scale(p.Z, a.z))))
}

func (a *affine) turn(v r3.Vec) r3.Vec { return r3.Sub(a.apply(v), a.at) }

func (n *node) place() (a affine, err error) {
	for _, list := range []struct {
		name  string
		given []float64
		count int
	}{{"matrix", n.Matrix, 16}, {"translation", n.Translation, 3}, {"rotation", n.Rotation, 4}, {"scale", n.Scale, 3}} {
		if list.given != nil && len(list.given) != list.count {
			return a, fmt.Errorf("has a %s of %d numbers, not %d", list.name, len(list.given), list.count)
		}
	}
	if m := n.Matrix; m != nil {
		return affine{r3.Vec{X: m[0], Y: m[1], Z: m[2]}, r3.Vec{X: m[4], Y: m[5], Z: m[6]}, r3.Vec{X: m[8], Y: m[9], Z: m[10]}, r3.Vec{X: m[12], Y: m[13], Z: m[14]}}, nil
	}
	size := r3.Vec{X: 1, Y: 1, Z: 1}
	if s := n.Scale; s != nil {
		size = r3.Vec{X: s[0], Y: s[1], Z: s[2]}
	}
	turn := r3.Rotation{Real: 1}
	if q := n.Rotation; q != nil {
		length := math.Sqrt(q[0]*q[0] + q[1]*q[1] + q[2]*q[2] + q[3]*q[3])
		if !(length > 1e-6) {
			return a, errors.New("has a rotation that is none")
		}
		turn = r3.Rotation(quat.Scale(1/length, quat.Number{Real: q[3], Imag: q[0], Jmag: q[1], Kmag: q[2]}))
	}
	a = affine{x: turn.Rotate(r3.Vec{X: size.X}), y: turn.Rotate(r3.Vec{Y: size.Y}), z: turn.Rotate(r3.Vec{Z: size.Z})}
	if t := n.Translation; t != nil {
		a.at = r3.Vec{X: t[0], Y: t[1], Z: t[2]}
	}
	return a, nil
}

// scene reads the triangles of all nodes of the file's scene, or of all that no other node carries where there is none.
func (r *reader) scene() error {
	var roots []int
	switch {
	case r.Scene >= 0 && r.Scene < len(r.Scenes):
		roots = r.Scenes[r.Scene].Nodes
	case len(r.Scenes) > 0 || r.Scene != 0:
		return fmt.Errorf("names the scene %d; there are %d", r.Scene, len(r.Scenes))
	default:
		carried := map[int]bool{}
		for i := range r.Nodes {
			for _, child := range r.Nodes[i].Children {
				carried[child] = true
			}
		}
		for i := range r.Nodes {
			if !carried[i] {
				roots = append(roots, i)
			}
		}
	}
	if len(r.Nodes) > mostNodes {
		return fmt.Errorf("has %d nodes, more than %d", len(r.Nodes), mostNodes)
	}
	type step struct {
		node int
		in   affine
	}
	whole := affine{x: r3.Vec{X: 1}, y: r3.Vec{Y: 1}, z: r3.Vec{Z: 1}}
	var left []step
	for _, i := range roots {
		left = append(left, step{i, whole})
	}
	seen := map[int]bool{}
	for len(left) > 0 {
		now := left[len(left)-1]
		left = left[:len(left)-1]
		if now.node < 0 || now.node >= len(r.Nodes) {
			return fmt.Errorf("names the node %d; there are %d", now.node, len(r.Nodes))
		}
		if seen[now.node] {
			return fmt.Errorf("leads to node %d in two ways; nodes are a tree", now.node)
		}
		seen[now.node] = true
		n := &r.Nodes[now.node]
		own, err := n.place()
		if err != nil {
			return fmt.Errorf("has a node %d that %w", now.node, err)
		}
		at := affine{now.in.turn(own.x), now.in.turn(own.y), now.in.turn(own.z), now.in.apply(own.at)}
		if n.Mesh != nil {
			if err := r.meshOf(*n.Mesh, &at); err != nil {
				return err
			}
		}
		for _, child := range n.Children {
			left = append(left, step{child, at})
		}
	}
	return nil
}

func (r *reader) meshOf(number int, at *affine) error {
	if number < 0 || number >= len(r.Meshes) {
		return fmt.Errorf("names the mesh %d; there are %d", number, len(r.Meshes))
	}
	for i := range r.Meshes[number].Primitives {
		if err := r.primitive(&r.Meshes[number].Primitives[i], at); err != nil {
			return fmt.Errorf("has a mesh %d that %w", number, err)
		}
	}
	return nil
}

func (r *reader) primitive(p *primitive, at *affine) error {
	mode := triangles
	if p.Mode != nil {
		mode = *p.Mode
	}
	if mode < triangles { // points and lines
		return nil
	}
	if mode > fan {
		return fmt.Errorf("is drawn in a way %d that there is not", mode)
	}
	position, has := p.Attributes["POSITION"]
	if !has {
		return errors.New("has no POSITION")
	}
	first := int32(len(r.Points))
	count := int64(0)
	if err := r.each(position, "VEC3", []int{float}, func(c []float64) error {
		v := at.apply(r3.Vec{X: c[0], Y: c[1], Z: c[2]})
		if !sensible(v) {
			return errors.New("has a point whose numbers are not finite, or of no sensible size")
		}
		if r.Points = append(r.Points, v); len(r.Points) > mostPoints {
			return fmt.Errorf("has more than %d points", mostPoints)
		}
		count++
		return nil
	}); err != nil {
		return err
	}
	var corners []int32
	add := func(i int64) error {
		if i >= count {
			return fmt.Errorf("names the point %d; there are %d", i, count)
		}
		if corners = append(corners, first+int32(i)); len(corners) > 3*mostTriangles {
			return fmt.Errorf("has more than %d triangles", mostTriangles)
		}
		return nil
	}
	if p.Indices == nil {
		for i := range count {
			if err := add(i); err != nil {
				return err
			}
		}
	} else if err := r.each(*p.Indices, "SCALAR", []int{unsignedByte, unsignedShort, unsignedInt}, func(c []float64) error { return add(int64(c[0])) }); err != nil {
		return err
	}
	switch mode {
	case triangles:
		if len(corners)%3 != 0 {
			return fmt.Errorf("has %d corners, which make no triangles", len(corners))
		}
		for i := 0; i < len(corners); i += 3 {
			r.Triangles = append(r.Triangles, [3]int32(corners[i:i+3]))
		}
	case strip:
		for i := 2; i < len(corners); i++ {
			r.Triangles = append(r.Triangles, [3]int32{corners[i-2], corners[i-1], corners[i]})
		}
	case fan:
		for i := 2; i < len(corners); i++ {
			r.Triangles = append(r.Triangles, [3]int32{corners[0], corners[i-1], corners[i]})
		}
	}
	if len(r.Triangles) > mostTriangles {
		return fmt.Errorf("has more than %d triangles", mostTriangles)
	}
	return nil
}

// each reads the numbers of an accessor one after the other.
func (r *reader) each(number int, kind string, components []int, read func([]float64) error) error {
	if number < 0 || number >= len(r.Accessors) {
		return fmt.Errorf("names the accessor %d; there are %d", number, len(r.Accessors))
	}
	a := &r.Accessors[number]
	switch {
	case a.Type != kind || !slices.Contains(components, a.Component):
		return fmt.Errorf("has numbers in accessor %d of another kind (%.10q, %d) than is read", number, a.Type, a.Component)
	case len(a.Sparse) > 0 && !bytes.Equal(a.Sparse, []byte("null")):
		return fmt.Errorf("has a sparse accessor %d, which is not read", number)
	case a.View == nil || *a.View < 0 || *a.View >= len(r.Views):
		return fmt.Errorf("has an accessor %d that has no numbers", number)
	}
	view := &r.Views[*a.View]
	if view.Buffer < 0 || view.Buffer >= len(r.buffers) {
		return fmt.Errorf("names the buffer %d; there are %d", view.Buffer, len(r.buffers))
	}
	buffer := r.buffers[view.Buffer]
	size := int64(4)
	switch a.Component {
	case unsignedByte:
		size = 1
	case unsignedShort:
		size = 2
	}
	width := 1
	if kind == "VEC3" {
		width = 3
	}
	stride := view.Stride
	if stride == 0 {
		stride = size * int64(width)
	}
	whole := int64(len(buffer))
	if view.Offset < 0 || view.Length < 0 || view.Offset > whole || view.Length > whole-view.Offset ||
		a.Offset < 0 || a.Count < 1 || stride < size*int64(width) || stride > 252+size*3 || a.Count > view.Length || a.Offset > view.Length ||
		a.Offset+(a.Count-1)*stride+size*int64(width) > view.Length {
		return fmt.Errorf("has an accessor %d that leads out of its buffer", number)
	}
	numbers := make([]float64, width)
	at := buffer[view.Offset+a.Offset:]
	for i := range a.Count {
		for k := range numbers {
			c := at[i*stride+int64(k)*size:]
			switch a.Component {
			case unsignedByte:
				numbers[k] = float64(c[0])
			case unsignedShort:
				numbers[k] = float64(binary.LittleEndian.Uint16(c))
			case unsignedInt:
				numbers[k] = float64(binary.LittleEndian.Uint32(c))
			default:
				numbers[k] = float64(math.Float32frombits(binary.LittleEndian.Uint32(c)))
			}
		}
		if err := read(numbers); err != nil {
			return err
		}
	}
	return nil
}
