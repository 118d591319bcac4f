package kinematics

import "gonum.org/v1/gonum/spatial/r3"

// Jacobian is geometric and in base coordinates: column i is what joint i does at one rad/s, rows 1–3 the
// velocity of a point in mm/rad, rows 4–6 the angular velocity in rad/rad.
type Jacobian [6][6]float64

// axes writes for every joint where its axis is, a point on it and its direction, and returns the flange. The frame is
// kept as its four vectors, which the compiler holds in registers.
func (k *chain) axes(q *Joints, at, axis *[6]r3.Vec) (flange Pose) {
	var turn [6]direction
	turns(k.link[:], q[:], turn[:])
	x, y, z, p := k.base.Rotation.X, k.base.Rotation.Y, k.base.Rotation.Z, k.base.Position
	for i := range turn {
		at[i], axis[i] = p, z
		t, l := &turn[i], &k.link[i]
		x, y = mix(t.cos, x, t.sin, y), mix(t.cos, y, -t.sin, x)
		p = r3.Add(p, r3.Add(mix(l.step.X, x, l.step.Y, y), r3.Scale(l.step.Z, z)))
		if i < 5 {
			y, z = mix(l.cosTwist, y, l.sinTwist, z), mix(l.cosTwist, z, -l.sinTwist, y)
		}
	}
	tip := &k.tip
	x, z = r3.Add(mix(tip.X.X, x, tip.X.Y, y), r3.Scale(tip.X.Z, z)), r3.Add(mix(tip.Z.X, x, tip.Z.Y, y), r3.Scale(tip.Z.Z, z))
	return Pose{Position: p, Rotation: Rotation{X: x, Y: r3.Cross(z, x), Z: z}}
}

// mix returns a·u + b·v.
func mix(a float64, u r3.Vec, b float64, v r3.Vec) r3.Vec {
	return r3.Vec{X: a*u.X + b*v.X, Y: a*u.Y + b*v.Y, Z: a*u.Z + b*v.Z}
}

// Jacobian returns the TCP of a tool mounted on the flange, in the base frame, and the Jacobian at that TCP.
// Column i is (axis × (TCP − point on the axis), axis); Lynch and Park, Modern Robotics, ch. 5; Craig, ch. 5.
func (a *Arm) Jacobian(q Joints, tool Pose) (tcp Pose, jac Jacobian) {
	var at, axis [6]r3.Vec
	tcp = a.chain.axes(&q, &at, &axis)
	if tool != Identity {
		tcp = tcp.Mul(tool)
	}
	for i := range q {
		v := r3.Cross(axis[i], r3.Sub(tcp.Position, at[i]))
		jac[0][i], jac[1][i], jac[2][i] = v.X, v.Y, v.Z
		jac[3][i], jac[4][i], jac[5][i] = axis[i].X, axis[i].Y, axis[i].Z
	}
	return tcp, jac
}

// shorten divides the rows in mm by a length, so that all are pure numbers.
func (jac *Jacobian) shorten(length float64) {
	for row := range 3 {
		for col := range 6 {
			jac[row][col] /= length
		}
	}
}

// Velocity returns the velocity of the point the Jacobian belongs to, mm/s, and the angular velocity, rad/s, for
// the joint speeds qd in rad/s.
func (jac *Jacobian) Velocity(qd Joints) (linear, angular r3.Vec) {
	var v [6]float64
	for row := range v {
		for i, speed := range qd {
			v[row] += jac[row][i] * speed
		}
	}
	return r3.Vec{X: v[0], Y: v[1], Z: v[2]}, r3.Vec{X: v[3], Y: v[4], Z: v[5]}
}
