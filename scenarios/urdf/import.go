package urdf

import (
	"cmp"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"
	"unicode"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
)

// Options are what the file cannot say, or says in several ways.
type Options struct {
	Base        string            // the link whose frame is the base frame; the root where it is empty
	Tip         string            // the link that is the flange; found where it is empty
	Forward     string            // the axis of the base link that points forward: x, -x, y or -y; x where it is empty
	Out         string            // the axis of the tip that points out of the flange; found where it is empty
	MountHeight float64           // the base frame's origin above the mounting surface, mm
	AsWritten   bool              // 1.5708 is no quarter turn
	Meshes      fs.FS             // where the files of meshes lie: what package:// leads to, and what the file names them beside itself; nil: they are not read
	Chosen      bool              // they were chosen by hand, maybe without their folder and not all of them: one that is not there, or cannot be read, is no error
	MeshPath    string            // what the arm file calls that folder, which is beside it or below; "": it cannot
	Reading     func(file string) // hears of each mesh before it is read; nil: nobody does
}

// What an arm file must say and URDF may leave open.
const (
	turnsOfContinuous = 2 * math.Pi          // each way
	speedWhereNone    = math.Pi / 2          // rad/s
	fastest           = 3600 * math.Pi / 180 // rad/s, what an arm file may say
	widest            = form.LargestAngle * math.Pi / 180
)

// own is the name of the element that Export adds for what the format has no place for. Other programs pass it over.
const own = "handrule"

// Parse reads an arm from the text of a URDF file, and says what it took for what. The error is an Errors with everything that is wrong.
func Parse(file string, text []byte, o Options) (*armfile.Arm, []string, error) {
	src, err := form.PlainTextUpTo(file, text, LargestFile)
	if err != nil {
		return nil, nil, err
	}
	t, err := readTree(src, o.AsWritten)
	if err != nil {
		return nil, nil, err
	}
	c := t.findChain(o.Base, o.Tip)
	if c == nil {
		return nil, nil, src.Err()
	}
	m := &maker{tree: t, chain: c, o: o, at: map[*link]kinematics.Pose{}, surfaces: map[string]surfaceFile{}, toolLinks: map[*link]string{}}
	arm := m.arm()
	if err := src.Err(); err != nil {
		return nil, nil, err
	}
	// What an arm file cannot hold is wrong with this one.
	if _, err := armfile.Parse(file, arm.Text()); err != nil {
		m.add(m.robot, "cannot be an arm: %s", form.ProblemsOf(file, err)[0].Message)
		return nil, nil, src.Err()
	}
	return arm, m.notes, nil
}

// maker makes an arm of a chain.
type maker struct {
	*tree
	chain *chain
	o     Options
	at    map[*link]kinematics.Pose // where links are in the base frame, every joint at zero
	notes []string

	surfaces  map[string]surfaceFile // meshes that were read, by what the file names them
	meshBytes int
	told      []*element       // of meshes that were chosen and cannot be read
	missing   []string         // the meshes that were not chosen with the file
	toolLinks map[*link]string // the tools that links at an end are

	read   bool // meshes were read
	coarse bool // a capsule a shape, where finer ones are too many
	body   []kinematics.Capsule
	off    float64 // how far it stands off the shapes at most
	meshes [7]int
	flange kinematics.Pose
}

func (m *maker) note(format string, args ...any) {
	m.notes = append(m.notes, fmt.Sprintf(format, args...))
}

func (m *maker) arm() *armfile.Arm {
	c := m.chain
	m.place()
	arm := &armfile.Arm{Name: m.nameOf(m.robot.given["name"], "Arm"), MountHeight: m.o.MountHeight}
	if e := m.robot.child(own); e != nil && m.o.MountHeight == 0 {
		if v, ok := m.numbers(e, "mount_height_mm", 1, 1, form.LargestLength); ok {
			arm.MountHeight = v[0]
		}
		if about := strings.TrimSpace(e.given["about"]); about != "" && len(about) <= 2000 {
			arm.About = about
		}
	}
	forward := "its X axis is forward"
	if m.o.Forward != "" {
		forward = "turned so that its " + m.o.Forward + " axis is forward"
	}
	m.note("base frame: link %s, %s; its origin %s mm above the mounting surface", form.Quoted(c.base.name), forward, form.Decimal(arm.MountHeight))
	var joints [6]kinematics.Joint
	taken := map[string]bool{}
	for i, j := range c.joints {
		joints[i] = m.joint(i, j, taken)
	}
	m.flange = m.flangeFrame(joints[5])
	if len(m.src.Problems) > 0 {
		return nil
	}
	geometry, err := kinematics.New(joints, m.flange)
	if err != nil {
		m.add(m.robot, "%v", err)
		return nil
	}
	if why := geometry.AlwaysSingular(); why != "" {
		m.add(c.joints[0].element, "the six joints make an arm that is singular in every pose: %s", why)
		return nil
	}
	arm.Geometry = geometry
	m.readMeshes()
	if len(m.src.Problems) > 0 {
		return nil
	}
	said := len(m.notes)
	m.bodies()
	arm.Tools = m.tools()
	if most := most(arm.Tools); len(m.body) > most || slices.ContainsFunc(arm.Tools, tooMany) {
		m.coarse, m.body, m.off, m.meshes, m.notes = true, nil, 0, [7]int{}, m.notes[:said]
		m.bodies()
		arm.Tools = m.tools()
	}
	arm.Body = m.body
	m.tellBodies(arm)
	arm.Meshes = m.drawMeshes(arm)
	m.tellMissing()
	m.tellLeftOut()
	if len(m.quarters) > 0 {
		m.note("angles taken for exact quarter turns, of which they are roundings: %s; --as-written takes them as they are", shortList(m.quarters))
	}
	return arm
}

// place finds where every link below the base is with the joints at zero.
func (m *maker) place() {
	turn := kinematics.Identity
	turn.Rotation = armfile.Forward(m.o.Forward)
	m.at[m.chain.base] = turn
	for waiting := []*link{m.chain.base}; len(waiting) > 0; {
		l := waiting[len(waiting)-1]
		waiting = waiting[:len(waiting)-1]
		for _, j := range l.children {
			m.at[j.child] = m.at[l].Mul(j.origin)
			waiting = append(waiting, j.child)
		}
	}
}

// nameOf is a name as arm files may have one, or the other.
func (m *maker) nameOf(name, or string) string {
	name = strings.TrimSpace(name)
	if name == "" || len(name) > 40 || strings.ContainsFunc(name, func(c rune) bool { return !unicode.IsPrint(c) }) {
		return or
	}
	return name
}

func (m *maker) joint(i int, j *joint, taken map[string]bool) kinematics.Joint {
	frame := m.at[j.child]
	out := kinematics.Joint{Name: m.nameOf(j.name, kinematics.JointNames[i]), At: frame.Position, Axis: frame.Rotation.Apply(j.axis)}
	if taken[out.Name] {
		out.Name = kinematics.JointNames[i]
	}
	taken[out.Name] = true
	if r3.Norm(out.At) > form.LargestLength {
		m.add(j.element, "joint %s is more than %v m from the base; lengths are metres here", form.Quoted(j.name), form.LargestLength/mm)
	}
	said := ""
	limit := j.element.child("limit")
	if j.kind == "continuous" {
		out.Min, out.Max = -turnsOfContinuous, turnsOfContinuous
		said = ", continuous: taken as ±360°"
	} else if limit == nil {
		m.add(j.element, "joint %s has no <limit>; a revolute joint must have one, such as <limit lower=\"-2.9\" upper=\"2.9\" velocity=\"2.0\" effort=\"0\"/>", form.Quoted(j.name))
		return out
	} else {
		out.Min, out.Max = m.number(limit, "lower"), m.number(limit, "upper")
		switch {
		case out.Min > out.Max:
			m.add(limit, "the limits of joint %s are the wrong way round: lower %v, upper %v", form.Quoted(j.name), out.Min, out.Max)
		case out.Min == out.Max:
			m.add(limit, "the limits leave joint %s no way to go; write the lower and the upper one, in radians", form.Quoted(j.name))
		case out.Max-out.Min > 2*widest:
			m.add(limit, "the limits of joint %s are wider than any joint's; angles are radians here", form.Quoted(j.name))
		}
	}
	if limit != nil {
		out.Speed = math.Abs(m.number(limit, "velocity"))
	}
	switch {
	case out.Speed == 0:
		out.Speed = speedWhereNone
		said += ", no speed given: taken as 90 °/s"
	case out.Speed > fastest:
		out.Speed = fastest
		said += ", its speed cut to 3600 °/s"
	}
	if e := j.element.child(own); e != nil {
		if v, ok := m.numbers(e, "accel_deg_s2", 1, math.Pi/180, 1e5*math.Pi/180); ok && v[0] > 0 {
			out.Accel = v[0]
		}
		if v, ok := m.numbers(e, "reads_deg", 1, math.Pi/180, widest); ok {
			out.Measured = v[0]
			out.Min, out.Max = out.Min+v[0], out.Max+v[0]
		}
	}
	m.note("J%d: joint %s on line %d, at X %s, Y %s, Z %s mm, %s° to %s°, %s °/s%s", i+1, form.Quoted(j.name), j.at.Line, form.Decimal(out.At.X), form.Decimal(out.At.Y), form.Decimal(out.At.Z),
		form.Decimal(kinematics.Degrees(out.Min)), form.Decimal(kinematics.Degrees(out.Max)), form.Decimal(kinematics.Degrees(out.Speed)), said)
	return out
}

// number returns a number in radians or radians/s, 0 where it is not given, as the format says.
func (m *maker) number(e *element, name string) float64 {
	if v, ok := m.numbers(e, name, 1, 1, 1e4); ok {
		return v[0]
	}
	return 0
}

// flangeFrame returns the flange, whose Z points out of it. Where the tip's Z is not along the last joint's axis and its X is, X is
// what points out; frames of that kind are common.
func (m *maker) flangeFrame(last kinematics.Joint) kinematics.Pose {
	tip := m.chain.flange
	frame := m.at[tip]
	along := func(v r3.Vec) bool { return math.Abs(r3.Dot(v, last.Axis)) > 1-1e-6 }
	out, found := m.o.Out, ""
	if out == "" {
		out = "z"
		if e := m.robot.child(own); e == nil && !along(frame.Rotation.Z) && along(frame.Rotation.X) {
			out, found = "x", ", because that is the one along the last joint"
		}
	}
	turn := kinematics.NoRotation
	switch out {
	case "x", "-x":
		turn = kinematics.RotationAbout(r3.Vec{Y: 1}, armfile.Direction(out).X*math.Pi/2)
	case "y", "-y":
		turn = kinematics.RotationAbout(r3.Vec{X: 1}, -armfile.Direction(out).Y*math.Pi/2)
	case "-z":
		turn = kinematics.RotationAbout(r3.Vec{X: 1}, math.Pi)
	}
	frame.Rotation = frame.Rotation.Mul(turn)
	m.note("flange: link %s, at X %s, Y %s, Z %s mm with every joint at zero; its %s axis points out%s", form.Quoted(tip.name),
		form.Decimal(frame.Position.X), form.Decimal(frame.Position.Y), form.Decimal(frame.Position.Z), strings.ToUpper(out), found)
	if !along(frame.Rotation.Z) {
		m.note("note: what points out of the flange is not along the axis of J6, as is usual; choose another link with --tip, or its axis with --out, if that is wrong")
	}
	return frame
}

// hold adds the bodies of a link's shapes, in the frame of which it is at, to the list.
func (m *maker) hold(list []kinematics.Capsule, l *link, at kinematics.Pose, number int) []kinematics.Capsule {
	held, off, meshes := capsules(l.shapes, m.coarse)
	m.off = max(m.off, off)
	m.meshes[number] += meshes
	for _, c := range held {
		list = append(list, kinematics.Capsule{Link: number, From: at.Apply(c.From), To: at.Apply(c.To), Radius: c.Radius})
	}
	return list
}

// carried returns the links that are fixed to link number of the arm, from the one that its joint carries.
func (m *maker) carried(number int) []*link {
	if number == 0 {
		return fixedTo(m.chain.base)
	}
	return fixedTo(m.chain.joints[number-1].child)
}

// bodies makes the bodies of the seven links. What is fixed beyond the flange is the tools'.
func (m *maker) bodies() {
	for number := range 7 {
		for _, l := range m.carried(number) {
			if _, beyond := wayTo(m.chain.flange, l); number == 6 && beyond && l != m.chain.flange {
				continue
			}
			m.body = m.hold(m.body, l, m.at[l], number)
		}
	}
}

// tools makes a tool of every link at an end of what is fixed beyond the flange.
func (m *maker) tools() (tools []kinematics.Tool) {
	inFlange := m.flange.Inverse()
	names := map[string]bool{"none": true}
	for _, l := range fixedTo(m.chain.flange)[1:] {
		if slices.ContainsFunc(l.children, func(j *joint) bool { return j.kind == "fixed" }) {
			continue
		}
		tool := kinematics.Tool{Name: m.nameOf(l.name, fmt.Sprintf("tool %d", len(tools)+1)), TCP: inFlange.Mul(m.at[l])}
		way, _ := wayTo(m.chain.flange, l)
		for _, j := range way {
			tool.Body = m.hold(tool.Body, j.child, inFlange.Mul(m.at[j.child]), 6)
		}
		tool.Body = m.cut("tool "+form.Quoted(tool.Name), tool.Body, mostOfTool)
		shift, turn := tool.TCP.Twist(kinematics.Identity)
		if len(tool.Body) == 0 && r3.Norm(shift) < 1e-6 && r3.Norm(turn) < 1e-9 || names[strings.ToLower(tool.Name)] {
			continue // another name for the flange
		}
		names[strings.ToLower(tool.Name)] = true
		if len(tools) == 40 {
			m.note("note: there are more links beyond the flange than an arm may have tools; the first 40 are taken")
			break
		}
		m.note("tool %s: TCP at X %s, Y %s, Z %s mm of the flange", form.Quoted(tool.Name), form.Decimal(tool.TCP.Position.X), form.Decimal(tool.TCP.Position.Y), form.Decimal(tool.TCP.Position.Z))
		m.toolLinks[l] = tool.Name
		tools = append(tools, tool)
	}
	return tools
}

// An arm and its tool may have clearance.MaxCapsules together; a tool may have so many of them.
const mostOfTool = clearance.MaxCapsules / 4

// most is how many capsules an arm may have that carries one of these tools.
func most(tools []kinematics.Tool) int {
	left := clearance.MaxCapsules
	for _, t := range tools {
		left = min(left, clearance.MaxCapsules-len(t.Body))
	}
	return left
}

func tooMany(t kinematics.Tool) bool { return len(t.Body) == mostOfTool }

// cut leaves out the smallest capsules where there are more than that, and tells it.
func (m *maker) cut(of string, body []kinematics.Capsule, most int) []kinematics.Capsule {
	if len(body) <= most {
		return body
	}
	m.note("note: the shapes of %s take %d capsules, more than %d; the smallest are left out. Write fewer and larger ones in the arm file", of, len(body), most)
	size := func(c kinematics.Capsule) float64 { return c.Radius + r3.Norm(r3.Sub(c.To, c.From)) }
	largest := slices.Clone(body)
	slices.SortStableFunc(largest, func(a, b kinematics.Capsule) int { return cmp.Compare(size(b), size(a)) })
	return slices.DeleteFunc(slices.Clone(body), func(c kinematics.Capsule) bool { return !slices.Contains(largest[:most], c) })[:most]
}

// tellBodies gives slim bodies to links that have none but meshes, and tells of all.
func (m *maker) tellBodies(arm *armfile.Arm) {
	arm.Body = m.cut("the arm", arm.Body, most(arm.Tools)-7)
	has := [7]bool{}
	for _, c := range arm.Body {
		has[c.Link] = true
	}
	if len(arm.Body) > 0 {
		m.note("body: %d capsules, which hold the file's %s within them and stand off these by at most %s mm", len(arm.Body), m.heldShapes(), form.Decimal(math.Ceil(m.off*10)/10))
	}
	none := len(arm.Body) == 0
	var bare []string
	slim := armfile.Skeleton(arm.Geometry, arm.MountHeight, func(number int) bool { return !has[number] && (none || m.meshes[number] > 0) })
	for number, meshes := range m.meshes {
		if meshes > 0 && !has[number] && len(kinematics.OfLink(slim, number)) == 0 {
			bare = append(bare, fmt.Sprint(number))
		}
	}
	if len(bare) > 0 {
		m.note("note: link %s has no body, because the file gives it only meshes, %s", form.AllOf(bare), m.whyUnread())
	}
	if len(slim) == 0 {
		return
	}
	var links []string
	for _, c := range slim {
		links = append(links, fmt.Sprint(c.Link))
	}
	arm.Body = append(arm.Body, slim...)
	slices.SortStableFunc(arm.Body, func(a, b kinematics.Capsule) int { return a.Link - b.Link })
	why := "the file gives no shapes"
	if m.meshes != [7]int{} {
		why = "the file gives only meshes, " + m.whyUnread()
	}
	m.note("note: link %s: a slim body from axis to axis stands in, because %s. It is no measure of the arm: write the body in the arm file before you trust contact", form.AllOf(links), why)
}

// whyUnread says why meshes were not read.
func (m *maker) whyUnread() string {
	if m.o.Chosen {
		return "which are not here, or cannot be read"
	}
	return "which are not read without --meshes FOLDER"
}

// heldShapes names what capsules hold.
func (m *maker) heldShapes() string {
	if m.read {
		return "shapes and meshes"
	}
	return "boxes, cylinders and spheres"
}

// tellLeftOut names what of the file is not part of the arm.
func (m *maker) tellLeftOut() {
	var left []string
	seen := func(j *joint) bool { return slices.Contains(m.chain.joints[:], j) }
	for number := range 7 {
		for _, l := range m.carried(number) {
			for _, j := range l.children {
				if j.kind != "fixed" && !seen(j) {
					left = append(left, fmt.Sprintf("%s (%s, line %d)", j.name, j.kind, j.at.Line))
				}
			}
		}
	}
	if len(left) > 0 {
		m.note("left out, with what they carry: %s", shortList(left))
	}
}
