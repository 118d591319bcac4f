package scenarios

import (
	"fmt"
	"math"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Bounds on what a file may say. They are far beyond any arm and keep slips of the pen, such as metres for
// millimetres times a thousand, out of the computation.
const (
	largestLength = 1e5  // mm
	largestAngle  = 3600 // degrees
	largestSpeed  = 3600 // degrees/s
	largestAccel  = 1e5  // degrees/s²
	shortestAxis  = 1e-6
	mostCapsules  = 200
	mostTools     = 40
	longestName   = 40
	longestAbout  = 2000
)

// ReadArm reads the text of an arm file. The file's name is used for messages and for the arm's ID. The error is
// an Errors with everything that is wrong.
func ReadArm(file string, text []byte) (*Arm, error) {
	s, root, err := document(file, text)
	if err != nil {
		return nil, err
	}
	return s.arm(root)
}

func (s *source) arm(root ast.Node) (*Arm, error) {
	f := s.fields(root, "arm", armRequired, armOptional)
	arm := &Arm{ID: fileID(s.file)}
	arm.Name, _ = f.text("name", longestName)
	about, _ := f.prose("about", longestAbout)
	arm.About = strings.TrimSpace(about)
	arm.MountHeight, _ = f.within("mount_height_mm", largestLength)
	joints := f.joints()
	flange := f.flange()
	arm.Body = f.body("body", true)
	arm.Tools = f.tools()
	if err := s.err(); err != nil {
		return nil, err
	}
	geometry, err := kinematics.New(joints, flange)
	if err != nil {
		s.add(f.at("joints"), "%v", err)
		return nil, s.err()
	}
	if why := geometry.Wasted(); why != "" {
		s.add(f.at("joints"), "the arm is singular in every pose: %s", why)
		return nil, s.err()
	}
	arm.Geometry = geometry
	return arm, nil
}

func (f fields) joints() (joints [6]kinematics.Joint) {
	list := f.list("joints")
	if _, given := f.values["joints"]; given && len(list) != len(joints) {
		f.add(f.at("joints"), "an arm has exactly six joints, not %d", len(list))
	}
	names := uniqueNames{}
	for i, n := range list {
		if i >= len(joints) {
			break
		}
		joints[i] = f.joint(n, i, names)
	}
	return joints
}

func (s *source) joint(n ast.Node, i int, names uniqueNames) (joint kinematics.Joint) {
	f := s.fields(n, fmt.Sprintf("joint %d", i+1), jointRequired, jointOptional)
	joint.Name = names.read(f)
	joint.At, _ = f.vector("at_mm", largestLength)
	joint.Axis, _ = f.direction("axis")
	if limits, ok := f.numbers("limits_deg", []string{"lower", "upper"}, largestAngle); ok {
		switch lower, upper := limits[0], limits[1]; {
		case lower > upper:
			f.add(f.at("limits_deg"), "%s are the wrong way round; write [%v, %v]", f.name("limits_deg"), upper, lower)
		case lower == upper:
			f.add(f.at("limits_deg"), "%s leave the joint no way to go; the lower must be less than the upper", f.name("limits_deg"))
		case lower > 0 || upper < 0:
			f.add(f.at("limits_deg"), "%s must include 0, because the zero pose is where the arm is measured and starts", f.name("limits_deg"))
		}
		joint.Min, joint.Max = kinematics.Radians(limits[0]), kinematics.Radians(limits[1])
	}
	speed, _ := f.positive("speed_deg_s", largestSpeed)
	accel, _ := f.positive("accel_deg_s2", largestAccel)
	joint.Speed, joint.Accel = kinematics.Radians(speed), kinematics.Radians(accel)
	return joint
}

func (f fields) flange() kinematics.Pose {
	n, ok := f.values["flange"]
	if !ok {
		return kinematics.Identity
	}
	return f.fields(n, "flange", flangeRequired, nil).pose()
}

// pose reads at_mm and rotation_deg.
func (f fields) pose() kinematics.Pose {
	at, _ := f.vector("at_mm", largestLength)
	return kinematics.Pose{Position: at, Rotation: f.rotation()}
}

// direction reads a field that holds a vector with some length; what is given need not be a unit vector.
func (f fields) direction(field string) (r3.Vec, bool) {
	v, ok := f.vector(field, largestLength)
	if ok && r3.Norm(v) < shortestAxis {
		f.add(f.at(field), "%s must have a direction, such as [0, 0, 1]; this one points nowhere", f.name(field))
		return v, false
	}
	return v, ok
}

// rotation reads rotation_deg, fixed X-Y-Z angles; absent is no rotation.
func (f fields) rotation() kinematics.Rotation {
	angles, _ := f.vector("rotation_deg", largestAngle)
	return kinematics.FixedXYZ(kinematics.Radians(angles.X), kinematics.Radians(angles.Y), kinematics.Radians(angles.Z))
}

// body reads a list of capsules. Those of an arm name their link; those of a tool belong to the flange.
func (f fields) body(field string, ofArm bool) (body []kinematics.Capsule) {
	list := f.list(field)
	if len(list) > mostCapsules {
		f.add(f.at(field), "%s has %d capsules; %d are plenty", f.name(field), len(list), mostCapsules)
		return nil
	}
	required, prefix := capsuleRequired, f.what+", "
	if ofArm {
		required, prefix = append([]string{"link"}, required...), ""
	}
	for i, n := range list {
		capsule := f.fields(n, fmt.Sprintf("%sbody, capsule %d", prefix, i+1), required, nil)
		body = append(body, capsule.capsule(ofArm))
	}
	return body
}

func (f fields) capsule(ofArm bool) (c kinematics.Capsule) {
	c.Link = 6
	if ofArm {
		link, ok := f.number("link")
		if ok && (link != math.Trunc(link) || link < 0 || link > 6) {
			f.add(f.at("link"), "%s must be a whole number from 0 (the base) to 6 (the flange), not %v", f.name("link"), link)
		} else {
			c.Link = int(link)
		}
	}
	c.From, _ = f.vector("from_mm", largestLength)
	c.To, _ = f.vector("to_mm", largestLength)
	c.Radius, _ = f.positive("radius_mm", largestLength)
	return c
}

func (f fields) tools() (tools []kinematics.Tool) {
	names := uniqueNames{}
	for i, n := range f.shortList("tools", "tools", mostTools) {
		t := f.fields(n, fmt.Sprintf("tool %d", i+1), toolRequired, toolOptional)
		tool := kinematics.Tool{Name: names.read(t)}
		if strings.EqualFold(tool.Name, kinematics.NoTool.Name) {
			t.add(t.at("name"), "%s must not be %q, which stands for the bare flange", t.name("name"), tool.Name)
		}
		tool.TCP.Position, _ = t.vector("tcp_mm", largestLength)
		tool.TCP.Rotation = t.rotation()
		tool.Body = t.body("body", false)
		tools = append(tools, tool)
	}
	return tools
}

// uniqueNames remembers on which line each name was given.
type uniqueNames map[string]int

// read reads the name field and reports it where an earlier thing has the same name.
func (u uniqueNames) read(f fields) string {
	name, ok := f.text("name", longestName)
	if !ok {
		return ""
	}
	at := f.at("name")
	if line, taken := u[name]; taken {
		f.add(at, "%s %s is taken already, on line %d; names must differ", f.name("name"), quoted(name), line)
	} else {
		u[name] = at.line
	}
	return name
}
