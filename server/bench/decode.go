package bench

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
)

// Decoder reads requests of the types that a table lists.
type Decoder struct {
	requests map[string]any
	kinds    map[string]reflect.Type // each with its "type" beside its fields, so that every other unknown field can be refused
}

// NewDecoder returns the decoder of such a table as Requests.
func NewDecoder(requests map[string]any) *Decoder {
	d := &Decoder{requests, map[string]reflect.Type{}}
	for word, request := range requests {
		fields := []reflect.StructField{{Name: "Type", Type: reflect.TypeFor[string](), Tag: `json:"type"`}}
		d.kinds[word] = reflect.StructOf(append(fields, reflect.VisibleFields(reflect.TypeOf(request))...))
	}
	return d
}

// Decode reads one request. Errors say what is wrong with it and what would be right.
func (d *Decoder) Decode(text []byte) (word string, request any, err error) {
	var head struct {
		Type string `json:"type"`
	}
	if err := json.Unmarshal(text, &head); err != nil {
		return "", nil, fmt.Errorf("the message is not what this bench speaks: %w", plain(err))
	}
	kind, known := d.kinds[head.Type]
	if !known {
		return "", nil, fmt.Errorf("unknown message type %q; it is one of %s", clip(head.Type), strings.Join(slices.Sorted(maps.Keys(d.requests)), ", "))
	}
	read := reflect.New(kind)
	strict := json.NewDecoder(bytes.NewReader(text))
	strict.DisallowUnknownFields()
	if err := strict.Decode(read.Interface()); err != nil {
		return "", nil, fmt.Errorf("message %q: %w", head.Type, plain(err))
	}
	made := reflect.New(reflect.TypeOf(d.requests[head.Type]))
	for i := range made.Elem().NumField() {
		made.Elem().Field(i).Set(read.Elem().Field(i + 1))
	}
	return head.Type, made.Interface(), nil
}

var decoder = NewDecoder(Requests)

// Decode reads one request of the page.
func Decode(text []byte) (any, error) {
	word, request, err := decoder.Decode(text)
	if err != nil {
		return nil, err
	}
	if err := checkBounds(word, request); err != nil {
		return nil, err
	}
	return request, nil
}

// plain words a JSON error for the person who wrote the message.
func plain(err error) error {
	var wrong *json.UnmarshalTypeError
	if errors.As(err, &wrong) {
		return fmt.Errorf("field %q cannot be a %s", wrong.Field, wrong.Value)
	}
	return errors.New(strings.TrimPrefix(err.Error(), "json: "))
}

func clip(s string) string {
	if len(s) > 40 {
		return s[:40] + "…"
	}
	return s
}
