package bench

import (
	"errors"
	"strconv"
	"strings"

	"handrule/kinematics/jog"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/spoken"
)

// play is a jog file that is driven, jog by jog, from where the arm stands. Whoever touches a control ends it, and so does
// the first jog that does not end as its line says.
type play struct {
	name  string
	steps []jogfile.Step
	at    int // the step under way
}

// tick makes a tick of the drive, which no play may have.
func (p *play) tick(d *jog.Drive) bool {
	if p == nil {
		return d.Tick()
	}
	return p.steps[p.at].Tick(d)
}

// longestFileName in bytes is what is said again of a file's name.
const longestFileName = 80

// playFile begins to drive a jog file. What is wrong with the file is told, and is no error.
func (b *Bench) playFile(r *PlayRequest) error {
	if b.lesson != nil {
		return errors.New(b.in.Say("problem.lesson-play"))
	}
	if b.Busy() {
		return errors.New(b.in.Say("problem.moving"))
	}
	name := r.Name
	if len(name) > longestFileName {
		name = strings.ToValidUTF8(name[:longestFileName], "") + "…"
	}
	b.page.play = PlayMessage{Count: b.page.play.Count + 1, Name: name}
	steps, err := jogfile.Parse(name, []byte(r.Text))
	if err != nil {
		b.page.play.Problem = err.Error()
		return nil
	}
	b.predicting.supersede()
	b.control.playing = &play{name: name, steps: steps}
	b.playOn()
	return nil
}

// playOn starts the step that is next.
func (b *Bench) playOn() {
	b.page.touched = true
	p := b.control.playing
	step := &p.steps[p.at]
	stand := b.stand()
	err := step.Prepare(&stand, b.drive())
	if err == nil {
		if step.Changes() {
			b.take(&stand)
		}
		err = b.begin(step.Jog)
	}
	if err != nil {
		b.stopPlay(step.Problem(p.name, err).Error())
	}
}

// take takes over what a step of a jog file has changed, and tells the page.
func (b *Bench) take(stand *cellfile.Stand) {
	b.mounted.taught, b.mounted.found = stand.Taught, stand.Found
	now := b.drive().Setup()
	b.chosen.Tool, b.chosen.SetDistanceMM = now.Tool.Name, now.SetDistance
}

// played goes on to the next step, or ends the play.
func (b *Bench) played(stop jog.Stop) {
	p := b.control.playing
	if p == nil {
		return
	}
	step := &p.steps[p.at]
	if !step.Completed(stop) {
		line, text := step.Line()
		why := spoken.Headline(stop, b.in)
		if !stop.Trouble() {
			why = b.in.Say("play.not-stopped")
		}
		b.stopPlay(b.in.Say("play.ended", "line", strconv.Itoa(line), "jog", text, "why", why))
		return
	}
	if p.at++; p.at == len(p.steps) {
		b.stopPlay("")
	}
}

// stopPlay ends the play, if there is one, because of the problem, if there is one. The jog under way goes on.
func (b *Bench) stopPlay(problem string) {
	if b.control.playing == nil {
		return
	}
	m := b.playView()
	m.Playing, m.Problem = false, problem
	b.page.play, b.control.playing = m, nil
}

// playView is how the playing of a file stands, or how the last one ended.
func (b *Bench) playView() PlayMessage {
	m, p := b.page.play, b.control.playing
	if p == nil {
		return m
	}
	m.Playing, m.Done, m.Of = true, p.at, len(p.steps)
	if p.at < len(p.steps) {
		m.Line, m.Jog = p.steps[p.at].Line()
	}
	return m
}
