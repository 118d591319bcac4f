// Package traces drives random jog files and writes down every tick, so that programs that were compiled for different processors can
// be compared.
package traces

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/jogfile"
)

// Tick is the arm at a tick, or an event beside one.
type Tick struct {
	Event  string // that a jog begins, why it ended or was refused; "" for a tick of a motion
	Joints kinematics.Joints
	TCP    [3]float64 // mm, in the base frame
}

// Write drives so many random jog files from a seed, on each of the shipped arms in turn, over the glazing bench. Every line is tried:
// one that is refused, or is stopped by something, is not the last.
func Write(w io.Writer, files int, seed uint64) error {
	cell, err := scenarios.OpenCell("glazing-bench")
	if err != nil {
		return err
	}
	arms := scenarios.ShippedArms()
	random := rand.New(rand.NewPCG(seed, 0))
	for i := range files {
		if err := drive(w, i, arms[i%len(arms)], cell, random); err != nil {
			return err
		}
	}
	return nil
}

// start is where a file begins: every other time for an arm anywhere in the inner half of its ranges, else with joints at multiples of 15°, some
// of them on their limits or right beside.
func start(file int, arm *kinematics.Arm, random *rand.Rand) (q kinematics.Joints) {
	special := file/len(scenarios.ShippedArms())%2 == 1
	for i, j := range arm.Joints {
		q[i] = j.Min/2 + random.Float64()*(j.Max-j.Min)/2
		if !special {
			continue
		}
		q[i] = min(max(math.Round(q[i]/(math.Pi/12))*math.Pi/12, j.Min), j.Max)
		switch random.IntN(16) {
		case 0:
			q[i] = j.Min
		case 1:
			q[i] = j.Max
		case 2:
			q[i] = j.Max - math.Pow(10, -12+10*random.Float64())
		}
	}
	return q
}

func drive(w io.Writer, file int, arm *armfile.Arm, cell *cellfile.Cell, random *rand.Rand) (err error) {
	q := start(file, arm.Geometry, random)
	name := fmt.Sprintf("file %d", file+1)
	ran := run(name, arm, cell, q, lines(random), func(t Tick) {
		if e := t.write(w); e != nil {
			err = e
		}
	})
	if err == nil {
		err = ran
	}
	return err
}

// run drives the jogs of a text from there, and tells every tick and what comes between.
func run(name string, arm *armfile.Arm, cell *cellfile.Cell, start kinematics.Joints, text string, told func(Tick)) error {
	stand := &cellfile.Stand{Arm: arm, Cell: cell}
	tool, err := arm.ToolAmong(stand.Tools(), "")
	if err != nil {
		return err
	}
	around, err := stand.Setup(tool, 0)
	if err != nil {
		return err
	}
	d, err := jog.New(around, start)
	if err != nil {
		return err
	}
	steps, err := jogfile.Parse(name, []byte(text))
	if err != nil {
		return err
	}
	tell := func(event string) { told(Tick{event, d.Joints(), place(d)}) }
	for i := range steps {
		unlike, err := jogfile.Rehearse(stand, d, name, steps[i:i+1], tell)
		switch {
		case err != nil:
			tell(err.Error())
		case unlike != nil:
			tell(unlike.Error())
		}
	}
	return nil
}

func place(d *jog.Drive) [3]float64 {
	at := d.TCP().Position
	return [3]float64{at.X, at.Y, at.Z}
}

// lines is the text of a random jog file.
func lines(random *rand.Rand) string {
	var text strings.Builder
	one := func(of ...string) string { return of[random.IntN(len(of))] }
	for i := range 2 + random.IntN(5) {
		switch random.IntN(6) {
		case 0:
			fmt.Fprintf(&text, "speed %d %d\n", 50+random.IntN(200), 40+random.IntN(50))
		case 1:
			fmt.Fprintf(&text, "set-distance %d\n", random.IntN(3)*10)
		}
		if i == 0 {
			text.WriteString("speed 250 90\n")
		}
		frame := one("joint", "base", "world", "tool", "task tile")
		axis := one("x", "y", "z", "about-x", "about-y", "about-z")
		if frame == "joint" {
			axis = fmt.Sprintf("J%d", 1+random.IntN(6))
		}
		straight := len(axis) == 1
		amount := (random.Float64()*2 - 1) * 60
		if straight {
			amount *= 5
		}
		switch random.IntN(4) {
		case 0:
			fmt.Fprintf(&text, "%s %s %s let-go %.2f\n", frame, axis, one("+", "-"), 0.2+random.Float64())
		case 1:
			fmt.Fprintf(&text, "%s %s %s until-stopped\n", frame, axis, one("+", "-"))
		case 2:
			if frame != "joint" && straight {
				fmt.Fprintf(&text, "%s x %+.2f y %+.2f z %+.2f\n", frame, amount, amount/2, -amount/3)
				continue
			}
			fallthrough
		default:
			fmt.Fprintf(&text, "%s %s %+.3f\n", frame, axis, amount)
		}
	}
	return text.String()
}

// write writes all bits of the numbers.
func (t Tick) write(w io.Writer) error {
	text := binary.LittleEndian.AppendUint16(nil, uint16(len(t.Event)))
	text = append(text, t.Event...)
	for _, x := range append(t.Joints[:], t.TCP[:]...) {
		text = binary.LittleEndian.AppendUint64(text, math.Float64bits(x))
	}
	_, err := w.Write(text)
	return err
}

// Read reads what Write wrote.
func Read(r io.Reader) (all []Tick, err error) {
	for {
		var size uint16
		if err := binary.Read(r, binary.LittleEndian, &size); err == io.EOF {
			return all, nil
		} else if err != nil {
			return all, err
		}
		text := make([]byte, int(size)+9*8)
		if _, err := io.ReadFull(r, text); err != nil {
			return all, err
		}
		t := Tick{Event: string(text[:size])}
		for i := range 9 {
			x := math.Float64frombits(binary.LittleEndian.Uint64(text[int(size)+8*i:]))
			if i < 6 {
				t.Joints[i] = x
			} else {
				t.TCP[i-6] = x
			}
		}
		all = append(all, t)
	}
}
