// Package practice is the form of results that nobody signs: those that a page without a server saves. It needs no keys, so that
// it is small enough for such a page.
package practice

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"time"

	"handrule/scenarios/lesson"
)

// Result is what a learner has done, as their own browser graded it.
type Result struct {
	Kind       string          `json:"kind"`        // what it is, and what not
	ComputedOn string          `json:"computed_on"` // the machine that graded it
	Learner    string          `json:"learner"`     // as they name themselves
	Number     string          `json:"number,omitempty"`
	Email      string          `json:"email,omitempty"`
	Assessment bool            `json:"assessment,omitempty"`
	Finished   time.Time       `json:"finished"`
	Progress   lesson.Progress `json:"progress"`
}

// Kind is that of every such file.
const Kind = "handrule practice, not signed"

// Write returns the result as a file.
func Write(r Result) ([]byte, error) {
	r.Kind = Kind
	return json.MarshalIndent(r, "", "  ")
}

// Is reports whether a text looks like such a file.
func Is(text []byte) bool {
	var head struct {
		Kind string `json:"kind"`
	}
	return json.Unmarshal(text, &head) == nil && head.Kind == Kind
}

// Read returns the result in a file.
func Read(text []byte) (r Result, err error) {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&r); err != nil {
		return r, err
	}
	if _, err := d.Token(); err != io.EOF {
		return r, errors.New("something follows its end")
	}
	if r.Kind != Kind {
		return r, errors.New("it is no result of practice")
	}
	return r, nil
}
