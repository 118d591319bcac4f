package worksheet

import (
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"mime"
	"path"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/lesson"
	"handrule/scenarios/prose"
	"handrule/scenarios/solve"
	"handrule/words"
)

// sheet is what the template shows.
type sheet struct {
	Title, Arm string
	Seed       uint64
	Answers    bool
	Aims       []string
	Sources    []string
	Stages     []stage
}

type stage struct {
	Number   int
	Title    string
	Text     template.HTML
	Drawings template.HTML
	Joints   string
	Task     task
	Answer   string
}

// Write writes the lesson, its numbers drawn from the seed, as an HTML page made for paper: with empty lines, or as the key
// with the answers.
func Write(w io.Writer, l *lesson.Lesson, seed uint64, answers bool) error {
	l, solutions, err := solve.Drawn(l, seed)
	if err != nil {
		return err
	}
	byStage := map[int]solve.Solution{}
	for _, s := range solutions {
		byStage[s.Stage] = s
	}
	page := sheet{Title: l.Title, Arm: l.Arm.Name, Seed: seed, Answers: answers, Aims: l.Aims, Sources: l.Sources}
	last := ""
	for i := range l.Stages {
		s := &l.Stages[i]
		text, err := pictured(l, prose.HTML(s.Text, ""))
		if err != nil {
			return err
		}
		out := stage{Number: i + 1, Title: s.Title, Text: template.HTML(text)}
		solution, solved := byStage[i]
		if solved {
			out.Task = describe(l, s)
			out.Joints = jointLine(solution.Begin)
			drawn, err := sceneOf(l, solution.Begin)
			if err != nil {
				return err
			}
			if !answers {
				drawn.hidden = out.Task.Hidden
			}
			if drawing := drawn.drawings(); drawing != last { // The same again would only take paper.
				out.Drawings, last = template.HTML(drawing), drawing
			}
			out.Answer = answerOf(solution)
		}
		page.Stages = append(page.Stages, out)
	}
	return sheetPage.Execute(w, page)
}

// pictured puts the lesson's own pictures into the HTML, so that the page stands alone.
func pictured(l *lesson.Lesson, html string) (string, error) {
	for _, name := range l.Pictures {
		file, err := l.OpenPicture(name)
		if err != nil {
			return "", fmt.Errorf("the picture %s: %w", name, err)
		}
		picture, err := io.ReadAll(file)
		file.Close()
		if err != nil {
			return "", err
		}
		data := "data:" + mime.TypeByExtension(strings.ToLower(path.Ext(name))) + ";base64," + base64.StdEncoding.EncodeToString(picture)
		html = strings.ReplaceAll(html, `src="`+name+`"`, `src="`+data+`"`)
	}
	return html, nil
}

func jointLine(q kinematics.Joints) string {
	var parts []string
	for i, angle := range q.Degrees() {
		parts = append(parts, fmt.Sprintf("J%d %s°", i+1, strings.Replace(fmt.Sprintf("%.4g", angle+0), "-", "−", 1)))
	}
	return strings.Join(parts, " · ")
}

func answerOf(s solve.Solution) string {
	_, words, _ := strings.Cut(s.String(), ": ")
	return words
}

// sceneOf returns the arm at these joint angles in the lesson's cell.
func sceneOf(l *lesson.Lesson, q kinematics.Joints) (*scene, error) {
	d, err := l.Drive(q)
	if err != nil {
		return nil, err
	}
	setup, arm := d.Setup(), l.Arm.Geometry
	links := arm.Links(q)
	s := &scene{tcp: d.TCP().Position}
	for _, c := range l.Arm.Body {
		s.body = append(s.body, moved(c, links[c.Link]))
	}
	flange := arm.FlangeOf(&links)
	for _, c := range setup.Tool.Body {
		s.body = append(s.body, moved(c, flange))
	}
	for i, j := range arm.Joints {
		s.joints = append(s.joints, links[i+1].Apply(j.At))
		s.names = append(s.names, j.Name)
	}
	if l.Cell != nil {
		world := setup.Mount.Inverse()
		for _, t := range l.Cell.Things {
			t.Pose = world.Mul(t.Pose)
			s.things = append(s.things, t)
		}
	}
	return s, nil
}

func moved(c kinematics.Capsule, by kinematics.Pose) kinematics.Capsule {
	c.From, c.To = by.Apply(c.From), by.Apply(c.To)
	return c
}

// place writes a place as a person reads it.
func place(v r3.Vec) string {
	in := words.English
	return fmt.Sprintf("X %s, Y %s, Z %s", in.Short(v.X, 3), in.Short(v.Y, 3), in.Short(v.Z, 3))
}
