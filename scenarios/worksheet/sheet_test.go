package worksheet

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
	"handrule/scenarios/translation"
	"handrule/words"
)

func written(t *testing.T, id string, p Print) string {
	t.Helper()
	l, err := scenarios.OpenLesson(id, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	if err := Write(&out, l, p); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// sectionOf is the part of a sheet that is the stage of that title.
func sectionOf(t *testing.T, page, title string) string {
	t.Helper()
	for _, section := range strings.Split(page, "<section>")[1:] {
		if strings.Contains(section, ". "+title+"</span>") {
			return section
		}
	}
	t.Fatalf("no stage %s", title)
	return ""
}

var svg = regexp.MustCompile(`(?s)<svg.*?</svg>`)

func TestEveryShippedLessonHasASheetAndAKey(t *testing.T) {
	for _, l := range scenarios.ShippedLessons() {
		for _, p := range []Print{{Deal: lesson.Deal{Seed: 1}}, {Deal: lesson.Deal{Seed: 1}, Answers: true, Paper: "letter", In: words.Find("es")}} {
			page := written(t, l.ID, p)
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
			if strings.Contains(page, "<script") || strings.Contains(page, `class="answer"`) != p.Answers || strings.Contains(page, "ZgotmplZ") {
				t.Errorf("%s: answers %v", l.ID, p.Answers)
			}
		}
	}
}

// scenesOf are those of every stage of a lesson that is drawn.
func scenesOf(t *testing.T, l *lesson.Lesson, in *words.Language) map[string]*scene {
	t.Helper()
	l, solutions, err := solve.Drawn(l, lesson.Deal{Seed: 0})
	if err != nil {
		t.Fatal(err)
	}
	l = l.In(in)
	w := &writer{translation.Calling(in, l.Arm.Texts, l.Surroundings().Texts), l}
	all := map[string]*scene{}
	for _, s := range solutions {
		stage := &l.Stages[s.Stage]
		if !w.describe(stage).Drawn {
			continue
		}
		if all[fmt.Sprintf("%s, %s", l.ID, stage.Title)], err = w.sceneOf(stage, s.Begin); err != nil {
			t.Fatal(err)
		}
	}
	return all
}

// No label of a drawing lies over another or leaves the drawing, on either paper and in either language, and all are of at
// least 7 points.
func TestLabelsAreApart(t *testing.T) {
	if points := letters * 72 / 25.4; points < 7 {
		t.Errorf("labels are of %.1f points", points)
	}
	drawn := 0
	for _, l := range scenarios.ShippedLessons() {
		for _, in := range words.Languages {
			for name, s := range scenesOf(t, l, in) {
				for _, paper := range papers {
					s := s.larger(paper.printed())
					scale := s.scale(paper.printed())
					width := 0.0
					for _, v := range views {
						p := s.drawn(v, scale, in)
						width += p.width
						for i, a := range p.labels.placed {
							drawn++
							if !a.within(p.labels.area) {
								t.Errorf("%s, %s: %q leaves the drawing", name, v.title, a.text)
							}
							for _, b := range p.labels.placed[:i] {
								if a.meets(b.rect) {
									t.Errorf("%s, %s: %q lies over %q", name, v.title, a.text, b.text)
								}
							}
						}
					}
					if width > paper.printed() {
						t.Errorf("%s: the drawings are %.0f mm wide", name, width)
					}
				}
			}
		}
	}
	if drawn < 1000 {
		t.Errorf("only %d labels were looked at", drawn)
	}
}

// Every frame that a task speaks of is drawn with its name, in each of the views, and so is the goal.
func TestWhatATaskSpeaksOfIsDrawn(t *testing.T) {
	for _, l := range scenarios.ShippedLessons() {
		page := written(t, l.ID, Print{})
		for i := range l.Stages {
			s := &l.Stages[i]
			var names []string
			if s.Reach != nil && s.Reach.Position != nil {
				names = append(names, "goal", frameLabel(string(s.Reach.Frame)))
			}
			if s.Predict != nil {
				names = append(names, frameLabel(string(s.Predict.Frame)))
				if j := s.Predict.Jog[0]; j.Frame != jog.JointFrame {
					names = append(names, frameLabel(strings.TrimSpace(string(j.Frame)+" "+j.Task)))
				}
			}
			if s.Read != nil {
				names = append(names, frameLabel(string(s.Read.Frame)))
			}
			for _, name := range names {
				for _, d := range svg.FindAllString(sectionOf(t, page, escaped(s.Title)), -1) {
					if !regexp.MustCompile(`>([^<]*, )?` + name + `(, [^<]*)?</text>`).MatchString(d) {
						t.Errorf("%s, %s: %s is not in a drawing", l.ID, s.Title, name)
					}
				}
			}
		}
	}
}

// On a bench the world frame lies far below the arm: a task that does not speak of it is drawn larger without it, with its numbers
// beside the drawing.
func TestATaskIsNotDrawnSmallForTheFloor(t *testing.T) {
	l, err := scenarios.ReadLesson("f.yaml", []byte(`title: Bench
arm: wren
cell: {name: Bench, mount: {at_mm: [0, 0, 900]}, things: [{name: floor, at_mm: [0, 0, 0], facing: [0, 0, 1]}]}
start_deg: [0, 0, 0, 0, 90, 0]
stages:
  - {title: Base, text: One, predict: {jog: base y +30, ask: direction}}
  - {title: World, text: Two, read: {measure: z, frame: world, tolerance: 1}}
  - {title: Said, text: Where is the world frame?, predict: {jog: base y +30, ask: direction}}
`))
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	if err := Write(&out, l, Print{}); err != nil {
		t.Fatal(err)
	}
	height := func(section string) (mm float64) {
		fmt.Sscanf(regexp.MustCompile(`height="([0-9.]+)mm"`).FindStringSubmatch(section)[1], "%f", &mm)
		return mm
	}
	for title, drawn := range map[string]bool{"Base": false, "World": true, "Said": true} {
		section := sectionOf(t, out.String(), title)
		if is := strings.Contains(svg.FindString(section), "world</text>"); is != drawn || height(section) < 30 {
			t.Errorf("%s: the world frame is drawn: %v, %v mm high", title, is, height(section))
		}
		if title == "Base" && !strings.Contains(section, "in the world frame: X 320, Y 0, Z 1310") { // By hand: 900 to the mount, 300 to the base frame, 110.
			t.Errorf("its numbers are not there: %s", svg.ReplaceAllString(section, ""))
		}
	}
}

func escaped(text string) string { return strings.ReplaceAll(text, "'", "&#39;") }

func frameLabel(word string) string {
	if word == "" || word == "base" {
		return "base"
	}
	return strings.TrimPrefix(word, "task ")
}

// The pen's tip by hand: 40 + 280 mm forward, 270 + 30 mm up, and 70 + 120 mm down again.
func TestDimensionsAreDrawnAndAskedOnesAreNot(t *testing.T) {
	page, key := written(t, "where-the-numbers-start", Print{}), written(t, "where-the-numbers-start", Print{Answers: true})
	first := sectionOf(t, page, "The walk to the tip")
	if !strings.Contains(first, "Z 110") || !strings.Contains(first, "X = ?") || strings.Contains(first, "X 320") || strings.Contains(first, "320 mm") {
		t.Error("the sheet gives away X, or does not say Z")
	}
	if !strings.Contains(key, "X 320") || !strings.Contains(key, ">320 mm<") || !strings.Contains(key, "12.598 in") {
		t.Error("the key does not say X")
	}
	if !strings.Contains(page, "is 300 mm above the mounting surface") || !strings.Contains(sectionOf(t, page, "Another origin, other numbers"), ">300</text>") {
		t.Error("the sheet does not say how high the origin is")
	}
	if tape := sectionOf(t, page, "A tape measure says"); strings.Contains(tape, "−200") || strings.Contains(tape, "Z 100") {
		t.Error("the sheet gives away Z")
	}
}

// What a tilted base makes of a jog, by hand: sin 30° of 100 mm.
func TestTheKeyShowsTheArithmetic(t *testing.T) {
	for _, c := range []struct{ lesson, stage, line string }{
		{"where-the-numbers-start", "In inches", "320 mm : 25.4 = 12.598 in"},
		{"where-the-numbers-start", "Before it moves", "110 − 40 = 70 mm"},
		{"where-the-numbers-start", "Another origin, other numbers", "Z in the world frame: 110 &#43; 300 = 410"},
		{"base-tool-task", "One jog, two numbers", "50 mm along &#43;X of the task frame tile: 50 · 0.4226 = 21.13"},
		{"base-tool-task", "One jog, two numbers", "110 &#43; 21.13 = 131.13 mm"},
		{"base-tool-task", "Over the middle of the tile", "X 75, Y 75, Z 60"},
		{"an-arm-askew", "Forward is not level", "100 · (−0.5) = −50"},
		{"enabling-device", "How fast is the tip?", "320 mm · 0.5236 = 167.55 mm"},
		{"joints-one-at-a-time", "The shoulder", "(0, 1, 0) × (280, 0, 110) = (110, 0, −280)"},
		{"limits-and-room", "How much room?", "|−80° − 0°| = 80°"},
		{"limits-and-room", "What will stop it?", "J5 120°"},
		{"straight-lines", "Who works the most?", "J1 and J6: Share of J6, 0 to 1: 0.43"},
		{"not-touching-things", "What is around", "Nearest are the pen and the tile"},
		// From one end of a way to the other: the two nearest points, and where a straight jog ends. What stands there is worked out below.
		{"not-touching-things", "What is around", "√("},
		{"limits-and-room", "Straight ahead", "base frame: (502.89, 0, 110) − (320, 0, 110) = (182.89, 0, 0)"},
		{"limits-and-room", "Straight ahead", "√(182.89² &#43; 0² &#43; 0²) = 182.89 mm"},
		{"first-straight-line", "How much is enough?", "Before: J1 0° · J2 0° · J3 0° · J4 0° · J5 10° · J6 0°"},
		{"first-straight-line", "How much is enough?", "J4: |−41.19° − 0°| = 41.19°"},
	} {
		if got := sectionOf(t, written(t, c.lesson, Print{Answers: true}), c.stage); !strings.Contains(got, c.line) {
			t.Errorf("%s, %s: no %s in\n%s", c.lesson, c.stage, c.line, regexp.MustCompile(`(?s)<ul class="working">.*`).FindString(got))
		}
	}
}

// The arithmetic of a clearance comes out: the difference of the two points as it is printed, and its length, are those that stand there.
func TestTheArithmeticOfAClearanceComesOut(t *testing.T) {
	section := strings.ReplaceAll(sectionOf(t, written(t, "not-touching-things", Print{Answers: true}), "What is around"), words.Minus, "-")
	var to, from, way [3]float64
	line := regexp.MustCompile(`base frame: (\(.*\)) - (\(.*\)) = (\(.*\))`).FindStringSubmatch(section)
	if line == nil {
		t.Fatal(section)
	}
	for i, at := range []*[3]float64{&to, &from, &way} {
		if _, err := fmt.Sscanf(line[i+1], "(%f, %f, %f)", &at[0], &at[1], &at[2]); err != nil {
			t.Fatal(err)
		}
	}
	square := 0.0
	for i := range way {
		square += way[i] * way[i]
		if math.Abs(to[i]-from[i]-way[i]) > 0.011 {
			t.Errorf("%v - %v is not %v", to, from, way)
		}
	}
	var said float64
	if _, err := fmt.Sscanf(section[strings.Index(section, "Nearest are"):], "Nearest are the pen and the tile: %f mm.", &said); err != nil || math.Abs(math.Sqrt(square)-said) > 0.02 {
		t.Errorf("%v mm long, and %v mm are said, %v", math.Sqrt(square), said, err)
	}
}

// No number that is asked for stands in its own stage on the sheet, where it is what the readout would show.
func TestASheetGivesNoNumberAway(t *testing.T) {
	for _, l := range scenarios.ShippedLessons() {
		page := written(t, l.ID, Print{})
		for i := range l.Stages {
			s := &l.Stages[i]
			if s.Read == nil || len(s.Read.After) > 0 {
				continue
			}
			d, err := l.Drive(s.Begin)
			if err != nil {
				t.Fatal(err)
			}
			truth, err := s.Read.Truth(l, d)
			if err != nil {
				t.Fatal(err)
			}
			answer := words.English.Short(*truth.Answer.Number, 1)
			section := sectionOf(t, page, escaped(s.Title))
			for _, part := range append(svg.FindAllString(section, -1), regexp.MustCompile(`(?s)<p class="small">.*?</p>`).FindString(section)) {
				if regexp.MustCompile(`[XYZ] ` + regexp.QuoteMeta(answer) + `[^0-9.]`).MatchString(part) {
					t.Errorf("%s, %s: %s is on the sheet: %s", l.ID, s.Title, answer, part)
				}
			}
		}
	}
}

func TestPapersAndLanguages(t *testing.T) {
	for paper, css := range map[string]string{"": "size: A4;", "a4": "size: A4;", "letter": "size: letter;"} {
		if page := written(t, "two-ways", Print{Paper: paper}); !strings.Contains(page, css) {
			t.Errorf("%q: no %s", paper, css)
		}
	}
	page := written(t, "the-right-hand", Print{In: words.Find("es")})
	for _, text := range []string{`<html lang="es">`, "La mano derecha", "Nombre", "Brazo: Reyezuelo", "sistema base", "de lado"} {
		if !strings.Contains(page, text) {
			t.Errorf("in Spanish there is no %s", text)
		}
	}
	if strings.Contains(page, "Name<") || strings.Contains(page, "base frame") {
		t.Error("there is English in it")
	}
}

// Points are those of the tasks that can be done on paper, and stand at each and at the head; so does the edition.
func TestPointsAndEdition(t *testing.T) {
	l, _ := scenarios.OpenLesson("base-tool-task", 0)
	page := written(t, l.ID, Print{})
	if n := strings.Count(page, `<small class="points">`); n != 5 || !strings.Contains(page, "/ 5</span>") {
		t.Errorf("%d tasks have points", n)
	}
	if !strings.Contains(page, "edition "+l.Edition()) || len(l.Edition()) != 8 {
		t.Errorf("no edition %s", l.Edition())
	}
}

func TestARuleAboutFramesIsOneSentence(t *testing.T) {
	w := &writer{in: words.English}
	said := strings.Join(w.describe(&lesson.Stage{Task: &lesson.Reach{Frames: []jog.Frame{"task", "base", "tool"}}}).Words, " ")
	if !strings.Contains(said, "Jog only in: task frame, base frame, tool frame.") {
		t.Error(said)
	}
}

func TestNeighboursSheetsDiffer(t *testing.T) {
	one, two := written(t, "assessment", Print{Deal: lesson.Deal{Seed: 1}}), written(t, "assessment", Print{Deal: lesson.Deal{Seed: 2}})
	if one == strings.ReplaceAll(two, "numbers 2", "numbers 1") {
		t.Error("they are the same")
	}
	if one != written(t, "assessment", Print{Deal: lesson.Deal{Seed: 1}}) {
		t.Error("the same seed gives another sheet")
	}
}

// Whatever stands in a title is text at the foot of the page, and no CSS.
func TestTheFootIsText(t *testing.T) {
	if got := cssString(`a"; } b \ <c>`); got != `"a\22 ; } b \5c  \3c c\3e "` {
		t.Error(got)
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

// A sheet and its key belong together by the numbers at the foot and the head wherever anything is dealt: numbers, shapes of a question, or
// the order. Where nothing is, there are none.
func TestTheNumbersStandWhereverAnythingIsDealt(t *testing.T) {
	const (
		one   = "  - {title: One, text: One., choose: {question: a, options: [{text: a, right: true}, {text: b}]}}\n"
		two   = "  - {title: Two, text: Two., choose: {question: b, options: [{text: a, right: true}, {text: b}]}}\n"
		shape = "  - {title: One, text: One., shape_of: q, choose: {question: c, options: [{text: a, right: true}, {text: b}]}}\n" +
			"  - {title: One, text: One., shape_of: q, choose: {question: d, options: [{text: a, right: true}, {text: b}]}}\n"
	)
	for name, test := range map[string]struct {
		text string
		told bool
	}{
		"order":   {"assessment: {order: drawn}\nstages:\n" + one + two, true},
		"shapes":  {"stages:\n" + shape + two, true},
		"numbers": {"draw: [{name: far, from: 20, to: 60, step: 1}]\nstages:\n  - {text: One., read: {measure: z, after: base z +$far, tolerance: 1}}\n", true},
		"nothing": {"assessment: {}\nstages:\n" + one + two, false},
	} {
		l, err := scenarios.ReadLesson("own.yaml", []byte("title: Own\narm: wren\nstart_deg: [0, 0, 0, 0, 90, 0]\n"+test.text))
		if err != nil {
			t.Fatal(err)
		}
		for _, answers := range []bool{false, true} {
			var out strings.Builder
			if err := Write(&out, l, Print{Deal: lesson.Deal{Seed: 4711}, Answers: answers}); err != nil {
				t.Fatal(err)
			}
			want := 0
			if test.told {
				want = 2 // at the head, and at the foot
			}
			if n := strings.Count(out.String(), "numbers 4711"); n != want {
				t.Errorf("%s, answers %v: the numbers stand %d times, want %d", name, answers, n, want)
			}
		}
	}
}

// A question with options has drawings of the pose that it asks about, with the frames that it names; one that is not about the arm has none.
func TestAQuestionIsDrawnWhereItIsAboutTheArm(t *testing.T) {
	for _, c := range []struct {
		lesson, stage string
		drawn         bool
		frames        []string
	}{
		{"base-tool-task", "Lift off the tile", true, []string{"base", "tool", "tile"}},
		{"turning-about-the-tip", "With the bare flange", true, []string{"base"}},
		{"the-right-hand", "From in front", true, []string{"base"}},
		{"finding-a-tcp", "Four touches, all alike", true, []string{"base"}},
		{"enabling-device", "Half a second", true, []string{"base"}}, // a pose of its own
		{"enabling-device", "Three positions", false, nil},
		{"enabling-device", "A narrow place", false, nil},
		{"not-touching-things", "Before people", false, nil},
	} {
		for _, answers := range []bool{false, true} {
			drawings := svg.FindAllString(sectionOf(t, written(t, c.lesson, Print{Answers: answers}), c.stage), -1)
			if (len(drawings) == 3) != c.drawn {
				t.Errorf("%s, %s: %d drawings", c.lesson, c.stage, len(drawings))
			}
			for _, d := range drawings {
				for _, frame := range c.frames {
					if !regexp.MustCompile(`>([^<]*, )?` + frame + `(, [^<]*)?</text>`).MatchString(d) {
						t.Errorf("%s, %s: the frame %s is not drawn", c.lesson, c.stage, frame)
					}
				}
			}
		}
	}
}

// What a sheet cannot tell is said to be for the page, and counts nothing on paper; what it can tell is not.
func TestANumberThatASheetCannotTell(t *testing.T) {
	for _, c := range []struct {
		lesson, stage string
		onPage        bool
	}{
		{"first-straight-line", "How much is enough?", true},
		{"limits-and-room", "Straight ahead", true},
		{"limits-and-room", "How much room?", false},
		{"not-touching-things", "What is around", true},
		{"enabling-device", "How fast is the tip?", false},
	} {
		section := sectionOf(t, written(t, c.lesson, Print{}), c.stage)
		if is := strings.Contains(section, "Find it on the page, and note it here."); is != c.onPage || strings.Contains(section, `class="points"`) == c.onPage || !strings.Contains(section, `class="number"`) {
			t.Errorf("%s, %s: %v in\n%s", c.lesson, c.stage, is, svg.ReplaceAllString(section, ""))
		}
	}
}
