// Package prose reads the text of lessons, which is Markdown: CommonMark and tables. Raw HTML is never passed on.
package prose

import (
	"bytes"
	"net/url"

	"github.com/yuin/goldmark"
	markdown "github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/text"

	"handrule/scenarios/lesson"
)

var reader = goldmark.New(goldmark.WithExtensions(extension.Table))

// Markdown reads texts as they stand in lesson files.
type Markdown struct{}

// HTML returns a text as HTML. Pictures are taken from the folder that prefix names, such as "lessons/mine/".
func HTML(p lesson.Prose, prefix string) string {
	source := []byte(p)
	doc := reader.Parser().Parse(text.NewReader(source))
	markdown.Walk(doc, func(n markdown.Node, entering bool) (markdown.WalkStatus, error) {
		if image, ok := n.(*markdown.Image); ok && entering {
			image.Destination = []byte(prefix + string(image.Destination))
		}
		return markdown.WalkContinue, nil
	})
	var html bytes.Buffer
	reader.Renderer().Render(&html, source, doc) // Writing to a buffer does not fail.
	return html.String()
}

// HTML returns the text of a stage as HTML.
func (Markdown) HTML(p lesson.Prose, prefix string) string { return HTML(p, prefix) }

// Parts returns what of a text has to be looked at before it is shown: raw HTML, links that lead nowhere, and pictures.
func (Markdown) Parts(p lesson.Prose) (parts []lesson.Part) {
	source := []byte(p)
	markdown.Walk(reader.Parser().Parse(text.NewReader(source)), func(n markdown.Node, entering bool) (markdown.WalkStatus, error) {
		if !entering {
			return markdown.WalkContinue, nil
		}
		add := func(kind lesson.PartKind, to []byte) {
			parts = append(parts, lesson.Part{Kind: kind, To: string(to), At: offsetOf(n)})
		}
		addLink := func(to []byte) {
			if !onTheWeb(string(to)) && !lesson.LeadsToLesson(string(to)) {
				add(lesson.Astray, to)
			}
		}
		switch n := n.(type) {
		case *markdown.RawHTML, *markdown.HTMLBlock:
			add(lesson.RawHTML, nil)
		case *markdown.Link:
			addLink(n.Destination)
		case *markdown.AutoLink:
			addLink(n.URL(source))
		case *markdown.Image:
			add(lesson.Picture, n.Destination)
		}
		return markdown.WalkContinue, nil
	})
	return parts
}

func onTheWeb(to string) bool {
	link, err := url.Parse(to)
	return err == nil && (link.Scheme == "https" || link.Scheme == "http") && link.Host != ""
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
