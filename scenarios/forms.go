package scenarios

import (
	"fmt"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
	"handrule/scenarios/translation"
)

// forms are the kinds of file that Schema describes.
var forms = []string{"arm", "cell", "lesson", "translation"}

// Schema returns the JSON Schema (draft 2020-12) of arm, cell, lesson or translation files, with which an editor completes and
// explains their fields. It is made from the same forms that the readers use.
func Schema(kind string) (map[string]any, error) {
	schemas := map[string]func() form.Object{"arm": armfile.Schema, "cell": cellfile.Schema, "lesson": lesson.Schema, "translation": translation.Schema}
	of, known := schemas[kind]
	if !known {
		return nil, fmt.Errorf("there is no schema for %s; %s", form.Quoted(kind), form.UnknownWord(kind, forms))
	}
	schema := of()
	schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	schema["title"] = "handrule " + kind + " file"
	return schema, nil
}
