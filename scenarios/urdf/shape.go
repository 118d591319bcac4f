package urdf

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/form"
)

// shape is a piece of a link's geometry, in the link's frame.
type shape struct {
	kind string // box, cylinder, sphere or mesh
	size r3.Vec // box: edges; cylinder: radius in X and length in Z; sphere: radius in X; mm
	pose kinematics.Pose
	mesh *element // of a mesh: what names its file

	colour string // of a mesh that is drawn: what the file gives it, such as #b0b4b8

	held  []kinematics.Capsule // of a mesh that was read, in the shape's frame
	stand float64              // how far these stand off it at most, mm
}

// shapes returns a link's collision geometry; where it has none, what is drawn of it.
func (t *tree) shapes(l *element) (all []shape) {
	for _, kind := range []string{"collision", "visual"} {
		for _, e := range l.children {
			if e.name != kind {
				continue
			}
			if s, ok := t.shape(e); ok {
				all = append(all, s)
			}
		}
		if len(all) > 0 {
			return all
		}
	}
	return nil
}

// drawnMeshes are the meshes that a link is drawn with; where nothing is said of how it is drawn, those that can touch.
func (t *tree) drawnMeshes(l *element) (all []shape) {
	kind := "collision"
	if l.child("visual") != nil {
		kind = "visual"
	}
	for _, e := range l.children {
		if e.name != kind {
			continue
		}
		if g := e.child("geometry"); g != nil && g.child("mesh") != nil {
			all = append(all, shape{kind: "mesh", pose: t.origin(e), mesh: g.child("mesh"), colour: t.colour(e.child("material"))})
		}
	}
	return all
}

// colour is that of a material, which may be one that the file names elsewhere; "" where it has none.
func (t *tree) colour(material *element) string {
	if material == nil {
		return ""
	}
	c := material.child("color")
	for _, e := range t.robot.children {
		if c == nil && e.name == "material" && e.given["name"] == material.given["name"] {
			c = e.child("color")
		}
	}
	if c == nil {
		return ""
	}
	v, ok := t.numbers(c, "rgba", 4, 1, 1e4)
	if !ok {
		return ""
	}
	part := func(x float64) int { return int(math.Round(255 * max(0, min(1, x)))) }
	return fmt.Sprintf("#%02x%02x%02x", part(v[0]), part(v[1]), part(v[2]))
}

func (t *tree) shape(e *element) (s shape, ok bool) {
	s.pose = t.origin(e)
	g := e.child("geometry")
	if g == nil {
		t.add(e, "has no <geometry>")
		return s, false
	}
	for _, of := range g.children {
		s.kind = of.name
		switch of.name {
		case "box":
			v, ok := t.size(of, "size", 3)
			if ok {
				s.size = r3.Vec{X: v[0], Y: v[1], Z: v[2]}
			}
			return s, ok
		case "sphere":
			v, ok := t.size(of, "radius", 1)
			if ok {
				s.size.X = v[0]
			}
			return s, ok
		case "cylinder":
			radius, ok := t.size(of, "radius", 1)
			length, also := t.size(of, "length", 1)
			if ok = ok && also; ok {
				s.size = r3.Vec{X: radius[0], Z: length[0]}
			}
			return s, ok
		case "mesh":
			s.mesh = of
			return s, true
		}
	}
	t.add(g, "has no <box>, <cylinder>, <sphere> or <mesh>")
	return s, false
}

// size returns lengths that must be there and more than zero, in mm.
func (t *tree) size(e *element, name string, count int) ([]float64, bool) {
	if _, there := e.given[name]; !there {
		t.add(e, "has no %s", name)
		return nil, false
	}
	v, ok := t.numbers(e, name, count, mm, form.LargestLength)
	for _, x := range v {
		if !(x > 0) {
			t.add(e, "%s must be more than 0", name)
			return nil, false
		}
	}
	return v, ok
}

// mostStrips is into how many capsules side by side a flat box is cut.
const mostStrips = 6

// hold returns capsules that hold the shape within them, in the frame that pose is given in, and how far they stand off it
// at most; coarse, it is one capsule.
func (s *shape) hold(coarse bool) (capsules []kinematics.Capsule, off float64) {
	switch s.kind {
	case "sphere":
		return []kinematics.Capsule{{From: s.pose.Position, To: s.pose.Position, Radius: s.size.X}}, 0
	case "cylinder":
		a, radius := slimmest(s.size.X, s.size.Z/2)
		c := kinematics.Capsule{From: s.pose.Apply(r3.Vec{Z: -a}), To: s.pose.Apply(r3.Vec{Z: a}), Radius: radius}
		return []kinematics.Capsule{c}, max(radius-s.size.X, a+radius-s.size.Z/2)
	case "mesh":
		for _, c := range s.held {
			capsules = append(capsules, kinematics.Capsule{From: s.pose.Apply(c.From), To: s.pose.Apply(c.To), Radius: c.Radius})
		}
		return capsules, s.stand
	case "box":
		if coarse {
			return s.holdBox(1)
		}
		return s.holdBox(mostStrips)
	}
	return nil, 0
}

// slimmest returns half the length of the axis and the radius of the capsule of least volume that holds a cylinder of that
// radius and half its height, both about one axis.
func slimmest(radius, half float64) (axis, around float64) {
	volume := math.Inf(1)
	for i := 0; i <= 200; i++ {
		// The rim is just within: around² = radius² + (half − axis)².
		a := half * float64(i) / 200
		r := math.Hypot(radius, half-a)
		if v := math.Pi * r * r * (2*a + 4*r/3); v < volume {
			volume, axis, around = v, a, r
		}
	}
	return axis, around
}

// holdBox cuts a box along its longest edge into strips that are about as wide as thick, and holds each in a capsule.
func (s *shape) holdBox(most float64) (capsules []kinematics.Capsule, off float64) {
	edges := [3]float64{s.size.X, s.size.Y, s.size.Z}
	axes := [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}
	long, thin := 0, 0
	for i := range edges {
		if edges[i] > edges[long] {
			long = i
		}
		if edges[i] <= edges[thin] {
			thin = i
		}
	}
	if long == thin { // a cube
		long = (thin + 1) % 3
	}
	wide := 3 - long - thin
	strips := int(min(most, max(1, math.Round(edges[wide]/edges[thin]))))
	width := edges[wide] / float64(strips)
	a, radius := slimmest(math.Hypot(width, edges[thin])/2, edges[long]/2)
	for i := range strips {
		across := r3.Scale(edges[wide]*((float64(i)+0.5)/float64(strips)-0.5), axes[wide])
		along := r3.Scale(a, axes[long])
		capsules = append(capsules, kinematics.Capsule{
			From: s.pose.Apply(r3.Sub(across, along)), To: s.pose.Apply(r3.Add(across, along)), Radius: radius,
		})
	}
	return capsules, max(a+radius-edges[long]/2, radius-edges[thin]/2, radius-width/2)
}

// capsules returns capsules that hold shapes within them, in the shapes' order, how far they stand off these at most, and how many
// of the shapes are meshes that were not read, for which there are none.
//
// A capsule is no shape of the format. It is written as a ball at each end and a cylinder of the same radius between them, and is
// known again by that.
func capsules(shapes []shape, coarse bool) (all []kinematics.Capsule, off float64, meshes int) {
	part := map[int]bool{}
	for i := range shapes {
		if from, to, ok := ends(shapes, i); ok {
			part[ball(shapes, from, shapes[i].size.X)], part[ball(shapes, to, shapes[i].size.X)] = true, true
		}
	}
	for i := range shapes {
		s := &shapes[i]
		switch from, to, ok := ends(shapes, i); {
		case ok:
			all = append(all, kinematics.Capsule{From: from, To: to, Radius: s.size.X})
		case part[i]:
		case s.kind == "mesh" && s.held == nil:
			meshes++
		default:
			held, stand := s.hold(coarse)
			all, off = append(all, held...), max(off, stand)
		}
	}
	return all, off, meshes
}

// ends returns the ends of the axis of a cylinder with a ball at each.
func ends(shapes []shape, i int) (from, to r3.Vec, ok bool) {
	s := &shapes[i]
	if s.kind != "cylinder" || len(shapes) > 600 {
		return from, to, false
	}
	from, to = s.pose.Apply(r3.Vec{Z: -s.size.Z / 2}), s.pose.Apply(r3.Vec{Z: s.size.Z / 2})
	return from, to, ball(shapes, from, s.size.X) >= 0 && ball(shapes, to, s.size.X) >= 0
}

// ball returns the first ball of that radius there, or -1.
func ball(shapes []shape, at r3.Vec, radius float64) int {
	const same = 1e-6 // mm
	for i := range shapes {
		if s := &shapes[i]; s.kind == "sphere" && math.Abs(s.size.X-radius) < same && r3.Norm(r3.Sub(s.pose.Position, at)) < same {
			return i
		}
	}
	return -1
}
