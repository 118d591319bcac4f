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

// Decode reads one request of the page. Errors say what is wrong with it and what would be right.
func Decode(text []byte) (any, error) {
	var head struct {
		Type string `json:"type"`
	}
	if err := json.Unmarshal(text, &head); err != nil {
		return nil, fmt.Errorf("the message is not what this bench speaks: %w", plain(err))
	}
	kind, known := Requests[head.Type]
	if !known {
		return nil, fmt.Errorf("unknown message type %q; it is one of %s", clip(head.Type), strings.Join(requestWords(), ", "))
	}
	request := reflect.New(reflect.TypeOf(kind)).Interface()
	strict := json.NewDecoder(bytes.NewReader(withoutType(text)))
	strict.DisallowUnknownFields()
	if err := strict.Decode(request); err != nil {
		return nil, fmt.Errorf("message %q: %w", head.Type, plain(err))
	}
	return request, nil
}

// withoutType takes the "type" member away, so that every other unknown field can be refused.
func withoutType(text []byte) []byte {
	var members map[string]json.RawMessage
	if err := json.Unmarshal(text, &members); err != nil {
		return text
	}
	delete(members, "type")
	rest, err := json.Marshal(members)
	if err != nil {
		return text
	}
	return rest
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
