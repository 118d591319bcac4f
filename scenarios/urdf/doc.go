// Package urdf reads arms from, and writes them to, the Unified Robot Description Format 1.0, an open XML format. It is
// read as the ROS documentation describes it ("XML Robot Description Format", pages robot, link and joint; the pages from memory, the
// rules as the headers of Debian's liburdfdom-headers-dev have them, and by testdata/urdf, where its parser reads the same files): metres
// and radians, an origin is a frame in the parent's frame, rpy are fixed X-Y-Z angles, an axis is given in the joint's frame and
// is X where none is given.
//
// tree.go reads a file into links and joints, chain.go finds the six joints of an arm among them, shape.go holds their
// collision geometry in capsules, import.go makes the arm, export.go writes one.
package urdf
