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
)

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
		_, either := readAny(path, lookBeside(nil))
		_, jogs := jogfile.Open(path)
		_, arm := OpenArm(path)
		for _, err := range []error{either, jogs, arm} {
			if err == nil || !strings.Contains(err.Error(), says) {
				t.Errorf("%s: want %q in %v", path, says, err)
			}
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
			if err == nil || len(err.Error()) > 64<<10 || bytes > budget(64<<20) {
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
			if bytes := allocated(func() { l, err = ReadLesson("f", []byte(text)) }); bytes > budget(128<<20) {
				t.Errorf("%q: %d MiB", again+join, bytes>>20)
			}
			if err == nil && (strings.Contains(l.HTML, "<script") || strings.Contains(l.HTML, `href="javascript`)) || err != nil && len(err.Error()) > 64<<10 {
				t.Errorf("%q: %.300v", again+join, err)
			}
		}
	}
}
