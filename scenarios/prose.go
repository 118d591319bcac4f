package scenarios

import (
	"bytes"
	"fmt"
	"io/fs"
	"net/url"
	"path"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/yuin/goldmark"
	markdown "github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/text"
)

// prose is the Markdown of lessons: CommonMark and tables. Raw HTML is never passed on.
var prose = goldmark.New(goldmark.WithExtensions(extension.Table))

const (
	longestText  = 16 << 10 // some 2,500 words; the time Markdown takes may grow with the square of its length
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

// checkMarkdown adds a problem for everything in the text that would not be shown: raw HTML, links to anywhere but the
// web, and pictures from anywhere but the lesson's own folder.
func (s *source) checkMarkdown(n ast.Node, name, written string) {
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
			problem = s.pictureProblem(string(m.Destination))
		}
		if problem != "" {
			s.add(s.textPlace(n, written, offsetOf(m)), "%s: %s", name, problem)
		}
		return markdown.WalkContinue, nil
	})
}

func linkProblem(destination string) string {
	link, err := url.Parse(destination)
	if err == nil && (link.Scheme == "https" || link.Scheme == "http") && link.Host != "" {
		return ""
	}
	return fmt.Sprintf("the link to %s is not shown; a link starts with https://", quoted(destination))
}

func (s *source) pictureProblem(destination string) string {
	switch {
	case strings.ContainsAny(destination, ":\\%?#") || !fs.ValidPath(destination):
		return fmt.Sprintf("the picture %s is not in the lesson's folder; write its path from there, such as pictures/wrist.png", quoted(destination))
	case !slices.Contains(pictureEndings, strings.ToLower(path.Ext(destination))):
		return fmt.Sprintf("the picture %s must be one of: %s", quoted(destination), strings.Join(pictureEndings, " "))
	case s.beside == nil:
		return ""
	}
	info, err := fs.Stat(s.beside, destination)
	switch {
	case err != nil:
		return fmt.Sprintf("there is no picture %s in the lesson's folder", quoted(destination))
	case !info.Mode().IsRegular():
		return fmt.Sprintf("the picture %s is not an ordinary file", quoted(destination))
	case info.Size() > largestImage:
		return fmt.Sprintf("the picture %s is too large: %d bytes, where %d are plenty", quoted(destination), info.Size(), largestImage)
	}
	if len(s.pictures) < mostPictures && !slices.Contains(s.pictures, destination) {
		s.pictures = append(s.pictures, destination)
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

// textPlace is where an offset into the value of a node stands in the file. Only a block of text written after | keeps
// its lines; for any other the node's own place is returned.
func (s *source) textPlace(n ast.Node, value string, offset int) place {
	at := nodePlace(n)
	block, ok := n.(*ast.LiteralNode)
	if !ok || !strings.HasPrefix(strings.TrimSpace(block.Start.Value), "|") || offset > len(value) {
		return at
	}
	before := value[:offset]
	line := at.line + 1 + strings.Count(before, "\n")
	if line > len(s.lines) {
		return at
	}
	first := s.lines[at.line]
	indent := len(first) - len(strings.TrimLeft(first, " "))
	return place{line, indent + 1 + len([]rune(before[strings.LastIndex(before, "\n")+1:]))}
}
