package main

import (
	"encoding/json"
	"fmt"
	"handrule/scenarios/translation"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
)

// fits reports where a value does not fit a JSON Schema, "" where it does (JSON Schema, draft 2020-12, Validation: the
// keywords that our schemas use, with the meaning that Debian's python3-jsonschema 4.10 gives them). A keyword it does not know is a failure, so that none is passed over.
func fits(t *testing.T, schema map[string]any, value any, at string) string {
	t.Helper()
	number, isNumber := asNumber(value)
	text, isText := value.(string)
	list, isList := value.([]any)
	fields, isObject := value.(map[string]any)
	for keyword, rule := range schema {
		bad := false
		switch keyword {
		case "$schema", "title", "description":
		case "type":
			bad = !map[any]bool{"string": isText, "number": isNumber, "integer": isNumber && number == float64(int64(number)),
				"boolean": reflect.ValueOf(value).Kind() == reflect.Bool, "array": isList, "object": isObject}[rule]
		case "enum":
			bad = true
			for _, allowed := range rule.([]any) {
				bad = bad && allowed != value
			}
		case "anyOf":
			bad = true
			for _, one := range rule.([]any) {
				bad = bad && fits(t, one.(map[string]any), value, at) != ""
			}
		case "not":
			bad = fits(t, rule.(map[string]any), value, at) == ""
		case "pattern":
			bad = isText && !regexp.MustCompile(rule.(string)).MatchString(text)
		case "minLength":
			bad = isText && float64(utf8.RuneCountInString(text)) < rule.(float64)
		case "maxLength":
			bad = isText && float64(utf8.RuneCountInString(text)) > rule.(float64)
		case "minimum":
			bad = isNumber && number < rule.(float64)
		case "maximum":
			bad = isNumber && number > rule.(float64)
		case "exclusiveMinimum":
			bad = isNumber && number <= rule.(float64)
		case "minItems":
			bad = isList && float64(len(list)) < rule.(float64)
		case "maxItems":
			bad = isList && float64(len(list)) > rule.(float64)
		case "items":
			for i, entry := range list {
				if problem := fits(t, rule.(map[string]any), entry, fmt.Sprintf("%s/%d", at, i)); problem != "" {
					return problem
				}
			}
		case "required":
			for _, name := range rule.([]any) {
				if _, given := fields[name.(string)]; isObject && !given {
					return fmt.Sprintf("%s: %s is missing", at, name)
				}
			}
		case "properties":
			for name, field := range fields {
				if rule, known := rule.(map[string]any)[name]; known {
					if problem := fits(t, rule.(map[string]any), field, at+"/"+name); problem != "" {
						return problem
					}
				}
			}
		case "additionalProperties":
			for name := range fields {
				if _, known := schema["properties"].(map[string]any)[name]; rule == false && !known {
					return fmt.Sprintf("%s: %s is not known", at, name)
				}
			}
		default:
			t.Fatalf("%s: the keyword %q is not checked", at, keyword)
		}
		if bad {
			return fmt.Sprintf("%s: %v does not keep %s %v", at, value, keyword, rule)
		}
	}
	return ""
}

func asNumber(value any) (float64, bool) {
	switch v := reflect.ValueOf(value); {
	case v.CanInt():
		return float64(v.Int()), true
	case v.CanUint():
		return float64(v.Uint()), true
	case v.CanFloat():
		return v.Float(), true
	}
	return 0, false
}

func printedSchema(t *testing.T, kind string) (schema map[string]any) {
	t.Helper()
	status, out, errs := do("schema", kind)
	if status != 0 || errs != "" {
		t.Fatalf("%s: status %d, %s", kind, status, errs)
	}
	if err := json.Unmarshal([]byte(out), &schema); err != nil {
		t.Fatal(err)
	}
	return schema
}

func parsed(t *testing.T, text string) (value any) {
	t.Helper()
	if err := yaml.Unmarshal([]byte(text), &value); err != nil {
		t.Fatal(err)
	}
	return value
}

func TestSchemasFitEveryShippedFile(t *testing.T) {
	all, _ := filepath.Glob("../../scenarios/*s/*.yaml")
	for _, kind := range []string{"arm", "cell", "lesson", "translation"} {
		schema := printedSchema(t, kind)
		var files []string
		for _, file := range all {
			_, _, texts := translation.Split(file)
			if texts == (kind == "translation") && (texts || filepath.Base(filepath.Dir(file)) == kind+"s") {
				files = append(files, file)
			}
		}
		if len(files) < 3 {
			t.Fatalf("found %v", files)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if problem := fits(t, schema, parsed(t, string(text)), filepath.Base(file)); problem != "" {
				t.Error(problem)
			}
		}
	}
}

// What the reader refuses for its form the schema refuses too, so that an editor underlines it.
func TestSchemasRefuseBadFiles(t *testing.T) {
	lesson := printedSchema(t, "lesson")
	stage := func(task string) string { return "title: A\narm: wren\nstages: [{text: b, " + task + "}]\n" }
	for _, text := range []string{
		"title: A\nstages: [{text: b}]\n",
		"title: ''\narm: wren\nstages: [{text: b}]\n",
		"title: A\narm: wren\nminutes: 1.5\nstages: [{text: b}]\n",
		"title: A\narm: wren\nstages: [{txet: b}]\n",
		"title: A\narm: wren\nstart_deg: [0, 0, 0]\nstages: [{text: b}]\n",
		"title: A\narm: wren\nallow: {frames: [bse]}\nstages: [{text: b}]\n",
		"title: A\narm: wren\ncell: {name: a, thigns: []}\nstages: [{text: b}]\n",
		"title: A\narm: wren\nstages: [" + strings.Repeat("{text: b},", 61) + "]\n",
		stage("go_on: perhaps"),
		stage("reach: {position_mm: [1, 2, 1e9], tolerance_mm: 1}"),
		stage("reach: {position_mm: [1, 2, 3], tolerance_mm: 0}"),
		stage("reach: {joint: J7, angle_deg: 1, tolerance_deg: 1}"),
		stage("reach: {frame: tile, position_mm: [1, 2, 3], tolerance_mm: 1}"),
		stage("predict: {ask: stop}"),
		stage("predict: {jog: base x +1, ask: stopp}"),
		stage("read: {measure: q, tolerance: 1}"),
		stage("choose: {question: q}"),
		stage("free: {notice: [{text: a, event: fire}]}"),
		stage("hints: [{after: 0, text: a}]"),
		stage("reach: {joint: J1, angle_deg: 1, tolerance_deg: 1}, read: {measure: z, tolerance: 1}"),
		stage("predict: {jog: base w +1, ask: stop}"),
		stage("predict: {jog: base x, ask: stop}"),
		stage("id: Over the pot"),
		"title: A\narm: wren\ndraw: [{name: how far, one_of: [1, 2]}]\nstages: [{text: b}]\n",
		"title: A\narm: wren\nassessment: {late_counts: 2}\nstages: [{text: b}]\n",
		"title: A\narm: wren\ncell: {name: a, things: [{name: b, at_mm: [0, 0, 0], box_mm: [1, 1, -1]}]}\nstages: [{text: b}]\n",
		"title: A\narm: wren\ncell: {name: a, things: [{name: b, at_mm: [0, 0, 0], box_mm: [1, 1, 1], radius_mm: 2}]}\nstages: [{text: b}]\n",
		"title: A\narm: wren\ncell: {name: a, things: [{name: b, at_mm: [0, 0, 0]}]}\nstages: [{text: b}]\n",
		"title: A\narm: wren\ncell: {name: a, things: [], task_frames: [{name: a board, at_mm: [0, 0, 0]}]}\nstages: [{text: b}]\n",
	} {
		path := filepath.Join(t.TempDir(), "lesson.yaml")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if status, _, errs := do("check", path); status != exitBad || errs == "" {
			t.Errorf("the reader takes\n%s", text)
		}
		if fits(t, lesson, parsed(t, text), "lesson") == "" {
			t.Errorf("the schema takes\n%s", text)
		}
	}
}

func TestSchemasOfNothingElse(t *testing.T) {
	for _, args := range [][]string{{"schema"}, {"schema", "lessen"}, {"schema", "arm", "cell"}} {
		if status, out, errs := do(args...); status != exitBad || out != "" || errs == "" {
			t.Errorf("%v: status %d, %s", args, status, errs)
		}
	}
}
