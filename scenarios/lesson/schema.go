package lesson

import (
	"handrule/scenarios/form"
	"maps"
)

// Schema describes lesson files.
func Schema() form.Object {
	schema := form.SchemaOf[Lesson]()
	properties := schema["properties"].(form.Object)
	for field, about := range properties {
		if field != "draw" {
			properties[field] = orDrawn(about)
		}
	}
	return schema
}

// orDrawn lets $name stand for every number in a schema.
func orDrawn(schema any) any {
	switch s := schema.(type) {
	case form.Object:
		if s["type"] == "number" || s["type"] == "integer" {
			number := maps.Clone(s)
			delete(number, "description")
			same := form.Object{"anyOf": []form.Object{number, {"type": "string", "pattern": drawnUse.String()}}}
			if about, ok := s["description"]; ok {
				same["description"] = about
			}
			return same
		}
		same := form.Object{}
		for key, value := range s {
			same[key] = orDrawn(value)
		}
		return same
	case []form.Object:
		same := make([]form.Object, len(s))
		for i, value := range s {
			same[i] = orDrawn(value).(form.Object)
		}
		return same
	}
	return schema
}
