package armfile

import (
	"strings"

	"github.com/goccy/go-yaml/ast"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/form"
)

// The form of an arm file.
type (
	armForm struct {
		form.Block
		Version form.Version   `field:"version" about:"Of this form: 1, which it is where nothing is said."`
		Name    form.Name      `field:"name,required" about:"What the arm is called."`
		About   form.Paragraph `field:"about" about:"A sentence or two for the person who chooses it."`
		Mount   form.Length    `field:"mount_height_mm,required" about:"The base frame's origin above the mounting surface, mm."`
		Joints  []jointForm    `field:"joints,required" least:"6" most:"6" exactly:"an arm has exactly six joints" about:"Exactly six joints, from the base, each measured in the base frame at one pose of the arm: the zero pose, or the one whose reads_deg are given."`
		Flange  flangeForm     `field:"flange,required" about:"The flange at the pose of the measurement, in the base frame. Its Z points out of the flange."`
		Body    []linkCapsule  `field:"body" least:"0" most:"200" entry:"body, capsule" about:"Cylinders with round ends at the pose of the measurement: what is drawn and what can touch."`
		Tools   []ToolForm     `field:"tools" least:"0" most:"40" entry:"tool" about:"What the flange can carry. The first is mounted at the start."`
		Meshes  []meshForm     `field:"meshes" least:"0" most:"100" entry:"mesh" about:"Surfaces that are drawn instead of the bodies, from files beside this one. What can touch is the bodies all the same."`
	}
	jointForm struct {
		form.Block
		Name   form.Name  `field:"name,required" about:"What the joint is called, such as J1."`
		At     r3.Vec     `field:"at_mm,required" about:"Any point on the joint's axis: x, y, z in mm."`
		Axis   r3.Vec     `field:"axis,required" about:"The direction of the axis, about which plus on the arm's own display turns by the right-hand rule: counterclockwise seen against it. It need not have length 1."`
		Reads  form.Angle `field:"reads_deg" about:"What the arm's own display shows for the joint where it was measured, degrees. 0, the zero pose, where nothing is said."`
		Limits limits     `field:"limits_deg,required" about:"The lower and the upper limit as the arm's own display shows them, degrees. Zero need not lie between them."`
		Speed  jointSpeed `field:"speed_deg_s,required" about:"The highest speed, degrees/s."`
		Accel  jointAccel `field:"accel_deg_s2" about:"The highest acceleration, degrees/s²."`
	}
	flangeForm struct {
		form.Block
		At       r3.Vec              `field:"at_mm,required" about:"Its middle: x, y, z in mm."`
		Rotation kinematics.Rotation `field:"rotation_deg,required" about:"Fixed X-Y-Z angles, degrees."`
	}
	linkCapsule struct {
		form.Block
		Link linkNumber `field:"link,required" about:"The link it belongs to, 0 (the base) to 6 (the flange)."`
		capsuleEnds
	}
	flangeCapsule struct {
		form.Block
		capsuleEnds
	}
	capsuleEnds struct {
		From   r3.Vec         `field:"from_mm,required" about:"The middle of one round end: x, y, z in mm."`
		To     r3.Vec         `field:"to_mm,required" about:"The middle of the other: x, y, z in mm."`
		Radius form.Tolerance `field:"radius_mm,required" about:"The radius, mm."`
	}
)

// ToolForm is the form of a tool, which an arm or a cell may have.
type ToolForm struct {
	form.Block
	Name     form.Name            `field:"name,required" about:"What the tool is called."`
	TCP      r3.Vec               `field:"tcp_mm,required" about:"The tool centre point in the flange's frame: x, y, z in mm."`
	Rotation *kinematics.Rotation `field:"rotation_deg" about:"The tool frame in the flange's frame: fixed X-Y-Z angles, degrees."`
	Body     []flangeCapsule      `field:"body" least:"0" most:"200" entry:"body, capsule" about:"Cylinders with round ends, in the flange's frame."`
}

// The types of an arm's fields that no other file has.
type (
	limits     [2]float64 // degrees
	jointSpeed float64    // rad/s
	jointAccel float64    // rad/s²
	linkNumber int        // 0 to 6
)

// How quick a joint of a file may be at most: far beyond any arm.
const (
	largestSpeed = 3600 // degrees/s
	largestAccel = 1e5  // degrees/s²
)

func init() {
	form.AddNumbers([]string{"lower", "upper"}, form.LargestAngle, func(deg []float64) limits { return limits(deg) })
	form.AddAbove[jointSpeed](largestSpeed, form.PerDegree)
	form.AddAbove[jointAccel](largestAccel, form.PerDegree)
	form.AddWhole[linkNumber](0, 6, "from 0 (the base) to 6 (the flange)")
}

// Parse reads the text of an arm file. The file's name is used for messages and for the arm's ID. The error is
// an Errors with everything that is wrong.
func Parse(file string, text []byte) (*Arm, error) { return ParseLooking(file, text, nil) }

// ParseLooking does the same; look, which may be nil, looks at the files of its meshes.
func ParseLooking(file string, text []byte, look Look) (*Arm, error) {
	s, root, err := form.Document(file, text)
	if err != nil {
		return nil, err
	}
	return Of(s, root, look)
}

// Of reads the arm that is a document's root, likewise.
func Of(s *form.Source, root ast.Node, look Look) (*Arm, error) {
	var f armForm
	s.Read(root, "arm", &f)
	arm := &Arm{ID: form.FileID(s.File), Name: string(f.Name), About: string(f.About), MountHeight: float64(f.Mount)}
	var joints [6]kinematics.Joint
	names := form.UniqueNames{}
	for i := range f.Joints {
		joints[i] = f.Joints[i].joint(names)
	}
	for _, c := range f.Body {
		arm.Body = append(arm.Body, c.capsule(int(c.Link)))
	}
	arm.Tools = ToolsOf(f.Tools)
	arm.Meshes, arm.Files = meshes(f.Meshes, arm.Tools, look)
	if err := s.Err(); err != nil {
		return nil, err
	}
	geometry, err := kinematics.New(joints, kinematics.Pose{Position: f.Flange.At, Rotation: f.Flange.Rotation})
	if err != nil {
		f.Tell("joints", "%v", err)
		return nil, s.Err()
	}
	if why := geometry.AlwaysSingular(); why != "" {
		f.Tell("joints", "the arm is singular in every pose: %s", why)
		return nil, s.Err()
	}
	arm.Geometry = geometry
	return arm, nil
}

func (f *jointForm) joint(names form.UniqueNames) kinematics.Joint {
	names.Check(&f.Block, f.Name)
	f.Direction("axis", f.Axis)
	if lower, upper := f.Limits[0], f.Limits[1]; f.Has("limits_deg") {
		switch {
		case lower > upper:
			f.Add("limits_deg", "are the wrong way round; write [%v, %v]", upper, lower)
		case lower == upper:
			f.Add("limits_deg", "leave the joint no way to go; the lower must be less than the upper")
		}
	}
	return kinematics.Joint{
		Name: string(f.Name), Measured: float64(f.Reads), At: f.At, Axis: f.Axis, Min: kinematics.Radians(f.Limits[0]), Max: kinematics.Radians(f.Limits[1]),
		Speed: float64(f.Speed), Accel: float64(f.Accel),
	}
}

func (c *capsuleEnds) capsule(link int) kinematics.Capsule {
	return kinematics.Capsule{Link: link, From: c.From, To: c.To, Radius: float64(c.Radius)}
}

// ToolsOf returns the tools of a list, whose names must differ and none of which may stand for the bare flange.
func ToolsOf(list []ToolForm) (tools []kinematics.Tool) {
	names := form.UniqueNames{}
	for i := range list {
		f := &list[i]
		names.Check(&f.Block, f.Name)
		if strings.EqualFold(string(f.Name), kinematics.NoTool.Name) {
			f.Add("name", "must not be %q, which stands for the bare flange", f.Name)
		}
		tool := kinematics.Tool{Name: string(f.Name), TCP: kinematics.Pose{Position: f.TCP, Rotation: form.RotationOrNone(f.Rotation)}}
		for _, c := range f.Body {
			tool.Body = append(tool.Body, c.capsule(6))
		}
		tools = append(tools, tool)
	}
	return tools
}

// Schema describes arm files.
func Schema() form.Object { return form.SchemaOf[armForm]() }
