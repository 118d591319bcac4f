package words_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
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
			if text.By != english.By {
				t.Errorf("%s.json: %q has plural forms by %q, English by %q", l.Code, key, text.By, english.By)
			}
			for form, said := range text.Forms {
				if strings.TrimSpace(said) == "" {
					t.Errorf("%s.json: %q is empty", l.Code, key)
				}
				want := placeholders(english.Forms["other"])
				if text.By != "" && form != "other" { // "One contact so far" need not say 1
					want = slices.DeleteFunc(want, func(p string) bool { return p == "{"+text.By+"}" && !strings.Contains(said, p) })
				}
				if !slices.Equal(placeholders(said), want) {
					t.Errorf("%s.json: %q has the placeholders %v, English has %v", l.Code, key, placeholders(said), want)
				}
			}
		}
		for key := range l.Texts {
			if _, there := words.English.Texts[key]; !there {
				t.Errorf("%s.json: English has no %q", l.Code, key)
			}
		}
	}
}

// An entry with plural forms has each that its language needs for whole numbers, and no other.
func TestPluralForms(t *testing.T) {
	for _, l := range words.Languages {
		needed := map[string]bool{}
		for n := range 200 {
			needed[l.PluralForm(strconv.Itoa(n))] = true
		}
		for key, text := range l.Texts {
			if text.By == "" {
				continue
			}
			for form := range needed {
				if _, there := text.Forms[form]; !there {
					t.Errorf("%s.json: %q lacks the form %q", l.Code, key, form)
				}
			}
			for form := range text.Forms {
				if !needed[form] {
					t.Errorf("%s.json: %q has the form %q, which no whole number below 200 takes", l.Code, key, form)
				}
			}
		}
	}
}

// A count before a noun needs plural forms; these say it otherwise: "Tries: 3."
var countsWithoutPlural = []string{"teach.touches", "task.tries", "plot.turn.more", "predict.joints.wrong", "predict.score"}

func TestCountsHavePluralForms(t *testing.T) {
	for _, l := range words.Languages {
		for key, text := range l.Texts {
			if text.By == "" && strings.Contains(text.Forms["other"], "{count}") && !slices.Contains(countsWithoutPlural, key) {
				t.Errorf("%s.json: %q says a count and has no plural forms", l.Code, key)
			}
		}
	}
}

// A number in a text has the language's decimal sign.
func TestDecimalsInTexts(t *testing.T) {
	for _, l := range words.Languages {
		other := map[string]string{".": ",", ",": `\.`}[l.Say("number.decimal")]
		wrong := regexp.MustCompile(`\d` + other + `\d`)
		for key, text := range l.Texts {
			for _, said := range text.Forms {
				if wrong.MatchString(said) {
					t.Errorf("%s.json: %q has another decimal sign: %s", l.Code, key, said)
				}
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
	asked := regexp.MustCompile(`(?:say\(ctx, |[sS]ay\(|\{say )"([a-z][a-z0-9._-]*)"`)
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
			if strings.HasSuffix(path, "_test.go") || strings.HasSuffix(path, "_templ.go") || !slices.Contains([]string{".go", ".templ", ".ts", ".html"}, filepath.Ext(path)) {
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

// English and Spanish by the rules of Unicode's CLDR: English has one for 1 without decimals, Spanish one for 1 with or without. Node's
// Intl.PluralRules, which carries CLDR by itself, says the same of each.
func TestPluralFormOfANumber(t *testing.T) {
	for _, c := range []struct{ language, number, want string }{
		{"en", "1", "one"}, {"en", "0", "other"}, {"en", "2", "other"}, {"en", "1.0", "other"}, {"en", "11", "other"}, {"en", "−1", "one"},
		{"es", "1", "one"}, {"es", "0", "other"}, {"es", "1,0", "one"}, {"es", "1,5", "other"}, {"es", "21", "other"},
	} {
		if got := words.Find(c.language).PluralForm(c.number); got != c.want {
			t.Errorf("%s: %s takes the form %q, want %q", c.language, c.number, got, c.want)
		}
	}
	if got := words.English.Say("task.off.joints", "count", "1"); got != "One joint is wrong or missing." {
		t.Error(got)
	}
	if got := words.Find("es").Say("teach.unfit.touches-few", "is", "1", "least", "4"); !strings.HasPrefix(got, "Un toque es poco") {
		t.Error(got)
	}
}

// ISO 80000-1, 7.3 (from memory): the decimal sign is a point or a comma on the line; digits in threes are parted by a
// small space and by nothing else; four together need not be.
func TestNumbersAsTheLanguageWritesThem(t *testing.T) {
	en, es := words.English, words.Find("es")
	for _, c := range []struct{ got, want string }{
		{en.Fixed(-1250.5, 2), "−1250.50"}, {es.Fixed(-1250.5, 2), "−1250,50"},
		{en.Fixed(13500, 0), "13\u202f500"}, {es.Fixed(1234567.25, 1), "1\u202f234\u202f567,2"},
		{en.Fixed(-0.001, 2), "0.00"}, {es.Signed(0.04, 1), "0,0"}, {es.Signed(2, 1), "+2,0"}, {es.Signed(-2, 1), "−2,0"},
		{en.Short(-22.5, 2), "−22.5"}, {es.Short(0.1234, 2), "0,12"}, {es.Short(-0.001, 2), "0"}, {en.SignedShort(90, 2), "+90"},
		{es.Localised("-12.50"), "−12,50"}, {es.Localised("7"), "7"},
		{en.List([]string{"a"}), "a"}, {en.List([]string{"a", "b", "c"}), "a, b and c"}, {es.List([]string{"1,5", "2", "3"}), "1,5; 2 y 3"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// An author writes mm; whoever reads in inches has them beside. The inch is exactly 25.4 mm (international yard and pound agreement
// of 1959, from memory).
func TestInchesBesideWhatAnAuthorWrote(t *testing.T) {
	en, es := words.Find("en"), words.Find("es")
	for _, c := range []struct {
		in         *words.Language
		text, want string
	}{
		{en.Reading(words.MM), "100 mm along X", "100 mm along X"},
		{en.Reading(words.Inch), "100 mm along X", "100 mm (3.937 in) along X"},
		{en.Reading(words.Inch), "**12.7\u00a0mm**, then 254mm", "**12.7\u00a0mm (0.5 in)**, then 254mm (10 in)"},
		{en.Reading(words.Inch), "at 250 mm/s for 1,270 mm", "at 250 mm/s (9.84 in/s) for 1,270 mm (50 in)"},
		{es.Reading(words.Inch), "unos 0,3 mm de error", "unos 0,3 mm (0,012 in) de error"},
		{en.Reading(words.Inch), "some mm, J1 by 30°, 3 mmol", "some mm, J1 by 30°, 3 mmol"},
		{en.Reading(words.Inch), "to X <strong>354</strong>, Y\n<strong>−75</strong>: <strong>Z −262.5</strong>.", "to X <strong>354 (13.937 in)</strong>, Y\n<strong>−75 (−2.953 in)</strong>: <strong>Z −262.5 (−10.335 in)</strong>."},
		{en.Reading(words.Inch), "at Z 110 in the base frame", "at Z 110 (4.331 in) in the base frame"},
		{es.Reading(words.Inch), "X 40 mm, Z 30°, «Z 410»", "X 40 mm (1,575 in), Z 30°, «Z 410 (16,142 in)»"},
	} {
		if got := c.in.Beside(c.text); got != c.want {
			t.Errorf("%q: got %q, want %q", c.text, got, c.want)
		}
	}
}
