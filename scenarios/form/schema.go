package form

import (
	"maps"
	"reflect"
)

// SchemaOf returns the JSON Schema (draft 2020-12) of a form, with which an editor completes and explains its fields.
func SchemaOf[T any]() Object { return schemaOfType(reflect.TypeFor[T]()) }

func schemaOfType(kind reflect.Type) Object {
	if leaf, ok := leaves[kind]; ok {
		return maps.Clone(leaf.schema)
	}
	switch kind.Kind() {
	case reflect.Pointer:
		return schemaOfType(kind.Elem())
	case reflect.Slice:
		return Object{"type": "array", "items": schemaOfType(kind.Elem())}
	}
	properties, required := Object{}, []string{}
	for _, f := range formFields(kind) {
		field := schemaOfType(f.kind)
		if f.about != "" {
			field["description"] = f.about
		}
		if f.most > 0 {
			field["maxItems"] = f.most
		}
		if _, isLeaf := leaves[f.kind]; f.kind.Kind() == reflect.Slice && !isLeaf && f.least > 0 {
			field["minItems"] = f.least
		}
		properties[f.name] = field
		if f.required {
			required = append(required, f.name)
		}
	}
	schema := Object{"type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		schema["required"] = required
	}
	return schema
}
