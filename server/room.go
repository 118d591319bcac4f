package server

import (
	"cmp"
	"encoding/json"
	"errors"
	"hash/maphash"
	"slices"
	"sync"
	"time"

	"handrule/server/bench"
	"handrule/server/class"
	"handrule/server/store"
	"handrule/words"
)

// room is a class as this process has it: the pages that are connected to it, and the benches of its learners that run here.
type room struct {
	school *school
	code   string
	inside int // pages and benches; the school's
	know   sync.Once
	knows  chan struct{} // is closed once what is kept of the class is known
	ended  chan struct{}
	waits  chan struct{} // has room for one: something cannot be kept yet
	stands sync.Mutex    // held by who keeps where the benches here stand; locked before mu

	mu      sync.Mutex
	class   *class.Class
	members map[*member]bool
	benches map[string]*seat     // by whose they are: a learner's, or class.InstructorsArm
	streams map[string]*stream   // that pages here follow, by subject
	others  map[string]presence  // who is connected to other processes, by process
	stood   map[string]*standing // what was kept of the benches here
	changed bool                 // something, since the pages were told
	driver  string               // whose arm was demonstrated when that was looked at last
	handing int                  // arms that are being handed over: pages are told when the next stands where it is to go on
	looked  []byte               // from where the demonstrated arm is looked at, as it is told; nil: that was not told yet
	written map[string]uint64    // revisions of facts that were written here and have not come back
	unkept  []*class.Write       // what learners said that cannot be kept yet; see unkept.go
	closed  bool
	cancel  []func() // what ends its subscriptions
}

// presence is who is connected to a process.
type presence struct {
	here  []string
	until time.Time
}

// standing is what was kept last of a bench.
type standing struct{ standing, stand string }

const (
	// mostStandings are kept at once, so that a large class leaves the store time for the rest; the others follow.
	mostStandings = 30

	tellEvery     = 100 * time.Millisecond // the pages of a class are told what is new
	standEvery    = time.Second            // where benches stand is kept, where that is new
	presenceEvery = 4 * time.Second
	presenceLasts = 3 * presenceEvery
)

func newRoom(h *school, code string) *room {
	return &room{
		school: h, code: code, knows: make(chan struct{}), ended: make(chan struct{}), waits: make(chan struct{}, 1), class: class.New(code, h.restore, h.find), members: map[*member]bool{},
		benches: map[string]*seat{}, streams: map[string]*stream{}, others: map[string]presence{}, written: map[string]uint64{}, stood: map[string]*standing{}, driver: class.InstructorsArm,
	}
}

// run keeps the room until it is closed.
func (r *room) run() {
	for r.subscribe() != nil {
		select {
		case <-r.ended:
			return
		case <-time.After(keepAgain):
		}
	}
	go r.keepOn() // What is written waits for the store; what is told does not.
	go r.standOn()
	tell, renew, here := time.NewTicker(tellEvery), time.NewTicker(standEvery), time.NewTicker(presenceEvery)
	defer tell.Stop()
	defer renew.Stop()
	defer here.Stop()
	for {
		select {
		case <-r.ended:
			return
		case <-tell.C:
			r.tell(time.Now())
		case <-renew.C:
			r.renewStreams()
		case <-here.C:
			r.sayPresence()
		}
	}
}

// subjects of a class.
func seenSubject(code, whom, reading string) string {
	return "seen." + code + "." + whom + "." + reading
}
func wantSubject(code string) string { return "want." + code }
func hereSubject(code string) string { return "here." + code }
func lookSubject(code string) string { return "look." + code }

func (r *room) subscribe() error {
	var all []func()
	begin := func(cancel func(), err error) error {
		if err == nil {
			all = append(all, cancel)
		}
		return err
	}
	err := begin(r.school.facts.Watch(r.code, func(e store.Entry) {
		if e.Key == "" {
			r.know.Do(func() { close(r.knows) })
			return
		}
		r.hear(e)
	}))
	for subject, hear := range map[string]func([]byte){wantSubject(r.code): r.wanted, hereSubject(r.code): r.hearPresence, lookSubject(r.code): r.hearLook} {
		if err == nil {
			err = begin(r.school.store.Subscribe(subject, func(_ string, data []byte) { hear(data) }))
		}
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.closed || err != nil {
		for _, cancel := range all {
			cancel()
		}
		return err
	}
	r.cancel = all
	return nil
}

// look tells all where the demonstrated arm is looked at from.
func (r *room) look(who class.Who, request *class.LookRequest) error {
	r.mu.Lock()
	driver := r.driver
	r.mu.Unlock()
	if who.Role != class.Instructor && who.Learner != driver {
		return errNotInstructor
	}
	text, err := json.Marshal(class.LookView{View: request.View})
	if err != nil {
		return err
	}
	return away(r.school.store.Publish(lookSubject(r.code), text))
}

func (r *room) hearLook(text []byte) {
	var view class.LookView
	if json.Unmarshal(text, &view) != nil {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.looked, r.changed = bench.Encode("look", view), true
}

func (r *room) close() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.closed = true
	close(r.ended)
	for _, cancel := range r.cancel {
		cancel()
	}
	for _, s := range r.streams {
		s.end()
	}
}

// take takes a fact.
func (r *room) take(e store.Entry) {
	if !e.Deleted {
		r.think(func() *class.Thinking { return r.class.Brings(e.Key, e.Value) })
	}
	r.mu.Lock()
	called := r.class.Calls()
	if err := r.class.Take(e.Key, e.Value, e.Revision, e.Deleted); err != nil {
		r.school.log.Warn("a fact of a class cannot be read", "key", e.Key, "why", err)
	}
	r.changed = true
	was, now := r.driver, r.class.Driver()
	r.driver = now
	before, next := r.benches[was], r.benches[now]
	var from *class.Stand
	if was != now {
		from = r.class.Stand(was)
		r.handing++
	}
	var wait []*seat
	if !called && r.class.Calls() {
		for whom, s := range r.benches {
			if whom != now && whom != class.InstructorsArm {
				wait = append(wait, s)
			}
		}
	}
	r.mu.Unlock()
	for _, s := range wait {
		if s.moves() {
			s.letGo()
		}
	}
	if was == now {
		return
	}
	// One drives at a time: the arm of whoever drove comes to rest at once, and the next goes on from where it stood.
	if before != nil {
		before.letGo()
	}
	if next != nil && from != nil {
		next.put(&from.Scene)
	}
	r.mu.Lock()
	r.handing--
	r.mu.Unlock()
}

// haltDriver brings the demonstrated arm to rest, where this process has it.
func (r *room) haltDriver() {
	r.mu.Lock()
	s := r.benches[r.driver]
	r.mu.Unlock()
	if s != nil {
		s.halt()
	}
}

// think computes a question that is needed soon, while everybody else goes on.
func (r *room) think(needed func() *class.Thinking) {
	r.mu.Lock()
	thinking := needed()
	r.mu.Unlock()
	if thinking == nil {
		return
	}
	thinking.Work()
	r.mu.Lock()
	r.class.Learn(thinking)
	r.mu.Unlock()
}

// handle does what a page asks.
func (r *room) handle(who class.Who, request any, now time.Time) error {
	if finished, is := request.(*class.FinishedRequest); is {
		return r.finished(who, finished, now)
	}
	teaches := who.Role == class.Instructor // Nobody else is worked for before it is known whether they may ask.
	if teaches {
		switch request.(type) {
		case *class.HandOverRequest:
			r.haltDriver() // The next goes on from there.
			r.keepStandings()
		case *class.AskRequest:
			r.keepStandings() // It is about the arm as it stands now.
		}
	}
	for tries := 0; ; tries++ {
		if teaches {
			r.think(func() *class.Thinking { return r.class.Asks(request) })
		}
		r.mu.Lock()
		all, err := r.class.Handle(who, request, now)
		r.mu.Unlock()
		if err != nil {
			return err
		}
		if teaches {
			err = r.writeAll(all)
		} else {
			err = r.keep(all)
		}
		if !errors.Is(err, store.ErrStale) || tries == 5 {
			return away(err)
		}
		time.Sleep(staleWait) // until the decision of another of the instructor's pages is known here
	}
}

const staleWait = 50 * time.Millisecond

// writeAll keeps facts. They come back to be taken, here as in every other process.
func (r *room) writeAll(all []class.Write) error {
	for _, w := range all {
		e, err := r.school.write(w)
		if err != nil {
			return err
		}
		r.wrote(e)
	}
	return nil
}

// wrote takes a fact that was written here at once. It comes back later, and much later where a node of the engine was lost.
func (r *room) wrote(e store.Entry) {
	r.mu.Lock()
	news := e.Revision > r.written[e.Key]
	if news {
		r.written[e.Key] = e.Revision
	}
	r.mu.Unlock()
	if news {
		r.take(e)
	}
}

// hear takes a fact that comes from the store, where this process has written none that is newer.
func (r *room) hear(e store.Entry) {
	r.mu.Lock()
	old := e.Revision < r.written[e.Key]
	if !old {
		delete(r.written, e.Key)
	}
	r.mu.Unlock()
	if !old {
		r.take(e)
	}
}

// tell tells all pages here what is new.
func (r *room) tell(now time.Time) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for process, p := range r.others {
		if now.After(p.until) { // It has ended without a word.
			delete(r.others, process)
			r.changed = true
		}
	}
	if !r.changed || r.handing > 0 {
		return
	}
	r.changed = false
	r.class.Here(r.here())
	shared := newShared(r.class, r.looked, now)
	for m := range r.members {
		m.tell(shared)
	}
}

// here is who is connected, here and elsewhere.
func (r *room) here() map[string]bool {
	all := map[string]bool{}
	for _, p := range r.others {
		for _, id := range p.here {
			all[id] = true
		}
	}
	for _, id := range r.hereAtThis() {
		all[id] = true
	}
	return all
}

func (r *room) hereAtThis() (all []string) {
	for m := range r.members {
		if m.who.Role == class.Learner {
			all = append(all, m.who.Learner)
		}
	}
	for whom, s := range r.benches {
		if whom == class.InstructorsArm && s.connected() {
			all = append(all, whom)
		}
	}
	return all
}

type presenceMessage struct {
	Process string   `json:"process"`
	Here    []string `json:"here"`
}

// processName tells this process from others.
var processName = newID()

func (r *room) sayPresence() {
	r.mu.Lock()
	text, _ := json.Marshal(presenceMessage{processName, r.hereAtThis()})
	r.mu.Unlock()
	r.school.store.Publish(hereSubject(r.code), text)
}

func (r *room) hearPresence(text []byte) {
	var m presenceMessage
	if json.Unmarshal(text, &m) != nil || m.Process == processName {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.others[m.Process] = presence{m.Here, time.Now().Add(presenceLasts)}
	r.changed = true
}

// Bounds of the pages that are connected to one class at one process.
const (
	mostPages    = 4   // of one learner: the oldest gives way
	mostUnjoined = 200 // of people who have not joined yet: one of them gives way
)

var errGaveWay = words.NewProblem("class.problem.gave-way")

// comes makes room for a page; under the room's lock. Of people who have not joined, the one gives way who came first of the address that
// has the most of them: so whoever opens pages without end keeps nobody out.
func (r *room) comes(m *member) {
	if m.who.Role == class.Instructor {
		return
	}
	var own, unjoined []*member
	from := map[string]int{}
	for other := range r.members {
		switch {
		case other.who == m.who:
			own = append(own, other)
		case other.who.Role == class.Learner && !r.class.Knows(other.who.Learner):
			unjoined = append(unjoined, other)
			from[other.address]++
		}
	}
	earlier := func(a, b *member) int { return a.since.Compare(b.since) }
	if len(own) >= mostPages {
		slices.MinFunc(own, earlier).end(takenOver)
	}
	if len(unjoined) >= mostUnjoined && !r.class.Knows(m.who.Learner) {
		goes := slices.MinFunc(unjoined, func(a, b *member) int { return cmp.Or(cmp.Compare(from[b.address], from[a.address]), earlier(a, b)) })
		delete(r.members, goes) // so that the next to come finds another
		goes.dismiss(errGaveWay)
	}
}

// come has a page come, and returns what has it go.
func (r *room) come(m *member) (goes func()) {
	r.mu.Lock()
	r.members[m] = true
	r.changed = true
	r.mu.Unlock()
	r.sayPresence()
	return func() {
		r.mu.Lock()
		delete(r.members, m)
		r.changed = true
		r.mu.Unlock()
		m.follow(nil)
		r.sayPresence()
	}
}

// seat has the bench of a learner or of the instructor here, and returns what takes it away.
func (r *room) seat(whom string, s *seat) (goes func()) {
	s.changed.Store(true) // before anybody finds it here
	r.mu.Lock()
	r.benches[whom] = s
	r.changed = true
	driver := r.driver == whom
	r.mu.Unlock()
	if driver {
		r.sayPresence()
	}
	return func() {
		r.mu.Lock()
		if r.benches[whom] == s {
			delete(r.benches, whom)
			delete(r.stood, whom)
		}
		r.changed = true
		r.mu.Unlock()
		s.unwatchAll()
	}
}

// standOn keeps where the benches here stand, every now and then.
func (r *room) standOn() {
	ticker := time.NewTicker(standEvery)
	defer ticker.Stop()
	for {
		select {
		case <-r.ended:
			return
		case <-ticker.C:
			r.keepStandings()
		}
	}
}

// keepStandings keeps where the benches here stand, where that is new.
func (r *room) keepStandings() {
	r.stands.Lock()
	defer r.stands.Unlock()
	type one struct {
		whom string
		seat *seat
	}
	var all []one
	r.mu.Lock()
	if !r.class.Exists() {
		r.mu.Unlock()
		return
	}
	for whom, s := range r.benches {
		if len(all) < mostStandings && s.changed.CompareAndSwap(true, false) {
			all = append(all, one{whom, s})
		}
	}
	driver := r.driver
	r.mu.Unlock()
	for i, one := range all {
		if errors.Is(r.keepStanding(one.whom, one.seat, one.whom == driver), store.ErrAway) {
			for _, other := range all[i+1:] {
				other.seat.changed.Store(true) // They would wait as long, and in vain.
			}
			return
		}
	}
}

func (r *room) keepStanding(whom string, s *seat, drives bool) error {
	now, stand := s.stands(drives || whom == class.InstructorsArm)
	r.mu.Lock()
	was := r.stood[whom]
	if was == nil {
		was = &standing{}
		r.stood[whom] = was
	}
	r.mu.Unlock()
	keep := func(key string, fact any, last *string) error {
		text, err := json.Marshal(fact)
		if err != nil || string(text) == *last {
			return err
		}
		revision, err := r.school.facts.Put(key, text)
		if err != nil {
			s.changed.Store(true) // again at the next time
			return err
		}
		*last = string(text)
		r.wrote(store.Entry{Key: key, Value: text, Revision: revision}) // for the question that is asked about it
		return nil
	}
	if now != nil && whom != class.InstructorsArm {
		if err := keep(class.StandingKey(r.code, whom), now, &was.standing); err != nil {
			return err
		}
	}
	if stand != nil {
		return keep(class.StandKey(r.code, whom), stand, &was.stand)
	}
	return nil
}

// finished keeps a result that this server has signed.
func (r *room) finished(who class.Who, request *class.FinishedRequest, now time.Time) error {
	result, err := r.school.verify([]byte(request.Text))
	if err != nil {
		return err
	}
	r.mu.Lock()
	all, err := r.class.Finished(who, &result, request.Text, now)
	r.mu.Unlock()
	if err != nil {
		return err
	}
	return r.keep(all)
}

// shared is what is told to many pages, written once.
type shared struct {
	class   *class.Class
	look    []byte
	now     time.Time
	written map[sharedKey][]byte
}

type sharedKey struct {
	word string
	role class.Role
	in   *words.Language
}

func newShared(c *class.Class, look []byte, now time.Time) *shared {
	return &shared{c, look, now, map[sharedKey][]byte{}}
}

func (s *shared) text(key sharedKey, make func() any) []byte {
	text, is := s.written[key]
	if !is {
		if message := make(); message != nil {
			text = bench.Encode(key.word, message)
		}
		s.written[key] = text
	}
	return text
}

var toldSeed = maphash.MakeSeed()
