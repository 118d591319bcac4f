package lesson

import (
	"bytes"
	"errors"
	"fmt"
	"handrule/scenarios/form"
	"io/fs"
	"net/url"
	"path"
	"slices"
	"strings"

	"github.com/yuin/goldmark"
	markdown "github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/text"

	"handrule/internal/files"
)

// prose is the Markdown of lessons: CommonMark and tables. Raw HTML is never passed on.
var prose = goldmark.New(goldmark.WithExtensions(extension.Table))

const (
	largestImage = 2 << 20
	mostPictures = 40
)

// pictureEndings are the pictures a lesson may show. An SVG picture may carry script, so it is none of them.
var pictureEndings = []string{".png", ".jpg", ".jpeg", ".gif", ".webp"}

// HTML returns the prose as HTML. Pictures are taken from the folder that prefix names, such as "lessons/mine/".
func (p Prose) HTML(prefix string) string {
	source := []byte(p)
	doc := prose.Parser().Parse(text.NewReader(source))
	markdown.Walk(doc, func(n markdown.Node, entering bool) (markdown.WalkStatus, error) {
		if image, ok := n.(*markdown.Image); ok && entering {
			image.Destination = []byte(prefix + string(image.Destination))
		}
		return markdown.WalkContinue, nil
	})
	var html bytes.Buffer
	prose.Renderer().Render(&html, source, doc) // Writing to a buffer does not fail.
	return html.String()
}

// checkText adds a problem for everything in a stage's text that would not be shown: raw HTML, links to anywhere but the
// web, and pictures from anywhere but the lesson's own folder. The pictures it shows are added to the lesson's.
func (l *Lesson) checkText(stage *form.Block, written string) {
	n := stage.Node("text")
	if written == "" {
		return
	}
	source := []byte(written)
	doc := prose.Parser().Parse(text.NewReader(source))
	markdown.Walk(doc, func(m markdown.Node, entering bool) (markdown.WalkStatus, error) {
		if !entering {
			return markdown.WalkContinue, nil
		}
		problem := ""
		switch m := m.(type) {
		case *markdown.RawHTML, *markdown.HTMLBlock:
			problem = "HTML is not shown in a lesson; write it in Markdown, and a < that is meant as such as \\<"
		case *markdown.Link:
			problem = linkProblem(string(m.Destination))
		case *markdown.AutoLink:
			problem = linkProblem(string(m.URL(source)))
		case *markdown.Image:
			problem = l.pictureProblem(string(m.Destination))
		}
		if problem != "" {
			src := stage.Source()
			src.Add(src.TextPlace(n, written, offsetOf(m)), "%s: %s", stage.FieldName("text"), problem)
		}
		return markdown.WalkContinue, nil
	})
}

func linkProblem(destination string) string {
	link, err := url.Parse(destination)
	if err == nil && (link.Scheme == "https" || link.Scheme == "http") && link.Host != "" {
		return ""
	}
	return fmt.Sprintf("the link to %s is not shown; a link starts with https://", form.Quoted(destination))
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

// offsetOf returns where a node of the Markdown starts in its text, as nearly as is known.
func offsetOf(n markdown.Node) int {
	switch m := n.(type) {
	case *markdown.RawHTML:
		if m.Segments.Len() > 0 {
			return m.Segments.At(0).Start
		}
	case *markdown.Text:
		return m.Segment.Start
	}
	if n.Type() != markdown.TypeInline && n.Lines().Len() > 0 {
		return n.Lines().At(0).Start
	}
	for child := n.FirstChild(); child != nil; child = child.NextSibling() {
		if at := offsetOf(child); at > 0 {
			return at
		}
	}
	for before := n.PreviousSibling(); before != nil; before = before.PreviousSibling() {
		if t, ok := before.(*markdown.Text); ok {
			return t.Segment.Stop
		}
	}
	if parent := n.Parent(); parent != nil && parent.Type() != markdown.TypeInline && parent.Lines() != nil && parent.Lines().Len() > 0 {
		return parent.Lines().At(0).Start
	}
	return 0
}
