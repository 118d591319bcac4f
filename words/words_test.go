package words_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"handrule/words"
)

var placeholder = regexp.MustCompile(`\{[^}]*\}`)

func placeholders(text string) []string {
	found := placeholder.FindAllString(text, -1)
	slices.Sort(found)
	return slices.Compact(found)
}

func TestLanguagesSayTheSameThings(t *testing.T) {
	if len(words.Languages) < 2 || words.English.Code != "en" {
		t.Fatalf("%d languages, the first is %q", len(words.Languages), words.English.Code)
	}
	for _, l := range words.Languages {
		for key, english := range words.English.Texts {
			text, there := l.Texts[key]
			if !there {
				t.Errorf("%s.json lacks %q", l.Code, key)
				continue
			}
			if strings.TrimSpace(text) == "" {
				t.Errorf("%s.json: %q is empty", l.Code, key)
			}
			if !slices.Equal(placeholders(text), placeholders(english)) {
				t.Errorf("%s.json: %q has the placeholders %v, English has %v", l.Code, key, placeholders(text), placeholders(english))
			}
		}
		for key := range l.Texts {
			if _, there := words.English.Texts[key]; !there {
				t.Errorf("%s.json: English has no %q", l.Code, key)
			}
		}
	}
}

// A number is written alike in every language, so none may put a decimal comma into a text.
func TestNoDecimalComma(t *testing.T) {
	comma := regexp.MustCompile(`\d,\d`)
	for _, l := range words.Languages {
		for key, text := range l.Texts {
			if comma.MatchString(text) {
				t.Errorf("%s.json: %q has a decimal comma: %s", l.Code, key, text)
			}
		}
	}
}

// Every text is asked for somewhere, by its whole key or by a key put together from its beginning.
func TestEveryTextIsUsed(t *testing.T) {
	source := sources(t, "../kinematics/jog", "../scenarios", "../server", "../web", ".")
	quoted := regexp.MustCompile("[\"`]([a-z][a-z0-9._-]*)(\\$\\{|[\"`])")
	whole, beginnings := map[string]bool{}, []string{}
	for _, m := range quoted.FindAllStringSubmatch(source, -1) {
		switch {
		case m[2] == "${" || strings.HasSuffix(m[1], "."):
			if strings.Contains(m[1], ".") {
				beginnings = append(beginnings, m[1])
			}
		default:
			whole[m[1]] = true
		}
	}
	for key := range words.English.Texts {
		if !whole[key] && !slices.ContainsFunc(beginnings, func(b string) bool { return strings.HasPrefix(key, b) }) {
			t.Errorf("nothing says %q", key)
		}
	}
}

// Keys that Go and the templates ask for by name exist. The compiler checks those of the scripts.
func TestEveryKeyAskedForExists(t *testing.T) {
	asked := regexp.MustCompile(`(?:say\(ctx, |[sS]ay\()"([a-z][a-z0-9._-]*)"`)
	n := 0
	for _, m := range asked.FindAllStringSubmatch(sources(t, "../kinematics/jog", "../scenarios", "../server", "../web", "."), -1) {
		if strings.HasSuffix(m[1], ".") {
			continue // put together with what follows
		}
		n++
		if _, there := words.English.Texts[m[1]]; !there {
			t.Errorf("en.json lacks %q", m[1])
		}
	}
	if n < 50 {
		t.Errorf("only %d keys found in the sources", n)
	}
}

// sources is what says things, without generated code and tests.
func sources(t *testing.T, folders ...string) string {
	t.Helper()
	var all strings.Builder
	for _, folder := range folders {
		err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if d.IsDir() && (d.Name() == "node_modules" || d.Name() == "tests") {
				return fs.SkipDir
			}
			if strings.HasSuffix(path, "_test.go") || strings.HasSuffix(path, "_templ.go") || !slices.Contains([]string{".go", ".templ", ".ts"}, filepath.Ext(path)) {
				return nil
			}
			text, err := os.ReadFile(path)
			all.Write(text)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return all.String()
}

func TestSay(t *testing.T) {
	es := words.Find("es")
	if got, want := es.Say("stop.joint-limit.cause", "joint", "J2"), "J2 está en su límite"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := es.Say("no such key"); got != "‹no such key›" {
		t.Errorf("a key that does not exist is said as %q", got)
	}
}

// The header's grammar and its weights are those of RFC 9110, 12.4.2 and 12.5.4.
func TestBest(t *testing.T) {
	for header, want := range map[string]string{
		"":                            "en",
		"es":                          "es",
		"es-MX,es;q=0.9,en;q=0.8":     "es",
		"de-DE,de;q=0.9,en;q=0.8":     "en",
		"en;q=0.2, ES-ar;q=0.7, *":    "es",
		"es;q=0, en;q=0.1":            "en",
		"fi":                          "en",
		"es;q=nonsense, ;;,=,q=1, en": "en",
	} {
		if got := words.Best(header).Code; got != want {
			t.Errorf("%q: %s, want %s", header, got, want)
		}
	}
}
