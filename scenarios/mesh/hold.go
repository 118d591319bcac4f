package mesh

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// mostPieces is into how many capsules one behind the other a mesh is cut at most.
const mostPieces = 4

// worthIt is by what part of the volume more capsules must be smaller to be taken.
const worthIt = 0.85

// Hold returns capsules that hold the mesh within them: every triangle is within one of them. They lie one behind the other along the axis, of
// the mesh's own and of the frame's, that takes the least volume; most is how many there may be.
func (m *Mesh) Hold(most int) []kinematics.Capsule {
	// The axis is chosen by a part of a large mesh; what is returned holds all of it.
	part := &Mesh{Points: m.Points}
	for t := 0; t < len(m.Triangles); t += 1 + len(m.Triangles)/trianglesTried {
		part.Triangles = append(part.Triangles, m.Triangles[t])
	}
	var along r3.Vec
	least, count, into := math.Inf(1), mostPieces+1, 1
	for _, axis := range m.axes() {
		for pieces := 1; pieces <= min(most, mostPieces); pieces++ {
			held, volume := part.heldAlong(axis, pieces)
			if volume < least*worthIt || len(held) <= count && volume < least {
				along, least, count, into = axis, volume, len(held), pieces
			}
		}
	}
	held, _ := m.heldAlong(along, into)
	return held
}

// trianglesTried is by how many triangles the axis is chosen.
const trianglesTried = 4000

// axes are the frame's and the directions in which the points spread most and least.
func (m *Mesh) axes() []r3.Vec {
	var middle r3.Vec
	for _, p := range m.Points {
		middle = r3.Add(middle, r3.Scale(1/float64(len(m.Points)), p))
	}
	var c [3]r3.Vec
	for _, p := range m.Points {
		d := r3.Sub(p, middle)
		c[0], c[1], c[2] = r3.Add(c[0], r3.Scale(d.X, d)), r3.Add(c[1], r3.Scale(d.Y, d)), r3.Add(c[2], r3.Scale(d.Z, d))
	}
	all := []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}
	// The direction of the widest spread, by power iteration; to a direction that is only near, capsules fit nearly as well.
	for _, start := range []r3.Vec{{X: 1, Y: 0.3, Z: 0.2}, {X: -0.2, Y: 1, Z: 0.3}} {
		v := start
		for range 60 {
			next := r3.Vec{X: r3.Dot(c[0], v), Y: r3.Dot(c[1], v), Z: r3.Dot(c[2], v)}
			if n := r3.Norm(next); n > 0 {
				v = r3.Scale(1/n, next)
			}
		}
		if n := r3.Norm(v); n > 0 {
			all = append(all, r3.Scale(1/n, v))
		}
	}
	return all
}

// heldAlong cuts the mesh into pieces along an axis, each triangle belonging to one, and holds each in a capsule along it.
func (m *Mesh) heldAlong(axis r3.Vec, pieces int) (all []kinematics.Capsule, volume float64) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range m.Points {
		low, high = min(low, r3.Dot(p, axis)), max(high, r3.Dot(p, axis))
	}
	of := make([][]int32, pieces)
	for _, t := range m.Triangles {
		middle := (r3.Dot(m.Points[t[0]], axis) + r3.Dot(m.Points[t[1]], axis) + r3.Dot(m.Points[t[2]], axis)) / 3
		piece := 0
		if high > low {
			piece = min(pieces-1, max(0, int((middle-low)/(high-low)*float64(pieces))))
		}
		of[piece] = append(of[piece], t[:]...)
	}
	for _, points := range of {
		if len(points) == 0 {
			continue
		}
		slices.Sort(points)
		c := m.around(axis, slices.Compact(points))
		all = append(all, c)
		volume += math.Pi * c.Radius * c.Radius * (r3.Norm(r3.Sub(c.To, c.From)) + 4*c.Radius/3)
	}
	return all, volume
}

// slack is the part by which a capsule is made wider, so that rounding leaves no point outside.
const slack = 1e-9

// around returns a capsule along an axis that holds these points.
func (m *Mesh) around(axis r3.Vec, points []int32) kinematics.Capsule {
	u, v := across(axis)
	type flat struct{ x, y, along float64 }
	all := make([]flat, len(points))
	for i, n := range points {
		p := m.Points[n]
		all[i] = flat{r3.Dot(p, u), r3.Dot(p, v), r3.Dot(p, axis)}
	}
	// The circle around what is seen along the axis: the middle goes towards the farthest point, ever less (Badoiu and Clarkson; from memory).
	x, y := all[0].x, all[0].y
	farthest := func() (far flat, radius float64) {
		for _, p := range all {
			if d := math.Hypot(p.x-x, p.y-y); d >= radius {
				far, radius = p, d
			}
		}
		return far, radius
	}
	for i := range 60 {
		far, _ := farthest()
		x, y = x+(far.x-x)/float64(i+2), y+(far.y-y)/float64(i+2)
	}
	_, radius := farthest()
	radius *= 1 + slack
	// Round ends reach beyond the ends of the axis; for each point so far as it is from the axis.
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range all {
		reach := math.Sqrt(max(0, radius*radius-(p.x-x)*(p.x-x)-(p.y-y)*(p.y-y)))
		low, high = min(low, p.along+reach), max(high, p.along-reach)
	}
	if low > high { // a ball holds them all
		low = (low + high) / 2
		high = low
	}
	at := func(along float64) r3.Vec {
		return r3.Add(r3.Add(r3.Scale(x, u), r3.Scale(y, v)), r3.Scale(along, axis))
	}
	c := kinematics.Capsule{From: at(low), To: at(high)}
	for _, n := range points {
		c.Radius = max(c.Radius, fromAxis(&c, m.Points[n])*(1+slack))
	}
	c.Radius = max(c.Radius, slack)
	return c
}

// across returns two unit vectors square to an axis and to each other.
func across(axis r3.Vec) (u, v r3.Vec) {
	other := r3.Vec{X: 1}
	if math.Abs(axis.X) > 0.7 {
		other = r3.Vec{Y: 1}
	}
	u = r3.Unit(r3.Cross(axis, other))
	return u, r3.Cross(axis, u)
}

// fromAxis is how far a point is from a capsule's axis.
func fromAxis(c *kinematics.Capsule, p r3.Vec) float64 {
	along, to := r3.Sub(c.To, c.From), r3.Sub(p, c.From)
	s := 0.0
	if n := r3.Norm2(along); n > 0 {
		s = min(1, max(0, r3.Dot(to, along)/n))
	}
	return r3.Norm(r3.Sub(to, r3.Scale(s, along)))
}

// How closely it is measured how far capsules stand off: at so many points of each, against at most so many triangles.
const (
	ringsLooked     = 14
	roundLooked     = 24
	trianglesLooked = 6_000
)

// StandOff is about how far the capsules stand off the mesh at most, measured at points all over them.
func (m *Mesh) StandOff(capsules []kinematics.Capsule) (most float64) {
	every := max(1, len(m.Triangles)/trianglesLooked)
	for i := range capsules {
		c := &capsules[i]
		axis := r3.Vec{Z: 1}
		if along := r3.Sub(c.To, c.From); r3.Norm(along) > 0 {
			axis = r3.Unit(along)
		}
		u, v := across(axis)
		for ring := range ringsLooked + 1 {
			// From pole to pole: over one round end, along the axis, over the other.
			middle, up, wide := c.From, 0.0, 1.0
			switch s := float64(ring) / ringsLooked; {
			case s < 0.3:
				up, wide = -math.Cos(s/0.3*math.Pi/2), math.Sin(s/0.3*math.Pi/2)
			case s > 0.7:
				middle, up, wide = c.To, math.Cos((1-s)/0.3*math.Pi/2), math.Sin((1-s)/0.3*math.Pi/2)
			default:
				middle = r3.Add(c.From, r3.Scale((s-0.3)/0.4, r3.Sub(c.To, c.From)))
			}
			for turn := range roundLooked {
				sin, cos := math.Sincos(2 * math.Pi * float64(turn) / roundLooked)
				p := r3.Add(middle, r3.Scale(c.Radius, r3.Add(r3.Scale(up, axis), r3.Scale(wide, r3.Add(r3.Scale(cos, u), r3.Scale(sin, v))))))
				if slices.ContainsFunc(capsules, func(other kinematics.Capsule) bool { return fromAxis(&other, p) < other.Radius*(1-1e-6) }) {
					continue // within another
				}
				near := math.Inf(1)
				for t := 0; t < len(m.Triangles); t += every {
					corners := m.Triangles[t]
					near = min(near, fromTriangle(p, m.Points[corners[0]], m.Points[corners[1]], m.Points[corners[2]]))
				}
				most = max(most, math.Sqrt(near))
			}
		}
	}
	return most
}

// fromTriangle is the square of the distance of a point from a triangle (Ericson, Real-Time Collision Detection, 5.1.5, as three names it beside its own).
func fromTriangle(p, a, b, c r3.Vec) float64 {
	ab, ac, ap := r3.Sub(b, a), r3.Sub(c, a), r3.Sub(p, a)
	d1, d2 := r3.Dot(ab, ap), r3.Dot(ac, ap)
	if d1 <= 0 && d2 <= 0 {
		return r3.Norm2(ap)
	}
	bp := r3.Sub(p, b)
	d3, d4 := r3.Dot(ab, bp), r3.Dot(ac, bp)
	if d3 >= 0 && d4 <= d3 {
		return r3.Norm2(bp)
	}
	if vc := d1*d4 - d3*d2; vc <= 0 && d1 >= 0 && d3 <= 0 && d1 > d3 {
		return r3.Norm2(r3.Sub(ap, r3.Scale(d1/(d1-d3), ab)))
	}
	cp := r3.Sub(p, c)
	d5, d6 := r3.Dot(ab, cp), r3.Dot(ac, cp)
	if d6 >= 0 && d5 <= d6 {
		return r3.Norm2(cp)
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 && d2 > d6 {
		return r3.Norm2(r3.Sub(ap, r3.Scale(d2/(d2-d6), ac)))
	}
	va := d3*d6 - d5*d4
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 && d4-d3+d5-d6 > 0 {
		return r3.Norm2(r3.Sub(bp, r3.Scale((d4-d3)/(d4-d3+d5-d6), r3.Sub(c, b))))
	}
	vc := d1*d4 - d3*d2
	sum := va + vb + vc
	if sum <= 0 { // a triangle of no area
		return min(r3.Norm2(ap), r3.Norm2(bp), r3.Norm2(cp))
	}
	return r3.Norm2(r3.Sub(ap, r3.Add(r3.Scale(vb/sum, ab), r3.Scale(vc/sum, ac))))
}

// Placed is the mesh, so many mm to a unit along its axes, at a place.
func (m *Mesh) Placed(at kinematics.Pose, scale r3.Vec) *Mesh {
	placed := &Mesh{Triangles: m.Triangles, Points: make([]r3.Vec, len(m.Points))}
	for i, p := range m.Points {
		placed.Points[i] = at.Apply(r3.Vec{X: p.X * scale.X, Y: p.Y * scale.Y, Z: p.Z * scale.Z})
	}
	return placed
}

// Beyond is how far the mesh reaches out of all capsules, measured at the corners of its triangles; at most 0 where they hold it.
func (m *Mesh) Beyond(capsules []kinematics.Capsule) float64 {
	most := math.Inf(-1)
	for _, t := range m.Triangles {
		for _, i := range t {
			near := math.Inf(1)
			for k := range capsules {
				near = min(near, fromAxis(&capsules[k], m.Points[i])-capsules[k].Radius)
			}
			most = max(most, near)
		}
	}
	return most
}
