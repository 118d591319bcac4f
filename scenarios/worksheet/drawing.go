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
	"handrule/words"
)

// view is a direction to look from, in the world frame: which way is right on the paper, and which is up.
type view struct {
	title     string // its text's key
	right, up r3.Vec
}

var views = []view{
	{"sheet.view.side", r3.Vec{X: 1}, r3.Vec{Z: 1}},
	{"sheet.view.front", r3.Vec{Y: 1}, r3.Vec{Z: 1}},
	{"sheet.view.above", r3.Vec{X: 1}, r3.Vec{Y: 1}},
}

// point is a place in a view, mm of the arm, up positive.
type point struct{ x, y float64 }

func (v view) project(p r3.Vec) point { return point{r3.Dot(p, v.right), r3.Dot(p, v.up)} }

// toViewer points out of the paper.
func (v view) toViewer() r3.Vec { return r3.Cross(v.right, v.up) }

// scene is what is drawn, in the world frame.
type scene struct {
	base    kinematics.Pose // the base frame
	surface r3.Vec          // the middle of the mounting surface
	body    []kinematics.Capsule
	joints  []r3.Vec
	names   []string
	tcp     r3.Vec
	things  []keyed
	frames  []drawnFrame
	goal    *r3.Vec  // where the TCP should go
	hidden  []string // dimensions that are asked for, and shown as a question mark: "x"
}

// keyed is a thing with the letter that stands for it in the drawings.
type keyed struct {
	key string
	clearance.Thing
}

// drawnFrame is a frame with its name.
type drawnFrame struct {
	word string // in a lesson's file: "base", "task tile"
	name string // in the drawing
	kinematics.Pose
	aside bool // there whatever is asked: neither the task nor its text speaks of it
}

// Sizes on the paper, mm.
const (
	gap       = 2.0
	padLeft   = 9.0
	padRight  = 19.0
	padTop    = 5.0
	padBottom = 9.5
	highest   = 54.0 // a view
	arrow     = 8.0  // the axis of a frame
)

// box is the part of a view that something takes up, mm of the arm.
type box struct{ low, high point }

func emptyBox() box {
	inf := math.Inf(1)
	return box{point{inf, inf}, point{-inf, -inf}}
}

func (b *box) add(p point, around float64) {
	b.low = point{math.Min(b.low.x, p.x-around), math.Min(b.low.y, p.y-around)}
	b.high = point{math.Max(b.high.x, p.x+around), math.Max(b.high.y, p.y+around)}
}

// bounds returns what has to be in a view: the arm, the goal and the frames.
func (s *scene) bounds(v view) box {
	b := emptyBox()
	for _, c := range s.body {
		b.add(v.project(c.From), c.Radius)
		b.add(v.project(c.To), c.Radius)
	}
	b.add(v.project(s.tcp), 20)
	b.add(v.project(s.base.Position), 20)
	if s.goal != nil {
		b.add(v.project(*s.goal), 20)
	}
	for _, f := range s.frames {
		b.add(v.project(f.Position), 20)
	}
	return b
}

// drawings returns the three views as SVG, side by side at one scale, together as wide as the paper: with the frames and
// their names, the joints, the things by their letters, and the dimensions from the base frame's origin to the TCP.
func (s *scene) drawings(width float64, in *words.Language) string {
	scale := s.scale(width)
	var all strings.Builder
	for _, v := range views {
		all.WriteString(s.drawing(v, scale, in))
	}
	return all.String()
}

// scale is how long a mm of the arm is on paper of that width, mm.
func (s *scene) scale(width float64) float64 {
	wide, high := 0.0, 0.0
	for _, v := range views {
		b := s.bounds(v)
		wide, high = wide+b.high.x-b.low.x, max(high, b.high.y-b.low.y)
	}
	room := width - float64(len(views))*(padLeft+padRight+gap)
	return math.Min(room/wide, (highest-padTop-padBottom)/high)
}

func (s *scene) drawing(v view, scale float64, in *words.Language) string {
	p := s.drawn(v, scale, in)
	return fmt.Sprintf(`<figure><svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%smm" height="%smm" role="img" aria-label="%s">%s</svg><figcaption>%s</figcaption></figure>`,
		n(p.width), n(p.height), n(p.width), n(p.height), html.EscapeString(in.Say(v.title)), p.out.String(), html.EscapeString(in.Say(v.title)))
}

// drawn draws a view.
func (s *scene) drawn(v view, scale float64, in *words.Language) *pen {
	p := s.pen(v, scale)
	for _, t := range s.things {
		p.thing(t)
	}
	for _, c := range s.body {
		p.capsule(c)
	}
	p.dimensions(s, in)
	p.drawFrames(s)
	p.joints(s)
	p.ends(s, in)
	for _, k := range p.keys {
		p.labels.put(k.text, k.to, true)
	}
	p.writeLabels()
	return p
}

// larger leaves out of the drawings frames that are there aside, where these make all the rest much smaller, as the world frame on
// the floor does under an arm on a bench. Their numbers stand beside the drawings all the same.
func (s *scene) larger(width float64) *scene {
	without := *s
	without.frames = slices.DeleteFunc(slices.Clone(s.frames), func(f drawnFrame) bool { return f.aside })
	if s.scale(width) < 0.8*without.scale(width) {
		return &without
	}
	return s
}

// pen writes a view's SVG in mm of the paper.
type pen struct {
	view          view
	scale         float64
	box           box // what has to be in it, mm of the arm
	width, height float64
	labels        labels
	keys          []label // of things, placed last
	out           strings.Builder
}

func (s *scene) pen(v view, scale float64) *pen {
	p := &pen{view: v, scale: scale, box: s.bounds(v)}
	p.width = padLeft + padRight + scale*(p.box.high.x-p.box.low.x)
	p.height = padTop + padBottom + scale*(p.box.high.y-p.box.low.y)
	p.labels.area = rect{p.width / 2, p.height / 2, p.width, p.height}
	return p
}

func n(x float64) string { return fmt.Sprintf("%.2f", x) }

// at is a place on the paper.
func (p *pen) at(q point) spot {
	return spot{padLeft + p.scale*(q.x-p.box.low.x), padTop + p.scale*(p.box.high.y-q.y)}
}

func (p *pen) spotOf(v r3.Vec) spot { return p.at(p.view.project(v)) }

func (p *pen) line(a, b spot, class string) {
	fmt.Fprintf(&p.out, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`, class, n(a.x), n(a.y), n(b.x), n(b.y))
}

func (p *pen) circle(at spot, radius float64, class string) {
	fmt.Fprintf(&p.out, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, n(at.x), n(at.y), n(radius))
}

// capsule is a thick line with round ends: first its edge, then its inside.
func (p *pen) capsule(c kinematics.Capsule) {
	a, b := p.spotOf(c.From), p.spotOf(c.To)
	width := 2 * c.Radius * p.scale
	for _, stroke := range []struct {
		class string
		width float64
	}{{"edge", width}, {"inside", math.Max(width-0.4, 0.1)}} {
		fmt.Fprintf(&p.out, `<line class="%s" stroke-width="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`, stroke.class, n(stroke.width), n(a.x), n(a.y), n(b.x), n(b.y))
	}
}

// joints marks every joint's place; those in one place share a mark.
func (p *pen) joints(s *scene) {
	var places []spot
	var names []string
	for i, at := range s.joints {
		q := p.spotOf(at)
		same := slices.IndexFunc(places, func(o spot) bool { return math.Hypot(o.x-q.x, o.y-q.y) < 1.5 })
		if same >= 0 {
			names[same] += " " + s.names[i]
			continue
		}
		places, names = append(places, q), append(names, s.names[i])
	}
	for _, q := range places {
		p.circle(q, 0.7, "joint")
		p.labels.marks = append(p.labels.marks, rect{q.x, q.y, 1.6, 1.6})
	}
	for i, q := range places {
		p.labels.put(names[i], q, false)
	}
}

// ends draws the TCP, and where it should go.
func (p *pen) ends(s *scene, in *words.Language) {
	tip := p.spotOf(s.tcp)
	p.circle(tip, 0.8, "tcp")
	p.labels.marks = append(p.labels.marks, rect{tip.x, tip.y, 2, 2})
	p.labels.put("TCP", tip, false)
	if s.goal != nil {
		goal := p.spotOf(*s.goal)
		p.circle(goal, 1.4, "goal")
		p.labels.marks = append(p.labels.marks, rect{goal.x, goal.y, 3, 3})
		p.labels.put(in.Say("sheet.goal"), goal, false)
	}
}

// parallel reports whether two directions lie along one line.
func parallel(a, b r3.Vec) bool { return math.Abs(r3.Dot(r3.Unit(a), r3.Unit(b))) > 0.999 }

// dimensions draws how far the TCP is from the base frame's origin along those of its axes that run across or up the view,
// and how high the origin is above the mounting surface.
func (p *pen) dimensions(s *scene, in *words.Language) {
	origin, tip, surface := p.spotOf(s.base.Position), p.spotOf(s.tcp), p.spotOf(s.surface)
	below, beside, left := p.at(p.box.low).y+3.5, p.at(p.box.high).x+3, p.at(p.box.low).x-3.5
	from := s.base.Inverse().Apply(s.tcp)
	for i, mm := range []float64{from.X, from.Y, from.Z} {
		axis, name := s.base.Rotation.Axis(i), "xyz"[i:i+1]
		if math.Abs(mm) < 0.05 && !slices.Contains(s.hidden, name) {
			continue // It says itself, and a line of no length says nothing.
		}
		var a, b, to spot
		switch {
		case parallel(axis, p.view.right):
			a, b = spot{origin.x, below}, spot{tip.x, below}
			to = spot{(a.x + b.x) / 2, below + 0.8}
		case parallel(axis, p.view.up):
			a, b = spot{beside, origin.y}, spot{beside, tip.y}
			to = spot{beside + 1, (a.y + b.y) / 2}
		default:
			continue // See walk.
		}
		p.line(origin, a, "helper")
		p.line(tip, b, "helper")
		p.dimension(a, b)
		p.labels.put(s.dimensionText(name, mm, in), to, false)
	}
	if !parallel(s.base.Rotation.Z, views[0].up) {
		p.walk(s, from, in)
	}
	if up := s.base.Rotation.Z; p.view.title == "sheet.view.side" && parallel(up, p.view.up) && math.Abs(origin.y-surface.y) > 2 {
		a, b := spot{left, origin.y}, spot{left, surface.y}
		p.line(origin, a, "helper")
		p.line(surface, b, "helper")
		p.dimension(a, b)
		p.labels.put(in.Short(r3.Norm(r3.Sub(s.base.Position, s.surface)), 1), spot{left - 1, (a.y + b.y) / 2}, false)
	}
}

// walk draws the way from the origin of a base frame that is not upright to the TCP, along those of its axes that lie in the
// plane of the view: X, then Y, then Z.
func (p *pen) walk(s *scene, to r3.Vec, in *words.Language) {
	at := r3.Vec{}
	for i, mm := range []float64{to.X, to.Y, to.Z} {
		next := r3.Add(at, r3.Scale(mm, [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}[i]))
		a, b := p.spotOf(s.base.Apply(at)), p.spotOf(s.base.Apply(next))
		across := math.Abs(r3.Dot(s.base.Rotation.Axis(i), p.view.toViewer())) < 0.02
		if across && math.Abs(mm) > 0.05 {
			p.dimension(a, b)
			p.labels.put(s.dimensionText("xyz"[i:i+1], mm, in), spot{(a.x + b.x) / 2, (a.y + b.y) / 2}, false)
		}
		at = next
	}
}

// dimension is a line with a stroke across each end.
func (p *pen) dimension(a, b spot) {
	p.line(a, b, "dimension")
	for _, end := range []spot{a, b} {
		p.line(spot{end.x - 0.7, end.y + 0.7}, spot{end.x + 0.7, end.y - 0.7}, "dimension")
	}
	p.labels.markLine(a, b)
}

func (s *scene) dimensionText(axis string, mm float64, in *words.Language) string {
	if slices.Contains(s.hidden, axis) {
		return strings.ToUpper(axis) + " = ?"
	}
	return strings.ToUpper(axis) + " " + in.Short(mm, 1)
}

// drawFrames draws the frames as arrows with their letters. Those that look alike in a view are drawn once, with all names.
func (p *pen) drawFrames(s *scene) {
	type arrows struct {
		origin spot
		ways   [3]spot
		names  []string
	}
	var all []arrows
	for _, f := range s.frames {
		a := arrows{origin: p.spotOf(f.Position), names: []string{f.name}}
		for i := range 3 {
			w := p.view.project(f.Rotation.Axis(i))
			a.ways[i] = spot{arrow * w.x, -arrow * w.y}
		}
		alike := func(o arrows) bool {
			off := math.Hypot(o.origin.x-a.origin.x, o.origin.y-a.origin.y)
			for i := range 3 {
				off += math.Hypot(o.ways[i].x-a.ways[i].x, o.ways[i].y-a.ways[i].y)
			}
			return off < 0.5
		}
		if i := slices.IndexFunc(all, alike); i >= 0 {
			all[i].names = append(all[i].names, f.name)
			continue
		}
		all = append(all, a)
	}
	for _, a := range all {
		p.circle(a.origin, 0.5, "tcp")
		p.labels.marks = append(p.labels.marks, rect{a.origin.x, a.origin.y, 1.4, 1.4})
		for i, w := range a.ways {
			tip := spot{a.origin.x + w.x, a.origin.y + w.y}
			if math.Hypot(w.x, w.y) < arrow/5 { // It points to the viewer, or away.
				continue
			}
			p.arrow(a.origin, tip)
			p.labels.markLine(a.origin, tip)
			p.labels.put("XYZ"[i:i+1], tip, false)
		}
	}
	for _, a := range all {
		p.labels.put(strings.Join(a.names, ", "), a.origin, false)
	}
}

func (p *pen) arrow(a, b spot) {
	p.line(a, b, "axis")
	angle := math.Atan2(b.y-a.y, b.x-a.x)
	for _, side := range []float64{-0.4, 0.4} {
		sin, cos := math.Sincos(angle + math.Pi + side)
		p.line(b, spot{b.x + 1.6*cos, b.y + 1.6*sin}, "axis")
	}
}

// thing is the outline of a thing in the cell, with its letter. Of a floor or wall only the edge is seen, where it is seen
// from the side.
func (p *pen) thing(t keyed) {
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
		for i := range 24 {
			sin, cos := math.Sincos(float64(i) * math.Pi / 12)
			way := r3.Add(r3.Scale(cos, p.view.right), r3.Scale(sin, p.view.up))
			corners = append(corners, t.Pose.Rotation.Transpose().Apply(r3.Scale(shape.Radius, way)))
		}
	case clearance.HalfSpace:
		p.surface(t)
		return
	}
	var flat []point
	for _, c := range corners {
		flat = append(flat, p.view.project(t.Pose.Apply(c)))
	}
	var seen []spot
	p.out.WriteString(`<polygon class="thing" points="`)
	for _, q := range hull(flat) {
		s := p.at(q)
		fmt.Fprintf(&p.out, "%s,%s ", n(s.x), n(s.y))
		seen = append(seen, s)
	}
	p.out.WriteString(`"/>`)
	if to, in := p.inSight(seen); in {
		p.keys = append(p.keys, label{text: t.key, to: to})
	}
}

// surface is a floor or a wall.
func (p *pen) surface(t keyed) {
	across := r3.Cross(t.Pose.Rotation.Z, p.view.toViewer())
	if r3.Norm(across) < 0.99 {
		return // It is seen from the front.
	}
	at, way := p.spotOf(t.Pose.Position), p.view.project(across)
	a, b := spot{at.x - 500*way.x, at.y + 500*way.y}, spot{at.x + 500*way.x, at.y - 500*way.y}
	p.line(a, b, "floor")
	if to, in := p.inSight([]spot{a, b}); in && t.key != "" {
		p.keys = append(p.keys, label{text: t.key, to: to})
	}
}

// inSight returns a place on the edge of what is drawn that is on the paper; false where none is.
func (p *pen) inSight(corners []spot) (to spot, in bool) {
	const inside = 1.5
	best := math.Inf(1)
	for i, a := range corners {
		b := corners[(i+1)%len(corners)]
		steps := math.Max(math.Ceil(math.Hypot(b.x-a.x, b.y-a.y)), 1)
		for k := 0.0; k <= steps; k++ {
			q := spot{a.x + k/steps*(b.x-a.x), a.y + k/steps*(b.y-a.y)}
			if q.x < inside || q.y < inside || q.x > p.width-inside || q.y > p.height-inside {
				continue
			}
			// As far from the arm as can be, where there is most room.
			if crowd := -math.Hypot(q.x-p.width/2, q.y-p.height/2); crowd < best {
				to, in, best = q, true, crowd
			}
		}
	}
	return to, in
}

func (p *pen) writeLabels() {
	for _, l := range p.labels.placed {
		class := ""
		if l.apart || l.ring {
			edge := spot{l.x + math.Max(-l.w/2, math.Min(l.w/2, l.to.x-l.x)), l.y + math.Max(-l.h/2, math.Min(l.h/2, l.to.y-l.y))}
			p.line(edge, l.to, "leader")
			p.circle(l.to, 0.3, "tcp")
		}
		if l.ring {
			p.circle(spot{l.x, l.y}, l.w/2-0.2, "ring")
			class = ` class="key"`
		}
		fmt.Fprintf(&p.out, `<text%s x="%s" y="%s" font-size="%s" text-anchor="middle">%s</text>`, class, n(l.x), n(l.y+0.36*letters), n(letters), html.EscapeString(l.text))
	}
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
