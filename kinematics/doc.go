// Package kinematics is the arm as geometry: where its links, its flange and its tool are for given joint
// angles, and which joint angles put the tool at a given place. It knows no clock, no files and no sockets.
//
// Lengths are millimetres, angles radians, frames right-handed. Everything about an arm is stated at its zero
// pose in the base frame; a link frame is the displacement that carries the link from there to where it is now.
package kinematics
