package bench

import (
	"encoding/json"
	"math"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// This file keeps a hold that is under way, for a bench that is lost in the middle of it. What is kept is how it stood at rest, and what was
// driven since. That is driven again, bit for bit as it was (see jog.Entry), and let go there: so the log and the lesson are what they would
// have been if the connection had been lost then.

// Mark tells what a bench at rest is at, so that what was driven since can be told.
type Mark struct {
	put, stops, jogs, inLesson int
	tool                       string
	setDistance                float64
}

func (b *Bench) mark() Mark {
	m := Mark{put: b.put, stops: b.driven.stops, jogs: b.driven.log.Begun(), tool: b.chosen.Tool, setDistance: b.chosen.SetDistanceMM}
	if m.inLesson = m.stops; b.lesson != nil {
		m.inLesson = b.lesson.jogs // of which those are none that it shows
	}
	return m
}

// Mark returns what the bench was at when it was taken down.
func (r *Rest) Mark() Mark { return r.mark }

const (
	// mostSince jogs are driven again, as where a control was pressed the other way before the arm stood.
	mostSince = 8
	// longestAgain is how many ticks are driven again. Who holds a control for longer is found where the arm was by then.
	longestAgain = 60 * jog.TickRate
)

// underWay is what was driven since a bench was taken down.
type underWay struct {
	From kinematics.Joints `json:"from"`
	Jogs []again           `json:"jogs"`
}

// again is a jog to be driven again.
type again struct {
	Jog   jog.Jog `json:"jog"`              // a held one's amount is −1
	LetGo int64   `json:"let_go,omitempty"` // after so many ticks; 0: it went to its end
	Lost  bool    `json:"lost,omitempty"`   // the connection was, and so it was let go
}

// UnderWay writes down what was driven since the bench was at the mark, with the hold that is under way; nil where there is none, or it cannot be
// driven again as it was.
func (b *Bench) UnderWay(since Mark) []byte {
	d, log, now := b.drive(), &b.driven.log, b.mark()
	ended := now.stops - since.stops
	now.stops, now.jogs, now.inLesson = since.stops, now.jogs-ended, now.inLesson-ended
	if !b.holding() || b.lesson != nil && b.lesson.showing || d.Undoing() || d.Steered() || now != since || ended < 0 || ended > min(mostSince, log.Len()) {
		return nil
	}
	u, left := underWay{From: d.From()}, int64(longestAgain)
	for i := log.Len() - ended; i < log.Len(); i++ {
		e := log.Entry(i)
		if left -= e.Ended - e.Began; e.Changed || left <= 0 {
			return nil
		}
		if len(u.Jogs) == 0 {
			u.From = e.From
		}
		u.Jogs = append(u.Jogs, again{keptJog(e.Jog), e.LetGo, e.Stop.Reason == jog.LinkLost})
	}
	u.Jogs = append(u.Jogs, again{keptJog(d.Jog()), min(d.Elapsed(), left), true})
	text, err := json.Marshal(u)
	if err != nil {
		return nil
	}
	return text
}

// keptJog is a jog as it is kept: JSON has no infinite numbers.
func keptJog(j jog.Jog) jog.Jog {
	if j.Held() {
		j.Amount = -1
	}
	return j
}

func jogAsKept(j jog.Jog) jog.Jog {
	if j.Amount < 0 {
		j.Amount = math.Inf(1)
	}
	return j
}

// GoOn drives again what UnderWay wrote down, from where the bench was taken down. Where that is not where the arm stands any more, because what
// is on offer has changed, it stays there.
func (b *Bench) GoOn(text []byte) {
	var u underWay
	if len(text) == 0 || json.Unmarshal(text, &u) != nil || b.Busy() || b.drive().Joints() != u.From {
		return
	}
	left := longestAgain
	for _, one := range u.Jogs[:min(len(u.Jogs), mostSince+1)] {
		b.control = control{part: 1}
		if b.begin(jogAsKept(one.Jog)) != nil {
			break
		}
		for ; b.drive().Moving(); b.tick() {
			switch left--; {
			case left <= 0, one.LetGo > 0 && one.Lost && b.drive().Elapsed() == one.LetGo:
				b.drive().LoseLink()
			case one.LetGo > 0 && b.drive().Elapsed() == one.LetGo:
				b.drive().Release()
			}
		}
	}
	b.control = control{}
	b.page = &page{}
}
