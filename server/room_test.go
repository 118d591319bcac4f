package server

import (
	"encoding/json"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"testing"
	"testing/fstest"
	"time"

	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
	"handrule/server/bench"
	"handrule/server/class"
	"handrule/server/store"
	"handrule/words"
)

var instructor = class.Who{Role: class.Instructor}

// learnerNo is a learner by a number.
func learnerNo(n int) class.Who {
	return class.Who{Role: class.Learner, Learner: class.LearnerOf(fmt.Sprint(n))}
}

// quietRoom is a class, with an arm in front, that nothing happens in by itself.
func quietRoom(t testing.TB, kept store.Store, restore func([]byte) (*bench.Bench, error)) *room {
	t.Helper()
	facts, err := kept.Bucket(classBucket)
	if err != nil {
		t.Fatal(err)
	}
	s := newSchool(kept, facts, restore, func(string) *lesson.Lesson { return nil }, func(text []byte) (r results.Result, _ error) { r.Progress.Lesson = string(text); return r, nil }, slog.New(slog.DiscardHandler))
	code, err := s.open(&class.OpenRequest{}, rand.Uint64, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	r := newRoom(s, code)
	if err := r.subscribe(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(r.close)
	<-r.knows
	b := New(Options{Offer: shipped(), Static: fstest.MapFS{}}).home.newBench()
	rest, err := b.AtRest()
	if err != nil {
		t.Fatal(err)
	}
	state, _, err := writeDown(rest)
	if err != nil {
		t.Fatal(err)
	}
	if err := r.writeAll([]class.Write{{Key: class.StandKey(code, class.InstructorsArm), Value: class.Stand{Scene: b.Scene(), Bench: state}}}); err != nil {
		t.Fatal(err)
	}
	return r
}

func shippedRestore(state []byte) (*bench.Bench, error) {
	return New(Options{Offer: shipped(), Static: fstest.MapFS{}}).home.restore(state)
}

// does has somebody ask for something that is done.
func (r *room) does(t testing.TB, who class.Who, request any) {
	t.Helper()
	if err := r.handle(who, request, time.Now()); err != nil {
		t.Fatalf("%T: %v", request, err)
	}
}

func (r *room) joins(t testing.TB, who class.Who) {
	r.does(t, who, &class.JoinRequest{Name: "Ana"})
}

func (r *room) view(now time.Time) class.ClassView {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.class.View(now)
}

func (r *room) question(of class.Who) class.QuestionView {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.class.Question(of.Learner, words.English)
}

func (r *room) mine(of class.Who) class.MineView {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.class.Mine(of.Learner)
}

// The learners of a process that has ended without a word are not here any more when nothing was heard of it for a while, though nothing
// else happens in the class.
func TestADeadProcessesLearnersGo(t *testing.T) {
	r := quietRoom(t, store.InMemory(), shippedRestore)
	ana := learnerNo(1)
	r.joins(t, ana)
	text, _ := json.Marshal(presenceMessage{"another", []string{ana.Learner}})
	before := time.Now()
	r.hearPresence(text)
	after := time.Now()
	for _, c := range []struct {
		at   time.Time
		here int
	}{{after, 1}, {before.Add(presenceLasts - time.Second), 1}, {after.Add(presenceLasts + time.Second), 0}} {
		r.tell(c.at)
		if v := r.view(c.at); v.Here != c.here {
			t.Errorf("%v after its last word %d are here, want %d", c.at.Sub(after), v.Here, c.here)
		}
	}
}

// Whoever opens page after page without joining sends away only pages of their own address, and none of anybody who has joined.
func TestWhoCrowdsAClassGivesWay(t *testing.T) {
	r := quietRoom(t, store.InMemory(), shippedRestore)
	ana := learnerNo(0)
	r.joins(t, ana)
	begun := time.Now()
	gone := map[int]bool{}
	comes := func(n int, address string) {
		m := &member{who: learnerNo(n), in: words.English, since: begun.Add(time.Duration(n)), address: address, told: map[string]uint64{}}
		m.courier = courier{out: newOutbox(), end: func(error) { gone[n] = true }}
		r.mu.Lock()
		r.comes(m)
		r.mu.Unlock()
		r.come(m)
	}
	comes(0, "crowd") // Ana, who has joined
	comes(1, "other")
	comes(2, "other")
	const last = 3 * mostUnjoined
	for n := 3; n <= last; n++ {
		comes(n, "crowd")
	}
	comes(last+1, "other")
	for n := range last + 2 {
		if want := n > 2 && n <= last-(mostUnjoined-3); gone[n] != want {
			t.Fatalf("page %d of %d was sent away: %v", n, last+1, gone[n])
		}
	}
}

// What another process kept of a class before it heard that the class was deleted goes at the second look; of no other class does anything go.
func TestNothingIsLeftOfADeletedClass(t *testing.T) {
	kept := store.InMemory()
	r, stays := quietRoom(t, kept, shippedRestore), quietRoom(t, kept, shippedRestore)
	r.joins(t, learnerNo(1))
	stays.joins(t, learnerNo(2))
	keys := func(prefix string) int {
		all, err := r.school.facts.Keys(prefix)
		if err != nil {
			t.Fatal(err)
		}
		return len(all)
	}
	before := keys(stays.code)
	r.does(t, instructor, &class.DeleteRequest{})
	if left := keys(r.code); left > 0 {
		t.Fatalf("%d facts are left where nobody else wrote any", left)
	}
	head, err := r.school.facts.Get(class.HeadKey(stays.code))
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{class.StandKey(r.code, "late"), class.StandingKey(r.code, "late"), class.StandKey("AAAAAA", "early")} {
		if _, err := r.school.facts.Put(key, []byte("{}")); err != nil {
			t.Fatal(err)
		}
	}
	r.school.tidy(t.Context(), 90, time.Now())
	if left := keys(r.code); left != 2 {
		t.Errorf("%d of 2 facts are there after the first look", left)
	}
	if _, err := r.school.facts.Put(class.HeadKey("AAAAAA"), head.Value); err != nil { // It comes late.
		t.Fatal(err)
	}
	r.school.tidy(t.Context(), 90, time.Now())
	if left := keys(r.code); left != 0 {
		t.Errorf("%d facts are left of a deleted class", left)
	}
	if there := keys("AAAAAA"); there != 2 {
		t.Errorf("%d of 2 facts are there of a class whose head came late", there)
	}
	if there := keys(stays.code); there != before {
		t.Errorf("%d of %d facts are there of another class", there, before)
	}
}

// What waits to be kept is given up with its class.
func TestNothingIsKeptForADeletedClass(t *testing.T) {
	away := &shaky{Store: store.InMemory()}
	r := quietRoom(t, away, shippedRestore)
	ana := learnerNo(1)
	r.joins(t, ana)
	away.away.Store(true)
	r.does(t, ana, &class.HandRequest{Up: true})
	away.away.Store(false)
	r.does(t, instructor, &class.DeleteRequest{})
	until(func() bool {
		r.mu.Lock()
		defer r.mu.Unlock()
		return !r.class.Exists()
	})
	if kept, left := r.keepFirst(); kept || left > 0 {
		t.Errorf("it is kept: %v, and %d wait", kept, left)
	}
	if keys, err := r.school.facts.Keys(r.code); err != nil || len(keys) > 0 {
		t.Errorf("there are %v, %v", keys, err)
	}
}

// While a question is computed, everybody else goes on.
func TestNobodyWaitsForAQuestion(t *testing.T) {
	begun, gate := make(chan struct{}, 10), make(chan struct{})
	r := quietRoom(t, store.InMemory(), func(state []byte) (*bench.Bench, error) {
		begun <- struct{}{}
		<-gate
		return shippedRestore(state)
	})
	ana := learnerNo(1)
	r.joins(t, ana)
	asked := make(chan error)
	ask := class.AskRequest{Kind: class.AskWay, Jog: "joint J1 +20", Options: []string{}, Right: []int{}}
	if err := r.handle(ana, &ask, time.Now()); err == nil || len(begun) > 0 {
		t.Errorf("a learner asks: %v, and %d questions are computed", err, len(begun))
	}
	go func() { asked <- r.handle(instructor, &ask, time.Now()) }()
	<-begun
	r.does(t, ana, &class.HandRequest{Up: true})
	r.tell(time.Now())
	if v := r.view(time.Now()); v.Hands != 1 {
		t.Errorf("%d hands are up", v.Hands)
	}
	close(gate)
	if err := <-asked; err != nil {
		t.Fatal(err)
	}
	until(func() bool { return r.question(ana).Count == 1 })
	if len(begun) > 0 {
		t.Error("what was computed to be asked was computed once more to be shown")
	}
}

// What a learner says while nothing can be kept is shown as pending, is kept as it was said last, and counts as kept only then. Somebody
// else's page sees it then.
func TestWhatIsSaidMeanwhileIsKept(t *testing.T) {
	away := &shaky{Store: store.InMemory()}
	r := quietRoom(t, away, shippedRestore)
	go r.keepOn()
	ana := learnerNo(1)
	r.joins(t, ana)
	r.does(t, instructor, &class.AskRequest{Kind: class.AskNumber, Measure: class.Measure{Of: "x", Frame: "base"}, Options: []string{}, Right: []int{}})
	until(func() bool { return r.question(ana).Count == 1 })
	says := func(x float64) {
		t.Helper()
		r.does(t, ana, &class.ReplyRequest{Question: 1, Round: 1, Number: &x})
	}
	says(1)
	until(func() bool { mine := r.question(ana).Mine; return mine != nil && !mine.Pending })
	away.away.Store(true)
	says(2)
	r.does(t, ana, &class.FinishedRequest{Text: "lesson"})
	if v := r.question(ana); *v.Mine.Number != 2 || !v.Mine.Pending {
		t.Errorf("what was said is shown as %+v", v.Mine)
	}
	says(3)
	if v := r.mine(ana); v.Arrived != 0 {
		t.Error("a result has arrived that is not kept")
	}
	away.away.Store(false)
	until(func() bool { return !r.question(ana).Mine.Pending && r.mine(ana).Arrived > 0 })
	other := quietRoomOf(t, r)
	if v := other.question(ana); *v.Mine.Number != 3 || v.Mine.Pending || other.mine(ana).Arrived == 0 {
		t.Errorf("another process shows %+v, %+v", v.Mine, other.mine(ana))
	}
}

// quietRoomOf is the same class as another process has it.
func quietRoomOf(t *testing.T, r *room) *room {
	t.Helper()
	other := newRoom(r.school, r.code)
	if err := other.subscribe(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(other.close)
	<-other.knows
	return other
}

// What takes long to be kept is shown as pending until it is.
func TestWhatTakesLongIsPending(t *testing.T) {
	slow := &shaky{Store: store.InMemory(), puts: make(chan struct{})}
	close(slow.puts)
	r := quietRoom(t, slow, shippedRestore)
	ana := learnerNo(1)
	r.joins(t, ana)
	r.does(t, instructor, &class.AskRequest{Kind: class.AskNumber, Measure: class.Measure{Of: "x", Frame: "base"}, Options: []string{}, Right: []int{}})
	until(func() bool { return r.question(ana).Count == 1 })
	slow.puts = make(chan struct{})
	said := make(chan error)
	x := 1.0
	go func() {
		said <- r.handle(ana, &class.ReplyRequest{Question: 1, Round: 1, Number: &x}, time.Now())
	}()
	until(func() bool { mine := r.question(ana).Mine; return mine != nil && mine.Pending })
	close(slow.puts)
	if err := <-said; err != nil {
		t.Fatal(err)
	}
	if mine := r.question(ana).Mine; mine == nil || mine.Pending {
		t.Errorf("what is kept is shown as %+v", mine)
	}
}

// A class goes on while the store takes its time to let an arm be seen, and the arm is seen as soon as it can be, also where that failed at first.
func TestNobodyWaitsForAnArmToBeSeen(t *testing.T) {
	slow := &shaky{Store: store.InMemory(), hears: make(chan struct{})}
	r := quietRoom(t, slow, shippedRestore)
	ana := learnerNo(1)
	r.joins(t, ana)
	m := &member{courier: courier{out: newOutbox(), end: func(error) {}}, room: r, who: ana, in: words.English, told: map[string]uint64{}}
	goes := r.come(m)
	defer goes()
	if err := m.followAs(&class.FollowRequest{Whom: class.Front}); err != nil {
		t.Fatal(err)
	}
	r.does(t, ana, &class.HandRequest{Up: true})
	if v := r.view(time.Now()); v.Hands != 1 {
		t.Errorf("%d hands are up", v.Hands)
	}
	seen := func() bool {
		r.mu.Lock()
		defer r.mu.Unlock()
		return m.followed.stream.cancel != nil
	}
	slow.away.Store(true)
	slow.hears <- struct{}{} // fails
	slow.away.Store(false)
	until(func() bool {
		r.renewStreams()
		select {
		case slow.hears <- struct{}{}:
		default:
		}
		return seen()
	})
	// Whoever leaves before that leaves nothing behind.
	other := m.followed.stream
	m.follow(&class.FollowRequest{Whom: class.Front, Unit: "inch"})
	if r.streams[other.subject] != nil {
		t.Error("an arm that nobody follows is still seen")
	}
	left := m.followed.stream
	m.follow(nil)
	close(slow.hears)
	until(func() bool {
		r.mu.Lock()
		defer r.mu.Unlock()
		return !left.begins
	})
	if left.cancel != nil {
		t.Error("an arm whose follower has gone is seen")
	}
}

// What a process has written itself is not undone by what comes late from the store.
func TestWhatComesLateIsOld(t *testing.T) {
	r := quietRoom(t, store.InMemory(), shippedRestore)
	ana := learnerNo(1)
	key := r.code + ".learner." + ana.Learner
	r.wrote(store.Entry{Key: key, Value: []byte(`{"name":"new"}`), Revision: 1000})
	r.hear(store.Entry{Key: key, Value: []byte(`{"name":"old"}`), Revision: 999})
	if v := r.mine(ana); v.Name != "new" {
		t.Errorf("it is %q", v.Name)
	}
	r.hear(store.Entry{Key: key, Value: []byte(`{"name":"new"}`), Revision: 1000})
	r.hear(store.Entry{Key: key, Value: []byte(`{"name":"newer"}`), Revision: 1001})
	v := r.mine(ana)
	r.mu.Lock() // the room goes on hearing what was written before
	defer r.mu.Unlock()
	if v.Name != "newer" || r.written[key] != 0 {
		t.Errorf("it is %q, %v", v.Name, r.written)
	}
}

// What it takes to tell 300 pages that one more has answered.
func BenchmarkTellThreeHundred(b *testing.B) {
	r := quietRoom(b, store.InMemory(), shippedRestore)
	for n := range 300 {
		who := learnerNo(n)
		r.joins(b, who)
		m := &member{courier: courier{out: newOutbox(), end: func(error) {}}, room: r, who: who, in: words.English, told: map[string]uint64{}}
		r.members[m] = true
	}
	r.does(b, instructor, &class.AskRequest{Kind: class.AskWay, Jog: "joint J1 +20", Options: []string{}, Right: []int{}})
	until(func() bool { return r.question(learnerNo(0)).Count == 1 })
	now := time.Now()
	for b.Loop() {
		r.changed = true
		r.tell(now)
	}
}

// An arm does not wait for its class where that cannot be looked at, and is in it as soon as it can.
func TestAnArmComesBeforeItsClass(t *testing.T) {
	kept := &shaky{Store: store.InMemory(), only: classBucket}
	r := quietRoom(t, kept.Store, shippedRestore)
	token := newToken()
	ana := class.Who{Role: class.Learner, Learner: class.LearnerOf(token)}
	r.joins(t, ana)
	s, address, _ := serving(t, kept)
	kept.away.Store(true)
	p := visit(t, address, fmt.Sprintf("&class=%s&token=%s", r.code, token))
	p.hear("welcome")
	p.bends()
	kept.away.Store(false)
	until(func() bool {
		s.school.mu.Lock()
		there := s.school.rooms[r.code]
		s.school.mu.Unlock()
		if there == nil {
			return false
		}
		there.mu.Lock()
		defer there.mu.Unlock()
		return there.benches[ana.Learner] != nil
	})
}
