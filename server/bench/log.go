package bench

import (
	"fmt"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/spoken"
)

// The page is told the last entries of the log only: it lists a dozen, and asks for all of them as a file. When it knows fewer
// than logListed after some were undone, it is told the last logTold anew.
const (
	logListed = 12
	logTold   = 16
)

// logTellings is which entries of the log the page knows as they are: those from first to before next. An entry's place counts
// those before it that the log has given up.
type logTellings struct {
	first, next int
	changes     int // of the log
}

// record takes the jog that has ended down in the log.
func (b *Bench) record() {
	before, undo := b.driven.log.Len(), b.drive().Undoing()
	b.driven.log.Record(b.drive())
	from := max(0, before-1) // of which a part may be left
	if !undo {
		from = b.driven.log.Len() - 1
		b.driven.givenUp += before - from
	}
	b.logged(b.driven.givenUp + from)
}

// logged notes that the log is another from that place on.
func (b *Bench) logged(from int) {
	b.page.log.next = min(b.page.log.next, from)
	b.page.log.changes++
}

// beginLog has another log begin, or one that is gone back to.
func (b *Bench) beginLog() {
	b.logs++
	b.logged(0)
}

// logView tells the log from where it is another than the page knows.
func (b *Bench) logView() any {
	log, known := &b.driven.log, &b.page.log
	end := b.driven.givenUp + log.Len()
	last := max(b.driven.givenUp, end-logTold)
	if known.next <= known.first || known.next < last || known.first > last && end-known.first < logListed {
		known.first, known.next = last, last
	}
	known.first = max(known.first, last)
	m := LogMessage{First: known.first, From: known.next, Entries: []LogEntry{}, Undo: log.CanUndo() || b.driven.before != nil, Log: b.logs}
	for place := known.next; place < end; place++ {
		e := log.Entry(place - b.driven.givenUp)
		m.Entries = append(m.Entries, b.logEntry(&e))
	}
	known.next = end
	return m
}

func (b *Bench) logEntry(e *jog.Entry) LogEntry {
	l := LogEntry{
		Line: spoken.Driven(e, b.in), Straight: e.Jog.Straight(), Speed: travel(e.Jog.Direction, e.Jog.Speed),
		Ended: spoken.Headline(e.Stop, b.in), Trouble: e.Stop.Trouble(),
		Again: jogfile.Write([]jog.Entry{*e}),
	}
	tcp := func(q kinematics.Joints) [3]float64 {
		return array(b.mounted.arm.Geometry.Forward(q).Mul(e.TCP).Position)
	}
	l.FromMM, l.ToMM = tcp(e.From), tcp(e.To)
	return l
}

// logFile is the log as a jog file. What has to be the same to drive it again is told in its first lines.
func (b *Bench) logFile() LogFile {
	var text strings.Builder
	m := LogFile{Name: "jogs.txt"}
	if b.driven.log.Len() > 0 {
		cell := ""
		if b.mounted.cell != nil {
			cell = " --cell " + b.mounted.cell.ID
			if r := b.mounted.cell.Rail; r != nil {
				cell += fmt.Sprintf(" --rail %v", r.At)
			}
		}
		fmt.Fprintf(&text, "# Driven by %s. The same again:\n# handrule trace --arm %s%s --start %s jogs.txt\n",
			b.mounted.arm.Name, b.mounted.arm.ID, cell, jogfile.JointList(b.driven.log.Entry(0).From))
		for i, angle := range b.driven.log.Entry(0).From {
			m.StartDeg[i] = kinematics.Degrees(angle)
		}
	}
	text.WriteString(jogfile.Write(b.driven.log.Entries()))
	m.Text = text.String()
	return m
}
