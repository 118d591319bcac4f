package bench

import (
	"io/fs"
	"slices"

	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
	"handrule/words"
)

// Offer is what the learners can choose from. It is not changed once it is offered.
type Offer struct {
	Arms    []*armfile.Arm // the first is on the bench at the start
	Cells   []*cellfile.Cell
	Lessons []*lesson.Lesson
	Broken  []form.Broken // files with what is wrong with them, for their author; an earlier version may be among the above

	// Folder is where what does not ship lies; nil where all of it ships. Of the files in it that no offer names, none is served.
	Folder fs.FS

	// Drafts are newer versions of lessons that have not been passed yet, or cannot be: their author gets them, and learners the
	// last good one.
	Drafts []*lesson.Lesson

	// Listed is what the list of lessons shows where lessons are read only when they are opened: Lessons holds those that have been.
	// nil: all are read.
	Listed []LessonListing
}

// Lesson returns the offered lesson with that id, or nil.
func (o *Offer) Lesson(id string) *lesson.Lesson {
	return found(o.Lessons, func(l *lesson.Lesson) bool { return l.ID == id })
}

// draft returns the draft of the lesson with that id, or nil.
func (o *Offer) draft(id string) *lesson.Lesson {
	return found(o.Drafts, func(l *lesson.Lesson) bool { return l.ID == id })
}

// Shown returns the version of a lesson that shows a picture of that name, or nil.
func (o *Offer) Shown(id, picture string) *lesson.Lesson {
	for _, l := range []*lesson.Lesson{o.Lesson(id), o.draft(id)} {
		if l != nil && slices.Contains(l.Pictures, picture) {
			return l
		}
	}
	return nil
}

// Holds reports whether a file is one that the meshes of that arm are in: one of a lesson's where it is not offered by itself.
func (o *Offer) Holds(id, file string) bool {
	arm := o.arm(id)
	for _, l := range slices.Concat(o.Lessons, o.Drafts) {
		if arm == nil && l.Arm.ID == id {
			arm = l.Arm
		}
	}
	return arm != nil && slices.Contains(arm.Files, file)
}

func (o *Offer) arm(id string) *armfile.Arm {
	return found(o.Arms, func(a *armfile.Arm) bool { return a.ID == id })
}

func (o *Offer) cell(id string) *cellfile.Cell {
	return found(o.Cells, func(c *cellfile.Cell) bool { return c.ID == id })
}

// found returns the first that is wanted, or the zero value.
func found[T any](all []T, wanted func(T) bool) (none T) {
	if i := slices.IndexFunc(all, wanted); i >= 0 {
		return all[i]
	}
	return none
}

// Message lists what there is to choose, in the page's language. A lesson that has never been right is listed too, so that
// the one who writes it can see what is wrong.
func (o *Offer) Message(in *words.Language, author bool) OfferMessage {
	m := OfferMessage{Arms: []Listing{}, Cells: []Listing{}, Lessons: []LessonListing{}}
	for _, arm := range o.Arms {
		m.Arms = append(m.Arms, Listing{ID: arm.ID, Title: arm.Texts.NameIn(in, arm.Name), About: arm.Texts.AboutIn(in, arm.About)})
	}
	for _, cell := range o.Cells {
		lang := cell.Lang
		if cell.Texts[in.Code] != nil {
			lang = in.Code
		}
		m.Cells = append(m.Cells, Listing{ID: cell.ID, Title: cell.Texts.NameIn(in, cell.Name), About: cell.Texts.AboutIn(in, cell.About), Lang: lang})
	}
	if o.Listed != nil {
		m.Lessons = o.Listed
		return m
	}
	for _, lesson := range o.Lessons {
		lang := lesson.Lang
		if lesson.Texts[in.Code] != nil {
			lang = in.Code
		}
		m.Lessons = append(m.Lessons, LessonListing{
			ID: lesson.ID, Title: lesson.TitleIn(in), About: lesson.Arm.Texts.NameIn(in, lesson.Arm.Name), Lang: lang,
			Aims: append([]string{}, lesson.AimsIn(in)...), Minutes: int(lesson.Minutes), Tasks: lesson.Tasks(),
		})
	}
	for _, b := range o.Broken {
		if author && b.Lesson && o.Lesson(b.ID) == nil {
			m.Lessons = append(m.Lessons, LessonListing{ID: b.ID, Title: in.Say("faults.listed", "file", b.ID), Aims: []string{}})
		}
	}
	return m
}
