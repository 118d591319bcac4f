package bench

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// asked is what requests are decoded into, by type: each with its "type" beside its fields, so that every other unknown field
// can be refused.
var asked = func() map[string]reflect.Type {
	all := map[string]reflect.Type{}
	for word, request := range Requests {
		fields := []reflect.StructField{{Name: "Type", Type: reflect.TypeFor[string](), Tag: `json:"type"`}}
		all[word] = reflect.StructOf(append(fields, reflect.VisibleFields(reflect.TypeOf(request))...))
	}
	return all
}()

// Decode reads one request of the page. Errors say what is wrong with it and what would be right.
func Decode(text []byte) (any, error) {
	var head struct {
		Type string `json:"type"`
	}
	if err := json.Unmarshal(text, &head); err != nil {
		return nil, fmt.Errorf("the message is not what this bench speaks: %w", plain(err))
	}
	kind, known := asked[head.Type]
	if !known {
		return nil, fmt.Errorf("unknown message type %q; it is one of %s", clip(head.Type), strings.Join(requestWords(), ", "))
	}
	read := reflect.New(kind)
	strict := json.NewDecoder(bytes.NewReader(text))
	strict.DisallowUnknownFields()
	if err := strict.Decode(read.Interface()); err != nil {
		return nil, fmt.Errorf("message %q: %w", head.Type, plain(err))
	}
	request := reflect.New(reflect.TypeOf(Requests[head.Type]))
	for i := range request.Elem().NumField() {
		request.Elem().Field(i).Set(read.Elem().Field(i + 1))
	}
	if err := checkBounds(head.Type, request.Interface()); err != nil {
		return nil, err
	}
	return request.Interface(), nil
}

// plain words a JSON error for the person who wrote the message.
func plain(err error) error {
	var wrong *json.UnmarshalTypeError
	if errors.As(err, &wrong) {
		return fmt.Errorf("field %q cannot be a %s", wrong.Field, wrong.Value)
	}
	return errors.New(strings.TrimPrefix(err.Error(), "json: "))
}

func requestWords() []string {
	var words []string
	for word := range Requests {
		words = append(words, word)
	}
	slices.Sort(words)
	return words
}

func clip(s string) string {
	if len(s) > 40 {
		return s[:40] + "…"
	}
	return s
}
