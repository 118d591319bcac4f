package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"

	"handrule/internal/files"
	"handrule/internal/visible"
	"handrule/kinematics"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
	"handrule/scenarios/dhtable"
	"handrule/scenarios/form"
	"handrule/scenarios/measures"
	"handrule/scenarios/urdf"
)

type importCommand struct {
	Output      string   `short:"o" placeholder:"FILE" help:"The arm file to write, which must not be there yet. Without it the arm file goes to standard output, and what is told of it to standard error."`
	Base        string   `placeholder:"LINK" help:"The link whose frame is the base frame: the root, unless told otherwise."`
	Tip         string   `placeholder:"LINK" help:"The link that is the flange. Where there is one chain of six joints that turn, it is found."`
	Forward     string   `placeholder:"AXIS" enum:",x,-x,y,-y" default:"" help:"The axis of the base link, or of a table's frame 0, that points forward, away from the cable side: x, -x, y or -y. It becomes X of the base frame (ISO 9787)."`
	Out         string   `placeholder:"AXIS" enum:",x,-x,y,-y,z,-z" default:"" help:"The axis of the tip that points out of the flange: x, -x, y, -y, z or -z. The one along the last joint, unless told otherwise."`
	MountHeight float64  `placeholder:"MM" help:"The base frame's origin above the mounting surface, mm."`
	AsWritten   bool     `help:"Take angles as they are written: 1.5708 is no exact quarter turn."`
	Reads       six      `placeholder:"a,b,c,d,e,f" help:"What the arm's own display shows where the file's joints stand at 0, degrees. Limits and jogs are then in the display's numbers."`
	Reversed    []string `placeholder:"J2,J3" enum:"J1,J2,J3,J4,J5,J6" help:"The joints that the arm's own display counts the other way than the file."`
	DH          bool     `name:"dh" help:"The file is a table of Denavit-Hartenberg parameters (CSV). Its header names the columns with their units: joint, a_mm, alpha_deg, d_mm, theta_deg, zero_deg, lower_deg, upper_deg, speed_deg_s; a_m, d_m and angles in _rad are read as well."`
	Meshes      string   `placeholder:"FOLDER" help:"The folder in which the file's meshes lie (STL, OBJ, glTF): what package:// leads to, and paths beside the file. Capsules that hold them become bodies, and where the folder lies beside the arm file or below, they are drawn. Nothing else is opened, and nothing fetched."`
	Measured    bool     `help:"The file is a table of what was measured at the arm with a tape (CSV), a row a joint: joint, x_mm, y_mm, z_mm, axis, reads_deg, lower_deg, upper_deg, speed_deg_s; then a row called flange, and one called tcp where there is a tool."`
	Convention  string   `placeholder:"WHICH" enum:",classic,modified" default:"" help:"How a table is read. classic: by theta about Z, d along Z, a along X, alpha about X (Spong). modified: by alpha about X, a along X, theta about Z, d along Z (Craig)."`
	File        string   `arg:"" help:"A URDF file, plain, with its macros expanded; or with --dh a table."`
}

// Run writes the arm that a file of another form describes as an arm file, and tells what was taken for what.
func (c importCommand) Run(out io.Writer, errs *errorOutput) error {
	arm, notes, err := c.read()
	if err != nil {
		return err
	}
	if c.Reads != (six{}) || len(c.Reversed) > 0 {
		var reversed [6]bool
		for i, name := range kinematics.JointNames {
			reversed[i] = slices.Contains(c.Reversed, name)
		}
		if arm, err = arm.ReadAs(c.Reads.joints(), reversed); err == nil {
			_, err = armfile.Parse(c.File, arm.Text())
		}
		if err != nil {
			return fmt.Errorf("--reads: %w", err)
		}
		for i, j := range arm.Geometry.Joints {
			notes = append(notes, fmt.Sprintf("%s reads %s° there, and %s° to %s° at its limits", kinematics.JointNames[i], form.Decimal(kinematics.Degrees(j.Measured)), form.Decimal(kinematics.Degrees(j.Min)), form.Decimal(kinematics.Degrees(j.Max))))
		}
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
	if c.Measured {
		if c.DH || c.Convention != "" || c.Base != "" || c.Tip != "" || c.Out != "" || c.Forward != "" {
			return nil, nil, errors.New("of the other flags, only --mount-height, --reads and --reversed go with --measured")
		}
		text, err := form.ReadFile(c.File)
		if err != nil {
			return nil, nil, err
		}
		return measures.Parse(c.File, text, c.MountHeight)
	}
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
	var meshes fs.FS
	if c.Meshes != "" {
		if meshes, err = files.Folder(c.Meshes); err != nil {
			return nil, nil, fmt.Errorf("--meshes: %w", err)
		}
	}
	return urdf.Parse(c.File, text, urdf.Options{
		Meshes: meshes, MeshPath: below(filepath.Dir(c.Output), c.Meshes),
		Base: c.Base, Tip: c.Tip, Forward: c.Forward, Out: c.Out, MountHeight: c.MountHeight, AsWritten: c.AsWritten,
	})
}

// below is the path from one folder to another beside it or below, "" where that one lies elsewhere.
func below(dir, other string) string {
	from, err := filepath.Abs(dir)
	if err != nil {
		return ""
	}
	to, err := filepath.Abs(other)
	if err != nil {
		return ""
	}
	way, err := filepath.Rel(from, to)
	if err != nil || !filepath.IsLocal(way) {
		return ""
	}
	return filepath.ToSlash(way)
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
