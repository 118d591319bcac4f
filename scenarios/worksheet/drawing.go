package worksheet

import (
	"fmt"
	"html"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// view is a direction to look from: which way of the base frame is right on the paper, and which is up.
type view struct {
	title     string
	right, up r3.Vec
	names     [2]string // of the base frame's axes along right and up
}

var views = []view{
	{"from the side", r3.Vec{X: 1}, r3.Vec{Z: 1}, [2]string{"x", "z"}},
	{"from the front", r3.Vec{Y: 1}, r3.Vec{Z: 1}, [2]string{"y", "z"}},
	{"from above", r3.Vec{X: 1}, r3.Vec{Y: 1}, [2]string{"x", "y"}},
}

// point is a place on the paper, mm of the arm, up positive.
type point struct{ x, y float64 }

func (v view) project(p r3.Vec) point { return point{r3.Dot(p, v.right), r3.Dot(p, v.up)} }

// scene is what is drawn: all in the base frame.
type scene struct {
	body   []kinematics.Capsule
	joints []r3.Vec
	names  []string
	tcp    r3.Vec
	things []clearance.Thing
	hidden []string // dimensions that are asked for, and shown as a question mark: "x"
}

// drawings returns the three views as SVG, side by side at one scale, with the dimensions of the walk from the base
// frame's origin to the TCP.
func (s *scene) drawings() string {
	var all strings.Builder
	for _, v := range views {
		all.WriteString(s.drawing(v))
	}
	return all.String()
}

// box is the part of the paper that something takes up.
type box struct{ low, high point }

func (b *box) add(p point, around float64) {
	b.low = point{math.Min(b.low.x, p.x-around), math.Min(b.low.y, p.y-around)}
	b.high = point{math.Max(b.high.x, p.x+around), math.Max(b.high.y, p.y+around)}
}

// bounds returns what the arm takes up in a view.
func (s *scene) bounds(v view) box {
	b := box{}
	for _, c := range s.body {
		b.add(v.project(c.From), c.Radius)
		b.add(v.project(c.To), c.Radius)
	}
	b.add(v.project(s.tcp), 20)
	return b
}

const (
	paper    = 58.0 // mm of paper, the width of a view
	margin   = 90.0 // mm of the arm around it, for dimensions
	textSize = 30.0 // mm of the arm
)

func (s *scene) drawing(v view) string {
	b := s.bounds(v)
	side := 0.0
	for _, v := range views {
		o := s.bounds(v)
		side = max(side, o.high.x-o.low.x, o.high.y-o.low.y)
	}
	side += 2 * margin
	middle := point{(b.low.x + b.high.x) / 2, (b.low.y + b.high.y) / 2}
	left, bottom := middle.x-side/2, middle.y-side/2
	p := pen{view: v, flip: 2*bottom + side}
	fmt.Fprintf(&p.out, `<figure><svg xmlns="http://www.w3.org/2000/svg" viewBox="%s %s %s %s" width="%smm" height="%smm" role="img" aria-label="The arm %s">`,
		n(left), n(bottom), n(side), n(side), n(paper), n(paper), v.title)
	for _, t := range s.things {
		p.thing(t, box{point{left, bottom}, point{left + side, bottom + side}})
	}
	for _, c := range s.body {
		p.capsule(c)
	}
	p.joints(s)
	p.dimensions(s, b)
	fmt.Fprintf(&p.out, `</svg><figcaption>%s</figcaption></figure>`, v.title)
	return p.out.String()
}

// pen writes a view's SVG, whose y goes down.
type pen struct {
	view view
	flip float64
	out  strings.Builder
}

func n(x float64) string { return fmt.Sprintf("%.2f", x) }

func (p *pen) down(y float64) float64 { return p.flip - y }

func (p *pen) line(a, b point, class string) {
	fmt.Fprintf(&p.out, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`, class, n(a.x), n(p.down(a.y)), n(b.x), n(p.down(b.y)))
}

func (p *pen) text(at point, anchor, text string) {
	fmt.Fprintf(&p.out, `<text x="%s" y="%s" font-size="%s" text-anchor="%s">%s</text>`, n(at.x), n(p.down(at.y)), n(textSize), anchor, html.EscapeString(text))
}

// capsule is a thick line with round ends: first its edge, then its inside.
func (p *pen) capsule(c kinematics.Capsule) {
	a, b := p.view.project(c.From), p.view.project(c.To)
	for _, stroke := range []struct {
		class string
		width float64
	}{{"edge", 2 * c.Radius}, {"inside", math.Max(2*c.Radius-4, 1)}} {
		fmt.Fprintf(&p.out, `<line class="%s" stroke-width="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`,
			stroke.class, n(stroke.width), n(a.x), n(p.down(a.y)), n(b.x), n(p.down(b.y)))
	}
}

// joints marks every joint's place; those in one place share a mark.
func (p *pen) joints(s *scene) {
	var places []point
	var names []string
	for i, at := range s.joints {
		q := p.view.project(at)
		same := slices.IndexFunc(places, func(o point) bool { return math.Hypot(o.x-q.x, o.y-q.y) < textSize })
		if same >= 0 {
			names[same] += " " + s.names[i]
			continue
		}
		places, names = append(places, q), append(names, s.names[i])
	}
	for i, q := range places {
		fmt.Fprintf(&p.out, `<circle class="joint" cx="%s" cy="%s" r="7"/>`, n(q.x), n(p.down(q.y)))
		p.text(point{q.x + 12, q.y + 12}, "start", names[i])
	}
}

// dimensions draws the base frame's origin, the TCP, and how far it is along the two axes of the view.
func (p *pen) dimensions(s *scene, b box) {
	tip := p.view.project(s.tcp)
	p.line(point{-14, 0}, point{14, 0}, "origin")
	p.line(point{0, -14}, point{0, 14}, "origin")
	fmt.Fprintf(&p.out, `<circle class="tcp" cx="%s" cy="%s" r="8"/>`, n(tip.x), n(p.down(tip.y)))
	below, beside := b.low.y-35, b.high.x+30
	p.line(point{0, 0}, point{0, below}, "helper")
	p.line(tip, point{tip.x, below}, "helper")
	p.line(point{0, 0}, point{beside, 0}, "helper")
	p.line(tip, point{beside, tip.y}, "helper")
	p.line(point{0, below}, point{tip.x, below}, "dimension")
	p.line(point{beside, 0}, point{beside, tip.y}, "dimension")
	p.text(point{tip.x / 2, below - textSize}, "middle", s.label(p.view.names[0], tip.x))
	p.text(point{beside + 6, tip.y / 2}, "start", s.label(p.view.names[1], tip.y))
}

func (s *scene) label(axis string, mm float64) string {
	if slices.Contains(s.hidden, axis) {
		return axis + " = ?"
	}
	text := fmt.Sprintf("%.1f", math.Abs(mm))
	if mm <= -0.05 {
		text = "−" + text
	}
	return axis + " " + text
}

// thing is the outline of a thing in the cell. Of a floor or wall only the edge is seen, where it is seen from the side.
func (p *pen) thing(t clearance.Thing, paper box) {
	var corners []r3.Vec
	switch shape := t.Shape.(type) {
	case clearance.Box:
		for i := range 8 {
			half := func(bit int, size float64) float64 { return size * (float64(i>>bit&1) - 0.5) }
			corners = append(corners, r3.Vec{X: half(0, shape.Size.X), Y: half(1, shape.Size.Y), Z: half(2, shape.Size.Z)})
		}
	case clearance.Cylinder:
		for i := range 48 {
			a := float64(i) * math.Pi / 12
			corners = append(corners, r3.Vec{X: shape.Radius * math.Cos(a), Y: shape.Radius * math.Sin(a), Z: shape.Height * (float64(i/24) - 0.5)})
		}
	case clearance.Sphere:
		c := p.view.project(t.Pose.Position)
		fmt.Fprintf(&p.out, `<circle class="thing" cx="%s" cy="%s" r="%s"/>`, n(c.x), n(p.down(c.y)), n(shape.Radius))
		return
	case clearance.HalfSpace:
		if level := p.view.project(t.Pose.Position).y; r3.Dot(t.Pose.Rotation.Z, p.view.up) > 0.99 {
			p.line(point{paper.low.x, level}, point{paper.high.x, level}, "floor")
		}
		return
	}
	var flat []point
	for _, c := range corners {
		flat = append(flat, p.view.project(t.Pose.Apply(c)))
	}
	p.out.WriteString(`<polygon class="thing" points="`)
	for _, q := range hull(flat) {
		fmt.Fprintf(&p.out, "%s,%s ", n(q.x), n(p.down(q.y)))
	}
	p.out.WriteString(`"/>`)
}

// hull returns the corners of the convex hull (Andrew's monotone chain, Information Processing Letters 9(5), 1979).
func hull(points []point) []point {
	slices.SortFunc(points, func(a, b point) int {
		if a.x != b.x {
			return int(math.Copysign(1, a.x-b.x))
		}
		return int(math.Copysign(1, a.y-b.y))
	})
	var all []point
	for _, way := range []int{1, -1} {
		start := len(all)
		for i := range points {
			q := points[i]
			if way < 0 {
				q = points[len(points)-1-i]
			}
			for len(all) >= start+2 && turn(all[len(all)-2], all[len(all)-1], q) <= 0 {
				all = all[:len(all)-1]
			}
			all = append(all, q)
		}
		all = all[:len(all)-1]
	}
	return all
}

func turn(a, b, c point) float64 { return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x) }
