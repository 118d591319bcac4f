package cellfile

import (
	"math"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
)

// The form of a cell file.
type (
	cellForm struct {
		form.Block
		Version form.Version       `field:"version" about:"Of this form: 1, which it is where nothing is said."`
		Name    form.Name          `field:"name,required" about:"What the cell is called."`
		About   form.Paragraph     `field:"about" about:"A sentence or two for the person who chooses it."`
		Mount   *mountForm         `field:"mount" about:"The surface the arm is bolted to, in the world frame. Its Z points into the arm."`
		Things  []thingForm        `field:"things,required" least:"0" most:"100" entry:"thing" about:"What stands around the arm, in the world frame."`
		Tasks   []taskForm         `field:"task_frames" least:"0" most:"40" entry:"task frame" about:"Named frames to jog in, in the world frame."`
		Tools   []armfile.ToolForm `field:"tools" least:"0" most:"40" entry:"tool" about:"Tools beside those of the arm."`
	}
	mountForm struct {
		form.Block
		placeForm
		Rail *railForm `field:"rail" about:"The arm stands on the carriage of a rail; the mount is where that is at 0."`
	}
	railForm struct {
		form.Block
		Along  r3.Vec      `field:"along,required" about:"The direction in which the carriage moves, in the world frame."`
		Travel travel      `field:"travel_mm,required" about:"From where to where along it the carriage can be, mm."`
		At     form.Length `field:"at_mm,required" about:"Where it is, mm."`
	}
	placeForm struct {
		At       r3.Vec               `field:"at_mm,required" about:"x, y, z in mm."`
		Rotation *kinematics.Rotation `field:"rotation_deg" about:"Fixed X-Y-Z angles, degrees."`
	}
	thingForm struct {
		form.Block
		Name form.Name `field:"name,required" about:"What it is called."`
		placeForm
		Box    r3.Vec         `field:"box_mm" positive:"true" about:"A box about its middle: its lengths along x, y and z, mm."`
		Radius form.Tolerance `field:"radius_mm" about:"Alone the radius of a sphere, with length_mm that of a cylinder along its Z, mm."`
		Length form.Tolerance `field:"length_mm" about:"The length of a cylinder about its middle, mm."`
		Facing r3.Vec         `field:"facing" about:"A floor or wall without end through this place: the direction it faces."`
	}
	taskForm struct {
		form.Block
		Name form.Name `field:"name,required" pattern:"^\\S+$" about:"One word, such as tile-stand."`
		placeForm
	}
	travel [2]float64 // mm
)

// SchemaRules let an editor refuse a thing of two shapes, or of none.
func (thingForm) SchemaRules() form.Object {
	rules := form.NotTogether([2]string{"box_mm", "radius_mm"}, [2]string{"box_mm", "length_mm"}, [2]string{"box_mm", "facing"},
		[2]string{"facing", "radius_mm"}, [2]string{"facing", "length_mm"}, [2]string{"facing", "rotation_deg"})
	rules["anyOf"] = []form.Object{{"required": []string{"box_mm"}}, {"required": []string{"radius_mm"}}, {"required": []string{"facing"}}}
	return rules
}

func init() {
	form.AddNumbers([]string{"from", "to"}, form.LargestLength, func(mm []float64) travel { return travel(mm) })
}

func (f *placeForm) pose() kinematics.Pose {
	return kinematics.Pose{Position: f.At, Rotation: form.RotationOrNone(f.Rotation)}
}

// otherFrames have names of their own, which no task frame may take.
var otherFrames = []string{"joint", "joints", "base", "world", "tool", "task", "flange"}

// Parse reads the text of a cell file. The file's name is used for messages and for the cell's ID. The error is an
// Errors with everything that is wrong.
func Parse(file string, text []byte) (*Cell, error) {
	s, root, err := form.Document(file, text)
	if err != nil {
		return nil, err
	}
	return Of(s, root)
}

// Of reads the cell that is a document's root, or a part of a lesson.
func Of(s *form.Source, root ast.Node) (*Cell, error) {
	var f cellForm
	s.Read(root, "cell", &f)
	c := &Cell{ID: form.FileID(s.File), Name: string(f.Name), About: string(f.About), Mount: kinematics.Identity}
	if f.Mount != nil {
		c.Mount = f.Mount.pose()
		if f.Mount.Rail != nil {
			f.Mount.Rail.mount(c)
		}
	}
	names := form.UniqueNames{}
	for i := range f.Things {
		c.Things = append(c.Things, f.Things[i].thing(names))
	}
	c.Tasks = taskFramesOf(f.Tasks)
	c.Tools = armfile.ToolsOf(f.Tools)
	if err := s.Err(); err != nil {
		return nil, err
	}
	f.lookOver(c)
	return c, nil
}

// mount puts the cell's mount on the rail, where its carriage is.
func (f *railForm) mount(c *Cell) {
	from, to, at := f.Travel[0], f.Travel[1], float64(f.At)
	switch {
	case !f.Direction("along", f.Along) || !f.Has("travel_mm") || !f.Has("at_mm"):
		return
	case !(from < to):
		f.Add("travel_mm", "must be two places, the smaller first, not %v and %v", from, to)
		return
	case at < from || at > to:
		f.Add("at_mm", "must be within the travel, from %v to %v, not %v", from, to, at)
		return
	}
	c.Rail = &Rail{Along: r3.Unit(f.Along), From: from, To: to, At: at}
	c.Mount.Position = r3.Add(c.Mount.Position, r3.Scale(at, c.Rail.Along))
}

// thing returns a thing, whose shape is told by the sizes that are given.
func (f *thingForm) thing(names form.UniqueNames) clearance.Thing {
	names.Check(&f.Block, f.Name)
	t := clearance.Thing{Name: string(f.Name), Pose: f.pose()}
	box, round, long, flat := f.Given("box_mm"), f.Given("radius_mm"), f.Given("length_mm"), f.Given("facing")
	switch {
	case box && !round && !long && !flat:
		if smallest := min(f.Box.X, f.Box.Y, f.Box.Z); f.Has("box_mm") && smallest <= 0 {
			f.Add("box_mm", "must be three lengths more than 0, not %v", smallest)
		}
		t.Shape = clearance.Box{Size: f.Box}
	case round && !box && !flat:
		t.Shape = clearance.Sphere{Radius: float64(f.Radius)}
		if long {
			t.Shape = clearance.Cylinder{Radius: float64(f.Radius), Height: float64(f.Length)}
		}
	case flat && !box && !round && !long:
		t.Shape = clearance.HalfSpace{}
		t.Pose.Rotation = f.facing()
	default:
		f.Add("", "must have one shape: box_mm for a box; radius_mm and length_mm for a cylinder along its Z; radius_mm alone for a sphere; "+
			"or facing for a floor or wall without end")
	}
	return t
}

// facing returns a rotation whose Z is the direction out of a floor or wall.
func (f *thingForm) facing() kinematics.Rotation {
	if f.Given("rotation_deg") {
		f.Add("rotation_deg", "does not go with facing, which says it all")
	}
	if !f.Direction("facing", f.Facing) {
		return kinematics.NoRotation
	}
	z, x := r3.Unit(f.Facing), r3.Vec{X: 1}
	if math.Abs(z.X) > 0.9 {
		x = r3.Vec{Y: 1}
	}
	y := r3.Unit(r3.Cross(z, x))
	return kinematics.Rotation{X: r3.Cross(y, z), Y: y, Z: z}
}

func taskFramesOf(list []taskForm) (frames []jog.TaskFrame) {
	names := form.UniqueNames{}
	for i := range list {
		f := &list[i]
		names.Check(&f.Block, f.Name)
		switch name := string(f.Name); {
		case name == "":
		case !form.IsWord(name):
			f.Add("name", "must be one word of letters, digits and hyphens, such as %q, not %s", "tile-stand", form.Quoted(name))
		case slices.Contains(otherFrames, strings.ToLower(name)):
			f.Add("name", "must not be %q, which is another frame", name)
		}
		frames = append(frames, jog.TaskFrame{Name: string(f.Name), Pose: f.pose()})
	}
	return frames
}

// GoodTaskName reports whether a task frame may have that name.
func GoodTaskName(name string) bool {
	return form.IsWord(name) && !slices.Contains(otherFrames, strings.ToLower(name))
}

// lookOver notes what is in the way of itself: a mount inside a thing, and two things in one place.
func (f *cellForm) lookOver(c *Cell) {
	note := func(at *form.Block, format string, args ...any) {
		if len(c.Notes) < form.MostProblems { // at most as many as there may be problems
			c.Notes = append(c.Notes, at.Note(format, args...))
		}
	}
	mount := kinematics.Capsule{From: c.Mount.Position, To: c.Mount.Position}
	for i, a := range c.Things {
		at := &f.Things[i].Block
		if depth := -clearance.Between(mount, a).Distance; depth > mostOverlap {
			note(at, "the mount is %.1f mm inside %s; the arm is bolted to a surface, not in it", depth, a.Name)
		}
		for _, b := range c.Things[:i] {
			if radius := clearance.Overlap(a, b); radius > mostOverlap {
				note(at, "%s and %s are in one place: a ball of %.1f mm radius fits into both", a.Name, b.Name, radius)
			}
		}
	}
}

// Schema describes cell files.
func Schema() form.Object { return form.SchemaOf[cellForm]() }
