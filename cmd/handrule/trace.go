package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/server"
	"handrule/words"
)

type traceCommand struct {
	armFlags
	Start six    `required:"" placeholder:"a,b,c,d,e,f" help:"Joint angles at the start, degrees."`
	File  string `arg:"" help:"File of jogs, one a line."`
}

// Run prints a row a tick. The first stop that is not the end of a step ends the trace, and the answer is no.
func (c traceCommand) Run(out io.Writer, errs *errorOutput) error {
	arm, tool, err := c.open()
	if err != nil {
		return err
	}
	jogs, err := scenarios.OpenJogs(c.File)
	if err != nil {
		return err
	}
	start := c.Start.joints()
	if outside := arm.OutsideLimits(start); len(outside) > 0 {
		return fmt.Errorf("--start: %s", outside[0])
	}
	d := jog.NewDrive(arm.Geometry, tool.TCP, start)
	w := csv.NewWriter(out)
	defer w.Flush()
	w.Write([]string{"t_s", "j1_deg", "j2_deg", "j3_deg", "j4_deg", "j5_deg", "j6_deg", "x_mm", "y_mm", "z_mm", "rx_deg", "ry_deg", "rz_deg", "event"})
	for _, j := range jogs {
		w.Write(row(d, "start "+scenarios.JogLine(j)))
		if err := d.Start(j); err != nil {
			return err
		}
		for d.Tick() {
			w.Write(row(d, ""))
		}
		stop := d.Stop()
		if stop.Reason != jog.Done {
			w.Write(row(d, string(stop.Reason)+": "+stop.Sentence()))
			fmt.Fprintf(errs, "%s: %s: %s\n", c.File, scenarios.JogLine(j), stop.Sentence())
			return errNo
		}
		w.Write(row(d, "done"))
	}
	return nil
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
