package lesson

import (
	"strings"

	"github.com/goccy/go-yaml/ast"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
)

// readCell finds the lesson's cell: a shipped one, a file beside the lesson, or the fields of one.
func (l *Lesson) readCell() {
	n := l.CellRef.node
	if n == nil {
		return
	}
	if _, inline := form.Mapping(n); inline {
		l.readInlineCell(n)
		return
	}
	ref, ok := l.Source().Text(n, l.FieldName("cell"), form.LongestLine)
	if !ok {
		return
	}
	if form.IsName(ref) {
		cell, err := l.around.Cell(ref)
		if err != nil {
			l.Tell("cell", "%v%s", err, l.orFile(ref))
		}
		l.Cell, l.cellBad = cell, err != nil
		return
	}
	name := strings.TrimPrefix(ref, "./")
	text, ok := l.besideText("cell", name)
	l.cellBad = !ok
	if ok {
		cell, err := cellfile.Parse(l.inFolder(name), text)
		l.Source().AddAll(err)
		l.Cell, l.cellBad = cell, err != nil
	}
}

// readInlineCell reads the cell in the lesson's own file, which need not have a name.
func (l *Lesson) readInlineCell(n ast.Node) {
	inline := l.Source().Again()
	cell, err := cellfile.Of(inline, n)
	l.Source().AddAll(err)
	l.Cell, l.cellBad = cell, err != nil
}

// Surroundings is the lesson's cell; without one the arm stands alone on its mounting surface, as it does on the page.
func (l *Lesson) Surroundings() *cellfile.Cell {
	if l.Cell == nil {
		return cellfile.Alone(l.Arm)
	}
	return l.Cell
}

// Mounted returns the tool the lesson mounts, of the arm or of the cell.
func (l *Lesson) Mounted() (kinematics.Tool, error) {
	return l.Arm.ToolAmong(l.Surroundings().ToolsFor(l.Arm), l.Tool)
}

// setup returns what stands around the lesson's motions.
func (l *Lesson) setup() (jog.Setup, error) {
	tool, err := l.Mounted()
	if err != nil {
		return jog.Setup{}, err
	}
	return l.Surroundings().Setup(l.Arm, tool, 0)
}

// checkFrame reports a task frame that the lesson's cell does not have. Of a cell that is wrong itself that is not known.
func (l *Lesson) checkFrame(b *form.Block, field string, task string) {
	if task == "" || l.cellBad {
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
		b.Add(field, "names the task frame %s, but the lesson's cell has none", form.Quoted(task))
		return
	}
	b.Add(field, "names the task frame %s, which the cell does not have; %s", form.Quoted(task), form.UnknownWord(task, names))
}
