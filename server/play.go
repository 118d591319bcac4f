package server

import (
	"errors"
	"strconv"

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

// playFile begins to drive a jog file. What is wrong with the file is told, and is no error.
func (b *bench) playFile(r *PlayRequest) error {
	if b.lesson != nil {
		return errors.New(b.in.Say("problem.lesson-play"))
	}
	if b.busy() {
		return errors.New(b.in.Say("problem.moving"))
	}
	steps, err := jogfile.Parse(r.Name, []byte(r.Text))
	if err != nil {
		b.send("play", PlayMessage{Name: r.Name, Problem: err.Error()})
		return nil
	}
	b.outdate()
	b.playing = &play{name: r.Name, steps: steps}
	b.playOn()
	return nil
}

// playOn starts the step that is next.
func (b *bench) playOn() {
	p := b.playing
	step := &p.steps[p.at]
	b.send("play", b.playMessage())
	stand := b.stand()
	err := step.Prepare(&stand, b.drive)
	if err == nil {
		if step.Changes() {
			b.take(&stand)
		}
		err = b.begin(step.Jog)
	}
	if err != nil {
		b.stopPlay(step.Problem(p.name, err).Error())
		b.send("ghost", b.ghost())
	}
}

// take takes over what a step of a jog file has changed, and tells the page.
func (b *bench) take(stand *cellfile.Stand) {
	b.taught, b.found = stand.Taught, stand.Found
	now := b.drive.Setup()
	b.setup.Tool, b.setup.SetDistanceMM = now.Tool.Name, now.SetDistance
	b.send("arm", armMessage(b.arm, b.tools()))
	b.send("cell", b.cellMessage())
	b.send("setup", b.setup)
}

// played goes on to the next step, or ends the play.
func (b *bench) played(stop jog.Stop) {
	p := b.playing
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
func (b *bench) stopPlay(problem string) {
	if b.playing == nil {
		return
	}
	m := b.playMessage()
	m.Playing, m.Problem = false, problem
	b.playing = nil
	b.send("play", m)
}

func (b *bench) playMessage() PlayMessage {
	p := b.playing
	m := PlayMessage{Name: p.name, Playing: true, Done: p.at, Of: len(p.steps)}
	if p.at < len(p.steps) {
		m.Line, m.Jog = p.steps[p.at].Line()
	}
	return m
}
