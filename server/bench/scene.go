package bench

import (
	"errors"
	"strconv"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/spoken"
)

// deepest in mm is how far two parts may be in each other in a scene: what is left of a contact when its joints are rounded.
const deepest = 0.01

// scene puts an arm in a cell with a tool, standing at those joints, which "start pose" then leads back to. An error has
// changed nothing.
func (b *Bench) scene(r *SceneRequest) error {
	arm := b.arm(r.Arm)
	if r.Own != "" {
		var err error
		if arm, err = armfile.Parse(ownFileName, []byte(r.Own)); err != nil {
			return err
		}
	}
	if arm == nil {
		return errors.New(b.in.Say("problem.no-arm", "name", clip(r.Arm)))
	}
	var cell *cellfile.Cell
	if r.Cell != "" {
		if cell = b.offer.cell(r.Cell); cell == nil {
			return errors.New(b.in.Say("problem.no-cell", "name", clip(r.Cell)))
		}
	}
	start := arm.Geometry.Start()
	if r.JointsDeg != nil {
		start = radians(r.JointsDeg)
	}
	if cell != nil && r.RailMM != nil {
		var err error
		if cell, err = cell.OnRail(*r.RailMM); err != nil {
			return err
		}
	}
	stand := cellfile.Stand{Arm: arm, Cell: cell}
	if cell == nil {
		stand.Cell = cellfile.Alone(arm)
	}
	name, _ := cellfile.FoundTCP(r.Tool) // a TCP that was found is the learner's, and in no scene
	tool, err := arm.ToolAmong(stand.Tools(), name)
	if err != nil {
		return errors.New(b.in.Say("problem.no-tool", "name", clip(r.Tool), "arm", arm.Texts.NameIn(b.in, arm.Name)))
	}
	if err := b.mayStand(&stand, tool, start); err != nil {
		return err
	}
	b.release()
	b.closeLesson()
	b.mounted.found = nil
	b.enter(cell)
	if r.Own != "" {
		b.lent = own{arm, r.Own}
	}
	b.mount(arm, tool.Name, start)
	return nil
}

func radians(deg *[6]float64) (q kinematics.Joints) {
	for i, d := range deg {
		q[i] = kinematics.Radians(d)
	}
	return q
}

// mayStand returns why an arm cannot stand there at those joints: one is beyond its limits, or two parts would be in one place.
func (b *Bench) mayStand(stand *cellfile.Stand, tool kinematics.Tool, q kinematics.Joints) error {
	if err := b.withinLimits(stand.Arm, q); err != nil {
		return err
	}
	around, _ := stand.Setup(tool, 0) // where no clearance can be computed, there is none to keep
	drive, err := jog.New(around, q)
	if err != nil {
		return err
	}
	if near, can := drive.Clearance(); can && near.Distance < -deepest {
		return errors.New(b.in.Say("problem.scene.contact", "a", spoken.PartName(near.A, b.in), "b", spoken.PartName(near.B, b.in), "deep", b.in.Length(-near.Distance, 1)))
	}
	return nil
}

// withinLimits returns which joint of q is beyond its limits.
func (b *Bench) withinLimits(arm *armfile.Arm, q kinematics.Joints) error {
	for i, j := range arm.Geometry.Joints {
		if q[i] < j.Min || q[i] > j.Max {
			deg := func(rad float64) string { return strconv.FormatFloat(kinematics.Degrees(rad), 'f', -1, 64) }
			return errors.New(b.in.Say("problem.scene.limit", "joint", kinematics.JointNames[i], "at", b.in.Fixed(kinematics.Degrees(q[i]), 1),
				"arm", arm.Texts.NameIn(b.in, arm.Name), "from", deg(j.Min), "to", deg(j.Max)))
		}
	}
	return nil
}
