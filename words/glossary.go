package words

import (
	"embed"
	"encoding/json"
	"fmt"
)

//go:embed glossary/*.json
var glossaries embed.FS

// Term is a word with a meaning in the trade. The page explains it wherever it stands in a text.
type Term struct {
	Words []string `json:"words"`        // the forms in which it stands in texts; the first is its name
	In    []string `json:"in,omitempty"` // only in these phrases, where a form alone may be another word, such as a verb
	Means string   `json:"means"`
	From  string   `json:"from"` // the standard or the book; none was looked up, so the words are our own
}

// Forms are what is looked for in texts.
func (t Term) Forms() []string {
	if len(t.In) > 0 {
		return t.In
	}
	return t.Words
}

// Glossary returns the language's terms by their names in the files, which are the same in every language.
func (l *Language) Glossary() map[string]Term { return l.terms }

// PageGlossary is what the page gets: the terms in its language, and by language the forms in which they stand in texts,
// since a lesson may be in another one.
type PageGlossary struct {
	Terms map[string]Term                `json:"terms"`
	Forms map[string]map[string][]string `json:"forms"`
}

// PageGlossary returns the glossary for a page in the language.
func (l *Language) PageGlossary() PageGlossary {
	g := PageGlossary{l.terms, map[string]map[string][]string{}}
	for _, other := range Languages {
		g.Forms[other.Code] = map[string][]string{}
		for name, term := range other.terms {
			g.Forms[other.Code][name] = term.Forms()
		}
	}
	return g
}

func readGlossary(code string) (terms map[string]Term) {
	text, err := glossaries.ReadFile("glossary/" + code + ".json")
	if err != nil {
		panic(err)
	}
	if err := json.Unmarshal(text, &terms); err != nil {
		panic(fmt.Sprintf("words/glossary/%s.json: %v", code, err))
	}
	return terms
}
