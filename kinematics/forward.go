package kinematics

import "gonum.org/v1/gonum/spatial/r3"

// Links are the displacements of the seven links from the measured pose, in the base frame: link 0 is the base and
// never moves, link i is the one that joint i carries. A point p of link i at the measured pose is now at
// Links[i].Apply(p).
type Links [7]Pose

// Forward returns the flange for the joint angles q, in the base frame (a product of the joints' turns, Craig,
// Introduction to Robotics, ch. 3). The flange's position and two of its axes are carried from the flange to the
// base, frame by frame, because a vector is turned with four products where a frame needs twelve.
func (a *Arm) Forward(q Joints) Pose {
	k := &a.chain
	var turn [6]direction
	turns(k.link[:], q[:], turn[:])
	x, z, p := k.tip.X, k.tip.Z, k.link[5].step
	for i := 5; i > 0; i-- {
		t, l := &turn[i], &k.link[i-1]
		c, s := t.cos, t.sin
		x, z, p = aboutZ(c, s, x), aboutZ(c, s, z), aboutZ(c, s, p)
		if c, s = l.cosTwist, l.sinTwist; c == 0 { // as for most joints
			x, z, p = aboutXQuarter(s, x), aboutXQuarter(s, z), aboutXQuarter(s, p)
		} else {
			x, z, p = aboutX(c, s, x), aboutX(c, s, z), aboutX(c, s, p)
		}
		p = r3.Add(l.step, p)
	}
	c, s := turn[0].cos, turn[0].sin
	x, z, p = aboutZ(c, s, x), aboutZ(c, s, z), aboutZ(c, s, p)
	if !k.upright {
		x, z, p = k.base.Rotation.Apply(x), k.base.Rotation.Apply(z), k.base.Rotation.Apply(p)
	}
	return Pose{Position: r3.Add(k.base.Position, p), Rotation: Rotation{X: x, Y: r3.Cross(z, x), Z: z}}
}

// FlangeOf returns the pose of the flange that link 6 carries.
func (a *Arm) FlangeOf(links *Links) Pose { return links[6].Mul(a.Flange) }

// Links returns where every link is for the joint angles q.
func (a *Arm) Links(q Joints) (links Links) {
	a.PutLinks(&q, &links)
	return links
}

// PutLinks writes where every link is for the joint angles q. A joint's own turn is that of RotationAbout; its columns and
// those of the link before it are kept as vectors, which the compiler holds in registers.
func (a *Arm) PutLinks(q *Joints, links *Links) {
	links[0] = Identity
	x, y, z, p := NoRotation.X, NoRotation.Y, NoRotation.Z, r3.Vec{}
	for i := range a.Joints {
		j := &a.Joints[i]
		s, c := sincos(q[i] - j.Measured)
		v, k := 1-c, j.Axis
		kx, ky, kz := v*k.X, v*k.Y, v*k.Z
		xy, yz, zx := kx*k.Y, ky*k.Z, kz*k.X
		sx, sy, sz := s*k.X, s*k.Y, s*k.Z
		p = r3.Add(p, r3.Add(mix(j.At.X, x, j.At.Y, y), r3.Scale(j.At.Z, z)))
		x, y, z = r3.Add(mix(c+kx*k.X, x, xy+sz, y), r3.Scale(zx-sy, z)),
			r3.Add(mix(xy-sz, x, c+ky*k.Y, y), r3.Scale(yz+sx, z)),
			r3.Add(mix(zx+sy, x, yz-sx, y), r3.Scale(c+kz*k.Z, z))
		p = r3.Sub(p, r3.Add(mix(j.At.X, x, j.At.Y, y), r3.Scale(j.At.Z, z)))
		l := &links[i+1]
		l.Position = p
		l.Rotation.X, l.Rotation.Y, l.Rotation.Z = x, y, z
	}
}
