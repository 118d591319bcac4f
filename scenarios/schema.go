package scenarios

import (
	"fmt"
	"reflect"
)

// Forms are the kinds of file that Schema describes.
var Forms = []string{"arm", "cell", "lesson"}

// Schema returns the JSON Schema (draft 2020-12) of arm, cell or lesson files, with which an editor completes and
// explains their fields. It is made from the same forms that the readers use.
func Schema(kind string) (map[string]any, error) {
	var form reflect.Type
	switch kind {
	case "arm":
		form = reflect.TypeFor[armForm]()
	case "cell":
		form = reflect.TypeFor[cellForm]()
	case "lesson":
		form = reflect.TypeFor[Lesson]()
	default:
		return nil, fmt.Errorf("there is no schema for %s; %s", quoted(kind), unknownWord(kind, Forms))
	}
	schema := schemaOf(form)
	if properties := schema["properties"].(object); kind == "lesson" {
		for field, about := range properties {
			if field != "draw" {
				properties[field] = orDrawn(about)
			}
		}
	}
	schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	schema["title"] = "handrule " + kind + " file"
	return schema, nil
}

// otherSchemas are those of the types in arm and cell files that no leaf reads.
var otherSchemas = map[reflect.Type]object{
	reflect.TypeFor[name]():         {"type": "string", "minLength": 1, "maxLength": longestName},
	reflect.TypeFor[paragraph]():    {"type": "string", "minLength": 1, "maxLength": longestAbout},
	reflect.TypeFor[twoAngles]():    numbersSchema(2, largestAngle),
	reflect.TypeFor[twoLengths]():   numbersSchema(2, largestLength),
	reflect.TypeFor[lengthOnIt]():   {"type": "number", "minimum": -largestLength, "maximum": largestLength},
	reflect.TypeFor[turningSpeed](): aboveSchema(largestSpeed),
	reflect.TypeFor[turningAccel](): aboveSchema(largestAccel),
	reflect.TypeFor[linkNumber]():   wholeSchema(0, 6),
}

func schemaOf(kind reflect.Type) object {
	if kind == reflect.TypeFor[CellField]() {
		return object{"anyOf": []object{{"type": "string"}, schemaOf(reflect.TypeFor[cellForm]())}}
	}
	if schema, ok := otherSchemas[kind]; ok {
		return copied(schema)
	}
	if leaf, ok := leaves[kind]; ok {
		return copied(leaf.schema)
	}
	switch kind.Kind() {
	case reflect.Pointer:
		return schemaOf(kind.Elem())
	case reflect.Slice:
		return object{"type": "array", "items": schemaOf(kind.Elem())}
	}
	properties, required := object{}, []string{}
	for _, f := range formFields(kind) {
		field := schemaOf(f.kind)
		if f.about != "" {
			field["description"] = f.about
		}
		if f.most > 0 {
			field["maxItems"] = f.most
		}
		if f.least > 0 {
			field["minItems"] = f.least
		}
		properties[f.name] = field
		if f.required {
			required = append(required, f.name)
		}
	}
	schema := object{"type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		schema["required"] = required
	}
	return schema
}

// orDrawn lets $name stand for every number in a schema.
func orDrawn(schema any) any {
	switch s := schema.(type) {
	case object:
		if s["type"] == "number" || s["type"] == "integer" {
			number := copied(s)
			delete(number, "description")
			same := object{"anyOf": []object{number, {"type": "string", "pattern": drawnUse.String()}}}
			if about, ok := s["description"]; ok {
				same["description"] = about
			}
			return same
		}
		same := object{}
		for key, value := range s {
			same[key] = orDrawn(value)
		}
		return same
	case []object:
		same := make([]object, len(s))
		for i, value := range s {
			same[i] = orDrawn(value).(object)
		}
		return same
	}
	return schema
}

func copied(schema object) object {
	same := object{}
	for key, value := range schema {
		same[key] = value
	}
	return same
}
