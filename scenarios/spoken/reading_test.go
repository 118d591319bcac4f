package spoken

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/words"
)

func TestReadingTellsWhatIsNotUnique(t *testing.T) {
	const quarter, half = math.Pi / 2, math.Pi
	for _, c := range []struct {
		name     string
		rotation kinematics.Rotation
		want     UniqueForms
		notes    OrientationNotes // a part of each
	}{
		{"nothing special", kinematics.FixedXYZ(0.1, 0.2, 0.3), UniqueForms{true, true, true, true, true}, OrientationNotes{}},
		{"no turn", kinematics.NoRotation, UniqueForms{true, true, false, false, true},
			OrientationNotes{ZYZ: "their sum", AxisAngle: "no axis"}},
		{"about Y by 90°", kinematics.FixedXYZ(0.1, quarter, 0.3), UniqueForms{false, false, true, true, true},
			OrientationNotes{FixedXYZ: "X minus Z", MovingZYX: "Z minus X"}},
		{"about Y by −90°", kinematics.FixedXYZ(0.1, -quarter, 0.3), UniqueForms{false, false, true, true, true},
			OrientationNotes{FixedXYZ: "X plus Z", MovingZYX: "Z plus X"}},
		{"half a turn about X", kinematics.FixedXYZ(half, 0, 0), UniqueForms{true, true, false, false, false},
			OrientationNotes{ZYZ: "the first minus the last", AxisAngle: "opposite axis", Quaternion: "all signs changed"}},
	} {
		got := ReadingOf(kinematics.Pose{Rotation: c.rotation}, words.English)
		if got.Unique != c.want {
			t.Errorf("%s: %+v, want %+v", c.name, got.Unique, c.want)
		}
		for _, note := range [][2]string{
			{got.Notes.FixedXYZ, c.notes.FixedXYZ}, {got.Notes.MovingZYX, c.notes.MovingZYX}, {got.Notes.ZYZ, c.notes.ZYZ},
			{got.Notes.AxisAngle, c.notes.AxisAngle}, {got.Notes.Quaternion, c.notes.Quaternion},
		} {
			if (note[0] == "") != (note[1] == "") || !strings.Contains(note[0], note[1]) {
				t.Errorf("%s: the note is %q, want %q in it", c.name, note[0], note[1])
			}
		}
	}
}

// What a note says still means something really does: turning the two angles so that it stays the same gives the same
// orientation.
func TestWhatNotesKeepIsWhatCounts(t *testing.T) {
	deg := kinematics.Radians
	same := func(a, b kinematics.Rotation) bool {
		return r3.Norm(r3.Sub(a.X, b.X))+r3.Norm(r3.Sub(a.Y, b.Y)) < 1e-12
	}
	for what, pair := range map[string][2]kinematics.Rotation{
		"difference at 90°":  {kinematics.FixedXYZ(deg(10), deg(90), deg(30)), kinematics.FixedXYZ(deg(25), deg(90), deg(45))},
		"sum at −90°":        {kinematics.FixedXYZ(deg(10), deg(-90), deg(30)), kinematics.FixedXYZ(deg(25), deg(-90), deg(15))},
		"sum at 0°":          {kinematics.ZYZ(deg(10), 0, deg(30)), kinematics.ZYZ(deg(25), 0, deg(15))},
		"difference at 180°": {kinematics.ZYZ(deg(10), math.Pi, deg(30)), kinematics.ZYZ(deg(25), math.Pi, deg(45))},
	} {
		if !same(pair[0], pair[1]) {
			t.Errorf("%s: %v and %v differ", what, pair[0], pair[1])
		}
	}
}

// Rx(5°) Ry(90°) is Rz(90°) Ry(85°) Rx(90°), by hand: three new angles for a turn of 5°.
func TestAnglesThatLeapAreExplained(t *testing.T) {
	deg := kinematics.Radians
	pose := func(r kinematics.Rotation) kinematics.Pose { return kinematics.Pose{Rotation: r} }
	xyz := func(x, y, z float64) kinematics.Pose { return pose(kinematics.FixedXYZ(deg(x), deg(y), deg(z))) }
	zyz := func(a, b, c float64) kinematics.Pose { return pose(kinematics.ZYZ(deg(a), deg(b), deg(c))) }
	for _, c := range []struct {
		name        string
		before, now kinematics.Pose
		fixed, zyz  string // what is in the notes
	}{
		{"leaps at 90°", xyz(0, 90, 0), pose(kinematics.RotationAbout(r3.Vec{X: 1}, deg(5)).Mul(kinematics.FixedXYZ(0, deg(90), 0))), "only 5.0°: at 90° about Y", ""},
		{"leaps at −90°", xyz(0, -88, 0), xyz(178, -89, 178), "at −90° about Y", ""},
		{"a turn about X alone", xyz(10, 20, 30), xyz(15, 20, 30), "", ""},
		{"a great turn", xyz(0, 0, 0), xyz(80, 70, 60), "", ""},
		{"past half a turn", xyz(179, 10, 20), xyz(-179, 11, 21), "", ""},
		{"it stands", xyz(10, 20, 30), xyz(10, 20, 30), "", ""},
		{"Z-Y-Z leap at 0°", zyz(0, 2, 0), zyz(170, 1, -172), "", "at 0° about Y"},
		{"Z-Y-Z leap at 180°", zyz(0, 178, 0), zyz(170, 179, 172), "", "at 180° about Y"},
	} {
		for _, f := range []struct {
			form Form
			want string
		}{{FixedXYZ, c.fixed}, {MovingZYX, c.fixed}, {ZYZ, c.zyz}} {
			_, got := f.form.Note(c.before.Rotation, c.now.Rotation, words.English)
			if (got == "") != (f.want == "") || !strings.Contains(got, f.want) {
				t.Errorf("%s: the note of %s is %q, want %q in it", c.name, f.form, got, f.want)
			}
		}
	}
}
