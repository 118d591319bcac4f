package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// The pages on files end with every field that the form has, as the JSON Schema knows it; `go test ./cmd/handrule -run Docs -rewrite`
// writes the tables anew. A field that the text of a page names is one of those.
func TestDocsHaveEveryField(t *testing.T) {
	const heading = "\n## Every field\n"
	for kind, page := range map[string]string{"lesson": "lesson-files.md", "arm": "arm-files.md", "cell": "cell-files.md", "translation": "translations.md"} {
		status, out, errs := do("schema", kind)
		if status != 0 {
			t.Fatal(errs)
		}
		var schema map[string]any
		if err := json.Unmarshal([]byte(out), &schema); err != nil {
			t.Fatal(err)
		}
		told := fieldTables{named: map[string]bool{}, blocks: map[string]string{}}
		told.block(kind, schema)
		bytes, err := os.ReadFile("../../docs/" + page)
		if err != nil {
			t.Fatal(err)
		}
		text, tables, _ := strings.Cut(string(bytes), heading)
		want := "\nAs the JSON Schema has it (`handrule schema " + kind + "`), which is a test. Those in **bold** must be there.\n" + told.text.String()
		if *rewrite {
			if err := os.WriteFile("../../docs/"+page, []byte(strings.TrimRight(text, "\n")+"\n"+heading+want), 0o644); err != nil {
				t.Fatal(err)
			}
		} else if tables != want {
			t.Errorf("docs/%s: the fields are not those of the schema; write them anew with -rewrite", page)
		}
		for _, m := range regexp.MustCompile("`([a-z]+(?:_[a-z]+)+)(?::[^`]*)?`").FindAllStringSubmatch(text, -1) {
			if !told.named[m[1]] && !slices.Contains(elsewhere, m[1]) {
				t.Errorf("docs/%s: there is no field %s", page, m[1])
			}
		}
	}
}

// elsewhere are words like fields that the pages name, of others than their own.
var elsewhere = []string{"reads_deg"}

// fieldTables write a table of fields for every block of a schema.
type fieldTables struct {
	text   strings.Builder
	in     string // the block that is being told
	named  map[string]bool
	blocks map[string]string // the name under which the same block was told before
}

func (f *fieldTables) block(name string, schema map[string]any) {
	fields := schema["properties"].(map[string]any)
	needed, _ := schema["required"].([]any)
	f.in = name
	fmt.Fprintf(&f.text, "\n### %s\n\n| field | holds | what it is |\n| --- | --- | --- |\n", name)
	var below []func()
	for _, field := range slices.Sorted(maps.Keys(fields)) {
		f.named[field] = true
		shown := "`" + field + "`"
		if slices.Contains(needed, any(field)) {
			shown = "**" + shown + "**"
		}
		of := fields[field].(map[string]any)
		holds, inner := f.holds(field, of)
		about, _ := of["description"].(string)
		fmt.Fprintf(&f.text, "| %s | %s | %s |\n", shown, holds, strings.ReplaceAll(about, "|", "\\|"))
		if inner != nil {
			same, _ := json.Marshal(inner["properties"])
			below = append(below, func() { f.block(f.blocks[string(same)], inner) })
		}
	}
	for _, tell := range below {
		tell()
	}
}

// holds says what a field may hold, and returns the block in it that is to be told next, nil for none.
func (f *fieldTables) holds(field string, of map[string]any) (holds string, next map[string]any) {
	fields, isBlock := of["properties"].(map[string]any)
	if isBlock && fields["things"] != nil && field == "cell" {
		return "a block as a [cell file](cell-files.md#cell) is", nil
	}
	if all, some := of["anyOf"].([]any); some && !isBlock {
		var ways []string
		for _, one := range all {
			one := one.(map[string]any)
			if pattern, _ := one["pattern"].(string); strings.Contains(pattern, `\$`) {
				continue // a drawn number, which may stand for any number
			}
			way, inner := f.holds(field, one)
			if ways = append(ways, way); inner != nil {
				next = inner
			}
		}
		return strings.Join(ways, ", or "), next
	}
	if words, some := of["enum"].([]any); some {
		var all []string
		for _, w := range words {
			all = append(all, fmt.Sprintf("`%v`", w))
		}
		return strings.Join(all, ", "), nil
	}
	switch of["type"] {
	case "string":
		return "text", nil
	case "boolean":
		return "`true` or `false`", nil
	case "number", "integer":
		return numberHeld(of), nil
	case "array":
		entry, inner := f.holds(field, of["items"].(map[string]any))
		least, _ := of["minItems"].(float64)
		most, _ := of["maxItems"].(float64)
		switch {
		case most > 0 && least == most:
			return fmt.Sprintf("list of %v: %s", most, entry), inner
		case most > 0:
			return fmt.Sprintf("list of at most %v: %s", most, entry), inner
		}
		return "list: " + entry, inner
	case "object":
		same, _ := json.Marshal(fields)
		if before, known := f.blocks[string(same)]; known {
			return fmt.Sprintf("a block as [%s](#%s)", before, before), nil
		}
		name := field
		for _, taken := range f.blocks {
			if taken == name {
				name = field + "-of-" + f.in
			}
		}
		f.blocks[string(same)] = name
		return fmt.Sprintf("a block, see [%s](#%s)", name, name), of
	}
	return "anything", nil
}

// numberHeld is a number and its range, where that is more than a guard against slips.
func numberHeld(of map[string]any) string {
	what := "number"
	if of["type"] == "integer" {
		what = "whole number"
	}
	low, hasLow := of["minimum"].(float64)
	above, isAbove := of["exclusiveMinimum"].(float64)
	high, hasHigh := of["maximum"].(float64)
	switch {
	case hasLow && low == high:
		return fmt.Sprint(low)
	case isAbove && high >= 3600:
		return fmt.Sprintf("%s above %v", what, above)
	case isAbove:
		return fmt.Sprintf("%s above %v, at most %v", what, above, high)
	case hasLow && hasHigh && high < 3600:
		return fmt.Sprintf("%s from %v to %v", what, low, high)
	}
	return what
}
