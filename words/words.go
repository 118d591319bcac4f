// Package words holds every sentence the sandbox says, a file per language. Another language is another file beside
// en.json with the same keys. A text may hold {placeholders}, which Say fills, and may have a form for one and another for
// many. Numbers are written as the language writes them, with its decimal sign.
package words

import (
	"cmp"
	"embed"
	"encoding/json"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
)

//go:embed *.json
var files embed.FS

// Language is the texts of one language by their keys.
type Language struct {
	Code  string // of ISO 639-1, as the page's lang attribute takes it
	Texts map[string]Text
	terms map[string]Term
	names map[string]string
	unit  Unit // that lengths are read in; mm where none is said
}

// Languages are all of them: English first, then by code.
var Languages = read()

// English is what the command line speaks, and what fills in for a text that another language lacks.
var English = Languages[0]

func read() []*Language {
	names, err := files.ReadDir(".")
	if err != nil {
		panic(err)
	}
	var all []*Language
	for _, file := range names {
		text, err := files.ReadFile(file.Name())
		if err != nil {
			panic(err)
		}
		l := &Language{Code: strings.TrimSuffix(file.Name(), path.Ext(file.Name()))}
		if err := json.Unmarshal(text, &l.Texts); err != nil {
			panic(fmt.Sprintf("words/%s: %v", file.Name(), err))
		}
		l.terms = readGlossary(l.Code)
		all = append(all, l)
	}
	slices.SortFunc(all, func(a, b *Language) int {
		return cmp.Or(-cmp.Compare(rank(a), rank(b)), strings.Compare(a.Code, b.Code))
	})
	return all
}

func rank(l *Language) int {
	if l.Code == "en" {
		return 1
	}
	return 0
}

// Calling returns the language with names of its own for some things, such as the tools and things of a cell.
func (l *Language) Calling(names map[string]string) *Language {
	own := *l
	own.names = names
	return &own
}

// Named is what the language calls a tool or a thing; as it is where there is no word of its own.
func (l *Language) Named(name string) string { return cmp.Or(l.names[name], name) }

// Names are those that Named knows.
func (l *Language) Names() map[string]string { return l.names }

// Those returns the texts of these keys, as a page takes them.
func (l *Language) Those(keys []string) map[string]Text {
	some := make(map[string]Text, len(keys))
	for _, key := range keys {
		if text, there := l.Texts[key]; there {
			some[key] = text
		}
	}
	return some
}

// Name is what the language calls itself.
func (l *Language) Name() string { return l.Say("language.name") }

// Say returns the text of a key with its placeholders filled: values are name, value, name, value. A key that no
// language has comes back in angle quotes.
func (l *Language) Say(key string, values ...string) string {
	entry, there := l.Texts[key]
	if !there {
		if entry, there = English.Texts[key]; !there {
			return "‹" + key + "›"
		}
	}
	text := entry.form(l, values)
	for i := 0; i+1 < len(values); i += 2 {
		text = strings.ReplaceAll(text, "{"+values[i]+"}", values[i+1])
	}
	return text
}

// Find returns the language with the code, or nil.
func Find(code string) *Language {
	for _, l := range Languages {
		if l.Code == code {
			return l
		}
	}
	return nil
}

// Best returns the language that suits an Accept-Language header best (RFC 9110, 12.5.4), English if none does.
func Best(accept string) *Language {
	best, bestQuality := English, 0.0
	for _, wish := range strings.Split(accept, ",") {
		tag, params, _ := strings.Cut(strings.TrimSpace(wish), ";")
		quality := 1.0
		if q, given := strings.CutPrefix(strings.TrimSpace(params), "q="); given {
			var err error
			if quality, err = strconv.ParseFloat(q, 64); err != nil {
				continue
			}
		}
		primary, _, _ := strings.Cut(strings.ToLower(tag), "-")
		if l := Find(primary); l != nil && quality > bestQuality {
			best, bestQuality = l, quality
		}
	}
	return best
}
