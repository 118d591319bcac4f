package bench

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"handrule/words"
)

const siskin = "joint\ta_mm\talpha_deg\td_mm\ttheta_deg\tlower_deg\tupper_deg\n" +
	"J1\t45\t-90\t310\t0\t-165\t165\nJ2\t370\t0\t0\t-90\t-80\t120\nJ3\t30\t-90\t0\t0\t-130\t75\nJ4\t0\t90\t395\t0\t-180\t180\nJ5\t0\t-90\t0\t0\t-115\t115\nJ6\t0\t0\t85\t0\t-350\t350\n"

func asOwnArm(t *testing.T, r OwnArmRequest) string {
	t.Helper()
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	return strings.Replace(string(text), "{", `{"type":"own-arm",`, 1)
}

// A table is drawn as far as it is written, with its joints turned as asked, and is an arm file when it is whole.
func TestAnOwnArmGrowsRowByRow(t *testing.T) {
	b, h := testBench()
	rows := strings.SplitAfter(siskin, "\n")
	for n := range 6 {
		ask(t, b, noon, asOwnArm(t, OwnArmRequest{Kind: OwnArmDH, Convention: "classic", Text: strings.Join(rows[:n+1], "")}))
		if m := last[OwnArmMessage](t, h); len(m.Joints) != n || m.File != "" || len(m.Problems) == 0 || n > 0 && (m.End == nil || len(m.WayMM) != n+2) {
			t.Errorf("after %d rows: %+v", n, m)
		}
	}
	ask(t, b, noon, asOwnArm(t, OwnArmRequest{Kind: OwnArmDH, Convention: "classic", Text: siskin, Name: "Siskin", MountHeightMM: 20, AtDeg: [6]float64{90, 0, 0, 0, 0, 999}}))
	m := last[OwnArmMessage](t, h)
	// By hand: the flange is 525 mm ahead at the zero pose, and to the left with J1 at 90°.
	if len(m.Problems) != 0 || m.End == nil || math.Abs(m.End.Position[1]-525) > 1e-9 || math.Abs(m.End.Position[2]-710) > 1e-9 || m.WayMM[0][2] != -20 {
		t.Fatalf("%+v", m)
	}
	if m.Joints[5].AtDeg != 350 || math.Abs(m.Joints[1].LimitsDeg[1]-120) > 1e-9 {
		t.Errorf("%+v", m.Joints)
	}
	ask(t, b, noon, asOwnArm(t, OwnArmRequest{Kind: OwnArmDH, Convention: "classic", Text: strings.Replace(siskin, "395", "four", 1)}))
	if m := last[OwnArmMessage](t, h); len(m.Problems) != 1 || m.Problems[0].Line != 5 || m.Problems[0].Column != 9 || len(m.Joints) != 3 {
		t.Errorf("%+v", m)
	}
}

// A whole arm file is drawn as a table is, under its own name or another; what is wrong with one is told at its place.
func TestAWholeArmFileIsDrawn(t *testing.T) {
	b, h := testBench()
	ask(t, b, noon, asOwnArm(t, OwnArmRequest{Kind: OwnArmDH, Convention: "classic", Text: siskin, Name: "Siskin"}))
	drawn := last[OwnArmMessage](t, h)
	ask(t, b, noon, asOwnArm(t, OwnArmRequest{Kind: OwnArmWhole, Text: drawn.File}))
	if m := last[OwnArmMessage](t, h); m.File != drawn.File || len(m.WayMM) != len(drawn.WayMM) || len(m.Joints) != 6 || len(m.Problems) != 0 || m.Solver != drawn.Solver {
		t.Errorf("%+v", m)
	}
	ask(t, b, noon, asOwnArm(t, OwnArmRequest{Kind: OwnArmWhole, Text: drawn.File, Name: "Mine"}))
	if m := last[OwnArmMessage](t, h); !strings.HasPrefix(m.File, "name: Mine\n") {
		t.Errorf("%.40s", m.File)
	}
	ask(t, b, noon, asOwnArm(t, OwnArmRequest{Kind: OwnArmWhole, Text: "name: Mine\njoints: many\n"}))
	if m := last[OwnArmMessage](t, h); m.File != "" || len(m.Joints) != 0 || !slices.ContainsFunc(m.Problems, func(p CellProblem) bool { return p.Line == 2 && p.Column == 9 }) {
		t.Errorf("%+v", m)
	}
}

// An own arm is offered to its learner alone, driven as any other, found again from a snapshot, and taken back.
func TestAnOwnArmIsTheLearnersOwn(t *testing.T) {
	b, h := testBench()
	ask(t, b, noon, asOwnArm(t, OwnArmRequest{Kind: OwnArmDH, Convention: "classic", Text: siskin, Name: "Siskin"}))
	file := last[OwnArmMessage](t, h).File
	hand := func(text string, show bool) {
		t.Helper()
		request, _ := json.Marshal(OwnArmFileRequest{text, show})
		ask(t, b, noon, strings.Replace(string(request), "{", `{"type":"own-arm-file",`, 1))
	}
	hand(file, true)
	if m := last[OwnArmFileMessage](t, h); m.Name != "Siskin" || len(m.Problems) != 0 {
		t.Fatalf("%+v", m)
	}
	if near, can := b.drive().Clearance(); !can || near.Distance < 0 {
		t.Errorf("its body stands in something: %+v", near)
	}
	if arms := last[OfferMessage](t, h).Arms; arms[len(arms)-1].ID != OwnArmID || arms[len(arms)-1].Title != "Siskin (own)" || b.mounted.arm.Name != "Siskin" {
		t.Errorf("%+v", arms)
	}
	if len(b.offer.Arms) != len(shipped().Arms) {
		t.Error("it is offered to everybody")
	}
	ask(t, b, noon, stepUp)
	finish(t, b, noon)
	state, log, err := b.Snapshot()
	if err != nil {
		t.Fatal(err)
	}
	offer := shipped()
	again, err := Restore(&offer, testEnv(), state, log)
	if err != nil || again.state().JointsDeg != b.state().JointsDeg || again.mounted.arm.Name != "Siskin" {
		t.Fatal(err)
	}
	ask(t, b, noon, `{"type":"arm","id":"wren"}`)
	ask(t, b, noon, `{"type":"scene","arm":"own-arm","cell":"","tool":"","joints_deg":[0,0,10,0,0,0]}`)
	if b.mounted.arm.Name != "Siskin" {
		t.Error("an address does not lead to it")
	}
	hand("name: x", true)
	if m := last[OwnArmFileMessage](t, h); len(m.Problems) == 0 || b.mounted.arm.Name != "Siskin" {
		t.Errorf("%+v", m)
	}
	hand("", false)
	if arms := last[OfferMessage](t, h).Arms; arms[len(arms)-1].ID == OwnArmID {
		t.Errorf("%+v", arms)
	}
	b.Connect(Welcome{}, words.English) // the arm that stands stays
	if last[ArmMessage](t, h).Name != "Siskin" {
		t.Error("it is gone from under the learner's hands")
	}
	for _, wrong := range []OwnArmRequest{{Kind: "guess"}, {Kind: OwnArmDH, Convention: "mine"}, {Kind: OwnArmDH, Convention: "classic", Forward: "up"}} {
		request, err := Decode([]byte(asOwnArm(t, wrong)))
		if err == nil {
			err = b.Handle(request, noon)
		}
		if err == nil {
			t.Errorf("%+v is no question", wrong)
		}
	}
	if state, log, err = b.Snapshot(); err != nil {
		t.Fatal(err)
	}
	if again, err = Restore(&offer, testEnv(), state, log); err != nil || again.mounted.arm.Name != "Siskin" || again.own.arm != nil {
		t.Errorf("it is not found again: %v", err)
	}
}

// Somebody's own arm stands on another's bench where that is put there, as in a class, and theirs stays theirs.
func TestAnOwnArmIsLent(t *testing.T) {
	b, h := testBench()
	ask(t, b, noon, asOwnArm(t, OwnArmRequest{Kind: OwnArmDH, Convention: "classic", Text: siskin, Name: "Siskin"}))
	request, _ := json.Marshal(OwnArmFileRequest{last[OwnArmMessage](t, h).File, true})
	ask(t, b, noon, strings.Replace(string(request), "{", `{"type":"own-arm-file",`, 1))
	ask(t, b, noon, stepUp)
	finish(t, b, noon)
	put := func(b *Bench, s SceneRequest) {
		t.Helper()
		request, _ := json.Marshal(s)
		ask(t, b, noon, strings.Replace(string(request), "{", `{"type":"scene",`, 1))
	}
	other, at := testBench()
	mine := strings.Replace(strings.Replace(string(request), "Siskin", "Mine", 1), "{", `{"type":"own-arm-file",`, 1)
	ask(t, other, noon, mine)
	put(other, b.Scene())
	if other.mounted.arm.Name != "Siskin" || other.state().JointsDeg != b.state().JointsDeg || other.own.arm.Name != "Mine" {
		t.Errorf("%s stands there, and %s is the learner's own", other.mounted.arm.Name, other.own.arm.Name)
	}
	if arms := last[OfferMessage](t, at).Arms; arms[len(arms)-1].Title != "Mine (own)" {
		t.Errorf("%+v", arms)
	}
	state, log, err := other.Snapshot()
	if err != nil {
		t.Fatal(err)
	}
	offer := shipped()
	again, err := Restore(&offer, testEnv(), state, log)
	if err != nil || again.mounted.arm.Name != "Siskin" || again.Scene().Own != b.own.text {
		t.Errorf("it is not found again: %v", err)
	}
	put(other, SceneRequest{Arm: OwnArmID})
	if other.mounted.arm.Name != "Mine" {
		t.Error("the learner's own is not theirs any more")
	}
	half, err := Decode([]byte(`{"type":"scene","arm":"own-arm","cell":"","tool":"","own":"name: x"}`))
	if err == nil {
		err = other.Handle(half, noon)
	}
	if err == nil || !strings.Contains(err.Error(), "own-arm.yaml") || other.mounted.arm.Name != "Mine" {
		t.Errorf("half a file stands there: %v", err)
	}
}
