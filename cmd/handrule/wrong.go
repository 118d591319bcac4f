package main

import (
	"crypto/ed25519"
	"fmt"
	"io"
	"maps"
	"slices"

	"handrule/internal/files"
	"handrule/internal/visible"
	"handrule/scenarios"
	"handrule/scenarios/ask"
	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
	"handrule/scenarios/solve"
	"handrule/words"
)

// revealing says what wrong answers reveal: computed for the lesson with the learner's own numbers, as a class's board does.
type revealing struct {
	in      *words.Language
	lessons map[string]*lesson.Lesson // by id
	keys    map[string]ed25519.PrivateKey
	dealt   map[dealtTo]*lesson.Lesson // nil where it cannot be dealt
	said    map[answerTo]string
	unknown map[string]string // why nothing is known of a lesson, by its id
}

// dealtTo is a lesson with the numbers of a deal.
type dealtTo struct {
	id, key string
	seed    uint64
}

// answerTo is an answer to a task with the numbers of a deal.
type answerTo struct {
	lesson *lesson.Lesson
	stage  int
	packed string
}

// newRevealing knows the lessons that ship and those that are named, files or folders of them. The keys are those of which the private
// half is at one of the paths: an assessment's numbers are drawn with it.
func newRevealing(in *words.Language, named, keys []string) (*revealing, error) {
	v := &revealing{
		in: in, lessons: map[string]*lesson.Lesson{}, keys: map[string]ed25519.PrivateKey{}, dealt: map[dealtTo]*lesson.Lesson{}, said: map[answerTo]string{}, unknown: map[string]string{},
	}
	all := scenarios.ShippedLessons()
	for _, path := range named {
		if !files.IsFolder(path) {
			l, err := scenarios.OpenLesson(path, 0)
			if err != nil {
				return nil, err
			}
			all = append(all, l)
			continue
		}
		folder, err := scenarios.ReadFolder(path)
		if err != nil {
			return nil, err
		}
		all = append(all, folder.Lessons...)
	}
	for _, l := range all {
		v.lessons[l.ID] = l
	}
	if len(keys) == 0 {
		if path, err := keyFile(); err == nil {
			keys = []string{path}
		}
	}
	for _, path := range keys {
		if key, err := results.OpenSigningKey(path); err == nil { // else it is a public one, or a folder of those
			v.keys[results.KeyID(key.Public().(ed25519.PublicKey))] = key
		}
	}
	return v, nil
}

// of says what a wrong answer to a stage of the result reveals; "" where that is not known.
func (v *revealing) of(r *results.Result, stage int, given lesson.Given) string {
	l := v.with(r)
	if l == nil || given.Packed == nil {
		return ""
	}
	at := slices.IndexFunc(l.Stages, func(s lesson.Stage) bool { return s.ID == r.Progress.Stages[stage].ID })
	if at < 0 {
		return "" // The lesson asks something else now.
	}
	key := answerTo{l, at, string(given.Packed)}
	said, known := v.said[key]
	if !known {
		if answer, ok := l.Stages[at].AnswerOf(given); ok {
			said = ask.Named(ask.Revealed(l, at, answer), v.in)
		}
		v.said[key] = said
	}
	return said
}

// with is the lesson of a result with its numbers; nil where these are not known.
func (v *revealing) with(r *results.Result) *lesson.Lesson {
	id := r.Progress.Lesson
	l := v.lessons[id]
	switch {
	case l == nil:
		v.unknown[id] = "takes the lesson's file; name it, or its folder, with --lesson"
		return nil
	case !l.Deals():
		return l
	}
	from := lesson.Deal{Seed: r.Progress.Seed}
	if l.Assessment != nil && r.Key != "" {
		key := v.keys[r.Key]
		if key == nil {
			v.unknown[id] = fmt.Sprintf("takes the key %s of the server that dealt its numbers; its public half does not do", visible.Text(r.Key))
			return nil
		}
		from.Secret = results.NumbersOf(l.ID, from.Seed, key)
	}
	to := dealtTo{id, r.Key, from.Seed}
	if _, known := v.dealt[to]; !known {
		dealt, _, err := solve.Drawn(l, from)
		if err != nil {
			dealt = nil
		}
		v.dealt[to] = dealt
	}
	return v.dealt[to]
}

// tellUnknown says of which lessons nothing is known, and what that takes.
func (v *revealing) tellUnknown(errs io.Writer) {
	for _, id := range slices.Sorted(maps.Keys(v.unknown)) {
		fmt.Fprintf(errs, "%s: to tell what wrong answers reveal %s\n", visible.Text(id), v.unknown[id])
	}
}
