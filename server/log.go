package server

import (
	"fmt"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/spoken"
)

// record takes the jog that has ended down in the log, and tells the page what is new in it.
func (b *bench) record() {
	from := b.log.Len()
	if b.drive.Undoing() {
		from = max(0, from-1)
	}
	b.log.Record(b.drive)
	b.tellLog(from)
}

// tellLog tells the page the log from that entry on.
func (b *bench) tellLog(from int) {
	m := LogMessage{From: from, Entries: []LogEntry{}}
	for i := from; i < b.log.Len(); i++ {
		e := b.log.Entry(i)
		m.Entries = append(m.Entries, b.logEntry(&e))
	}
	m.Undo = b.log.CanUndo()
	b.send("log", m)
}

func (b *bench) logEntry(e *jog.Entry) LogEntry {
	l := LogEntry{
		Line: spoken.Driven(e, b.in), Straight: e.Jog.Straight(), Speed: travel(e.Jog.Direction, e.Jog.Speed),
		Ended: spoken.Headline(e.Stop, b.in), Trouble: e.Stop.Trouble(),
	}
	tcp := func(q kinematics.Joints) [3]float64 {
		return array(b.arm.Geometry.Forward(q).Mul(e.TCP).Position)
	}
	l.FromMM, l.ToMM = tcp(e.From), tcp(e.To)
	return l
}

// logFile is the log as a jog file. What has to be the same to drive it again is told in its first lines.
func (b *bench) logFile() LogFile {
	var text strings.Builder
	if b.log.Len() > 0 {
		cell := ""
		if b.cell != nil {
			cell = " --cell " + b.cell.ID
			if r := b.cell.Rail; r != nil {
				cell += fmt.Sprintf(" --rail %v", r.At)
			}
		}
		fmt.Fprintf(&text, "# Driven by %s. The same again:\n# handrule trace --arm %s%s --start %s jogs.txt\n",
			b.arm.Name, b.arm.ID, cell, jogfile.JointList(b.log.Entry(0).From))
	}
	text.WriteString(jogfile.Write(b.log.Entries()))
	return LogFile{Name: "jogs.txt", Text: text.String()}
}
