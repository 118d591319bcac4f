package kinematics

import "gonum.org/v1/gonum/spatial/r3"

// Jacobian is geometric and in base coordinates: column i is what joint i does at one rad/s, rows 1–3 the
// velocity of a point in mm/rad, rows 4–6 the angular velocity in rad/rad.
type Jacobian [6][6]float64

// axes returns the flange and, for every joint, where its axis is: a point on it and its direction.
func (a *Arm) axes(q *Joints) (flange Pose, at, axis [6]r3.Vec) {
	k := &a.chain
	p := k.base
	for i := range q {
		l := &k.link[i]
		at[i], axis[i] = p.Position, p.Rotation.Z
		p.Rotation = p.Rotation.turned(l.turn(q[i]))
		p.Position = p.Apply(l.step)
		if i < 5 {
			p.Rotation = p.Rotation.twisted(l.cosTwist, l.sinTwist)
		}
	}
	x, z := p.Rotation.Apply(k.tip.X), p.Rotation.Apply(k.tip.Z)
	return Pose{Position: p.Position, Rotation: Rotation{X: x, Y: r3.Cross(z, x), Z: z}}, at, axis
}

// Jacobian returns the TCP of a tool mounted on the flange, in the base frame, and the Jacobian at that TCP.
// Column i is (axis × (TCP − point on the axis), axis); Lynch and Park, Modern Robotics, ch. 5; Craig, ch. 5.
func (a *Arm) Jacobian(q Joints, tool Pose) (tcp Pose, jac Jacobian) {
	flange, at, axis := a.axes(&q)
	tcp = flange
	if tool != Identity {
		tcp = flange.Mul(tool)
	}
	for i := range q {
		v := r3.Cross(axis[i], r3.Sub(tcp.Position, at[i]))
		jac[0][i], jac[1][i], jac[2][i] = v.X, v.Y, v.Z
		jac[3][i], jac[4][i], jac[5][i] = axis[i].X, axis[i].Y, axis[i].Z
	}
	return tcp, jac
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
