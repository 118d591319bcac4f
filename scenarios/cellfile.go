package scenarios

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"github.com/goccy/go-yaml/ast"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
)

const (
	mostThings     = 100
	mostTaskFrames = 40
)

// otherFrames have names of their own, which no task frame may take.
var otherFrames = []string{"joint", "joints", "base", "world", "tool", "task", "flange"}

// ReadCell reads the text of a cell file. The file's name is used for messages and for the cell's ID. The error is an
// Errors with everything that is wrong.
func ReadCell(file string, text []byte) (*Cell, error) {
	s, root, err := document(file, text)
	if err != nil {
		return nil, err
	}
	return s.cell(root)
}

func (s *source) cell(root ast.Node) (*Cell, error) {
	f := s.fields(root, "cell", cellRequired, cellOptional)
	c := &Cell{ID: fileID(s.file), Mount: kinematics.Identity}
	c.Name, _ = f.text("name", longestName)
	about, _ := f.prose("about", longestAbout)
	c.About = strings.TrimSpace(about)
	if n, given := f.values["mount"]; given {
		mount := s.fields(n, "mount", mountRequired, mountOptional)
		c.Mount = mount.pose()
		if n, given := mount.values["rail"]; given {
			mount.fields(n, "rail", railRequired, nil).rail(c)
		}
	}
	c.Things = f.things()
	c.Tasks = f.taskFrames()
	c.Tools = f.tools()
	if err := s.err(); err != nil {
		return nil, err
	}
	f.lookOver(c)
	return c, nil
}

// rail reads the rail that the mount is on, and brings the mount to where its carriage is.
func (f fields) rail(c *Cell) {
	along, ok := f.direction("along")
	ends, given := f.numbers("travel_mm", []string{"from", "to"}, largestLength)
	at, known := f.within("at_mm", largestLength)
	switch {
	case !ok || !given || !known:
		return
	case !(ends[0] < ends[1]):
		f.add(f.at("travel_mm"), "%s must be two places, the smaller first, not %v and %v", f.name("travel_mm"), ends[0], ends[1])
		return
	case at < ends[0] || at > ends[1]:
		f.add(f.at("at_mm"), "%s must be within the travel, from %v to %v, not %v", f.name("at_mm"), ends[0], ends[1], at)
		return
	}
	rail := Rail{Along: r3.Unit(along), From: ends[0], To: ends[1], At: at}
	c.Mount.Position = r3.Add(c.Mount.Position, r3.Scale(at, rail.Along))
	c.Rail = &rail
}

func (f fields) things() (things []clearance.Thing) {
	names := uniqueNames{}
	for i, n := range f.shortList("things", "things", mostThings) {
		thing := f.fields(n, fmt.Sprintf("thing %d", i+1), thingRequired, thingOptional)
		things = append(things, thing.thing(names))
	}
	return things
}

// thing reads one thing, whose shape is told by the sizes that are given.
func (f fields) thing(names uniqueNames) clearance.Thing {
	t := clearance.Thing{Name: names.read(f), Pose: f.pose()}
	_, box := f.values["box_mm"]
	_, round := f.values["radius_mm"]
	_, long := f.values["length_mm"]
	_, flat := f.values["facing"]
	switch {
	case box && !round && !long && !flat:
		t.Shape = f.box()
	case round && !box && !flat:
		radius, _ := f.positive("radius_mm", largestLength)
		length, _ := f.positive("length_mm", largestLength)
		t.Shape = clearance.Sphere{Radius: radius}
		if long {
			t.Shape = clearance.Cylinder{Radius: radius, Height: length}
		}
	case flat && !box && !round && !long:
		t.Shape = clearance.HalfSpace{}
		t.Pose.Rotation = f.facing()
	default:
		f.add(f.start, "%s must have one shape: box_mm for a box; radius_mm and length_mm for a cylinder along its Z; radius_mm alone for a sphere; "+
			"or facing for a floor or wall without end", f.what)
	}
	return t
}

func (f fields) box() clearance.Box {
	size, ok := f.vector("box_mm", largestLength)
	if smallest := min(size.X, size.Y, size.Z); ok && smallest <= 0 {
		f.add(f.at("box_mm"), "%s must be three lengths more than 0, not %v", f.name("box_mm"), smallest)
	}
	return clearance.Box{Size: size}
}

// facing reads the direction out of a floor or wall, and returns a rotation whose Z it is.
func (f fields) facing() kinematics.Rotation {
	if _, given := f.values["rotation_deg"]; given {
		f.add(f.at("rotation_deg"), "%s does not go with facing, which says it all", f.name("rotation_deg"))
	}
	out, ok := f.direction("facing")
	if !ok {
		return kinematics.NoRotation
	}
	z, x := r3.Unit(out), r3.Vec{X: 1}
	if math.Abs(z.X) > 0.9 {
		x = r3.Vec{Y: 1}
	}
	y := r3.Unit(r3.Cross(z, x))
	return kinematics.Rotation{X: r3.Cross(y, z), Y: y, Z: z}
}

func (f fields) taskFrames() (frames []jog.TaskFrame) {
	names := uniqueNames{}
	for i, n := range f.shortList("task_frames", "task frames", mostTaskFrames) {
		t := f.fields(n, fmt.Sprintf("task frame %d", i+1), taskRequired, placeOptional)
		frame := jog.TaskFrame{Name: names.read(t), Pose: t.pose()}
		switch {
		case frame.Name == "":
		case !isWord(frame.Name):
			t.add(t.at("name"), "%s must be one word of letters, digits and hyphens, such as %q, not %s",
				t.name("name"), "tile-stand", quoted(frame.Name))
		case slices.Contains(otherFrames, strings.ToLower(frame.Name)):
			t.add(t.at("name"), "%s must not be %q, which is another frame", t.name("name"), frame.Name)
		}
		frames = append(frames, frame)
	}
	return frames
}

// isWord tells a word of letters, digits and hyphens.
func isWord(name string) bool {
	return !strings.ContainsFunc(name, func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) && c != '-' })
}

// lookOver notes what is in the way of itself: a mount inside a thing, and two things in one place.
func (f fields) lookOver(c *Cell) {
	nodes := f.list("things")
	mount := kinematics.Capsule{From: c.Mount.Position, To: c.Mount.Position}
	for i, a := range c.Things {
		at := nodePlace(nodes[i])
		if depth := -clearance.Between(mount, a).Distance; depth > touching {
			c.note(f.source, at, "the mount is %.1f mm inside %s; the arm is bolted to a surface, not in it", depth, a.Name)
		}
		for _, b := range c.Things[:i] {
			if radius := clearance.Overlap(a, b); radius > touching {
				c.note(f.source, at, "%s and %s are in one place: a ball of %.1f mm radius fits into both", a.Name, b.Name, radius)
			}
		}
	}
}

// note adds to the cell's notes, of which there are at most as many as there may be problems.
func (c *Cell) note(s *source, at place, format string, args ...any) {
	if len(c.Notes) < mostProblems {
		c.Notes = append(c.Notes, s.problem(at, "note: "+format, args...))
	}
}

// looksLikeCell tells a cell by the fields that only a cell has.
func looksLikeCell(root ast.Node) bool { return hasField(root, "things", "mount", "task_frames") }
