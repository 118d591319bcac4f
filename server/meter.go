package server

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"io"
	"net"
	"net/http"
	"time"

	"golang.org/x/time/rate"
)

// What a connection may send, whether it makes a message or not. A page sends some thirty frames a second while it draws a
// jog along, and half a megabyte at once when it plays a file.
const (
	bytesRate, bytesBurst   = 64 << 10, 1 << 20 // a second, at once
	framesRate, framesBurst = 200, 400
)

// meter slows a connection down that sends more than it may: it is read no faster, and what it sends on waits where it came from.
// It counts bytes and the frames of the WebSocket protocol, pings and empty fragments too, of which the session never hears.
type meter struct {
	net.Conn
	from   io.Reader
	bytes  *rate.Limiter
	frames *rate.Limiter
	count  frameCounter
	sleep  func(time.Duration)
}

func newMeter(conn net.Conn, from io.Reader) *meter {
	return &meter{
		Conn: conn, from: from, bytes: rate.NewLimiter(bytesRate, bytesBurst), frames: rate.NewLimiter(framesRate, framesBurst), sleep: time.Sleep,
	}
}

// meterPiece is the most that is read at once, in bytes; so many frames are as many as there can be in it.
const meterPiece = 1024

// Read reads, and waits where that was too much.
func (m *meter) Read(p []byte) (int, error) {
	n, err := m.from.Read(p[:min(len(p), meterPiece)])
	now := time.Now()
	wait := m.bytes.ReserveN(now, n).DelayFrom(now)
	if frames := m.count.add(p[:n]); frames > 0 {
		wait = max(wait, m.frames.ReserveN(now, frames).DelayFrom(now))
	}
	if wait > 0 && err == nil {
		m.sleep(wait)
	}
	return n, err
}

// metered hands out a connection that is slowed down, and that is written to through an outlet.
type metered struct {
	http.ResponseWriter
	outlet *outlet // once it was handed out
}

func (m *metered) Unwrap() http.ResponseWriter { return m.ResponseWriter }

// Hijack hands the connection out. What was read of it already is counted too.
func (m *metered) Hijack() (net.Conn, *bufio.ReadWriter, error) {
	conn, buffered, err := http.NewResponseController(m.ResponseWriter).Hijack()
	if err != nil {
		return conn, buffered, err
	}
	early, _ := buffered.Reader.Peek(buffered.Reader.Buffered())
	if err := buffered.Flush(); err != nil {
		return conn, buffered, err
	}
	m.outlet = &outlet{Conn: conn}
	buffered.Writer.Reset(m.outlet)
	slow := newMeter(m.outlet, io.MultiReader(bytes.NewReader(bytes.Clone(early)), conn))
	return slow, bufio.NewReadWriter(bufio.NewReader(slow), buffered.Writer), nil
}

// frameCounter counts the frames of the WebSocket protocol (RFC 6455, 5.2) in what comes over a connection, piece by piece.
type frameCounter struct {
	head []byte // of the frame that begins, as far as it has come
	skip uint64 // what is still to come of a frame's payload
}

// add returns how many frames begin in a piece.
func (c *frameCounter) add(piece []byte) (frames int) {
	for len(piece) > 0 {
		if c.skip > 0 {
			n := min(c.skip, uint64(len(piece)))
			piece, c.skip = piece[n:], c.skip-n
			continue
		}
		if len(c.head) == 0 {
			frames++
		}
		c.head, piece = append(c.head, piece[0]), piece[1:]
		c.skip = c.payload()
	}
	return frames
}

// payload returns the length of the frame's payload when its head is complete, and begins the next head; 0 before.
func (c *frameCounter) payload() uint64 {
	h := c.head
	if len(h) < 2 {
		return 0
	}
	length, size := uint64(h[1]&0x7f), 2
	if h[1]&0x80 != 0 {
		size += 4 // the mask
	}
	switch length {
	case 126:
		size += 2
	case 127:
		size += 8
	}
	if len(h) < size {
		return 0
	}
	switch length {
	case 126:
		length = uint64(binary.BigEndian.Uint16(h[2:]))
	case 127:
		length = binary.BigEndian.Uint64(h[2:])
	}
	c.head = c.head[:0]
	return length
}
