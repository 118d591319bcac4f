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

// GlossaryForms are the forms in which terms stand in texts, by language and by name: a lesson may be in another language than the page. What they
// mean the page fetches when it is first asked (web/build.mjs).
func GlossaryForms() map[string]map[string][]string {
	forms := map[string]map[string][]string{}
	for _, language := range Languages {
		forms[language.Code] = map[string][]string{}
		for name, term := range language.terms {
			forms[language.Code][name] = term.Forms()
		}
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
