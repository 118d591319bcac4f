package web_test

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"handrule/internal/reference"
	"handrule/static"
	"handrule/web"
	"handrule/words"
)

// In every language the page says something wherever a text belongs, and whatever is to explain itself can.
func TestPageSpeaksEveryLanguage(t *testing.T) {
	explains := regexp.MustCompile(`data-help="([^"]*)"`)
	for _, l := range words.Languages {
		var page strings.Builder
		place := web.Served("")
		place.Classes, place.Teaches = true, true // which has all there is
		if err := web.Page().Render(web.At(web.In(context.Background(), l), place), &page); err != nil {
			t.Fatal(err)
		}
		html := page.String()
		if !strings.Contains(html, `<html lang="`+l.Code+`"`) {
			t.Errorf("%s: the page does not say its language", l.Code)
		}
		if _, missing, found := strings.Cut(html, "‹"); found {
			t.Errorf("%s: no text for %.40s", l.Code, missing)
		}
		found := explains.FindAllStringSubmatch(html, -1)
		if len(found) < 40 {
			t.Errorf("%s: only %d things explain themselves", l.Code, len(found))
		}
		for _, m := range found {
			if l.Say("help."+m[1]) == "‹help."+m[1]+"›" {
				t.Errorf("%s.json lacks %q", l.Code, "help."+m[1])
			}
		}
	}
}

// Of a class there is nothing on the page of a server without classes, and nothing of the instructor's on a learner's.
func TestPageHasOfAClassWhatItIsFor(t *testing.T) {
	for _, at := range []web.Place{{}, {Classes: true}, {Classes: true, Teaches: true}} {
		var page strings.Builder
		if err := web.Page().Render(web.At(context.Background(), at), &page); err != nil {
			t.Fatal(err)
		}
		for part, there := range map[string]bool{
			"data-class-offered": at.Classes, `id="guide-class"`: at.Classes, `id="class-bar"`: at.Classes, `id="class-join"`: at.Classes, `id="class-question"`: at.Classes, `id="class-follows"`: at.Classes,
			"data-teaches": at.Teaches, `id="class-desk"`: at.Teaches, `id="class-ask"`: at.Teaches, `id="class-board"`: at.Teaches, `data-opens="class"`: at.Teaches,
		} {
			if got := strings.Contains(page.String(), part); got != there {
				t.Errorf("%+v: %s is on the page: %v", at, part, got)
			}
		}
	}
}

// What the scripts say by its whole key comes with the page, or with the part that says it.
func TestPageHasTheTextsThatItsScriptsSay(t *testing.T) {
	if !static.Bundled() {
		reference.Skip(t, "the page's scripts are not built: whether they have their texts is not tested")
	}
	asked := regexp.MustCompile(`\bsay\("([a-z][a-z0-9._-]*)"`)
	// Texts that come with the scripts of their part; see web/build.mjs.
	parts := []struct{ text, file *regexp.Regexp }{
		{regexp.MustCompile(`^(own-arm|real-arm|mesh)\.`), regexp.MustCompile(`^src/(ownarm|meshes)/`)},
		{regexp.MustCompile(`^class\.`), regexp.MustCompile(`^src/class/`)},
		{regexp.MustCompile(`^plot\.`), regexp.MustCompile(`^src/panels/plotwords\.ts$`)},
		{regexp.MustCompile(`^platform\.`), regexp.MustCompile(`^src/platform/`)},
		{regexp.MustCompile(`^player\.`), regexp.MustCompile(`^src/embed/player\.ts$`)},
		{regexp.MustCompile(`^share\.(opens|stays)\.`), regexp.MustCompile(`^src/address/(share|follow)\.ts$`)},
		{regexp.MustCompile(`^controller\.`), regexp.MustCompile(`^src/input/controllerwords\.ts$`)},
		{regexp.MustCompile(`^assessment\.`), regexp.MustCompile(`^src/lesson/assessmentrules\.ts$`)},
	}
	said := 0
	err := filepath.WalkDir("src", func(path string, d fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".ts" {
			return err
		}
		text, err := os.ReadFile(path)
		for _, m := range asked.FindAllStringSubmatch(string(text), -1) {
			said++
			withIts := slices.ContainsFunc(parts, func(p struct{ text, file *regexp.Regexp }) bool {
				return p.text.MatchString(m[1]) && p.file.MatchString(filepath.ToSlash(path))
			})
			if strings.HasPrefix(m[1], "class.problem.") || !withIts && !slices.Contains(static.Said(), m[1]) { // Those only the server says.
				t.Errorf("%s says %q, which does not come with it", path, m[1])
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if said < 200 {
		t.Errorf("only %d keys found in the scripts", said)
	}
	// What stands in the page already, and what only the bench says, is not loaded a second time.
	for _, key := range []string{"own-arm.title", "help.share", "stop.contact.advice", "keys.pair", "sheet.name", "class.join.title"} {
		if slices.Contains(static.Said(), key) {
			t.Errorf("the page loads %q for its scripts, which do not say it", key)
		}
	}
}
