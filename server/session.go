package server

import (
	"context"
	"time"

	"github.com/coder/websocket"
	"golang.org/x/time/rate"

	"handrule/kinematics/jog"
	"handrule/scenarios/spoken"
	"handrule/words"
)

const (
	maxMessage   = 512 << 10 // bytes; a jog file to be played is the most a page sends
	messageRate  = 100       // a second
	messageBurst = 50
	patience     = 500 // messages too many before the page is sent away
	writeTimeout = 5 * time.Second
	frame        = time.Second / 60
	maxCatchUp   = jog.TickRate / 10 // ticks in one frame after the machine was busy
)

// session is one connected page at its bench.
type session struct {
	conn   *websocket.Conn
	bench  *bench
	in     *words.Language
	out    *outbox
	rooms  *surveyor
	limit  *rate.Limiter
	offers *offers
	end    context.CancelCauseFunc
}

// run serves the page until it leaves, is sent away, or ctx ends. The arm stands when it returns.
func (s *session) run(ctx context.Context) {
	s.conn.SetReadLimit(maxMessage)
	s.bench.send = func(word string, message any) {
		if !s.out.put(word, encode(word, message)) {
			s.end(closing{websocket.StatusPolicyViolation, "the page does not read what it is sent"})
		}
	}
	s.bench.in = s.in
	s.bench.tellAll()
	requests := make(chan []byte)
	go s.read(ctx, requests) // ends when the connection is closed
	go s.write(ctx)
	rooms := newSurveyor()
	go rooms.run(ctx, func(m RoomMessage) { s.out.put("room", encode("room", m)) })
	s.rooms = rooms
	s.serve(ctx, requests)
	s.bench.leave()
	s.bench.send = func(string, any) {}
}

func (s *session) read(ctx context.Context, requests chan<- []byte) {
	dropped := 0
	for {
		// Not under ctx: its end would cut the connection before the page is told why.
		kind, text, err := s.conn.Read(context.Background())
		if err != nil {
			s.end(err)
			return
		}
		if kind != websocket.MessageText {
			s.problem("messages must be text")
			continue
		}
		if !s.limit.Allow() {
			if dropped++; dropped == 1 {
				s.problem(s.in.Say("problem.too-many"))
			}
			if dropped > patience {
				s.end(closing{websocket.StatusPolicyViolation, "too many messages"})
				return
			}
			continue
		}
		select {
		case requests <- text:
		case <-ctx.Done():
			return
		}
	}
}

func (s *session) write(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-s.out.ready:
		}
		for _, letter := range s.out.take() {
			limited, cancel := context.WithTimeout(context.Background(), writeTimeout)
			err := s.conn.Write(limited, websocket.MessageText, letter.text)
			cancel()
			if err != nil {
				s.end(err)
				return
			}
		}
	}
}

// serve is the bench's clock: requests as they come, and while something moves a frame at a time.
func (s *session) serve(ctx context.Context, requests <-chan []byte) {
	ticker := time.NewTicker(frame)
	defer ticker.Stop()
	var last time.Time // up to which the ticks have been run
	ways := newComparer()
	for {
		if q, shown := s.bench.question(); shown {
			s.rooms.ask(q)
		}
		q, asked := s.bench.waysQuestion()
		ways.ask(ctx, q, asked)
		var frames <-chan time.Time
		if s.bench.busy() {
			frames = ticker.C
		} else {
			last = time.Time{}
		}
		offer, changed := s.offers.now()
		if s.bench.offer != offer {
			s.bench.reoffer(offer)
			continue
		}
		select {
		case <-ctx.Done():
			return
		case answer := <-ways.answers:
			s.bench.compared(answer)
		case <-changed:
		case text := <-requests:
			request, err := decode(text)
			if err == nil {
				err = s.bench.handle(request, time.Now())
			}
			if err != nil {
				s.problem(spoken.Tell(err, s.in))
			}
			if last.IsZero() && s.bench.busy() {
				last = time.Now()
				ticker.Reset(frame)
			}
		case now := <-frames:
			ticks := int(now.Sub(last) * jog.TickRate / time.Second)
			last = last.Add(time.Duration(ticks) * time.Second / jog.TickRate)
			if ticks > 0 {
				s.bench.advance(min(ticks, maxCatchUp), now)
			}
		}
	}
}

func (s *session) problem(message string) {
	s.out.put("problem", encode("problem", Problem{Message: message}))
}

// closing is why the server ends a session.
type closing struct {
	status websocket.StatusCode
	why    string
}

func (c closing) Error() string { return c.why }
