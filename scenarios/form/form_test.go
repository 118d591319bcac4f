package form_test

import (
	"fmt"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
	"strings"
	"testing"
	"unicode/utf8"
)

// Each file breaks one rule of the form, and is answered at the character where it does, which ‸ stands before.
func TestEveryRuleOfTheFormIsToldAtItsPlace(t *testing.T) {
	arm := func(joint, rest string) string {
		return "name: A\nmount_height_mm: 0\nflange: {at_mm: [0, 0, 0], rotation_deg: [0, 0, 0]}\njoints:\n  - " + joint + "\n" + rest
	}
	joint := "{name: J1, at_mm: [0, 0, 0], axis: [0, 0, 1], limits_deg: [-9, 9], speed_deg_s: 90}"
	swap := func(old, new string) string { return arm(strings.Replace(joint, old, new, 1), "") }
	ends := "from_mm: [0, 0, 0], to_mm: [0, 0, 9]"
	for _, test := range []struct{ name, text, says string }{
		{"too quick", swap("90", "‸99999"), "joint 1: speed_deg_s must be more than 0 and at most 3600, not 99999"},
		{"no acceleration", swap("90", "90, accel_deg_s2: ‸0"), "joint 1: accel_deg_s2 must be more than 0"},
		{"leading zero", swap("90", "‸045"), `joint 1: speed_deg_s must be a number, not "045": leave out the leading zeros`},
		{"hexadecimal", swap("90", "‸0x5A"), "joint 1: speed_deg_s must be a number"},
		{"quoted", swap("90", "‸'90'"), "joint 1: speed_deg_s must be a number, not text in quotes"},
		{"beyond floating point", swap("90", "‸1e999"), `joint 1: speed_deg_s must be a number, not "1e999": it is too large`},
		{"three limits", swap("[-9, 9]", "‸[-9, 9, 10]"), "joint 1: limits_deg must be 2 numbers [lower, upper], not 3"},
		{"one limit", swap("[-9, 9]", "‸9"), `joint 1: limits_deg must be 2 numbers [lower, upper], not "9"`},
		{"equal limits", swap("[-9, 9]", "‸[0, 0]"), "joint 1: limits_deg leave the joint no way to go"},
		{"field twice", swap("90", "90, ‸axis: [1, 0, 0]"), `joint 1: "axis" is given twice, first on line 5`},
		{"joint without fields", arm("‸{}", ""), "joint 1: name is missing"},
		{"joint in words", "joints: [‸first]\n", `joint 1 must be fields (name, at_mm, axis, limits_deg, speed_deg_s), not "first"`},
		{"joints not a list", "joints: ‸6\n", `arm: joints must be a list, not "6"`},
		{"no such link", arm(joint, "body:\n- {link: ‸7, "+ends+", radius_mm: 9}\n"), "body, capsule 1: link must be a whole number from 0"},
		{"a link in words", arm(joint, "body:\n- {link: ‸two, "+ends+", radius_mm: 9}\n"), `body, capsule 1: link must be a whole number from 0 (the base) to 6 (the flange), not "two"`},
		{"half a link", arm(joint, "body:\n- {link: ‸1.5, "+ends+", radius_mm: 9}\n"), "body, capsule 1: link must be a whole number"},
		{"negative radius", arm(joint, "body:\n- {link: 1, "+ends+", radius_mm: ‸-9}\n"), "body, capsule 1: radius_mm must be more than 0"},
		{"link of a tool's body", arm(joint, "tools:\n- {name: a, tcp_mm: [0, 0, 9], body: [{‸link: 6, "+ends+", radius_mm: 9}]}\n"), `tool 1, body, capsule 1: unknown field "link"`},
		{"two tools of one name", arm(joint, "tools:\n- {name: a, tcp_mm: [0, 0, 9]}\n- {name: ‸a, tcp_mm: [0, 0, 9]}\n"), `tool 2: name "a" is taken already, on line 7`},
		{"tab", "name: A\njoints:\n‸\t- 1\n", "cannot be read as YAML"},
		{"open bracket", "name: A\njoints: [1, 2\n‸flange: 3\n", "cannot be read as YAML"},
		{"two documents", "name: A\n---\n‸name: B\n", "a second document starts here"},
		{"merge key", "name: A\n‸<<: {a: 1}\n", "anchors, aliases and merge keys"},
		{"anchor", "name: ‸&a A\n", "anchors, aliases and merge keys"},
		{"tag", "name: ‸!!str A\n", "tags (!) are not used here"},
		{"directive", "‸%YAML 1.2\n---\nname: A\n", "directives (%) are not used here"},
		{"stray byte", "name: A\nabout: caf‸\xe9\n", "is not text in UTF-8: there is a stray byte 0xe9"},
		{"control character", "name: Å‸\x00\n", "is not plain text"},
		{"comments alone", "‸# an arm\n", "holds nothing but comments"},
	} {
		before, _, _ := strings.Cut(test.text, "‸")
		line := strings.Count(before, "\n") + 1
		column := utf8.RuneCountInString(before[strings.LastIndex(before, "\n")+1:]) + 1
		says := fmt.Sprintf("f:%d:%d: %s", line, column, test.says)
		_, err := armfile.Parse("f", []byte(strings.Replace(test.text, "‸", "", 1)))
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: want %q in\n%v", test.name, says, err)
		}
	}
}

func TestProblemsBeyondCountingAreCounted(t *testing.T) {
	var text strings.Builder
	for i := range 100 {
		fmt.Fprintf(&text, "k%d: 1\n", i)
	}
	_, err := armfile.Parse("f", []byte(text.String()))
	problems, _ := err.(form.Errors)
	if len(problems) != form.MostProblems+1 || !strings.Contains(problems[form.MostProblems].Message, "more problems") {
		t.Errorf("%d problems, the last: %v", len(problems), problems[len(problems)-1])
	}
}

// The mark of an excerpt stands under the character meant, also in a long line and in one of wide letters.
func TestTheExcerptMarksThePlace(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"# é ö\nname: ''\n", "    2 | name: ''\n      |       ^"},
		{"näme: Kiebitz\n", "    1 | näme: Kiebitz\n      | ^"},
		{strings.Repeat(" ", 300) + "näme: " + strings.Repeat("x", 300), "    1 | …" + strings.Repeat(" ", 50) + "näme: " + strings.Repeat("x", 44) + "…\n      |  " + strings.Repeat(" ", 50) + "^"},
	} {
		_, err := armfile.Parse("f", []byte(test.text))
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("want\n%s\nin\n%v", test.want, err)
		}
	}
}
