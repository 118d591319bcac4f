// Package clearance tells how far the arm is from touching something: its links are capsules that move with
// kinematics.Links, and what they can touch is the arm itself and the things in the cell, which are boxes, cylinders,
// spheres and half-spaces such as the floor. Distances are exact: no meshes, no tolerance of an iteration.
//
// A Scene is made once for an arm, its tool and the things around it. Smallest is then asked at every tick; MaxMove
// bounds how much any distance can change in a step, so that nothing is jumped over between two ticks.
//
// All lengths are mm, all points are in the base frame.
//
// # What a distance means
//
// Every capsule is a segment, its axis, and a radius. For a thing the distance is
//
//	(smallest signed distance of a point of the axis from the thing's surface) - radius
//
// where the signed distance of a point is negative inside the thing; for two capsules it is the distance of their
// axes less both radii. So it is positive when there is room, zero at contact, and negative when they overlap. While
// the axis itself is outside (always so at first contact) a negative distance is exactly the length of the shortest
// move that separates the two. With the axis inside a box or cylinder it is how deep the deepest point of the axis
// lies, plus the radius, which is at most that length. In every case the distance is continuous, and it changes by
// no more than the points of the axis move.
//
// Tests that try to break it: the values of an independent library [TestFCL], a search that knows no formula [TestBetweenAgainstSearch,
// TestBetweenCapsulesAgainstSearch, FuzzBetween, FuzzBetweenCapsules], the bound on a change [TestChangesByNoMoreThanTheMove,
// TestNothingMovesFarther, TestNoTunnelling], the depth [TestDepthSeparates].
//
// These are distances between simple shapes in a sandbox. They do not show that a real arm is clear of anything:
// the arm's manual, local rules and the people licensed to work there decide that.
package clearance
