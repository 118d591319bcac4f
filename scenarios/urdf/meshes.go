package urdf

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/files"
	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
	"handrule/scenarios/mesh"
)

// mostMeshes is how many a file may name.
const mostMeshes = 100

// readMeshes finds capsules that hold the meshes of the arm's links, where there is a folder to read them from. Nothing else is opened.
func (m *maker) readMeshes() {
	if m.o.Meshes == nil {
		return
	}
	type known struct {
		held  []kinematics.Capsule
		stand float64
	}
	read := map[string]known{}
	for number := range 7 {
		for _, l := range m.carried(number) {
			for i := range l.shapes {
				s := &l.shapes[i]
				if s.kind != "mesh" {
					continue
				}
				scale, ok := m.meshScale(s.mesh)
				if !ok {
					continue
				}
				key := s.mesh.given["filename"] + " " + s.mesh.given["scale"]
				k, is := read[key]
				if !is {
					surface, _, err := m.surface(s.mesh)
					if err == nil {
						k.held, k.stand, err = hold(surface, scale)
					}
					if errors.Is(err, errMeshes) {
						m.add(s.mesh, "%v", err)
						return
					}
					if err != nil && m.o.Chosen {
						m.leftOut(s.mesh, err)
						continue
					}
					if err != nil {
						m.add(s.mesh, "names the mesh %s, which %v", form.Quoted(s.mesh.given["filename"]), err)
						continue
					}
					read[key] = k
				}
				s.held, s.stand = k.held, k.stand
			}
		}
	}
	m.read = len(read) > 0
}

// meshScale is how many mm a unit of a mesh is along its axes.
func (m *maker) meshScale(e *element) (r3.Vec, bool) {
	if _, given := e.given["scale"]; !given {
		return r3.Vec{X: mm, Y: mm, Z: mm}, true
	}
	v, ok := m.numbers(e, "scale", 3, mm, 1e4*mm)
	if !ok {
		return r3.Vec{}, false
	}
	return r3.Vec{X: v[0], Y: v[1], Z: v[2]}, true
}

var errMissing = errors.New("is not in the folder of meshes")

var errMeshes = fmt.Errorf("is one of more meshes than an arm needs: %d files, %d MB together", mostMeshes, mesh.LargestInAll>>20)

// surface reads the mesh that an element names, and returns its path in the folder.
func (m *maker) surface(e *element) (*mesh.Mesh, string, error) {
	named := e.given["filename"]
	if known, is := m.surfaces[named]; is {
		return known.Mesh, known.file, nil
	}
	if len(m.surfaces) == mostMeshes {
		return nil, "", errMeshes
	}
	file, err := m.meshFile(named)
	if err != nil {
		return nil, "", err
	}
	if m.o.Reading != nil {
		m.o.Reading(file)
	}
	text, err := m.inFolder(file)
	if err != nil {
		return nil, "", err
	}
	surface, err := mesh.Read(file, text, m.inFolder)
	if err != nil {
		return nil, "", err
	}
	m.surfaces[named] = surfaceFile{surface, file}
	return surface, file, nil
}

// surfaceFile is a surface that was read, and its path in the folder.
type surfaceFile struct {
	*mesh.Mesh
	file string
}

// inFolder reads a file of the folder of meshes.
func (m *maker) inFolder(name string) ([]byte, error) {
	text, err := files.ReadIn(m.o.Meshes, name, mesh.LargestFile)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, errMissing
	}
	if m.meshBytes += len(text); m.meshBytes > mesh.LargestInAll {
		return nil, errMeshes
	}
	return text, readable(err)
}

// drawMeshes returns what is drawn of the arm and its tools: the meshes that the file draws their links with.
func (m *maker) drawMeshes(arm *armfile.Arm) (drawn []armfile.Mesh) {
	if m.o.Meshes == nil {
		return nil
	}
	inFlange, farthest, where := m.flange.Inverse(), 0.0, ""
	add := func(l *link, number int, tool string, at kinematics.Pose, body []kinematics.Capsule) {
		for _, s := range l.drawn {
			scale, ok := m.meshScale(s.mesh)
			if !ok {
				continue
			}
			surface, file, err := m.surface(s.mesh)
			if err != nil { // It can touch by other shapes.
				if m.o.Chosen {
					m.leftOut(s.mesh, err)
				} else {
					m.note("note: not drawn: the mesh %s on line %d %v", form.Quoted(s.mesh.given["filename"]), s.mesh.at.Line, err)
				}
				continue
			}
			place := at.Mul(s.pose)
			drawn = append(drawn, armfile.Mesh{Link: number, Tool: tool, File: path.Join(m.o.MeshPath, file), At: place, Scale: scale, Colour: s.colour})
			held := kinematics.OfLink(body, number)
			if len(held) == 0 {
				continue
			}
			if off := surface.Placed(place, scale).Beyond(held); off > farthest {
				farthest, where = off, fmt.Sprintf("link %s, %s", form.Quoted(l.name), form.Quoted(file))
			}
		}
	}
	for number := range 7 {
		for _, l := range m.carried(number) {
			if _, beyond := wayTo(m.chain.flange, l); number == 6 && beyond && l != m.chain.flange {
				continue
			}
			add(l, number, "", m.at[l], arm.Body)
		}
	}
	for _, l := range fixedTo(m.chain.flange)[1:] {
		for _, t := range arm.Tools {
			if m.toolLinks[l] == t.Name {
				way, _ := wayTo(m.chain.flange, l)
				for _, j := range way {
					add(j.child, 6, t.Name, inFlange.Mul(m.at[j.child]), t.Body)
				}
			}
		}
	}
	switch {
	case len(drawn) == 0:
	case m.o.MeshPath == "":
		m.note("note: the meshes are not drawn, because their folder does not lie beside the arm file or below; write the arm file there")
		return nil
	default:
		from := "the folder " + form.Quoted(m.o.MeshPath) + " beside the arm file"
		if m.o.MeshPath == "." {
			from = "the arm file's own folder"
		}
		m.note("meshes that are drawn: %d, from %s; keep them there", len(drawn), from)
	}
	if farthest >= 0.05 {
		m.note("note: what is drawn reaches up to %s mm beyond the bodies that can touch: %s", form.Decimal(math.Ceil(farthest*10)/10), where)
	}
	return drawn
}

// meshFile finds the file that a mesh names. package://NAME/rest is NAME/rest in the folder, or rest where that is not there; so is a path
// that begins above the file, ../rest; among files that were chosen by hand, maybe without their folder, it is also one of its name.
func (m *maker) meshFile(named string) (file string, err error) {
	at := strings.ReplaceAll(named, "\\", "/")
	rest := path.Clean(at)
	for strings.HasPrefix(rest, "../") {
		rest = rest[len("../"):]
	}
	if after, is := strings.CutPrefix(at, "package://"); is {
		at = after
		_, rest, _ = strings.Cut(after, "/")
	} else if strings.Contains(at, "://") {
		return "", errors.New("is an address; nothing is fetched: save it in the folder, and name it package:// or by its path there")
	}
	inside := false
	for i, name := range []string{at, rest, path.Base(at)} {
		if i == 2 && !m.o.Chosen {
			continue
		}
		if name = path.Clean(name); !fs.ValidPath(name) || name == "." {
			continue
		}
		inside = true
		if _, err := fs.Stat(m.o.Meshes, name); !errors.Is(err, fs.ErrNotExist) {
			return name, nil
		}
	}
	if !inside {
		return "", errors.New("leads out of the folder of meshes")
	}
	return "", errMissing
}

// leftOut tells of a mesh that can neither be drawn nor held in a body, where files were chosen by hand.
func (m *maker) leftOut(e *element, err error) {
	if slices.Contains(m.told, e) {
		return
	}
	m.told = append(m.told, e)
	named := form.Quoted(e.given["filename"])
	switch {
	case !errors.Is(err, errMissing):
		m.note("note: left out: the mesh %s on line %d %v", named, e.at.Line, err)
	case !slices.Contains(m.missing, named):
		m.missing = append(m.missing, named)
	}
}

// tellMissing names the meshes that were not chosen together with the file.
func (m *maker) tellMissing() {
	if len(m.missing) > 0 {
		m.note("note: meshes that the file names and that were not chosen with it: %s", shortList(m.missing))
	}
}

func readable(err error) error {
	if err == nil {
		return nil
	}
	return errors.New("cannot be read: " + form.WithoutPath(err).Error())
}

// mostOfMesh is how many capsules may hold one mesh.
const mostOfMesh = 3

// hold returns capsules that hold a mesh, so many mm to its unit, and how far they stand off it.
func hold(surface *mesh.Mesh, scale r3.Vec) ([]kinematics.Capsule, float64, error) {
	surface = surface.Placed(kinematics.Identity, scale)
	for _, p := range surface.Points {
		if !(r3.Norm(p) <= form.LargestLength) {
			return nil, 0, errors.New("is larger than any arm; lengths are metres here, and scale=\"0.001 0.001 0.001\" makes millimetres so")
		}
	}
	held := surface.Hold(mostOfMesh)
	for _, c := range held {
		if !(c.Radius > 0) || math.IsInf(c.Radius, 0) {
			return nil, 0, errors.New("has no size")
		}
	}
	return held, surface.StandOff(held), nil
}
