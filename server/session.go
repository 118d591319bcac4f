package server

import (
	"bytes"
	"context"
	"encoding/binary"
	"time"

	"github.com/coder/websocket"
	"golang.org/x/time/rate"

	"handrule/server/bench"
	"handrule/words"
)

const (
	maxMessage   = 512 << 10 // bytes; a jog file to be played is the most a page sends
	messageRate  = 100       // a second
	messageBurst = 50
	keptMessage  = 4 << 10 // bytes; the store of a larger one is given up
	patience     = 500     // messages too many before the page is sent away
)

// tooSlow ends the session of a page that lets too much wait.
var tooSlow = closing{websocket.StatusPolicyViolation, "the page does not read what it is sent"}

// session is one connected page at its bench.
type session struct {
	conn   *websocket.Conn
	outlet *outlet // beneath it
	framed []byte  // the last frame as it went out
	seat   *seat
	in     *words.Language
	out    *outbox
	limit  *rate.Limiter
	end    context.CancelCauseFunc
}

// run serves the page until it leaves, is sent away, or ctx ends. The arm stands when it returns.
func (s *session) run(ctx context.Context, welcome bench.Welcome) {
	s.conn.SetReadLimit(maxMessage)
	if s.outlet.hurry(); s.outlet.prompt {
		s.out.atOnce = s.writeAtOnce
	}
	s.seat.connect(welcome, s.in, s.out, s.end)
	go s.writeWaiting(ctx)
	go s.read(ctx) // ends when the connection is closed
	<-ctx.Done()
	s.seat.leave()
}

func (s *session) read(ctx context.Context) {
	dropped := 0
	var toll toll
	var message bytes.Buffer
	for {
		// Not under ctx: its end would cut the connection before the page is told why.
		kind, from, err := s.conn.Reader(context.Background())
		if err == nil {
			if message.Reset(); message.Cap() > keptMessage {
				message = bytes.Buffer{} // A large message is rare.
			}
			_, err = message.ReadFrom(from)
		}
		if err != nil {
			s.end(err)
			return
		}
		if ctx.Err() != nil {
			return
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
		if kind != websocket.MessageText {
			s.problem("messages must be text")
			continue
		}
		text := message.Bytes()
		if s.seat.renew(text) {
			continue // A hold is renewed at no cost: on a busy machine it must not wait for what the page asked for before.
		}
		renewed := false
		work := worked(func() { renewed = s.seat.request(text) })
		if renewed {
			continue
		}
		if wait := toll.wait(work, time.Now()); wait > 0 {
			select {
			case <-time.After(wait):
			case <-ctx.Done():
				return
			}
		}
	}
}

// writeWaiting writes what the page did not take at once. It is not under ctx either: who does not read is sent away because too
// much waits.
func (s *session) writeWaiting(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-s.out.ready:
		}
		for s.out.behind() {
			if err := s.writeAll(); err != nil {
				s.end(err)
				return
			}
			s.outlet.hurry()
			s.out.catchUp()
		}
	}
}

// writeAll writes all that waits now, however long that takes.
func (s *session) writeAll() error {
	if err := s.outlet.wait(); err != nil {
		return err
	}
	for _, l := range s.out.take() {
		if err := s.write(l); err != nil {
			return err
		}
		s.out.written(l)
	}
	return nil
}

func (s *session) write(l letter) error {
	kind := websocket.MessageText
	if l.frame {
		kind = websocket.MessageBinary
	}
	return s.conn.Write(context.Background(), kind, l.text)
}

// writeAtOnce writes without waiting, and reports whether all of it went out. A frame goes past the library: all that it would
// add are these bytes before it, at half the cost of the call.
func (s *session) writeAtOnce(l letter) bool {
	var err error
	if l.frame {
		s.framed = append(appendHead(s.framed[:0], len(l.text)), l.text...)
		_, err = s.outlet.Write(s.framed)
	} else {
		err = s.write(l)
	}
	if err != nil {
		s.end(err)
		return true // There is nobody to wait for.
	}
	return !s.outlet.left()
}

// appendHead appends the head of a binary message of one fragment, from a server (RFC 6455, 5.2).
func appendHead(text []byte, length int) []byte {
	const finBinary = 0x82
	switch {
	case length < 126:
		return append(text, finBinary, byte(length))
	case length < 1<<16:
		return binary.BigEndian.AppendUint16(append(text, finBinary, 126), uint16(length))
	}
	return binary.BigEndian.AppendUint64(append(text, finBinary, 127), uint64(length))
}

func (s *session) problem(message string) {
	s.seat.complain(message)
}

// closing is why the server ends a session.
type closing struct {
	status websocket.StatusCode
	why    string
}

func (c closing) Error() string { return c.why }
