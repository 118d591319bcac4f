package bench

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"handrule/kinematics"
)

func askRealArm(t *testing.T, b *Bench, r RealArmRequest) {
	t.Helper()
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	ask(t, b, noon, strings.Replace(string(text), "{", `{"type":"real-arm",`, 1))
}

// readAs is what the display of a real arm shows, which is the arm on the bench but for what real changes of its joints.
func readAs(t *testing.T, b *Bench, poses [][6]float64, real func(*[6]kinematics.Joint)) (all []RealArmReading) {
	t.Helper()
	joints := b.mounted.arm.Geometry.Joints
	real(&joints)
	arm, err := b.mounted.arm.With(joints)
	if err != nil {
		t.Fatal(err)
	}
	for _, deg := range poses {
		var q kinematics.Joints
		for i := range q {
			q[i] = kinematics.Radians(deg[i])
		}
		all = append(all, RealArmReading{JointsDeg: deg, AtMM: array(arm.Geometry.Forward(q).Mul(b.drive().Tool()).Position)})
	}
	return all
}

// The page is told poses to jog to, then what is wrong, and gets an arm file in which it is right; with many readings a fit of all zeros.
func TestARealArmIsComparedOnThePage(t *testing.T) {
	b, h := testBench()
	askRealArm(t, b, RealArmRequest{Poses: 5})
	m := last[RealArmMessage](t, h)
	if len(m.PosesDeg) != 5 || m.Arm != "Wren" || m.Tool == "" {
		t.Fatalf("%+v", m)
	}
	five := m.PosesDeg
	same := readAs(t, b, five, func(*[6]kinematics.Joint) {})
	askRealArm(t, b, RealArmRequest{Readings: same})
	if m := last[RealArmMessage](t, h); !strings.Contains(m.Said, "agrees") || len(m.OffMM) != 5 || m.File != "" || len(m.Unseen) != 1 || m.Unseen[0] != "J6" {
		t.Errorf("%+v", m)
	}
	askRealArm(t, b, RealArmRequest{Readings: readAs(t, b, five, func(j *[6]kinematics.Joint) { j[2].Measured -= kinematics.Radians(4) })})
	m = last[RealArmMessage](t, h)
	if len(m.Causes) != 1 || !strings.Contains(m.Causes[0], "J3 stands at 4.00° of this arm where the real arm shows 0; reads_deg: -4 in") || m.LeftMM > 1e-3 || !strings.Contains(m.File, "reads_deg: -4") {
		t.Fatalf("%+v", m)
	}
	// The mended file on the bench agrees.
	request, _ := json.Marshal(OwnArmFileRequest{m.File, true})
	readings := readAs(t, b, five, func(j *[6]kinematics.Joint) { j[2].Measured -= kinematics.Radians(4) })
	ask(t, b, noon, strings.Replace(string(request), "{", `{"type":"own-arm-file",`, 1))
	askRealArm(t, b, RealArmRequest{Readings: readings})
	if m := last[RealArmMessage](t, h); !strings.Contains(m.Said, "agrees") {
		t.Errorf("%+v", m)
	}
	askRealArm(t, b, RealArmRequest{Poses: 12})
	askRealArm(t, b, RealArmRequest{Readings: readAs(t, b, last[RealArmMessage](t, h).PosesDeg, func(j *[6]kinematics.Joint) {
		for i := range 5 {
			j[i].Measured += kinematics.Radians(float64(i) - 3.5)
		}
	})})
	if m := last[RealArmMessage](t, h); m.Fit == nil || m.Fit.AfterMM > 1e-3 || m.Fit.BeforeMM < 2 || m.File == "" || math.Abs(m.Fit.AddDeg[0]-3.5) > 0.01 {
		t.Errorf("%+v", m)
	}
}
