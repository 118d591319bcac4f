package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/server"
	"handrule/words"
)

type traceCommand struct {
	armFlags
	Cell  string `placeholder:"CELL" help:"A shipped cell or the path of a cell file to stand the arm in. None unless told otherwise: the base frame is then the world."`
	Start six    `required:"" placeholder:"a,b,c,d,e,f" help:"Joint angles at the start, degrees."`
	File  string `arg:"" help:"File of jogs, one a line."`
}

// Run prints a row a tick. The first stop that is not the end of a step ends the trace, and the answer is no.
func (c traceCommand) Run(out io.Writer, errs *errorOutput) error {
	r, err := c.rehearsal()
	if err != nil {
		return err
	}
	steps, err := scenarios.OpenJogs(c.File)
	if err != nil {
		return err
	}
	start := c.Start.joints()
	if outside := r.arm.OutsideLimits(start); len(outside) > 0 {
		return fmt.Errorf("--start: %s", outside[0])
	}
	around, err := r.cell.Setup(r.arm, r.tool, 0)
	if err != nil {
		return err
	}
	d, err := jog.New(around, start)
	if err != nil {
		return err
	}
	w := csv.NewWriter(out)
	defer w.Flush()
	w.Write([]string{"t_s", "j1_deg", "j2_deg", "j3_deg", "j4_deg", "j5_deg", "j6_deg", "x_mm", "y_mm", "z_mm", "rx_deg", "ry_deg", "rz_deg", "event"})
	for _, step := range steps {
		line := scenarios.JogLine(step.Jog)
		if err := r.refit(d, step); err != nil {
			return fmt.Errorf("%s: before %s: %w", c.File, line, err)
		}
		w.Write(row(d, "start "+line))
		if err := d.Start(step.Jog); err != nil {
			return fmt.Errorf("%s: %s: %w", c.File, line, err)
		}
		for d.Tick() {
			w.Write(row(d, ""))
		}
		stop := d.Stop()
		if stop.Reason != jog.Done {
			w.Write(row(d, string(stop.Reason)+": "+stop.Sentence()))
			fmt.Fprintf(errs, "%s: %s: %s\n", c.File, line, stop.Sentence())
			return errNo
		}
		w.Write(row(d, "done"))
	}
	return nil
}

// rehearsal is an arm where it stands.
type rehearsal struct {
	arm   *scenarios.Arm
	cell  *scenarios.Cell
	tools []kinematics.Tool
	tool  kinematics.Tool // at the start
}

func (c traceCommand) rehearsal() (r rehearsal, err error) {
	if r.arm, err = scenarios.OpenArm(c.Arm); err != nil {
		return r, err
	}
	if r.cell = scenarios.Alone(r.arm); c.Cell != "" {
		if r.cell, err = scenarios.OpenCell(c.Cell); err != nil {
			return r, err
		}
	}
	r.tools = r.cell.ToolsFor(r.arm)
	r.tool, err = r.arm.ToolAmong(r.tools, c.Tool)
	return r, err
}

// refit makes the changes that the file asks for before a jog.
func (r *rehearsal) refit(d *jog.Drive, step scenarios.JogStep) error {
	now := d.Setup()
	tool, guard := now.Tool, now.Guard
	if step.MountTool == "" && step.Guard == nil {
		return nil
	}
	var err error
	if step.MountTool != "" {
		if tool, err = r.arm.ToolAmong(r.tools, step.MountTool); err != nil {
			return err
		}
	}
	if step.Guard != nil {
		guard = *step.Guard
	}
	around, err := r.cell.Setup(r.arm, tool, guard)
	if err != nil {
		return err
	}
	return d.Refit(around)
}

func row(d *jog.Drive, event string) []string {
	cells := []string{strconv.FormatFloat(float64(d.Ticks)*jog.Tick, 'f', 3, 64)}
	add := func(xs []float64) {
		for _, x := range xs {
			cells = append(cells, number(x, 9))
		}
	}
	q, at := d.Joints().Degrees(), server.ReadingOf(d.TCP(), words.English)
	add(q[:])
	add(at.PositionMM[:])
	add(at.FixedXYZDeg[:])
	return append(cells, event)
}
