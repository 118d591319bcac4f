package scenarios

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// The forms of arm and cell files. Their readers take the names of the fields from here, the JSON Schema the rest.
type (
	armForm struct {
		Name   name          `field:"name,required" about:"What the arm is called."`
		About  paragraph     `field:"about" about:"A sentence or two for the person who chooses it."`
		Mount  Length        `field:"mount_height_mm,required" about:"The base frame's origin above the mounting surface, mm."`
		Joints []jointForm   `field:"joints,required" least:"6" most:"6" about:"Exactly six joints, from the base, measured at the zero pose in the base frame."`
		Flange flangeForm    `field:"flange,required" about:"The flange at the zero pose, in the base frame. Its Z points out of the flange."`
		Body   []capsuleForm `field:"body" most:"200" about:"Cylinders with round ends at the zero pose: what is drawn and what can touch."`
		Tools  []toolForm    `field:"tools" most:"40" about:"What the flange can carry. The first is mounted at the start."`
	}
	jointForm struct {
		Name   name         `field:"name,required" about:"What the joint is called, such as J1."`
		At     r3.Vec       `field:"at_mm,required" about:"Any point on the joint's axis: x, y, z in mm."`
		Axis   r3.Vec       `field:"axis,required" about:"The direction of the axis: a positive turn is counterclockwise seen against it (right-hand rule). It need not have length 1."`
		Limits twoAngles    `field:"limits_deg,required" about:"The lower and the upper limit, degrees. Zero lies between them."`
		Speed  turningSpeed `field:"speed_deg_s,required" about:"The highest speed, degrees/s."`
		Accel  turningAccel `field:"accel_deg_s2" about:"The highest acceleration, degrees/s²."`
	}
	flangeForm struct {
		At       r3.Vec              `field:"at_mm,required" about:"Its middle: x, y, z in mm."`
		Rotation kinematics.Rotation `field:"rotation_deg,required" about:"Fixed X-Y-Z angles, degrees."`
	}
	capsuleForm struct {
		Link linkNumber `field:"link,required" about:"The link it belongs to, 0 (the base) to 6 (the flange)."`
		toolCapsuleForm
	}
	toolCapsuleForm struct {
		From   r3.Vec    `field:"from_mm,required" about:"The middle of one round end: x, y, z in mm."`
		To     r3.Vec    `field:"to_mm,required" about:"The middle of the other: x, y, z in mm."`
		Radius Tolerance `field:"radius_mm,required" about:"The radius, mm."`
	}
	toolForm struct {
		Name     name                `field:"name,required" about:"What the tool is called."`
		TCP      r3.Vec              `field:"tcp_mm,required" about:"The tool centre point in the flange's frame: x, y, z in mm."`
		Rotation kinematics.Rotation `field:"rotation_deg" about:"The tool frame in the flange's frame: fixed X-Y-Z angles, degrees."`
		Body     []toolCapsuleForm   `field:"body" most:"200" about:"Cylinders with round ends, in the flange's frame."`
	}
	cellForm struct {
		Name   name        `field:"name,required" about:"What the cell is called."`
		About  paragraph   `field:"about" about:"A sentence or two for the person who chooses it."`
		Mount  mountForm   `field:"mount" about:"The surface the arm is bolted to, in the world frame. Its Z points into the arm."`
		Things []thingForm `field:"things,required" most:"100" about:"What stands around the arm, in the world frame."`
		Tasks  []taskForm  `field:"task_frames" most:"40" about:"Named frames to jog in, in the world frame."`
		Tools  []toolForm  `field:"tools" most:"40" about:"Tools beside those of the arm."`
	}
	mountForm struct {
		placeForm
		Rail railForm `field:"rail" about:"The arm stands on the carriage of a rail; the mount is where that is at 0."`
	}
	railForm struct {
		Along  r3.Vec     `field:"along,required" about:"The direction in which the carriage moves, in the world frame."`
		Travel twoLengths `field:"travel_mm,required" about:"From where to where along it the carriage can be, mm."`
		At     lengthOnIt `field:"at_mm,required" about:"Where it is, mm."`
	}
	placeForm struct {
		At       r3.Vec              `field:"at_mm,required" about:"x, y, z in mm."`
		Rotation kinematics.Rotation `field:"rotation_deg" about:"Fixed X-Y-Z angles, degrees."`
	}
	thingForm struct {
		Name name `field:"name,required" about:"What it is called."`
		placeForm
		Box    r3.Vec    `field:"box_mm" about:"A box about its middle: its lengths along x, y and z, mm."`
		Radius Tolerance `field:"radius_mm" about:"Alone the radius of a sphere, with length_mm that of a cylinder along its Z, mm."`
		Length Tolerance `field:"length_mm" about:"The length of a cylinder about its middle, mm."`
		Facing r3.Vec    `field:"facing" about:"A floor or wall without end through this place: the direction it faces."`
	}
	taskForm struct {
		Name name `field:"name,required" about:"One word, such as tile-stand."`
		placeForm
	}
)

// The types of their fields that lesson files do not have.
type (
	name         string
	paragraph    string
	twoAngles    [2]float64
	twoLengths   [2]float64
	lengthOnIt   float64
	turningSpeed float64
	turningAccel float64
	linkNumber   int
)

var (
	armRequired, armOptional     = formNames[armForm]()
	jointRequired, jointOptional = formNames[jointForm]()
	flangeRequired, _            = formNames[flangeForm]()
	capsuleRequired, _           = formNames[toolCapsuleForm]()
	toolRequired, toolOptional   = formNames[toolForm]()
	cellRequired, cellOptional   = formNames[cellForm]()
	mountRequired, mountOptional = formNames[mountForm]()
	railRequired, _              = formNames[railForm]()
	thingRequired, thingOptional = formNames[thingForm]()
	taskRequired, _              = formNames[taskForm]()
	placeRequired, placeOptional = formNames[placeForm]()
)
