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

// GlossaryForms are the forms in which the language's terms stand in texts, by name. What they mean, and the forms of another language that a lesson
// is in, the page fetches when they are first wanted (web/build.mjs).
func (l *Language) GlossaryForms() map[string][]string {
	forms := map[string][]string{}
	for name, term := range l.terms {
		forms[name] = term.Forms()
	}
	return forms
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
