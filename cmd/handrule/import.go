package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"

	"handrule/internal/files"
	"handrule/internal/visible"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
	"handrule/scenarios/dhtable"
	"handrule/scenarios/form"
	"handrule/scenarios/urdf"
)

type importCommand struct {
	Output      string  `short:"o" placeholder:"FILE" help:"The arm file to write, which must not be there yet. Without it the arm file goes to standard output, and what is told of it to standard error."`
	Base        string  `placeholder:"LINK" help:"The link whose frame is the base frame: the root, unless told otherwise."`
	Tip         string  `placeholder:"LINK" help:"The link that is the flange. Where there is one chain of six joints that turn, it is found."`
	Forward     string  `placeholder:"AXIS" enum:",x,-x,y,-y" default:"" help:"The axis of the base link, or of a table's frame 0, that points forward, away from the cable side: x, -x, y or -y. It becomes X of the base frame (ISO 9787)."`
	Out         string  `placeholder:"AXIS" enum:",x,-x,y,-y,z,-z" default:"" help:"The axis of the tip that points out of the flange: x, -x, y, -y, z or -z. The one along the last joint, unless told otherwise."`
	MountHeight float64 `placeholder:"MM" help:"The base frame's origin above the mounting surface, mm."`
	AsWritten   bool    `help:"Take angles as they are written: 1.5708 is no exact quarter turn."`
	DH          bool    `name:"dh" help:"The file is a table of Denavit-Hartenberg parameters (CSV). Its header names the columns with their units: joint, a_mm, alpha_deg, d_mm, theta_deg, zero_deg, lower_deg, upper_deg, speed_deg_s; a_m, d_m and angles in _rad are read as well."`
	Convention  string  `placeholder:"WHICH" enum:",classic,modified" default:"" help:"How a table is read. classic: by theta about Z, d along Z, a along X, alpha about X (Spong). modified: by alpha about X, a along X, theta about Z, d along Z (Craig)."`
	File        string  `arg:"" help:"A URDF file, plain, with its macros expanded; or with --dh a table."`
}

// Run writes the arm that a file of another form describes as an arm file, and tells what was taken for what.
func (c importCommand) Run(out io.Writer, errs *errorOutput) error {
	arm, notes, err := c.read()
	if err != nil {
		return err
	}
	text := arm.Text("Made by handrule import from " + c.File + ". Check it against the arm: handrule check")
	told := out
	if c.Output == "" {
		told = errs
		if _, err := out.Write(text); err != nil {
			return err
		}
	} else if err := writeNew(c.Output, text); err != nil {
		return err
	}
	for _, note := range notes {
		fmt.Fprintln(told, visible.Text(note))
	}
	if c.Output != "" {
		fmt.Fprintf(out, "%s is written. Now compare it with the arm: handrule check %s\n", visible.Text(c.Output), visible.Text(c.Output))
	}
	return nil
}

func (c importCommand) read() (*armfile.Arm, []string, error) {
	if c.DH {
		switch {
		case c.Convention == "":
			return nil, nil, errors.New(dhtable.WhichConvention)
		case c.Base != "" || c.Tip != "" || c.Out != "":
			return nil, nil, errors.New("a table has no links: --base, --tip and --out do not go with --dh")
		}
		text, err := form.ReadFile(c.File)
		if err != nil {
			return nil, nil, err
		}
		return dhtable.Parse(c.File, text, dhtable.Options{
			Convention: dhtable.Convention(c.Convention), Forward: c.Forward, MountHeight: c.MountHeight, AsWritten: c.AsWritten,
		})
	}
	if c.Convention != "" {
		return nil, nil, errors.New("--convention goes with --dh, for a table of Denavit-Hartenberg parameters")
	}
	text, err := form.ReadFileUpTo(c.File, urdf.LargestFile)
	if err != nil {
		return nil, nil, err
	}
	return urdf.Parse(c.File, text, urdf.Options{
		Base: c.Base, Tip: c.Tip, Forward: c.Forward, Out: c.Out, MountHeight: c.MountHeight, AsWritten: c.AsWritten,
	})
}

// writeNew writes a file that is not there yet.
func writeNew(path string, text []byte) error {
	switch err := files.WriteNew(path, text); {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("%s is there already and stays as it is; give another name, or move it away first", visible.Text(path))
	default:
		return fmt.Errorf("%s: cannot be written: %w", visible.Text(path), form.WithoutPath(err))
	}
}

type exportCommand struct {
	Output string `short:"o" placeholder:"FILE" help:"The URDF file to write, which must not be there yet. Standard output without it."`
	Arm    string `arg:"" help:"A shipped arm, or the path of an arm file."`
}

// Run writes an arm as a URDF file.
func (c exportCommand) Run(out io.Writer) error {
	arm, err := scenarios.OpenArm(c.Arm)
	if err != nil {
		return err
	}
	if c.Output != "" {
		return writeNew(c.Output, urdf.Text(arm))
	}
	_, err = out.Write(urdf.Text(arm))
	return err
}
