package web_test

import (
	"context"
	"regexp"
	"strings"
	"testing"

	"handrule/web"
	"handrule/words"
)

// In every language the page says something wherever a text belongs, and whatever is to explain itself can.
func TestPageSpeaksEveryLanguage(t *testing.T) {
	explains := regexp.MustCompile(`data-help="([^"]*)"`)
	for _, l := range words.Languages {
		var page strings.Builder
		if err := web.Page().Render(web.In(context.Background(), l), &page); err != nil {
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
