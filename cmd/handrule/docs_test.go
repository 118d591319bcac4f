package main

import (
	"bytes"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/kong"

	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/words"
)

var rewrite = flag.Bool("rewrite", false, "write what the commands print into the docs instead of comparing it")

// pages are the README and the pages in docs, by their paths from here.
func pages(t *testing.T) []string {
	t.Helper()
	found, err := filepath.Glob("../../docs/*.md")
	if err != nil || len(found) == 0 {
		t.Fatal(found, err)
	}
	return append(found, "../../README.md")
}

// fence is a block of code of a page: its language, the name of the file it shows if it shows one, and its text.
var fence = regexp.MustCompile("(?ms)^```(\\w*) ?([\\w.-]*)\n(.*?)^```$")

// What the pages show as files are read and checked, and what they show of commands is what these print. A line of "…" in
// what a command prints stands for any lines. `go test ./cmd/handrule -run Docs -rewrite` writes it anew.
func TestDocsShowWhatCommandsPrint(t *testing.T) {
	folder := t.TempDir()
	texts := map[string]string{}
	for _, page := range pages(t) {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		texts[page] = string(text)
		for _, block := range fence.FindAllStringSubmatch(texts[page], -1) {
			if block[2] == "" {
				continue
			}
			path := filepath.Join(folder, block[2])
			if _, err := os.Stat(path); err == nil {
				t.Errorf("%s: %s is shown twice", page, block[2])
			}
			if err := os.WriteFile(path, []byte(block[3]), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	home, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(folder)

	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		if filepath.Ext(file.Name()) == ".yaml" {
			if status, out, errs := do("check", file.Name()); status != 0 {
				t.Errorf("%s: status %d, %s%s", file.Name(), status, out, errs)
			}
		}
	}
	if status, _, errs := do("trace", "--arm", "wren", "--cell", "glazing-bench", "--start", "0,0,0,0,0,0", "jogs.txt"); status != 0 {
		t.Errorf("jogs.txt: status %d, %s", status, errs)
	}

	ran := 0
	for page, text := range texts {
		anew := fence.ReplaceAllStringFunc(text, func(block string) string {
			parts := fence.FindStringSubmatch(block)
			if parts[1] != "console" {
				return block
			}
			command, shown, _ := strings.Cut(strings.TrimPrefix(parts[3], "$ handrule "), "\n")
			var printed bytes.Buffer
			run(strings.Fields(command), &printed, &printed)
			ran++
			if !like(printed.String(), shown) {
				if *rewrite {
					return "```console\n$ handrule " + command + "\n" + shortened(printed.String()) + "```"
				}
				t.Errorf("%s: handrule %s prints\n%s", filepath.Base(page), command, &printed)
			}
			return block
		})
		if *rewrite && anew != text {
			if err := os.WriteFile(filepath.Join(home, page), []byte(anew), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	if ran < 5 {
		t.Errorf("only %d commands are shown", ran)
	}
}

// anyLines stands for what is left out of a long print.
const anyLines = "…\n"

// like reports whether a text is as shown, where lines may be left out.
func like(text, shown string) bool {
	before, after, short := strings.Cut(shown, anyLines)
	if !short {
		return text == shown
	}
	return len(text) >= len(before)+len(after) && strings.HasPrefix(text, before) && strings.HasSuffix(text, after)
}

// shortened leaves out most of a long print.
func shortened(text string) string {
	lines := strings.SplitAfter(text, "\n")
	if len(lines) < 40 {
		return text
	}
	return strings.Join(lines[:4], "") + anyLines + strings.Join(lines[len(lines)-3:], "")
}

// Commands that are shown without what they print are ones that exist, with flags that exist.
func TestDocsShowCommandsThatExist(t *testing.T) {
	parser, err := kong.New(&commands{}, kong.Vars{"version": ""})
	if err != nil {
		t.Fatal(err)
	}
	flags := map[string][]string{} // by command
	for _, node := range parser.Model.Leaves(true) {
		for _, group := range node.AllFlags(true) {
			for _, f := range group {
				flags[node.Name] = append(flags[node.Name], "--"+f.Name)
			}
		}
	}
	used := map[string]bool{}
	shown := regexp.MustCompile(`(?m)^(?:\$ )?handrule ([\w-]+)((?: +[^#\n>]*)?)`)
	flag := regexp.MustCompile(`--[a-z-]+`)
	for _, page := range pages(t) {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range shown.FindAllStringSubmatch(string(text), -1) {
			used[m[1]] = true
			if flags[m[1]] == nil {
				t.Errorf("%s: there is no command %q", filepath.Base(page), m[1])
			}
			for _, f := range flag.FindAllString(m[2], -1) {
				if !slices.Contains(flags[m[1]], f) {
					t.Errorf("%s: %s has no flag %s", filepath.Base(page), m[1], f)
				}
			}
		}
	}
	for verb := range flags {
		if !used[verb] && verb != "schema" {
			t.Errorf("no page shows %s", verb)
		}
	}
}

// Links between the pages, and to pictures and folders, lead somewhere.
func TestDocsLinksLeadSomewhere(t *testing.T) {
	link := regexp.MustCompile(`\]\(([^)#\s]+)(#[^)]*)?\)`)
	for _, page := range append(pages(t), "../../DEVELOPERS.md") {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		plain := regexp.MustCompile("(?s)```.*?```|`[^`]*`").ReplaceAllString(string(text), "")
		for _, m := range link.FindAllStringSubmatch(plain, -1) {
			if strings.Contains(m[1], "://") {
				continue
			}
			if _, err := os.Stat(filepath.Join(filepath.Dir(page), m[1])); err != nil {
				t.Errorf("%s: %v", filepath.Base(page), err)
			}
		}
	}
}

// What the pages set in italics with a capital, and what they tell a reader to choose or to press, is what the page calls a thing, or a
// lesson.
func TestDocsCallThingsWhatThePageCallsThem(t *testing.T) {
	var called []string
	for _, text := range words.English.Texts {
		for _, form := range text.Forms {
			called = append(called, strings.ToLower(strings.TrimRight(strings.ReplaceAll(form, "\u00a0", " "), "….:")))
		}
	}
	for _, l := range scenarios.ShippedLessons() {
		called = append(called, strings.ToLower(l.In(words.English).Title))
	}
	code := regexp.MustCompile("(?s)```.*?```|`[^`]*`")
	names := []*regexp.Regexp{
		regexp.MustCompile(`(?:^|[^*\w])\*(\p{Lu}[^*\n]*)\*(?:[^*\w]|$)`),
		regexp.MustCompile(`(?i)\b(?:choose|press|go on with)(?: the)? \*\*([^*\n]+)\*\*`),
	}
	jog := regexp.MustCompile(`^[XYZ] [+−]$`)
	named := 0
	for _, page := range pages(t) {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		plain := code.ReplaceAllString(string(text), "`")
		for _, name := range names {
			for _, m := range name.FindAllStringSubmatch(plain, -1) {
				named++
				if !jog.MatchString(m[1]) && !slices.Contains(called, strings.ToLower(strings.TrimRight(m[1], "….:,"))) {
					t.Errorf("%s: nothing is called %q", filepath.Base(page), m[1])
				}
			}
		}
	}
	if named < 40 {
		t.Errorf("only %d names were found", named)
	}
}

// The README is the first screen a reader needs; the rest is in docs.
func TestReadmeIsShort(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	if lines := strings.Count(string(text), "\n"); lines > 120 {
		t.Errorf("%d lines, want at most 120", lines)
	}
}

// What ships, and every word that a lesson may hold for a measure, an event or a stop, stands where a lesson's author
// looks for it.
func TestDocsNameTheWordsOfLessons(t *testing.T) {
	text, err := os.ReadFile("../../docs/lesson-files.md")
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, arm := range scenarios.ShippedArms() {
		names = append(names, arm.ID)
		for _, tool := range arm.Tools {
			names = append(names, tool.Name)
		}
	}
	for _, cell := range scenarios.ShippedCells() {
		names = append(names, cell.ID)
		for _, tool := range cell.Tools {
			names = append(names, tool.Name)
		}
		for _, task := range cell.Tasks {
			names = append(names, task.Name)
		}
	}
	for _, m := range lesson.Measures {
		names = append(names, string(m))
	}
	for _, e := range lesson.Events {
		names = append(names, string(e))
	}
	for _, word := range slices.Concat(names, lesson.StopWords) {
		if strings.HasPrefix(word, "limit J") && word != "limit J1" && word != "limit J6" {
			continue // "limit J1 … limit J6"
		}
		if !strings.Contains(string(text), "`"+word+"`") {
			t.Errorf("lesson-files.md does not name %q", word)
		}
	}
}

// Files and folders that DEVELOPERS names are there: from the root, or in a folder that its line names before.
func TestDevelopersNamesFilesThatExist(t *testing.T) {
	text, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	name := regexp.MustCompile("`((?:[\\w.-]+/)+|(?:[\\w.-]+/)*[\\w-]+\\.(?:go|ts|css|json|mjs|md|yaml|templ))`")
	made := []string{"dist/", "static/dist/"} // by the build
	for n, line := range strings.Split(string(text), "\n") {
		folders := []string{"", "web/src"}
		for _, m := range name.FindAllStringSubmatch(line, -1) {
			there := slices.Contains(made, m[1]) || strings.HasPrefix(m[1], "github.com/") // a module
			for _, folder := range folders {
				_, err := os.Stat(filepath.Join("../..", folder, m[1]))
				there = there || err == nil
				if err == nil {
					folders = append(folders, filepath.Join(folder, filepath.Dir(m[1])))
					break
				}
			}
			if !there {
				t.Errorf("DEVELOPERS.md:%d: there is no %s", n+1, m[1])
			}
		}
	}
}

// The page of the words of the trade is made from the glossary; `-rewrite` makes it anew.
func TestDocsWordsAreTheGlossarys(t *testing.T) {
	const page = "../../docs/words.md"
	terms := slices.SortedFunc(maps.Values(words.English.Glossary()), func(a, b words.Term) int {
		return strings.Compare(strings.ToLower(a.Words[0]), strings.ToLower(b.Words[0]))
	})
	var made strings.Builder
	made.WriteString("# Words of the trade\n\nOn the page they are underlined where they stand, and explain themselves on a press; the key `M` goes from one to the next.\n" +
		"The explanations are in words of our own, written from memory: they were not compared with the texts of the standards and books named. The same goes for those\n" +
		"that lessons name as where their facts come from.\n\n" +
		"| word | means | from |\n| --- | --- | --- |\n")
	for _, term := range terms {
		fmt.Fprintf(&made, "| %s | %s | %s |\n", term.Words[0], term.Means, term.From)
	}
	if *rewrite {
		if err := os.WriteFile(page, []byte(made.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if text, err := os.ReadFile(page); err != nil || string(text) != made.String() {
		t.Errorf("docs/words.md is not what words/glossary/en.json says (%v); make it anew with -rewrite", err)
	}
}
