package scenarios

import (
	"fmt"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/lesson"
	"os"
	"path/filepath"
	"runtime"
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

// What would take long or much memory to read is refused before it does.
func TestHostileFilesAreRefusedUnread(t *testing.T) {
	var bomb, wide strings.Builder
	bomb.WriteString("a: &a [x, x, x, x, x, x, x, x, x]\n")
	for c := 'b'; c <= 'z'; c++ {
		fmt.Fprintf(&bomb, "%c: &%c [*%c, *%c, *%c, *%c, *%c, *%c, *%c, *%c, *%c]\n", c, c, c-1, c-1, c-1, c-1, c-1, c-1, c-1, c-1, c-1)
	}
	for i := range 2 * 4000 {
		fmt.Fprintf(&wide, "k%d: 1\n", i)
	}
	for _, test := range []struct{ name, text, says string }{
		{"aliases of aliases", bomb.String(), "f:1:4: anchors, aliases"},
		{"brackets", strings.Repeat("[", 100_000), "f:1:17: is nested too deep"},
		{"braces", strings.Repeat("{a: ", 50_000), "f:1:65: is nested too deep"},
		{"dashes", strings.Repeat("- ", 100_000), "f:1:33: is nested too deep"},
		{"fields", wide.String(), "has too many fields"},
		{"keys without values", "a: {" + strings.Repeat("\",", 50_000), "has too many items in lists"},
		{"items", "a: [" + strings.Repeat("1,", 50_000) + "]", "f:1:16006: has too many items in lists"},
		{"documents", strings.Repeat("a: b\n---\n", 10_000), "f:18:1: has too many lines of --- or ..."},
		{"ends", "a: b\n" + strings.Repeat("...\n", 10_000), "f:10:1: has too many lines of --- or ..."},
		{"less", "a: b\nc: " + strings.Repeat("<", 100_000), "f:2:4: has more than 40 < in a row"},
		{"too large", strings.Repeat("# \n", form.LargestFile/3+1), "is too large"},
	} {
		for kind, read := range map[string]func() error{
			"arm":    func() error { _, err := armfile.Parse("f", []byte(test.text)); return err },
			"cell":   func() error { _, err := cellfile.Parse("f", []byte(test.text)); return err },
			"lesson": func() error { _, err := ReadLesson("f", []byte(test.text)); return err },
		} {
			if err := read(); err == nil || !strings.Contains(err.Error(), test.says) {
				t.Errorf("%s as %s: want %q in\n%.300v", test.name, kind, test.says, err)
			}
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

func TestFilesOfTheWrongKindAreNotOpened(t *testing.T) {
	big := filepath.Join(t.TempDir(), "big.yaml")
	file, err := os.Create(big)
	if err != nil {
		t.Fatal(err)
	}
	if err := file.Truncate(50 << 20); err != nil {
		t.Fatal(err)
	}
	file.Close()
	for path, says := range map[string]string{
		big:         "big.yaml: is too large: 52428800 bytes",
		t.TempDir(): "is a directory; give the file in it",
		os.DevNull:  "is not an ordinary file",
	} {
		_, either := readAny(path)
		_, jogs := jogfile.Open(path)
		_, arm := OpenArm(path)
		for _, err := range []error{either, jogs, arm} {
			if err == nil || !strings.Contains(err.Error(), says) {
				t.Errorf("%s: want %q in %v", path, says, err)
			}
		}
	}
}

func TestJogsThatWouldNotEndAreRefused(t *testing.T) {
	for _, test := range []struct{ text, says string }{
		{"speed 1e-300\nbase x +1\n", "f:1:7: a speed must be more than 0, and at least 0.01"},
		{"speed 1e5\nbase x +1\n", "f:1:7: \"1e5\" is too large"},
		{"base x 0x1p3\n", "f:1:8: \"0x1p3\" is not a number"},
		{"base " + strings.Repeat("x", 500) + "\n", "f:1:400: the line is too long"},
		{strings.Repeat("base x +1\n", 10_000+1), "f:10001:1: a file holds at most 10000 jogs"},
		{"base x +1\x00\n", "f:1:10: is not plain text"},
	} {
		if _, err := jogfile.Parse("f", []byte(test.text)); err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%.30q: want %q in\n%.300v", test.text, test.says, err)
		}
	}
}

// allocated is how many bytes f asks for in all. It stands for the work done too: no test here looks at a clock.
func allocated(f func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// Whatever a file of the largest size holds, it is read or refused for a bounded amount of memory, and told in a bounded
// number of words.
func TestHostileFilesCostLittle(t *testing.T) {
	repeat := func(before, again, after string) string {
		return before + strings.Repeat(again, (form.LargestFile-len(before)-len(after))/len(again)) + after
	}
	const head = "title: A\narm: wren\nstages:\n"
	aliases := head + "  - {text: &a b}\n"
	gigantic := strings.Repeat("9", 5000)
	for _, test := range []struct{ name, text string }{
		{"a script in Markdown", repeat(head+"  - text: '", "<script>alert(1)</script> ", "'\n")},
		{"scripts on lines of their own", repeat(head+"  - text: |\n", "      <script>alert(1)</script>\n\n", "")},
		{"links that are scripts", repeat(head+"  - text: '", "[x](javascript:alert(1)) ", "'\n")},
		{"emphasis without end", repeat(head+"  - text: '", "*_", "'\n")},
		{"quotes in quotes", repeat(head+"  - text: '", "> ", "'\n")},
		{"tables without end", repeat(head+"  - text: |\n      |a|\n      |-|\n", "      |b|\n", "")},
		{"aliases", repeat(aliases, "  - {text: *a}\n", "")},
		{"gigantic numbers", repeat(head+"  - {text: b, reach: {tolerance_mm: 1, position_mm: [", gigantic+",", "1]}}\n")},
		{"a number of many digits", repeat(head+"  - {text: b, reach: {tolerance_mm: 1, position_mm: [0, 0, ", "9", "]}}\n")},
		{"a gigantic exponent", head + "  - {text: b, reach: {tolerance_mm: 1, position_mm: [0, 0, 1e" + gigantic + "]}}\n"},
		{"stages", repeat(head, "  - {text: b}\n", "")},
		{"10000 stages", head + strings.Repeat("  - {text: b}\n", 10_000)},
		{"one long line", repeat("title: ", "x", "\n")},
		{"unknown fields", repeat(head, "  - {txet: b}\n", "")},
		{"drawn numbers", repeat("draw:\n", "  - {name: a, from: 1, to: 2, step: 1}\n", head+"  - {text: b}\n")},
		{"drawn numbers in drawn numbers", repeat("draw: [{name: a, from: 1, to: 2, step: 1}]\n"+head+"  - text: '", "$a", "'\n")},
		{"paths out of the folder", repeat("title: A\narm: ", "../", "wren.yaml\nstages: [{text: b}]\n")},
		{"things in a cell", repeat("title: A\narm: wren\ncell: {name: a, things: [", "{name: a, at_mm: [0, 0, 0], radius_mm: 1},", "]}\nstages: [{text: b}]\n")},
		{"jogs", repeat(head+"  - {text: b, read: {measure: x, tolerance: 1, after: [", "base x +1,", "base x +1]}}\n")},
	} {
		for kind, read := range map[string]func() error{
			"arm":    func() error { _, err := armfile.Parse("f", []byte(test.text)); return err },
			"cell":   func() error { _, err := cellfile.Parse("f", []byte(test.text)); return err },
			"lesson": func() error { _, err := ReadLesson("f", []byte(test.text)); return err },
		} {
			var err error
			bytes := allocated(func() { err = read() })
			if err == nil || len(err.Error()) > 64<<10 || bytes > 64<<20 {
				t.Errorf("%s as %s: %d bytes, %d bytes of words, %.200v", test.name, kind, bytes, len(fmt.Sprint(err)), err)
			}
			t.Logf("%s as %s: %d KiB", test.name, kind, bytes>>10)
		}
	}
}

// Markdown of the greatest length that a text may have is read or refused for a bounded amount of memory, and no script
// comes of it.
func TestHostileMarkdownCostsLittle(t *testing.T) {
	for _, again := range []string{"![", "[x](", "*_", "**a", "`a", "> ", "- ", "<!--", "<a ", "&#0;", "&amp", "\\", "[a]: b ", "|a", "http://a", "![a](b.png) ", "<script>", "[x](javascript:a) "} {
		for _, join := range []string{"", "\n", "\n\n"} {
			prose := strings.Repeat(again+join, (16<<10)/len(again+join))
			text := "title: A\narm: wren\nstages:\n  - text: |\n      " + strings.ReplaceAll(prose, "\n", "\n      ") + "\n"
			var l *lesson.Lesson
			var err error
			if bytes := allocated(func() { l, err = ReadLesson("f", []byte(text)) }); bytes > 128<<20 {
				t.Errorf("%q: %d MiB", again+join, bytes>>20)
			}
			if err == nil && (strings.Contains(l.HTML, "<script") || strings.Contains(l.HTML, `href="javascript`)) || err != nil && len(err.Error()) > 64<<10 {
				t.Errorf("%q: %.300v", again+join, err)
			}
		}
	}
}
