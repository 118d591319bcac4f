package server

import (
	"bytes"
	"context"
	"encoding/binary"

	"github.com/coder/websocket"
)

// keptMessage bytes of a page's message are read into the same store; that of a larger one is given up.
const keptMessage = 4 << 10

// tooSlow ends the session of a page that lets too much wait.
var tooSlow = closing{websocket.StatusPolicyViolation, "the page does not read what it is sent"}

// courier carries messages from and to a connected page.
type courier struct {
	conn    *websocket.Conn
	outlet  *outlet // beneath it
	framed  []byte  // the last frame as it went out
	message bytes.Buffer
	out     *outbox
	end     context.CancelCauseFunc // ends the session, with why
}

// begin has messages written at once where the connection can do that.
func (s *courier) begin() {
	s.conn.SetReadLimit(maxMessage)
	if s.outlet.hurry() {
		s.out.atOnce = s.writeAtOnce
	}
}

// next waits for a message of the page. It is the caller's until the next call.
func (s *courier) next() (kind websocket.MessageType, text []byte, err error) {
	// Under no context: its end would cut the connection before the page is told why.
	kind, from, err := s.conn.Reader(context.Background())
	if err == nil {
		if s.message.Reset(); s.message.Cap() > keptMessage {
			s.message = bytes.Buffer{} // A large message is rare.
		}
		_, err = s.message.ReadFrom(from)
	}
	return kind, s.message.Bytes(), err
}

// writeWaiting writes what the page did not take at once. It is not under ctx either: who does not read is sent away because too
// much waits.
func (s *courier) writeWaiting(ctx context.Context) {
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
func (s *courier) writeAll() error {
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

func (s *courier) write(l letter) error {
	kind := websocket.MessageText
	if l.frame {
		kind = websocket.MessageBinary
	}
	return s.conn.Write(context.Background(), kind, l.text)
}

// writeAtOnce writes without waiting, and reports whether all of it went out. A frame goes past the library: all that it would
// add are these bytes before it, at half the cost of the call.
func (s *courier) writeAtOnce(l letter) bool {
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

// closing is why the server ends a session.
type closing struct {
	status websocket.StatusCode
	why    string
}

func (c closing) Error() string { return c.why }
