package worksheet

import (
	"encoding/xml"
	"io"
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/lesson"
)

func written(t *testing.T, id string, seed uint64, answers bool) string {
	t.Helper()
	l, err := scenarios.OpenLesson(id, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	if err := Write(&out, l, seed, answers); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func TestEveryShippedLessonHasASheetAndAKey(t *testing.T) {
	svg := regexp.MustCompile(`(?s)<svg.*?</svg>`)
	for _, l := range scenarios.ShippedLessons() {
		for _, answers := range []bool{false, true} {
			page := written(t, l.ID, 1, answers)
			drawings := svg.FindAllString(page, -1)
			if len(drawings) == 0 || len(drawings)%3 != 0 {
				t.Errorf("%s: %d drawings", l.ID, len(drawings))
			}
			for _, d := range drawings {
				decoder := xml.NewDecoder(strings.NewReader(d))
				for {
					if _, err := decoder.Token(); err == io.EOF {
						break
					} else if err != nil {
						t.Fatalf("%s: %v", l.ID, err)
					}
				}
				if strings.Contains(d, "NaN") || strings.Contains(d, "Inf") {
					t.Errorf("%s: a number that is none", l.ID)
				}
			}
			if strings.Contains(page, "<script") || strings.Contains(page, `class="answer"`) != answers {
				t.Errorf("%s: answers %v", l.ID, answers)
			}
		}
	}
}

// The pen's tip by hand: 40 + 280 mm forward, 270 + 30 mm up, and 70 + 120 mm down again.
func TestDimensionsAreDrawnAndAskedOnesAreNot(t *testing.T) {
	sheet, key := written(t, "where-the-numbers-start", 0, false), written(t, "where-the-numbers-start", 0, true)
	first, _, _ := strings.Cut(sheet, "2. In inches")
	if !strings.Contains(first, "z 110.0") || !strings.Contains(first, "x = ?") || strings.Contains(first, "x 320") || strings.Contains(first, "320 mm") {
		t.Error("the sheet gives away X, or does not say Z")
	}
	if !strings.Contains(key, "x 320.0") || !strings.Contains(key, "320 mm") || !strings.Contains(key, "12.598 inch") {
		t.Error("the key does not say X")
	}
}

func TestARuleAboutFramesIsOneSentence(t *testing.T) {
	words := describe(nil, &lesson.Stage{Task: &lesson.Reach{Frames: []jog.Frame{"task", "base", "tool"}}}).Words
	if !strings.Contains(words, "Jog only in the task frame, the base frame or the tool frame.") {
		t.Error(words)
	}
}

func TestNeighboursSheetsDiffer(t *testing.T) {
	one, two := written(t, "assessment", 1, false), written(t, "assessment", 2, false)
	if one == strings.ReplaceAll(two, "numbers 2", "numbers 1") {
		t.Error("they are the same")
	}
	if one != written(t, "assessment", 1, false) {
		t.Error("the same seed gives another sheet")
	}
}

// Points are inside their hull, and its corners are among them.
func TestHull(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		points := make([]point, 3+random.IntN(20))
		for i := range points {
			points[i] = point{math.Round(random.Float64() * 10), math.Round(random.Float64() * 10)}
		}
		corners := hull(points)
		for i, a := range corners {
			b := corners[(i+1)%len(corners)]
			for _, p := range points {
				if turn(a, b, p) < 0 {
					t.Fatalf("%v is outside %v", p, corners)
				}
			}
		}
	}
}

func TestNumbersOfADrawingAreNumbers(t *testing.T) {
	for _, number := range regexp.MustCompile(`x1="([^"]*)"`).FindAllStringSubmatch(written(t, "base-tool-task", 0, false), -1) {
		if _, err := strconv.ParseFloat(number[1], 64); err != nil {
			t.Error(err)
		}
	}
}
