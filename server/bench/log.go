package bench

import (
	"fmt"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/spoken"
)

// record takes the jog that has ended down in the log.
func (b *Bench) record() {
	from, undo := b.driven.log.Len(), b.drive().Undoing()
	b.driven.log.Record(b.drive())
	switch {
	case undo:
		from = max(0, from-1)
	case b.driven.log.Len() <= from:
		from = 0 // the oldest was given up
	}
	b.logged(from)
}

// logged notes that the log is another from that entry on.
func (b *Bench) logged(from int) {
	b.page.logFrom = min(b.page.logFrom, from)
	b.page.logChange++
}

// logView tells the log from where it is another than the page knows.
func (b *Bench) logView() any {
	m := LogMessage{From: b.page.logFrom, Entries: []LogEntry{}, Undo: b.driven.log.CanUndo()}
	for i := m.From; i < b.driven.log.Len(); i++ {
		e := b.driven.log.Entry(i)
		m.Entries = append(m.Entries, b.logEntry(&e))
	}
	b.page.logFrom = b.driven.log.Len()
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
	}
	text.WriteString(jogfile.Write(b.driven.log.Entries()))
	return LogFile{Name: "jogs.txt", Text: text.String()}
}
