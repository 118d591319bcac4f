package single

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"handrule/scenarios/lesson"
	"handrule/server/bench"
	"handrule/words"
)

// FrameTime is how often Frame is to be called while the arm moves.
const FrameTime = time.Second / 60

// Owner has one bench and the page at it. It is not safe for use by several goroutines at once.
type Owner struct {
	bench   *bench.Bench
	pace    bench.Pace
	asked   *bench.Question // that is being thought about; nil: none
	catalog Catalog
	shelf   shelf
	read    []*lesson.Lesson
	in      *words.Language
	tell    func(bench.Message)
	kept    bool // what Keep handed out last is still so
}

// New returns the owner of a bench that offers what a catalog lists, to a page that speaks a language and hears what is told.
func New(catalog []byte, in *words.Language, tell func(bench.Message)) (*Owner, error) {
	o := &Owner{in: in, tell: tell}
	if err := json.Unmarshal(catalog, &o.catalog); err != nil {
		return nil, fmt.Errorf("this is no catalog of a site: %w", err)
	}
	var err error
	o.shelf, err = o.catalog.read()
	return o, err
}

func (o *Owner) env() bench.Env { return bench.Env{Random: rand.Uint64, Vault: vault{}} }

func (o *Owner) offer() *bench.Offer { return o.catalog.offer(o.shelf, o.in, slices.Clone(o.read)) }

// Connect begins, with the bench that Keep wrote down where there is one. A bench that cannot be made again begins anew; the
// page is told which bench it has.
func (o *Owner) Connect(welcome bench.Welcome, anew string, state, log []byte, now time.Time) {
	welcome.Alone = true
	if o.bench = o.restored(state, log); o.bench == nil {
		o.bench, welcome.Bench = bench.New(o.offer(), o.env()), anew
	}
	o.bench.Connect(welcome, o.in)
	o.after(now)
}

func (o *Owner) restored(state, log []byte) *bench.Bench {
	if len(state) == 0 {
		return nil
	}
	b, err := bench.Restore(o.offer(), o.env(), state, log)
	if err != nil {
		return nil
	}
	return b
}

// Lacks reports whether a lesson is listed and has not been read yet.
func (o *Owner) Lacks(id string) bool {
	return !slices.ContainsFunc(o.read, func(l *lesson.Lesson) bool { return l.ID == id }) &&
		slices.ContainsFunc(o.catalog.Lessons[o.in.Code], func(l bench.LessonListing) bool { return l.ID == id })
}

// Read reads a lesson that is to be opened.
func (o *Owner) Read(text []byte) error {
	l, err := o.shelf.readLesson(text)
	if err != nil {
		return err
	}
	o.read = append(o.read, l)
	if o.bench != nil {
		o.bench.SetOffer(o.offer())
	}
	return nil
}

// Request does what the page asks.
func (o *Owner) Request(text []byte, now time.Time) {
	o.pace.Advance(o.bench, now)
	o.bench.Request(text, now)
	if !o.pace.Running() || o.bench.News() {
		o.after(now)
	}
}

// Complain tells the page what cannot be done.
func (o *Owner) Complain(message string, now time.Time) {
	o.bench.Complain(message)
	o.after(now)
}

// Frame runs the ticks that are due and tells the page; due is when that should have been. It reports whether the arm moves on.
func (o *Owner) Frame(now, due time.Time) (moves bool) {
	if !o.pace.Running() {
		return false
	}
	o.pace.Advance(o.bench, now)
	o.bench.Tell(due, o.tell)
	o.pace.Settle(o.bench, now)
	o.kept = false
	return o.pace.Running()
}

// Moves reports whether Frame is to be called.
func (o *Owner) Moves() bool { return o.pace.Running() }

// Think works on a long question for a slice of well below a millisecond of a server's time, and reports whether there may be
// more to think about.
func (o *Owner) Think(now time.Time) (more bool) {
	if o.asked == nil || !o.bench.Wanted(o.asked) {
		if o.asked = o.bench.Question(); o.asked == nil {
			return false
		}
	}
	if !o.asked.Work() {
		return true
	}
	q := o.asked
	o.asked = nil
	o.pace.Advance(o.bench, now)
	o.bench.Answer(q)
	o.after(now)
	return true
}

// after tells the page what is new after anything was done.
func (o *Owner) after(now time.Time) {
	o.kept = false
	o.bench.Tell(now, o.tell)
	o.pace.Settle(o.bench, now)
}

// Asks reports whether Think may have something to do.
func (o *Owner) Asks() bool { return o.asked != nil || o.bench.Asks() }

// Keep writes the bench down where it stands and may be another than Keep wrote last, with the lesson that has to be read before
// it is made again, "" for none.
func (o *Owner) Keep() (state, log []byte, lesson string, ok bool) {
	if o.kept || o.bench.Busy() || !o.bench.Used() {
		return nil, nil, "", false
	}
	state, log, err := o.bench.Snapshot()
	if err != nil {
		return nil, nil, "", false // It is kept as it was before.
	}
	o.kept = true
	return state, log, o.bench.OpenLesson(), true
}
