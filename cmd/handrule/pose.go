package main

import (
	"io"
	"strings"

	"handrule/kinematics"
	"handrule/scenarios/spoken"
	"handrule/words"
)

type poseCommand struct {
	armFlags
	Joints six  `required:"" placeholder:"a,b,c,d,e,f" help:"Joint angles in degrees."`
	JSON   bool `name:"json" help:"Print JSON."`
}

func (c poseCommand) Run(out io.Writer) error {
	arm, tool, err := c.open()
	if err != nil {
		return err
	}
	q := c.Joints.joints()
	tcp, jacobian := arm.Geometry.Jacobian(q, tool.TCP)
	near := arm.Geometry.Singularity(q, tool.TCP)
	at, flange := spoken.ReadingOf(tcp, words.English), spoken.ReadingOf(arm.Geometry.Forward(q), words.English)
	outside := arm.OutsideLimits(q)
	if c.JSON {
		return printJSON(out, struct {
			Arm         string              `json:"arm"`
			Tool        string              `json:"tool"`
			Joints      [6]float64          `json:"joints_deg"`
			Within      bool                `json:"within_limits"`
			Outside     []string            `json:"outside_limits"`
			Posture     posture             `json:"posture"`
			TCP         spoken.Reading      `json:"tcp"`
			Flange      spoken.Reading      `json:"flange"`
			Jacobian    kinematics.Jacobian `json:"jacobian"`
			Singularity singularity         `json:"singularity"`
		}{
			arm.ID, tool.Name, c.Joints.values, len(outside) == 0, append([]string{}, outside...), posture(arm.Geometry.Posture(q)),
			at, flange, jacobian, singularityOf(near),
		})
	}
	printLine(out, "arm", "%s, tool %s", arm.Name, tool.Name)
	printJoints(out, "joints", q)
	if len(outside) == 0 {
		printLine(out, "limits", "every joint is within its limits")
	}
	for _, sentence := range outside {
		printLine(out, "limits", "%s", sentence)
	}
	if words := postureWords(arm.Geometry.Posture(q)); words != "" {
		printLine(out, "posture", "%s", words)
	}
	printReading(out, "TCP", at)
	printReading(out, "flange", flange)
	printJacobian(out, jacobian)
	printSingularity(out, near)
	return nil
}

// printJacobian writes what each joint does to the TCP.
func printJacobian(w io.Writer, jacobian kinematics.Jacobian) {
	printLine(w, "Jacobian", "at the TCP, base frame: what one rad/s of each joint gives")
	head := ""
	for _, name := range jointNames {
		head += strings.Repeat(" ", 10-len(name)) + name
	}
	printLine(w, "", "%s", head)
	for i, row := range jacobian {
		name, decimals := "  along "+letters[i%3]+", mm", 2
		if i >= 3 {
			name, decimals = "  about "+letters[i%3]+", rad", 4
		}
		text := ""
		for _, x := range row {
			cell := number(x, decimals)
			text += strings.Repeat(" ", max(1, 10-len(cell))) + cell
		}
		printLine(w, name, "%s", text)
	}
}
