package main

import (
	"fmt"
	"io"

	"handrule/kinematics"
)

type reachCommand struct {
	armFlags
	Position three `required:"" placeholder:"x,y,z" help:"Of the TCP in the base frame, mm."`
	Rotation three `required:"" placeholder:"rx,ry,rz" help:"Of the tool frame, fixed X-Y-Z angles in degrees."`
	JSON     bool  `name:"json" help:"Print JSON."`
}

type solution struct {
	Joints  [6]float64 `json:"joints_deg"`
	Posture posture    `json:"posture"`
	Within  bool       `json:"within_limits"`
	Family  bool       `json:"one_of_a_family"`
}

type posture struct {
	Shoulder string `json:"shoulder"`
	Elbow    string `json:"elbow"`
	Wrist    string `json:"wrist"`
}

func (c reachCommand) Run(out io.Writer) error {
	arm, tool, err := c.open()
	if err != nil {
		return err
	}
	r := c.Rotation.values
	tcp := kinematics.Pose{
		Position: c.Position.vec(),
		Rotation: kinematics.FixedXYZ(kinematics.Radians(r[0]), kinematics.Radians(r[1]), kinematics.Radians(r[2])),
	}
	flange := tcp.Mul(tool.TCP.Inverse())
	found := arm.Geometry.Inverse(nil, flange, kinematics.Joints{})
	if c.JSON {
		solutions := []solution{}
		for _, s := range found {
			solutions = append(solutions, solution{s.Joints.Degrees(), posture(s.Posture), s.WithinLimits, s.Family})
		}
		err = printJSON(out, struct {
			Solutions []solution `json:"solutions"`
			Solver    string     `json:"solver"`
		}{solutions, arm.Geometry.Solver()})
	} else {
		c.print(out, arm.Geometry, flange, found)
	}
	if err == nil && len(found) == 0 {
		return errNo
	}
	return err
}

func (c reachCommand) print(out io.Writer, arm *kinematics.Arm, flange kinematics.Pose, found []kinematics.Solution) {
	if len(found) == 0 {
		fmt.Fprintf(out, "out of reach: no joint angles put the TCP there; the arm is about %.1f mm too short\n",
			arm.OutOfReach(flange, kinematics.Joints{}))
		return
	}
	fmt.Fprintf(out, "%d solutions (%s)\n", len(found), arm.Solver())
	for _, s := range found {
		printJoints(out, s.Joints)
		fmt.Fprintf(out, "   %s", postureWords(s.Posture))
		if !s.WithinLimits {
			fmt.Fprint(out, "; outside the joint limits")
		}
		if s.Family {
			fmt.Fprint(out, "; singular: one of infinitely many")
		}
		fmt.Fprintln(out)
	}
}

// postureWords names the parts of a posture that the arm has.
func postureWords(p kinematics.Posture) string {
	words := ""
	for _, part := range [][2]string{{"shoulder", p.Shoulder}, {"elbow", p.Elbow}, {"wrist", p.Wrist}} {
		if part[1] == "" {
			continue
		}
		if words != "" {
			words += ", "
		}
		words += part[0] + " " + part[1]
	}
	return words
}
