package urdf

import (
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
)

const (
	mm        = 1000 // a metre
	mostLinks = 2000
)

// link is a link with what can touch of it.
type link struct {
	*element
	name     string
	shapes   []shape
	drawn    []shape  // meshes
	parent   *joint   // nil at the root
	children []*joint // in the file's order
}

// joint is a joint between two links.
type joint struct {
	*element
	name, kind    string
	parent, child *link
	origin        kinematics.Pose // of the child's frame in the parent's, the joint at zero
	axis          r3.Vec          // in the child's frame, of length one
	mimic         bool
}

// moves reports whether the joint is one that an arm's is: it turns, and by itself.
func (j *joint) moves() bool { return (j.kind == "revolute" || j.kind == "continuous") && !j.mimic }

// tree is a file's links and joints.
type tree struct {
	reader
	robot    *element
	links    []*link // in the file's order
	named    map[string]*link
	root     *link
	asGiven  bool     // angles are taken as they are written
	quarters []string // angles taken for quarter turns
}

var kinds = []string{"revolute", "continuous", "fixed", "prismatic", "floating", "planar"}

// readTree reads a file into a tree of links.
func readTree(src *form.Source, asGiven bool) (*tree, error) {
	t := &tree{reader: reader{src}, named: map[string]*link{}, asGiven: asGiven}
	t.robot = t.read()
	if t.robot == nil {
		return nil, src.Err()
	}
	if t.robot.name != "robot" {
		t.add(t.robot, "is not what a URDF file has outermost, which is <robot>")
		return nil, src.Err()
	}
	if v, given := t.robot.given["version"]; given && v != "1.0" && v != "1" {
		t.add(t.robot, "version %s is not read, only 1.0", form.Quoted(v))
		return nil, src.Err()
	}
	for _, e := range t.robot.children {
		if e.name != "link" {
			continue
		}
		if len(t.links) == mostLinks {
			t.add(e, "is one of more than %d links, which is more than any arm needs", mostLinks)
			return nil, src.Err()
		}
		t.addLink(e)
	}
	joints := map[string]bool{}
	for _, e := range t.robot.children {
		if e.name == "joint" {
			t.addJoint(e, joints)
		}
	}
	if len(src.Problems) == 0 {
		t.findRoot()
	}
	return t, src.Err()
}

func (t *tree) addLink(e *element) {
	l := &link{element: e, name: t.text(e, "name")}
	if t.named[l.name] != nil {
		t.add(e, "the name %s is taken already, on line %d; names must differ", form.Quoted(l.name), t.named[l.name].at.Line)
		return
	}
	l.shapes, l.drawn = t.shapes(e), t.drawnMeshes(e)
	t.named[l.name] = l
	t.links = append(t.links, l)
}

func (t *tree) addJoint(e *element, names map[string]bool) {
	j := &joint{element: e, name: t.text(e, "name"), kind: t.text(e, "type"), mimic: e.child("mimic") != nil}
	if names[j.name] {
		t.add(e, "the name %s is taken already; names must differ", form.Quoted(j.name))
	}
	names[j.name] = true
	if !slices.Contains(kinds, j.kind) && j.kind != "" {
		t.add(e, "type is %s; %s", form.Quoted(j.kind), form.UnknownWord(j.kind, kinds))
	}
	j.parent, j.child = t.end(e, "parent"), t.end(e, "child")
	j.origin = t.origin(e)
	j.axis = r3.Vec{X: 1}
	if a := e.child("axis"); a != nil && j.kind != "fixed" && j.kind != "floating" {
		if v, ok := t.numbers(a, "xyz", 3, 1, 1e6); ok {
			j.axis = r3.Vec{X: v[0], Y: v[1], Z: v[2]}
		}
		if !(r3.Norm(j.axis) > 1e-9) {
			t.add(a, "points nowhere; give the direction of the joint's axis, such as xyz=\"0 0 1\"")
			return
		}
		j.axis = r3.Unit(j.axis)
	}
	if j.parent == nil || j.child == nil {
		return
	}
	if j.child.parent != nil {
		t.add(e, "link %s is the child of two joints, here and on line %d, so there is a loop; only a tree can be read. Take out the joint that closes it",
			form.Quoted(j.child.name), j.child.parent.at.Line)
		return
	}
	j.child.parent = j
	j.parent.children = append(j.parent.children, j)
}

// end returns the link that a joint's parent or child names.
func (t *tree) end(e *element, which string) *link {
	c := e.child(which)
	if c == nil {
		t.add(e, "has no <%s>", which)
		return nil
	}
	name := t.text(c, "link")
	if name != "" && t.named[name] == nil {
		t.add(c, "there is no link %s%s", form.Quoted(name), t.meant(name))
	}
	return t.named[name]
}

// meant is a guess at the link that was meant.
func (t *tree) meant(name string) string {
	var names []string
	for _, l := range t.links[:min(len(t.links), 500)] {
		names = append(names, l.name)
	}
	if len(names) <= 12 {
		return "; " + form.UnknownWord(name, names)
	}
	if guess := form.Nearest(name, names); guess != "" {
		return fmt.Sprintf("; did you mean %q?", guess)
	}
	return ""
}

// origin returns the frame that an element's <origin> is.
func (t *tree) origin(e *element) kinematics.Pose {
	p := kinematics.Identity
	o := e.child("origin")
	if o == nil {
		return p
	}
	if v, ok := t.numbers(o, "xyz", 3, mm, form.LargestLength); ok {
		p.Position = r3.Vec{X: v[0], Y: v[1], Z: v[2]}
	}
	if v, ok := t.numbers(o, "rpy", 3, 1, 100); ok {
		if !t.asGiven {
			for i, word := range strings.Fields(o.given["rpy"]) {
				if quarter, rounded := armfile.QuarterTurn(word, v[i]); rounded {
					if quarter != v[i] {
						t.quarters = append(t.quarters, fmt.Sprintf("%s on line %d", word, o.at.Line))
					}
					v[i] = quarter
				}
			}
		}
		p.Rotation = kinematics.FixedXYZ(v[0], v[1], v[2])
	}
	return p
}

// findRoot finds the one link with no parent, from which all others must be reached.
func (t *tree) findRoot() {
	if len(t.links) == 0 {
		t.add(t.robot, "has no links")
		return
	}
	for _, l := range t.links {
		switch {
		case l.parent != nil:
		case t.root == nil:
			t.root = l
		default:
			t.add(l.element, "link %s is joined to nothing above it, and neither is %s on line %d; a tree has one root. Join them, or take one out",
				form.Quoted(l.name), form.Quoted(t.root.name), t.root.at.Line)
			return
		}
	}
	if t.root == nil {
		t.add(t.links[0].element, "every link is the child of a joint, so the joints go round in a loop; only a tree can be read")
		return
	}
	reached := map[*link]bool{}
	for waiting := []*link{t.root}; len(waiting) > 0; {
		l := waiting[len(waiting)-1]
		waiting = waiting[:len(waiting)-1]
		reached[l] = true
		for _, j := range l.children {
			waiting = append(waiting, j.child)
		}
	}
	for _, l := range t.links {
		if !reached[l] {
			t.add(l.parent.element, "goes round in a loop with the joints above it; only a tree can be read")
			return
		}
	}
}
