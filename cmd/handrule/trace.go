package main

import (
	"fmt"
	"io"
	"strconv"

	"handrule/internal/table"
	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/spoken"
	"handrule/words"
)

type traceCommand struct {
	armFlags
	Cell  string   `placeholder:"CELL" help:"A shipped cell or the path of a cell file to stand the arm in. Alone on its mounting surface unless told otherwise: the base frame is then the world."`
	Rail  *float64 `placeholder:"MM" help:"Where the carriage is on the cell's rail. Where the cell file says unless told otherwise."`
	Start six      `required:"" placeholder:"a,b,c,d,e,f" help:"Joint angles at the start, degrees."`
	File  string   `arg:"" help:"File of jogs, one a line."`
}

// Run prints a row a tick. The first jog that does not end as its line says ends the trace, and the answer is no.
func (c traceCommand) Run(out io.Writer, errs *errorOutput) error {
	stand, tool, err := c.stand()
	if err != nil {
		return err
	}
	jogs, err := jogfile.Open(c.File)
	if err != nil {
		return err
	}
	for _, note := range jogs.Notes {
		fmt.Fprintln(errs, note)
	}
	start := c.Start.joints()
	if outside := stand.Arm.OutsideLimits(start); len(outside) > 0 {
		return fmt.Errorf("--start: %s", outside[0])
	}
	around, err := stand.Setup(tool, 0)
	if err != nil {
		return err
	}
	d, err := jog.New(around, start)
	if err != nil {
		return err
	}
	w := table.New(out)
	w.Row("t_s", "j1_deg", "j2_deg", "j3_deg", "j4_deg", "j5_deg", "j6_deg", "x_mm", "y_mm", "z_mm", "about_x_deg", "about_y_deg", "about_z_deg", "event")
	unlike, err := jogfile.Rehearse(stand, d, c.File, jogs.Steps, func(event string) { w.Row(row(d, event)...) })
	if end := w.End(); err == nil {
		err = end
	}
	if err != nil {
		return err
	}
	if unlike != nil {
		fmt.Fprintln(errs, unlike)
		return errNo
	}
	return nil
}

// stand is the arm in its cell, and its tool at the start.
func (c traceCommand) stand() (s *cellfile.Stand, tool kinematics.Tool, err error) {
	s = &cellfile.Stand{}
	if s.Arm, err = scenarios.OpenArm(c.Arm); err != nil {
		return s, tool, err
	}
	if s.Cell = cellfile.Alone(s.Arm); c.Cell != "" {
		if s.Cell, err = scenarios.OpenCell(c.Cell); err != nil {
			return s, tool, err
		}
	}
	if c.Rail != nil {
		if s.Cell, err = s.Cell.OnRail(*c.Rail); err != nil {
			return s, tool, fmt.Errorf("--rail: %w", err)
		}
	}
	tool, err = s.Arm.ToolAmong(s.Tools(), c.Tool)
	return s, tool, err
}

func row(d *jog.Drive, event string) []string {
	cells := []string{strconv.FormatFloat(float64(d.Ticks)*jog.Tick, 'f', 3, 64)}
	add := func(xs []float64) {
		for _, x := range xs {
			cells = append(cells, number(x, 9))
		}
	}
	q, at := d.Joints().Degrees(), spoken.ReadingOf(d.TCP(), words.English)
	add(q[:])
	add(at.PositionMM[:])
	add(at.FixedXYZDeg[:])
	return append(cells, event)
}
