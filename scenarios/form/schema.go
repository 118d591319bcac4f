package form

import (
	"maps"
	"reflect"
)

// Ruled is a form whose fields do not all go together; it says so in keywords of JSON Schema.
type Ruled interface{ SchemaRules() Object }

// NotTogether are the keywords for fields of which no two of a pair go together.
func NotTogether(pairs ...[2]string) Object {
	var refused []Object
	for _, p := range pairs {
		refused = append(refused, Object{"required": p[:]})
	}
	return Object{"not": Object{"anyOf": refused}}
}

// AtMostOne are the keywords for fields of which there may be one.
func AtMostOne(fields ...string) Object {
	var pairs [][2]string
	for i, a := range fields {
		for _, b := range fields[i+1:] {
			pairs = append(pairs, [2]string{a, b})
		}
	}
	return NotTogether(pairs...)
}

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
		if f.pattern != "" {
			field["pattern"] = f.pattern
		}
		if items, ok := field["items"].(Object); ok && f.positive {
			items = maps.Clone(items)
			delete(items, "minimum")
			items["exclusiveMinimum"] = 0
			field["items"] = items
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
	if form, ok := reflect.New(kind).Interface().(Ruled); ok {
		maps.Copy(schema, form.SchemaRules())
	}
	if len(required) > 0 {
		schema["required"] = required
	}
	return schema
}
