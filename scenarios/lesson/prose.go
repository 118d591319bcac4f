package lesson

import (
	"errors"
	"fmt"
	"handrule/scenarios/form"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"handrule/internal/files"
)

// Reader reads the prose of stages, which is Markdown (package prose).
type Reader interface {
	// HTML returns the text of a stage as HTML. Pictures are taken from the folder that prefix names.
	HTML(text Prose, prefix string) string
	// Parts returns what of a text has to be looked at before it is shown.
	Parts(text Prose) []Part
}

// Part is a part of a stage's text that is not text.
type Part struct {
	Kind PartKind
	To   string // where a link leads, or the path of a picture
	At   int    // where it starts in the text, as nearly as is known
}

// lessonLink is the address of a lesson within the page.
const lessonLink = "#/lessons/"

// LeadsToLesson reports whether a link leads to another lesson of the page.
func LeadsToLesson(to string) bool {
	id, ok := strings.CutPrefix(to, lessonLink)
	return ok && id != "" && strings.Trim(id, "abcdefghijklmnopqrstuvwxyz0123456789-") == ""
}

// PartKind is what a Part is.
type PartKind int

const (
	RawHTML PartKind = iota
	Astray           // a link to anywhere but the web or another lesson
	Picture
)

const (
	largestImage = 2 << 20
	mostPictures = 40
)

// pictureEndings are the pictures a lesson may show. An SVG picture may carry script, so it is none of them.
var pictureEndings = []string{".png", ".jpg", ".jpeg", ".gif", ".webp"}

// html returns the text of a stage as HTML, and writes the drawn numbers into that: so a text is always read in the same way.
func (l *Lesson) html(undrawn Prose) string {
	if l.ID == "" || l.around.Prose == nil {
		return ""
	}
	return l.inLanguage("", l.around.Prose.HTML(undrawn, l.PictureFolder()))
}

// Undrawn returns the texts of all stages in every language, as they are before numbers are drawn.
func (l *Lesson) Undrawn() (texts []Prose) {
	for _, u := range l.undrawn {
		texts = append(texts, u.text, u.explain)
	}
	for _, t := range l.Texts {
		for i := range t.Stages {
			texts = append(texts, Prose(t.Stages[i].Text), Prose(t.Stages[i].Explain))
		}
	}
	return slices.DeleteFunc(texts, func(p Prose) bool { return p == "" })
}

// PictureFolder is where the page finds the lesson's pictures, beside itself.
func (l *Lesson) PictureFolder() string { return "lessons/" + l.ID + "/" }

// undrawn are the texts of a stage before numbers are drawn; "" where there is none.
type undrawn struct{ text, explain Prose }

// textsOf returns those of a lesson's stages by their places.
func textsOf(s *form.Source, root ast.Node) (texts []undrawn) {
	stages, _ := fieldsOf(root)["stages"].(*ast.SequenceNode)
	if stages == nil {
		return nil
	}
	for _, stage := range stages.Values {
		fields := fieldsOf(stage)
		read := func(field string) Prose {
			if fields[field] == nil {
				return ""
			}
			text, _ := s.Again().Prose(fields[field], field, form.LongestProse)
			return Prose(text)
		}
		texts = append(texts, undrawn{read("text"), read("explain")})
	}
	return texts
}

// checkText adds a problem for everything in a text of a stage that would not be shown: raw HTML, links to anywhere but the
// web, and pictures from anywhere but the lesson's own folder. The pictures it shows are added to the lesson's.
func (l *Lesson) checkText(stage *form.Block, field, written string) {
	n := stage.Node(field)
	if written == "" || l.around.Prose == nil {
		return
	}
	for _, part := range l.around.Prose.Parts(Prose(written)) {
		problem := ""
		switch part.Kind {
		case RawHTML:
			problem = "HTML is not shown in a lesson; write it in Markdown, and a < that is meant as such as \\<"
		case Astray:
			problem = fmt.Sprintf("the link to %s is not shown; a link starts with https://, or with #/lessons/ and a lesson's name", form.Quoted(part.To))
		case Picture:
			problem = l.pictureProblem(part.To)
		}
		if problem != "" {
			src := stage.Source()
			src.Add(src.TextPlace(n, written, part.At), "%s: %s", stage.FieldName(field), problem)
		}
	}
}

func (l *Lesson) pictureProblem(destination string) string {
	switch {
	case strings.ContainsAny(destination, ":\\%?#") || !fs.ValidPath(destination):
		return fmt.Sprintf("the picture %s is not in the lesson's folder; write its path from there, such as pictures/wrist.png", form.Quoted(destination))
	case !slices.Contains(pictureEndings, strings.ToLower(path.Ext(destination))):
		return fmt.Sprintf("the picture %s must be one of: %s", form.Quoted(destination), strings.Join(pictureEndings, " "))
	case l.around.Beside == nil:
		return ""
	}
	picture, err := files.OpenIn(l.around.Beside, destination, largestImage)
	var large files.TooLarge
	switch {
	case errors.Is(err, files.ErrNotOrdinary), errors.As(err, &large):
		return fmt.Sprintf("the picture %s %v", form.Quoted(destination), err)
	case err != nil:
		return fmt.Sprintf("there is no picture %s in the lesson's folder", form.Quoted(destination))
	}
	picture.Close()
	if len(l.Pictures) < mostPictures && !slices.Contains(l.Pictures, destination) {
		l.Pictures = append(l.Pictures, destination)
	}
	return ""
}
