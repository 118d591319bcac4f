package main

import (
	"fmt"
	"io"
	"math"

	"handrule/kinematics"
	"handrule/server"
)

type poseCommand struct {
	armFlags
	Joints six  `required:"" placeholder:"a,b,c,d,e,f" help:"Joint angles in degrees."`
	JSON   bool `name:"json" help:"Print JSON."`
}

// singularity is how near the arm is to one, as JSON.
type singularity struct {
	Kind           string  `json:"kind"`
	Near           bool    `json:"near"`
	Smallest       float64 `json:"smallest_singular_value"`
	Condition      float64 `json:"condition"` // at most 1e15
	Manipulability float64 `json:"manipulability"`
	LengthMM       float64 `json:"length_mm"` // that counts as one rad
}

func (c poseCommand) Run(out io.Writer) error {
	arm, tool, err := c.open()
	if err != nil {
		return err
	}
	q := c.Joints.joints()
	tcp, jacobian := arm.Geometry.Jacobian(q, tool.TCP)
	near := arm.Geometry.Singularity(q, tool.TCP)
	at, flange := server.ReadingOf(tcp), server.ReadingOf(arm.Geometry.Forward(q))
	if c.JSON {
		return printJSON(out, struct {
			Joints      [6]float64          `json:"joints_deg"`
			TCP         server.Reading      `json:"tcp"`
			Flange      server.Reading      `json:"flange"`
			Jacobian    kinematics.Jacobian `json:"jacobian"`
			Within      bool                `json:"within_limits"`
			Singularity singularity         `json:"singularity"`
		}{c.Joints.values, at, flange, jacobian, arm.Geometry.Within(q), singularity{
			Kind: near.Kind, Near: near.Near, Smallest: near.Smallest,
			Condition: math.Min(near.Condition, 1e15), Manipulability: near.Manipulability, LengthMM: near.Length,
		}})
	}
	printJoints(out, q)
	printReading(out, "TCP", at)
	printReading(out, "flange", flange)
	for i, j := range arm.Geometry.Joints {
		if q[i] < j.Min || q[i] > j.Max {
			fmt.Fprintf(out, "%s is outside its limits of %s° to %s°\n", j.Name, number(kinematics.Degrees(j.Min), 1), number(kinematics.Degrees(j.Max), 1))
		}
	}
	if near.Near {
		fmt.Fprintf(out, "near a singularity (%s): smallest singular value %.3g, condition number %.3g\n", near.Kind, near.Smallest, near.Condition)
	} else {
		fmt.Fprintf(out, "no singularity near: smallest singular value %.3g, condition number %.3g\n", near.Smallest, near.Condition)
	}
	return nil
}
