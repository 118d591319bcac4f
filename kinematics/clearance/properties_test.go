package clearance_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// measured is a capsule and what it is measured against: a thing, or another capsule where the thing has no shape.
type measured struct {
	c     kinematics.Capsule
	other kinematics.Capsule
	thing clearance.Thing
}

var pairs = rapid.Custom(func(t *rapid.T) measured {
	m := measured{c: capsules.Draw(t, "capsule")}
	if rapid.IntRange(0, 3).Draw(t, "against") == 0 {
		m.other = capsules.Draw(t, "other")
	} else {
		m.thing = things.Draw(t, "thing")
	}
	return m
})

func (m measured) gap() clearance.Gap {
	if m.thing.Shape == nil {
		return clearance.BetweenCapsules(m.c, m.other)
	}
	return clearance.Between(m.c, m.thing)
}

func moved(p kinematics.Pose, c kinematics.Capsule) kinematics.Capsule {
	c.From, c.To = p.Apply(c.From), p.Apply(c.To)
	return c
}

func TestMovedTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, p := pairs.Draw(t, "pair"), poses.Draw(t, "move")
		before := m.gap().Distance
		m.c, m.other, m.thing.Pose = moved(p, m.c), moved(p, m.other), p.Mul(m.thing.Pose)
		if after := m.gap().Distance; !(math.Abs(after-before) <= 1e-9) {
			t.Fatalf("moved together, the distance goes from %.15g to %.15g", before, after)
		}
	})
}

func TestCapsulesEitherWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := capsules.Draw(t, "a"), capsules.Draw(t, "b")
		there := clearance.BetweenCapsules(a, b).Distance
		a.From, a.To = a.To, a.From
		if back := clearance.BetweenCapsules(b, a).Distance; !(math.Abs(there-back) <= 1e-9) {
			t.Fatalf("distance %.15g, the other way round %.15g", there, back)
		}
	})
}

// A distance changes by no more than the ends of the capsule's axis move, the one end like this and the other like that.
// Jumping over nothing rests on it, inside as well as outside.
func TestChangesByNoMoreThanTheMove(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := pairs.Draw(t, "pair")
		before := m.gap().Distance
		size := math.Pow(10, rapid.Float64Range(-9, 0).Draw(t, "log size"))
		from, to := r3.Scale(size, points.Draw(t, "from moves")), r3.Scale(size, points.Draw(t, "to moves"))
		m.c.From, m.c.To = r3.Add(m.c.From, from), r3.Add(m.c.To, to)
		most := math.Max(r3.Norm(from), r3.Norm(to))
		if after := m.gap().Distance; !(math.Abs(after-before) <= most+1e-9) {
			t.Fatalf("the distance goes from %.15g to %.15g, but no point moved more than %g", before, after, most)
		}
	})
}

// The nearest points are as far apart as the distance says, and on both surfaces.
func TestNearestPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := pairs.Draw(t, "pair")
		g := m.gap()
		if off := r3.Norm(r3.Sub(g.OnA, g.OnB)) - math.Abs(g.Distance); !(math.Abs(off) <= 1e-9) {
			t.Fatalf("%+v: the points' distance is off by %g", g, off)
		}
		axes := g.Distance + m.c.Radius
		if m.thing.Shape == nil {
			axes += m.other.Radius
		}
		// The direction between axes that all but meet is only as good as what is left of their distance.
		tolerance := 1e-9
		if axes < 1e-6 {
			tolerance = 1e-6
		}
		onSurface := func(name string, c kinematics.Capsule, p r3.Vec) {
			if off := bruteCapsules(c, kinematics.Capsule{From: p, To: p}); !(math.Abs(off) <= tolerance) {
				t.Fatalf("%+v: the point on %s is %g off its surface", g, name, off)
			}
		}
		if m.thing.Shape == nil {
			onSurface("A", m.c, g.OnA)
			onSurface("B", m.other, g.OnB)
			return
		}
		if off := pointDistance(g.OnB, m.thing); !(math.Abs(off) <= 1e-9) {
			t.Fatalf("%+v: the point on the thing is %g off its surface", g, off)
		}
		if axes > 1e-6 { // outside
			onSurface("the capsule", m.c, g.OnA)
		}
	})
}

// No point of the capsule is nearer to any point of the thing than the distance.
func TestNothingIsNearer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, thing := capsules.Draw(t, "capsule"), things.Draw(t, "thing")
		d := clearance.Between(c, thing).Distance
		unit := rapid.Float64Range(0, 1)
		onAxis := mix(c, unit.Draw(t, "along"))
		x, y, z := 2*unit.Draw(t, "x")-1, 2*unit.Draw(t, "y")-1, 2*unit.Draw(t, "z")-1
		var p r3.Vec
		switch s := thing.Shape.(type) {
		case clearance.Box:
			p = vec(x*s.Size.X/2, y*s.Size.Y/2, z*s.Size.Z/2)
		case clearance.Cylinder:
			sin, cos := math.Sincos(math.Pi * x)
			p = vec(y*cos*s.Radius, y*sin*s.Radius, z*s.Height/2)
		case clearance.Sphere:
			if p = vec(x, y, z); r3.Norm(p) > 0 {
				p = r3.Scale(s.Radius*unit.Draw(t, "out")/r3.Norm(p), p)
			}
		case clearance.HalfSpace:
			p = vec(500*x, 500*y, -500*unit.Draw(t, "down"))
		}
		if sample := r3.Norm(r3.Sub(onAxis, thing.Pose.Apply(p))) - c.Radius; sample < d-1e-9 {
			t.Fatalf("distance %.15g, but two points are only %.15g apart", d, sample)
		}
	})
}

// While the axis is outside, moving the capsule along the line of the two points by the depth just separates the two.
func TestDepthSeparates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := pairs.Draw(t, "pair")
		g := m.gap()
		if g.Distance >= 0 || m.thing.Shape != nil && g.Distance < -m.c.Radius+1e-6 {
			t.Skip("they are apart, or the axis is inside")
		}
		out := kinematics.Pose{Position: r3.Sub(g.OnB, g.OnA), Rotation: kinematics.NoRotation}
		m.c = moved(out, m.c)
		if after := m.gap().Distance; !(math.Abs(after) <= 1e-8) {
			t.Fatalf("moved apart by the depth %g, the distance is %g", g.Distance, after)
		}
	})
}
