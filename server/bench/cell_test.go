package bench

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/spoken"
	"handrule/words"
)

func near3(a, b [3]float64, within float64) bool {
	return math.Abs(a[0]-b[0]) < within && math.Abs(a[1]-b[1]) < within && math.Abs(a[2]-b[2]) < within
}

func TestWallMountTurnsTheBaseButNotTheWorld(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"cell","id":"wall-mount"}`)
	cell := last[CellMessage](t, sent)
	if cell.ID != "wall-mount" || len(cell.Things) == 0 {
		t.Fatalf("the cell is %q with %d things", cell.ID, len(cell.Things))
	}
	inBase := b.state().TCP.PositionMM
	ask(t, b, noon, `{"type":"read-in","frame":"world","task":""}`)
	inWorld := b.state().TCP.PositionMM
	if near3(inBase, inWorld, 1) {
		t.Error("on a wall the world's numbers are those of the base")
	}
	// Up in the world, whatever the base thinks.
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	finish(t, b, noon)
	before := b.state().TCP.PositionMM
	ask(t, b, noon, `{"type":"step","direction":{"frame":"world","axis":2,"sign":1}}`)
	finish(t, b, noon)
	if b.driven.stopped.Reason != jog.Done {
		t.Fatal(b.driven.stopped)
	}
	after := b.state().TCP.PositionMM
	before[2] += b.chosen.Increment.MM
	if !near3(before, after, 1e-6) {
		t.Errorf("world Z + leads to %v, want %v", after, before)
	}
}

func TestTheCarriageMovesTheBaseInTheWorld(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"cell","id":"bench-rail"}`)
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	finish(t, b, noon)
	joints, inBase := b.drive().Joints(), b.state().TCP.PositionMM
	ask(t, b, noon, `{"type":"read-in","frame":"world","task":""}`)
	inWorld := b.state().TCP.PositionMM
	ask(t, b, noon, `{"type":"rail","mm":1000.5}`)
	inWorld[1] += 600.5
	if at := b.state().TCP.PositionMM; !near3(at, inWorld, 1e-9) || b.drive().Joints() != joints {
		t.Errorf("the TCP is at %v in the world, want %v", at, inWorld)
	}
	ask(t, b, noon, `{"type":"read-in","frame":"base","task":""}`)
	if at := b.state().TCP.PositionMM; at != inBase {
		t.Errorf("in the base frame the TCP is at %v, and was at %v", at, inBase)
	}
	cell := last[CellMessage](t, sent)
	if cell.Rail == nil || *cell.Rail != (RailView{FromMM: 200, ToMM: 1800, AtMM: 1000.5}) || cell.Base.Position[1] != 1000.5 {
		t.Errorf("the page is told %+v", cell.Rail)
	}
	if b.driven.log.Len() != 0 {
		t.Error("the log goes on from another base")
	}
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	for _, wrong := range []string{`{"type":"rail","mm":600}`, `{"type":"rail","mm":5000}`} {
		request, _ := Decode([]byte(wrong))
		if err := b.Handle(request, noon); err == nil {
			t.Errorf("%s was done", wrong)
		}
		finish(t, b, noon)
	}
	if text := b.logFile().Text; !strings.Contains(text, "--cell bench-rail --rail 1000.5 --start 0,0,0,0,5,0") {
		t.Errorf("the log is\n%s", text)
	}
	ask(t, b, noon, `{"type":"cell","id":""}`)
	request, _ := Decode([]byte(`{"type":"rail","mm":600}`))
	if err := b.Handle(request, noon); err == nil {
		t.Error("an arm that is bolted down slid")
	}
}

// An arm that is put down in a contact is told to be, which is no crash; it can leave, and goes no deeper.
func TestAnArmThatIsPutIntoTheTable(t *testing.T) {
	b, _ := testBench()
	ask(t, b, noon, `{"type":"cell","id":"glazing-bench"}`)
	down := kinematics.Pose{Position: r3.Vec{X: 330, Y: 120, Z: -308}, Rotation: fixedDeg([3]float64{180, 0, 0})} // the table's top is at Z -300
	ways := b.mounted.arm.Geometry.Inverse(nil, down.Mul(b.drive().Tool().Inverse()), kinematics.Joints{})
	if len(ways) == 0 {
		t.Fatal("out of reach")
	}
	b.mount(b.mounted.arm, "pen", ways[0].Joints)
	s := b.state()
	if !s.Clearance.Contact || s.Clearance.A != "the pen" || s.Clearance.B != "the table" || math.Abs(s.Clearance.DistanceMM+8) > 0.1 {
		t.Fatalf("the page is told %+v", s.Clearance)
	}
	ask(t, b, noon, `{"type":"step","direction":{"frame":"world","axis":2,"sign":-1}}`)
	finish(t, b, noon)
	if b.driven.stopped.Reason != jog.Contact || !strings.Contains(spoken.Numbers(*b.driven.stopped, b.in), "8.0 mm") || b.driven.crashes != 0 {
		t.Errorf("deeper: %s, %d crashes", b.driven.stopped, b.driven.crashes)
	}
	ask(t, b, noon, `{"type":"step","direction":{"frame":"world","axis":2,"sign":1}}`)
	finish(t, b, noon)
	if s := b.state(); b.driven.stopped.Reason != jog.Done || s.Clearance.Contact || b.driven.crashes != 0 {
		t.Errorf("out: %s, %+v, %d crashes", b.driven.stopped, s.Clearance, b.driven.crashes)
	}
}

func TestContactCountsAndTheSetDistancePrevents(t *testing.T) {
	for _, setDistance := range []float64{0, 8} {
		b, _ := testBench()
		ask(t, b, noon, `{"type":"cell","id":"glazing-bench"}`)
		ask(t, b, noon, fmt.Sprintf(`{"type":"set-distance","mm":%g}`, setDistance))
		ask(t, b, noon, `{"type":"increment","mm":500,"deg":90}`)
		ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
		finish(t, b, noon)
		ask(t, b, noon, `{"type":"step","direction":{"frame":"world","axis":2,"sign":-1}}`)
		finish(t, b, noon)
		s := b.state()
		switch {
		case setDistance == 0 && (b.driven.stopped.Reason != jog.Contact || s.Crashes != 1 || !s.Clearance.Contact):
			t.Errorf("without a set distance: %s, %d crashes, %v mm", b.driven.stopped, s.Crashes, s.Clearance.DistanceMM)
		case setDistance > 0 && (b.driven.stopped.Reason != jog.SetDistance || s.Crashes != 0 || math.Abs(s.Clearance.DistanceMM-setDistance) > 1e-3):
			t.Errorf("with a set distance of %v: %s, %d crashes, %v mm", setDistance, b.driven.stopped, s.Crashes, s.Clearance.DistanceMM)
		}
	}
}

func TestTheRoomIsWhatDrivingFinds(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"cell","id":"glazing-bench"}`)
	ask(t, b, noon, `{"type":"increment","mm":500,"deg":90}`)
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	finish(t, b, noon)
	ask(t, b, noon, `{"type":"frame","frame":"base","task":""}`)
	sent.all()
	ask(t, b, noon, `{"type":"show","room":true,"plot":false,"of":"tcp","form":"fixed_xyz"}`)
	m := last[RoomMessage](t, sent)
	for i, r := range m.Room[:6] {
		d := b.drive().Standing()
		way := jog.Direction{Frame: jog.BaseFrame, Axis: i / 2, Sign: 1 - 2*(i%2)}
		if err := d.Start(jog.Jog{Direction: way, Amount: 2000, Speed: b.chosen.Speed.MMS}); err != nil {
			t.Fatal(err)
		}
		for d.Tick() {
		}
		if math.Abs(d.Stop().Travel-r.Free) > 0.1 || spoken.Cause(d.Stop(), b.in) != r.Cause {
			t.Errorf("%v: room of %.3f mm until %q, but went %.3f mm until %q", way, r.Free, r.Cause, d.Stop().Travel, spoken.Cause(d.Stop(), b.in))
		}
	}
	// The same question is not asked twice.
	if q := b.Question(); q != nil {
		t.Errorf("%+v is asked again", q.key)
	}
	// A page that does not show the room costs nothing.
	ask(t, b, noon, `{"type":"show","room":false,"plot":false,"of":"tcp","form":"fixed_xyz"}`)
	ask(t, b, noon, `{"type":"frame","frame":"tool","task":""}`)
	if m := last[RoomMessage](t, sent); m.Frame != jog.BaseFrame {
		t.Error("a room was told to a page that shows none")
	}
}

func TestUndoGoesBackAndIsTakenFromTheLog(t *testing.T) {
	b, sent := testBench()
	start := b.drive().Joints()
	ask(t, b, noon, `{"type":"increment","mm":100,"deg":45}`)
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	finish(t, b, noon)
	sent.all()
	bent := b.drive().Joints()
	ask(t, b, noon, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	finish(t, b, noon)
	if m := last[LogMessage](t, sent); m.From != 1 || len(m.Entries) != 1 || m.Entries[0].Line != "100 mm along +Y of the base frame" {
		t.Fatalf("the log is %+v", m)
	}
	for _, want := range []struct {
		left int
		at   [6]float64
		said string
	}{{1, bent.Degrees(), "the jog 100 mm along +Y of the base frame."}, {0, start.Degrees(), "the jog J5, +45°."}} {
		ask(t, b, noon, `{"type":"undo"}`)
		finish(t, b, noon)
		if said := b.stopView().(StopMessage); said.Headline != "Undone" || said.Numbers != want.said {
			t.Errorf("it says %q: %q, want %q", said.Headline, said.Numbers, want.said)
		}
		if m := last[LogMessage](t, sent); m.From+len(m.Entries) != want.left {
			n := m.From + len(m.Entries)
			t.Errorf("%d jogs are left in the log, want %d", n, want.left)
		}
		for i, deg := range b.drive().Joints().Degrees() {
			if math.Abs(deg-want.at[i]) > 1e-6 {
				t.Errorf("J%d is at %v after the undo, want %v", i+1, deg, want.at[i])
			}
		}
	}
	request, _ := Decode([]byte(`{"type":"undo"}`))
	if err := b.Handle(request, noon); !errors.Is(err, jog.ErrNothingToUndo) {
		t.Errorf("an empty log: %v", err)
	}
}

func TestTeachingAFrameByThreePoints(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"increment","mm":100,"deg":90}`)
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	finish(t, b, noon)
	ask(t, b, noon, `{"type":"teach","do":"frame","name":"tray"}`)
	if m := last[TeachMessage](t, sent); !strings.Contains(m.Problem, "three points") {
		t.Errorf("without points: %q", m.Problem)
	}
	origin := b.drive().TCP().Position
	ask(t, b, noon, `{"type":"teach","do":"origin","name":""}`)
	ask(t, b, noon, `{"type":"teach","do":"x","name":""}`)
	ask(t, b, noon, `{"type":"teach","do":"xy","name":""}`)
	ask(t, b, noon, `{"type":"teach","do":"frame","name":"tray"}`)
	if m := last[TeachMessage](t, sent); !strings.Contains(m.Problem, "0.00 mm from the origin") {
		t.Errorf("with points in one place: %q", m.Problem)
	}
	// +X of the tray is base +Y, and its +Y is base −X: the frame is turned by 90° about Z.
	ask(t, b, noon, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	finish(t, b, noon)
	ask(t, b, noon, `{"type":"teach","do":"x","name":""}`)
	ask(t, b, noon, `{"type":"step","direction":{"frame":"base","axis":0,"sign":-1}}`)
	finish(t, b, noon)
	ask(t, b, noon, `{"type":"teach","do":"xy","name":""}`)
	ask(t, b, noon, `{"type":"teach","do":"frame","name":"tray"}`)
	if b.chosen.Frame != jog.TaskFrames || b.chosen.Task != "tray" {
		t.Fatalf("the active frame is %s %s", b.chosen.Frame, b.chosen.Task)
	}
	if cell := last[CellMessage](t, sent); len(cell.Tasks) != 1 || !cell.Tasks[0].Taught || !near3(cell.Tasks[0].Place.Position, array(origin), 1e-6) {
		t.Errorf("the task frames are %+v", cell.Tasks)
	}
	ask(t, b, noon, `{"type":"read-in","frame":"task","task":"tray"}`)
	if at := b.state().TCP.PositionMM; !near3(at, [3]float64{100, 100, 0}, 1e-6) {
		t.Errorf("in the tray's frame the TCP is at %v", at)
	}
}

func TestFindingATCPByTouches(t *testing.T) {
	b, sent := testBench()
	tip := b.drive().TCP().Position
	arm := b.mounted.arm.Geometry
	// The flange with the pen's tip on one point from five sides, as a learner would jog to it.
	for i, q := range [][3]float64{{0, 90, 0}, {20, 70, 0}, {-25, 100, 10}, {10, 60, -20}, {0, 110, 30}} {
		target := b.drive().TCP()
		target.Position = tip
		target.Rotation = fixedDeg(q)
		solutions := arm.Inverse(nil, target.Mul(b.drive().Tool().Inverse()), b.drive().Joints())
		if len(solutions) == 0 {
			t.Fatal("out of reach")
		}
		around := b.drive().Setup()
		around.Scene = nil
		drive, err := jog.New(around, solutions[0].Joints)
		if err != nil {
			t.Fatal(err)
		}
		b.mounted.drive = drive
		ask(t, b, noon, `{"type":"teach","do":"touch","name":""}`)
		if m := last[TeachMessage](t, sent); m.Touches != i+1 || (m.Fit == nil) != (i < 3) {
			t.Fatalf("after touch %d: %+v", i+1, m)
		}
	}
	fit := last[TeachMessage](t, sent).Fit
	if !near3(fit.TCPMM, [3]float64{0, 0, 120}, 1e-6) || fit.RMSMM > 1e-6 || fit.FromFileMM > 1e-6 {
		t.Errorf("the fit is %+v, the pen's TCP is 120 mm out", fit)
	}
	ask(t, b, noon, `{"type":"teach","do":"use-tcp","name":""}`)
	if !strings.Contains(b.chosen.Tool, "pen") || b.chosen.Tool == "pen" {
		t.Errorf("the tool is %q", b.chosen.Tool)
	}
	for _, tool := range last[ArmMessage](t, sent).Tools {
		if tool.Found != (tool.Name == b.chosen.Tool) {
			t.Errorf("%q: its TCP was found: %v", tool.Name, tool.Found)
		}
	}
	if cell := last[CellMessage](t, sent); slices.ContainsFunc(cell.Tasks, func(task TaskView) bool { return task.Taught }) {
		t.Errorf("frames were taught: %+v", cell.Tasks)
	}
}

func fixedDeg(deg [3]float64) kinematics.Rotation {
	return kinematics.FixedXYZ(kinematics.Radians(deg[0]), kinematics.Radians(deg[1]), kinematics.Radians(deg[2]))
}

// The scene that the page opens with: an arm in a cell at joints to which "start pose" leads back.
func TestSceneStandsAtItsJoints(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"scene","arm":"wren","cell":"glazing-bench","tool":"","joints_deg":[0,20,0,0,70,0]}`)
	if cell := last[CellMessage](t, sent); cell.ID != "glazing-bench" {
		t.Errorf("the cell is %q", cell.ID)
	}
	want := [6]float64{0, 20, 0, 0, 70, 0}
	at := func() bool {
		for i, deg := range b.state().JointsDeg {
			if math.Abs(deg-want[i]) > 1e-9 {
				return false
			}
		}
		return true
	}
	if !at() {
		t.Errorf("it stands at %v", b.state().JointsDeg)
	}
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`)
	finish(t, b, noon)
	ask(t, b, noon, `{"type":"restart"}`)
	if !at() {
		t.Errorf("the start pose is %v", b.state().JointsDeg)
	}
	// What is not there, or cannot be, changes nothing.
	for _, text := range []string{
		`{"type":"scene","arm":"heron","cell":"","tool":"","joints_deg":[0,0,0,0,0,0]}`,
		`{"type":"scene","arm":"wren","cell":"attic","tool":"","joints_deg":[0,0,0,0,0,0]}`,
		`{"type":"scene","arm":"wren","cell":"","tool":"","joints_deg":[0,170,0,0,0,0]}`,
		`{"type":"scene","arm":"wren","cell":"","tool":"sieve","joints_deg":[0,0,0,0,0,0]}`,
		`{"type":"scene","arm":"wren","cell":"glazing-bench","tool":"","joints_deg":[0,100,20,0,0,0]}`,
		`{"type":"scene","arm":"wren","cell":"glazing-bench","tool":"","joints_deg":[0,0,0,0,0,0],"rail_mm":10}`,
	} {
		request, err := Decode([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		if err := b.Handle(request, noon); err == nil || !at() || b.chosen.Cell != "glazing-bench" {
			t.Errorf("%s: %v, in %q", text, err, b.chosen.Cell)
		}
	}
}

// A scene that cannot be says which joint is beyond which limit, or which parts would be in each other, in both languages.
func TestASceneSaysWhyItCannotBe(t *testing.T) {
	for text, want := range map[string][2]string{
		`{"type":"scene","arm":"wren","cell":"","tool":"","joints_deg":[0,170,0,0,0,0]}`:               {"J2 cannot stand at 170.0°", "J2 no puede estar a 170,0°"},
		`{"type":"scene","arm":"wren","cell":"","tool":"sieve","joints_deg":[0,0,0,0,0,0]}`:            {"no tool sieve", "ninguna herramienta sieve"},
		`{"type":"scene","arm":"wren","cell":"glazing-bench","tool":"","joints_deg":[0,100,20,0,0,0]}`: {"The arm cannot stand like that", "El brazo no puede estar así"},
		`{"type":"lesson","id":"first-straight-line","progress":"","seed":null,"stage":99}`:            {"no stage 100", "ninguna etapa 100"},
	} {
		for i, in := range words.Languages {
			b, _ := testBench()
			b.speak(in)
			before := whatIs(b)
			request, err := Decode([]byte(text))
			if err != nil {
				t.Fatal(err)
			}
			err = b.Handle(request, noon)
			if err == nil || !strings.Contains(err.Error(), want[i]) {
				t.Errorf("%s in %s: %v", text, in.Code, err)
			}
			if after := whatIs(b); after != before {
				t.Errorf("%s changed %s to %s", text, before, after)
			}
		}
	}
}

// Every shipped arm stands in every shipped cell at the zero pose with every tool, or says what it would touch.
func TestScenesOfAllThatShips(t *testing.T) {
	for _, arm := range scenarios.ShippedArms() {
		for _, cell := range append(scenarios.ShippedCells(), nil) {
			for _, tool := range arm.Tools {
				r := &SceneRequest{Arm: arm.ID, Tool: tool.Name}
				if cell != nil {
					r.Cell = cell.ID
				}
				b, _ := testBench()
				if err := b.Handle(r, noon); err != nil && !strings.Contains(err.Error(), "mm deep in") {
					t.Errorf("%s with %s in %q: %v", arm.ID, tool.Name, r.Cell, err)
				} else if err != nil {
					t.Log(arm.ID, tool.Name, r.Cell, err)
				} else if mounted := b.mounted.drive.Setup().Tool; mounted.Name != tool.Name || mounted.TCP != tool.TCP {
					t.Errorf("%s with %s in %q: %s is mounted", arm.ID, tool.Name, r.Cell, mounted.Name)
				}
			}
		}
	}
}

// A lesson opens at the stage that is named.
func TestALessonOpensAtAStage(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"lesson","id":"first-straight-line","progress":"","seed":null,"stage":2}`)
	if m := last[LessonMessage](t, sent); m.ID != "first-straight-line" || m.Stage != 2 {
		t.Errorf("it is %q at stage %d", m.ID, m.Stage)
	}
}

// A carriage stands where a scene has it.
func TestASceneOnARail(t *testing.T) {
	for _, cell := range scenarios.ShippedCells() {
		if cell.Rail == nil {
			continue
		}
		at := (cell.Rail.From + cell.Rail.To) / 2
		b, _ := testBench()
		if err := b.Handle(&SceneRequest{Arm: "wren", Cell: cell.ID, RailMM: &at}, noon); err != nil {
			t.Fatal(err)
		}
		if b.mounted.cell.Rail.At != at {
			t.Errorf("in %s the carriage is at %g, not %g", cell.ID, b.mounted.cell.Rail.At, at)
		}
		return
	}
	t.Error("no shipped cell has a rail")
}
