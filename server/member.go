package server

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"hash/maphash"
	"time"

	"github.com/coder/websocket"
	"golang.org/x/time/rate"

	"handrule/server/bench"
	"handrule/server/class"
	"handrule/words"
)

// member is a page that is connected to a class.
type member struct {
	courier
	room *room
	who  class.Who
	in   *words.Language

	since   time.Time // when it connected
	address string    // from which; see addressOf

	// The room's lock guards these.
	told     map[string]uint64 // a digest of what it was told last, by word
	board    bool              // it shows the board
	followed *following
}

// following is whom a page follows.
type following struct {
	request class.FollowRequest
	stream  *stream
}

const (
	memberRate  = 20 // requests a second
	memberBurst = 60
)

// run serves the page until ctx ends.
func (m *member) run(ctx context.Context, welcome class.Welcome) {
	m.conn.SetReadLimit(class.LongestRequest)
	m.put(bench.Encode("class-welcome", welcome), false)
	defer m.room.come(m)()
	go m.read(ctx)
	<-ctx.Done()
}

func (m *member) read(ctx context.Context) {
	limit, dropped := rate.NewLimiter(memberRate, memberBurst), 0
	for {
		kind, text, err := m.next()
		if err != nil {
			m.end(err)
			return
		}
		if ctx.Err() != nil {
			return
		}
		if !limit.Allow() {
			if dropped++; dropped > patience {
				m.end(closing{websocket.StatusPolicyViolation, "too many messages"})
				return
			}
			continue
		}
		if kind != websocket.MessageText {
			m.problem(class.Problem{Message: "messages must be text"})
			continue
		}
		request, err := class.Decode(text)
		if err == nil {
			err = m.handle(request)
		}
		if err != nil {
			problem := class.Tell(err, m.in)
			m.problem(problem)
			if problem.Fatal {
				m.end(closing{classOver, problem.Message})
			}
		}
	}
}

// classOver ends a connection to a class that is not to be tried again as it is.
const classOver = websocket.StatusCode(4003)

func (m *member) problem(p class.Problem) { m.put(bench.Encode("class-problem", p), false) }

// dismiss ends the connection for good, and says why.
func (m *member) dismiss(why error) {
	problem := class.Tell(why, m.in)
	problem.Fatal = true
	m.problem(problem)
	m.end(closing{classOver, problem.Message})
}

func (m *member) put(text []byte, frame bool) {
	if !m.out.put(text, frame) {
		m.end(tooSlow)
	}
}

func (m *member) handle(request any) error {
	switch r := request.(type) {
	case *class.FollowRequest:
		return m.followAs(r)
	case *class.LookRequest:
		return m.room.look(m.who, r)
	case *class.WatchOverRequest:
		m.room.mu.Lock()
		defer m.room.mu.Unlock()
		m.board, m.room.changed = r.On && m.who.Role == class.Instructor, true
		return nil
	}
	return m.room.handle(m.who, request, time.Now())
}

// tell tells what is new of the class; under the room's lock.
func (m *member) tell(s *shared) {
	c := s.class
	if err := c.MayEnter(m.who, s.now); err != nil {
		m.dismiss(err)
		return
	}
	m.show("class", s.text(sharedKey{"class", "", nil}, func() any { return c.View(s.now) }))
	m.show("front", s.text(sharedKey{"front", "", nil}, func() any {
		if front, known := c.Front(); known {
			return front
		}
		return nil
	}))
	if m.who.Role == class.Learner {
		m.show("mine", bench.Encode("mine", c.Mine(m.who.Learner)))
		m.show("question", bench.Encode("question", c.Question(m.who.Learner, m.in)))
	} else {
		m.show("question", s.text(sharedKey{"question", m.who.Role, m.in}, func() any { return c.Question("", m.in) }))
	}
	m.show("answers", s.text(sharedKey{"answers", m.who.Role, m.in}, func() any {
		if view, shown := c.Answers(m.who.Role, m.in); shown {
			return view
		}
		return nil
	}))
	if m.board {
		m.show("board", s.text(sharedKey{"board", m.who.Role, m.in}, func() any { return c.Board(m.in, s.now) }))
	}
	m.show("look", s.look)
	m.followDriver()
}

// show tells a view where it is not as the page knows it.
func (m *member) show(word string, text []byte) {
	if text == nil {
		return
	}
	if digest := maphash.Bytes(toldSeed, text) | 1; m.told[word] != digest {
		m.told[word] = digest
		m.put(text, false)
	}
}

// followAs follows whom the page asks to follow.
func (m *member) followAs(r *class.FollowRequest) error {
	if r.Whom != "" && r.Whom != class.Front && m.who.Role != class.Instructor {
		return errNotInstructor
	}
	if r.Whom == "" {
		m.follow(nil)
		return nil
	}
	m.follow(r)
	return nil
}

func (m *member) follow(r *class.FollowRequest) {
	m.room.mu.Lock()
	defer m.room.mu.Unlock()
	if m.followed != nil {
		m.followed.stream.leave(m)
		m.followed = nil
	}
	if r != nil {
		m.followed = &following{request: *r}
		m.followed.stream = m.room.stream(m, r)
	}
}

// followDriver follows whoever drives the demonstrated arm now, where the page follows that; under the room's lock.
func (m *member) followDriver() {
	f := m.followed
	if f == nil || f.request.Whom != class.Front || f.stream.whom == m.room.driver {
		return
	}
	f.stream.leave(m)
	f.stream = m.room.stream(m, &f.request)
}

// stream is the messages of an arm that pages here follow which read it alike.
type stream struct {
	room      *room
	subject   string
	want      want
	whom      string
	followers map[*member]bool // none: it has ended
	begins    bool             // it is being subscribed to
	cancel    func()           // nil: it is not subscribed to yet
}

// want asks the process that has an arm to let it be seen. It is asked again while anybody follows.
type want struct {
	Whom    string        `json:"whom"`
	Subject string        `json:"subject"`
	Reading bench.Reading `json:"reading"`
	In      string        `json:"in"`
	New     bool          `json:"new,omitempty"` // somebody came who knows nothing
}

// stream returns the stream that the page follows from now on; under the room's lock.
func (r *room) stream(m *member, f *class.FollowRequest) *stream {
	whom := f.Whom
	if whom == class.Front {
		whom = r.driver
	}
	w := want{Whom: whom, In: m.in.Code, Reading: bench.Reading{ReadIn: f.ReadIn, Of: f.Shows.Of, Form: f.Shows.Form, Unit: f.Unit}}
	reading, _ := json.Marshal(w)
	w.Subject = seenSubject(r.code, whom, digestOf(reading))
	s := r.streams[w.Subject]
	if s == nil {
		s = &stream{room: r, subject: w.Subject, want: w, whom: whom, followers: map[*member]bool{}}
		r.streams[w.Subject] = s
	}
	s.followers[m] = true
	s.ask(true)
	return s
}

// subscribe has what is seen of the arm come here. A class does not wait for the store, which may wait for a silent node.
func (s *stream) subscribe() {
	cancel, err := s.room.school.store.Subscribe(s.subject, func(_ string, data []byte) { s.pass(data) })
	s.room.mu.Lock()
	defer s.room.mu.Unlock()
	s.begins = false
	if err != nil {
		return // It is tried again when the arm is asked for again.
	}
	if len(s.followers) == 0 || s.room.closed {
		cancel()
		return
	}
	s.cancel = cancel
	s.ask(true)
}

// leave ends following; under the room's lock.
func (s *stream) leave(m *member) {
	delete(s.followers, m)
	if len(s.followers) == 0 {
		s.end()
		delete(s.room.streams, s.subject)
	}
}

// end lets nothing come any more; under the room's lock.
func (s *stream) end() {
	if s.cancel != nil {
		s.cancel()
	}
}

// ask asks for the arm to be seen, or to go on being seen; under the room's lock.
func (s *stream) ask(new bool) {
	if s.cancel == nil {
		if !s.begins {
			s.begins = true
			go s.subscribe()
		}
		return
	}
	w := s.want
	w.New = new
	text, _ := json.Marshal(w)
	s.room.school.store.Publish(wantSubject(s.room.code), text)
}

// pass passes on what is seen of the arm.
func (s *stream) pass(data []byte) {
	if len(data) == 0 {
		return
	}
	s.room.mu.Lock()
	all := make([]*member, 0, len(s.followers))
	for m := range s.followers {
		all = append(all, m)
	}
	s.room.mu.Unlock()
	for _, m := range all {
		m.put(data[1:], data[0] == seenFrame)
	}
}

// What is seen of an arm is a message after one of these.
const (
	seenText  = 0
	seenFrame = 1
)

// renewStreams asks for the arms that are followed here to go on being seen.
func (r *room) renewStreams() {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, s := range r.streams {
		s.ask(false)
	}
}

// wanted lets an arm be seen that a bench here has.
func (r *room) wanted(text []byte) {
	var w want
	if json.Unmarshal(text, &w) != nil {
		return
	}
	r.mu.Lock()
	s := r.benches[w.Whom]
	r.mu.Unlock()
	if s != nil {
		s.watch(&w, r.school.store)
	}
}

// digestOf is a word of a subject that stands for a text.
func digestOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}
