package worksheet

import (
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"mime"
	"path"
	"regexp"
	"strings"

	"handrule/kinematics"
	"handrule/scenarios/lesson"
	"handrule/scenarios/prose"
	"handrule/scenarios/solve"
	"handrule/scenarios/translation"
	"handrule/words"
)

// Print says how a lesson is printed.
type Print struct {
	Deal    lesson.Deal // by which its numbers are drawn
	Answers bool        // the key instead of the sheet
	Paper   string      // "a4" or "letter"; "" is A4
	In      *words.Language
	Watch   solve.Watch // of the search for its ways; nil: nobody
}

// size of a paper, with the margins that are left around what is printed, mm.
type size struct {
	Name          string // as CSS names it
	Width, Margin float64
}

var papers = map[string]size{"a4": {"A4", 210, 15}, "letter": {"letter", 215.9, 15}}

// Papers are the names of the papers there are.
var Papers = []string{"a4", "letter"}

// settingEdge is what the edges of the box around the setting take of the width, mm.
const settingEdge = 7

// printed is the width in which is printed.
func (s size) printed() float64 { return s.Width - 2*s.Margin }

// sheet is what the template shows.
type sheet struct {
	Lang, Title, Arm, Cell, Edition string
	Tool                            string
	Foot                            template.CSS // at the foot of every page
	Seed                            uint64
	Drawn                           bool // something is dealt, so that the seed means something
	Answers                         bool
	Paper                           size
	Points                          float64
	Aims                            []string
	Sources                         []string
	Setting                         setting
	Stages                          []stage
}

type stage struct {
	Number   int
	Title    string
	Text     template.HTML
	Drawings template.HTML
	Places   []string // where the TCP is
	Joints   string
	Task     task
	Answer   string
	Working  []string
	Explain  template.HTML
}

// Write writes the lesson, its numbers drawn by the deal, as an HTML page made for paper: with empty lines, or as the key
// with the answers and the arithmetic that leads to them.
func Write(out io.Writer, l *lesson.Lesson, p Print) error {
	l, solutions, err := solve.DrawnWhile(l, p.Deal, p.Watch)
	if err != nil {
		return err
	}
	if p.In == nil {
		p.In = words.English
	}
	paper, known := papers[p.Paper]
	if !known {
		paper = papers["a4"]
	}
	l = l.In(p.In)
	w := &writer{translation.Calling(p.In, l.Arm.Texts, l.Surroundings().Texts), l}
	byStage := map[int]solve.Solution{}
	for _, s := range solutions {
		byStage[s.Stage] = s
	}
	page := sheet{
		Lang: p.In.Code, Title: l.Title, Arm: l.Arm.Texts.NameIn(w.in, l.Arm.Name), Edition: l.Edition(), Seed: p.Deal.Seed, Drawn: l.Deals(),
		Answers: p.Answers, Paper: paper, Aims: l.Aims, Sources: l.Sources,
	}
	if l.Cell != nil {
		page.Cell = l.Cell.Texts.NameIn(w.in, l.Cell.Name)
	}
	if tool, err := l.Mounted(); err == nil && tool.Name != kinematics.NoTool.Name {
		page.Tool = w.in.Named(tool.Name)
	}
	if page.Setting, err = w.setting(paper.printed() - settingEdge); err != nil {
		return err
	}
	for i := range l.Stages {
		s := &l.Stages[i]
		solution, solved := byStage[i]
		st, err := w.stage(s, i, solution, solved, p.Answers, paper.printed())
		if err != nil {
			return err
		}
		page.Points += st.Task.Points
		page.Stages = append(page.Stages, st)
	}
	page.Foot = cssString(page.foot(w.in))
	return template.Must(sheetPage.Clone()).Funcs(template.FuncMap{"say": w.in.Say, "number": func(x float64) string { return w.in.Short(x, 2) }}).Execute(out, page)
}

// foot is what stands at the foot of every page: the title, the lesson's edition, and the numbers where they are drawn.
func (s *sheet) foot(in *words.Language) string {
	foot := s.Title
	if s.Answers {
		foot += ": " + in.Say("sheet.key")
	}
	foot += " · " + in.Say("sheet.edition") + " " + s.Edition
	if s.Drawn {
		foot += fmt.Sprintf(" · %s %d", in.Say("sheet.numbers"), s.Seed)
	}
	return foot
}

// cssString writes a text as CSS takes it.
func cssString(text string) template.CSS {
	var css strings.Builder
	css.WriteByte('"')
	for _, c := range text {
		if strings.ContainsRune("\"\\<>&'\n\r", c) {
			fmt.Fprintf(&css, "\\%x ", c)
		} else {
			css.WriteRune(c)
		}
	}
	css.WriteByte('"')
	return template.CSS(css.String())
}

func (w *writer) stage(s *lesson.Stage, i int, solution solve.Solution, solved, answers bool, width float64) (out stage, err error) {
	text, err := pictured(w.l, prose.HTML(s.Text, ""))
	if err != nil {
		return out, err
	}
	out = stage{Number: i + 1, Title: s.Title, Text: template.HTML(text)}
	if !solved {
		return out, nil
	}
	out.Task = w.describe(s)
	if out.Task.Drawn {
		drawn, err := w.sceneOf(s, solution.Begin)
		if err != nil {
			return out, err
		}
		if !answers {
			drawn.hidden = hiddenInBase(s, out.Task)
		}
		out.Joints = w.joints(solution.Begin)
		out.Places, err = w.places(s, solution.Begin, out.Task, answers)
		if err != nil {
			return out, err
		}
		out.Drawings = template.HTML(drawn.larger(width).drawings(width, w.in))
	}
	if answers {
		if out.Answer, out.Working, err = w.answer(s, solution); err != nil {
			return out, err
		}
		explain, err := pictured(w.l, prose.HTML(s.Explain, ""))
		out.Explain = template.HTML(explain)
		return out, err
	}
	return out, nil
}

// hiddenInBase are the dimensions in the drawings, which are those in the base frame, that give away what is asked.
func hiddenInBase(s *lesson.Stage, t task) []string {
	if s.Read != nil && (s.Read.Frame == "" || s.Read.Frame == "base") {
		return t.Hidden
	}
	return nil
}

// pictured puts the lesson's own pictures into the HTML, so that the page stands alone.
func pictured(l *lesson.Lesson, html string) (string, error) {
	html = withinPage.ReplaceAllString(html, "$1") // paper leads nowhere
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

// withinPage are links to other lessons of the page.
var withinPage = regexp.MustCompile(`<a href="#[^"]*">(.*?)</a>`)

// joints writes the six angles.
func (w *writer) joints(q kinematics.Joints) string {
	var parts []string
	for i, angle := range q.Degrees() {
		parts = append(parts, kinematics.JointNames[i]+" "+w.in.Short(angle, 2)+"°")
	}
	return strings.Join(parts, " · ")
}

// places says where the TCP is in every frame that a stage is about; what is asked is a question mark.
func (w *writer) places(s *lesson.Stage, q kinematics.Joints, t task, answers bool) (all []string, err error) {
	d, err := w.l.Drive(q)
	if err != nil {
		return nil, err
	}
	setup := d.Setup()
	for _, f := range w.framesOf(s, d) {
		if f.word == "world" && w.l.Cell == nil || f.word == "tool" {
			continue
		}
		pose := f.Pose.Inverse().Mul(setup.Mount).Mul(d.TCP())
		var parts []string
		for i, x := range []float64{pose.Position.X, pose.Position.Y, pose.Position.Z} {
			name := "xyz"[i : i+1]
			shown := w.in.Short(x, 1)
			if !answers && len(t.Hidden) > 0 && t.Hidden[0] == name && f.isAsked(s) {
				shown = "?"
			}
			parts = append(parts, strings.ToUpper(name)+" "+shown)
		}
		if len(t.Hidden) > 0 && !answers && !f.isAsked(s) && f.word != "base" {
			continue // It would give the number away by a sum.
		}
		a, _ := pose.Rotation.FixedXYZ()
		angles := w.degrees1(a.X) + ", " + w.degrees1(a.Y) + ", " + w.degrees1(a.Z)
		all = append(all, w.in.Say("sheet.tcp-in", "frame", w.frameName(f.word), "place", strings.Join(parts, w.in.Say("sheet.between")), "angles", angles))
	}
	return all, nil
}

// degrees1 writes an angle in rad to a tenth of a degree.
func (w *writer) degrees1(rad float64) string { return w.in.Short(kinematics.Degrees(rad), 1) + "°" }

// sceneOf returns the arm at these joint angles in the lesson's cell, in the world frame, with what the stage is about.
func (w *writer) sceneOf(stage *lesson.Stage, q kinematics.Joints) (*scene, error) {
	l := w.l
	d, err := l.Drive(q)
	if err != nil {
		return nil, err
	}
	setup, arm := d.Setup(), l.Arm.Geometry
	links := arm.Links(q)
	world := setup.Mount
	s := &scene{base: world, surface: l.Surroundings().Mount.Position, tcp: world.Apply(d.TCP().Position), frames: w.framesOf(stage, d), things: w.keyedThings()}
	for _, c := range l.Arm.Body {
		s.body = append(s.body, moved(c, world.Mul(links[c.Link])))
	}
	flange := world.Mul(arm.FlangeOf(&links))
	for _, c := range setup.Tool.Body {
		s.body = append(s.body, moved(c, flange))
	}
	for i, j := range arm.Joints {
		s.joints = append(s.joints, world.Apply(links[i+1].Apply(j.At)))
		s.names = append(s.names, j.Name)
	}
	if reach := stage.Reach; reach != nil && reach.Position != nil {
		goal, err := reach.Goal(l, d)
		if err != nil {
			return nil, err
		}
		at := world.Apply(goal.Position)
		s.goal = &at
	}
	return s, nil
}

func moved(c kinematics.Capsule, by kinematics.Pose) kinematics.Capsule {
	c.From, c.To = by.Apply(c.From), by.Apply(c.To)
	return c
}
