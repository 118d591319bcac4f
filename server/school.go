package server

import (
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"strconv"
	"sync"
	"time"

	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
	"handrule/server/bench"
	"handrule/server/class"
	"handrule/server/store"
	"handrule/words"
)

// school is the classes that pages of this process are in. What classes are made of is in the store: see package class.
type school struct {
	store   store.Store
	facts   store.Bucket
	restore func(state []byte) (*bench.Bench, error) // makes a bench again that questions are about
	find    func(id string) *lesson.Lesson           // a lesson that is offered; nil where there is none
	log     *slog.Logger

	verify func(text []byte) (results.Result, error) // reads a result that this server has signed

	most int // classes that are open at once; 0: as many as anybody likes

	mu    sync.Mutex
	rooms map[string]*room // by code

	headless map[string]bool // codes of which facts were kept without a head when that was looked at last; of who tidies
}

// classBucket holds the facts of all classes.
const classBucket = "classes"

func newSchool(kept store.Store, facts store.Bucket, restore func([]byte) (*bench.Bench, error), find func(string) *lesson.Lesson, verify func([]byte) (results.Result, error), log *slog.Logger) *school {
	return &school{store: kept, facts: facts, restore: restore, find: find, verify: verify, log: log, rooms: map[string]*room{}}
}

// knowTime is how long a page waits for what is kept of its class.
const knowTime = 5 * time.Second

// enter returns the room of a class, which whoever enters must leave again. What is kept of the class is known in it.
func (h *school) enter(ctx context.Context, code string) (*room, error) {
	h.mu.Lock()
	r := h.rooms[code]
	if r == nil {
		r = newRoom(h, code)
		h.rooms[code] = r
		go r.run()
	}
	r.inside++
	h.mu.Unlock()
	limited, cancel := context.WithTimeout(ctx, knowTime)
	defer cancel()
	select {
	case <-r.knows:
		return r, nil
	case <-limited.Done():
		h.leave(r)
		return nil, store.ErrAway
	}
}

// leave leaves a room. An empty one is closed.
func (h *school) leave(r *room) {
	h.mu.Lock()
	r.inside--
	empty := r.inside == 0
	if empty {
		delete(h.rooms, r.code)
	}
	h.mu.Unlock()
	if empty {
		r.close()
	}
}

// open opens a class under a code that none has.
func (h *school) open(r *class.OpenRequest, random func() uint64, now time.Time) (code string, err error) {
	if h.most > 0 {
		open, err := h.countOpen(now)
		if err != nil {
			return "", err
		}
		if open >= h.most {
			return "", words.NewProblem("class.problem.many", "most", strconv.Itoa(h.most))
		}
	}
	for range 100 {
		code = class.NewCode(random)
		w, err := class.Open(r, code, now)
		if err != nil {
			return "", err
		}
		_, err = h.write(w)
		if !errors.Is(err, store.ErrStale) {
			return code, err
		}
	}
	return "", errors.New("no code is free")
}

// countOpen counts the classes that newcomers may come to, by their heads alone.
func (h *school) countOpen(now time.Time) (open int, err error) {
	count, done := 0, make(chan int, 1)
	cancel, err := h.facts.Watch(class.HeadKey("*"), func(e store.Entry) {
		switch {
		case e.Key == "":
			done <- count
		case !e.Deleted && class.IsOpen(e.Value, now):
			count++
		}
	})
	if err != nil {
		return 0, err
	}
	defer cancel()
	select {
	case open = <-done:
		return open, nil
	case <-time.After(knowTime):
		return 0, store.ErrAway
	}
}

// write keeps a fact, or gives it up, and returns it as it is kept; without a revision where it is given up.
func (h *school) write(w class.Write) (e store.Entry, err error) {
	e.Key = w.Key
	if w.Value == nil {
		return e, h.facts.Delete(w.Key)
	}
	if e.Value, err = json.Marshal(w.Value); err != nil {
		return e, err
	}
	if w.Decides {
		e.Revision, err = h.facts.Replace(w.Key, e.Value, w.After)
	} else {
		e.Revision, err = h.facts.Put(w.Key, e.Value)
	}
	return e, err
}

// codes returns the codes of all classes.
func (h *school) codes() ([]string, error) {
	keys, err := h.facts.Keys(class.HeadKey("*")) // and not those of all that was ever answered
	if err != nil {
		return nil, err
	}
	var codes []string
	for _, key := range keys {
		if code, head := class.CodeOf(key); head {
			codes = append(codes, code)
		}
	}
	return codes, nil
}

// look calls f with a class as it is known, without anybody entering it for longer.
func (h *school) look(ctx context.Context, code string, f func(*class.Class)) error {
	r, err := h.enter(ctx, code)
	if err != nil {
		return err
	}
	defer h.leave(r)
	r.mu.Lock()
	defer r.mu.Unlock()
	f(r.class)
	return nil
}

// tidy deletes classes that ended so long ago, those that were opened that long ago and never ended, and what is left of classes that were
// deleted.
func (h *school) tidy(ctx context.Context, days int, now time.Time) {
	h.tidyLeft()
	codes, err := h.codes()
	if err != nil {
		h.log.Warn("classes that are too old are not deleted", "why", err)
		return
	}
	for _, code := range codes {
		h.look(ctx, code, func(c *class.Class) {
			if !c.Old(days, now) {
				return
			}
			for _, w := range c.Everything() {
				if _, err := h.write(w); err != nil {
					h.log.Warn("a class that is too old is not deleted whole", "why", err)
					return
				}
			}
			h.log.Info("a class was deleted, so many days after it ended", "class", code, "days", days)
		})
	}
}

// tidyLeft deletes facts without a class: another process may have kept one before it heard that the class was deleted. They had none when
// that was looked at before, either, so that it is not the head that comes late.
func (h *school) tidyLeft() {
	keys, err := h.facts.Keys("")
	if err != nil {
		h.log.Warn("what is left of deleted classes is not looked for", "why", err)
		return
	}
	heads := map[string]bool{}
	for _, key := range keys {
		if code, head := class.CodeOf(key); head {
			heads[code] = true
		}
	}
	before := h.headless
	h.headless = map[string]bool{}
	left := 0
	for _, key := range keys {
		code, _ := class.CodeOf(key)
		switch {
		case heads[code]:
		case !before[code]:
			h.headless[code] = true
		default:
			if _, err := h.facts.Get(class.HeadKey(code)); !errors.Is(err, store.ErrNone) {
				continue // One was opened meanwhile, or nobody can say.
			}
			if err := h.facts.Delete(key); err != nil {
				h.log.Warn("what is left of a deleted class is not deleted", "why", err)
				h.headless[code] = true
				return
			}
			left++
		}
	}
	if left > 0 {
		h.log.Info("what was left of deleted classes was deleted", "facts", left)
	}
}
