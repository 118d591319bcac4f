package urdf

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/armfile"
)

// Text returns the arm as a URDF file. Every joint's frame has the axes of the base frame and its origin at the joint's own
// point. The file's zero pose is the one in which the arm was measured, and its angles count from there. A capsule is a cylinder with a ball at each end. Meshes are named as the arm file names them. What the format has no place for, the height of the base frame over the
// mounting surface, the text about the arm, the accelerations and what the arm's display shows at the measured pose, stands in an element of its own, which other programs pass over.
// Parse reads the same arm from it.
func Text(arm *armfile.Arm) []byte {
	w := &writer{links: names{}, joints: names{}}
	g := arm.Geometry
	w.line(`<?xml version="1.0"?>`)
	w.line(`<robot name=%s version="1.0">`, quoted(arm.Name))
	about := ""
	if arm.About != "" {
		about = " about=" + quoted(arm.About)
	}
	w.line("  <%s mount_height_mm=%s%s/>", own, quoted(number(arm.MountHeight)), about)
	var links [7]string
	at := kinematics.Identity
	for i := range 7 {
		links[i] = w.links.take([]string{"base", "link_1", "link_2", "link_3", "link_4", "link_5", "link_6"}[i])
		if i > 0 {
			at.Position = g.Joints[i-1].At
		}
		w.link(links[i], kinematics.OfLink(arm.Body, i), arm.Drawn(i, ""), at)
	}
	before := r3.Vec{}
	for i, j := range g.Joints { // before the fixed ones, so that they keep their names
		w.line(`  <joint name=%s type="revolute">`, quoted(w.joints.take(j.Name)))
		w.ends(links[i], links[i+1], kinematics.Pose{Position: r3.Sub(j.At, before), Rotation: kinematics.NoRotation})
		w.line("    <axis xyz=%s/>", quoted(numbers(j.Axis, 1)))
		w.line("    <limit lower=%s upper=%s velocity=%s effort=\"0\"/>", quoted(number(j.Min-j.Measured)), quoted(number(j.Max-j.Measured)), quoted(number(j.Speed)))
		more := ""
		if j.Accel > 0 {
			more += " accel_deg_s2=" + quoted(number(kinematics.Degrees(j.Accel)))
		}
		if j.Measured != 0 {
			more += " reads_deg=" + quoted(number(kinematics.Degrees(j.Measured)))
		}
		if more != "" {
			w.line("    <%s%s/>", own, more)
		}
		w.line("  </joint>")
		before = j.At
	}
	flange := w.links.take("flange")
	w.link(flange, nil, nil, kinematics.Identity)
	w.fixed(links[6], flange, kinematics.Pose{Position: r3.Sub(g.Flange.Position, before), Rotation: g.Flange.Rotation})
	for _, t := range arm.Tools {
		name := w.links.take(t.Name)
		w.link(name, t.Body, arm.Drawn(6, t.Name), t.TCP)
		w.fixed(flange, name, t.TCP)
	}
	w.line("</robot>")
	return w.Bytes()
}

// writer writes elements, a line each.
type writer struct {
	bytes.Buffer
	links, joints names
}

// names are those that are taken.
type names map[string]bool

func (w *writer) line(format string, args ...any) { fmt.Fprintf(w, format+"\n", args...) }

// take returns the name, or one like it that is not taken.
func (n names) take(name string) string {
	for n[name] {
		name += "_"
	}
	n[name] = true
	return name
}

// link writes a link with a body, and meshes that it is drawn as, that are given in the frame in which the link is at.
func (w *writer) link(name string, body []kinematics.Capsule, meshes []armfile.Mesh, at kinematics.Pose) {
	if len(body)+len(meshes) == 0 {
		w.line("  <link name=%s/>", quoted(name))
		return
	}
	w.line("  <link name=%s>", quoted(name))
	in := at.Inverse()
	for i := range meshes {
		w.mesh(&meshes[i], in.Mul(meshes[i].At))
	}
	for _, kind := range []string{"visual", "collision"} {
		if kind == "visual" && len(meshes) > 0 {
			continue
		}
		for _, c := range body {
			from, to := in.Apply(c.From), in.Apply(c.To)
			w.shape(kind, kinematics.Pose{Position: from, Rotation: kinematics.NoRotation}, fmt.Sprintf("<sphere radius=%s/>", quoted(number(c.Radius/mm))))
			along := r3.Sub(to, from)
			length := r3.Norm(along)
			if length == 0 {
				continue
			}
			w.shape(kind, kinematics.Pose{Position: to, Rotation: kinematics.NoRotation}, fmt.Sprintf("<sphere radius=%s/>", quoted(number(c.Radius/mm))))
			w.shape(kind, kinematics.Pose{Position: r3.Scale(0.5, r3.Add(from, to)), Rotation: toZ(r3.Scale(1/length, along))},
				fmt.Sprintf("<cylinder radius=%s length=%s/>", quoted(number(c.Radius/mm)), quoted(number(length/mm))))
		}
	}
	w.line("  </link>")
}

func (w *writer) mesh(m *armfile.Mesh, at kinematics.Pose) {
	material := ""
	if m.Colour != "" {
		var red, green, blue float64
		for i, part := range []*float64{&red, &green, &blue} {
			n, _ := strconv.ParseUint(m.Colour[1+2*i:3+2*i], 16, 8) // two hexadecimal digits
			*part = float64(n) / 255
		}
		material = fmt.Sprintf("<material name=%s><color rgba=%s/></material>", quoted(m.Colour), quoted(numbers(r3.Vec{X: red, Y: green, Z: blue}, 1)+" 1"))
	}
	w.line("    <visual>%s<geometry><mesh filename=%s scale=%s/></geometry>%s</visual>", originText(at), quoted(m.File), quoted(numbers(m.Scale, mm)), material)
}

// toZ returns a rotation whose Z axis is the unit vector z.
func toZ(z r3.Vec) kinematics.Rotation {
	across := r3.Vec{X: 1}
	if z.X*z.X > 0.4 {
		across = r3.Vec{Y: 1}
	}
	x := r3.Unit(r3.Sub(across, r3.Scale(r3.Dot(across, z), z)))
	return kinematics.Rotation{X: x, Y: r3.Cross(z, x), Z: z}
}

func (w *writer) shape(kind string, pose kinematics.Pose, geometry string) {
	w.line("    <%s>%s<geometry>%s</geometry></%s>", kind, originText(pose), geometry, kind)
}

func (w *writer) fixed(parent, child string, origin kinematics.Pose) {
	w.line("  <joint name=%s type=\"fixed\">", quoted(w.joints.take("to_"+child)))
	w.ends(parent, child, origin)
	w.line("  </joint>")
}

func (w *writer) ends(parent, child string, origin kinematics.Pose) {
	w.line("    %s<parent link=%s/><child link=%s/>", originText(origin), quoted(parent), quoted(child))
}

func originText(p kinematics.Pose) string {
	text := "<origin xyz=" + quoted(numbers(p.Position, mm))
	if p.Rotation != kinematics.NoRotation {
		rpy, _ := p.Rotation.FixedXYZ()
		text += " rpy=" + quoted(numbers(rpy, 1))
	}
	return text + "/>"
}

func numbers(v r3.Vec, unit float64) string {
	return number(v.X/unit) + " " + number(v.Y/unit) + " " + number(v.Z/unit)
}

// number writes a number so that the same is read.
func number(x float64) string { return strconv.FormatFloat(x+0, 'g', -1, 64) }

// quoted is an attribute's value in its quotes.
func quoted(text string) string {
	var b bytes.Buffer
	xml.EscapeText(&b, []byte(text)) // a buffer takes everything
	return `"` + b.String() + `"`
}
