package scenarios

import (
	"strings"

	"github.com/goccy/go-yaml/ast"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// readCell finds the lesson's cell: a shipped one, a file beside the lesson, or the fields of one.
func (l *Lesson) readCell() {
	n := l.CellRef.node
	if n == nil {
		return
	}
	if _, inline := mapping(n); inline {
		l.readInlineCell(n)
		return
	}
	f := fields{source: l.src, what: "lesson", values: l.at}
	ref, ok := f.text("cell", longestLine)
	if !ok {
		return
	}
	if isName(ref) {
		cell, err := OpenCell(ref)
		if err != nil {
			l.tell("cell", "%v%s", err, l.orFile(ref))
		}
		l.Cell = cell
		return
	}
	name := strings.TrimPrefix(ref, "./")
	if text, ok := l.besideText("cell", name); ok {
		cell, err := ReadCell(l.inFolder(name), text)
		l.src.addAll(err)
		l.Cell = cell
	}
}

// readInlineCell reads the cell in the lesson's own file, which need not have a name.
func (l *Lesson) readInlineCell(n ast.Node) {
	inline := source{file: l.src.file, lines: l.src.lines}
	cell, err := inline.cell(n)
	l.src.addAll(err)
	l.Cell = cell
}

// around is the lesson's cell; without one the arm stands alone on its mounting surface, as it does on the page.
func (l *Lesson) around() *Cell {
	if l.Cell == nil {
		return Alone(l.Arm)
	}
	return l.Cell
}

// tool returns the tool the lesson mounts, of the arm or of the cell.
func (l *Lesson) tool() (kinematics.Tool, error) {
	return l.Arm.ToolAmong(l.around().ToolsFor(l.Arm), l.Tool)
}

// setup returns what stands around the lesson's motions.
func (l *Lesson) setup() (jog.Setup, error) {
	tool, err := l.tool()
	if err != nil {
		return jog.Setup{}, err
	}
	return l.around().Setup(l.Arm, tool, 0)
}

// checkFrame reports a task frame that the lesson's cell does not have.
func (l *Lesson) checkFrame(b *Block, field string, task string) {
	if task == "" {
		return
	}
	var names []string
	if l.Cell != nil {
		for _, t := range l.Cell.Tasks {
			names = append(names, t.Name)
		}
	}
	for _, name := range names {
		if name == task {
			return
		}
	}
	if len(names) == 0 {
		b.add(field, "names the task frame %s, but the lesson's cell has none", quoted(task))
		return
	}
	b.add(field, "names the task frame %s, which the cell does not have; %s", quoted(task), unknownWord(task, names))
}
