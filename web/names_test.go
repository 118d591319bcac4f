package web_test

import (
	"context"
	"regexp"
	"slices"
	"strings"
	"testing"

	"handrule/scenarios"
	"handrule/web"
	"handrule/words"
)

// Quoted is what texts put in quotation marks: the name of something that is on the page, where it is no exception.
var (
	quoted    = regexp.MustCompile(`[“«]([^”»{}]+)[”»]`)
	bidden    = regexp.MustCompile(`(?i)\b(?:choose|press|open|elija|pulse|abra)(?: the| el| la| en)? (?:\*\*|<strong>)([^*<{}]+)(?:\*\*|</strong>)`)
	visible   = regexp.MustCompile(`(?s)<(?:button|span|summary|h2|legend|option|label|th)\b[^>]*>(.*?)</`)
	key       = regexp.MustCompile(`<kbd\b[^>]*>[^<]*</kbd>`) // beside a name, and no part of it
	direction = regexp.MustCompile(`^(?:[XYZ]|J[1-6])\b`)     // a jog button, which is named by its axis
)

// notOnThePage are the quotations that are no names of things of the page.
var notOnThePage = map[string]bool{"handrule serve": true}

// What texts tell a learner to press or to choose is called so on the page, in both languages.
func TestButtonsAreCalledWhatTextsCallThem(t *testing.T) {
	for _, in := range words.Languages {
		var page strings.Builder
		if err := web.Page().Render(web.In(context.Background(), in), &page); err != nil {
			t.Fatal(err)
		}
		labels := []string{}
		for _, m := range visible.FindAllStringSubmatch(key.ReplaceAllString(page.String(), ""), -1) {
			labels = append(labels, strings.ToLower(strings.TrimSpace(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(m[1], ""))))
		}
		for _, written := range []string{"task.again", "task.back", "task.give-up", "log.again", "ways.clearance"} { // by a script
			labels = append(labels, strings.ToLower(in.Say(written)))
		}
		named := 0
		check := func(where, name string) {
			name = strings.ToLower(strings.Trim(name, " .,"))
			if notOnThePage[name] || direction.MatchString(strings.ToUpper(name)) {
				return
			}
			named++
			if !slices.Contains(labels, name) && !slices.ContainsFunc(labels, func(l string) bool { return l != "" && in.Code == "es" && strings.HasSuffix(name, " "+l) }) {
				t.Errorf("%s, %s: nothing on the page is called %q", in.Code, where, name)
			}
		}
		for key, text := range in.Texts {
			for _, form := range text.Forms {
				for _, m := range quoted.FindAllStringSubmatch(form, -1) {
					check(key, m[1])
				}
			}
		}
		for _, offered := range scenarios.ShippedLessons() {
			l := offered.In(in)
			for i := range l.Stages {
				s := &l.Stages[i]
				texts := []string{s.HTML}
				for _, h := range s.Hints {
					texts = append(texts, h.Text)
				}
				for _, text := range texts {
					for _, m := range bidden.FindAllStringSubmatch(text, -1) {
						check(l.ID, m[1])
					}
				}
				for _, h := range s.Hints {
					for _, m := range quoted.FindAllStringSubmatch(h.Text, -1) {
						check(l.ID, m[1])
					}
				}
			}
		}
		if named < 10 {
			t.Errorf("%s: only %d names were found in texts", in.Code, named)
		}
	}
}
