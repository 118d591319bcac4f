// Package cellfile reads cell files: where an arm is bolted down, what stands around it, the task frames there, and the
// rail it may stand on. A Stand is an arm in its cell with what was taught there.
package cellfile

import (
	"fmt"
	"handrule/scenarios/translation"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
)

// Cell is a cell file: where the arm is bolted down and what is around it, all in the world frame.
type Cell struct {
	ID    string // the file's name without its ending
	Name  string
	About string
	Mount kinematics.Pose // of the mounting surface; its Z points out of the surface, into the arm
	Rail  *Rail           // that the mount is on; nil: it is bolted down
	// Things are in the world frame; Scene brings them into the arm's base frame.
	Things []clearance.Thing
	Tasks  []jog.TaskFrame
	Tools  []kinematics.Tool // beside those of the arm
	Texts  translation.All   // in other languages
	Lang   string            // of its own texts; "" where nobody said
	// Notes are what the file may say but hardly means, such as two things in one place.
	Notes []form.Problem
}

// Base returns the pose of the arm's base frame in the world: the mount raised along its Z by the arm's mount height.
func (c *Cell) Base(arm *armfile.Arm) kinematics.Pose {
	return c.Mount.Mul(kinematics.Pose{Position: r3.Vec{Z: arm.MountHeight}, Rotation: kinematics.NoRotation})
}

// ToolsFor returns the tools the arm has in this cell: its own, then the cell's. A tool of the cell stands in for one of the
// arm with the same name.
func (c *Cell) ToolsFor(arm *armfile.Arm) []kinematics.Tool {
	tools := slices.Clone(arm.Tools)
	for _, tool := range c.Tools {
		if i := slices.IndexFunc(tools, func(t kinematics.Tool) bool { return t.Name == tool.Name }); i >= 0 {
			tools[i] = tool
		} else {
			tools = append(tools, tool)
		}
	}
	return tools
}

// Scene returns the arm with this tool among the cell's things, ready for distances, in the arm's base frame.
func (c *Cell) Scene(arm *armfile.Arm, tool kinematics.Tool) (*clearance.Scene, error) {
	return jog.Scene(arm.Geometry, arm.Body, tool, c.Base(arm), c.Things)
}

// Alone returns the cell of an arm that stands alone on its mounting surface. Its base frame is the world frame.
func Alone(arm *armfile.Arm) *Cell {
	surface := kinematics.Pose{Position: r3.Vec{Z: -arm.MountHeight}, Rotation: kinematics.NoRotation}
	return &Cell{Mount: surface, Things: []clearance.Thing{{Name: clearance.MountingSurface, Shape: clearance.HalfSpace{}, Pose: surface}}}
}

// Setup returns what the motion needs to know of the arm with this tool in the cell; the set distance is in mm. Where the
// clearance cannot be computed the setup is good without it, and the error says why.
func (c *Cell) Setup(arm *armfile.Arm, tool kinematics.Tool, setDistance float64) (s jog.Setup, err error) {
	s = jog.Setup{Arm: arm.Geometry, Tool: tool, Mount: c.Base(arm), Tasks: c.Tasks, SetDistance: setDistance}
	s.Scene, err = c.Scene(arm, tool)
	return s, err
}

// mostOverlap is how far in mm two things may be in one another and still count as standing side by side.
const mostOverlap = 0.5

// Contacts says what of the arm with this tool is inside which thing at the joint angles q: all of it, the base
// included, in words. Less than mostOverlap is left out, because a base stands on its table.
func (c *Cell) Contacts(arm *armfile.Arm, tool kinematics.Tool, q kinematics.Joints) (contacts []string) {
	for _, r := range c.gaps(arm, tool, q) {
		if r.distance < -mostOverlap {
			contacts = append(contacts, fmt.Sprintf("%s is %.1f mm inside %s", r.part, -r.distance, r.thing))
		}
	}
	return contacts
}

// gap is the smallest distance in mm of a link's or the tool's capsules from a thing.
type gap struct {
	part, thing string
	link        int // that it is of or, a tool, on
	tool        bool
	distance    float64
}

// gaps returns the gaps between every link and the tool, and every thing.
func (c *Cell) gaps(arm *armfile.Arm, tool kinematics.Tool, q kinematics.Joints) (all []gap) {
	base, links := c.Base(arm), arm.Geometry.Links(q)
	for _, thing := range c.Things {
		measure := func(part string, tool bool, pose kinematics.Pose, capsule kinematics.Capsule) {
			capsule.From, capsule.To = pose.Apply(capsule.From), pose.Apply(capsule.To)
			r := gap{part, thing.Name, capsule.Link, tool, clearance.Between(capsule, thing).Distance}
			same := func(earlier gap) bool { return earlier.part == r.part && earlier.thing == r.thing }
			if i := slices.IndexFunc(all, same); i >= 0 {
				all[i].distance = min(all[i].distance, r.distance)
			} else {
				all = append(all, r)
			}
		}
		for _, capsule := range arm.Body {
			measure(fmt.Sprintf("link %d", capsule.Link), false, base.Mul(links[capsule.Link]), capsule)
		}
		for _, capsule := range tool.Body {
			measure(tool.Name, true, base.Mul(arm.Geometry.FlangeOf(&links)), capsule)
		}
	}
	return all
}

// Standing says how the arm stands in the cell where it starts, with each of its tools.
func (c *Cell) Standing(arm *armfile.Arm) (lines []string) {
	tools := c.ToolsFor(arm)
	if len(tools) == 0 {
		tools = []kinematics.Tool{kinematics.NoTool}
	}
	start, where := arm.Geometry.Start(), "at the zero pose"
	if start != (kinematics.Joints{}) {
		where = "where it starts"
	}
	for _, tool := range tools {
		how := "clear"
		if len(arm.Body) == 0 && len(tool.Body) == 0 {
			how = "neither has a body, so nothing can touch"
		} else if contacts := c.Contacts(arm, tool, start); len(contacts) > 0 {
			how = strings.Join(contacts, ", ")
		} else if nearest := nearestGap(c.gaps(arm, tool, start)); nearest.thing != "" {
			how = fmt.Sprintf("clear, nearest are %s and %s with %.0f mm between them", nearest.part, nearest.thing, nearest.distance)
		}
		lines = append(lines, fmt.Sprintf("%s, %s with tool %s: %s", where, arm.Name, tool.Name, how))
	}
	for _, tool := range arm.Tools {
		if slices.ContainsFunc(c.Tools, func(t kinematics.Tool) bool { return t.Name == tool.Name }) {
			lines = append(lines, fmt.Sprintf("note: the cell's tool %s takes the place of the one that %s has of its own", tool.Name, arm.Name))
		}
	}
	return lines
}

// nearestGap is the smallest of those that change when the arm moves.
func nearestGap(all []gap) gap {
	nearest := gap{distance: math.Inf(1)}
	for _, r := range all {
		if r.link > 0 && r.distance < nearest.distance {
			nearest = r
		}
	}
	return nearest
}
