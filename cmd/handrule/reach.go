package main

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/spoken"
	"handrule/words"
)

type reachCommand struct {
	armFlags
	Position three `required:"" placeholder:"x,y,z" help:"Of the TCP in the base frame, mm."`
	orientationFlags
	From six  `placeholder:"a,b,c,d,e,f" help:"Where the joints are now, degrees; zeros unless told otherwise. It decides between whole turns and orders the answers."`
	JSON bool `name:"json" help:"Print JSON."`
}

type solution struct {
	Joints   [6]float64   `json:"joints_deg"`
	Posture  posture      `json:"posture"`
	Within   bool         `json:"within_limits"`
	Outside  []string     `json:"outside_limits"`
	Turns    [][6]float64 `json:"turns_deg"`    // every way within the limits, whole turns apart
	Distance float64      `json:"distance_deg"` // the largest change of a joint from where it is
	Family   bool         `json:"family"`       // singular: one of infinitely many
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
	rotation, err := c.rotation()
	if err != nil {
		return err
	}
	tcp := kinematics.Pose{Position: c.Position.vec(), Rotation: rotation}
	flange := tcp.Mul(tool.TCP.Inverse())
	from := c.From.joints()
	found, ranOut := arm.Geometry.Solutions(flange, from)
	// Those within the limits first, then the nearest.
	slices.SortStableFunc(found, func(a, b kinematics.Solution) int {
		if a.WithinLimits != b.WithinLimits {
			return map[bool]int{true: -1, false: 1}[a.WithinLimits]
		}
		return cmp.Compare(a.Distance, b.Distance)
	})
	var short *maybe
	if len(found) == 0 && !ranOut {
		by := maybe(arm.Geometry.OutOfReach(flange, from))
		short = &by
	}
	if c.JSON {
		solutions := []solution{}
		for _, s := range found {
			solutions = append(solutions, solutionOf(arm, s))
		}
		err = printJSON(out, struct {
			Arm       string         `json:"arm"`
			Tool      string         `json:"tool"`
			Target    spoken.Reading `json:"target"` // of the TCP
			Flange    spoken.Reading `json:"flange"`
			From      [6]float64     `json:"from_deg"`
			Solver    string         `json:"solver"`
			Solutions []solution     `json:"solutions"`
			Ended     bool           `json:"search_ended,omitempty"` // at the bound of its work: there may be more
			Short     *maybe         `json:"out_of_reach_mm,omitempty"`
		}{arm.ID, tool.Name, spoken.ReadingOf(tcp, words.English), spoken.ReadingOf(flange, words.English), c.From.values, arm.Geometry.Solver(), solutions, ranOut, short})
	} else {
		printLine(out, "arm", "%s, tool %s", arm.Name, tool.Name)
		printReading(out, "TCP", spoken.ReadingOf(tcp, words.English))
		switch {
		case short != nil:
			printLine(out, "out of reach", "%s", shortWords(float64(*short)))
		case len(found) > 0:
			printSolutions(out, arm, from, found)
		}
		if ranOut {
			printLine(out, "search", "%s", ranOutWords)
		}
	}
	if err == nil && len(found) == 0 {
		return errNo
	}
	return err
}

func solutionOf(arm *armfile.Arm, s kinematics.Solution) solution {
	view := solution{
		Joints: s.Joints.Degrees(), Posture: posture(s.Posture),
		Within: s.WithinLimits, Outside: []string{}, Turns: [][6]float64{},
		Distance: kinematics.Degrees(s.Distance), Family: s.Family,
	}
	if !s.WithinLimits {
		view.Outside = append(view.Outside, arm.OutsideLimits(s.Joints)...)
	}
	for _, q := range arm.Geometry.Turns(nil, s.Joints) {
		view.Turns = append(view.Turns, q.Degrees())
	}
	return view
}

// ranOutWords tells that the search came to the bound of its work.
const ranOutWords = "ended before it had looked everywhere: there may be more joint angles that put the TCP there"

func shortWords(mm float64) string {
	if mm > 0 && !math.IsInf(mm, 0) {
		return fmt.Sprintf("no joint angles put the TCP there; the arm is about %.1f mm too short", mm)
	}
	return "no joint angles put the TCP there"
}

func printSolutions(out io.Writer, arm *armfile.Arm, from kinematics.Joints, found []kinematics.Solution) {
	within := 0
	for _, s := range found {
		if s.WithinLimits {
			within++
		}
	}
	printJoints(out, "from", from)
	count := fmt.Sprintf("%d solutions, %d of them within the joint limits", len(found), within)
	switch {
	case len(found) == 1 && within == 1:
		count = "1 solution, within the joint limits"
	case len(found) == 1:
		count = "1 solution, and not within the joint limits: the arm cannot stand there"
	case within == 0:
		count = fmt.Sprintf("%d solutions, none within the joint limits: the arm cannot stand there", len(found))
	}
	printLine(out, "found", "%s", count)
	printLine(out, "solver", "%s", arm.Geometry.Solver())
	for i, s := range found {
		printJoints(out, fmt.Sprintf("solution %d", i+1), s.Joints)
		if words := postureWords(s.Posture); words != "" {
			printLine(out, "", "%s", words)
		}
		printLine(out, "", "%s turns most, by %s°", busiest(from, s.Joints), number(kinematics.Degrees(s.Distance), 2))
		if s.Family {
			printLine(out, "", "singular: one of infinitely many, the one nearest to where the arm is")
		}
		if s.WithinLimits {
			if words := otherTurns(arm.Geometry.Turns(nil, s.Joints), s.Joints); words != "" {
				printLine(out, "", "also %s", words)
			}
			continue
		}
		for _, sentence := range arm.OutsideLimits(s.Joints) {
			printLine(out, "", "%s", sentence)
		}
	}
}

// busiest names the joint that turns most on the way from one to the other.
func busiest(from, to kinematics.Joints) string {
	most := 0
	for i := range to {
		if math.Abs(to[i]-from[i]) > math.Abs(to[most]-from[most]) {
			most = i
		}
	}
	return jointNames[most]
}

// otherTurns names for each joint the other turns it has within its limits.
func otherTurns(turns []kinematics.Joints, q kinematics.Joints) string {
	var joints []string
	for i := range q {
		var others []string
		for _, turn := range turns {
			text := number(kinematics.Degrees(turn[i]), 2) + "°"
			if math.Abs(turn[i]-q[i]) > 1 && !slices.Contains(others, text) {
				others = append(others, text)
			}
		}
		if len(others) > 0 {
			joints = append(joints, jointNames[i]+" at "+strings.Join(others, " or "))
		}
	}
	return listed(joints)
}

// postureWords names the parts of a posture that the arm has.
func postureWords(p kinematics.Posture) string {
	var said []string
	for _, part := range [][2]string{{"shoulder", p.Shoulder}, {"elbow", p.Elbow}, {"wrist", p.Wrist}} {
		if part[1] != "" {
			said = append(said, spoken.PostureWord(part[0], part[1], words.English))
		}
	}
	return strings.Join(said, ", ")
}
