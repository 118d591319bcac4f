package kinematics

import "gonum.org/v1/gonum/spatial/r3"

// Links are the displacements of the seven links from the zero pose, in the base frame: link 0 is the base and
// never moves, link i is the one that joint i carries. A point p of link i at the zero pose is now at
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
func (a *Arm) Links(q Joints) Links {
	links := Links{0: Identity}
	for i, j := range a.Joints {
		turn := RotationAbout(j.Axis, q[i])
		about := Pose{Position: r3.Sub(j.At, turn.Apply(j.At)), Rotation: turn}
		links[i+1] = links[i].Mul(about)
	}
	return links
}
