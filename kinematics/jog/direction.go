package jog

import (
	"fmt"
	"math"
	"strings"
)

// Direction is one of the twelve ways to jog in a frame. In the joint frame Axis 0…5 is J1…J6. In the others 0, 1
// and 2 are straight along X, Y and Z, and 3, 4 and 5 are turns about X, Y and Z through the TCP. Sign is +1 or -1.
type Direction struct {
	Frame Frame  `json:"frame"`
	Task  string `json:"task,omitempty"` // the name of the task frame, where Frame is one
	Axis  int    `json:"axis"`
	Sign  int    `json:"sign"`
}

// Straight reports whether the jog is measured in mm; every other is an angle.
func (d Direction) Straight() bool { return d.Frame != JointFrame && d.Axis < 3 }

// Check refuses what is no direction. Whether the cell has the task frame is found out by Start.
func (d Direction) Check() error {
	switch {
	case !d.Frame.known():
		return fmt.Errorf("unknown frame %q; it is one of %s", string(d.Frame), joinWords(Frames))
	case d.Frame.Traits().Named && d.Task == "":
		return fmt.Errorf("a jog in a task frame must name the frame")
	case !d.Frame.Traits().Named && d.Task != "":
		return fmt.Errorf("only a jog in a task frame names one, not a jog in the %s frame", d.Frame)
	case d.Axis < 0 || d.Axis > 5:
		return fmt.Errorf("axis %d does not exist; there are 0 to 5", d.Axis)
	case d.Sign != 1 && d.Sign != -1:
		return fmt.Errorf("sign is +1 or -1, not %d", d.Sign)
	}
	return nil
}

// joinWords lists words with commas.
func joinWords[T ~string](words []T) string {
	var list []string
	for _, w := range words {
		list = append(list, string(w))
	}
	return strings.Join(list, ", ")
}

// frameName is the frame as it is spoken of: "base", "task tray".
func (d Direction) frameName() string {
	if d.Frame.Traits().Named {
		return "task " + d.Task
	}
	return string(d.Frame)
}

// String is the direction as the trade says it: "J5 +", "base X −", "about tool Z +".
func (d Direction) String() string {
	sign := map[int]string{1: "+", -1: "−"}[d.Sign]
	switch {
	case d.Frame == JointFrame:
		return fmt.Sprintf("J%d %s", d.Axis+1, sign)
	case d.Axis < 3:
		return fmt.Sprintf("%s %c %s", d.frameName(), "XYZ"[d.Axis], sign)
	default:
		return fmt.Sprintf("about %s %c %s", d.frameName(), "XYZ"[d.Axis-3], sign)
	}
}

// Jog is one manual motion: a direction, how far (mm, or rad for turns; +Inf for as long as it is held) and how
// fast (mm/s or rad/s).
//
// Several directions of one frame can be jogged together; HeldTogether and StepTogether make such jogs. Then Parts
// says how much of each axis is in the motion, per unit of the path, and Direction is the first of them:
//
//   - straight directions add up to one straight path, and Parts X, Y, Z are its unit vector;
//   - turns add up as rotation vectors to a turn about one axis through the TCP, and the Parts about X, Y, Z are its
//     unit vector;
//   - straight directions and turns together: the TCP goes straight while the tool turns about one fixed axis, in
//     proportion; the path is measured in mm and the Parts of the turn are rad per mm;
//   - joints turn in proportion, and the path is measured by the one that turns the farthest, whose Part is ±1.
//
// For a single direction Parts is all zero.
type Jog struct {
	Direction
	Parts  [6]float64
	Amount float64
	Speed  float64
	Asked  Asked
}

// Asked is what a jog along several directions was made from, to the last digit, so that a log can say it again. It is
// zero for every other jog.
type Asked struct {
	Amounts [6]float64 // of a step, mm or rad
	Speeds  Speeds     // of one that goes straight and turns at once
}

// Held reports whether the jog goes on until it is released.
func (j Jog) Held() bool { return math.IsInf(j.Amount, 1) }

// AboutTCP reports whether the jog only turns the tool, so that the TCP is to stay where it is.
func (j Jog) AboutTCP() bool { return j.Frame != JointFrame && !j.Straight() }

// Several reports whether the jog is along several directions together.
func (j Jog) Several() bool { return j.Parts != [6]float64{} }

// parts returns how much of each axis is in the motion, also for a single direction.
func (j Jog) parts() [6]float64 {
	if j.Several() {
		return j.Parts
	}
	var one [6]float64
	one[j.Axis] = float64(j.Sign)
	return one
}

// Reversed returns the jog the other way.
func (j Jog) Reversed() Jog {
	j.Sign, j.Asked = -j.Sign, Asked{}
	for i := range j.Parts {
		j.Parts[i] = 0 - j.Parts[i] // not −0
	}
	return j
}

// Directions returns the directions that the jog is along, in the order of their axes.
func (j Jog) Directions() (all []Direction) {
	for axis, part := range j.parts() {
		if part == 0 {
			continue
		}
		d := Direction{Frame: j.Frame, Task: j.Task, Axis: axis, Sign: 1}
		if part < 0 {
			d.Sign = -1
		}
		all = append(all, d)
	}
	return all
}

// String is the way of the jog as the trade says it: "base X + and base Y −".
func (j Jog) String() string {
	var all []string
	for _, d := range j.Directions() {
		all = append(all, d.String())
	}
	return strings.Join(all, " and ")
}

// StepTogether returns the step that goes by amounts[i] along axis i of the frame, mm or rad, all in proportion. Speed
// is in mm/s where it goes straight and in rad/s otherwise. Where it goes straight and turns at once, the slower of
// speed and turnSpeed (rad/s) decides.
func StepTogether(f Frame, task string, amounts [6]float64, speed, turnSpeed float64) (Jog, error) {
	j := Jog{Direction: Direction{Frame: f, Task: task, Axis: -1}, Parts: amounts, Speed: speed}
	axes := 0
	for axis, amount := range amounts {
		if math.IsNaN(amount) || math.IsInf(amount, 0) {
			return Jog{}, fmt.Errorf("a jog's amount must be a number")
		}
		if amount == 0 {
			continue
		}
		if axes++; axes == 1 {
			j.Axis, j.Sign = axis, 1
			if amount < 0 {
				j.Sign = -1
			}
		}
	}
	if axes == 0 {
		return Jog{}, fmt.Errorf("these directions cancel each other; nothing would move")
	}
	j.Amount = pathLength(f, amounts)
	if j.Amount < smallestAmount {
		return Jog{}, fmt.Errorf("a jog's amount must be more than zero")
	}
	if axes == 1 {
		j.Parts = [6]float64{}
		return j, j.Check()
	}
	j.Asked.Amounts = amounts
	for axis := range j.Parts {
		j.Parts[axis] = j.Parts[axis] / j.Amount
	}
	if turn := j.TurnPerMM(); turn > 0 {
		j.Asked.Speeds = Speeds{Straight: speed, Turn: turnSpeed}
		j.Speed = math.Min(speed, turnSpeed/turn)
	}
	return j, j.Check()
}

// HeldTogether returns the held jog of these directions of one frame together. Straight ones run at speed, mm/s, turns
// and joints at turnSpeed, rad/s. A direction and its opposite cancel; one that is named twice counts once.
func HeldTogether(directions []Direction, speed, turnSpeed float64) (Jog, error) {
	if len(directions) == 0 {
		return Jog{}, fmt.Errorf("a jog needs a direction")
	}
	first, asked := directions[0], speed
	var sum [6]float64
	var named [6][2]bool
	for _, d := range directions {
		if err := d.Check(); err != nil {
			return Jog{}, err
		}
		if d.Frame != first.Frame || d.Task != first.Task {
			return Jog{}, fmt.Errorf("directions held together must be of one frame, not %s and %s", first.frameName(), d.frameName())
		}
		if way := (d.Sign + 1) / 2; !named[d.Axis][way] {
			named[d.Axis][way] = true
			sum[d.Axis] += float64(d.Sign)
		}
	}
	if first.Frame == JointFrame {
		speed = turnSpeed
	} else {
		straight := math.Sqrt(sum[0]*sum[0] + sum[1]*sum[1] + sum[2]*sum[2])
		turn := math.Sqrt(sum[3]*sum[3] + sum[4]*sum[4] + sum[5]*sum[5])
		switch {
		case straight == 0:
			speed = turnSpeed
		case turn > 0:
			for axis := range 3 {
				sum[axis] *= speed / straight
				sum[axis+3] *= turnSpeed / turn
			}
		}
	}
	j, err := StepTogether(first.Frame, first.Task, sum, speed, turnSpeed)
	j.Amount = math.Inf(1)
	j.Asked.Amounts = [6]float64{}
	if j.TurnPerMM() > 0 {
		j.Asked.Speeds.Straight = asked
	}
	return j, err
}

// smallestAmount, mm or rad, is below what a jog would go nowhere.
const smallestAmount = 1e-12

// pathLength returns the length of the path of these amounts along the axes of a frame, mm or rad.
func pathLength(f Frame, amounts [6]float64) float64 {
	if f == JointFrame {
		most := 0.0
		for _, amount := range amounts {
			most = math.Max(most, math.Abs(amount))
		}
		return most
	}
	straight := math.Sqrt(amounts[0]*amounts[0] + amounts[1]*amounts[1] + amounts[2]*amounts[2])
	if straight > 0 {
		return straight
	}
	return math.Sqrt(amounts[3]*amounts[3] + amounts[4]*amounts[4] + amounts[5]*amounts[5])
}

// TurnPerMM returns the rad that the tool turns in each mm of a jog that goes straight and turns at once, and 0 for
// every other.
func (j Jog) TurnPerMM() float64 {
	if !j.Straight() {
		return 0
	}
	return math.Sqrt(j.Parts[3]*j.Parts[3] + j.Parts[4]*j.Parts[4] + j.Parts[5]*j.Parts[5])
}

// Amounts returns how far the jog goes along or about each axis when its path is that long, mm or rad.
func (j Jog) Amounts(path float64) (amounts [6]float64) {
	for axis, part := range j.parts() {
		amounts[axis] = path * part
	}
	return amounts
}

// Check refuses what is no jog.
func (j Jog) Check() error {
	if err := j.Direction.Check(); err != nil {
		return err
	}
	if !(j.Amount > 0) {
		return fmt.Errorf("a jog's amount must be more than zero")
	}
	if !(j.Speed > 0) || math.IsInf(j.Speed, 1) {
		return fmt.Errorf("a jog's speed must be more than zero")
	}
	if j.Several() && !(math.Abs(pathLength(j.Frame, j.Parts)-1) < 1e-9 && j.Parts[j.Axis]*float64(j.Sign) > 0) {
		return fmt.Errorf("the parts of a jog along several directions do not fit together")
	}
	return nil
}
