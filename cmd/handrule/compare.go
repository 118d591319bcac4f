package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/visible"
	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/compare"
	"handrule/scenarios/form"
)

type compareCommand struct {
	armFlags
	Poses  int    `default:"5" help:"How many poses to ask for, 3 to 30; with 6 and more zero offsets and the TCP can be fitted."`
	Output string `short:"o" placeholder:"FILE" help:"With readings: the arm file to write, which must not be there yet, with the likeliest cause mended, or with the fitted zero offsets (reads_deg) and TCP."`
	File   string `arg:"" optional:"" help:"The table of poses, filled in at the real arm. Without it an empty one is printed."`
}

const compareHeader = "j1_deg,j2_deg,j3_deg,j4_deg,j5_deg,j6_deg,x_mm,y_mm,z_mm"

// Run asks for poses, or compares what the real arm showed in them with the arm file.
func (c compareCommand) Run(out io.Writer) error {
	arm, tool, err := c.open()
	if err != nil {
		return err
	}
	if c.File == "" {
		if c.Poses < 3 || c.Poses > 30 {
			return errors.New("--poses: 3 to 30")
		}
		fmt.Fprintln(out, "# Jog the real arm to each row's joints by hand, slowly and with room around it, and write down X, Y and Z as it shows them in its")
		fmt.Fprintln(out, "# base frame with the same tool. The poses know nothing of what stands around your arm: leave out a row that would touch something.")
		fmt.Fprintln(out, compareHeader)
		for _, q := range compare.Poses(arm, tool.TCP, c.Poses) {
			for _, deg := range q.Degrees() {
				fmt.Fprintf(out, "%.0f,", deg)
			}
			fmt.Fprintln(out, ",,")
		}
		return nil
	}
	readings, err := readReadings(c.File)
	if err != nil {
		return err
	}
	result := compare.Diagnose(arm.Geometry, tool.TCP, readings)
	for i, off := range result.Off {
		printLine(out, fmt.Sprintf("pose %d", i+1), "off by %s mm: %s", number(r3.Norm(off), 1), cells(letters, []float64{off.X, off.Y, off.Z}, 1, ""))
	}
	switch result.Verdict {
	case compare.Agrees:
		printLine(out, "together", "%s mm (root mean square): the arm file agrees with the arm in these poses", number(result.RMS, 2))
	case compare.NoSingle:
		printLine(out, "together", "%s mm (root mean square): no single cause explains it", number(result.RMS, 2))
	case compare.Named:
		printLine(out, "together", "%s mm (root mean square)", number(result.RMS, 2))
		printLine(out, "likeliest cause", "%s; %s mm would be left", result.Causes[0].Words(arm.Geometry), number(result.Causes[0].RMS, 2))
	case compare.CannotTell:
		printLine(out, "together", "%s mm (root mean square)", number(result.RMS, 2))
		for _, cause := range result.Causes {
			printLine(out, "cannot tell", "%s; %s mm would be left", cause.Words(arm.Geometry), number(cause.RMS, 2))
		}
	}
	for _, cause := range result.Unseen {
		if cause.Kind == compare.Zero {
			printLine(out, "cannot tell", "X, Y and Z of these poses do not show the zero of %s, nor which way it counts", arm.Geometry.Joints[cause.Joint].Name)
		}
	}
	mended, does := arm, false
	switch result.Verdict {
	case compare.NoSingle:
		if fit, ok := printFit(out, arm.Geometry, tool.TCP, readings); ok {
			mended, does = fit.Mend(arm, tool.Name)
			does = does || tool.Name == kinematics.NoTool.Name
		}
	case compare.Named:
		mended, does = result.Causes[0].Mend(arm, tool.Name)
	}
	if c.Output != "" {
		if err := c.write(out, mended, does); err != nil {
			return err
		}
	}
	if result.Verdict != compare.Agrees {
		return errNo
	}
	return nil
}

// write writes the mended arm, where there is something to mend in it.
func (c compareCommand) write(out io.Writer, mended *armfile.Arm, does bool) error {
	if !does {
		printLine(out, "not written", "there is nothing in the arm file that these readings say how to mend")
		return nil
	}
	if err := writeNew(c.Output, mended.Text("Made by handrule compare from "+c.Arm+" and "+c.File+". Compare it with the arm again.")); err != nil {
		return err
	}
	printLine(out, "written", "%s; compare it again, best in other poses", visible.Text(c.Output))
	return nil
}

// printFit prints what zero offsets and TCP fit the readings best.
func printFit(out io.Writer, arm *kinematics.Arm, tcp kinematics.Pose, readings []compare.Reading) (compare.Fit, bool) {
	fit, ok := compare.FitZeros(arm, tcp, readings)
	if !ok {
		printLine(out, "fit", "takes %d poses and more: handrule compare --poses %d", compare.EnoughForFit, 2*compare.EnoughForFit)
		return fit, false
	}
	printLine(out, "fit", "zero offsets and TCP by least squares leave %s mm of %s mm", number(fit.After, 2), number(fit.Before, 2))
	printJoints(out, "  add to joints", fit.Zeros)
	printLine(out, "  TCP", "%smm of the flange", cells(letters, []float64{fit.TCP.X, fit.TCP.Y, fit.TCP.Z}, 2, ""))
	if fit.Unsure {
		printLine(out, "", "Not all of it shows in these poses; what does not is left as it was.")
	}
	return fit, true
}

// readReadings reads a table of poses that was filled in.
func readReadings(file string) (readings []compare.Reading, err error) {
	text, err := form.ReadFile(file)
	if err != nil {
		return nil, err
	}
	src, err := form.PlainText(file, text)
	if err != nil {
		return nil, err
	}
	whole := strings.Join(src.Lines, "\n")
	table := csv.NewReader(strings.NewReader(whole))
	table.Comment, table.FieldsPerRecord, table.TrimLeadingSpace = '#', -1, true
	if strings.Contains(whole, ";") {
		table.Comma = ';'
	}
	for header := true; ; header = false {
		row, err := table.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			src.Add(form.Place{Line: bad.Line, Column: 1}, "is no table: %v", bad.Err)
			break
		}
		at := func(i int) form.Place {
			line, column := table.FieldPos(i)
			return form.Place{Line: line, Column: column}
		}
		switch {
		case len(src.Problems) > form.MostProblems || len(readings) > 200:
			src.Add(at(0), "is one of too many rows; 30 are plenty")
			return nil, src.Err()
		case header:
			if strings.Join(row, ",") != compareHeader {
				src.Add(at(0), "the first row must be %s", compareHeader)
				return nil, src.Err()
			}
			continue
		case len(row) != 9:
			src.Add(at(0), "a row has nine numbers, not %d", len(row))
			continue
		}
		var x [9]float64
		for i, cell := range row {
			cell = strings.TrimSpace(strings.ReplaceAll(cell, "−", "-"))
			if table.Comma == ';' {
				cell = strings.Replace(cell, ",", ".", 1)
			}
			if x[i], err = strconv.ParseFloat(cell, 64); err != nil || !(math.Abs(x[i]) <= form.LargestLength) {
				src.Add(at(i), "must be a number, not %s; leave out the whole row of a pose that was not driven", form.Quoted(row[i]))
				break
			}
		}
		reading := compare.Reading{At: r3.Vec{X: x[6], Y: x[7], Z: x[8]}}
		for i := range reading.Joints {
			reading.Joints[i] = kinematics.Radians(x[i])
		}
		readings = append(readings, reading)
	}
	if len(src.Problems) == 0 && len(readings) < 3 {
		src.Add(form.Place{Line: 1, Column: 1}, "there are %d poses; fewer than 3 say nothing", len(readings))
	}
	return readings, src.Err()
}
