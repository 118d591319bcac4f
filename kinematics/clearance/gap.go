package clearance

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Gap is the room between two bodies A and B.
type Gap struct {
	// Distance in mm is negative where they overlap; the package documentation says what it is exactly.
	Distance float64
	// OnA and OnB are |Distance| apart. They are the nearest points of the two surfaces; where the bodies overlap, the
	// points of the surfaces that are deepest in the other body. With the axis of a capsule inside a thing, the
	// point of the capsule is as deep as Distance says but need not be on the capsule's surface. Where an axis is within 1e-6 mm
	// of the other body or its axis, the direction between the two is good enough for points to 1e-6 mm, not 1e-9.
	OnA, OnB r3.Vec
}

// BetweenCapsules returns the gap between two capsules that are in the same frame. Links are not looked at.
func BetweenCapsules(a, b kinematics.Capsule) Gap {
	u, v := r3.Sub(a.To, a.From), r3.Sub(b.To, b.From)
	s, t := segments(a.From, u, b.From, v)
	p, q := along(a.From, u, s), along(b.From, v, t)
	way := r3.Sub(q, p)
	far := length(way)
	if far > grazing {
		way = r3.Scale(1/far, way)
	} else {
		way = acrossBoth(u, v)
	}
	distance := far - a.Radius - b.Radius
	on := along(p, way, a.Radius)
	return Gap{Distance: distance, OnA: on, OnB: along(on, way, distance)}
}

// Between returns the gap between the capsule, given in the base frame, and the thing. The capsule's Link is not
// looked at.
func Between(a kinematics.Capsule, b Thing) Gap {
	from, d := into(&b.Pose.Rotation, r3.Sub(a.From, b.Pose.Position)), into(&b.Pose.Rotation, r3.Sub(a.To, a.From))
	p := along(from, d, b.Shape.closest(from, d))
	on, normal := b.Shape.surface(p)
	distance := b.Shape.signed(p) - a.Radius
	return Gap{Distance: distance, OnA: b.Pose.Apply(along(on, normal, distance)), OnB: b.Pose.Apply(on)}
}
